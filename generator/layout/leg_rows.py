"""Rows of every leg of a run, moved where two legs' studs would meet in the post they share."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.layout.chains import chains
from generator.layout.model import Flight
from generator.layout.path import Path, turn_between
from generator.layout.rows import row_heights, shifts
from generator.layout.spots import LegSpots
from generator.layout.stagger import StudRows, apart, barred, hardware
from generator.spec.job import Job
from generator.units import INCH_MM

# Room kept between a base plate and the lowest stud of a shared post.
_OVER_PLATE_MM = INCH_MM / 8
# Metal kept over the topmost hole of a tube.
_UNDER_TOP_MM = INCH_MM / 16
_MOST_TRIES = 12_000
_IN_LINE_DEG = 1e-9


@dataclass(frozen=True, slots=True)
class Strung:
    """What crosses a post already from a run before: heights on its axis, and their direction."""

    rows: StudRows
    bearing_deg: float


def run_rows(
    job: Job, path: Path, legs: Sequence[LegSpots], strung: Mapping[int, Sequence[Strung]]
) -> list[tuple[float, ...]]:
    """Vertical heights of the cable axes over each leg's reference line, lowest first.

    `strung` tells what crosses the posts of the runs before, by their index.

    Legs that cables pass through move together. Each group keeps clear of the studs of those laid
    out before it, in the posts that they share; where it cannot, the group before it is moved.
    """
    groups = chains(path)
    search = _RowSearch(job, path, legs, groups, strung)
    rows = search.solve()
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
    """Studs that are there already in a post that a leg shares; `post` is 0 or -1 of its posts.

    `barred` are differences in height, theirs over the leg's own, at which they would meet.
    """

    leg: int
    post: int
    others: Sequence[float]
    barred: tuple[Vec2, ...]


@dataclass(frozen=True, slots=True)
class _Offer:
    """Rows of a group of legs at one shift; `keeps` tells whether they break no limit at all."""

    shift_mm: float
    rows: dict[int, tuple[float, ...]]
    keeps: bool


class _RowSearch:
    """Shifts of the groups of legs, tried in order of preference, the later group first.

    Down by the stud and 1/16 in, further down by sixteenths, else up (geometry.md B). The search
    is bounded by the number of shifts tried, so that it always ends alike; where nothing fits, the
    rows of a group stay and the checks find the clash.
    """

    def __init__(
        self,
        job: Job,
        path: Path,
        legs: Sequence[LegSpots],
        groups: list[list[int]],
        strung: Mapping[int, Sequence[Strung]],
    ) -> None:
        self.job, self.path, self.legs, self.groups = job, path, legs, groups
        self.strung = strung
        self.planners = [
            _RowPlanner(job, leg, rail_top(job, path, k), _ceiling(job, path, legs, k))
            for k, leg in enumerate(legs)
        ]
        self.shifts = tuple(shifts(job))
        self._left = 0
        self._fitting: dict[int, list[_Offer]] = {}

    def solve(self) -> dict[int, tuple[float, ...]]:
        """Group by group; one that finds no place may move the one before it."""
        rows: dict[int, tuple[float, ...]] = {}
        for g, group in enumerate(self.groups):
            self._left = _MOST_TRIES
            found = self._place(group, rows)
            if found is None and g:
                found = self._move_both(self.groups[g - 1], group, rows)
            rows.update(found or self._rows(group, 0.0))
        return rows

    def _place(
        self, group: list[int], rows: dict[int, tuple[float, ...]]
    ) -> dict[int, tuple[float, ...]] | None:
        """The first shift at which the group's studs pass those that are there, or None.

        One that breaks no limit is preferred to one that breaks only what is broken unmoved.
        """
        meetings = self._meetings(group, rows)
        if not meetings and all(self.planners[k].ceiling_mm == math.inf for k in group):
            return self._rows(group, 0.0)
        second_best = None
        for offer in self._offers(group):
            if self._left <= 0:
                break
            self._left -= 1
            if not self._clear(offer.rows, meetings):
                continue
            if offer.keeps:
                return offer.rows
            second_best = second_best or offer.rows
        return second_best

    def _move_both(
        self, before: list[int], group: list[int], rows: dict[int, tuple[float, ...]]
    ) -> dict[int, tuple[float, ...]] | None:
        """Other rows for the group before, still clear of its own neighbours, that let both fit."""
        others = {k: heights for k, heights in rows.items() if k not in before}
        meetings = self._meetings(before, others)
        for offer in self._offers(before):
            if offer.shift_mm == 0.0 or not self._clear(offer.rows, meetings):
                continue
            found = self._place(group, others | offer.rows)
            if found is not None:
                return offer.rows | found
        return None

    def _offers(self, group: list[int]) -> list[_Offer]:
        """The group's rows at every shift that fits, in order of preference; worked out once."""
        if group[0] not in self._fitting:
            found: list[_Offer] = []
            for shift in self.shifts:
                planners = self.planners
                rows = self._alike({k: planners[k].rows_under_ceiling(shift) for k in group})
                if all(planners[k].fit(heights) for k, heights in rows.items()):
                    keeps = not any(planners[k].broken(heights) for k, heights in rows.items())
                    found.append(_Offer(shift, rows, keeps))
            self._fitting[group[0]] = found
        return self._fitting[group[0]]

    def _rows(self, group: list[int], shift: float) -> dict[int, tuple[float, ...]]:
        return self._alike({k: self.planners[k].rows(shift) for k in group})

    def _alike(self, rows: dict[int, tuple[float, ...]]) -> dict[int, tuple[float, ...]]:
        """Legs that cables pass through in one post have the rows of the first of them."""
        for k in list(rows):
            if k - 1 in rows and self.legs[k].start.shared:
                rows[k] = rows[k - 1]
        return rows

    def _clear(self, offered: dict[int, tuple[float, ...]], meetings: Sequence[_Meeting]) -> bool:
        for meeting in meetings:
            own = studs_at(self.legs[meeting.leg], offered[meeting.leg], meeting.post)
            if not apart(meeting.others, own.heights_mm, meeting.barred):
                return False
        return True

    def _meetings(self, group: list[int], rows: dict[int, tuple[float, ...]]) -> list[_Meeting]:
        """Studs that stand already in the posts that the group's legs share."""
        found: list[_Meeting] = []
        count = len(self.legs)
        for k in group:
            before, after = (k - 1) % count, (k + 1) % count
            if self.legs[k].start.shared and before in rows and before not in group:
                studs = studs_at(self.legs[before], rows[before], -1)
                found.append(_Meeting(k, 0, studs.heights_mm, self._barred(before, k)))
            if self.legs[k].end.shared and after in rows and after not in group:
                studs = studs_at(self.legs[after], rows[after], 0)
                over = tuple((-high, -low) for low, high in self._barred(k, after))
                found.append(_Meeting(k, -1, studs.heights_mm, over))
            found.extend(self._at_other_runs(k))
        return found

    def _barred(self, before: int, after: int) -> tuple[Vec2, ...]:
        a, b = self.path.legs[before], self.path.legs[after]
        return barred(self.job, a.slope, b.slope, turn_between(a, b))

    def _at_other_runs(self, k: int) -> Iterator[_Meeting]:
        """What crosses already in posts of the runs before at which the leg begins or ends."""
        line = self.path.legs[k]
        for n, end in ((0, self.legs[k].start), (-1, self.legs[k].end)):
            for other in self.strung.get(end.existing, ()) if end.existing is not None else ():
                turn = (line.bearing_deg - other.bearing_deg + 180.0) % 360.0 - 180.0
                # Whether they are held there, and from which side, is not asked: either may be.
                one = barred(self.job, other.rows.slope, line.slope, turn)
                two = barred(self.job, line.slope, other.rows.slope, -turn)
                both = (*one, *((-high, -low) for low, high in two))
                yield _Meeting(k, n, other.rows.heights_mm, both)


