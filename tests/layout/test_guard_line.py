"""The guard line beside the measured path, and level posts along it (geometry: path, guard line).

Outside check: shapely's mitred offset of the path. Worked values: by hand.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

from generator.layout import layout

INSET = 100.0
HALF_POST = 31.75
LEG_MM = 9000.0


def legs_of(job):
    return layout(job).runs[0].legs


def bases(job):
    return [site.base for site in layout(job).posts]


def span(leg):
    return leg.stations_mm[-1] - leg.stations_mm[0]


@pytest.mark.parametrize("turn", [10, 30, 45, 60, 90, 120, 150, 170])
@pytest.mark.parametrize("deck, toward", [("left", 1), ("right", -1)])
def test_a_leg_is_shorter_at_a_turn_toward_the_walking_surface_and_longer_away(
    job_of, deck, toward, turn
):
    change = INSET * math.tan(math.radians(turn / 2))
    for sign in (toward, -toward):
        legs = [{"level": LEG_MM}, {"turn": sign * turn}, {"level": LEG_MM}]
        job = job_of(legs, deck=deck, edge_inset=INSET)
        shorter = change if sign == toward else -change
        for leg in legs_of(job):
            # A free end takes the inset, the corner takes the change.
            assert span(leg) == pytest.approx(LEG_MM - INSET - shorter, abs=1e-6)


@given(
    turn=st.floats(-150, 150).filter(lambda t: abs(t) >= 5),
    bearing=st.floats(-180, 180),
    inset=st.floats(1, 300),
    deck=st.sampled_from(["left", "right"]),
)
def test_a_corner_post_stands_on_the_mitred_offset_of_the_path(job_of, turn, bearing, inset, deck):
    legs = [{"level": LEG_MM}, {"turn": turn, "corner": "single"}, {"level": LEG_MM}]
    job = job_of(legs, deck=deck, start={"bearing": bearing}, edge_inset=inset)
    first, second = legs_of(job)
    ends = (first.line.edge(0.0), second.line.edge(0.0), second.line.edge(LEG_MM))
    offset = LineString([end[:2] for end in ends]).offset_curve(
        inset if deck == "left" else -inset, join_style="mitre", mitre_limit=1e3
    )
    corner = layout(job).posts[first.posts[-1]].base[:2]
    assert corner == pytest.approx(offset.coords[1], abs=1e-6)


@pytest.mark.parametrize("deck, y", [("left", INSET), ("right", -INSET)])
def test_posts_stand_inset_toward_the_walking_surface(job_of, deck, y):
    job = job_of([{"level": 3000}], deck=deck, edge_inset=INSET)
    assert {base[1] for base in bases(job)} == {y}


def test_a_post_at_a_wall_shows_it_its_near_face_at_the_gap(job_of):
    job = job_of([{"level": 3000}], start={"end": "wall"}, end="wall", wall_gap=50)
    x = [base[0] for base in bases(job)]
    assert (x[0], x[-1]) == (50.0 + HALF_POST, 3000.0 - 50.0 - HALF_POST)


@given(
    length=st.floats(500, 40_000),
    spacing=st.floats(300, 2500),
)
def test_level_bays_are_equal_within_the_spacing_and_the_fewest(job_of, length, spacing):
    job = job_of([{"level": length}], edge_inset=INSET, max_post_spacing=spacing)
    (leg,) = legs_of(job)
    bays = [b - a for a, b in pairwise(leg.stations_mm)]
    guard = length - 2 * INSET
    assert sum(bays) == pytest.approx(guard, abs=1e-6)
    assert max(bays) - min(bays) < 1e-6
    assert max(bays) <= spacing * (1 + 1e-9)
    if len(bays) > 1:
        assert guard / (len(bays) - 1) > spacing


@pytest.mark.parametrize("over, bays", [(-1e-3, 4), (0.0, 4), (1e-3, 5)])
def test_a_leg_of_whole_bays_takes_no_more_for_rounding(job_of, over, bays):
    job = job_of(
        [{"level": 4 * 1828.8 + 2 * INSET + over}], edge_inset=INSET, max_post_spacing="6 ft"
    )
    assert len(legs_of(job)[0].stations_mm) == bays + 1


def test_legs_with_no_turn_between_them_share_a_post_at_the_joint(job_of):
    first, second = legs_of(job_of([{"level": 3000}, {"level": 2000}], edge_inset=INSET))
    assert first.posts[-1] == second.posts[0]
    assert (first.stations_mm[-1], second.stations_mm[0]) == (3000.0, 0.0)
    assert (first.end_joint, second.start_joint) == ("single", "single")
    assert (first.rails[-1].end_on, second.rails[0].start_on) == ("joint on post",) * 2


def test_runs_are_laid_out_each_for_itself(job_of, spec_values, read_values):
    values = spec_values("straight-leg")
    again = {**values["runs"][0], "id": "B"}
    again["start"] = {**again["start"], "y": "20 ft"}
    values["runs"].append(again)
    plan = layout(read_values(values))
    first, second = (run.legs[0] for run in plan.runs)
    assert first.stations_mm == second.stations_mm
    assert len(plan.posts) == 10
    assert [site.base[1] for site in plan.posts[5:]] == pytest.approx([240 * 25.4 + 114.3] * 5)
