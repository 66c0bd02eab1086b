"""The straight line from a `Job` to its `Layout`, run by run."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace

from generator.frozen import dataclass
from generator.geometry import Vec3, cosd, dot, sind, sub
from generator.layout.chains import routes
from generator.layout.ends import EndSpot, end_spots
from generator.layout.leg_rails import run_rails
from generator.layout.leg_rows import Strung, rail_top, run_rows, studs_at
from generator.layout.model import (
    Flight,
    Layout,
    LegLayout,
    PostSite,
    RailPiece,
    RailPlan,
    RunLayout,
)
from generator.layout.path import Path, run_path
from generator.layout.rail import Stretch
from generator.layout.spacing import spacer_stations
from generator.layout.spots import LegSpots, leg_spots
from generator.spec.job import Job, Run

_SAME_MM = 1e-6


def layout(job: Job) -> Layout:
    """Lays out every run of the job.

    Raises:
        InputError: the spec asks for what cannot be laid out (the field is named).
    """
    posts: list[PostSite] = []
    strung: dict[int, list[Strung]] = {}
    made = [_run_layout(job, run, posts, strung) for run in job.runs]
    runs, plan = _joined(job, made)
    return Layout(job, tuple(posts), runs, plan)


def _joined(
    job: Job, made: Sequence[tuple[RunLayout, list[tuple[Stretch, ...]]]]
) -> tuple[tuple[RunLayout, ...], RailPlan | None]:
    """The runs with their rails cut to pieces: joints are chosen for all of them at once."""
    if job.stock is None or not job.stock.rail:
        return tuple(run for run, _ in made), None
    from generator.layout.joints import joined

    every = [own for _, lines in made for leg in lines for own in leg]
    pieces, plan = joined(job.stock, job.stock.rail, "stock.rail", every)
    cut = iter(pieces)
    runs = []
    for run, lines in made:
        legs = tuple(
            replace(leg, rails=tuple(piece for _ in own for piece in next(cut)))
            for leg, own in zip(run.legs, lines, strict=True)
        )
        runs.append(replace(run, legs=legs))
    return tuple(runs), plan


def _run_layout(
    job: Job, run: Run, posts: list[PostSite], strung: dict[int, list[Strung]]
) -> tuple[RunLayout, list[tuple[Stretch, ...]]]:
    """Lays out one run; its posts are added to those of the job, its cables to what is strung.

    Its rails are in one piece each between their ends; the lines that they lie on are given too.
    """
    path = run_path(job, run)
    ends = end_spots(job, run, path, posts)
    spots = [leg_spots(job, line, *pair) for line, pair in zip(path.legs, ends, strict=True)]
    rows = run_rows(job, path, spots, strung)
    lines = run_rails(job, path, spots)
    rails = [tuple(piece for own in leg for piece in own.pieces()) for leg in lines]
    sites = _Sites(job, path, spots, rails, posts)
    legs = tuple(
        LegLayout(
            line=leg.line,
            start_joint=leg.start.joint,
            end_joint=leg.end.joint,
            posts=sites.of_leg(k),
            stations_mm=leg.stations,
            spacers_mm=spacer_stations(job, leg.line, leg.stations),
            rows_mm=rows[k],
            rail_top_mm=rail_top(job, path, k),
            rails=rails[k],
        )
        for k, leg in enumerate(spots)
    )
    for k, leg in enumerate(legs):
        for n, index in enumerate(leg.posts):
            crossing = Strung(studs_at(spots[k], rows[k], n), leg.line.bearing_deg)
            strung.setdefault(index, []).append(crossing)
    return RunLayout(run, legs, routes(run.id, path, spots, rows)), lines


@dataclass(frozen=True, slots=True)
class _Over:
    """The rail over a post: height of its top, its slope and the bearing of that slope.

    `drop_mm` is how much lower a level bracket must lie to clear two rails of other pitches.
    """

    top_mm: float
    slope: float
    bearing_deg: float
    drop_mm: float = 0.0


class _Sites:
    """The posts of one run, in order of travel; a shared post is made with the earlier leg."""

    def __init__(
        self,
        job: Job,
        path: Path,
        spots: Sequence[LegSpots],
        rails: Sequence[Sequence[RailPiece]],
        posts: list[PostSite],
    ) -> None:
        self.job, self.path, self.spots, self.posts = job, path, spots, posts
        # A plumb drop piece lies over no post.
        self.rails = [[p for p in pieces if abs(p.place.z[2]) < 1.0 - 1e-9] for pieces in rails]
        self._indices: list[tuple[int, ...]] = []
        # Station at which each rail piece begins, leg by leg.
        self._begins = [
            [dot(sub(piece.place.origin, leg.origin), leg.travel) for piece in pieces]
            for leg, pieces in zip(path.legs, self.rails, strict=True)
        ]

    def of_leg(self, k: int) -> tuple[int, ...]:
        """Indices of the leg's posts; makes those that are not there yet. Legs come in order."""
        spots = self.spots[k]
        last = len(spots.stations) - 1
        indices = []
        for n in range(last + 1):
            end = spots.end_at(n)
            if end and end.existing is not None:
                indices.append(end.existing)
            elif n == 0 and spots.start.shared and k:
                indices.append(self._indices[k - 1][-1])
            elif n == last and spots.end.shared and k == len(self.spots) - 1:
                indices.append(self._indices[0][0] if k else indices[0])
            else:
                indices.append(len(self.posts))
                self.posts.append(self._site(k, n))
        self._indices.append(tuple(indices))
        return self._indices[-1]

    def _site(self, k: int, n: int) -> PostSite:
        spots = self.spots[k]
        line, tread, end = spots.line, spots.tread(n), spots.end_at(n)
        point = line.guard(spots.stations[n])
        floor = spots.floor_z(n)
        over = self._rail_over(k, n, point)
        return PostSite(
            index=len(self.posts),
            run=line.run,
            leg=line.number,
            base=(point[0], point[1], self._base_z(spots, n, floor)),
            bearing_deg=end.bearing_deg if end else line.bearing_deg,
            role="intermediate" if end is None else "corner" if end.shared else "end",
            place=spots.place(n),
            tread=tread,
            setback_mm=self._setback(spots, n),
            rail_top_z_mm=over.top_mm,
            top_slope=over.slope,
            top_bearing_deg=over.bearing_deg,
            floor_slope=self._floor_slope(spots, end),
            floor_z_mm=floor,
            mount=line.mount,
            fixed=spots.fixed[n],
            top_drop_mm=over.drop_mm,
        )

    @staticmethod
    def _floor_slope(spots: LegSpots, end: EndSpot | None) -> float:
        """Of what the post stands on, along its bearing: its leg's own, or as its end says."""
        if end and end.floor_z_mm is not None:
            return end.floor_slope
        return 0.0 if spots.line.flight else spots.line.slope

    def _base_z(self, spots: LegSpots, n: int, floor: float) -> float:
        """Underside of what the post stands on: its plate, its foot in a core, or its own end."""
        post, line, station = self.job.system.post, spots.line, spots.stations[n]
        if spots.fixed[n] or line.mount == "deck":
            return floor
        if line.mount == "core":
            return floor - post.core_depth_mm
        if line.flight:
            return self._under_treads(line.flight, line.flight.down(station))
        decking = self.job.structure.decking_mm if self.job.structure else 25.4
        end = spots.end_at(n)
        let_down = end.let_down_mm if end else 0.0
        # The plate is plumb under decking that falls along it.
        let_down += abs(line.slope) * post.side_plate_mm / 2
        return floor - decking - post.side_plate_height_mm - let_down

    def _under_treads(self, flight: Flight, t_mm: float) -> float:
        """Lower end of a side plate on a stringer: its top under the treads that its bolts meet.

        Never under the lower floor.
        """
        post = self.job.system.post
        half = post.bolt_spacing_mm / 2 + 1.5 * self.job.system.anchor.diameter_mm - 1e-6
        beside = [
            flight.tread_z(k)
            for k in range(1, flight.treads + 1)
            if flight.nosing_t(k - 1) < t_mm + half and flight.nosing_t(k) > t_mm - half
        ]
        top = min(beside, default=flight.top_z_mm) - flight.thickness_mm
        return max(top - post.side_plate_height_mm, flight.floor_z_mm)

    def _setback(self, spots: LegSpots, n: int) -> float | None:
        tread, flight, end = spots.tread(n), spots.line.flight, spots.end_at(n)
        if end and end.setback_mm is not None:
            return round(end.setback_mm, 9)
        if tread is None or flight is None:
            return None
        return round(flight.nosing_t(tread) - flight.down(spots.stations[n]), 9)

    def _rail_over(self, k: int, n: int, point: Vec3) -> _Over:
        """The highest rail over a post, of the leg or legs that end at it."""
        legs = [k]
        last = len(self.spots[k].stations) - 1
        count = len(self.spots)
        if n == last and self.spots[k].end.shared:
            legs.append((k + 1) % count)
        if n == 0 and self.spots[k].start.shared:
            legs.append((k - 1) % count)
        found = [over for leg in legs for over in self._tops_over(leg, point)]
        if not found:
            top = point[2] + rail_top(self.job, self.path, k)
            return _Over(top, self.path.legs[k].slope, self.path.legs[k].bearing_deg)
        highest = max(found, key=lambda over: over.top_mm)
        if len(legs) > 1:
            return self._under_both(highest, found, self.spots[k].end_at(n))
        return highest

    def _under_both(self, highest: _Over, found: Sequence[_Over], end: EndSpot | None) -> _Over:
        """Over a post on which rails of two pitches are mitered: level, and clear of both."""
        met = [over for over in found if abs(over.top_mm - highest.top_mm) < _SAME_MM]
        pitches = {(round(o.slope, 9), round(o.bearing_deg, 9) if o.slope else 0.0) for o in met}
        if len(pitches) < 2 or end is None:
            return highest
        system, drop = self.job.system, 0.0
        length = max(system.bracket.length_mm, system.post.width_mm)
        width = max(system.bracket.width_mm, system.post.depth_mm)
        for over in met:
            spin = over.bearing_deg - end.bearing_deg
            reach = (length * abs(cosd(spin)) + width * abs(sind(spin))) / 2
            deeper = system.rail.depth_mm * (math.hypot(1.0, over.slope) - 1.0)
            drop = max(drop, abs(over.slope) * reach + deeper)
        return _Over(highest.top_mm, 0.0, end.bearing_deg, drop)

    def _tops_over(self, k: int, point: Vec3) -> Iterator[_Over]:
        """Rails of a leg that reach over a point of its guard line, give or take half a post."""
        line = self.path.legs[k]
        station = dot(sub(point, line.origin), line.travel)
        half = self.job.system.post.width_mm / 2
        near = bisect_right(self._begins[k], station + half)
        # Pieces lie one after the other, so that only the last two that have begun can reach.
        for n in range(max(near - 2, 0), near):
            piece = self.rails[k][n]
            slope = _slope(piece)
            stretch = math.hypot(1.0, slope)
            t = (station - self._begins[k][n]) * stretch
            if t <= piece.length_mm + half:
                top = piece.place.origin[2] + piece.place.z[2] * t
                yield _Over(
                    top + self.job.system.rail.depth_mm / 2 * stretch, slope, line.bearing_deg
                )


def _slope(piece: RailPiece) -> float:
    _, _, rise = piece.place.z
    return rise / (1.0 - rise**2) ** 0.5
