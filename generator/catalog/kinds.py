"""The kinds of profile: for each its fields, and what its measures must be to one another."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from generator.catalog.fields import Field, Value
from generator.catalog.tables import (
    Anchor,
    Bracket,
    Cable,
    Fitting,
    Material,
    Post,
    Profile,
    Rail,
    Spacer,
)


@dataclass(frozen=True, slots=True)
class Rule:
    """A relation that values of one profile must keep.

    `keys` are the values that `holds` is given, in that order; a fault is reported at the first.
    """

    keys: tuple[str, ...]
    holds: Callable[..., bool]
    accepted: str

    def kept(self, values: Mapping[str, Value]) -> bool:
        """Whether the relation holds; true where one of its values could not be read."""
        if any(key not in values for key in self.keys):
            return True
        return self.holds(*(values[key] for key in self.keys))


@dataclass(frozen=True, slots=True)
class Kind:
    """`folder` under profiles/, the trade's word for one of it, its table and its rules."""

    folder: str
    word: str
    table: type[Profile]
    fields: tuple[Field, ...]
    rules: tuple[Rule, ...]

    def field(self, key: str) -> Field | None:
        """The field of that key, if this kind has it."""
        return next((field for field in self.fields if field.key == key), None)


def _lengths(*keys: str) -> tuple[Field, ...]:
    return tuple(Field(key, f"{key}_mm", "length") for key in keys)


def _stresses(*keys: str) -> tuple[Field, ...]:
    return tuple(Field(key, f"{key}_mpa", "stress") for key in keys)


_MATERIAL = Field("material", "material", "name")
_CORNER = Field("corner", "corner_mm", "length", "not negative", default="0 in")
_HOLE_CLEARANCE = Field("hole_clearance", "hole_clearance_mm", "length", "not negative")

_MATERIALS = Kind(
    "materials",
    "material",
    Material,
    (
        Field("density", "density_kg_m3", "density"),
        *_stresses("modulus", "shear_modulus", "yield", "ultimate"),
        *_stresses("welded_yield", "welded_ultimate"),
        Field("expansion", "expansion_per_k", "expansion"),
    ),
    (
        Rule(
            ("shear_modulus", "modulus"),
            lambda g, e: e / 3 <= g <= e / 2,
            "between a third and a half of the modulus (Poisson's ratio 0 to 1/2)",
        ),
        Rule(("yield", "ultimate"), lambda y, u: y <= u, "at most the ultimate strength"),
        Rule(
            ("welded_yield", "welded_ultimate"),
            lambda y, u: y <= u,
            "at most the welded ultimate strength",
        ),
        Rule(("welded_yield", "yield"), lambda w, y: w <= y, "at most the yield strength"),
        Rule(("welded_ultimate", "ultimate"), lambda w, u: w <= u, "at most the ultimate strength"),
    ),
)

_TUBE_RULES = (
    Rule(
        ("wall", "width", "depth"),
        lambda t, w, d: 2 * t < min(w, d),
        "less than half the width and half the depth",
    ),
    Rule(
        ("corner", "width", "depth"),
        lambda r, w, d: 2 * r <= min(w, d),
        "at most half the width and half the depth",
    ),
)

_POSTS = Kind(
    "posts",
    "post",
    Post,
    (
        _MATERIAL,
        Field("width", "width_mm", "length"),
        Field("depth", "depth_mm", "length", default="=width"),
        Field("wall", "wall_mm", "length"),
        _CORNER,
        *_lengths("plate", "plate_thickness", "bolt_spacing", "bolt_hole"),
        Field("nosing_margin", "nosing_margin_mm", "length", "not negative"),
        _HOLE_CLEARANCE,
    ),
    (
        *_TUBE_RULES,
        Rule(
            ("plate", "width", "depth"),
            lambda p, w, d: p >= max(w, d),
            "at least as wide as the tube",
        ),
        Rule(
            ("bolt_spacing", "bolt_hole", "plate"),
            lambda s, h, p: s + h < p,
            "the bolt holes within the plate: spacing and hole together less than the plate",
        ),
        Rule(("bolt_hole", "bolt_spacing"), lambda h, s: h < s, "less than the bolt spacing"),
        Rule(
            ("bolt_spacing", "bolt_hole", "width", "depth"),
            lambda s, h, w, d: math.hypot(max(s - w, 0), max(s - d, 0)) > h,
            "the bolt holes clear of the tube",
        ),
    ),
)

_RAILS = Kind(
    "rails",
    "rail",
    Rail,
    (_MATERIAL, *_lengths("width", "depth", "wall"), _CORNER),
    _TUBE_RULES,
)

