"""Rows of every leg of a run, moved where two legs' studs would meet in the post they share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generator.layout.path import Corner
from generator.layout.rows import row_heights, shifts
from generator.layout.spots import LegSpots
from generator.layout.stagger import StudRows, studs_clear
from generator.spec.job import Job
from generator.units import INCH_MM

# Room kept between a base plate and the lowest stud of a shared post.
_OVER_PLATE_MM = INCH_MM / 8


def run_rows(
    job: Job, legs: Sequence[LegSpots], corners: Sequence[Corner]
) -> list[tuple[float, ...]]:
    """Vertical heights of the cable axes over each leg's reference line, lowest first."""
    rows: list[tuple[float, ...]] = []
    for k, spots in enumerate(legs):
        planner = _RowPlanner(job, spots)
        if k == 0 or not spots.start.shared:
            rows.append(planner.rows(0.0))
            continue
        studs = _studs(legs[k - 1], rows[-1], -1)
        rows.append(planner.clear_of(studs, corners[k - 1].angle_deg))
    return rows


def rail_top(job: Job, spots: LegSpots) -> float:
    """Top of the rail over the leg's reference line, vertical."""
    return job.guard.stair_height_mm if spots.line.flight else job.guard.height_mm


@dataclass(frozen=True, slots=True)
class _RowPlanner:
    """Rows of one leg at any shift of the lowest axis."""

    job: Job
    spots: LegSpots

    def rows(self, shift_mm: float) -> tuple[float, ...]:
        first = self._lowest_axis() + shift_mm
        return row_heights(self.job, first, self._under_rail(), 1.0 / self._secant())

    def clear_of(self, others: StudRows, turn_deg: float) -> tuple[float, ...]:
        """Rows moved as little as needed so that the studs in the shared post pass each other.

        Down by the stud and 1/16 in first, further down by sixteenths, else up (geometry.md B).
        Where nothing fits, the rows stay and the checks find the clash.
        """
        for shift in shifts(self.job):
            rows = self.rows(shift)
            studs = _studs(self.spots, rows, 0)
            if studs_clear(self.job, others, studs, turn_deg) and self._fit(rows):
                return rows
        return self.rows(0.0)

    def _fit(self, rows: Sequence[float]) -> bool:
        """Whether moved rows still keep the openings below and above, and clear the base plates."""
        job, spots = self.job, self.spots
        radius = job.system.cable.diameter_mm / 2
        stud = job.system.fitting.stud_mm / 2
        over_plate = job.system.post.plate_thickness_mm + stud + _OVER_PLATE_MM
        most = job.rules.limit("opening.bottom").value
        for n, station in enumerate(spots.stations):
            over_floor = spots.line.reference_z(station) - spots.floor_z(n) + rows[0]
            if over_floor < over_plate or over_floor - radius >= most:
                return False
        top_gap = (self._under_rail() - rows[-1]) / self._secant() - radius
        return top_gap < job.rules.limit("opening.level").value

    def _lowest_axis(self) -> float:
        """Over the reference line, vertical (geometry.md D, E)."""
        lowest = self.job.guard.bottom_gap_mm + self.job.system.cable.diameter_mm / 2
        flight = self.spots.line.flight
        return lowest - self.job.guard.stair_setback_mm * flight.slope if flight else lowest

    def _under_rail(self) -> float:
        return rail_top(self.job, self.spots) - self.job.system.rail.depth_mm * self._secant()

    def _secant(self) -> float:
        """A measure square to the leg times this is the same measure plumb."""
        return math.hypot(1.0, self.spots.line.slope)


def _studs(spots: LegSpots, rows: Sequence[float], n: int) -> StudRows:
    """World heights of the studs on the axis of the n-th post."""
    reference = spots.line.reference_z(spots.stations[n])
    return StudRows([reference + height for height in rows], spots.line.slope)
