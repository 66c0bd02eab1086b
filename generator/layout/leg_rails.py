"""How the rail of each leg ends: run on past its post, mitered, or dropped plumb at a nosing."""

from __future__ import annotations

from collections.abc import Sequence

from generator.layout.leg_rows import rail_top
from generator.layout.model import RailPiece
from generator.layout.path import Corner
from generator.layout.rail import (
    RailEndCut,
    pitch_miter,
    plumb_drop,
    rail_pieces,
    square_end,
    turn_miter,
)
from generator.layout.spots import LegSpots
from generator.spec.job import Job


def leg_rails(
    job: Job, legs: Sequence[LegSpots], corners: Sequence[Corner], k: int
) -> tuple[RailPiece, ...]:
    """Rail pieces of the k-th leg; none where the leg is too short for two posts (`span.short`)."""
    spots = legs[k]
    if spots.stations[-1] - spots.stations[0] <= job.system.post.width_mm:
        return ()
    start = _run_on(job, spots, at_start=True)
    if k and spots.start.rail != "run-on":
        start = _corner_cut(job, legs[k - 1], spots, corners[k - 1], at_start=True)
    end = _run_on(job, spots, at_start=False)
    if k + 1 < len(legs) and spots.end.rail != "run-on":
        end = _corner_cut(job, spots, legs[k + 1], corners[k], at_start=False)
    return rail_pieces(job, spots.line, start, end, spots.stations[1:-1])


def _run_on(job: Job, spots: LegSpots, *, at_start: bool) -> RailEndCut:
    """Square, `run_on` beyond the outer face of the end post, measured level (geometry.md G)."""
    reach = job.system.post.width_mm / 2 + job.guard.run_on_mm
    if at_start:
        return square_end(spots.start.station_mm - reach, spots.start.joint)
    return square_end(spots.end.station_mm + reach, spots.end.joint)


def _corner_cut(
    job: Job, before: LegSpots, after: LegSpots, corner: Corner, *, at_start: bool
) -> RailEndCut:
    """The cut on one side of a corner that two legs' rails share."""
    spots = after if at_start else before
    end = spots.start if at_start else spots.end
    if end.rail == "through":
        return square_end(end.station_mm, "joint on post")
    if end.rail == "turn":
        return turn_miter(end.station_mm, corner.angle_deg, at_start=at_start)
    # Level to pitch in line: the upper nosing is where the two edges meet.
    nosing = 0.0 if at_start else spots.line.length_mm
    if rail_top(job, before) == rail_top(job, after):
        change = after.line.pitch_deg - before.line.pitch_deg
        return pitch_miter(nosing, change, job.system.rail.depth_mm, at_start=at_start)
    if spots.line.flight is None:
        return square_end(nosing, "plumb drop")
    return plumb_drop(nosing, spots.line.slope)
