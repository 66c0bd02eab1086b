"""Frozen tables that the catalogue is read into: lengths mm, forces N, masses kg, moduli MPa."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from generator.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Entry:
    """One value of a profile as its file gives it, for people: text, unit, where it comes from.

    `verified` is False for a value from memory (tag M of the reference) or common practice;
    an invented value is `invented` and needs no source.
    """

    field: str
    text: str
    value: float | str | bool | tuple[float, ...]
    unit: str
    source: str
    invented: bool
    verified: bool


@dataclass(frozen=True, slots=True)
class Profile:
    """What every profile has: a name, a line of description, and its entries for `catalog`."""

    name: str
    description: str
    file: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Material(Profile):
    """`expansion_per_k` 1/K; `welded_*` are the strengths within 1 in of a weld.

    `family` tells whose safety factors hold: aluminium, stainless, steel; other has the greatest.
    """

    density_kg_m3: float
    modulus_mpa: float
    shear_modulus_mpa: float
    yield_mpa: float
    ultimate_mpa: float
    welded_yield_mpa: float
    welded_ultimate_mpa: float
    expansion_per_k: float
    family: str = "other"


@dataclass(frozen=True, slots=True)
class Post(Profile):
    """Square or rectangular tube on a welded base plate.

    `width_mm` along the leg, `depth_mm` across. `side_*` and `standoff_mm` are those of the plate
    that holds it at a fascia or stringer, its bolts in two columns `bolt_spacing_mm` apart and rows
    `side_bolt_spacing_mm` apart; `core_*` those of a hole in concrete. All are 0 for a post that is
    not made for it. `standoff_mm` is from the fascia's face to the post, plate and all;
    `core_edge_mm` from the hole's centre to the nearest edge of the concrete.
    """

    material: str
    width_mm: float
    depth_mm: float
    wall_mm: float
    corner_mm: float
    plate_mm: float
    plate_thickness_mm: float
    bolt_spacing_mm: float
    bolt_hole_mm: float
    nosing_margin_mm: float
    hole_clearance_mm: float
    side_plate_mm: float = 0.0
    side_plate_height_mm: float = 0.0
    side_plate_thickness_mm: float = 0.0
    standoff_mm: float = 0.0
    side_bolt_spacing_mm: float = 0.0
    side_bolts: int = 0
    core_hole_mm: float = 0.0
    core_depth_mm: float = 0.0
    core_edge_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Rail(Profile):
    """Top rail tube: `width_mm` level across the leg, `depth_mm` square to the walking line.

    `sleeve_mm` is the length of the tube inside that joins two pieces, 0 where it has none;
    `sleeve_clearance_mm` is left all round it.
    """

    material: str
    width_mm: float
    depth_mm: float
    wall_mm: float
    corner_mm: float
    sleeve_mm: float = 0.0
    sleeve_wall_mm: float = 0.0
    sleeve_clearance_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Bracket(Profile):
    """Plate between a post's top and the rail; `length_mm` along the rail."""

    material: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    screws: int
    screw: str


@dataclass(frozen=True, slots=True)
class Cable(Profile):
    """`modulus_mpa` holds on `area_mm2`, the metallic area. `min_bend_mm` 0: not to be bent."""

    material: str
    construction: str
    diameter_mm: float
    max_diameter_mm: float
    area_mm2: float
    modulus_mpa: float
    breaking_n: float
    mass_kg_m: float
    constructional_stretch: float
    min_bend_mm: float
    trim_mm: float


@dataclass(frozen=True, slots=True)
class Fitting(Profile):
    """Threaded stud swaged on a cable; it passes the end post and is held by a nut behind it.

    `overall_mm` from the stud's tip to the mouth of the sleeve, `bore_mm` how far the cable goes
    into the sleeve, `cable_setback_mm` from the post's inner face to the end of the cable in the
    sleeve at the starting thread engagement (negative: beyond the face). `field`: it may be put on
    the cable on site.
    """

    material: str
    cable_mm: float
    stud_mm: float
    thread_pitch_mm: float
    thread_mm: float
    overall_mm: float
    sleeve_mm: float
    sleeve_length_mm: float
    bore_mm: float
    cable_setback_mm: float
    nut_flats_mm: float
    nut_height_mm: float
    washer_mm: float
    washer_thickness_mm: float
    efficiency: float
    field: bool = True