def _ceiling(job: Job, path: Path, legs: Sequence[LegSpots], k: int) -> float:
    """Highest axis over a stair's line that still enters the post it shares with a level leg.

    That post stands behind the nosing under the lower, level rail, where the stair's rows are at
    their highest; a stud slopes up toward the post's far wall, and its slot must lie within it.
    """
    spots, count = legs[k], len(legs)
    found = math.inf
    for n, end, other in ((0, spots.start, (k - 1) % count), (-1, spots.end, (k + 1) % count)):
        level = legs[other].line
        in_line = abs(turn_between(path.legs[k], path.legs[other])) < _IN_LINE_DEG
        if not (end.shared and in_line and spots.line.flight and not level.flight):
            continue
        station = spots.stations[n]
        floor = spots.floor_z(n % len(spots.stations))
        if floor < spots.line.flight.top_z_mm - 1e-6:
            continue  # at the foot the pitched rail is the higher one
        system = job.system
        slope, post = spots.line.flight.slope, system.post
        stud = system.fitting.stud_mm + post.hole_clearance_mm
        slot = (stud * spots.line.stretch + post.wall_mm * slope) / 2
        far_wall = (post.width_mm - post.wall_mm) / 2 * slope
        taken = system.rail.depth_mm + system.bracket.thickness_mm + far_wall + slot
        top = floor + rail_top(job, path, other) - taken - _UNDER_TOP_MM
        found = min(found, top - spots.line.reference_z(station))
    return found


