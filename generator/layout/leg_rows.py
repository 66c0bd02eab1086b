"""Rows of every leg of a run, moved where two legs' studs would meet in the post they share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.layout.chains import chains
from generator.layout.path import Path, turn_between
from generator.layout.rows import row_heights, shifts
from generator.layout.spots import LegSpots
from generator.layout.stagger import StudRows, studs_clear
from generator.spec.job import Job
from generator.units import INCH_MM

# Room kept between a base plate and the lowest stud of a shared post.
_OVER_PLATE_MM = INCH_MM / 8


def run_rows(job: Job, path: Path, legs: Sequence[LegSpots]) -> list[tuple[float, ...]]:
    """Vertical heights of the cable axes over each leg's reference line, lowest first.

    Legs that cables pass through move together. Each chain keeps clear of the studs of those laid
    out before it, in the posts that they share.
    """
    rows: dict[int, tuple[float, ...]] = {}
    for chain in chains(path):
        planners = [_RowPlanner(job, legs[k], rail_top(job, path, k)) for k in chain]
        meetings = _meetings(path, legs, chain, rows)
        rows.update(zip(chain, _clear_rows(job, planners, meetings), strict=True))
    return [rows[k] for k in range(len(legs))]


def rail_top(job: Job, path: Path, k: int) -> float:
    """Top of the k-th leg's rail over its reference line, vertical.

    With one common height, legs that meet stairs take the greater of the two heights.
    """
    guard, leg = job.guard, path.legs[k]
    own = guard.stair_height_mm if leg.flight else guard.height_mm
    if guard.transition == "common" and any(other.flight for other in path.legs):
        return max(guard.height_mm, guard.stair_height_mm)
    return own


@dataclass(frozen=True, slots=True)
class _Meeting:
    """Studs that are there already in a post that a leg of the chain shares.

    `leg` counts in the chain, `post` in that leg (0 or -1).
    """

    leg: int
    post: int
    others: StudRows
    turn_deg: float


def _meetings(
    path: Path,
    legs: Sequence[LegSpots],
    chain: Sequence[int],
    rows: dict[int, tuple[float, ...]],
) -> list[_Meeting]:
    found: list[_Meeting] = []
    count = len(legs)
    for n, k in enumerate(chain):
        before, after = (k - 1) % count, (k + 1) % count
        if legs[k].start.shared and before in rows:
            studs = _studs(legs[before], rows[before], -1)
            turn = turn_between(path.legs[before], path.legs[k])
            found.append(_Meeting(n, 0, studs, turn))
        if legs[k].end.shared and after in rows:
            studs = _studs(legs[after], rows[after], 0)
            turn = turn_between(path.legs[k], path.legs[after])
            found.append(_Meeting(n, -1, studs, turn))
    return found


def _clear_rows(
    job: Job, planners: Sequence[_RowPlanner], meetings: Sequence[_Meeting]
) -> list[tuple[float, ...]]:
    """Rows moved as little as needed so that the studs in shared posts pass each other.

    Down by the stud and 1/16 in first, further down by sixteenths, else up (geometry.md B). Where
    nothing fits, the rows stay and the checks find the clash.
    """
    for shift in shifts(job) if meetings else (0.0,):
        rows = [planner.rows(shift) for planner in planners]
        if not meetings:
            return rows
        clear = all(
            studs_clear(
                job,
                meeting.others,
                _studs(planners[meeting.leg].spots, rows[meeting.leg], meeting.post),
                meeting.turn_deg,
            )
            for meeting in meetings
        )
        if clear and all(
            planner.fit(heights) for planner, heights in zip(planners, rows, strict=True)
        ):
            return rows
    return [planner.rows(0.0) for planner in planners]


@dataclass(frozen=True, slots=True)
class _RowPlanner:
    """Rows of one leg at any shift of the lowest axis."""

    job: Job
    spots: LegSpots
    rail_top_mm: float

    def rows(self, shift_mm: float) -> tuple[float, ...]:
        first = self._lowest_axis() + shift_mm
        spacing = self.job.guard.cable_spacing_mm
        if self.spots.line.flight and self.job.guard.stair_spacing == "square":
            spacing *= self._stretch()
        return row_heights(self.job, first, self._under_rail(), 1.0 / self._stretch(), spacing)

    def fit(self, rows: Sequence[float]) -> bool:
        """Whether moved rows still keep the openings below and above, and clear the base plates."""
        job, spots = self.job, self.spots
        radius = job.system.cable.diameter_mm / 2
        stud = job.system.fitting.stud_mm / 2
        plate = job.system.post.plate_thickness_mm if spots.line.mount == "deck" else 0.0
        most = job.rules.limit("opening.bottom").value
        for n, station in enumerate(spots.stations):
            over_floor = spots.line.reference_z(station) - spots.floor_z(n) + rows[0]
            if over_floor < plate + stud + _OVER_PLATE_MM or over_floor - radius >= most:
                return False
        top_gap = (self._under_rail() - rows[-1]) / self._stretch() - radius
        return top_gap < job.rules.limit("opening.level").value

    def _lowest_axis(self) -> float:
        """Over the reference line, vertical (geometry.md D, E)."""
        lowest = self.job.guard.bottom_gap_mm + self.job.system.cable.diameter_mm / 2
        flight = self.spots.line.flight
        if flight is None:
            return lowest
        return lowest - self.job.guard.stair_setback_mm * flight.slope

    def _under_rail(self) -> float:
        return self.rail_top_mm - self.job.system.rail.depth_mm * self._stretch()

    def _stretch(self) -> float:
        """A measure square to the leg times this is the same measure plumb."""
        return self.spots.line.stretch


def _studs(spots: LegSpots, rows: Sequence[float], n: int) -> StudRows:
    """World heights of the studs on the axis of the n-th post."""
    reference = spots.line.reference_z(spots.stations[n])
    return StudRows([reference + height for height in rows], spots.line.slope)
