"""How each leg begins and ends: at a wall, free, or at a corner with one post or two."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from generator.errors import InputError, Problem
from generator.geometry import Vec3, dot, sub
from generator.layout.model import Joint, PathLeg
from generator.layout.path import Corner, vertex_stations
from generator.layout.posts import TreadPost, clear_offset, tread_post
from generator.spec.job import EndKind, Job, Run

RailEnd = Literal["run-on", "turn", "pitch", "through"]


@dataclass(frozen=True, slots=True)
class EndSpot:
    """Where a leg's end post stands and how its rail ends there.

    `shared` posts serve both legs of a corner. `rail` is `run-on` past the post, mitered for a
    `turn` or a change of `pitch`, or `through` where the next leg carries on in line.
    `bearing_deg` is the post's own.
    """

    station_mm: float
    tread: TreadPost | None
    joint: Joint
    shared: bool
    rail: RailEnd
    bearing_deg: float


def end_spots(
    job: Job, run: Run, legs: tuple[PathLeg, ...], corners: tuple[Corner, ...]
) -> list[tuple[EndSpot, EndSpot]]:
    """Start and end of every leg."""
    starts = [_run_end(job, legs[0], run.start.end, at_start=True)]
    ends = []
    for before, after, corner in zip(legs[:-1], legs[1:], corners, strict=True):
        end, start = _corner_spots(job, before, after, corner)
        ends.append(end)
        starts.append(start)
    ends.append(_run_end(job, legs[-1], run.end, at_start=False))
    return list(zip(starts, ends, strict=True))


def _run_end(job: Job, leg: PathLeg, end: EndKind, *, at_start: bool) -> EndSpot:
    if leg.flight:
        return _stair_spot(job, leg, end, upper=_upper_end_first(leg) == at_start)
    reach = job.guard.edge_inset_mm
    if end == "wall":
        reach = job.guard.wall_gap_mm + job.system.post.width_mm / 2
    station = reach if at_start else leg.length_mm - reach
    return EndSpot(station, None, end, False, "run-on", leg.bearing_deg)


def _upper_end_first(leg: PathLeg) -> bool:
    return leg.flight is not None and leg.flight.sense == 1


def _stair_spot(job: Job, leg: PathLeg, joint: Joint, *, upper: bool) -> EndSpot:
    """End post of a stair: above behind the nosing by the edge inset, below on the last tread."""
    flight = leg.flight
    assert flight is not None
    if upper:
        spot = TreadPost(-job.guard.edge_inset_mm, None)
    else:
        spot = tread_post(flight, flight.treads, job.guard.stair_setback_mm)
    return EndSpot(flight.station(spot.t_mm), spot, joint, False, "run-on", leg.bearing_deg)


def _corner_spots(
    job: Job, before: PathLeg, after: PathLeg, corner: Corner
) -> tuple[EndSpot, EndSpot]:
    if before.flight and after.flight:
        raise _not_laid_out(corner, "a stair straight after a stair", "a level leg between them")
    if not before.flight and not after.flight:
        return _level_corner(job, before, after, corner)
    return _stair_corner(job, before, after, corner)


def _level_corner(
    job: Job, before: PathLeg, after: PathLeg, corner: Corner
) -> tuple[EndSpot, EndSpot]:
    last, first = vertex_stations(before, after)
    if corner.kind == "single":
        bearing = _post_bearing(before.bearing_deg, corner.angle_deg)
        rail: RailEnd = "turn" if corner.angle_deg else "through"
        return (
            EndSpot(last, None, "single", True, rail, bearing),
            EndSpot(first, None, "single", True, rail, bearing),
        )
    offset = job.guard.pair_offset_mm
    if offset is None:
        ahead = (before.travel[0] + after.travel[0], before.travel[1] + after.travel[1])
        offset = _plates_apart(job, (0.0, 0.0), ahead, before, after)
    return (
        EndSpot(last - offset, None, "pair", False, "run-on", before.bearing_deg),
        EndSpot(first + offset, None, "pair", False, "run-on", after.bearing_deg),
    )


def _post_bearing(bearing_deg: float, turn_deg: float) -> float:
    """One post for two legs: square to both at a right angle, else turned to the bisector."""
    square = turn_deg % 90.0 == 0.0
    return bearing_deg if square else bearing_deg + turn_deg / 2


def _stair_corner(
    job: Job, before: PathLeg, after: PathLeg, corner: Corner
) -> tuple[EndSpot, EndSpot]:
    stair, level = (before, after) if before.flight else (after, before)
    stair_first = stair is before
    upper = _upper_end_first(stair) != stair_first
    if corner.kind == "single":
        return _single_stair_corner(job, stair, level, corner, upper=upper)
    spot = _stair_spot(job, stair, "pair", upper=upper)
    station = _beside_stair_post(job, stair, level, spot.station_mm, stair_first=stair_first)
    if not upper and corner.angle_deg == 0.0:
        station = _clear_of_riser(job, level, station, stair_first=stair_first)
    other = EndSpot(station, None, "pair", False, "run-on", level.bearing_deg)
    return (spot, other) if stair_first else (other, spot)


def _single_stair_corner(
    job: Job, stair: PathLeg, level: PathLeg, corner: Corner, *, upper: bool
) -> tuple[EndSpot, EndSpot]:
    """One post in line with a level leg and a stair, on the upper floor behind the nosing."""
    if corner.angle_deg != 0.0:
        raise _not_laid_out(corner, "one post where a stair also turns", "corner: pair")
    if not upper:
        raise _not_laid_out(corner, "one post at the foot of a stair", "corner: pair")
    spot = _stair_spot(job, stair, "single", upper=True)
    on_stair = EndSpot(spot.station_mm, spot.tread, "single", True, "pitch", stair.bearing_deg)
    back = job.guard.edge_inset_mm
    level_station = level.length_mm - back if level.number < stair.number else back
    on_level = EndSpot(level_station, None, "single", True, "pitch", level.bearing_deg)
    return (on_level, on_stair) if level.number < stair.number else (on_stair, on_level)


def _beside_stair_post(
    job: Job, stair: PathLeg, level: PathLeg, stair_station: float, *, stair_first: bool
) -> float:
    """Station of the level leg's end post: `pair_offset` from the stair's, along its own line."""
    post = stair.guard(stair_station)
    away = 1.0 if stair_first else -1.0
    foot = dot(sub(post, level.guard(0.0)), level.travel)
    aside = sub(post, level.guard(foot))
    offset = job.guard.pair_offset_mm
    if offset is None:
        back: Vec3 = (-away * level.travel[0], -away * level.travel[1], 0.0)
        offset = _plates_apart(job, aside[:2], back[:2], stair, level)
    return foot + away * offset


def _plates_apart(
    job: Job,
    base: tuple[float, float],
    ahead: tuple[float, float],
    before: PathLeg,
    after: PathLeg,
) -> float:
    gap = job.rules.limit("practice.plate-gap").value
    spins = (before.bearing_deg, after.bearing_deg)
    return clear_offset(base, ahead, spins, job.system.post.plate_mm, gap)


def _clear_of_riser(job: Job, level: PathLeg, station: float, *, stair_first: bool) -> float:
    """Keeps a base plate on the lower floor clear of the last riser, which stands at its edge."""
    reach = job.system.post.plate_mm / 2 + job.system.post.nosing_margin_mm
    if stair_first:
        return max(station, reach)
    return min(station, level.length_mm - reach)


def _not_laid_out(corner: Corner, what: str, instead: str) -> InputError:
    return InputError([Problem("", 0, 0, corner.path, f"read {what}", f"accepted: {instead}")])
