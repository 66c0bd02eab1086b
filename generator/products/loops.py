"""Outlines as closed loops of straight and round sides, counter-clockwise, in mm of a section."""

from __future__ import annotations

import math

from generator.frozen import dataclass
from generator.geometry import Vec2, cosd, sind
from generator.parts.shapes import Circle, Face, Outline, Rectangle

_NO_LENGTH_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Flat:
    """A straight side from `start` to `end`; `face` names the side of a rectangle it lies on."""

    start: Vec2
    end: Vec2
    face: Face | None = None


@dataclass(frozen=True, slots=True)
class Round:
    """An arc about `centre`, counter-clockwise from `from_deg`; sweeping 360 it is a circle."""

    centre: Vec2
    radius_mm: float
    from_deg: float
    sweep_deg: float

    @property
    def start(self) -> Vec2:
        x, y = self.centre
        return (
            x + self.radius_mm * cosd(self.from_deg),
            y + self.radius_mm * sind(self.from_deg),
        )

    @property
    def closed(self) -> bool:
        """Whether the arc is a whole circle and meets itself."""
        return self.sweep_deg == 360.0


Side = Flat | Round
Loop = tuple[Side, ...]


def loop_of(outline: Outline, *, quartered: bool = False) -> Loop:
    """The sides of an outline; a circle as four quarters where `quartered`.

    A slanted cut of a whole cylinder loses 4e-7 of its volume in a STEP reader's projection of the
    ellipse; quarters keep it to 1e-14.
    """
    if isinstance(outline, Rectangle):
        return _rectangle(outline)
    if isinstance(outline, Circle):
        radius = outline.diameter_mm / 2
        sweep = 90.0 if quartered else 360.0
        starts = (0.0, 90.0, 180.0, 270.0) if quartered else (0.0,)
        return tuple(Round((0.0, 0.0), radius, start, sweep) for start in starts)
    following = outline.corners[1:] + outline.corners[:1]
    return tuple(Flat(a, b) for a, b in zip(outline.corners, following, strict=True))


def opening(centre: Vec2, width_mm: float, height_mm: float) -> Loop:
    """A round hole, or a stadium along its longer measure; width along x, height along y."""
    x, y = centre
    radius = min(width_mm, height_mm) / 2
    half = (max(width_mm, height_mm) - 2 * radius) / 2
    if half <= _NO_LENGTH_MM:
        return (Round(centre, radius, 0.0, 360.0),)
    if height_mm > width_mm:
        return (
            Round((x, y - half), radius, 180.0, 180.0),
            Flat((x + radius, y - half), (x + radius, y + half)),
            Round((x, y + half), radius, 0.0, 180.0),
            Flat((x - radius, y + half), (x - radius, y - half)),
        )
    return (
        Round((x + half, y), radius, -90.0, 180.0),
        Flat((x + half, y + radius), (x - half, y + radius)),
        Round((x - half, y), radius, 90.0, 180.0),
        Flat((x - half, y - radius), (x + half, y - radius)),
    )


def _rectangle(outline: Rectangle) -> Loop:
    """Four flats and, where the corners are rounded, the quarter circle before each."""
    r = outline.corner_mm
    x, y = outline.width_mm / 2, outline.depth_mm / 2
    faces: tuple[tuple[Face, Vec2, Vec2], ...] = (
        ("y-", (-x + r, -y), (x - r, -y)),
        ("x+", (x, -y + r), (x, y - r)),
        ("y+", (x - r, y), (-x + r, y)),
        ("x-", (-x, y - r), (-x, -y + r)),
    )
    centres: tuple[Vec2, ...] = (
        (-x + r, -y + r),
        (x - r, -y + r),
        (x - r, y - r),
        (-x + r, y - r),
    )
    sides: list[Side] = []
    for k, (face, start, end) in enumerate(faces):
        if r > 0.0:
            sides.append(Round(centres[k], r, 90.0 * (k + 2), 90.0))
        if math.dist(start, end) > _NO_LENGTH_MM:
            sides.append(Flat(start, end, face))
    return tuple(sides)
