"""Distances of segments and convex prisms against slow references and against the CAD kernel.

Outside sources: BRepExtrema of Open CASCADE for true distances of random pairs, and a plain search
over two parameters written here; worked values by hand.
"""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import math
import random
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.checks.kernel import (
    Places,
    prisms,
    segment_depth,
    segment_to_prism,
    segment_to_segment,
)
from generator.checks.overlap import Placed, prism_gap, prism_to_prism

# A square of 2 about the axis, 10 long.
RING = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
SQUARE = (0.0, 0.0, 0.0), (10.0, 0.0, 0.0)
ONE = np.zeros(1, dtype=np.intp)


def solid(ring=RING, start=SQUARE[0], end=SQUARE[1]):
    return prisms(
        np.array(ring).T[:, :, None].copy(), np.array(start)[:, None], np.array(end)[:, None]
    )


def column(point):
    return np.array(point, dtype=float)[:, None]


def place(origin=(0.0, 0.0, 0.0), turn=None):
    axes = np.eye(3) if turn is None else turn
    return Places(column(origin), axes[:, :, None].copy())


def placed(shape, at=None):
    return Placed(shape, ONE, at or place())


def turned(rng):
    """Axes of a random frame, as rows."""
    rows, _ = np.linalg.qr(np.array([[rng.gauss(0, 1) for _ in range(3)] for _ in range(3)]))
    if np.linalg.det(rows) < 0:
        rows[2] *= -1
    return rows


def over(a, b, shape=None):
    near = segment_to_prism(column(a), column(b), shape or solid(), ONE)
    return near.distance[0], near.at[0], near.way[:, 0], near.crosses[0]


@pytest.mark.parametrize(
    "a, b, distance, at",
    [
        # An end over a face, an edge against an edge, a corner, and a line past the whole.
        ((3.0, 0.0, 5.0), (8.0, 0.0, 7.0), 2.0, 0.0),
        ((0.0, 4.0, 4.0), (4.0, 0.0, 6.0), math.sqrt(2.0), 0.5),
        ((2.0, 2.0, 11.0), (5.0, 5.0, 12.0), math.sqrt(3.0), 0.0),
        ((-50.0, 0.0, 12.0), (50.0, 0.0, 12.0), 2.0, None),
        ((3.0, 0.0, 2.0), (3.0, 0.0, 8.0), 2.0, None),
    ],
)
def test_a_segment_beside_a_square_bar_worked_by_hand(a, b, distance, at):
    found, place_, way, crosses = over(a, b)
    assert not crosses
    assert found == pytest.approx(distance, abs=1e-12)
    assert at is None or place_ == pytest.approx(at)
    # Moved the whole distance along the way it touches.
    shift = way / np.linalg.norm(way) * distance
    assert over(np.array(a) - shift, np.array(b) - shift)[0] == pytest.approx(0.0, abs=1e-9)


def test_a_point_is_a_segment_without_length():
    assert over((3.0, 0.0, 5.0), (3.0, 0.0, 5.0))[0] == pytest.approx(2.0)
    assert over((0.0, 0.0, 5.0), (0.0, 0.0, 5.0))[3]


@pytest.mark.parametrize(
    "a, b, depth, way",
    [
        # Through the middle; a little below the upper face; an end that pierces the end face.
        ((-5.0, 0.5, 5.0), (5.0, 0.5, 5.0), 0.5, (0.0, 1.0, 0.0)),
        ((-5.0, 0.0, 9.8), (5.0, 0.0, 9.8), 0.2, (0.0, 0.0, 1.0)),
        ((0.0, 0.0, 9.7), (0.0, 0.0, 30.0), 0.3, (0.0, 0.0, 1.0)),
        # Askew over an edge: square to both, (1, 0, 1) / sqrt 2 by hand.
        ((-4.0, 0.0, 14.0), (5.0, 0.0, 5.0), math.sqrt(0.5), (math.sqrt(0.5), 0.0, math.sqrt(0.5))),
    ],
)
def test_how_deep_a_segment_is_worked_by_hand(a, b, depth, way):
    assert over(a, b)[3]
    found, out = segment_depth(column(a), column(b), solid(), ONE)
    assert found[0] == pytest.approx(depth, abs=1e-12)
    assert out[:, 0] == pytest.approx(way, abs=1e-12)
    shift = np.array(way) * (depth + 1e-6)
    assert not over(np.array(a) + shift, np.array(b) + shift)[3]