def _triangle(flight: Flight, e_mm: float) -> float:
    """Sphere through riser, tread and a cable e over the nosing line, square (reference.md 7)."""
    run = flight.going_mm + flight.overhang_mm
    rise = run * flight.slope
    hypotenuse = math.hypot(rise, run)
    return (rise + run - hypotenuse) * (1.0 + e_mm * hypotenuse / (rise * run))


@dataclass(frozen=True, slots=True)
class _RowPlanner:
    """Rows of one leg at any shift of the lowest axis."""

    job: Job
    spots: LegSpots
    rail_top_mm: float
    ceiling_mm: float

    def rows(self, shift_mm: float) -> tuple[float, ...]:
        """Rows with the lowest axis moved; evenly spread ones keep their spacing as they move."""
        guard, stretch = self.job.guard, self._stretch()
        spacing = guard.cable_spacing_mm
        if self.spots.line.flight and guard.stair_spacing == "square":
            spacing *= stretch
        first, under = self._lowest_axis(), self._under_rail()
        if guard.rows == "even":
            spread = row_heights(self.job, first, under, 1.0 / stretch, spacing)
            return tuple(row + shift_mm for row in spread)
        return row_heights(self.job, first + shift_mm, under, 1.0 / stretch, spacing)

    def rows_under_ceiling(self, shift_mm: float) -> tuple[float, ...]:
        """The same without those that are too high for the shared post; `fit` checks the gap."""
        rows = self.rows(shift_mm)
        return tuple(row for row in rows if row <= self.ceiling_mm) or rows[:1]

    def fit(self, rows: Sequence[float]) -> bool:
        """Whether moved rows keep within the posts and break no limit that they kept unmoved."""
        job, spots = self.job, self.spots
        stud = job.system.fitting.stud_mm / 2
        plate = job.system.post.plate_thickness_mm if spots.line.mount == "deck" else 0.0
        within = all(
            self._over_floor(n, rows) >= plate + stud + _OVER_PLATE_MM
            for n in range(len(spots.stations))
        )
        unmoved = self.rows(0.0)
        over_plates = rows[0] >= unmoved[0] or all(
            self._over_floor(n, rows) + low >= plate for n, low in self._hardware()
        )
        if not within or not over_plates or rows[-1] > self.ceiling_mm:
            return False
        return self.broken(rows) <= self.broken(unmoved)

    def _hardware(self) -> Iterator[tuple[int, float]]:
        """Lowest point of washer and nut under the axis, behind the first and the last post."""
        line = self.spots.line
        # Beside a plate that lies in the slope of a ramp the cable is parallel to it.
        slope = line.slope if line.flight else 0.0
        for n, out in ((0, -slope), (len(self.spots.stations) - 1, slope)):
            yield n, min(z for _, z in hardware(self.job, out))

    def broken(self, rows: Sequence[float]) -> set[str]:
        """Limits of the rule set that these rows do not keep."""
        spots, flight = self.spots, self.spots.line.flight
        radius = self.job.system.cable.diameter_mm / 2
        # At the foot of a stair the opening lies between riser and post, whatever the rows.
        floors = [n for n in range(len(spots.stations)) if spots.place(n) == "floor"]
        under = max((self._over_floor(n, rows) - radius for n in floors), default=0.0)
        top_gap = (self._under_rail() - rows[-1]) / self._stretch() - radius
        over_nosing = rows[0] / self._stretch() - radius
        found = set()
        if under >= self._limit("opening.bottom"):
            found.add("opening.bottom")
        if top_gap >= self._limit("opening.stair" if flight else "opening.level"):
            found.add("opening.top")
        if flight and over_nosing < self._limit("practice.cable-tread-clearance"):
            found.add("clash.cable-tread")
        if flight and _triangle(flight, over_nosing) >= self._limit("opening.triangle"):
            found.add("opening.triangle")
        return found

    def _limit(self, key: str) -> float:
        return self.job.rules.limit(key).value

    def _over_floor(self, n: int, rows: Sequence[float]) -> float:
        """Lowest axis over the walking surface at the n-th post."""
        line = self.spots.line
        return line.reference_z(self.spots.stations[n]) - self.spots.floor_z(n) + rows[0]

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


def studs_at(spots: LegSpots, rows: Sequence[float], n: int) -> StudRows:
    """World heights of the studs on the axis of the n-th post."""
    reference = spots.line.reference_z(spots.stations[n])
    return StudRows([reference + height for height in rows], spots.line.slope)
