"""Parts as bodies: outlines in convex pieces, rounds in figures about them, boxes and their sweep.

Outside sources: shapely for areas and containment of outlines, Open CASCADE for distances of the
parts' solids; the sweep is compared with all pairs; the rest is worked by hand.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.checks.apart import distances, lower_bounds
from generator.checks.bodies import Cuts, Rod, bodies_of, boxes, figures
from generator.checks.outlines import between_cuts, convex_pieces, fine, rough
from generator.checks.sweep import overlapping
from generator.geometry import EndPlane, Frame, lengthwise, upright
from generator.parts.assembly import Part
from generator.parts.shapes import (
    Circle,
    Polygon,
    Prism,
    Rectangle,
    Route,
    Section,
    Step,
    Turned,
    hexagon,
    tube,
)

SAWTOOTH = ((0, 0), (30, 0), (30, 10), (20, 10), (20, 20), (10, 20), (10, 30), (0, 30))
CROSS = (
    (1, 0), (2, 0), (2, 1), (3, 1), (3, 2), (2, 2), (2, 3), (1, 3), (1, 2), (0, 2), (0, 1), (1, 1)
)  # fmt: skip


def area(ring):
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*ring, ring[0]))) / 2


def is_convex(ring):
    turns = zip(ring, ring[1:] + ring[:1], ring[2:] + ring[:2], strict=True)
    return all(
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) > -1e-9 for a, b, c in turns
    )


@pytest.mark.parametrize("outline, most", [(SAWTOOTH, 3), (CROSS, 5), (SAWTOOTH[:3], 1)])
def test_concave_outlines_in_convex_pieces(outline, most):
    # Fewest by hand: a stair of three steps in three, a cross in three; Hertel and Mehlhorn's
    # bound allows four times as many.
    pieces = convex_pieces(outline)
    assert len(pieces) <= most
    assert all(is_convex(piece) for piece in pieces)
    assert sum(area(piece) for piece in pieces) == pytest.approx(area(outline))


@given(st.lists(st.floats(1, 100), min_size=4, max_size=14), st.floats(0, 1))
def test_pieces_of_stars_cover_them_once(radii, spin):
    shapely = pytest.importorskip("shapely")
    count = len(radii)
    turns = [2 * math.pi * (k + spin) / count for k in range(count)]
    star = tuple((r * math.cos(t), r * math.sin(t)) for r, t in zip(radii, turns, strict=True))
    pieces = convex_pieces(star)
    assert all(is_convex(piece) for piece in pieces)
    whole = shapely.Polygon(star)
    assert sum(area(piece) for piece in pieces) == pytest.approx(whole.area, rel=1e-6)
    joined = shapely.union_all([shapely.Polygon(piece) for piece in pieces])
    assert joined.symmetric_difference(whole).area == pytest.approx(0.0, abs=1e-5 * whole.area)


@pytest.mark.parametrize("outline", [Circle(20.0), Rectangle(60.0, 40.0, 6.0)])
def test_rounds_lie_in_their_figures_and_those_hardly_farther(outline):
    shapely = pytest.importorskip("shapely")
    if isinstance(outline, Circle):
        true, radius = shapely.Point(0, 0).buffer(10.0, quad_segs=256), 10.0
    else:
        true = shapely.box(-24, -14, 24, 14).buffer(6.0, quad_segs=256)
        radius = 6.0
    for rings in (rough(outline), fine(outline)):
        assert shapely.Polygon(rings[0]).buffer(1e-9).contains(true)
    close = shapely.Polygon(fine(outline)[0])
    assert len(fine(outline)[0]) == 24
    # r (1 / cos 7.5 deg - 1), by hand 0.86 % of r
    assert close.hausdorff_distance(true) <= 0.0087 * radius


def test_cuts_that_cross_within_a_section_leave_a_wedge():
    ring = ((-2.0, -2.0), (2.0, -2.0), (2.0, 2.0), (-2.0, 2.0))
    left = between_cuts(ring, EndPlane(0.0), EndPlane(1.0, 1.0))
    assert sorted(left) == [(-1.0, -2.0), (-1.0, 2.0), (2.0, -2.0), (2.0, 2.0)]
    assert between_cuts(ring, EndPlane(0.0), EndPlane(1.0)) == ring


def kinds(shape):
    return [type(figure.rough) for figure, _ in figures(shape)]


def rods(shape):
    found = [figure.rough for figure, _ in figures(shape)]
    return [rod for rod in found if isinstance(rod, Rod)]


def test_what_becomes_a_rod():
    bolt = Turned((Step(-100.0, 0.0, 10.0), Step(0.0, 6.0, 20.0)))
    assert kinds(bolt) == [Rod, Cuts]
    # Steps of one diameter in line are one rod: a sleeve, its bore included.
    stud = Turned((Step(0.0, 70.0, 6.0), Step(70.0, 80.0, 8.0), Step(80.0, 118.0, 8.0, 3.0)))
    first, second = rods(stud)
    assert (second.from_mm, second.to_mm, second.radius_mm) == (70.0, 118.0, 4.0)
    assert first.balls == (False, False)
    assert kinds(Turned((Step(0.0, 1.6, 16.0, 7.0),))) == [Cuts]
    assert kinds(Prism(Section(hexagon(11.0)), EndPlane(0.0), EndPlane(5.0))) == [Cuts]
    assert kinds(Prism(Section(Circle(38.0)), EndPlane(0.0), EndPlane(900.0))) == [Rod]
    assert len(kinds(Prism(Section(Polygon(SAWTOOTH)), EndPlane(0.0), EndPlane(38.0)))) == 3


def test_a_cable_has_balls_where_it_bends():
    shape = Route(3.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 50.0), (30.0, 0.0, 90.0)))
    found = rods(shape)
    assert [rod.balls for rod in found] == [(False, True), (True, False)]
    assert [rod.to_mm for rod in found] == pytest.approx([50.0, 50.0])


def part(mark, shape, place):
    return Part(mark, "post", "", "A", 1, shape, place, mark)


STUD = Turned((Step(0.0, 100.0, 8.0),))
BLOCK = Prism(Section(Rectangle(50.0, 50.0)), EndPlane(0.0), EndPlane(50.0))
ALONG_X = lengthwise((0.0, 0.0, 0.0), 0.0, 0.0)


def between(first, second):
    bodies = bodies_of([first, second])
    i, j = np.array([0]), np.array([1])
    apart = distances(bodies, i, j)
    assert lower_bounds(bodies, i, j)[0] <= apart.distance[0] + 1e-9
    return apart.distance[0], apart.way[:, 0]


@pytest.mark.parametrize(
    "x, y, distance, way",
    [
        # Beside the stud, beyond its flat tip, in line with it, and pierced by 3 at its tip.
        (50.0, 40.0, 11.0, (0, -1, 0)),
        (140.0, 0.0, 15.0, (-1, 0, 0)),
        (122.0, 0.0, -3.0, (-1, 0, 0)),
        (50.0, 25.0, -4.0, (0, -1, 0)),
    ],
)
def test_a_stud_and_a_block_worked_by_hand(x, y, distance, way):
    # The stud's ends are flat: beyond its tip the distance is plain, no half ball is in the way.
    found, out = between(part("A1", STUD, ALONG_X), part("P1", BLOCK, upright((x, y, -25.0), 0.0)))
    assert found == pytest.approx(distance, abs=1e-9)
    assert out == pytest.approx(way, abs=1e-9)


def test_two_studs_side_by_side_and_end_to_end():
    first = part("A1", STUD, ALONG_X)
    beside = part("A2", STUD, lengthwise((50.0, 20.0, 0.0), 90.0, 0.0))
    assert between(first, beside)[0] == pytest.approx(16.0)  # tip to side, flat to round
    across = part("A2", STUD, lengthwise((50.0, -50.0, 10.0), 90.0, 0.0))
    assert between(first, across)[0] == pytest.approx(2.0, abs=1e-12)
    in_line = part("A2", STUD, lengthwise((107.0, 0.0, 0.0), 0.0, 0.0))
    assert between(first, in_line)[0] == pytest.approx(7.0, abs=1e-9)


def random_shape(rng):
    # No bent cable: in the model its bends are mitered, here they are round, as they are in truth.
    return rng.choice(
        (
            STUD,
            Turned((Step(-60.0, 0.0, 9.0), Step(0.0, 6.0, 17.0))),
            Route(4.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 300.0))),
            Prism(tube(60.0, 60.0, 4.0), EndPlane(0.0), EndPlane(400.0, 0.4, 0.1)),
            Prism(tube(60.0, 40.0, 4.0, 5.0), EndPlane(0.0, 0.0, 0.5), EndPlane(300.0)),
            Prism(Section(Circle(38.0)), EndPlane(0.0, 0.6), EndPlane(200.0)),
            Prism(Section(hexagon(18.0)), EndPlane(0.0), EndPlane(9.0)),
            Prism(Section(Polygon(SAWTOOTH)), EndPlane(0.0), EndPlane(38.0)),
            Prism(Section(Circle(16.0)), EndPlane(0.0, 0.3, 0.1), EndPlane(6.0)),
        )
    )


def missing_from(shape):
    """By how much the figure about what is round may be larger, along the steepest cut."""
    slopes = [0.0]
    if isinstance(shape, Prism):
        slopes = [math.hypot(cut.slope_x, cut.slope_y) for cut in (shape.start, shape.end)]
    return 0.0087 * radius_of(shape) * math.hypot(1.0, max(slopes))


def radius_of(shape):
    """Largest radius of what is round about a shape."""
    if isinstance(shape, Turned):
        return max(step.outer_mm for step in shape.steps) / 2
    if isinstance(shape, Route):
        return shape.diameter_mm / 2
    outer = shape.section.outer
    if isinstance(outer, Circle):
        return outer.diameter_mm / 2
    return outer.corner_mm if isinstance(outer, Rectangle) else 0.0


def random_place(rng, reach):
    rows, _ = np.linalg.qr(np.array([[rng.gauss(0, 1) for _ in range(3)] for _ in range(3)]))
    if np.linalg.det(rows) < 0:
        rows[2] *= -1
    x, y, z = (tuple(row.tolist()) for row in rows)
    return Frame(tuple(rng.uniform(-reach, reach) for _ in range(3)), x, y, z)


def test_random_parts_against_the_cad_kernel(cad_distance):
    rng = random.Random(11)
    exact = 0
    for _ in range(160):
        first, second = (part(f"P{k}", random_shape(rng), random_place(rng, 150.0)) for k in (1, 2))
        bodies = bodies_of([first, second])
        pairs = [
            (i, j)
            for i in np.flatnonzero(bodies.part == 0)
            for j in np.flatnonzero(bodies.part == 1)
        ]
        i, j = np.array(pairs).T
        apart = distances(bodies, i, j)
        assert (lower_bounds(bodies, i, j) <= apart.distance + 1e-9).all()
        found = apart.distance.min()
        true = cad_distance(first, second)
        missing = missing_from(first.shape) + missing_from(second.shape)
        assert max(found, 0.0) <= true + 1e-6
        assert max(found, 0.0) >= true - missing - 1e-6
        exact += abs(max(found, 0.0) - true) < 1e-9
        assert missing or abs(max(found, 0.0) - true) < 1e-9
    # Among them rods met on their sides.
    assert exact > 35


@given(st.integers(0, 10**6), st.integers(2, 60))
def test_the_sweep_finds_the_pairs_that_overlap(seed, count):
    rng = np.random.default_rng(seed)
    low = rng.uniform(-3000, 3000, (3, count))
    high = low + rng.exponential(400.0, (3, count))
    owner = np.arange(count) // 2
    i, j = np.triu_indices(count, 1)
    hit = ((low[:, i] <= high[:, j]) & (low[:, j] <= high[:, i])).all(axis=0)
    wanted = {(a, b) for a, b in zip(owner[i[hit]], owner[j[hit]], strict=True) if a != b}
    first, second = overlapping(low, high, owner)
    assert set(zip(first.tolist(), second.tolist(), strict=True)) == wanted
    assert len(first) == len(wanted)


def test_no_boxes_make_no_pairs():
    none = np.empty((3, 0))
    first, second = overlapping(none, none, np.empty(0, dtype=np.intp))
    assert len(first) == len(second) == 0


@given(st.integers(0, 10**6))
def test_boxes_of_long_bars_hold_them(seed):
    rng = random.Random(seed)
    bar = Prism(
        Section(Rectangle(63.5, 38.1)), EndPlane(0.0, 0.9, -2.0), EndPlane(5000.0, 1.0, 3.0)
    )
    bodies = bodies_of([part("R1", bar, random_place(rng, 2000.0))])
    low, high, body = boxes(bodies, 3.0)
    assert len(body) > 1
    for _ in range(20):
        x, y = rng.uniform(-31.75, 31.75), rng.uniform(-19.05, 19.05)
        start, end = bar.start.at(x, y), bar.end.at(x, y)
        point = bodies.places.point(np.array([[x], [y], [rng.uniform(start, end)]]))
        assert ((low + 3.0 - 1e-6 <= point) & (point <= high - 3.0 + 1e-6)).all(axis=0).any()
