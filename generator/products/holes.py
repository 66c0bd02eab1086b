"""Where a part's holes break through its faces, and whether they can be built as faces directly."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.frozen import dataclass
from generator.geometry import (
    UP,
    EndPlane,
    Frame,
    Vec2,
    Vec3,
    add,
    cross,
    dot,
    norm,
    scale,
    sub,
    unit,
)
from generator.parts.shapes import Circle, Face, Hole, Outline, Prism, Rectangle
from generator.products.loops import Loop, loop_of, opening

CLEAR_MM = 1e-6
"""A hole nearer than this to an edge or to another hole counts as touching it."""

OPPOSITE: dict[Face, Face] = {"x-": "x+", "x+": "x-", "y-": "y+", "y+": "y-"}
# From a face into the part; across it, so that along the part makes the frame right-handed.
_INWARD: dict[Face, Vec3] = {
    "x-": (1.0, 0.0, 0.0),
    "x+": (-1.0, 0.0, 0.0),
    "y-": (0.0, 1.0, 0.0),
    "y+": (0.0, -1.0, 0.0),
}
_ACROSS: tuple[Vec3, Vec3] = ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0))

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Bore:
    """A hole of a side face as a loop drawn along its own axis, the frame's z, into the part.

    `mouth` and `floor` are parallel to the face; `blind` where the floor is still in the material.
    """

    face: Face
    frame: Frame
    loop: Loop
    mouth: EndPlane
    floor: EndPlane
    blind: bool


def bore(prism: Prism, hole: Hole) -> Bore:
    """The hole in its own frame; a depth that is the wall's but for noise is the wall's."""
    axis = _axis(hole)
    inward = _INWARD[hole.face]
    origin = [hole.across_mm, hole.across_mm, hole.along_mm]
    origin[axis] = -inward[axis] * _half(prism.section.outer, axis)
    place = Frame((origin[0], origin[1], origin[2]), *_axes(hole))
    wall = wall_mm(prism, hole)
    depth = wall if abs(hole.depth_mm - wall) <= CLEAR_MM else hole.depth_mm
    x, y, z = place.local_vector(inward)
    mouth, floor = (EndPlane(deep / z, -x / z, -y / z) for deep in (0.0, depth))
    return Bore(hole.face, place, _loop(hole), mouth, floor, depth < wall)


def _axes(hole: Hole) -> tuple[Vec3, Vec3, Vec3]:
    """Across, along and inward; where the hole leans, turned so that the third is its axis."""
    inward, across = _INWARD[hole.face], _ACROSS[_axis(hole)]
    if any(hole.lean):
        drift = add(scale(across, hole.lean[0]), scale(UP, hole.lean[1]))
        inward = unit(add(inward, drift))
        across = unit(sub(across, scale(inward, dot(across, inward))))
    return across, cross(inward, across), inward


def _loop(hole: Hole) -> Loop:
    if any(hole.lean):
        return loop_of(Circle(hole.bore_mm), quartered=True)
    return opening((0.0, 0.0), hole.width_mm, hole.height_mm)


def plate_loop(hole: Hole) -> Loop:
    """A hole of face z as a loop in the part's own section."""
    return opening((hole.across_mm, hole.along_mm), hole.width_mm, hole.height_mm)


def wall_mm(prism: Prism, hole: Hole) -> float:
    """Thickness of what a side hole enters: one wall of a tube, or all of a solid bar."""
    axis = _axis(hole)
    outer, inner = prism.section.outer, prism.section.inner
    return _half(outer, axis) - _half(inner, axis) if inner else 2 * _half(outer, axis)


def clean(prism: Prism) -> bool:
    """Whether every hole goes through flat material alone, clear of edges and of other holes.

    If not, the part has to be cut by the kernel instead of being built from its faces.
    """
    boxes = [_box(prism, hole) for hole in prism.holes]
    fits = all(_fits(prism, hole, box) for hole, box in zip(prism.holes, boxes, strict=True))
    return fits and _apart(prism.holes, boxes)


def _axis(hole: Hole) -> int:
    return 0 if hole.face[0] == "x" else 1


def _half(outline: Outline, axis: int) -> float:
    return max(corner[axis] for corner in outline.corners)


