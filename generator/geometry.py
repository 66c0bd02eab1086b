"""Vectors, frames and lines in millimetres and degrees: x east, y north, z up, right-handed."""

from __future__ import annotations

import math

from generator.frozen import dataclass

Vec3 = tuple[float, float, float]
Vec2 = tuple[float, float]

UP: Vec3 = (0.0, 0.0, 1.0)


def cosd(angle_deg: float) -> float:
    """Cosine of an angle in degrees, exact at every multiple of 90."""
    quarter, rest = divmod(angle_deg, 90.0)
    if rest == 0.0:
        return (1.0, 0.0, -1.0, 0.0)[int(quarter) % 4]
    return math.cos(math.radians(angle_deg))


def sind(angle_deg: float) -> float:
    """Sine of an angle in degrees, exact at every multiple of 90."""
    return cosd(angle_deg - 90.0)


def tand(angle_deg: float) -> float:
    """Tangent of an angle in degrees."""
    return sind(angle_deg) / cosd(angle_deg)


def heading(bearing_deg: float) -> Vec3:
    """Level unit vector at a bearing: 0 is east, counter-clockwise."""
    return (cosd(bearing_deg), sind(bearing_deg), 0.0)


def left_of(bearing_deg: float) -> Vec3:
    """Level unit vector to the left of a bearing."""
    return (-sind(bearing_deg), cosd(bearing_deg), 0.0)


def add(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec3, k: float) -> Vec3:
    return (a[0] * k, a[1] * k, a[2] * k)


def along(origin: Vec3, direction: Vec3, distance: float) -> Vec3:
    """The point `distance` from `origin` along `direction`."""
    return (
        origin[0] + direction[0] * distance,
        origin[1] + direction[1] * distance,
        origin[2] + direction[2] * distance,
    )


def dot(a: Vec3, b: Vec3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec3, b: Vec3) -> Vec3:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def norm(a: Vec3) -> float:
    return math.sqrt(dot(a, a))


def unit(a: Vec3) -> Vec3:
    """`a` at length 1.

    Raises:
        ZeroDivisionError: `a` has no length.
    """
    return scale(a, 1.0 / norm(a))


def foot_on(point: Vec2, a: Vec2, b: Vec2) -> Vec2:
    """The point of the straight line from a to b, between them, that is nearest to a point."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    size = ux * ux + uy * uy
    t = 0.0 if size == 0.0 else ((point[0] - a[0]) * ux + (point[1] - a[1]) * uy) / size
    t = min(max(t, 0.0), 1.0)
    return (a[0] + ux * t, a[1] + uy * t)


def distance(a: Vec3, b: Vec3) -> float:
    return math.dist(a, b)


@dataclass(frozen=True, slots=True)
class Frame:
    """A right-handed place in space: where a part's own origin and axes lie."""

    origin: Vec3
    x: Vec3
    y: Vec3
    z: Vec3

    def point(self, local: Vec3) -> Vec3:
        """World coordinates of a point given in this frame."""
        return add(self.origin, self.vector(local))

    def vector(self, local: Vec3) -> Vec3:
        """World components of a direction given in this frame."""
        a, b, c = local
        x, y, z = self.x, self.y, self.z
        return (
            a * x[0] + b * y[0] + c * z[0],
            a * x[1] + b * y[1] + c * z[1],
            a * x[2] + b * y[2] + c * z[2],
        )

    def local(self, world: Vec3) -> Vec3:
        """Coordinates in this frame of a point of the world."""
        return self.local_vector(sub(world, self.origin))

    def local_vector(self, world: Vec3) -> Vec3:
        """Components in this frame of a direction of the world."""
        return (dot(world, self.x), dot(world, self.y), dot(world, self.z))


def upright(origin: Vec3, bearing_deg: float) -> Frame:
    """Frame of a plumb part: z up, x along the bearing, y to its left."""
    return Frame(origin, heading(bearing_deg), left_of(bearing_deg), UP)


def lengthwise(origin: Vec3, bearing_deg: float, pitch_deg: float) -> Frame:
    """Frame of a part laid along a leg: z along the travel, x level to its left, y square to both.

    `pitch_deg` is the rise of the travel, down negative.
    """
    east, north, _ = heading(bearing_deg)
    c, s = cosd(pitch_deg), sind(pitch_deg)
    travel = (east * c, north * c, s)
    return Frame(origin, left_of(bearing_deg), (-east * s, -north * s, c), travel)


@dataclass(frozen=True, slots=True)
class EndPlane:
    """A cut: the plane z = `z_mm` + `slope_x` x + `slope_y` y in the part's own coordinates."""

    z_mm: float
    slope_x: float = 0.0
    slope_y: float = 0.0

    def at(self, x: float, y: float) -> float:
        """Height of the plane over a point of the section."""
        return self.z_mm + self.slope_x * x + self.slope_y * y
