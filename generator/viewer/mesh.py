"""Triangles of a part's shape, worked out from the shape itself; no kernel is asked.

A mesh is closed: every edge has two triangles, and its volume is that of the shape but for the
chords of its round sides.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby, pairwise
from operator import attrgetter

from generator.frozen import dataclass
from generator.geometry import (
    UP,
    EndPlane,
    Frame,
    Vec2,
    Vec3,
    cosd,
    cross,
    dot,
    scale,
    sind,
    sub,
    unit,
)
from generator.parts.shapes import Circle, Face, Hole, Prism, Route, Shape, Turned
from generator.products.holes import OPPOSITE, bore, clean, plate_loop
from generator.products.loops import Flat, Loop, Round, loop_of
from generator.products.routes import carried_round, frame_along, miter_plane

_OWN = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), UP)
_CHORD_MM = 0.15  # how far a chord may lie inside its arc
_Mouths = dict[Face, list[list[Vec3]]]
_LEAST_CHORDS, _MOST_CHORDS = 8, 32  # of a whole circle


@dataclass(frozen=True, slots=True)
class Mesh:
    """Corners in mm with their outward normals, and triangles as three indices each."""

    points: tuple[Vec3, ...]
    normals: tuple[Vec3, ...]
    triangles: tuple[tuple[int, int, int], ...]

    @property
    def volume_mm3(self) -> float:
        """Of the closed solid, by the divergence theorem."""
        p = self.points
        return sum(dot(p[a], cross(p[b], p[c])) for a, b, c in self.triangles) / 6.0


@dataclass(frozen=True, slots=True)
class _Corner:
    """A corner of an outline, and its outward direction for the side before it or after it."""

    at: Vec2
    out: Vec2


@dataclass(frozen=True, slots=True)
class _Strip:
    """One side of an outline as corners, round ones with the directions of the arc."""

    corners: tuple[_Corner, ...]
    face: Face | None = None


class _Mesher:
    """Gathers facets; corners are shared within a facet only, so that edges stay sharp."""

    def __init__(self) -> None:
        self.points: list[Vec3] = []
        self.normals: list[Vec3] = []
        self.triangles: list[tuple[int, int, int]] = []

    def mesh(self) -> Mesh:
        return Mesh(tuple(self.points), tuple(self.normals), tuple(self.triangles))

    def flat(self, outer: Sequence[Vec3], inner: Sequence[Sequence[Vec3]], normal: Vec3) -> None:
        """A plane facet with openings; `outer` runs counter-clockwise seen against the normal."""
        first = len(self.points)
        rings = [outer, *inner]
        self.points += [point for ring in rings for point in ring]
        self.normals += [normal] * sum(map(len, rings))
        if len(outer) == 4 and not inner:
            found = [(0, 1, 2), (0, 2, 3)]
        else:
            found = _triangulated(rings, normal)
        self.triangles += [(first + a, first + b, first + c) for a, b, c in found]

    def wall(self, low: Sequence[Vec3], high: Sequence[Vec3], normals: Sequence[Vec3]) -> None:
        """A strip between two rows of corners, outward to the right of the row seen from above."""
        first, count = len(self.points), len(low)
        self.points += [*low, *high]
        self.normals += [*normals, *normals]
        for k in range(first, first + count - 1):
            self.triangles += [(k, k + 1, k + count + 1), (k, k + count + 1, k + count)]


def mesh_of(shape: Shape) -> Mesh:
    """The closed mesh of a shape in its own coordinates, mm."""
    mesher = _Mesher()
    if isinstance(shape, Prism):
        _prism(mesher, shape)
    elif isinstance(shape, Turned):
        _turned(mesher, shape)
    else:
        _route(mesher, shape)
    return mesher.mesh()


def shown_holes(prism: Prism) -> Prism:
    """The prism with those of its holes that lie in flat material, each once, clear of others."""
    prism = replace(prism, holes=tuple(dict.fromkeys(prism.holes)))
    if clean(prism):
        return prism
    kept = replace(prism, holes=())
    for hole in prism.holes:
        more = replace(kept, holes=(*kept.holes, hole))
        kept = more if clean(more) else kept
    return kept


def _prism(mesher: _Mesher, prism: Prism) -> None:
    prism = shown_holes(prism)
    outside: _Mouths = defaultdict(list)
    inside: _Mouths = defaultdict(list)
    for hole in prism.holes:
        if hole.face != "z":
            _bored(mesher, prism, hole, outside, inside)
    outer = _strips(loop_of(prism.section.outer))
    _skin(mesher, outer, prism, outside, sign=1.0)
    hollows = [_strips(plate_loop(hole)) for hole in prism.holes if hole.face == "z"]
    if prism.section.inner:
        hollows.append(_strips(loop_of(prism.section.inner)))
    for hollow in hollows:
        _skin(mesher, hollow, prism, inside, sign=-1.0)
    for plane, up in ((prism.start, False), (prism.end, True)):
        rings = [_ring(strips, _OWN, plane) for strips in (outer, *hollows)]
        _cap(mesher, rings, plane, _OWN, up=up)


def _bored(mesher: _Mesher, prism: Prism, hole: Hole, outside: _Mouths, inside: _Mouths) -> None:
    """The wall of a side hole; its mouths are added to what is cut out of the faces it breaks."""
    drilled = bore(prism, hole)
    strips = _strips(drilled.loop)
    near = _ring(strips, drilled.frame, drilled.mouth)
    far = _ring(strips, drilled.frame, drilled.floor)
    for strip in strips:
        low = [_lifted(c, drilled.frame, drilled.mouth) for c in strip.corners]
        high = [_lifted(c, drilled.frame, drilled.floor) for c in strip.corners]
        normals = [drilled.frame.vector((-c.out[0], -c.out[1], 0.0)) for c in strip.corners]
        mesher.wall(high, low, normals)
    outside[drilled.face].append(near)
    if drilled.blind:
        _cap(mesher, [far], drilled.floor, drilled.frame, up=False)
    elif prism.section.inner:
        inside[drilled.face].append(far)
    else:
        outside[OPPOSITE[drilled.face]].append(far)


def _skin(
    mesher: _Mesher, strips: Sequence[_Strip], prism: Prism, openings: _Mouths, sign: float
) -> None:
    """The sides of an outline from cut to cut; `sign` -1 for a hollow, seen from within."""
    for strip in strips:
        low = [_lifted(c, _OWN, prism.start) for c in strip.corners]
        high = [_lifted(c, _OWN, prism.end) for c in strip.corners]
        normals = [(sign * c.out[0], sign * c.out[1], 0.0) for c in strip.corners]
        cut = openings.get(strip.face, ()) if strip.face else ()
        if cut:
            outer = [low[0], low[1], high[1], high[0]]
            mesher.flat(outer if sign > 0 else outer[::-1], cut, normals[0])
        elif sign > 0:
            mesher.wall(low, high, normals)
        else:
            mesher.wall(high, low, normals)


def _cap(
    mesher: _Mesher, rings: Sequence[list[Vec3]], plane: EndPlane, frame: Frame, *, up: bool
) -> None:
    """The facet that a cut makes; `rings` are the outline's and those of what is hollow."""
    normal = unit(frame.vector((-plane.slope_x, -plane.slope_y, 1.0)))
    outer, *inner = rings
    if up:
        mesher.flat(outer, inner, normal)
    else:
        mesher.flat(outer[::-1], inner, scale(normal, -1.0))


