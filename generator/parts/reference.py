"""What stands there already: decking, treads, the floor at a stair's foot, house walls."""

from __future__ import annotations

from collections.abc import Iterator

from generator.geometry import EndPlane, Vec2, cosd, dot, sind, sub, upright
from generator.layout.model import Flight, LegLayout, PathLeg, RunLayout
from generator.layout.path import turn_between
from generator.parts.assembly import Kind, Part, TreadDetail
from generator.parts.bases import decking_mm
from generator.parts.shapes import Polygon, Prism, Section
from generator.spec.job import Job, Stair

# How much of the surroundings is shown; none of it is measured. Blocks between stringers are as
# long as the stair is wide: `assumed.py` tells where that was not stated.
_DECK_DEPTH_MM = 600.0
STAIR_WIDTH_MM = 914.4
_FLOOR_REACH_MM = 914.4
_FLOOR_THICKNESS_MM = 100.0
_WALL_THICKNESS_MM = 150.0
_WALL_BELOW_MM = 300.0
_WALL_ABOVE_MM = 1500.0
_RISER_MM = 19.0


class ReferenceBuilder:
    """Makes the bodies that a run stands on and beside."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._counts: dict[str, int] = {}
        self._depths: dict[str, float] = {}

    def parts(self, run: RunLayout) -> Iterator[Part]:
        self._depths[run.run.id] = _deck_depth(run)
        for k, leg in enumerate(run.legs):
            before, after = _neighbours(run, k)
            if leg.line.flight:
                yield from self._stair(leg, before, after)
            else:
                yield self._deck(leg, before, after)
                yield from self._corner_landing(leg, after)
            if leg.end_joint == "opening" and not leg.line.flight and after:
                yield self._threshold(leg, after)
        if run.legs[0].start_joint == "wall":
            yield self._wall(run.legs[0], at_start=True)
        if run.legs[-1].end_joint == "wall":
            yield self._wall(run.legs[-1], at_start=False)

    def _deck(self, leg: LegLayout, before: LegLayout | None, after: LegLayout | None) -> Part:
        line = leg.line
        depth = self._depth(line) * line.side
        start = _inner_station(before, line, depth, at_start=True)
        end = max(_inner_station(after, line, depth, at_start=False), start + 1.0)
        first, last = (start, depth), (end, depth)
        plan = [(0.0, 0.0), (line.length_mm, 0.0), last, first]
        # Round the end of a ramp it is the level floor that turns the corner.
        if after and _landing(line, after.line):
            plan[2:3] = self._round(line, after.line, last, depth)
        if before and _landing(before.line, line):
            plan[-1:] = self._round(line, before.line, first, depth)[::-1]
        thickness = decking_mm(self.job)
        name = "ramp" if line.kind == "ramp" else "deck"
        return self._slab(
            "D", "deck", name, line, tuple(plan), line.origin[2], thickness, line.slope
        )

    def _round(self, line: PathLeg, other: PathLeg, inner: Vec2, depth: float) -> list[Vec2]:
        """Inner corners of a leg's deck at its corner with another, from its edge inward."""
        at_end = other is not line and other.origin == line.end
        if line.kind == "ramp":
            return [(line.length_mm if at_end else 0.0, depth)]
        x, y, _ = other.origin if at_end else other.end
        across = (x + other.left[0] * depth, y + other.left[1] * depth, 0.0)
        away = sub(across, (line.origin[0], line.origin[1], 0.0))
        beside = (dot(away, line.travel), dot(away, line.left))
        # At a right angle it goes on straight along the edge.
        return [beside, inner]

    def _corner_landing(self, leg: LegLayout, after: LegLayout | None) -> Iterator[Part]:
        """A level landing between two ramps that turn away from the walking side."""
        if after is None or not (
            leg.line.kind == after.line.kind == "ramp" and _landing(leg.line, after.line)
        ):
            return
        line, other = leg.line, after.line
        depth = self._depth(line) * line.side
        inner = (_inner_station(after, line, depth, at_start=False), depth)
        across = (other.left[0] * depth, other.left[1] * depth, 0.0)
        length = line.length_mm
        beside = (length + dot(across, line.travel), dot(across, line.left))
        plan = ((length, 0.0), beside, inner, (length, depth))
        thickness = decking_mm(self.job)
        yield self._slab("D", "deck", "landing", line, plan, line.end[2], thickness)

    def _depth(self, line: PathLeg) -> float:
        """How deep the deck is shown: less where the path bends so that it would not fit."""
        return self._depths.get(line.run, _DECK_DEPTH_MM)

    def _threshold(self, leg: LegLayout, after: LegLayout) -> Part:
        """The deck goes on through an opening."""
        line = leg.line
        width = dot(sub(after.line.origin, line.end), line.travel)
        depth = self._depth(line) * line.side
        near, far = line.length_mm, line.length_mm + width
        plan = ((near, 0.0), (far, 0.0), (far, depth), (near, depth))
        thickness = decking_mm(self.job)
        return self._slab("D", "deck", "deck", line, plan, line.end[2], thickness)

    def _stair(
        self, leg: LegLayout, before: LegLayout | None, after: LegLayout | None
    ) -> Iterator[Part]:
        line, flight = leg.line, leg.line.flight
        assert flight is not None
        width = self._width(line)
        for k in range(1, flight.treads + 1):
            back = flight.nosing_t(k - 1) - flight.overhang_mm
            plan = self._across(line, back, flight.nosing_t(k), width)
            yield self._slab(
                "T",
                "tread",
                f"tread {k}",
                line,
                plan,
                flight.tread_z(k),
                flight.thickness_mm,
                detail=TreadDetail(k, _below_line(flight, k)),
            )
        yield from self._risers(line, width)
        upper, lower = (before, after) if flight.sense == 1 else (after, before)
        if upper is None or abs(turn_between(upper.line, line)) > 1e-9:
            # The upper floor behind the nosing, where the stair's end post stands.
            plan = self._across(line, -_DECK_DEPTH_MM, 0.0, width)
            thickness = decking_mm(self.job)
            yield self._slab("D", "deck", "landing", line, plan, flight.top_z_mm, thickness)
        if lower is None:
            foot = flight.foot_mm
            plan = self._across(line, foot, foot + _FLOOR_REACH_MM, width)
            z = flight.floor_z_mm
            yield self._slab("G", "floor", "lower floor", line, plan, z, _FLOOR_THICKNESS_MM)

    def _risers(self, line: PathLeg, width: float) -> Iterator[Part]:
        """Boards under every nosing of a closed stair, from one tread to the underside above.

        Where the framing is known, its rim or fascia closes the uppermost step.
        """
        flight = line.flight
        assert flight is not None
        if self._spec(line).open_risers:
            return
        framed = self.job.structure is not None and self.job.structure.joists is not None
        for k, (t, z) in enumerate(flight.nosings):
            if framed and not k:
                continue
            face = t - flight.overhang_mm
            plan = self._across(line, face - _RISER_MM, face, width)
            foot = flight.tread_z(k + 1) if k < flight.treads else flight.floor_z_mm
            cover = flight.thickness_mm if k else decking_mm(self.job)
            if z - cover - foot > 1.0:
                top = z - cover
                yield self._slab("RB", "riser", f"riser {k + 1}", line, plan, top, top - foot)

    def _spec(self, line: PathLeg) -> Stair:
        """The stair of the spec that a leg is."""
        run = next(run for run in self.job.runs if run.id == line.run)
        stair = next(item for item in run.legs if item.path == line.path)
        assert isinstance(stair, Stair)
        return stair

    def _width(self, line: PathLeg) -> float:
        """Across the stair from the guard's side, signed to the left."""
        return (self._spec(line).width_mm or STAIR_WIDTH_MM) * line.side

    @staticmethod
    def _across(line: PathLeg, t_from: float, t_to: float, width: float) -> tuple[Vec2, ...]:
        flight = line.flight
        assert flight is not None
        a, b = sorted((flight.station(t_from), flight.station(t_to)))
        return ((a, 0.0), (b, 0.0), (b, width), (a, width))

    def _wall(self, leg: LegLayout, *, at_start: bool) -> Part:
        """A wall at the end of the measured edge; of a stair beyond its end post."""
        line = leg.line
        if line.flight:
            reach = self.job.guard.wall_gap_mm + self.job.system.post.width_mm / 2
            face = leg.stations_mm[0] - reach if at_start else leg.stations_mm[-1] + reach
        else:
            face = 0.0 if at_start else line.length_mm
        back = face - _WALL_THICKNESS_MM if at_start else face + _WALL_THICKNESS_MM
        a, b = sorted((face, back))
        near, far = -_WALL_BELOW_MM * line.side, _DECK_DEPTH_MM * line.side
        plan = ((a, near), (b, near), (b, far), (a, far))
        top = line.reference_z(face) + _WALL_ABOVE_MM
        height = _WALL_ABOVE_MM + _WALL_BELOW_MM
        return self._slab("WL", "wall", "wall", line, plan, top, height)

    def _slab(
        self,
        prefix: str,
        kind: Kind,
        item: str,
        line: PathLeg,
        plan: tuple[Vec2, ...],
        top: float,
        thickness: float,
        slope: float = 0.0,
        detail: TreadDetail | None = None,
    ) -> Part:
        """A flat body, its plan in stations and offsets to the left of the edge.

        It is drawn from its own first corner, so that bodies alike are one shape.
        """
        self._counts[prefix] = self._counts.get(prefix, 0) + 1
        s, n = plan[0]
        x, y, _ = line.edge(0.0)
        corner = (
            x + line.travel[0] * s + line.left[0] * n,
            y + line.travel[1] * s + line.left[1] * n,
        )
        place = upright((*corner, top + slope * s - thickness), line.bearing_deg)
        own = tuple((round(a - s, 9), round(b - n, 9)) for a, b in plan)
        section = Section(Polygon(_counter_clockwise(own)))
        shape = Prism(section, EndPlane(0.0, slope), EndPlane(thickness, slope))
        mark = f"{prefix}{self._counts[prefix]}"
        return Part(mark, kind, item, line.run, line.number, shape, place, mark, detail)


