"""Exact distance of a segment and a convex polygon in a plane, negative where they overlap."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.geometry import Vec2, foot_on


def segment_to_polygon(a: Vec2, b: Vec2, corners: Sequence[Vec2]) -> tuple[float, float]:
    """(signed distance, first coordinate of the nearest point) of segment a-b and the polygon.

    Apart: the shortest distance. Overlapping: minus the least shift that takes them apart, by the
    separating-axis theorem over the normals of the polygon's sides and of the segment.
    """
    depth, at = _depth(a, b, corners)
    if depth > 0.0:
        return -depth, at
    return _gap(a, b, corners)


def _depth(a: Vec2, b: Vec2, corners: Sequence[Vec2]) -> tuple[float, float]:
    best, at = math.inf, math.nan
    for normal in _normals(a, b, corners):
        segment = sorted((_dot(normal, a), _dot(normal, b)))
        reach = [(_dot(normal, c), c[0]) for c in corners]
        low, high = min(reach), max(reach)
        from_below, from_above = segment[1] - low[0], high[0] - segment[0]
        if from_below <= 0.0 or from_above <= 0.0:
            return -1.0, math.nan
        shift, corner = min((from_below, low[1]), (from_above, high[1]))
        if shift < best:
            best, at = shift, corner
    return best, at


def _normals(a: Vec2, b: Vec2, corners: Sequence[Vec2]) -> list[Vec2]:
    sides = [(corners[k - 1], corners[k]) for k in range(len(corners))]
    if a != b:
        sides.append((a, b))
    normals = []
    for (x0, y0), (x1, y1) in sides:
        length = math.hypot(x1 - x0, y1 - y0)
        normals.append(((y0 - y1) / length, (x1 - x0) / length))
    return normals


def _gap(a: Vec2, b: Vec2, corners: Sequence[Vec2]) -> tuple[float, float]:
    found = []
    for k in range(len(corners)):
        side = corners[k - 1], corners[k]
        found += [_to_segment(a, *side), _to_segment(b, *side)]
    for corner in corners:
        away, _ = _to_segment(corner, a, b)
        found.append((away, corner[0]))
    return min(found)


def _to_segment(p: Vec2, a: Vec2, b: Vec2) -> tuple[float, float]:
    """(distance from p to segment a-b, first coordinate of the nearest point of the segment)."""
    foot = foot_on(p, a, b)
    return math.dist(p, foot), foot[0]


def _dot(a: Vec2, b: Vec2) -> float:
    return a[0] * b[0] + a[1] * b[1]
