"""Distance of a segment and a convex polygon against shapely, apart and overlapping.

Overlapping, the least shift that takes two convex shapes apart is the distance of the origin from
the rim of their Minkowski difference.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, MultiPoint, Point, Polygon

from generator.checks.distance import segment_to_polygon

COORDINATES = st.floats(-100, 100).map(lambda value: round(value, 3))
POINTS = st.tuples(COORDINATES, COORDINATES)


@st.composite
def convex_polygons(draw):
    """Corners on an ellipse, at least 20 degrees apart."""
    slots = draw(st.lists(st.integers(0, 17), min_size=3, max_size=8, unique=True))
    (x, y), width, height = draw(POINTS), draw(st.floats(2, 80)), draw(st.floats(2, 80))
    turns = [math.radians(20 * slot) for slot in sorted(slots)]
    return tuple((x + width * math.cos(t), y + height * math.sin(t)) for t in turns)


@st.composite
def segments(draw):
    (x, y), length, turn = draw(POINTS), draw(st.floats(0.1, 200)), draw(st.floats(0, 6.28))
    return (x, y), (x + length * math.cos(turn), y + length * math.sin(turn))


def signed(segment, corners):
    return segment_to_polygon(segment[0], segment[1], corners)[0]


def shift_apart(segment, corners):
    """Least shift that takes them apart, by the Minkowski difference; 0 where they are apart."""
    points = [(p[0] - c[0], p[1] - c[1]) for p in segment for c in corners]
    difference = MultiPoint(points).convex_hull
    assert isinstance(difference, Polygon)
    origin = Point(0.0, 0.0)
    return difference.exterior.distance(origin) if difference.contains(origin) else 0.0


@given(segment=segments(), corners=convex_polygons())
def test_signed_distance_agrees_with_shapely(segment, corners):
    apart = LineString(segment).distance(Polygon(corners))
    wanted = apart if apart > 1e-9 else -shift_apart(segment, corners)
    assert signed(segment, corners) == pytest.approx(wanted, abs=1e-9)


@given(segment=segments(), corners=convex_polygons())
def test_distance_does_not_depend_on_the_order_of_points(segment, corners):
    here = pytest.approx(signed(segment, corners), abs=1e-9)
    assert signed(segment[::-1], corners) == here
    assert signed(segment, (*corners[1:], corners[0])) == here
    assert signed(segment, corners[::-1]) == here


@settings(max_examples=40)
@given(segment=segments(), corners=convex_polygons())
def test_an_overlap_is_undone_by_its_own_shift_and_by_no_smaller_one(segment, corners):
    middle = Polygon(corners).centroid
    (x0, y0), _ = segment
    through = [(x - x0 + middle.x, y - y0 + middle.y) for x, y in segment]
    depth = -signed(through, corners)
    assert any(clear_after(through, corners, depth * 1.001))
    assert not any(clear_after(through, corners, depth * 0.999))


def clear_after(segment, corners, length):
    """Whether they are apart after a shift of that length, for every half degree all round."""
    line, body = LineString(segment), Polygon(corners)
    for k in range(720):
        turn = math.radians(k / 2)
        moved = affinity.translate(body, length * math.cos(turn), length * math.sin(turn))
        yield line.distance(moved) > 0.0


@given(segment=segments(), corners=convex_polygons())
def test_the_point_told_is_the_bodys_nearest(segment, corners):
    distance, at = segment_to_polygon(segment[0], segment[1], corners)
    if distance <= 1e-6:
        return  # overlapping, every point of the overlap is as near as any
    upright = LineString([(at, -1e3), (at, 1e3)])
    there = Polygon(corners).buffer(1e-9).intersection(upright)
    assert there.distance(LineString(segment)) == pytest.approx(distance, abs=1e-5)


@pytest.mark.parametrize(
    "a, b, distance",
    [
        ((0.0, 3.0), (10.0, 3.0), 2.0),  # above the square
        ((-5.0, 0.5), (5.0, 0.5), -0.5),  # through it, nearer its top
        ((-5.0, 1.0), (5.0, 1.0), 0.0),  # along its top
        ((4.0, 5.0), (8.0, 5.0), 5.0),  # off its corner: 3, 4, 5
        ((0.0, 0.0), (0.0, 0.0), -1.0),  # a point in its middle
    ],
)
def test_distances_from_a_square_by_hand(a, b, distance):
    square = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    assert segment_to_polygon(a, b, square)[0] == pytest.approx(distance, abs=1e-12)