def _lifted(corner: _Corner, frame: Frame, plane: EndPlane) -> Vec3:
    return frame.point((*corner.at, plane.at(*corner.at)))


def _ring(strips: Sequence[_Strip], frame: Frame, plane: EndPlane) -> list[Vec3]:
    """The closed outline on a plane, counter-clockwise about the frame's axis, no corner twice."""
    return [_lifted(c, frame, plane) for strip in strips for c in strip.corners[:-1]]


def _strips(loop: Loop) -> tuple[_Strip, ...]:
    return tuple(_straight(side) if isinstance(side, Flat) else _round(side) for side in loop)


def _straight(side: Flat) -> _Strip:
    x, y = side.end[0] - side.start[0], side.end[1] - side.start[1]
    length = math.hypot(x, y)
    out = (y / length, -x / length)
    return _Strip((_Corner(side.start, out), _Corner(side.end, out)), side.face)


def _round(side: Round) -> _Strip:
    count = max(math.ceil(chords(side.radius_mm) * side.sweep_deg / 360.0 - 1e-9), 1)
    corners = []
    for k in range(count + 1):
        turn = side.from_deg + side.sweep_deg * (k % count if side.closed else k) / count
        out = (cosd(turn), sind(turn))
        x, y = side.centre
        corners.append(_Corner((x + side.radius_mm * out[0], y + side.radius_mm * out[1]), out))
    return _Strip(tuple(corners))


