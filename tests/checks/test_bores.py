"""Studs and cables moved within the holes drilled for them until they meet the edge.

Worked by hand: on the level half of a hole's clearance is left all round, 1/64 in.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from changing import changed, shifted
from generator.checks.bores import check_bores
from generator.geometry import scale
from generator.layout import layout
from generator.parts.assembly import SpacerDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Route

INCH = 25.4
ROOM = INCH / 64
TINY = 2e-6


@pytest.fixture(scope="module")
def assembly(lake_deck):
    return lake_deck.assembly


def test_every_bar_of_the_examples_passes_its_hole(root, planned):
    for path in sorted((root / "examples").glob("*.yaml")):
        assert list(check_bores(planned(path.stem).assembly)) == [], path.stem


@pytest.mark.parametrize("turn", [0, 90, 180, 215, 270])
@pytest.mark.parametrize("mark, body", [("F3S", "P1"), ("C3", "S1")])
def test_a_bar_moved_across_its_hole(assembly, mark, body, turn):
    job = assembly.job
    spare = job.system.post.hole_clearance_mm if body == "P1" else 0.0
    if not spare:
        hole = assembly.by_mark[body].shape.holes[0]
        spare = hole.width_mm - job.system.cable.diameter_mm
    else:
        assert spare / 2 == pytest.approx(ROOM)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    for far, past in ((spare / 2 - TINY, False), (spare / 2 + TINY, True), (2.0, True)):
        outcomes = list(check_bores(shifted(assembly, mark, (0.0, far * c, far * s))))
        assert bool(outcomes) is past
        for outcome in outcomes:
            code = "clash.fittings" if mark == "F3S" else "clash.cable-post"
            assert outcome.code == code
            assert outcome.where[0] == mark
            assert outcome.measured == pytest.approx(spare / 2 - far, abs=1e-8)
        assert not past or outcomes[0].where[1] == body


def test_a_stud_on_the_rake_has_half_the_clearance_up_and_down(assembly):
    # Slots are d / cos + t tan and the clearance high (geometry.md D), so that the stud, askew in
    # the wall, has half of the clearance left above and below.
    for sign in (1.0, -1.0):
        assert list(check_bores(shifted(assembly, "F25S", (0.0, 0.0, sign * (ROOM - TINY))))) == []
        (outcome,) = check_bores(shifted(assembly, "F25S", (0.0, 0.0, sign * (ROOM + 1.0))))
        assert outcome.where == ("F25S", "P9")
        assert outcome.measured == pytest.approx(-1.0, abs=1e-6)


def test_a_spacer_drilled_elsewhere(assembly):
    spacer = assembly.by_mark["S1"]
    holes = tuple(replace(hole, along_mm=hole.along_mm + 1.0) for hole in spacer.shape.holes)
    lifted = changed(
        assembly, "S1", lambda part: replace(part, shape=replace(part.shape, holes=holes))
    )
    (outcome,) = check_bores(lifted)
    assert outcome.where[1] == "S1"
    assert len(detail_of(spacer, SpacerDetail).drilling) == 11
    assert outcome.message.endswith("into the edge of its hole in S1")


def test_a_hole_that_leans_takes_a_bar_along_it(planned):
    # The timber column of the porch is drilled at the pitch; on the level the hole is round.
    assembly = planned("porch-columns").assembly
    column = next(part for part in assembly.of_kind("column") if part.shape.holes)
    fitting = next(p for p in assembly.of_kind("fitting") if p.belongs_to != p.mark)
    assert list(check_bores(assembly)) == []
    assert column.shape.holes[0].depth_mm == pytest.approx(5.5 * INCH)
    off = list(check_bores(shifted(assembly, fitting.mark, scale(fitting.place.x, 5.0))))
    assert [o.where[0] for o in off] == [fitting.mark]


def test_a_cable_led_round_a_corner_is_measured_in_each_leg(job_of):
    # Half of the spacer's clearance over the 7x7 cable is left in every hole, on either leg.
    legs = [
        {"level": 3000},
        {"turn": -105, "corner": "pair-through", "rail": "miter"},
        {"ramp": {"length": 2400, "rise": -200}},
    ]
    job = job_of(legs, max_cable_span=500, system={"cable": "ss316-7x7-1_8"})
    assembly = assemble(layout(job))
    carried = next(
        part
        for part in assembly.of_kind("cable")
        if isinstance(part.shape, Route) and len(part.shape.points) > 2
    )
    assert {part.leg for part in assembly.of_kind("spacer")} == {1, 2}
    assert list(check_bores(assembly)) == []
    outcomes = list(check_bores(shifted(assembly, carried.mark, (0.0, 0.0, 2.0))))
    assert [outcome.where[0] for outcome in outcomes] == [carried.mark]
