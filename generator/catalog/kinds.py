"""The kinds of profile: for each its fields, and what its measures must be to one another."""

from __future__ import annotations

import math
from collections.abc import Mapping

from generator.catalog.fields import Field
from generator.catalog.mounting import CORE_FIELDS, CORE_RULES, SIDE_FIELDS, SIDE_RULES
from generator.catalog.relations import Rule, all_or_none, optional
from generator.catalog.strength_kinds import (
    FACTOR_FIELDS,
    FACTOR_RULES,
    SAFETY_FIELDS,
    SAFETY_RULES,
    WOOD_FIELDS,
    WOOD_RULES,
)
from generator.catalog.tables import (
    Anchor,
    Bracket,
    Cable,
    Factors,
    Fitting,
    Material,
    Post,
    Profile,
    Rail,
    Safety,
    Spacer,
    Wood,
)
from generator.frozen import dataclass


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


_MATERIAL = Field("material", "name of its material", "name")
_CORNER = Field("corner", "outer radius of the tube's edges", "length", "not negative", "0 in")
_HOLE_CLEARANCE = Field(
    "hole_clearance",
    "a cable's hole less the cable's largest diameter, or a stud's hole less the stud",
    "length",
    "not negative",
)

_MATERIALS = Kind(
    "materials",
    "material",
    Material,
    (
        Field("density", "mass per volume", "density"),
        Field("modulus", "Young's modulus", "stress"),
        Field("shear_modulus", "shear modulus", "stress"),
        Field("yield", "yield strength in tension", "stress"),
        Field("ultimate", "ultimate strength in tension", "stress"),
        Field("welded_yield", "yield strength within 1 in of a weld", "stress"),
        Field("welded_ultimate", "ultimate strength within 1 in of a weld", "stress"),
        Field("expansion", "thermal expansion", "expansion"),
        Field(
            "family",
            "whose safety factors and buckling formulas hold",
            "text",
            default="other",
            choices=("aluminium", "stainless", "steel", "other"),
        ),
    ),
    (
        Rule(
            ("shear_modulus", "modulus"),
            lambda g, e: e / 3 <= g <= e / 2,
            "a third to a half of the modulus (Poisson's ratio 0 to 1/2)",
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
        Field("width", "tube along the leg"),
        Field("depth", "tube across the leg", default="=width"),
        Field("wall", "thickness of the tube's wall"),
        _CORNER,
        Field("plate", "side of the square base plate"),
        Field("plate_thickness", "thickness of the base plate"),
        Field("bolt_spacing", "side of the square on which the four bolts stand"),
        Field("bolt_hole", "diameter of the bolt holes"),
        Field(
            "nosing_margin",
            "least distance from the plate to the nosing of its tread",
            bound="not negative",
        ),
        _HOLE_CLEARANCE,
        *SIDE_FIELDS,
        *CORE_FIELDS,
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
            "less than the plate less a bolt hole: the holes lie within the plate",
        ),
        Rule(("bolt_hole", "bolt_spacing"), lambda h, s: h < s, "less than the bolt spacing"),
        Rule(
            ("bolt_spacing", "bolt_hole", "width", "depth"),
            lambda s, h, w, d: math.hypot(max(s - w, 0), max(s - d, 0)) > h,
            "wide enough to hold the bolt holes clear of the tube",
        ),
        *SIDE_RULES,
        *CORE_RULES,
    ),
)

_RAILS = Kind(
    "rails",
    "rail",
    Rail,
    (
        _MATERIAL,
        Field("width", "tube level across the leg"),
        Field("depth", "tube square to the walking line"),
        Field("wall", "thickness of the tube's wall"),
        _CORNER,
        optional("sleeve", "length of the tube inside that joins two pieces; 0 where it has none"),
        optional("sleeve_wall", "thickness of the sleeve's wall"),
        optional("sleeve_clearance", "room all round the sleeve, inside the rail"),
    ),
    (
        *_TUBE_RULES,
        *all_or_none("sleeve", ["sleeve_wall"]),
        Rule(
            ("sleeve_wall", "sleeve_clearance", "wall", "width", "depth"),
            lambda s, c, t, w, d: s == 0 or 2 * (s + c + t) < min(w, d),
            "so thin that the sleeve is a tube inside the rail",
        ),
    ),
)

