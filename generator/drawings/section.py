"""Where a plane cuts the parts of the table: rings worked out from their analytic shapes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.drawings.project import Plane, clipped
from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, dot, sub
from generator.parts.assembly import Part
from generator.parts.shapes import Circle, Hole, Outline, Prism, Rectangle, Route

Ring = tuple[Vec2, ...]
_SQUARE = 1e-6  # cosine below which an axis lies in the plane
_ROUND = 48  # sides that stand for a circle
_CORNER = 6  # and for the rounded corner of a tube
_LEAST = 1e-6


@dataclass(frozen=True, slots=True)
class Cut:
    """What a plane cuts of a part: pieces, and holes in them."""

    pieces: tuple[Ring, ...]
    holes: tuple[Ring, ...] = ()


def cut_of(part: Part, plane: Plane) -> Cut | None:
    """The cut face of a straight part; None where the plane misses it, or for a round or bent one.

    Bolts, studs and cables are not cut along their axis, as is usual in drafting.
    """
    prism = part.shape
    if not isinstance(prism, Prism):
        return None
    normal = part.place.local_vector(plane.toward)
    off = dot(sub(plane.origin, part.place.origin), plane.toward)
    if abs(normal[2]) < _SQUARE:
        return _lengthwise(part, prism, plane, (normal[0], normal[1]), off)
    return _across(part, prism, plane, normal, off)


def corners_of(outline: Outline) -> Ring:
    """Points of a section's outline, counter-clockwise, its round corners as short lines."""
    if isinstance(outline, Circle):
        turns = (2 * math.pi * k / _ROUND for k in range(_ROUND))
        r = outline.diameter_mm / 2
        return tuple((r * math.cos(t), r * math.sin(t)) for t in turns)
    if not isinstance(outline, Rectangle) or outline.corner_mm <= 0.0:
        return outline.corners
    found = []
    r = outline.corner_mm
    for k, (x, y) in enumerate(outline.corners):
        middle = (x - math.copysign(r, x), y - math.copysign(r, y))
        for n in range(_CORNER + 1):
            turn = math.radians(180.0 + 90.0 * k + 90.0 * n / _CORNER)
            found.append((middle[0] + r * math.cos(turn), middle[1] + r * math.sin(turn)))
    return tuple(found)


def _across(part: Part, prism: Prism, plane: Plane, normal: Vec3, off: float) -> Cut | None:
    """A cut across the axis: the section itself, less what the part's end cuts take of it."""
    a, b, c = normal

    def ring(outline: Outline) -> Ring:
        points: Ring = corners_of(outline)
        # Over (x, y) the plane lies at z = (off - a x - b y) / c; keep what is between both cuts.
        for cut, sign in ((prism.start, 1.0), (prism.end, -1.0)):
            slope = (sign * (-a / c - cut.slope_x), sign * (-b / c - cut.slope_y))
            least = sign * (cut.z_mm - off / c)
            points = clipped(points, slope, least) if points else ()
        return tuple(
            plane.flat(part.place.point((x, y, (off - a * x - b * y) / c))) for x, y in points
        )

    outer = ring(prism.section.outer)
    if not outer:
        return None
    inner = ring(prism.section.inner) if prism.section.inner else ()
    return Cut((outer,), (inner,) if inner else ())


def _lengthwise(part: Part, prism: Prism, plane: Plane, normal: Vec2, off: float) -> Cut | None:
    """A cut along the axis: strips between the two end cuts, parted by the holes they meet."""
    a, b = normal
    reach = math.hypot(a, b)
    a, b, off = a / reach, b / reach, off / reach

    def at(t: float) -> Vec2:
        return (a * off - b * t, b * off + a * t)

    spans = _chords(corners_of(prism.section.outer), (a, b), off)
    if prism.section.inner:
        spans = _without(spans, _chords(corners_of(prism.section.inner), (a, b), off))
    pieces = []
    for t0, t1 in spans:
        p, q = at(t0), at(t1)
        middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        low, high = prism.start.at(*middle), prism.end.at(*middle)
        gaps = sorted(_gaps(prism, p, q))
        edges = [-math.inf, *(z for gap in gaps for z in gap), math.inf]
        for z0, z1 in zip(edges[::2], edges[1::2], strict=True):
            if min(z1, high) - max(z0, low) < _LEAST:
                continue
            ends = []
            for cut, z in ((prism.start, z0), (prism.end, z1)):
                ends.append([z if low < z < high else cut.at(*w) for w in (p, q)])
            corners = (
                (*p, ends[0][0]), (*q, ends[0][1]), (*q, ends[1][1]), (*p, ends[1][0]),
            )  # fmt: skip
            pieces.append(tuple(plane.flat(part.place.point(corner)) for corner in corners))
    return Cut(tuple(pieces)) if pieces else None


