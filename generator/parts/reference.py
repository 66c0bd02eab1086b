"""What stands there already: decking, treads, the floor at a stair's foot, house walls."""

from __future__ import annotations

from collections.abc import Iterator

from generator.geometry import Frame, Vec2, cosd, sind, upright
from generator.layout.model import LegLayout, PathLeg, RunLayout
from generator.parts.assembly import Kind, Part, TreadDetail
from generator.parts.posts import decking_mm
from generator.parts.shapes import EndPlane, Polygon, Prism, Section
from generator.spec.job import Job

# How much of the surroundings is shown; none of it is measured or ordered.
_DECK_DEPTH_MM = 600.0
_STAIR_WIDTH_MM = 914.4
_FLOOR_REACH_MM = 914.4
_FLOOR_THICKNESS_MM = 100.0
_WALL_THICKNESS_MM = 150.0
_WALL_BELOW_MM = 300.0
_WALL_ABOVE_MM = 1500.0


class ReferenceBuilder:
    """Makes the bodies that a run stands on and beside."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._counts: dict[str, int] = {}

    def parts(self, run: RunLayout) -> Iterator[Part]:
        for k, leg in enumerate(run.legs):
            before = run.legs[k - 1] if k else None
            after = run.legs[k + 1] if k + 1 < len(run.legs) else None
            if leg.line.flight:
                yield from self._stair(leg, before, after)
            else:
                yield self._deck(leg, before, after)
        for leg, joint, at_start in (
            (run.legs[0], run.legs[0].start_joint, True),
            (run.legs[-1], run.legs[-1].end_joint, False),
        ):
            if joint == "wall":
                yield self._wall(leg, at_start=at_start)

    def _deck(self, leg: LegLayout, before: LegLayout | None, after: LegLayout | None) -> Part:
        line = leg.line
        side = self._side(line)
        depth = _DECK_DEPTH_MM * side
        start = _inner_station(before, line, depth, at_start=True)
        end = max(_inner_station(after, line, depth, at_start=False), start + 1.0)
        plan = ((0.0, 0.0), (line.length_mm, 0.0), (end, depth), (start, depth))
        thickness = decking_mm(self.job)
        return self._slab("D", "deck", "deck", line, plan, line.origin[2], thickness)

    def _stair(
        self, leg: LegLayout, before: LegLayout | None, after: LegLayout | None
    ) -> Iterator[Part]:
        line, flight = leg.line, leg.line.flight
        assert flight is not None
        width = _STAIR_WIDTH_MM * self._side(line)
        for k in range(1, flight.treads + 1):
            back = (k - 1) * flight.tread_mm - flight.overhang_mm
            plan = self._across(line, back, k * flight.tread_mm, width)
            yield self._slab(
                "T",
                "tread",
                f"tread {k}",
                line,
                plan,
                flight.tread_z(k),
                flight.thickness_mm,
                TreadDetail(k),
            )
        upper, lower = (before, after) if flight.sense == 1 else (after, before)
        if upper is None or abs(upper.line.bearing_deg - line.bearing_deg) > 1e-9:
            # The upper floor behind the nosing, where the stair's end post stands.
            plan = self._across(line, -_DECK_DEPTH_MM, 0.0, width)
            thickness = decking_mm(self.job)
            yield self._slab("D", "deck", "landing", line, plan, flight.top_z_mm, thickness)
        if lower is None:
            plan = self._across(line, flight.foot_mm, flight.foot_mm + _FLOOR_REACH_MM, width)
            z = flight.tread_z(flight.risers)
            yield self._slab("G", "floor", "lower floor", line, plan, z, _FLOOR_THICKNESS_MM)

    @staticmethod
    def _across(line: PathLeg, t_from: float, t_to: float, width: float) -> tuple[Vec2, ...]:
        flight = line.flight
        assert flight is not None
        a, b = sorted((flight.station(t_from), flight.station(t_to)))
        return ((a, 0.0), (b, 0.0), (b, width), (a, width))

    def _wall(self, leg: LegLayout, *, at_start: bool) -> Part:
        line = leg.line
        side = self._side(line)
        face = 0.0 if at_start else line.length_mm
        back = face - _WALL_THICKNESS_MM if at_start else face + _WALL_THICKNESS_MM
        a, b = sorted((face, back))
        near, far = -_WALL_BELOW_MM * side, _DECK_DEPTH_MM * side
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
        detail: TreadDetail | None = None,
    ) -> Part:
        """A flat body, its plan in stations and offsets to the left of the edge."""
        self._counts[prefix] = self._counts.get(prefix, 0) + 1
        x, y, _ = line.origin
        place: Frame = upright((x, y, top - thickness), line.bearing_deg)
        shape = Prism(
            Section(Polygon(_counter_clockwise(plan))), EndPlane(0.0), EndPlane(thickness)
        )
        mark = f"{prefix}{self._counts[prefix]}"
        return Part(mark, kind, item, line.run, line.number, shape, place, mark, detail)

    def _side(self, line: PathLeg) -> float:
        run = next(run for run in self.job.runs if run.id == line.run)
        return 1.0 if run.deck == "left" else -1.0


def _inner_station(
    other: LegLayout | None, line: PathLeg, depth: float, *, at_start: bool
) -> float:
    """Station at which a leg's inner deck line meets that of its neighbour, mitered."""
    here = 0.0 if at_start else line.length_mm
    if other is None or other.line.flight:
        return here
    first, last = (other.line, line) if at_start else (line, other.line)
    turn = last.bearing_deg - first.bearing_deg
    if abs(sind(turn)) < 1e-9:
        return here
    shift = depth * (1.0 - cosd(turn)) / sind(turn)
    return here + shift if at_start else here - shift


def _counter_clockwise(plan: tuple[Vec2, ...]) -> tuple[Vec2, ...]:
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(plan, plan[1:] + plan[:1], strict=True))
    return plan if area > 0 else plan[::-1]
