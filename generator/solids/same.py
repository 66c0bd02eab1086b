"""Keys under which shapes and places count as the same, blind to rounding noise."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

from generator.geometry import Frame, Vec3
from generator.parts.shapes import Hole, Prism, Shape

Key = tuple[Any, ...]

_GRID_MM = 1e-6
_GRID_SLOPE = 1e-9  # over a metre of section as fine as the grid of lengths
# Decimal and inch sizes must not lie on the border between two steps of the grid.
_OFF_BORDER = 1 / math.pi


def shape_key(shape: Shape) -> Key:
    """Equal for shapes whose coordinates differ by rounding noise only; lengths to 1e-6 mm."""
    if isinstance(shape, Prism):
        holes = tuple(sorted(_hole_key(hole) for hole in shape.holes))
        return (
            "Prism",
            _value_key(shape.section),
            _cut_key(shape.start),
            _cut_key(shape.end),
            holes,
        )
    return _value_key(shape)


def place_key(place: Frame) -> Key:
    """Equal for frames that differ by rounding noise only; lengths to 1e-6 mm."""
    axes = (_slope(c) for axis in (place.x, place.y, place.z) for c in axis)
    return (*_point_key(place.origin), *axes)


def _hole_key(hole: Hole) -> Key:
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
