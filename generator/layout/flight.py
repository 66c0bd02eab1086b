"""A stair of the spec into its nosings and the one straight line that its guard follows."""

from __future__ import annotations

from collections.abc import Sequence

from generator.geometry import Vec2
from generator.layout.model import Flight
from generator.spec.job import Stair


def flight_of(stair: Stair, start_z_mm: float) -> Flight:
    """The flight of a stair whose leg begins at `start_z_mm` on a floor.

    Equal risers and treads give the line through all nosings. Measured ones give the line fitted
    to the nosings by least squares, shifted so that none stands out above it.
    """
    down = stair.direction == "down"
    top_z = start_z_mm if down else start_z_mm + stair.rise_mm
    nosings = _measured(stair, top_z) if stair.steps else _equal(stair, top_z)
    slope = stair.rise_mm / stair.risers / stair.tread_mm
    line_z = top_z
    if stair.steps and len(nosings) > 1:
        line_z, slope = fitted_line(nosings)
    return Flight(
        nosings=nosings,
        floor_z_mm=top_z - stair.rise_mm,
        line_z_mm=line_z,
        slope=slope,
        overhang_mm=stair.nosing_mm,
        thickness_mm=stair.tread_thickness_mm,
        top_station_mm=0.0 if down else max(t for t, _ in nosings),
        sense=1 if down else -1,
    )


def _equal(stair: Stair, top_z: float) -> tuple[Vec2, ...]:
    riser = stair.rise_mm / stair.risers
    return tuple((k * stair.tread_mm, top_z - k * riser) for k in range(stair.risers))


def _measured(stair: Stair, top_z: float) -> tuple[Vec2, ...]:
    """The last step's riser leads to the lower floor; its going lies beyond the stair."""
    t, z = 0.0, top_z
    nosings = [(t, z)]
    for step in stair.steps[:-1]:
        t, z = t + step.going_mm, z - step.rise_mm
        nosings.append((t, z))
    return tuple(nosings)


def fitted_line(nosings: Sequence[Vec2]) -> tuple[float, float]:
    """(z at t = 0, slope downwards) of the least-squares line, shifted up onto the highest nosing.

    A straightedge laid on the nosings: none pierces it, so every height over it holds over them.
    """
    count = len(nosings)
    mean_t = sum(t for t, _ in nosings) / count
    mean_z = sum(z for _, z in nosings) / count
    spread = sum((t - mean_t) ** 2 for t, _ in nosings)
    slope = -sum((t - mean_t) * (z - mean_z) for t, z in nosings) / spread
    line_z = mean_z + slope * mean_t
    above = max(z - (line_z - slope * t) for t, z in nosings)
    return line_z + above, slope
