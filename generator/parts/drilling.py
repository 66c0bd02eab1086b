"""Holes for cables and studs: where an axis crosses a post's walls, and how large they are."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

from generator.frozen import dataclass
from generator.geometry import Vec3, cosd, sind
from generator.parts.assembly import DrilledHole
from generator.parts.shapes import Face, Hole


@dataclass(frozen=True, slots=True)
class Axis:
    """A straight cable or stud that crosses a post's own axis at `height_mm` of its frame.

    `wall` is the one that it goes through on its way: the near one is met first.

    `slope_x`, `slope_y`, `slope_z` are the direction in the post's frame.
    """

    row: int
    leg: int
    purpose: Literal["cable", "stud"]
    height_mm: float
    direction: Vec3
    wall: Literal["both", "near", "far"] = "both"
    run: str = ""


@dataclass(frozen=True, slots=True)
class Bore:
    """What a hole must pass: nominal and largest diameter, and the clearance over the latter."""

    nominal_mm: float
    largest_mm: float
    clearance_mm: float


def slot_size(diameter_mm: float, wall_mm: float, slope: float) -> float:
    """Extent of a hole drilled square through a wall, along the direction in which a bar leans.

    d / cos + t tan of the angle whose tangent is `slope` (geometry.md D).
    """
    return diameter_mm * math.hypot(1.0, slope) + wall_mm * abs(slope)


def drill(
    axes: Iterable[Axis],
    bores: dict[str, Bore],
    width_mm: float,
    depth_mm: float,
    wall_mm: float | None,
    base_mm: float,
    *,
    at_pitch: bool = False,
) -> tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]:
    """Holes of a tube (both walls) or, with `wall_mm` None, of a solid bar.

    `base_mm` is how far the part's frame lies above the point that heights are told from. With
    `at_pitch` a solid bar is drilled along the cable instead of square to its face.
    """
    table: list[DrilledHole] = []
    holes: list[Hole] = []
    for axis in axes:
        bore = bores[axis.purpose]
        if at_pitch:
            found = [_bored(axis, bore, width_mm, depth_mm)]
        else:
            found = _walls(axis, bore, width_mm, depth_mm, wall_mm)
        steep, across = _slopes(axis.direction)[1:]
        wall = wall_mm if wall_mm is not None else width_mm
        table.append(
            DrilledHole(
                row=axis.row,
                leg=axis.leg,
                purpose=axis.purpose,
                axis_z_mm=axis.height_mm + base_mm,
                shape="slot" if (steep or across) and not at_pitch else "round",
                width_mm=found[0].width_mm,
                height_mm=found[0].height_mm,
                nominal_height_mm=slot_size(bore.nominal_mm, wall, steep),
                walls=tuple(range(len(holes), len(holes) + len(found))),
                run=axis.run,
            )
        )
        holes.extend(found)
    return tuple(table), tuple(holes)


def _slopes(direction: Vec3) -> tuple[bool, float, float]:
    """(whether the axis leaves through the x faces, vertical slope, sideways slope)."""
    x, y, z = direction
    if abs(x) >= abs(y) * (1 - 1e-9):
        return True, z / x, _clean(y / x)
    return False, z / y, _clean(x / y)


def _clean(slope: float) -> float:
    """A sideways slope of rounding noise is none: such a hole is round."""
    return 0.0 if abs(slope) < 1e-9 else slope


def _walls(
    axis: Axis, bore: Bore, width_mm: float, depth_mm: float, wall_mm: float | None
) -> list[Hole]:
    by_x, steep, across = _slopes(axis.direction)
    thickness = width_mm if by_x else depth_mm
    wall = thickness if wall_mm is None else wall_mm
    faces: tuple[Face, Face] = ("x-", "x+") if by_x else ("y-", "y+")
    more = bore.clearance_mm + _askew(bore.largest_mm, wall, across, steep)
    size = (
        slot_size(bore.largest_mm, wall, across) + more,
        slot_size(bore.largest_mm, wall, steep) + more,
    )
    if wall_mm is None:
        return [Hole(faces[0], axis.height_mm, 0.0, *size, depth_mm=wall)]
    middle = (thickness - wall) / 2
    found = [
        Hole(face, axis.height_mm + steep * at, across * at, *size, depth_mm=wall)
        for face, at in zip(faces, (-middle, middle), strict=True)
    ]
    if axis.wall == "both":
        return found
    forward = (axis.direction[0] if by_x else axis.direction[1]) > 0.0
    return [found[0 if (axis.wall == "near") == forward else 1]]


def _askew(diameter_mm: float, wall_mm: float, across: float, steep: float) -> float:
    """What a slot is larger both ways for a bar that leans both ways, toward its rounded corners.

    Of what the bar takes up between both faces of the wall, and of the slot, the reach in every
    direction is compared, by whole degrees; both are convex.
    """
    if not across or not steep:
        return 0.0
    wide, high = (slot_size(diameter_mm, wall_mm, slope) / 2 for slope in (across, steep))
    end = min(wide, high)
    lacking = 0.0
    for degrees in range(180):
        x, y = cosd(degrees), sind(degrees)
        lean = across * x + steep * y
        bar = (diameter_mm * math.hypot(1.0, lean) + wall_mm * abs(lean)) / 2
        slot = end + (wide - end) * abs(x) + (high - end) * abs(y)
        lacking = max(lacking, bar - slot)
    return 2.0 * lacking


def _bored(axis: Axis, bore: Bore, width_mm: float, depth_mm: float) -> Hole:
    """A round hole along the axis through a solid post; on its face it shows as an ellipse."""
    by_x, steep, across = _slopes(axis.direction)
    thickness = width_mm if by_x else depth_mm
    diameter = bore.largest_mm + bore.clearance_mm
    return Hole(
        face="x-" if by_x else "y-",
        along_mm=axis.height_mm - steep * thickness / 2,
        across_mm=-across * thickness / 2,
        width_mm=diameter * math.hypot(1.0, across),
        height_mm=diameter * math.hypot(1.0, steep),
        depth_mm=thickness,
        lean=(across, steep),
    )


def drill_into_face(
    axes: Iterable[Axis],
    bore: Bore,
    width_mm: float,
    depth_mm: float,
    way: float,
    into_mm: float,
) -> tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]:
    """Blind holes into the face of a solid post that looks along (`way` 1) or against the axes."""
    table: list[DrilledHole] = []
    holes: list[Hole] = []
    diameter = bore.largest_mm + bore.clearance_mm
    for axis in axes:
        by_x, steep, across = _slopes(axis.direction)
        lead = axis.direction[0] if by_x else axis.direction[1]
        half = (width_mm if by_x else depth_mm) / 2
        front = way * lead > 0.0
        at = half if front else -half
        faces: tuple[Face, Face] = ("x-", "x+") if by_x else ("y-", "y+")
        inward = -1.0 if front else 1.0
        hole = Hole(
            face=faces[front],
            along_mm=axis.height_mm + steep * at,
            across_mm=across * at,
            width_mm=diameter * math.hypot(1.0, across),
            height_mm=diameter * math.hypot(1.0, steep),
            depth_mm=into_mm,
            lean=(inward * across, inward * steep),
        )
        table.append(
            DrilledHole(
                row=axis.row,
                leg=axis.leg,
                purpose="stud",
                axis_z_mm=axis.height_mm,
                shape="round",
                width_mm=hole.width_mm,
                height_mm=hole.height_mm,
                nominal_height_mm=slot_size(bore.nominal_mm, 0.0, steep),
                walls=(len(holes),),
                run=axis.run,
            )
        )
        holes.append(hole)
    return tuple(table), tuple(holes)


def joined(
    table: tuple[DrilledHole, ...],
    holes: tuple[Hole, ...],
    more_table: tuple[DrilledHole, ...],
    more_holes: tuple[Hole, ...],
) -> tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]:
    """Two drillings of one post as one; the second's indices follow the first's holes."""
    shifted = (
        replace(hole, walls=tuple(index + len(holes) for index in hole.walls))
        for hole in more_table
    )
    return (*table, *shifted), (*holes, *more_holes)


def half_path(direction: Vec3, width_mm: float, depth_mm: float) -> float:
    """From a post's axis to its face, along a unit direction given in the post's frame."""
    x, y, _ = direction
    reach = [half / abs(c) for half, c in ((width_mm / 2, x), (depth_mm / 2, y)) if abs(c) > 1e-12]
    return min(reach)
