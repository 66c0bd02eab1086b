"""Keys under which shapes and places count as the same, blind to rounding noise."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass, replace
from typing import Any

from generator.geometry import Frame, Vec3, along, dot
from generator.parts.shapes import Hole, Prism, Shape

Key = tuple[Any, ...]

_GRID_MM = 1e-6
_ON_AXIS = 1e-3
_GRID_SLOPE = 1e-9  # over a metre of section as fine as the grid of lengths
# Decimal and inch sizes must not lie on the border between two steps of the grid.
_OFF_BORDER = 1 / math.pi


def shape_key(shape: Shape) -> Key:
    """Equal for shapes whose coordinates differ by rounding noise only; lengths to 1e-6 mm."""
    if isinstance(shape, Prism):
        holes = tuple(sorted(hole_key(hole) for hole in shape.holes))
        return (
            "Prism",
            _value_key(shape.section),
            _cut_key(shape.start),
            _cut_key(shape.end),
            holes,
        )
    return _value_key(shape)


def settled(shape: Shape) -> tuple[Shape, float]:
    """A prism moved along its axis to begin at 0, and by how much it was; another shape as it is.

    An arm inside the far end of a rail is so the same part whatever the rail's length.
    """
    if not isinstance(shape, Prism) or shape.start.z_mm == 0.0:
        return shape, 0.0
    by = shape.start.z_mm
    start, end = (replace(plane, z_mm=plane.z_mm - by) for plane in (shape.start, shape.end))
    holes = tuple(
        hole if hole.face == "z" else replace(hole, along_mm=hole.along_mm - by)
        for hole in shape.holes
    )
    return Prism(shape.section, start, end, holes), by


def place_key(place: Frame) -> Key:
    """Equal for frames that differ by rounding noise only; lengths to 1e-6 mm."""
    axes = (_slope(c) for axis in (place.x, place.y, place.z) for c in axis)
    return (*_point_key(place.origin), *axes)


def axis_key(origin: Vec3, direction: Vec3) -> Key:
    """Equal for places on one directed line: 1e-3 mm apart, and as straight."""
    foot = along(origin, direction, -dot(origin, direction))
    return tuple(math.floor(c / _ON_AXIS + _OFF_BORDER) for c in (*foot, *direction))


def hole_key(hole: Hole) -> Key:
    """Equal for holes that differ by rounding noise only; lengths to 1e-6 mm."""
    sizes = hole.along_mm, hole.across_mm, hole.width_mm, hole.height_mm, hole.depth_mm
    return (hole.face, *map(_length, sizes), *map(_slope, hole.lean))


def _cut_key(plane: Any) -> Key:
    return (_length(plane.z_mm), _slope(plane.slope_x), _slope(plane.slope_y))


def _point_key(point: Vec3) -> Key:
    return tuple(map(_length, point))


def _value_key(value: Any) -> Any:
    """Any other shape: lengths all through."""
    if isinstance(value, float | int):
        return _length(value)
    if isinstance(value, tuple):
        return tuple(map(_value_key, value))
    if is_dataclass(value):
        inner = (_value_key(getattr(value, field.name)) for field in fields(value))
        return (type(value).__name__, *inner)
    return value


def _length(value: float) -> int:
    return math.floor(value / _GRID_MM + _OFF_BORDER)


def _slope(value: float) -> int:
    return math.floor(value / _GRID_SLOPE + _OFF_BORDER)