def test_slanted_ends_are_kept():
    # Cut at 45 degrees across x: over x = 1 the bar ends at 11, over x = -1 at 9.
    cut = solid(end=(10.0, 1.0, 0.0))
    assert over((1.0, 0.0, 12.0), (1.0, 0.0, 20.0), cut)[0] == pytest.approx(1.0)
    # Square off the slanted face: from (-1, 0, 9) out along (-1, 0, 1).
    assert over((-1.0, 0.0, 11.0), (-1.0, 0.0, 12.0), cut)[0] == pytest.approx(math.sqrt(2.0))


coordinate = st.floats(-20, 20, allow_nan=False).map(lambda x: round(x, 3))
point = st.tuples(coordinate, coordinate, coordinate)


def slow_segments(a, b, c, d):
    """Search along one of them; from each point the other in closed form."""
    a, b, c, d = (np.array(p) for p in (a, b, c, d))

    def away(s):
        p = a + s * (b - a)
        vv = np.dot(d - c, d - c)
        t = 0.0 if vv == 0.0 else min(max(float(np.dot(p - c, d - c) / vv), 0.0), 1.0)
        return float(np.linalg.norm(p - c - t * (d - c)))

    return ternary(away)


def ternary(away):
    """Least value of a convex function on 0 to 1."""
    low, high = 0.0, 1.0
    for _ in range(120):
        first, second = low + (high - low) / 3, high - (high - low) / 3
        if away(first) <= away(second):
            high = second
        else:
            low = first
    return min(away(low), away(high), away(0.0), away(1.0))


@given(point, point, point, point)
def test_two_segments_against_a_search(a, b, c, d):
    found, s, t = segment_to_segment(*(column(p) for p in (a, b, c, d)))
    assert found[0] == pytest.approx(slow_segments(a, b, c, d), abs=1e-6)
    p = np.array(a) + s[0] * (np.array(b) - a)
    q = np.array(c) + t[0] * (np.array(d) - c)
    assert np.linalg.norm(p - q) == pytest.approx(found[0], abs=1e-12)


def test_segments_all_but_parallel_keep_their_digits():
    # By hand: 30 m long, 1e-7 apart in direction, crossing in the middle 1e-3 mm over each other.
    long = 15000.0
    a, b = (-long, 0.0, 0.0), (long, 0.0, 0.0)
    c, d = (-long, -long * 1e-7, 1e-3), (long, long * 1e-7, 1e-3)
    found, _, _ = segment_to_segment(*(column(p) for p in (a, b, c, d)))
    assert found[0] == pytest.approx(1e-3, abs=1e-12)


def slow_over(a, b, ring, low, high):
    """Search along the segment; from each point the prism, with square ends, by clamping."""
    a, b = np.array(a), np.array(b)

    def away(s):
        x, y, z = a + s * (b - a)
        return math.hypot(to_ring((x, y), ring), max(low - z, z - high, 0.0))

    return ternary(away)


def to_ring(p, ring):
    inside, best = True, math.inf
    for (x0, y0), (x1, y1) in pairwise((*ring, ring[0])):
        ux, uy, wx, wy = x1 - x0, y1 - y0, p[0] - x0, p[1] - y0
        inside = inside and ux * wy - uy * wx >= 0.0
        t = min(max((wx * ux + wy * uy) / (ux * ux + uy * uy), 0.0), 1.0)
        best = min(best, math.hypot(wx - t * ux, wy - t * uy))
    return 0.0 if inside else best