_BRACKETS = Kind(
    "brackets",
    "bracket",
    Bracket,
    (
        _MATERIAL,
        Field("length", "plate along the rail"),
        Field("width", "plate across the rail"),
        Field("thickness", "thickness of the plate"),
        Field("screws", "screws into the rail", "count", "not negative"),
        Field("screw", "the screw, as it is ordered", "text"),
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
        Field("construction", "strands by wires", "text", choices=("1x19", "7x7", "7x19")),
        Field("diameter", "nominal diameter"),
        Field("max_diameter", "largest diameter that the tolerance lets be delivered"),
        Field("area", "metallic area, without the gaps between wires", "area"),
        Field("modulus", "modulus of the cable on its metallic area", "stress"),
        Field("breaking", "least breaking force", "force"),
        Field("mass", "mass per length", "mass_per_length"),
        Field(
            "constructional_stretch",
            "lasting stretch of new cable under its first loads",
            "ratio",
            "not negative",
        ),
        Field(
            "min_bend",
            "least radius that it is bent to; 0 where it is not to be bent",
            bound="not negative",
        ),
        Field("trim", "allowance of a piece to be trimmed on site", bound="not negative"),
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
            "0 for a cable that is not bent, else at least half the diameter",
        ),
    ),
)

_FITTINGS = Kind(
    "fittings",
    "fitting",
    Fitting,
    (
        _MATERIAL,
        Field("cable", "diameter of the cable that it is swaged on"),
        Field("stud", "diameter of the threaded stud"),
        Field("thread_pitch", "from thread to thread"),
        Field("thread", "length of thread from the stud's tip"),
        Field("overall", "from the stud's tip to the mouth of the sleeve"),
        Field("sleeve", "outer diameter of the sleeve as swaged"),
        Field("sleeve_length", "length of the sleeve"),
        Field("bore", "how far the cable goes into the sleeve"),
        Field(
            "cable_setback",
            "from the post's inner face to the cable's end in the sleeve, at the "
            "starting thread engagement; negative beyond the face",
            bound="any",
        ),
        Field("nut_flats", "nut across flats"),
        Field("nut_height", "height of the nut"),
        Field("washer", "outer diameter of the washer"),
        Field("washer_thickness", "thickness of the washer"),
        Field("efficiency", "share of the cable's breaking force that it holds", "ratio"),
        Field("field", "whether it may be fitted to the cable on site", "switch", default="true"),
    ),
    (
        Rule(("bore", "sleeve_length"), lambda b, s: b <= s, "at most the sleeve's length"),
        Rule(("sleeve", "cable"), lambda s, c: s > c, "wider than the cable"),
        Rule(("sleeve_length", "overall"), lambda s, o: s < o, "less than the overall length"),
        Rule(
            ("thread", "overall", "sleeve_length"),
            lambda t, o, s: t <= max(o - s, 0) or s >= o,
            "at most the overall length less the sleeve",
        ),
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
        Field("style", "how it holds", "text", choices=("through-bolt", "lag")),
        Field("diameter", "diameter of the shank"),
        Field("lengths", "lengths on offer, under the head", "lengths"),
        Field("head_flats", "head across flats"),
        Field("head_height", "height of the head"),
        Field("nut_height", "height of the nut; 0 for a lag", bound="not negative"),
        Field("washer", "outer diameter of the washer"),
        Field("washer_thickness", "thickness of the washer"),
        Field(
            "nut_washer",
            "outer diameter of the washer behind the wood, under the nut",
            default="=washer",
        ),
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
    (
        _MATERIAL,
        Field("width", "bar across the leg"),
        Field("thickness", "bar along the leg"),
        Field("end_distance", "from the outermost hole's centre to the bar's end"),
        _HOLE_CLEARANCE,
    ),
    (),
)

_WOODS = Kind("woods", "wood", Wood, WOOD_FIELDS, WOOD_RULES)
_SAFETY = Kind("safety", "set of safety factors", Safety, SAFETY_FIELDS, SAFETY_RULES)
_FACTORS = Kind("factors", "set of factors", Factors, FACTOR_FIELDS, FACTOR_RULES)

PARTS: Mapping[str, Kind] = {
    kind.folder: kind
    for kind in (
        *(_POSTS, _RAILS, _BRACKETS, _CABLES, _FITTINGS, _ANCHORS, _SPACERS, _MATERIALS),
        *(_WOODS, _SAFETY, _FACTORS),
    )
}
"""Kinds that are read into a table of fields, by folder."""

WORDS: Mapping[str, str] = {
    **{folder: kind.word for folder, kind in PARTS.items()},
    "rules": "rule set",
    "tables": "table",
}
"""Every kind's folder, in the order of `catalog`, and the trade's word for one of it."""