def _below_line(flight: Flight, tread: int) -> float:
    """A nosing's distance under the nosing line, plumb; noise of equal stairs is none."""
    line = flight.nosing_line_z(flight.nosing_t(tread))
    return round(line - flight.tread_z(tread), 9) + 0.0


def _neighbours(run: RunLayout, k: int) -> tuple[LegLayout | None, LegLayout | None]:
    """The legs before and after; in a loop the last and the first are neighbours."""
    last = len(run.legs) - 1
    closed = run.run.closed is not None
    before = run.legs[k - 1] if k or closed else None
    after = run.legs[(k + 1) % (last + 1)] if k < last or closed else None
    return before, after


def _deck_depth(run: RunLayout) -> float:
    """The depth of deck that every leg of a run has room for between its bends."""
    depth = _DECK_DEPTH_MM
    for k, leg in enumerate(run.legs):
        line = leg.line
        if line.flight:
            continue
        before, after = _neighbours(run, k)
        # Both inner corners together may take what the leg is long, less a little.
        taken = _inner_station(before, line, line.side, at_start=True)
        taken += line.length_mm - _inner_station(after, line, line.side, at_start=False)
        if taken > 0.0:
            depth = min(depth, 0.95 * line.length_mm / taken)
    return depth


def _inner_station(
    other: LegLayout | None, line: PathLeg, depth: float, *, at_start: bool
) -> float:
    """Station at which a leg's inner deck line meets that of its neighbour, mitered."""
    here = 0.0 if at_start else line.length_mm
    if other is None or other.line.flight:
        return here
    first, last = (other.line, line) if at_start else (line, other.line)
    turn = turn_between(first, last)
    if abs(sind(turn)) < 1e-9:
        return here
    shift = depth * (1.0 - cosd(turn)) / sind(turn)
    return here + shift if at_start else here - shift


def _landing(before: PathLeg, after: PathLeg) -> bool:
    """Whether a ramp meets another floor where the path turns away from the walking side."""
    turn = turn_between(before, after)
    ramps = "ramp" in (before.kind, after.kind) and "stair" not in (before.kind, after.kind)
    return ramps and abs(sind(turn)) > 1e-9 and turn * before.side < 0.0


def _counter_clockwise(plan: tuple[Vec2, ...]) -> tuple[Vec2, ...]:
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(plan, plan[1:] + plan[:1], strict=True))
    return plan if area > 0 else plan[::-1]
