"""The profiles that come with the program: each loads, every value says where it is from."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from generator.catalog import KINDS, Catalog, shipped
from generator.catalog.fit import misfits, unmountable
from generator.catalog.tables import Limit, Profile, RuleSet

FILES = sorted((path.parent.name, path.stem) for path in shipped().glob("*/*.yaml"))

# The profiles that the spec of the demo job and the metric examples name.
NAMED = {
    "posts": ("al-square-2.5", "al-square-2", "al-square-60", "steel-square-2"),
    "rails": ("al-flat-2.5x1.5", "al-flat-60x40"),
    "brackets": ("al-saddle", "al-saddle-60"),
    "cables": ("ss316-1x19-1_8", "ss316-1x19-3_16", "ss316-1x19-4", "ss316-7x7-1_8"),
    "fittings": ("swage-stud-1_4", "swage-stud-5_16", "swage-stud-m8"),
    "anchors": ("through-bolt-3_8", "through-bolt-m10", "lag-3_8"),
    "spacers": ("al-bar-1x3_8", "al-bar-25x10"),
    "materials": ("al-6061-t6", "al-6063-t5", "al-6063-t6", "al-6005a-t61", "ss-304", "ss-316",
                  "steel-a500-b"),
    "rules": ("irc-2018", "irc-2021", "irc-2024", "ibc-2018", "ibc-2021", "ibc-2024",
              "california-2022", "nbc-2020", "ncc-2022", "osha-1910.29"),
    "tables": ("ncc-2022-wire",),
    "woods": ("southern-pine", "douglas-fir-larch", "hem-fir", "spruce-pine-fir", "redwood"),
    "safety": ("aluminium", "stainless", "steel", "other"),
    "factors": ("allowable",),
}  # fmt: skip

INCH = 25.4
LBF = 4.4482216152605
KSI = 1000 * LBF / INCH**2

SETS = {
    "inch": ("al-square-2.5", "al-flat-2.5x1.5", "al-saddle", "ss316-1x19-1_8", "swage-stud-1_4",
             "through-bolt-3_8", "al-bar-1x3_8"),
    "inch, 3/16 cable": ("al-square-2.5", "al-flat-2.5x1.5", "al-saddle", "ss316-1x19-3_16",
                         "swage-stud-5_16", "through-bolt-3_8", "al-bar-1x3_8"),
    "inch, flexible cable": ("al-square-2.5", "al-flat-2.5x1.5", "al-saddle", "ss316-7x7-1_8",
                             "swage-stud-1_4", "lag-3_8", "al-bar-1x3_8"),
    "2 in aluminium": ("al-square-2", "al-flat-2.5x1.5", "al-saddle", "ss316-1x19-1_8",
                       "swage-stud-1_4-short", "through-bolt-3_8", "al-bar-1x3_8"),
    "2 in steel": ("steel-square-2", "al-flat-2.5x1.5", "al-saddle", "ss316-1x19-1_8",
                   "swage-stud-1_4-short", "through-bolt-3_8", "al-bar-1x3_8"),
    "metric": ("al-square-60", "al-flat-60x40", "al-saddle-60", "ss316-1x19-4", "swage-stud-m8",
               "through-bolt-m10", "al-bar-25x10"),
}  # fmt: skip


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return Catalog.standard()


def test_every_kind_has_profiles_and_no_other_folder_is_there() -> None:
    assert {kind for kind, _ in FILES} == set(KINDS)
    assert {path.name for path in shipped().iterdir() if path.is_dir()} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_named_profiles_are_shipped(catalog: Catalog, kind: str) -> None:
    assert set(NAMED[kind]) <= set(catalog.names(kind))


@pytest.mark.parametrize("kind,name", FILES)
def test_file_loads_and_every_value_has_an_origin(catalog: Catalog, kind: str, name: str) -> None:
    profile = catalog.get(kind, name)
    assert profile.name == name
    assert profile.file == f"profiles/{kind}/{name}.yaml"
    assert profile.description
    assert profile.entries
    for entry in profile.entries:
        assert entry.text, entry
        assert entry.invented or entry.source, entry
        assert not (entry.invented and entry.verified), entry


@pytest.mark.parametrize("kind,name", FILES)
def test_source_from_memory_or_practice_is_never_verified(
    catalog: Catalog, kind: str, name: str
) -> None:
    profile = catalog.get(kind, name)
    rows: tuple[Limit, ...] = ()
    if isinstance(profile, RuleSet):
        rows = tuple(profile.limits.values())
    for entry in (*profile.entries, *rows):
        if entry.source.startswith(("from memory", "common practice", "default")):
            assert not entry.verified, entry


@pytest.mark.parametrize("kind,name", FILES)
def test_material_named_is_shipped(catalog: Catalog, kind: str, name: str) -> None:
    profile = catalog.get(kind, name)
    materials = catalog.materials(profile)
    assert len(materials) == (1 if "material" in type(profile).__slots__ else 0)


@pytest.mark.parametrize("names", SETS.values(), ids=SETS)
def test_sets_go_together(catalog: Catalog, names: tuple[str, ...]) -> None:
    post, rail, bracket, cable, fitting, anchor, spacer = names
    assert not misfits(
        catalog.get("posts", post),
        catalog.get("rails", rail),
        catalog.get("brackets", bracket),
        catalog.get("cables", cable),
        catalog.get("fittings", fitting),
        catalog.get("anchors", anchor),
        catalog.get("spacers", spacer),
    )


def test_demo_post_and_rail_as_the_job_describes_them(catalog: Catalog) -> None:
    # Post 2-1/2 in square, wall 3/16 in, base plate 5 in; rail 2-1/2 x 1-1/2 in (invented).
    post = catalog.get("posts", "al-square-2.5")
    assert (post.width_mm, post.depth_mm, post.wall_mm) == pytest.approx((63.5, 63.5, 4.7625))
    assert (post.plate_mm, post.plate_thickness_mm) == pytest.approx((127, 9.525))
    assert (post.bolt_spacing_mm, post.bolt_hole_mm) == pytest.approx((101.6, 11.1125))
    assert (post.nosing_margin_mm, post.hole_clearance_mm) == pytest.approx((6.35, 0.79375))
    rail = catalog.get("rails", "al-flat-2.5x1.5")
    assert (rail.width_mm, rail.depth_mm, rail.wall_mm) == pytest.approx((63.5, 38.1, 3.175))


def test_demo_post_at_a_fascia_and_in_concrete(catalog: Catalog) -> None:
    # Side plate 5 x 6-1/2 in, 3/8 thick, stand-off 1-1/2 in, cored hole 4 in (invented).
    post = catalog.get("posts", "al-square-2.5")
    plate = (post.side_plate_mm, post.side_plate_height_mm, post.side_plate_thickness_mm)
    assert plate == pytest.approx((127, 165.1, 9.525))
    bolts = (post.standoff_mm, post.side_bolt_spacing_mm, post.side_bolts)
    assert bolts == pytest.approx((38.1, 114.3, 4))
    assert isinstance(post.side_bolts, int)
    assert (post.core_hole_mm, post.core_depth_mm, post.core_edge_mm) == pytest.approx((101.6,) * 3)


@pytest.mark.parametrize("name", NAMED["posts"])
def test_every_shipped_post_can_be_mounted_anyhow(catalog: Catalog, name: str) -> None:
    post = catalog.get("posts", name)
    assert not list(unmountable(post, "deck"))
    assert not list(unmountable(post, "fascia"))
    assert not list(unmountable(post, "core"))
    # As much concrete round the hole as the rule set asks for: common practice, no source.
    rim_mm = catalog.rules("irc-2021").limit("practice.core-edge").value
    assert post.core_edge_mm - post.core_hole_mm / 2 >= rim_mm - 1  # 50 mm and 2 in are one


@pytest.mark.parametrize("name", NAMED["rails"])
def test_a_sleeve_goes_into_its_rail_and_is_a_tube(catalog: Catalog, name: str) -> None:
    rail = catalog.get("rails", name)
    inside_mm = rail.depth_mm - 2 * rail.wall_mm - 2 * rail.sleeve_clearance_mm
    assert 0 < rail.sleeve_clearance_mm < rail.sleeve_wall_mm
    assert inside_mm > 2 * rail.sleeve_wall_mm
    assert rail.sleeve_mm > 2 * rail.width_mm


# 1x19 and 7x7 of equal wires: 19 wires in a circle of 5 wire diameters, 49 in one of 9
# (closed form, geometry of circles).
FILL = {"1x19": 19 / 25, "7x7": 49 / 81}


@pytest.mark.parametrize("name", NAMED["cables"])
def test_metallic_area_is_that_of_equal_wires(catalog: Catalog, name: str) -> None:
    cable = catalog.get("cables", name)
    circle = math.pi * cable.diameter_mm**2 / 4
    assert cable.area_mm2 == pytest.approx(FILL[cable.construction] * circle, rel=1e-5)


@pytest.mark.parametrize("name", NAMED["cables"])
def test_mass_is_that_of_the_metallic_area(catalog: Catalog, name: str) -> None:
    # 0.29 lb/in3 = 8027 kg/m3, or 7930 kg/m3 for the metric cable; no lay factor (closed form).
    cable = catalog.get("cables", name)
    density = 7930 if name == "ss316-1x19-4" else 0.29 * 0.45359237 / INCH**3 * 1e9
    assert cable.mass_kg_m == pytest.approx(cable.area_mm2 * 1e-6 * density, rel=2e-3)


# FAA AC 43.13-1B Table 7-3: diameter tolerance, plus only, in inches, by nominal diameter.
@pytest.mark.parametrize(
    "name,over_in",
    [
        ("ss316-1x19-1_8", 0.014),
        ("ss316-7x7-1_8", 0.014),
        ("ss316-1x19-4", 0.016),
        ("ss316-1x19-3_16", 0.018),
    ],
)
def test_largest_diameter(catalog: Catalog, name: str, over_in: float) -> None:
    cable = catalog.get("cables", name)
    over_mm = cable.max_diameter_mm - cable.diameter_mm
    assert over_mm == pytest.approx(over_in * INCH, abs=0.004)  # 4.41 mm is a rounded 4.4064


def test_stiffness_of_the_demo_cable(catalog: Catalog) -> None:
    # EA of 1/8 in 1x19 at 130 GPa on the metallic area: 175 800 lbf (computed apart, four figures).
    cable = catalog.get("cables", "ss316-1x19-1_8")
    assert cable.modulus_mpa * cable.area_mm2 / LBF == pytest.approx(175_800, rel=5e-4)
    assert cable.breaking_n == pytest.approx(1780 * LBF)  # from memory
    assert not next(row for row in cable.entries if row.field == "breaking").verified


def test_flexible_rope_bends_wider_than_the_factor_of_practice(catalog: Catalog) -> None:
    # 16 and 10 diameters (common practice, no source); 1x19 is not bent at all.
    factor = catalog.rules("irc-2021").limit("practice.bend-factor").value
    rope = catalog.get("cables", "ss316-7x7-1_8")
    assert rope.min_bend_mm >= factor * rope.diameter_mm
    for name in NAMED["cables"]:
        cable = catalog.get("cables", name)
        assert (cable.min_bend_mm == 0) == (cable.construction == "1x19")


def test_flexible_rope_is_rated_by_the_federal_table(catalog: Catalog) -> None:
    # FAA AC 43.13-1B Table 7-3, non-magnetic stainless, 1/8 in 7x19: 1 300 lb.
    cable = catalog.get("cables", "ss316-7x7-1_8")
    assert cable.breaking_n == pytest.approx(1300 * LBF)
    assert cable.min_bend_mm == 2 * INCH


# ASTM B221 by an extruder's alloy sheet: yield and ultimate in ksi, and the strengths beside a weld
# (Aluminum Design Manual, from memory).
@pytest.mark.parametrize(
    "name,strengths_ksi",
    [
        ("al-6063-t5", (16, 22, 8, 17)),
        ("al-6063-t6", (25, 30, 8, 17)),
        ("al-6005a-t5", (31, 38, 13, 24)),
        ("al-6005a-t61", (35, 38, 13, 24)),
        ("al-6061-t6", (35, 38, 15, 24)),
    ],
)
def test_aluminium_strengths(catalog: Catalog, name: str, strengths_ksi: tuple[float, ...]) -> None:
    alloy = catalog.get("materials", name)
    read = (
        alloy.yield_mpa,
        alloy.ultimate_mpa,
        alloy.welded_yield_mpa,
        alloy.welded_ultimate_mpa,
    )
    assert read == pytest.approx([ksi * KSI for ksi in strengths_ksi])
    verified = {row.field for row in alloy.entries if row.verified}
    assert verified == {"yield", "ultimate"}


def test_expansion_per_degree(catalog: Catalog) -> None:
    # 304: 9.6e-6 per degF is 17.3e-6 per degC; 316: 8.9e-6 is 16.0e-6 (from memory, both scales).
    for name, per_k in (("ss-304", 17.3e-6), ("ss-316", 16.0e-6), ("al-6063-t5", 23.4e-6)):
        assert catalog.get("materials", name).expansion_per_k == pytest.approx(per_k, rel=3e-3)


@pytest.mark.parametrize(
    "fitting_name,post_name",
    [
        ("swage-stud-1_4", "al-square-2.5"),
        ("swage-stud-1_4-short", "al-square-2"),
        ("swage-stud-5_16", "al-square-2.5"),
        ("swage-stud-m8", "al-square-60"),
    ],
)
def test_stud_begins_flush_with_its_nut_and_clear_of_the_post(
    catalog: Catalog, fitting_name: str, post_name: str
) -> None:
    # Stud flush with its nut before tensioning (common practice, no source).
    fitting = catalog.get("fittings", fitting_name)
    through = catalog.get("posts", post_name).width_mm
    behind = fitting.overall_mm - fitting.bore_mm - fitting.cable_setback_mm
    assert behind == pytest.approx(through + fitting.washer_thickness_mm + fitting.nut_height_mm)
    sleeve_starts_mm = fitting.cable_setback_mm + fitting.bore_mm - fitting.sleeve_length_mm
    assert sleeve_starts_mm > 1.2 * INCH
    # The nut stays on the thread until the sleeve meets the post.
    assert fitting.thread_mm >= sleeve_starts_mm + fitting.nut_height_mm


# Habits of the trade: common practice, no source, but for a distance of the NDS from memory.
PRACTICE = [
    ("practice.cable-tread-clearance", 0.25 * INCH, "mm", "common practice"),
    ("practice.loaded-span", 42 * INCH, "mm", "common practice"),
    ("practice.plate-gap", 0.25 * INCH, "mm", "common practice"),
    ("practice.post-edge", INCH, "mm", "common practice"),
    ("practice.core-edge", 2 * INCH, "mm", "common practice"),
    ("practice.bolt-edge", 1.5, "number", "Table 12.5.1"),  # NDS, from memory
    ("practice.bolt-joint", 1, "number", "common practice"),
    ("practice.wall-tool-reach", 1.5 * INCH, "mm", "common practice"),
    ("practice.socket-width", 1.5, "number", "common practice"),
    ("practice.wrench-head", 2.5, "number", "common practice"),
    ("practice.wrench-length", 2 * INCH, "mm", "common practice"),
    ("practice.wrench-swing", 30, "deg", "common practice"),
    ("practice.fittings-gap", INCH / 16, "mm", "common practice"),
    ("practice.parts-clearance", INCH / 8, "mm", "common practice"),
    ("practice.cable-turn.each", 90, "deg", "common practice"),
    ("practice.cable-turn.total", 90, "deg", "common practice"),
    ("practice.cable-length.straight", 60 * 12 * INCH, "mm", "common practice"),
    ("practice.cable-length.turned", 30 * 12 * INCH, "mm", "common practice"),
    ("practice.friction", 0.2, "number", "common practice"),
    ("practice.cable-safety", 5, "number", "common practice"),
    ("practice.bend-factor", 10, "number", "common practice"),
    ("practice.saw-miter", 60, "deg", "common practice"),
    ("practice.saw-bevel", 47, "deg", "common practice"),
]


@pytest.mark.parametrize("key,value,unit,clause", PRACTICE)
def test_habit_of_the_trade(
    catalog: Catalog, key: str, value: float, unit: str, clause: str
) -> None:
    # The limits of the codes are in tests/reference/test_rule_sets.py.
    limit = catalog.rules("practice").limit(key)
    assert (limit.value, limit.unit, limit.clause) == (pytest.approx(value), unit, clause)
    editions = {"Table 12.5.1": "NDS", "common practice": "no source"}
    assert limit.edition == editions[clause]
    assert not limit.verified


def test_practice_holds_no_other_limits(catalog: Catalog) -> None:
    rules = catalog.rules("practice")
    assert set(rules.limits) == {row[0] for row in PRACTICE}
    with pytest.raises(KeyError):
        rules.limit("guard.height.roof")


def test_no_file_of_the_catalogue_says_that_a_job_is_compliant() -> None:
    for kind, name in FILES:
        text = Path(shipped(), kind, f"{name}.yaml").read_text(encoding="utf-8")
        assert "complian" not in text.lower()


def test_profiles_are_values(catalog: Catalog) -> None:
    profile: Profile = catalog.get("posts", "al-square-2.5")
    assert profile == Catalog.standard().get("posts", "al-square-2.5")
    with pytest.raises(AttributeError):
        profile.name = "other"  # type: ignore[misc]
