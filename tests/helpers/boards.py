"""Boards seen from above, measured with shapely."""

from __future__ import annotations

from shapely.geometry import Polygon

from generator.parts.assembly import Part
from generator.parts.timber import board

INCH = 25.4


def plan(part: Part) -> Polygon:
    return Polygon(board(part).plan)


def overlap(a: Part, b: Part) -> float:
    """Area in plan that two boards share but for a twentieth of a millimetre along their sides.

    Sides that nearly coincide are no case for shapely's exact intersection.
    """
    return plan(a).buffer(-0.05).intersection(plan(b).buffer(-0.05)).area


def extent(part: Part) -> list[float]:
    """(west, south, east, north, bottom, top), inches."""
    seen = board(part)
    return [c / INCH for c in (*Polygon(seen.plan).bounds, seen.low_mm, seen.high_mm)]
