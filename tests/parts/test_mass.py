"""What parts weigh, worked by hand for one job, and how unknown weights are left out."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from generator.parts.mass import (
    Scales,
    item_masses,
    weight_notes,
    wood_density_kg_m3,
)

LB = 0.45359237
ALUMINIUM, STAINLESS = 0.098, 0.290  # lb/in3, of the profiles that the job names


def circle(diameter: float) -> float:
    return math.pi / 4 * diameter**2


def hexagon(flats: float) -> float:
    return math.sqrt(3) / 2 * flats**2


def test_mass_of_the_straight_leg_worked_by_hand(light):
    # 22 ft less 4-1/2 in at each end: posts 255 in apart in all, four bays, one spacer in each;
    # 11 rows. Inches and pounds.
    posts = 5 * (2.5**2 - 2.125**2) * (36 - 1.5 - 0.25 - 0.375)  # rail, bracket, plate off 36 in
    studs = 2 * 22 * circle(0.25 + 1 / 32) * 3 / 16  # both walls of both end posts
    passed = 3 * 22 * circle(0.139 + 1 / 32) * 3 / 16
    plates = 5 * (25 - 4 * circle(7 / 16)) * 3 / 8
    rail = (2.5 * 1.5 - 2.25 * 1.25) * (255 + 2 * (1.25 + 1))
    spacers = 4 * (3 / 8 * 31 - 11 * circle(0.139 + 1 / 32) * 3 / 8) * 1
    order = 255 - 2.5 - 2 * 1.5 + 1  # route less what the fittings hold, and trim
    fitting = circle(0.25) * (5 + 17 / 32) - circle(0.125) * 1.25
    by_hand = {
        "post al-square-2.5": (posts - studs - passed) * ALUMINIUM,
        "base plate for al-square-2.5": plates * ALUMINIUM,
        "bracket al-saddle": 5 * 2.5 * 2 * 0.25 * ALUMINIUM,
        "rail al-flat-2.5x1.5": rail * ALUMINIUM,
        "spacer al-bar-1x3_8": spacers * ALUMINIUM,
        "cable ss316-1x19-1_8": 11 * order / 12 * 0.0325,
        "end fitting swage-stud-1_4": 22 * fitting * STAINLESS,
        "washer for swage-stud-1_4": 22 * (circle(0.625) - circle(0.25 + 0.8 / 25.4))
        / 16 * STAINLESS,
        "nut for swage-stud-1_4": 22 * (hexagon(7 / 16) - circle(0.25)) * 7 / 32 * STAINLESS,
        "washer for through-bolt-3_8": 40 * (circle(13 / 16) - circle(3 / 8)) / 16 * STAINLESS,
        "nut for through-bolt-3_8": 20 * (hexagon(9 / 16) - circle(3 / 8)) * 21 / 64 * STAINLESS,
    }  # fmt: skip
    masses = item_masses(light("straight-leg").assembly)
    bolt = next(item for item in masses if item.startswith("anchor "))
    long = 3.5 if "3 1/2" in bolt else float("nan")
    head = hexagon(9 / 16) / 4  # drawn as the circle across its corners, weighed as it is
    by_hand[bolt] = 20 * (circle(3 / 8) * long + head) * STAINLESS
    for item, pounds in by_hand.items():
        assert masses.pop(item) == pytest.approx(pounds * LB, rel=1e-6), item
    # Screws, caps and tape: no profile tells what they weigh.
    assert set(masses.values()) == {None}


def test_density_of_wood_by_the_formula_of_the_supplement():
    # NDS Supplement 3.1.3, from memory: 62.4 G / (1 + G 0.009 mc) (1 + mc / 100) in lb/ft3; for
    # southern pine, G 0.55, at 19 % that is 37.34 lb/ft3, or 598.2 kg/m3.
    pounds = 62.4 * 0.55 / (1 + 0.55 * 0.009 * 19) * 1.19
    assert wood_density_kg_m3("southern-pine") == pytest.approx(pounds * 16.01846, rel=1e-3)
    assert wood_density_kg_m3("southern-pine") == pytest.approx(598.2, abs=0.1)
    assert wood_density_kg_m3("ebony") is None


def test_a_wood_that_is_not_known_has_no_weight(light):
    job = light("lake-deck").job
    joists = replace(job.structure.joists, species="ebony")
    strange = replace(job, structure=replace(job.structure, joists=joists))
    block = next(light("lake-deck").assembly.of_kind("blocking"))
    assert Scales(job).part_kg(block) == pytest.approx(14.5 * 1.5 * 9.25 * 25.4**3 * 1e-9 * 598.2,
                                                       rel=1e-3)  # fmt: skip
    assert Scales(strange).part_kg(block) is None
    assert not any("ebony" in note for note in weight_notes(strange))


def test_a_handrail_weighs_no_less_than_it_can(light):
    """No job says what a handrail is made of: a solid bar of the rail's material, and told so."""
    for name in ("both-sides-stair", "mill-mezzanine"):
        planned = light(name)
        scales = Scales(planned.job)
        densities = {one.name: one.density_kg_m3 for one in planned.job.system.materials}
        of = {
            "handrail": densities[planned.job.system.rail.material],
            "handrail-bracket": densities[planned.job.system.post.material],
        }
        found = list(planned.assembly.of_kind("handrail", "handrail-bracket"))
        assert found
        for part in found:
            wanted = part.shape.volume_mm3 * 1e-9 * of[part.kind]
            assert scales.part_kg(part) == pytest.approx(wanted, rel=1e-9)
        assert any("solid bar" in note for note in weight_notes(planned.job))


def test_every_density_is_told_with_its_source(light_lake_deck):
    notes = list(weight_notes(light_lake_deck.job))
    assert [note.split(":")[0] for note in notes] == [
        "al-6061-t6", "ss-316-cw", "ss-316", "wood, southern-pine",
    ]  # fmt: skip
    assert all("not read" in note for note in notes)