_BRACKETS = Kind(
    "brackets",
    "bracket",
    Bracket,
    (
        _MATERIAL,
        *_lengths("length", "width", "thickness"),
        Field("screws", "screws", "count", "not negative"),
        Field("screw", "screw", "text"),
    ),
    (
        Rule(
            ("thickness", "length", "width"),
            lambda t, a, b: t < min(a, b),
            "less than the plate's length and width",
        ),
    ),
)

_CABLES = Kind(
    "cables",
    "cable",
    Cable,
    (
        _MATERIAL,
        Field("construction", "construction", "text", choices=("1x19", "7x7", "7x19")),
        *_lengths("diameter", "max_diameter"),
        Field("area", "area_mm2", "area"),
        Field("modulus", "modulus_mpa", "stress"),
        Field("breaking", "breaking_n", "force"),
        Field("mass", "mass_kg_m", "mass_per_length"),
        Field("constructional_stretch", "constructional_stretch", "ratio", "not negative"),
        Field("min_bend", "min_bend_mm", "length", "not negative"),
        Field("trim", "trim_mm", "length", "not negative"),
    ),
    (
        Rule(("max_diameter", "diameter"), lambda m, d: m >= d, "at least the diameter"),
        Rule(
            ("area", "diameter"),
            lambda a, d: a < math.pi * d**2 / 4,
            "less than the full circle: the metallic area, without the gaps between wires",
        ),
        Rule(("constructional_stretch",), lambda s: s < 0.02, "less than 2 %"),
        Rule(
            ("min_bend", "diameter"),
            lambda r, d: r == 0 or r >= d / 2,
            "0 for a cable that is not bent, else a radius of at least half the diameter",
        ),
    ),
)

_FITTINGS = Kind(
    "fittings",
    "fitting",
    Fitting,
    (
        _MATERIAL,
        *_lengths("cable", "stud", "thread_pitch", "thread", "overall"),
        *_lengths("sleeve", "sleeve_length", "bore"),
        Field("cable_setback", "cable_setback_mm", "length", "any"),
        *_lengths("nut_flats", "nut_height", "washer", "washer_thickness"),
        Field("efficiency", "efficiency", "ratio"),
    ),
    (
        Rule(("bore", "sleeve_length"), lambda b, s: b <= s, "at most the sleeve's length"),
        Rule(("sleeve", "cable"), lambda s, c: s > c, "wider than the cable"),
        Rule(
            ("thread", "overall", "sleeve_length"),
            lambda t, o, s: t <= o - s,
            "at most the overall length less the sleeve",
        ),
        Rule(("sleeve_length", "overall"), lambda s, o: s < o, "less than the overall length"),
        Rule(("thread_pitch", "stud"), lambda p, d: p < d / 2, "less than half the stud"),
        Rule(("nut_height", "thread"), lambda n, t: n <= t, "at most the length of thread"),
        Rule(("nut_flats", "stud"), lambda n, d: n > d, "wider than the stud"),
        Rule(("washer", "stud"), lambda w, d: w > d, "wider than the stud"),
        Rule(("efficiency",), lambda e: e <= 1, "at most 1"),
    ),
)

_ANCHORS = Kind(
    "anchors",
    "anchor",
    Anchor,
    (
        _MATERIAL,
        Field("style", "style", "text", choices=("through-bolt", "lag")),
        Field("diameter", "diameter_mm", "length"),
        Field("lengths", "lengths_mm", "lengths"),
        *_lengths("head_flats", "head_height"),
        Field("nut_height", "nut_height_mm", "length", "not negative"),
        *_lengths("washer", "washer_thickness"),
    ),
    (
        Rule(("head_flats", "diameter"), lambda f, d: f > d, "wider than the shank"),
        Rule(("washer", "diameter"), lambda w, d: w > d, "wider than the shank"),
        Rule(
            ("nut_height", "style"),
            lambda n, s: (n > 0) == (s == "through-bolt"),
            "above zero for a through-bolt, 0 in for a lag, which has no nut",
        ),
    ),
)

_SPACERS = Kind(
    "spacers",
    "spacer",
    Spacer,
    (_MATERIAL, *_lengths("width", "thickness", "end_distance"), _HOLE_CLEARANCE),
    (),
)

PARTS: Mapping[str, Kind] = {
    kind.folder: kind
    for kind in (
        _POSTS,
        _RAILS,
        _BRACKETS,
        _CABLES,
        _FITTINGS,
        _ANCHORS,
        _SPACERS,
        _MATERIALS,
    )
}
"""Kinds that are read into a table of fields, by folder."""

WORDS: Mapping[str, str] = {
    **{folder: kind.word for folder, kind in PARTS.items()},
    "rules": "rule set",
}
"""Every kind's folder, in the order of `catalog`, and the trade's word for one of it."""
