"""Outlines worked out from analytic shapes, against closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPoint, Polygon

from generator.drawings.lettering import Box
from generator.drawings.project import PLAN, Plane, covered, hull, picture, silhouette, uncovered
from generator.drawings.view import Arc, Outline
from generator.geometry import EndPlane, Frame, lengthwise, tand, upright
from generator.parts.assembly import Part
from generator.parts.shapes import Prism, Route, Shape, Step, Turned, tube

FRONT = Plane((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
_COORDINATE = st.floats(-100.0, 100.0).map(lambda value: round(value, 3))
_POINTS = st.lists(st.tuples(_COORDINATE, _COORDINATE), min_size=3, max_size=12)


def _part(shape: Shape, place: Frame) -> Part:
    return Part("X1", "rail", "", "A", 1, shape, place, "X1")


def test_a_mitered_rail_in_plan_is_a_trapezoid():
    # Worked by hand: 60 wide, mitered 45 degrees at its end: 60 longer on the far side.
    rail = Prism(tube(60.0, 40.0, 3.0), EndPlane(0.0), EndPlane(1000.0, slope_x=1.0))
    (item,) = picture(_part(rail, lengthwise((0.0, 0.0, 900.0), 0.0, 0.0)), PLAN, "")
    assert isinstance(item, Outline)
    expected = {(0.0, -30.0), (0.0, 30.0), (970.0, -30.0), (1030.0, 30.0)}
    assert {(round(x, 9) + 0.0, round(y, 9)) for x, y in item.points} == expected


@pytest.mark.parametrize("pitch", [-40.0, -31.93845, 0.0, 25.0])
def test_a_pitched_rail_covers_its_depth_over_the_cosine(pitch: float):
    # geometry.md G: depth D covers D / cos(theta) vertically.
    rail = Prism(tube(60.0, 40.0, 3.0), EndPlane(0.0), EndPlane(1000.0))
    box = silhouette(_part(rail, lengthwise((0.0, 0.0, 0.0), 0.0, pitch)), FRONT)
    middle = 500.0 * math.cos(math.radians(pitch))
    cut = covered((middle, -2000.0), (middle, 2000.0), box)
    assert cut is not None
    assert cut[1][1] - cut[0][1] == pytest.approx(40.0 / math.cos(math.radians(pitch)), rel=1e-9)
    assert (cut[0][1] + cut[1][1]) / 2 == pytest.approx(middle * tand(pitch), abs=1e-9)


def test_a_post_end_on_shows_both_its_outlines():
    post = Prism(tube(60.0, 60.0, 5.0), EndPlane(0.0), EndPlane(900.0))
    items = picture(_part(post, upright((10.0, 20.0, 0.0), 30.0)), PLAN, "")
    areas = [Polygon(item.points).area for item in items if isinstance(item, Outline)]
    assert areas == pytest.approx([3600.0, 2500.0])


def test_a_turned_part_is_a_rectangle_from_the_side_and_a_circle_end_on():
    stud = Turned((Step(0.0, 100.0, 8.0), Step(100.0, 130.0, 12.0, 4.0)))
    part = _part(stud, lengthwise((0.0, 0.0, 0.0), 0.0, 0.0))
    sides = [item for item in picture(part, FRONT, "") if isinstance(item, Outline)]
    assert [Polygon(side.points).area for side in sides] == pytest.approx([800.0, 360.0])
    ends = picture(part, Plane((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), "")
    assert [end.radius for end in ends if isinstance(end, Arc)] == [4.0, 6.0]


def test_a_turned_part_seen_aslant_keeps_its_length_and_width():
    rod = Turned((Step(0.0, 100.0, 8.0),))
    box = silhouette(_part(rod, lengthwise((0.0, 0.0, 0.0), 60.0, 0.0)), FRONT)
    x0, y0, x1, y1 = box.bounds
    # Worked by hand: 100 cos 60 and half a diameter's lean, 4 sin 60, at each end.
    assert x1 - x0 == pytest.approx(50.0 + 2 * 4.0 * math.sin(math.radians(60.0)), rel=0.01)
    assert y1 - y0 == pytest.approx(8.0, rel=1e-9)


def test_a_cable_is_one_line_a_stretch():
    cable = Route(4.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 500.0), (100.0, 0.0, 900.0)))
    items = picture(_part(cable, lengthwise((0.0, 0.0, 0.0), 0.0, 0.0)), PLAN, "")
    assert len(items) == 2


@given(_POINTS)
def test_the_hull_is_that_of_shapely(points: list[tuple[float, float]]):
    # Reference library: shapely (GEOS).
    expected = MultiPoint(points).convex_hull
    if expected.geom_type != "Polygon":
        return
    found = Polygon(hull(points))
    assert found.symmetric_difference(expected).area <= 1e-6 * max(expected.area, 1.0)


@given(_POINTS, st.tuples(_COORDINATE, _COORDINATE), st.tuples(_COORDINATE, _COORDINATE))
def test_what_is_hidden_and_what_is_left_are_those_of_shapely(
    points: list[tuple[float, float]], a: tuple[float, float], b: tuple[float, float]
):
    # Reference library: shapely (GEOS).
    area = MultiPoint(points).convex_hull
    if area.geom_type != "Polygon" or area.area < 1.0 or math.dist(a, b) < 1.0:
        return
    box = Box(hull(points))
    line = LineString([a, b])
    left = sum(math.dist(*piece) for piece in uncovered(a, b, [box]))
    # A line along a side is not behind the area: either answer of GEOS about it will do.
    sizes = [line.difference(area.buffer(grown)).length for grown in (-1e-6, 1e-6)]
    assert sizes[1] - 1e-3 <= left <= sizes[0] + 1e-3
    hidden = covered(a, b, box)
    assert (math.dist(*hidden) if hidden else 0.0) == pytest.approx(line.length - left, abs=1e-6)
