"""The stations of a leg's posts, and what each of them stands on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from generator.frozen import dataclass
from generator.geometry import cosd, dot, heading
from generator.layout.ends import RISER_MM, EndSpot
from generator.layout.model import PathLeg
from generator.layout.pair_room import base_width
from generator.layout.posts import TreadPost, free_stops, level_stations, stair_posts
from generator.spec.job import FixedPost, Job, Joists


@dataclass(frozen=True, slots=True)
class LegSpots:
    """One leg with its ends and the stations of its posts, in order of travel.

    `treads` has the tread that each post stands on, None on a floor; `fixed` the posts that stand
    there already, None for those that are set.
    """

    line: PathLeg
    start: EndSpot
    end: EndSpot
    stations: tuple[float, ...]
    treads: tuple[int | None, ...]
    fixed: tuple[FixedPost | None, ...]

    def floor_z(self, n: int) -> float:
        """Walking surface under (or, on a fascia, beside) the n-th post."""
        end = self.end_at(n)
        if end and end.floor_z_mm is not None:
            return end.floor_z_mm
        line, tread, station = self.line, self.treads[n], self.stations[n]
        if line.flight is None:
            return line.reference_z(station)
        if tread is not None:
            return line.flight.tread_z(tread)
        if line.on_stringer:
            return line.reference_z(station)
        return line.flight.floor_below(line.flight.down(station))

    def tread(self, n: int) -> int | None:
        """The tread under the n-th post, also where it is a stair's that the leg only meets."""
        end = self.end_at(n)
        return end.tread if end and end.tread is not None else self.treads[n]

    def place(self, n: int) -> Literal["floor", "tread", "lower-floor"]:
        if self.tread(n) is not None:
            return "tread"
        flight = self.line.flight
        return "lower-floor" if flight and flight.down(self.stations[n]) > 0.0 else "floor"

    def end_at(self, n: int) -> EndSpot | None:
        """How the leg ends at the n-th post (-1 is the last), None between its ends."""
        if n == 0:
            return self.start
        return self.end if n in (-1, len(self.stations) - 1) else None


def leg_spots(job: Job, line: PathLeg, start: EndSpot, end: EndSpot) -> LegSpots:
    """Equal bays on the level; on a stair the treads that geometry.md C asks for."""
    if line.flight and not line.on_stringer:
        return _stair_spots(job, line, start, end)
    if line.flight:
        return _stringer_spots(job, line, start, end)
    spacing = job.guard.max_post_spacing_mm / line.stretch
    stops = _with_fixed(job, line, start, end)
    stations: list[float] = [stops[0][0]]
    fixed: list[FixedPost | None] = [stops[0][1]]
    for (a, _), (b, standing) in pairwise(stops):
        inner = level_stations(a, b, spacing)[1:]
        stations.extend(inner)
        fixed.extend([None] * (len(inner) - 1) + [standing])
    snapped = _snapped(job, line, tuple(stations), tuple(fixed))
    treads = tuple(_beside_tread(line, station) for station in snapped)
    return LegSpots(line, start, end, snapped, treads, tuple(fixed))


def _with_fixed(
    job: Job, line: PathLeg, start: EndSpot, end: EndSpot
) -> list[tuple[float, FixedPost | None]]:
    """End posts and standing posts in order; a standing one at an end takes its place."""
    near = base_width(job, line)
    stops: list[tuple[float, FixedPost | None]] = [(start.station_mm, None), (end.station_mm, None)]
    for post in sorted(line.fixed, key=lambda post: post.at_mm):
        if not start.shared and post.at_mm - start.station_mm <= near:
            stops[0] = (post.at_mm, post)
        elif not end.shared and end.station_mm - post.at_mm <= near:
            stops[-1] = (post.at_mm, post)
        else:
            stops.insert(-1, (post.at_mm, post))
    return stops


def _stair_spots(job: Job, line: PathLeg, start: EndSpot, end: EndSpot) -> LegSpots:
    flight = line.flight
    assert flight is not None
    upper, lower = (start, end) if flight.sense == 1 else (end, start)
    places: Sequence[TreadPost] = stair_posts(
        flight,
        TreadPost(flight.down(upper.station_mm), upper.tread),
        TreadPost(flight.down(lower.station_mm), lower.tread),
        job.guard.stair_setback_mm,
        job.guard.max_post_spacing_mm,
    )
    if flight.sense == -1:
        places = places[::-1]
    stations = tuple(flight.station(place.t_mm) for place in places)
    treads = tuple(place.tread for place in places)
    return LegSpots(line, start, end, stations, treads, (None,) * len(stations))


def _stringer_spots(job: Job, line: PathLeg, start: EndSpot, end: EndSpot) -> LegSpots:
    """Posts beside a stringer, their bolts each under one tread, since the board is notched.

    It is cut back at every nosing by the overhang and a riser board.
    """
    flight = line.flight
    assert flight is not None
    half = job.system.post.bolt_spacing_mm / 2 + 1.5 * job.system.anchor.diameter_mm
    free = [
        (flight.nosing_t(k - 1) + half, flight.nosing_t(k) - flight.overhang_mm - RISER_MM - half)
        for k in range(1, flight.treads + 1)
    ]
    ends = sorted(flight.down(spot.station_mm) for spot in (start, end))
    most = job.guard.max_post_spacing_mm / line.stretch
    places = free_stops(ends[0], ends[1], free, most)
    stations = tuple(flight.station(t) for t in (places if flight.sense == 1 else places[::-1]))
    treads = tuple(_beside_tread(line, station) for station in stations)
    return LegSpots(line, start, end, stations, treads, (None,) * len(stations))


def _beside_tread(line: PathLeg, station: float) -> int | None:
    """On a stringer, the tread that the post stands beside."""
    if line.flight is None:
        return None
    t = line.flight.down(station)
    return next(
        (k for k in range(1, line.flight.treads + 1) if t <= line.flight.nosing_t(k) + 1e-6), None
    )


def _snapped(
    job: Job,
    line: PathLeg,
    stations: tuple[float, ...],
    fixed: tuple[FixedPost | None, ...],
) -> tuple[float, ...]:
    """Intermediate posts moved onto the nearest joist, where tolerance and bays allow it.

    Only joists that run across the leg count; each move is kept only if both bays beside it stay
    within the post spacing, going along the leg.
    """
    tolerance = job.guard.snap_to_joists_mm
    joists = job.structure.joists if job.structure else None
    if tolerance is None or joists is None or line.flight:
        return stations
    if abs(cosd(joists.bearing_deg - line.bearing_deg)) > 1e-6:
        return stations
    most = job.guard.max_post_spacing_mm / line.stretch + 1e-6
    moved = list(stations)
    for n in range(1, len(stations) - 1):
        target = _nearest_joist(job, joists, line, stations[n])
        bays_kept = target - moved[n - 1] <= most and stations[n + 1] - target <= most
        if fixed[n] is None and abs(target - stations[n]) <= tolerance and bays_kept:
            moved[n] = target
    return tuple(moved)


def _nearest_joist(job: Job, joists: Joists, line: PathLeg, station: float) -> float:
    """Station of the joist centre nearest to a station, joists lying across the leg."""
    across = heading(joists.bearing_deg - 90.0)
    start = job.runs[0].start
    zero = start.x_mm * across[0] + start.y_mm * across[1] + joists.offset_mm
    at_origin = dot(line.origin, across) - zero
    along = 1.0 if dot(line.travel, across) > 0 else -1.0
    place = at_origin + along * station
    nearest = math.floor(place / joists.spacing_mm + 0.5) * joists.spacing_mm
    return (nearest - at_origin) * along
