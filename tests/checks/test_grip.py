"""Sections of handrails of Type II, by hand in inches: IRC 2024 R320.6, IBC 1014.3.2.

A recess on both sides begins within 3/4 in of the top, is 5/16 in deep within 7/8 in under the
widest part, goes on so for 3/8 in and to 1-3/4 in under the top; over it the section is 1-1/4 to
2-3/4 in wide. Read in a second-hand copy of the IRC 2024. Levels here are told from the top down.
"""

from __future__ import annotations

import math

import pytest

from generator.checks.grip import finger_recess, graspable, grips, perimeter
from generator.parts.shapes import Polygon, Rectangle

INCH = 25.4


def profile(
    *, wide=1.25, begin=0.75, slope=0.25, depth=0.3125, level=1.75, foot=2.5, foot_wide=None
):
    """Half widths by level, mirrored: widest at `begin`, drawn in by `depth` over `slope`, so down
    to `level`, then out again to the foot."""
    inner = wide - depth
    right = [
        (wide, 0.0),
        (wide, begin),
        (inner, begin + slope),
        (inner, level),
        (foot_wide or wide, level + 0.2),
        (foot_wide or wide, foot),
    ]
    points = [(x, -y) for x, y in right] + [(-x, -y) for x, y in reversed(right)]
    # Counter-clockwise: down the left side, up the right.
    return Polygon(tuple((x * INCH, y * INCH) for x, y in reversed(points)))


def test_the_profile_at_every_limit_is_one_of_type_two(lake_deck):
    outline = profile()
    assert outline.area_mm2 > 0
    assert perimeter(outline) > 6.25 * INCH
    assert graspable(lake_deck.job, outline)
    recess = finger_recess(outline.corners, 1.0, 0.3125 * INCH, 0.875 * INCH)
    assert recess is not None
    assert recess.begin_mm / INCH == pytest.approx(0.75)
    assert recess.wide_mm / INCH == pytest.approx(1.25)
    assert recess.depth_mm / INCH == pytest.approx(0.3125)
    assert recess.run_mm / INCH == pytest.approx(0.75)
    assert recess.level_mm / INCH == pytest.approx(1.75)


JUST = 1e-4
# (what is changed, the measure that breaks, measured in inches)
FAULTS = [
    ({"begin": 0.75 + JUST}, "recess under the top", 0.75 + JUST),
    ({"depth": 0.3125 - JUST}, "depth of the recess", 0.3125 - JUST),
    # The depth comes an inch under the widest part: at 7/8 in it is 7/8 of 0.3125.
    ({"begin": 0.5, "slope": 1.0, "level": 2.0}, "depth of the recess", 0.875 * 0.3125),
    ({"level": 1.75 - JUST}, "reach of the recess under the top", 1.75 - JUST),
    ({"begin": 0.74, "slope": 0.8, "level": 1.9}, "length of that depth", 0.36),
    ({"wide": 1.375 + JUST}, "width over the recess", 2.75 + 2 * JUST),
    ({"wide": 0.625 - JUST, "foot_wide": 1.2}, "width over the recess", 1.25 - 2 * JUST),
]


@pytest.mark.parametrize("change, words, measured", FAULTS)
def test_past_a_limit_it_is_none(lake_deck, change, words, measured):
    outline = profile(**change)
    assert not graspable(lake_deck.job, outline)
    broken = {grip.words: grip.measured for grip in grips(lake_deck.job, outline) if not grip.holds}
    assert broken[words] / INCH == pytest.approx(measured)


def test_one_side_alone_is_no_recess(lake_deck):
    corners = [(x if x < 0 else min(abs(x), 1.25 * INCH), y) for x, y in profile().corners]
    flat = Polygon(tuple((1.25 * INCH if x > 0 else x, y) for x, y in corners))
    assert finger_recess(flat.corners, 1.0, 1.0, 1.0) is None
    assert finger_recess(flat.corners, -1.0, 1.0, 1.0) is not None
    assert not graspable(lake_deck.job, flat)


def test_a_board_on_edge_has_no_recess(lake_deck):
    # 1-1/2 by 3-1/2 in: perimeter 10 in, nothing for the fingers.
    outline = Rectangle(1.5 * INCH, 3.5 * INCH, 3.0)
    (around,) = [
        grip
        for grip in grips(lake_deck.job, outline)
        if grip.words == "perimeter" and not grip.holds
    ]
    # Arcs: 8 r - 2 pi r less.
    assert around.measured == pytest.approx(10 * INCH - (8 - 2 * math.pi) * 3.0)


def test_a_rule_set_without_a_grip_takes_no_section_for_one(lake_deck, read_values, spec_values):
    values = spec_values("lake-deck")
    values["job"]["rules"] = "nbc-2020"
    assert not graspable(read_values(values), Rectangle(38.0, 38.0, 3.0))