@given(point, point, st.integers(3, 8), st.floats(0, 1), st.floats(1, 12), st.floats(0.5, 15))
def test_a_segment_and_a_prism_against_a_search(a, b, corners, spin, radius, length):
    turns = [2 * math.pi * (k + spin) / corners for k in range(corners)]
    ring = tuple((radius * math.cos(t), radius * math.sin(t)) for t in turns)
    shape = solid(ring, (0.0, 0.0, 0.0), (length, 0.0, 0.0))
    distance, at, _, crosses = over(a, b, shape)
    slow = slow_over(a, b, ring, 0.0, length)
    assert distance == pytest.approx(slow, abs=1e-6)
    if crosses:
        depth, way = segment_depth(column(a), column(b), shape, ONE)
        assert depth[0] >= -1e-12
        shift = way[:, 0] * (depth[0] + 1e-6)
        assert slow_over(np.array(a) + shift, np.array(b) + shift, ring, 0.0, length) > 0.0
    middle = np.array(a) + at * (np.array(b) - np.array(a))
    there = slow_over(middle, middle, ring, 0.0, length)
    assert there == pytest.approx(distance, abs=1e-6)


def pair(origin, turn=None, **other):
    apart = prism_to_prism(placed(solid()), placed(solid(**other), place(origin, turn)))
    return apart.distance[0], apart.point[:, 0], apart.way[:, 0]


@pytest.mark.parametrize(
    "origin, distance, way",
    [
        ((5.0, 0.0, 0.0), 3.0, (-1.0, 0.0, 0.0)),
        ((5.0, 6.0, 0.0), 5.0, (-0.6, -0.8, 0.0)),
        ((0.0, 0.5, 12.5), 2.5, (0.0, 0.0, -1.0)),
        ((1.5, 0.0, 0.0), -0.5, (-1.0, 0.0, 0.0)),
        ((0.3, 0.3, 9.8), -0.2, (0.0, 0.0, -1.0)),
    ],
)
def test_two_bars_worked_by_hand(origin, distance, way):
    found, where, out = pair(origin)
    assert found == pytest.approx(distance, abs=1e-12)
    assert out == pytest.approx(way, abs=1e-12)
    assert not np.isnan(where).any()


def test_bars_that_touch_neither_overlap_nor_stand_apart():
    assert pair((2.0, 0.0, 3.0))[0] == pytest.approx(0.0, abs=1e-12)
    assert pair((2.0, 2.0, 10.0))[0] == pytest.approx(0.0, abs=1e-12)


def test_two_bars_edge_across_edge():
    # The second lies across the first, turned by 45 degrees about its own axis: its edge, sqrt 2
    # below its axis, looks down on the upper face of the first, 3 away.
    axis, half = (1.0, 0.0, 0.0), math.sqrt(0.5)
    turn = np.array([(0.0, half, half), (0.0, -half, half), axis])
    found, _, _ = pair((-5.0, 0.0, 13.0 + math.sqrt(2.0)), turn)
    assert found == pytest.approx(3.0, abs=1e-12)


@settings(max_examples=60)
@given(st.integers(0, 10**6))
def test_what_parts_two_prisms_by_their_depth_parts_them(seed):
    rng = random.Random(seed)
    ring = tuple(
        (4 * math.cos(t), 3 * math.sin(t)) for t in sorted(rng.uniform(0, 6.283) for _ in range(5))
    )
    if min(math.dist(a, b) for a, b in pairwise((*ring, ring[0]))) < 0.1:
        return
    shape = solid(ring, (0.0, 0.2, 0.1), (9.0, -0.3, 0.2))
    at = place([rng.uniform(-3, 3) for _ in range(3)], turned(rng))
    gap, way = prism_gap(placed(solid()), placed(shape, at))
    if gap[0] >= 0.0:
        return
    freed = place(way[:, 0] * (-gap[0] + 1e-7))
    apart = prism_to_prism(placed(solid(), freed), placed(shape, at))
    assert 0.0 < apart.distance[0] < 1e-6
    kept = place(way[:, 0] * (-gap[0] - 1e-7))
    assert prism_to_prism(placed(solid(), kept), placed(shape, at)).distance[0] < 0.0


