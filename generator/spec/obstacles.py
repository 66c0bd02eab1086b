"""Obstacles of a spec: what is wrong with their outlines, and their frozen form."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pydantic_core import PydanticCustomError

from generator.geometry import Vec2
from generator.spec.job import Obstacle
from generator.spec.obstacle_models import MAX_CORNERS, ObstacleSpec, read_corner
from generator.spec.plain import Plain
from generator.textfile import Place

# Corners nearer to each other than this are one.
_SAME_MM = 1e-6
_LEAST_MM2 = 1.0


def obstacle_problems(source: Plain) -> None:
    """Note obstacles that say both or neither of box and prism, and outlines that enclose none."""
    for index, item in enumerate(source.items(("obstacles",))):
        path: Place = ("obstacles", index)
        if not isinstance(item, dict):
            continue
        if "box" in item and "prism" in item:
            source.refuse((*path, "prism"), "box or prism, not both")
        elif "box" not in item and "prism" not in item:
            source.missing((*path, "box"), "a value: its place and size, as a box or a prism")
        points: Place = (*path, "prism", "points")
        if isinstance(source.at(points), list):
            _outline(source, points)


def _outline(source: Plain, path: Place) -> None:
    read = source.items(path)
    if len(read) < 3:
        source.refuse(path, "three corners or more", f"{len(read)} of them")
        return
    if len(read) > MAX_CORNERS:
        return  # the models report it
    try:
        corners = [read_corner(point, source.unit) for point in read]
    except PydanticCustomError:
        return
    for k, corner in enumerate(corners):
        if math.dist(corner, corners[k - 1]) < _SAME_MM:
            source.refuse((*path, k), "a corner away from the one before it")
            return
    for k, m in _crossing(corners):
        words = (
            f"an outline that does not cross itself: this side meets the one from corner {k + 1}"
        )
        source.refuse((*path, m), words)
        return
    if abs(_area(corners)) < _LEAST_MM2:
        source.refuse(path, "corners that do not lie on one line")


def _crossing(corners: Sequence[Vec2]) -> Iterator[tuple[int, int]]:
    """Sides k < m, by their first corner, that meet though they are no neighbours."""
    count = len(corners)
    for m in range(count):
        for k in range(m - 1):
            if (k, m) != (0, count - 1) and _meet(
                (corners[k], corners[k + 1]), (corners[m], corners[(m + 1) % count])
            ):
                yield k, m


def _meet(first: tuple[Vec2, Vec2], second: tuple[Vec2, Vec2]) -> bool:
    """Whether two stretches have a point in common."""
    (a, b), (c, d) = first, second
    sides = [_side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)]
    if sides[0] * sides[1] < 0.0 and sides[2] * sides[3] < 0.0:
        return True
    ends = ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    return any(side == 0.0 and _between(*end) for side, end in zip(sides, ends, strict=True))


def _side(a: Vec2, b: Vec2, p: Vec2) -> float:
    """Above 0 where p lies left of the line from a to b; 0 within rounding on it."""
    value = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
    return 0.0 if abs(value) <= _SAME_MM * math.dist(a, b) else value


def _between(a: Vec2, b: Vec2, p: Vec2) -> bool:
    """Whether p, on the line through a and b, lies between them."""
    size = math.dist(a, b) ** 2
    along = (p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])
    return 0.0 <= along <= size


def _area(corners: Sequence[Vec2]) -> float:
    """Of an outline, mm2, above 0 where it is told counter-clockwise."""
    sides = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in sides) / 2


def frozen_obstacles(specs: Sequence[ObstacleSpec] | None) -> tuple[Obstacle, ...]:
    """Obstacles as the job holds them."""
    return tuple(_frozen(spec) for spec in specs or ())


def _frozen(spec: ObstacleSpec) -> Obstacle:
    if spec.box:
        box = spec.box
        x, y = box.width / 2, box.depth / 2
        corners = ((-x, -y), (x, -y), (x, y), (-x, y))
        return Obstacle(spec.name, box.x, box.y, box.z, box.height, corners, box.bearing)
    (x, y), *_ = spec.prism.points
    corners = tuple((a - x, b - y) for a, b in spec.prism.points)
    if _area(corners) < 0.0:
        corners = corners[::-1]
    return Obstacle(spec.name, x, y, spec.prism.z, spec.prism.height, corners)