def chords(radius_mm: float) -> int:
    """How many chords stand for a circle, a multiple of 4."""
    half = math.acos(max(1.0 - _CHORD_MM / max(radius_mm, _CHORD_MM), -1.0))
    count = math.ceil(math.pi / half / 4.0) * 4
    return min(max(count, _LEAST_CHORDS), _MOST_CHORDS)


def _turned(mesher: _Mesher, turned: Turned) -> None:
    """Every cylinder and shoulder; shoulders between steps only where diameters differ."""
    steps = turned.steps
    for attribute, sign in (("outer_mm", 1.0), ("inner_mm", -1.0)):
        for diameter, alike in groupby(steps, attrgetter(attribute)):
            length = list(alike)
            if diameter > 0.0:
                _tube(mesher, diameter, length[0].start_mm, length[-1].end_mm, sign)
    _shoulder(mesher, steps[0].outer_mm, steps[0].inner_mm, steps[0].start_mm, up=False)
    for below, above in pairwise(steps):
        z = below.end_mm
        _shoulder(mesher, below.outer_mm, above.outer_mm, z, up=True)
        _shoulder(mesher, above.outer_mm, below.outer_mm, z, up=False)
        _shoulder(mesher, above.inner_mm, below.inner_mm, z, up=True)
        _shoulder(mesher, below.inner_mm, above.inner_mm, z, up=False)
    _shoulder(mesher, steps[-1].outer_mm, steps[-1].inner_mm, steps[-1].end_mm, up=True)


def _tube(mesher: _Mesher, diameter: float, low_mm: float, high_mm: float, sign: float) -> None:
    (strip,) = _strips(loop_of(Circle(diameter)))
    low, high = ([(*c.at, z) for c in strip.corners] for z in (low_mm, high_mm))
    normals = [(sign * c.out[0], sign * c.out[1], 0.0) for c in strip.corners]
    mesher.wall(*((low, high) if sign > 0 else (high, low)), normals)


def _shoulder(mesher: _Mesher, outer: float, inner: float, z_mm: float, *, up: bool) -> None:
    if outer - inner <= 0.0:
        return
    plane = EndPlane(z_mm)
    rings = [_ring(_strips(loop_of(Circle(d))), _OWN, plane) for d in (outer, inner) if d > 0.0]
    _cap(mesher, rings, plane, _OWN, up=up)


def _route(mesher: _Mesher, route: Route) -> None:
    """Cylinders mitered where the route bends."""
    points = [p for p, q in pairwise(route.points) if math.dist(p, q) > 0.0] + [route.points[-1]]
    (strip,) = _strips(loop_of(Circle(route.diameter_mm)))
    frame = frame_along(points[0], unit(sub(points[1], points[0])))
    low_plane = EndPlane(0.0)
    _cap(mesher, [_ring([strip], frame, low_plane)], low_plane, frame, up=False)
    low = [_lifted(c, frame, low_plane) for c in strip.corners]
    for k in range(1, len(points)):
        length = math.dist(points[k - 1], points[k])
        onward = unit(sub(points[k + 1], points[k])) if k + 1 < len(points) else frame.z
        plane = miter_plane(frame, onward, length)
        high = [_lifted(c, frame, plane) for c in strip.corners]
        mesher.wall(low, high, [frame.vector((*c.out, 0.0)) for c in strip.corners])
        if k + 1 == len(points):
            _cap(mesher, [high[:-1]], plane, frame, up=True)
        frame, low = carried_round(frame, points[k], onward), high


def _triangulated(rings: Sequence[Sequence[Vec3]], normal: Vec3) -> Iterator[tuple[int, int, int]]:
    """Triangles of a plane polygon with openings, counter-clockwise seen against the normal."""
    import mapbox_earcut
    import numpy as np

    side = (1.0, 0.0, 0.0) if abs(normal[0]) < 0.8 else (0.0, 1.0, 0.0)
    u = unit(sub(side, scale(normal, dot(side, normal))))
    v = cross(normal, u)
    flat = np.array([(dot(p, u), dot(p, v)) for ring in rings for p in ring])
    ends = np.cumsum([len(ring) for ring in rings]).astype(np.uint32)
    found = mapbox_earcut.triangulate_float64(flat, ends).reshape(-1, 3)
    for a, b, c in found.tolist():
        pa, pb, pc = flat[a], flat[b], flat[c]
        area = (pb[0] - pa[0]) * (pc[1] - pa[1]) - (pc[0] - pa[0]) * (pb[1] - pa[1])
        yield (a, b, c) if area > 0.0 else (a, c, b)
