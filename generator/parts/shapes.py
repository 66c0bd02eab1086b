"""Analytic shapes of parts, in their own coordinates, with closed-form areas and volumes.

A shape is a value: two parts of equal shape are one distinct part, placed twice.
"""

from __future__ import annotations

import math
from typing import Literal

from generator.frozen import dataclass
from generator.geometry import EndPlane as EndPlane
from generator.geometry import Vec2, Vec3

Face = Literal["x-", "x+", "y-", "y+", "z"]


@dataclass(frozen=True, slots=True)
class Rectangle:
    """`width_mm` along local x, `depth_mm` along y, centred, corners rounded by `corner_mm`."""

    width_mm: float
    depth_mm: float
    corner_mm: float = 0.0

    @property
    def area_mm2(self) -> float:
        return self.width_mm * self.depth_mm - (4.0 - math.pi) * self.corner_mm**2

    @property
    def centroid(self) -> Vec2:
        return (0.0, 0.0)

    @property
    def corners(self) -> tuple[Vec2, ...]:
        """The four corners, counter-clockwise, as if they were sharp."""
        x, y = self.width_mm / 2, self.depth_mm / 2
        return ((-x, -y), (x, -y), (x, y), (-x, y))


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle about the local axis."""

    diameter_mm: float

    @property
    def area_mm2(self) -> float:
        return math.pi * self.diameter_mm**2 / 4

    @property
    def centroid(self) -> Vec2:
        return (0.0, 0.0)

    @property
    def corners(self) -> tuple[Vec2, ...]:
        """The corners of the square about the circle."""
        r = self.diameter_mm / 2
        return ((-r, -r), (r, -r), (r, r), (-r, r))


@dataclass(frozen=True, slots=True)
class Polygon:
    """A simple polygon, its corners counter-clockwise in local x, y."""

    corners: tuple[Vec2, ...]

    @property
    def area_mm2(self) -> float:
        return sum(self._crosses()) / 2

    @property
    def centroid(self) -> Vec2:
        crosses = self._crosses()
        total = 3 * sum(crosses)
        pairs = list(zip(self.corners, self.corners[1:] + self.corners[:1], strict=True))
        x = sum((a[0] + b[0]) * c for (a, b), c in zip(pairs, crosses, strict=True)) / total
        y = sum((a[1] + b[1]) * c for (a, b), c in zip(pairs, crosses, strict=True)) / total
        return (x, y)

    def _crosses(self) -> list[float]:
        following = self.corners[1:] + self.corners[:1]
        return [a[0] * b[1] - b[0] * a[1] for a, b in zip(self.corners, following, strict=True)]


Outline = Rectangle | Circle | Polygon


def hexagon(flats_mm: float) -> Polygon:
    """A regular hexagon, `flats_mm` across flats, a flat facing +y."""
    radius = flats_mm / math.sqrt(3)
    turns = (math.radians(60 * k) for k in range(6))
    return Polygon(tuple((radius * math.cos(t), radius * math.sin(t)) for t in turns))


@dataclass(frozen=True, slots=True)
class Section:
    """A cross-section: an outline and, for a tube, the outline of its hollow."""

    outer: Outline
    inner: Outline | None = None

    @property
    def area_mm2(self) -> float:
        return self.outer.area_mm2 - (self.inner.area_mm2 if self.inner else 0.0)


def tube(width_mm: float, depth_mm: float, wall_mm: float, corner_mm: float = 0.0) -> Section:
    """Rectangular tube; `corner_mm` is the outer radius, the inner one less by the wall."""
    hollow = Rectangle(
        width_mm - 2 * wall_mm, depth_mm - 2 * wall_mm, max(corner_mm - wall_mm, 0.0)
    )
    return Section(Rectangle(width_mm, depth_mm, corner_mm), hollow)


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole through one wall, drilled square to a face; a stadium where width and height differ.

    On a side face, `along_mm` is its centre's z and `across_mm` its y (faces x-, x+) or x (faces
    y-, y+); `width_mm` is measured across, `height_mm` along the axis; `depth_mm` inward from the
    face. On face `z` the hole goes through the whole part along its axis, `across_mm` is x and
    `along_mm` y, and the part is a plate with square ends.

    A hole through solid wood is drilled at the pitch: `lean` is how far its axis drifts, across
    and along, for each unit of depth, and its outline on the face is then an ellipse of these
    extents.
    """

    face: Face
    along_mm: float
    across_mm: float
    width_mm: float
    height_mm: float
    depth_mm: float
    lean: Vec2 = (0.0, 0.0)

    @property
    def bore_mm(self) -> float:
        """Diameter, square to its axis, of a hole that leans."""
        return self.width_mm / math.hypot(1.0, self.lean[0])

    @property
    def volume_mm3(self) -> float:
        """Of the material taken from a flat wall."""
        if any(self.lean):
            # The ellipse's area is the round bore's over the cosine between axis and face normal.
            ellipse = math.pi / 4 * self.bore_mm**2 * math.hypot(1.0, *self.lean)
            return ellipse * self.depth_mm
        short, long = sorted((self.width_mm, self.height_mm))
        return (math.pi * short**2 / 4 + short * (long - short)) * self.depth_mm


@dataclass(frozen=True, slots=True)
class Prism:
    """A section drawn along local z from one cut to another, with holes."""

    section: Section
    start: EndPlane
    end: EndPlane
    holes: tuple[Hole, ...] = ()

    @property
    def volume_mm3(self) -> float:
        volume = self._drawn(self.section.outer)
        if self.section.inner:
            volume -= self._drawn(self.section.inner)
        return volume - sum(hole.volume_mm3 for hole in self.holes)

    def _drawn(self, outline: Outline) -> float:
        x, y = outline.centroid
        return outline.area_mm2 * (self.end.at(x, y) - self.start.at(x, y))


@dataclass(frozen=True, slots=True)
class Step:
    """One length of a turned part along z, with a bore if `inner_mm` > 0."""

    start_mm: float
    end_mm: float
    outer_mm: float
    inner_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Turned:
    """Round steps about local z, one after the other: a stud, a bolt, a washer. Diameters in mm."""

    steps: tuple[Step, ...]

    @property
    def volume_mm3(self) -> float:
        return sum(
            math.pi / 4 * (s.outer_mm**2 - s.inner_mm**2) * (s.end_mm - s.start_mm)
            for s in self.steps
        )


@dataclass(frozen=True, slots=True)
class Route:
    """A round cable along straight lines; `points` in its own coordinates, the first at 0, 0, 0."""

    diameter_mm: float
    points: tuple[Vec3, ...]

    @property
    def length_mm(self) -> float:
        return sum(math.dist(a, b) for a, b in zip(self.points, self.points[1:], strict=False))

    @property
    def volume_mm3(self) -> float:
        """Exact for a straight cable; bends are not rounded."""
        return math.pi * self.diameter_mm**2 / 4 * self.length_mm


Shape = Prism | Turned | Route
