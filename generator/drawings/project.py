"""Parts of the table seen square to a plane: outlines worked out from their analytic shapes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from generator.drawings.lettering import Box
from generator.drawings.view import Arc, Item, Line, Outline
from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, cross, dot, sub
from generator.parts.assembly import Part
from generator.parts.shapes import Circle, Prism, Route, Section, Step

_ROUND = 24  # sides that stand for a circle seen aslant
_SQUARE = 1e-9


@dataclass(frozen=True, slots=True)
class Plane:
    """A picture plane: `right` and `up` are level with the sheet, unit vectors of the world."""

    origin: Vec3
    right: Vec3
    up: Vec3

    @property
    def toward(self) -> Vec3:
        """From the picture to the eye."""
        return cross(self.right, self.up)

    def flat(self, point: Vec3) -> Vec2:
        way = sub(point, self.origin)
        return (dot(way, self.right), dot(way, self.up))

    def flat_vector(self, vector: Vec3) -> Vec2:
        return (dot(vector, self.right), dot(vector, self.up))


PLAN = Plane((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def picture(part: Part, plane: Plane, layer: str) -> list[Item]:
    """What is seen of a part: outlines, circles, and one line for a cable."""
    shape = part.shape
    if isinstance(shape, Prism):
        return _prism(part, shape, plane, layer)
    if isinstance(shape, Route):
        points = [plane.flat(part.place.point(point)) for point in shape.points]
        return [Line(a, b, layer) for a, b in pairwise(points)]
    return [_step(part, step, plane, layer) for step in shape.steps]


def silhouette(part: Part, plane: Plane) -> Box:
    """The convex outline of all that is seen of a part."""
    points: list[Vec2] = []
    for item in picture(part, plane, ""):
        match item:
            case Outline(corners, _, _):
                points.extend(corners)
            case Line(a, b, _):
                points.extend((a, b))
            case Arc(centre, radius, _):
                points.extend(_ring(centre, radius))
    return Box(hull(points))


def heights(part: Part) -> Vec2:
    """World heights of the lowest and the highest point of a part."""
    shape, place = part.shape, part.place
    if isinstance(shape, Prism):
        cuts = (shape.start, shape.end)
        zs = [place.point((x, y, c.at(x, y)))[2] for c in cuts for x, y in _corners(shape.section)]
    elif isinstance(shape, Route):
        zs = [place.point(point)[2] for point in shape.points]
    else:
        lean = math.sqrt(max(0.0, 1.0 - place.z[2] ** 2))
        zs = [
            place.point((0.0, 0.0, z))[2] + side * step.outer_mm / 2 * lean
            for step in shape.steps
            for z in (step.start_mm, step.end_mm)
            for side in (-1.0, 1.0)
        ]
    return min(zs), max(zs)


def _prism(part: Part, prism: Prism, plane: Plane, layer: str) -> list[Item]:
    section = prism.section
    if abs(dot(part.place.z, plane.toward)) > 1.0 - _SQUARE:
        return _end_on(part, section, prism.start.z_mm, plane, layer)
    corners = _corners(section)
    seen = [
        plane.flat(part.place.point((x, y, cut.at(x, y))))
        for cut in (prism.start, prism.end)
        for x, y in corners
    ]
    return [Outline(hull(seen), layer)]


def _end_on(part: Part, section: Section, z: float, plane: Plane, layer: str) -> list[Item]:
    items: list[Item] = []
    for outline in (section.outer, section.inner):
        if outline is None:
            continue
        if isinstance(outline, Circle):
            centre = plane.flat(part.place.point((0.0, 0.0, z)))
            items.append(Arc(centre, outline.diameter_mm / 2, layer))
            continue
        points = tuple(plane.flat(part.place.point((x, y, z))) for x, y in outline.corners)
        items.append(Outline(points, layer))
    return items


def _corners(section: Section) -> Sequence[Vec2]:
    if isinstance(section.outer, Circle):
        return _ring((0.0, 0.0), section.outer.diameter_mm / 2)
    return section.outer.corners


def _step(part: Part, step: Step, plane: Plane, layer: str) -> Item:
    """One length of a turned part: a rectangle from the side, a circle end-on."""
    axis = part.place.z
    start = plane.flat(part.place.point((0.0, 0.0, step.start_mm)))
    end = plane.flat(part.place.point((0.0, 0.0, step.end_mm)))
    radius = step.outer_mm / 2
    facing = abs(dot(axis, plane.toward))
    if facing > 1.0 - _SQUARE:
        return Arc(start, radius, layer)
    if facing < _SQUARE:
        x, y = plane.flat_vector(axis)
        side = (-y * radius, x * radius)
        return Outline(
            (
                (start[0] + side[0], start[1] + side[1]),
                (start[0] - side[0], start[1] - side[1]),
                (end[0] - side[0], end[1] - side[1]),
                (end[0] + side[0], end[1] + side[1]),
            ),
            layer,
        )
    rings = [
        plane.flat(part.place.point((x, y, z)))
        for z in (step.start_mm, step.end_mm)
        for x, y in _ring((0.0, 0.0), radius)
    ]
    return Outline(hull(rings), layer)


def _ring(centre: Vec2, radius: float) -> list[Vec2]:
    turns = (2 * math.pi * k / _ROUND for k in range(_ROUND))
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns]


def hull(points: Iterable[Vec2]) -> tuple[Vec2, ...]:
    """The convex hull, counter-clockwise (Andrew's monotone chain), without points on a side."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)
    lower = _half_hull(ordered)
    upper = _half_hull(ordered[::-1])
    return (*lower[:-1], *upper[:-1])


def _half_hull(points: Sequence[Vec2]) -> list[Vec2]:
    kept: list[Vec2] = []
    for x, y in points:
        while len(kept) > 1:
            (ax, ay), (bx, by) = kept[-2], kept[-1]
            way = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
            # Rounding noise of a straight side makes no corner.
            if way > 1e-9 * (abs(bx - ax) + abs(by - ay)) * (abs(x - ax) + abs(y - ay)):
                break
            kept.pop()
        kept.append((x, y))
    return kept


def clipped(corners: Sequence[Vec2], normal: Vec2, least: float) -> tuple[Vec2, ...]:
    """What of a convex polygon lies where n.p is `least` or more."""
    kept: list[Vec2] = []
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        over_a = normal[0] * a[0] + normal[1] * a[1] - least
        over_b = normal[0] * b[0] + normal[1] * b[1] - least
        if over_a >= 0.0:
            kept.append(a)
        if (over_a >= 0.0) != (over_b >= 0.0):
            k = over_a / (over_a - over_b)
            kept.append((a[0] + (b[0] - a[0]) * k, a[1] + (b[1] - a[1]) * k))
    return tuple(kept) if len(kept) > 2 else ()


def uncovered(a: Vec2, b: Vec2, covers: Iterable[Box]) -> list[tuple[Vec2, Vec2]]:
    """What is left of a line where convex areas in front of it hide the rest."""
    pieces = [(0.0, 1.0)]
    for cover in covers:
        hidden = inside(a, b, cover.corners)
        if hidden:
            pieces = [left for piece in pieces for left in _less(piece, hidden)]
    way = (b[0] - a[0], b[1] - a[1])

    def at(t: float) -> Vec2:
        return (a[0] + way[0] * t, a[1] + way[1] * t)

    return [(at(s), at(e)) for s, e in pieces]


def covered(a: Vec2, b: Vec2, cover: Box) -> tuple[Vec2, Vec2] | None:
    """The part of a line inside a convex area."""
    span = inside(a, b, cover.corners)
    if span is None:
        return None
    way = (b[0] - a[0], b[1] - a[1])
    low, high = span
    return (
        (a[0] + way[0] * low, a[1] + way[1] * low),
        (a[0] + way[0] * high, a[1] + way[1] * high),
    )


def _less(piece: tuple[float, float], hidden: tuple[float, float]) -> list[tuple[float, float]]:
    start, end = piece
    low, high = hidden
    if high <= start or low >= end:
        return [piece]
    kept = []
    if low > start:
        kept.append((start, low))
    if high < end:
        kept.append((high, end))
    return kept


def inside(a: Vec2, b: Vec2, corners: Sequence[Vec2]) -> tuple[float, float] | None:
    """Parameters between which a line runs inside a convex polygon (Cyrus-Beck)."""
    low, high = 0.0, 1.0
    way = (b[0] - a[0], b[1] - a[1])
    for (px, py), (qx, qy) in zip(corners, (*corners[1:], corners[0]), strict=True):
        inward = (py - qy, qx - px)
        length = math.hypot(*inward)
        if length == 0.0:
            continue
        depth = (inward[0] * (a[0] - px) + inward[1] * (a[1] - py)) / length
        speed = (inward[0] * way[0] + inward[1] * way[1]) / length
        if abs(speed) < 1e-12:
            if depth <= 1e-9:
                return None
            continue
        t = -depth / speed
        if speed > 0:
            if t > low:
                low = t
        elif t < high:
            high = t
        if high - low <= 1e-12:
            return None
    return (low, high)
