"""Where a handrail runs beside the guard of a stair or ramp: its axis, cuts, returns, brackets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.frozen import dataclass
from generator.geometry import Frame, Vec3, along, cross, dot, scale, tand
from generator.layout.beside import Beside, beside, neighbour
from generator.layout.model import (
    Layout,
    LegLayout,
    RailPiece,
    RailPlan,
    RunLayout,
)
from generator.layout.path import turn_between, vertex_stations
from generator.layout.rail import (
    RailCut,
    RailLine,
    Stretch,
    miter_cuts,
    plumb_cut,
    rail_line,
    stretch,
)
from generator.spec.job import Handrail, Job, Stock, StockLength
from generator.units import INCH_MM

# Bar of a bracket, and the room from its arm's axis to the handrail: common practice, no source.
BAR_MM = INCH_MM / 2
_DROP_MM = 1.5 * INCH_MM
# Kept between a bracket's arm and the post's top, and the ends of cables of another leg.
_ROOM_MM = INCH_MM / 16
_EPS_MM = 1e-6
_IN_LINE_DEG = 1e-9


@dataclass(frozen=True, slots=True)
class Arm:
    """One bracket, a bent bar: from a post's face level to the bend, square up to the handrail.

    `post` indexes `Layout.posts`; `station_mm` is of the handrail's axis over its end.
    """

    post: int
    station_mm: float
    face: Vec3
    bend: Vec3
    under: Vec3


@dataclass(frozen=True, slots=True)
class HandrailRun:
    """The handrail of one leg: pieces in order of travel, returns included, and its brackets."""

    pieces: tuple[RailPiece, ...]
    arms: tuple[Arm, ...]


@dataclass(frozen=True, slots=True)
class _End:
    """Where the pitched tube ends, and `reach_mm` of its return toward the guard, 0 for none."""

    station_mm: float
    reach_mm: float
    on: str


@dataclass(frozen=True, slots=True)
class Handrails:
    """The handrails of a job by run and leg (from 0), and how they nest into their stock."""

    by_leg: dict[tuple[str, int], HandrailRun]
    plan: RailPlan | None


def handrails(layout: Layout) -> Handrails:
    """The handrails of all legs that have one, their joints chosen together.

    One runs on the walking side of the guard from over the first nosing, or further up where a post
    stands, to over the last (IRC R311.7.8.4), and returns level to the guard at both ends. Only
    stairs and ramps have one; a single step has no flight to follow.

    Raises:
        InputError: no stock length spans from bracket to bracket, or there are too few.
    """
    job = layout.job
    handrail = job.handrail
    if handrail is None or not handrail.made:
        return Handrails({}, None)
    from generator.layout.joints import joined

    made: list[tuple[tuple[str, int], tuple[Stretch, ...], tuple[Arm, ...]]] = []
    for run in layout.runs:
        for k, leg in enumerate(run.legs):
            if _takes_one(leg):
                side = beside(job, run, k, layout.posts)
                made.append(((run.run.id, k), *_Handrail(job, handrail, run, k, side).built()))
    bars, field = _bars(job.stock)
    lines = [own for _, leg, _ in made for own in leg]
    pieces, plan = joined(job.stock, bars, field, lines)
    cut = iter(pieces)
    by_leg = {
        place: HandrailRun(tuple(piece for _ in leg for piece in next(cut)), arms)
        for place, leg, arms in made
    }
    return Handrails(by_leg, plan)


def _bars(stock: Stock | None) -> tuple[tuple[StockLength, ...], str]:
    """Lengths that the handrail is cut from: its own, or those that the rail comes in."""
    if stock is None:
        return (), "stock"
    if stock.handrail:
        return stock.handrail, "stock.handrail"
    return tuple(StockLength(bar.length_mm) for bar in stock.rail), "stock.rail"


def _takes_one(leg: LegLayout) -> bool:
    line = leg.line
    return bool(leg.rails) and line.kind != "level" and (not line.flight or line.flight.treads > 0)


class _Handrail:
    """One leg's handrail, worked out from what stands beside it."""

    def __init__(self, job: Job, handrail: Handrail, run: RunLayout, k: int, side: Beside) -> None:
        self.job, self.run, self.k, self.side = job, run, k, side
        self.leg = leg = run.legs[k]
        self.radius = handrail.diameter_mm / 2
        # Measured from the guard line toward the walking side.
        self.aside = side.nearest_mm + handrail.clearance_mm + self.radius
        over = rail_line(leg.line, handrail.height_mm, handrail.diameter_mm)
        f = over.frame
        frame = Frame(along(f.origin, side.inward, self.aside), f.x, f.y, f.z)
        self.axis = RailLine(frame, over.stretch, over.depth_mm)

    def built(self) -> tuple[tuple[Stretch, ...], tuple[Arm, ...]]:
        start, end = self._end(-1.0), self._end(1.0)
        arms = tuple(self._arms(start.station_mm, end.station_mm))
        first, last = self._return(start, -1.0), self._return(end, 1.0)
        cut, leading = first or (plumb_cut(self.axis, start.station_mm, start.on), ())
        stop, trailing = last or (plumb_cut(self.axis, end.station_mm, end.on), ())
        main = self._stretch(self.axis, cut, stop, [arm.station_mm for arm in arms])
        return (*leading, main, *trailing), arms

    def _at(self, station: float) -> Vec3:
        """Point of the axis."""
        return along(self.axis.frame.origin, self.axis.frame.z, station * self.axis.stretch)

    def _end(self, sense: float) -> _End:
        """The end of the tube, with `sense` 1 where the leg ends, -1 where it starts.

        A return ends at the first face that it meets; where nothing is in its way, over the guard
        line beyond the last post, before the cables between posts.
        """
        tries = self._tries(sense)
        limit = tries[-1]
        meeting = (s for s in tries if self.side.touched(self._seen(s), 0.0))
        station = next(meeting, limit)
        wall = self.side.wall_mm(sense)
        if wall is not None and (wall - station) * sense < self.radius:
            return _End(wall, 0.0, "wall")
        near = self.side.touched(self._seen(station), self.radius - _EPS_MM)
        if near:
            body = max(near, key=lambda body: body.face_mm)
            return _End(station, self.aside - body.face_mm, body.what)
        face = 0.0 if self.side.beyond(station, sense) else self.side.nearest_mm
        return _End(station, self.aside - face, "cap")

    def _tries(self, sense: float) -> list[float]:
        """Stations where the tube may end, the best first; the last one is taken if none is met.

        The end post where it stands beyond the flight's first or last nosing, else that nosing; on
        a ramp the end post. At a turn toward the walking side the guard of the leg there stands in
        the way: the handrail keeps as far from it as from its own.
        """
        line, stations = self.leg.line, self.leg.stations_mm
        post, limit = (stations[0], 0.0) if sense < 0 else (stations[-1], line.length_mm)
        other = neighbour(self.run, self.k, sense)
        if other is not None:
            first, second = (other, line) if sense < 0 else (line, other)
            turn = turn_between(first, second)
            if turn * line.side > _IN_LINE_DEG:
                vertex = vertex_stations(first, second)[1 if sense < 0 else 0]
                return [vertex - sense * self.aside * tand(abs(turn) / 2)]
        if line.kind == "ramp" or (post - limit) * sense >= -_EPS_MM:
            return [post, limit]
        return [limit]

    def _seen(self, station: float) -> tuple[float, float]:
        return (station, self._at(station)[2])

    def _return(self, end: _End, sense: float) -> tuple[RailCut, tuple[Stretch, ...]] | None:
        """The cut of the tube at an end and its return, level and square to the leg."""
        if not end.reach_mm:
            return None
        corner = self._at(end.station_mm)
        outward = scale(self.side.inward, -1.0)
        # In order of travel: in from the guard at the start, out to it at the end.
        direction = scale(outward, sense)
        origin = along(corner, outward, end.reach_mm) if sense < 0 else corner
        # A round bar may lie as it likes: its y is the tube's, so that the miter is a plain one.
        y = self.axis.frame.y
        frame = Frame(origin, cross(y, direction), y, direction)
        piece = RailLine(frame, 1.0, self.axis.depth_mm)
        if sense < 0:
            stop, cut = miter_cuts(piece, self.axis, corner)
            begin = RailCut(0.0, 0.0, 0.0, end.on)
        else:
            cut, begin = miter_cuts(self.axis, piece, corner)
            stop = RailCut(end.reach_mm, 0.0, 0.0, end.on)
        return cut, (self._stretch(piece, begin, stop, ()),)

    def _stretch(
        self, line: RailLine, start: RailCut, end: RailCut, joints: Sequence[float]
    ) -> Stretch:
        half = (self.radius, self.radius)
        leg = self.leg.line
        return stretch(
            self.job, leg, line, start, end, joints, half_mm=half, joint_on="joint on bracket"
        )

    def _arms(self, start: float, end: float) -> Iterator[Arm]:
        """A bracket on every post that the tube passes over or ends at."""
        frame = self.axis.frame
        lean = dot(frame.y, self.leg.line.travel)
        for stand in self.side.stands:
            room = stand.half_mm - BAR_MM / 2
            drop = self._drop(stand.station_mm, stand.top_mm, stand.keep_out_mm)
            # The arm may move along the post's face to stay under the tube.
            shift = lean * drop
            low, high = start + self.radius - shift, end - self.radius - shift
            foot = min(max(stand.station_mm, low), high)
            if abs(foot - stand.station_mm) > room:
                continue
            over = self._at(foot + shift)
            bend = along(over, frame.y, -drop)
            inward = self.aside - stand.face_at(foot)
            face = along(bend, self.side.inward, -inward)
            under = along(over, frame.y, -self.radius)
            yield Arm(stand.post, foot + shift, face, bend, under)

    def _drop(self, station: float, top: float, keep_out: Sequence[tuple[float, float]]) -> float:
        """Square from the tube's axis to the arm's: under the post's top, clear of other ends."""
        plumb = (self.radius + _DROP_MM) * self.axis.stretch
        room = BAR_MM / 2 + _ROOM_MM
        over = self._at(station)[2]
        level = min(over - plumb, top - room)
        for height, half in sorted(keep_out, reverse=True):
            if abs(level - height) < half + room:
                level = height - half - room
        return (over - level) / self.axis.stretch