def _box(prism: Prism, hole: Hole) -> tuple[Span, Span, Span]:
    """The hole's extent along the part's x, y and z."""
    drift = [lean * hole.depth_mm for lean in hole.lean]
    wide = _span(hole.across_mm, hole.width_mm, drift[0])
    tall = _span(hole.along_mm, hole.height_mm, drift[1])
    if hole.face == "z":
        return wide, tall, (prism.start.z_mm, prism.end.z_mm)
    half = _half(prism.section.outer, _axis(hole))
    deep = (half - hole.depth_mm, half) if hole.face[1] == "+" else (-half, hole.depth_mm - half)
    return (deep, wide, tall) if hole.face[0] == "x" else (wide, deep, tall)


def _span(middle: float, size: float, drift: float) -> Span:
    return (middle - size / 2 + min(drift, 0.0), middle + size / 2 + max(drift, 0.0))


def _fits(prism: Prism, hole: Hole, box: tuple[Span, Span, Span]) -> bool:
    if hole.face == "z":
        return _in_plate(prism, box)
    outer, inner = prism.section.outer, prism.section.inner
    if not isinstance(outer, Rectangle) or not isinstance(inner, Rectangle | None):
        return False
    if hole.depth_mm > wall_mm(prism, hole) + CLEAR_MM:
        return False
    across = 1 - _axis(hole)
    flats = [_half(outline, across) - outline.corner_mm for outline in (outer, inner) if outline]
    if max(map(abs, box[across])) > min(flats) - CLEAR_MM:
        return False
    corners = [(x, y) for x in box[0] for y in box[1]]
    return (
        max(prism.start.at(x, y) for x, y in corners) < box[2][0] - CLEAR_MM
        and min(prism.end.at(x, y) for x, y in corners) > box[2][1] + CLEAR_MM
    )


def _in_plate(prism: Prism, box: tuple[Span, Span, Span]) -> bool:
    """Whether a hole along the axis lies inside a solid section with square ends."""
    square = not any(
        (prism.start.slope_x, prism.start.slope_y, prism.end.slope_x, prism.end.slope_y)
    )
    if prism.section.inner or not square:
        return False
    return all(_inside(prism.section.outer, (x, y)) for x in box[0] for y in box[1])


def _inside(outline: Outline, point: Vec2) -> bool:
    """Whether a point lies clear inside an outline; never in one that is not convex."""
    if isinstance(outline, Circle):
        return math.hypot(*point) < outline.diameter_mm / 2 - CLEAR_MM
    if isinstance(outline, Rectangle):
        # Beyond the straight sides of a rounded corner the distance is from the corner's centre.
        r = outline.corner_mm
        over_x = abs(point[0]) - (outline.width_mm / 2 - r)
        over_y = abs(point[1]) - (outline.depth_mm / 2 - r)
        over = math.hypot(over_x, over_y) if over_x > 0 and over_y > 0 else max(over_x, over_y)
        return over < r - CLEAR_MM
    sides = list(zip(outline.corners, outline.corners[1:] + outline.corners[:1], strict=True))
    return all(
        _left(a, b, point) > CLEAR_MM and all(_left(a, b, c) >= -CLEAR_MM for c in outline.corners)
        for a, b in sides
    )


def _left(a: Vec2, b: Vec2, point: Vec2) -> float:
    """Distance of a point to the left of the line from a to b."""
    x, y = b[0] - a[0], b[1] - a[1]
    return (x * (point[1] - a[1]) - y * (point[0] - a[0])) / math.hypot(x, y)


def _apart(holes: Sequence[Hole], boxes: Sequence[tuple[Span, Span, Span]]) -> bool:
    """Whether no two holes touch, going up the part."""
    ordered = sorted(zip(boxes, holes, strict=True), key=lambda pair: pair[0][2])
    for k, (box, hole) in enumerate(ordered):
        for other_box, other in ordered[k + 1 :]:
            if other_box[2][0] > box[2][1] + CLEAR_MM:
                break
            beside = (_meet(a, b) for a, b in zip(box[:2], other_box[:2], strict=True))
            if all(beside) and not _parallel_apart(hole, other):
                return False
    return True


def _parallel_apart(hole: Hole, other: Hole) -> bool:
    """Whether two holes that lean alike pass each other, though the boxes about them meet."""
    if hole.face != other.face or hole.lean != other.lean or not any(hole.lean):
        return False
    between = (other.across_mm - hole.across_mm, other.along_mm - hole.along_mm, 0.0)
    square = norm(cross(between, unit((*hole.lean, 1.0))))
    return square > (hole.bore_mm + other.bore_mm) / 2 + CLEAR_MM


def _meet(a: Span, b: Span) -> bool:
    return a[0] <= b[1] + CLEAR_MM and b[0] <= a[1] + CLEAR_MM
