"""Lengths and saw angles of a piece, read from its analytic shape: what a tape and a saw need."""

from __future__ import annotations

import math
from typing import Literal

from generator.geometry import EndPlane
from generator.parts.assembly import Part
from generator.parts.shapes import Prism


def rail_lengths(part: Part) -> tuple[float, float, float]:
    """(long point, short point, centre) of a straight piece, mm.

    Long point is tip to tip along the axis, short point the shortest line along it, centre the
    length of the centre line (geometry.md G).

    Raises:
        TypeError: the part is no prism.
    """
    prism = _prism(part)
    corners = prism.section.outer.corners
    shortest = min(prism.end.at(x, y) - prism.start.at(x, y) for x, y in corners)
    return long_point_mm(prism), shortest, prism.end.z_mm - prism.start.z_mm


def long_point_mm(prism: Prism) -> float:
    """Long point to long point along the axis, mm: what a piece takes of its bar.

    With both ends cut at one slope it is longer than any line along the piece.
    """
    corners = prism.section.outer.corners
    return max(prism.end.at(*c) for c in corners) - min(prism.start.at(*c) for c in corners)


def cut_angles(part: Part, end: Literal["start", "end"]) -> tuple[float, float]:
    """(miter, bevel) of the saw in degrees, the piece flat on its wide face, 0, 0 square.

    With n the cut's normal along the piece, u its axis, w the normal of the face on the table and
    b = w x u: miter = atan2(n.b, n.u), bevel = asin(n.w) (reference.md section 8, vector method).
    """
    prism = _prism(part)
    return saw_angles(prism.start if end == "start" else prism.end)


def saw_angles(cut: EndPlane) -> tuple[float, float]:
    """(miter, bevel) of a cut in a frame whose y is the normal of the face on the table."""
    length = math.sqrt(1.0 + cut.slope_x**2 + cut.slope_y**2)
    miter = math.degrees(math.atan2(-cut.slope_x, 1.0))
    bevel = math.degrees(math.asin(-cut.slope_y / length))
    return miter + 0.0, bevel + 0.0


def _prism(part: Part) -> Prism:
    if not isinstance(part.shape, Prism):
        raise TypeError(f"{part.mark} is no straight piece")
    return part.shape
