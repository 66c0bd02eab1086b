"""Saw settings worked out from cut planes, against published tables of compound cuts.

Outside sources: crown-moulding tables for spring angles of 38 and 45 deg, with a worked example
read at geocities.ws/xpf51 (spring 38, corner 135: 14.30638 / 17.55124); the rafter table of the
framing square, two of its common rafters read in the Army Engineer course EN0069 (20.00 under 16,
17.69 under 13), the others and the hips from memory, not read, and equal to their closed forms.
"""

from __future__ import annotations

import math

import pytest

from generator.geometry import (
    UP,
    Frame,
    add,
    cross,
    distance,
    heading,
    left_of,
    lengthwise,
    scale,
    unit,
)
from generator.layout.rail import RailLine, cut_by, line_between, miter_cuts
from generator.parts.measure import saw_angles
from generator.parts.shapes import EndPlane

ORIGIN = (0.0, 0.0, 0.0)
FOOT = 12.0  # the framing square's figures are inches for a foot of run


def moulding(bearing_deg, spring_deg):
    """A moulding leaning off the wall on its right by the spring angle, its back on the table."""
    travel, room = heading(bearing_deg), left_of(bearing_deg)
    spring = math.radians(spring_deg)
    # Its face rises along the wall and leans into the room; the back is square to the face.
    back = add(scale(UP, math.sin(spring)), scale(room, -math.cos(spring)))
    return RailLine(Frame(ORIGIN, cross(back, travel), back, travel), 1.0, 10.0)


def settings(cut):
    """(miter, bevel) of a cut."""
    return saw_angles(EndPlane(0.0, cut.slope_x, cut.slope_y))


def corner(spring_deg, corner_deg):
    """Settings of both pieces at an inside corner of the room."""
    turn = 180.0 - corner_deg
    before, after = moulding(0.0, spring_deg), moulding(turn, spring_deg)
    return [settings(cut) for cut in miter_cuts(before, after, ORIGIN)]


TABLE = [
    (38, 60, 46.84, 43.03),
    (38, 90, 31.62, 33.86),
    (38, 120, 19.57, 23.20),
    (38, 135, 14.31, 17.55),
    (45, 60, 50.77, 37.76),
    (45, 90, 35.26, 30.00),
    (45, 120, 22.21, 20.70),
    (45, 135, 16.32, 15.70),
]


@pytest.mark.parametrize("spring, angle, miter, bevel", TABLE)
def test_crown_moulding_table(spring, angle, miter, bevel):
    for read_miter, read_bevel in corner(spring, angle):
        assert abs(read_miter) == pytest.approx(miter, abs=0.01)
        assert abs(read_bevel) == pytest.approx(bevel, abs=0.01)


def test_crown_moulding_worked_example():
    # geocities.ws/xpf51: spring 38 deg, corner 135 deg
    for miter, bevel in corner(38, 135):
        assert abs(miter) == pytest.approx(14.30638, abs=5e-6)
        assert abs(bevel) == pytest.approx(17.55124, abs=5e-6)


@pytest.mark.parametrize("spring", [38, 45])
@pytest.mark.parametrize("angle", range(60, 151, 5))
def test_crown_moulding_at_every_corner_of_the_table(spring, angle):
    # The tables' own formula: miter = atan(sin s / tan(c / 2)), bevel = asin(cos s cos(c / 2))
    s, half = math.radians(spring), math.radians(angle) / 2
    miter = math.degrees(math.atan(math.sin(s) / math.tan(half)))
    bevel = math.degrees(math.asin(math.cos(s) * math.cos(half)))
    first, second = corner(spring, angle)
    assert [abs(a) for a in first] == pytest.approx([miter, bevel], abs=1e-6)
    # The other piece is the same cut by the other hand.
    assert second == pytest.approx((-first[0], -first[1]), abs=1e-9)


RAFTERS = [
    (4, 12.65, 17.44),
    (6, 13.42, 18.00),
    (8, 14.42, 18.76),
    (9, 15.00, 19.21),
    (12, 16.97, 20.78),
    (13, 17.69, 21.38),
    (16, 20.00, 23.32),
    (18, 21.63, 24.74),
]


def rafter(rise, plan):
    """A rail from the plate to a foot of run further in, and its length."""
    east, north = plan
    top = (east, north, rise)
    bearing = math.degrees(math.atan2(north, east))
    return line_between(ORIGIN, top, bearing, 1.0), distance(ORIGIN, top)


@pytest.mark.parametrize("rise, common, hip", RAFTERS)
def test_framing_square_lengths(rise, common, hip):
    for plan, length in (((FOOT, 0.0), common), ((FOOT, FOOT), hip)):
        line, along = rafter(rise, plan)
        assert line.stretch * math.hypot(*plan) == pytest.approx(length, abs=0.005)
        assert along == pytest.approx(length, abs=0.005)


@pytest.mark.parametrize("rise, common, hip", RAFTERS)
def test_framing_square_side_cuts(rise, common, hip):
    # Jacks 144 / common, hip 203.65 / hip, each against 12 on the other arm of the square: the cut
    # by the plumb plane at 45 deg to the rafter in plan, seen on its top.
    for plan, figure in (((FOOT, 0.0), 144 / common), ((FOOT, FOOT), 203.65 / hip)):
        line, _ = rafter(rise, plan)
        bearing = math.degrees(math.atan2(plan[1], plan[0]))
        cut = cut_by(line, ORIGIN, heading(bearing + 45.0), "hip")
        miter, _ = settings(cut)
        assert FOOT / abs(math.tan(math.radians(miter))) == pytest.approx(figure, abs=0.01)


@pytest.mark.parametrize("rise, difference", [(8, 19.23), (12, 22.63)])
def test_framing_square_difference_of_jacks_16_in_apart(rise, difference):
    line, _ = rafter(rise, (FOOT, 0.0))
    assert line.stretch * 16.0 == pytest.approx(difference, abs=0.005)


@pytest.mark.parametrize("rise", [4, 8, 12, 18])
def test_a_hip_is_where_two_roofs_meet(rise):
    # The rafter table's hip against the intersection of the planes of both roofs.
    slope = rise / FOOT
    ours, theirs = (-slope, 0.0, 1.0), (0.0, -slope, 1.0)
    line, _ = rafter(rise, (FOOT, FOOT))
    assert line.frame.z == pytest.approx(unit(cross(ours, theirs)), abs=1e-12)


@pytest.mark.parametrize("pitch", [5, 17.5, 30, 44])
def test_a_pitched_piece_cut_plumb_is_beveled_by_its_pitch(pitch):
    # Common practice, no source: rail to plumb post is sawn the pitch off square.
    line = RailLine(lengthwise(ORIGIN, 20.0, pitch), 1 / math.cos(math.radians(pitch)), 10.0)
    assert settings(cut_by(line, ORIGIN, heading(20.0), "plumb")) == pytest.approx((0.0, -pitch))