def _chords(points: Ring, normal: Vec2, off: float) -> list[Vec2]:
    """Where a line lies inside an outline: stations along it, from one side to the next."""
    a, b = normal
    found = []
    for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True):
        d0, d1 = a * x0 + b * y0 - off, a * x1 + b * y1 - off
        if (d0 > 0.0) != (d1 > 0.0):
            k = d0 / (d0 - d1)
            x, y = x0 + (x1 - x0) * k, y0 + (y1 - y0) * k
            found.append(a * y - b * x)
    found.sort()
    return list(zip(found[::2], found[1::2], strict=True))


def _without(spans: Sequence[Vec2], taken: Sequence[Vec2]) -> list[Vec2]:
    """Spans less other spans."""
    left = list(spans)
    for low, high in taken:
        kept = []
        for start, end in left:
            if high <= start or low >= end:
                kept.append((start, end))
                continue
            if low - start > _LEAST:
                kept.append((start, low))
            if end - high > _LEAST:
                kept.append((high, end))
        left = kept
    return left


def _gaps(prism: Prism, p: Vec2, q: Vec2) -> Iterator[Vec2]:
    """Stretches along the axis that holes in a side face take out of the strip from p to q.

    A plate's own holes, drilled along its axis, are not in its middle, where it is cut.
    """
    x, y = (p[0] + q[0]) / 2, (p[1] + q[1]) / 2
    for hole in prism.holes:
        if hole.face == "z":
            continue
        into, aside = _from_face(prism, hole, x, y)
        if not 0.0 <= into <= hole.depth_mm or abs(aside) >= hole.width_mm / 2:
            continue
        # The drift of a hole that leans is that of its axis at this depth.
        centre = hole.along_mm + hole.lean[1] * into
        straight = max(hole.height_mm - hole.width_mm, 0.0) / 2
        round_part = math.sqrt(max((hole.width_mm / 2) ** 2 - aside**2, 0.0))
        half = straight + round_part * min(hole.height_mm / hole.width_mm, 1.0)
        yield centre - half, centre + half


def _from_face(prism: Prism, hole: Hole, x: float, y: float) -> Vec2:
    """How deep under a hole's face a point of the section lies, and how far beside its centre."""
    xs = [corner[0] for corner in prism.section.outer.corners]
    ys = [corner[1] for corner in prism.section.outer.corners]
    depth = {
        "x-": x - min(xs),
        "x+": max(xs) - x,
        "y-": y - min(ys),
        "y+": max(ys) - y,
    }[hole.face]
    across = y if hole.face[0] == "x" else x
    return depth, across - hole.across_mm - hole.lean[0] * depth


def reach(part: Part, plane: Plane) -> Vec2:
    """Least and greatest distance of a part's points before a plane, toward the eye."""
    shape, place = part.shape, part.place
    if isinstance(shape, Prism):
        points = [
            (x, y, cut.at(x, y))
            for cut in (shape.start, shape.end)
            for x, y in shape.section.outer.corners
        ]
        margin = 0.0
    elif isinstance(shape, Route):
        points, margin = list(shape.points), shape.diameter_mm / 2
    else:
        points = [(0.0, 0.0, z) for step in shape.steps for z in (step.start_mm, step.end_mm)]
        lean = math.sqrt(max(0.0, 1.0 - dot(place.z, plane.toward) ** 2))
        margin = lean * max(step.outer_mm for step in shape.steps) / 2
    offs = [dot(sub(place.point(point), plane.origin), plane.toward) for point in points]
    return min(offs) - margin, max(offs) + margin
