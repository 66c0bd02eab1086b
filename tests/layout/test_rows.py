"""Rows of cables from the bottom gap to the rail, on the level, at a pitch, in a shared post.

Worked values: by hand. Clear gaps count square to the cables.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.layout import layout

INCH = 25.4
CABLE = 0.125 * INCH
STUD = 0.25 * INCH
RAIL_DEPTH = 1.5 * INCH
LEAST_TOP_GAP = 0.5 * INCH

LEVEL = [{"level": 4000}]
STAIR = [{"stair": {"risers": 7, "rise": 48 * INCH, "tread": 11 * INCH}}]
MEASURES = {
    "height": st.floats(850, 1200),
    "bottom_gap": st.floats(40, 101),
    "cable_spacing": st.floats(50, 120),
}


def clear_gaps(leg):
    """Clear gaps square to the cables, the last of them under the rail."""
    cosine = 1.0 / math.hypot(1.0, leg.line.slope)
    between = [(b - a) * cosine - CABLE for a, b in pairwise(leg.rows_mm)]
    under_rail = (leg.rail_top_mm - leg.rows_mm[-1]) * cosine - RAIL_DEPTH - CABLE / 2
    return [*between, under_rail]


def only_leg(job):
    (leg,) = layout(job).runs[0].legs
    return leg


def rows_job(job_of, legs, rows, measures):
    return job_of(legs, rows=rows, stair_height=measures["height"], **measures)


@pytest.mark.parametrize("legs", [LEVEL, STAIR], ids=["level", "stair"])
@settings(max_examples=40)
@given(measures=st.fixed_dictionaries(MEASURES))
def test_rows_at_a_pitch_go_on_until_the_rail_is_near(job_of, legs, measures):
    leg = only_leg(rows_job(job_of, legs, "pitch", measures))
    cosine = 1.0 / math.hypot(1.0, leg.line.slope)
    spacing = measures["cable_spacing"]
    for a, b in pairwise(leg.rows_mm):
        assert b - a == pytest.approx(spacing, abs=1e-6)
    under_rail = clear_gaps(leg)[-1]
    one_more = under_rail - spacing * cosine
    assert under_rail >= LEAST_TOP_GAP - 1e-3
    assert under_rail <= spacing - CABLE + 1e-3 or one_more < LEAST_TOP_GAP + 1e-3
    if len(leg.rows_mm) > 1:
        # No row too many: without the top one the gap was still too large.
        assert under_rail + spacing * cosine > spacing - CABLE - 1e-3


@pytest.mark.parametrize("legs", [LEVEL, STAIR], ids=["level", "stair"])
@settings(max_examples=40)
@given(measures=st.fixed_dictionaries(MEASURES))
def test_even_rows_are_the_fewest_that_keep_equal_gaps(job_of, legs, measures):
    leg = only_leg(rows_job(job_of, legs, "even", measures))
    gaps = clear_gaps(leg)
    most = measures["cable_spacing"] - CABLE
    assert max(gaps) - min(gaps) < 1e-6
    assert max(gaps) <= most + 1e-6
    rows = len(leg.rows_mm)
    if rows > 1:
        # The same height shared by one gap and one cable fewer.
        fewer = (sum(gaps) + (rows - 1) * CABLE - (rows - 2) * CABLE) / (rows - 1)
        assert fewer > most - 1e-6


@pytest.mark.parametrize("rows", ["pitch", "even"])
@given(gap=st.floats(40, 101), setback=st.floats(70, 130))
@settings(max_examples=30)
def test_lowest_axis_is_set_from_the_surface_that_posts_stand_on(job_of, rows, gap, setback):
    lowest = gap + CABLE / 2
    assert only_leg(job_of(LEVEL, rows=rows, bottom_gap=gap)).rows_mm[0] == pytest.approx(lowest)
    leg = only_leg(job_of(STAIR, rows=rows, bottom_gap=gap, stair_setback=setback))
    # Over the nosing line it is lower by what the line falls over the setback.
    over_line = lowest - setback * 48 / 77
    assert leg.rows_mm[0] == pytest.approx(over_line, abs=1e-6)


def test_rows_of_the_lake_deck(lake_deck):
    # By hand: 11 rows from 3.0625 in at 3 in; on the stair from 1.19237 in over the nosing line
    first, _, stair = layout(lake_deck.job).runs[0].legs
    wanted = [3.0625 + 3 * k for k in range(11)]
    assert [row / INCH for row in first.rows_mm] == pytest.approx(wanted, abs=1e-9)
    assert len(stair.rows_mm) == 11
    assert stair.rows_mm[0] / INCH == pytest.approx(1.19237, abs=5e-6)


def corner(turn=90):
    return [{"level": 3000}, {"turn": turn, "corner": "single"}, {"level": 3000}]


def lowest_two(job):
    first, second = layout(job).runs[0].legs
    return first.rows_mm[0] / INCH, second.rows_mm[0] / INCH


def test_later_legs_rows_move_down_by_the_stud_and_a_sixteenth(job_of):
    # By hand: stud 1/4 in and 1/16 in is 5/16 in
    first, second = lowest_two(job_of(corner(), bottom_gap="3 in"))
    assert (first, second) == pytest.approx((3.0625, 2.75), abs=1e-9)


def test_later_legs_rows_move_up_where_the_base_is_in_the_way(job_of):
    # By hand: down 5/16 in from 13/16 in is 1/2 in, the plate is 3/8 in thick and the stud 1/8 in
    # to its axis: they would touch. Up it is 1-1/8 in.
    first, second = lowest_two(job_of(corner(), bottom_gap="3/4 in"))
    assert (first, second) == pytest.approx((0.8125, 1.125), abs=1e-9)


def test_legs_that_end_by_themselves_keep_their_rows(job_of):
    legs = [{"level": 3000}, {"turn": 90, "corner": "pair"}, {"level": 3000}]
    assert lowest_two(job_of(legs, bottom_gap="3 in")) == pytest.approx((3.0625, 3.0625))


@settings(max_examples=50)
@given(turn=st.floats(45, 135), gap=st.floats(20, 90), spacing=st.floats(60, 100))
def test_studs_of_two_legs_keep_clear_of_each_other_and_of_the_base(job_of, turn, gap, spacing):
    first, second = layout(job_of(corner(turn), bottom_gap=gap, cable_spacing=spacing)).runs[0].legs
    apart = min(abs(a - b) for a in first.rows_mm for b in second.rows_mm)
    assert apart >= STUD + INCH / 16 - 1e-6
    assert second.rows_mm[0] - STUD / 2 > 0.375 * INCH
    # Moved rows still keep the openings of the code, 4 in (IRC 2021 R312.1.3).
    assert max(second.rows_mm[0] - CABLE / 2, *clear_gaps(second)) < 4 * INCH