@dataclass(frozen=True, slots=True)
class Anchor(Profile):
    """Fastener of a base plate.

    `style`: through-bolt or lag. `lengths_mm` under the head, ascending. `nut_washer_mm` is the
    washer behind the wood, as wide as the other unless told.
    """

    material: str
    style: str
    diameter_mm: float
    lengths_mm: tuple[float, ...]
    head_flats_mm: float
    head_height_mm: float
    nut_height_mm: float
    washer_mm: float
    washer_thickness_mm: float
    nut_washer_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Spacer(Profile):
    """Slim drilled bar between posts: `width_mm` across the leg, `thickness_mm` along it.

    `end_distance_mm` from the outermost hole to the bar's end.
    """

    material: str
    width_mm: float
    thickness_mm: float
    end_distance_mm: float
    hole_clearance_mm: float


@dataclass(frozen=True, slots=True)
class Wood(Profile):
    """A group of species: specific gravity, strength in bearing across the grain, dry."""

    gravity: float
    bearing_mpa: float


@dataclass(frozen=True, slots=True)
class Safety(Profile):
    """Safety factors of a family of materials; its name is the `family` of a material."""

    yielding: float
    rupture: float
    bolts: float
    screws: float


@dataclass(frozen=True, slots=True)
class Factors(Profile):
    """What the formulas of strength take from codes and handbooks; meanings in `strength_kinds`."""

    duration: float
    wet_fasteners: float
    dry_fasteners: float
    wet_bearing: float
    dowel_yield_mpa: float
    lag_sizes_mm: tuple[float, ...]
    lag_roots_mm: tuple[float, ...]
    lag_tips_mm: tuple[float, ...]
    heat_wood_per_k: float
    heat_concrete_per_k: float
    filler_4043_mpa: float
    filler_5356_mpa: float
    electrode_70_mpa: float
    weld_heat_mm: float
    give_post: float
    give_rail_h: float
    give_rail_l: float
    post_continuity: float
    screw_ultimate_mpa: float
    cable_safety: float


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of a rule set. `value` in `unit` base units: mm, N, N/mm, mm2, deg, count, number.

    Where the rule set sets no such limit its text is none, and its value one that nothing breaks.
    `stated_in` names the rule set, or the job spec, that states it; `replaces` is the limit that it
    stands in place of, for `reason`.
    """

    key: str
    value: float
    unit: str
    text: str
    clause: str
    edition: str
    source: str
    verified: bool
    note: str
    stated_in: str = ""
    reason: str = ""
    replaces: Limit | None = None

    @property
    def stated(self) -> bool:
        """Whether there is a limit at all."""
        return self.text != "none"


@dataclass(frozen=True, slots=True)
class SeverityChange:
    """A severity that a rule set or a job gives the findings of a code; `by` is who says so."""

    code: str
    severity: Literal["fail", "warn", "note"]
    reason: str
    clause: str
    by: str


@dataclass(frozen=True, slots=True)
class RuleSet(Profile):
    """Limits of one code edition by key, such as `guard.height.level`.

    `bases` are the rule sets that it takes over, the nearest first.
    """

    edition: str
    limits: Mapping[str, Limit]
    bases: tuple[str, ...] = ()
    severities: tuple[SeverityChange, ...] = ()

    def limit(self, key: str) -> Limit:
        """The limit of that key.

        Raises:
            KeyError: this rule set has no such limit.
        """
        return self.limits[key]


@dataclass(frozen=True, slots=True)
class WireRow:
    """A row of a code's table for wire; a value is None where the table allows none."""

    diameter_mm: float
    lay: str
    spacing_mm: float
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class WireTable:
    """A table of one value by diameter, lay and spacing, its columns by clear span.

    `holds` is tension (N) or deflection (mm).
    """

    holds: str
    clause: str
    spans_mm: tuple[float, ...]
    rows: tuple[WireRow, ...]


@dataclass(frozen=True, slots=True)
class WireTables(Profile):
    """What a code prints for tensioned wire; `attribution` is its publisher's, to be shown."""

    edition: str
    attribution: str
    source: str
    verified: bool
    tension: WireTable
    deflection: WireTable | None