class Occ:
    """Random figures in the CAD kernel."""

    @staticmethod
    def polyhedron(corners, n):
        from OCP.BRepBuilderAPI import (
            BRepBuilderAPI_MakeFace,
            BRepBuilderAPI_MakePolygon,
            BRepBuilderAPI_MakeSolid,
            BRepBuilderAPI_Sewing,
        )
        from OCP.gp import gp_Pnt
        from OCP.TopoDS import TopoDS

        sewing = BRepBuilderAPI_Sewing(1e-7)
        loops = [list(range(n))[::-1], list(range(n, 2 * n))]
        loops += [[k, (k + 1) % n, n + (k + 1) % n, n + k] for k in range(n)]
        for loop in loops:
            wire = BRepBuilderAPI_MakePolygon()
            for k in loop:
                wire.Add(gp_Pnt(*map(float, corners[:, k])))
            wire.Close()
            sewing.Add(BRepBuilderAPI_MakeFace(wire.Wire()).Face())
        sewing.Perform()
        return BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(sewing.SewedShape())).Solid()

    @staticmethod
    def edge(a, b):
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
        from OCP.gp import gp_Pnt

        return BRepBuilderAPI_MakeEdge(gp_Pnt(*map(float, a)), gp_Pnt(*map(float, b))).Edge()

    @staticmethod
    def distance(first, second):
        from OCP.BRepExtrema import BRepExtrema_DistShapeShape

        extrema = BRepExtrema_DistShapeShape(first, second)
        assert extrema.IsDone()
        return extrema.Value()


def random_prism(rng):
    n = rng.choice((3, 4, 4, 4, 6))
    width, depth = rng.uniform(5, 80), rng.uniform(5, 80)
    ring = [
        (width * math.cos(2 * math.pi * k / n), depth * math.sin(2 * math.pi * k / n))
        for k in range(n)
    ]
    start = (0.0, rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3))
    end = (rng.uniform(100, 600), rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3))
    spot = place([rng.uniform(-250, 250) for _ in range(3)], turned(rng))
    return n, solid(ring, start, end), spot


def test_random_segments_and_prisms_against_the_cad_kernel():
    rng = random.Random(3)
    compared = 0
    for _ in range(300):
        n, shape, spot = random_prism(rng)
        a, b = (np.array([rng.uniform(-600, 600) for _ in range(3)]) for _ in range(2))
        start, end = (spot.local(column(p)) for p in (a, b))
        near = segment_to_prism(start, end, shape, ONE)
        corners = spot.point(shape.corners)[:, :, 0]
        true = Occ.distance(Occ.edge(a, b), Occ.polyhedron(corners, n))
        assert near.distance[0] == pytest.approx(true, abs=1e-9)
        compared += not near.crosses[0]
    assert compared > 200


def test_random_pairs_of_prisms_against_the_cad_kernel():
    rng = random.Random(5)
    apart = 0
    for _ in range(100):
        (n, first, at), (m, second, beside) = random_prism(rng), random_prism(rng)
        found = prism_to_prism(placed(first, at), placed(second, beside)).distance[0]
        corners = [p.point(s.corners)[:, :, 0] for s, p in ((first, at), (second, beside))]
        true = Occ.distance(*(Occ.polyhedron(c, k) for c, k in zip(corners, (n, m), strict=True)))
        assert max(found, 0.0) == pytest.approx(true, abs=1e-9)
        apart += found > 0.0
    assert 30 < apart < 97
