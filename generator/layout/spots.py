"""The stations of a leg's posts, and what each of them stands on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from generator.layout.ends import EndSpot
from generator.layout.model import PathLeg
from generator.layout.posts import TreadPost, level_stations, stair_posts
from generator.spec.job import Job


@dataclass(frozen=True, slots=True)
class LegSpots:
    """One leg with its ends and the stations of its posts, in order of travel.

    `treads` has the tread that each post stands on, None on a floor.
    """

    line: PathLeg
    start: EndSpot
    end: EndSpot
    stations: tuple[float, ...]
    treads: tuple[int | None, ...]

    def floor_z(self, n: int) -> float:
        """Walking surface under the n-th post."""
        line, tread = self.line, self.treads[n]
        if line.flight is None:
            return line.reference_z(self.stations[n])
        if tread is not None:
            return line.flight.tread_z(tread)
        below = line.flight.down(self.stations[n]) > 0.0
        return line.flight.tread_z(line.flight.risers) if below else line.flight.top_z_mm

    def place(self, n: int) -> Literal["floor", "tread", "lower-floor"]:
        if self.treads[n] is not None:
            return "tread"
        flight = self.line.flight
        return "lower-floor" if flight and flight.down(self.stations[n]) > 0.0 else "floor"

    def end_at(self, n: int) -> EndSpot | None:
        """How the leg ends at the n-th post, None between its ends."""
        if n == 0:
            return self.start
        return self.end if n == len(self.stations) - 1 else None


def leg_spots(job: Job, line: PathLeg, start: EndSpot, end: EndSpot) -> LegSpots:
    """Equal bays on the level; on a stair the treads that geometry.md C asks for."""
    spacing = job.guard.max_post_spacing_mm
    if line.flight is None:
        stations = level_stations(start.station_mm, end.station_mm, spacing)
        return LegSpots(line, start, end, stations, (None,) * len(stations))
    upper, lower = (start, end) if line.flight.sense == 1 else (end, start)
    assert upper.tread is not None
    assert lower.tread is not None
    places: Sequence[TreadPost] = stair_posts(
        line.flight, upper.tread, lower.tread, job.guard.stair_setback_mm, spacing
    )
    if line.flight.sense == -1:
        places = places[::-1]
    stations = tuple(line.flight.station(place.t_mm) for place in places)
    return LegSpots(line, start, end, stations, tuple(place.tread for place in places))
