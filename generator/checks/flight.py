"""A stair tread by tread, read from its parts: nosings, risers and goings along both its sides.

Stations are level, along the leg from the start of its edge; `n` is how far left of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from generator.checks.nearby import Nearby
from generator.checks.view import LegView
from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, along, dot, heading, left_of, sub
from generator.parts.assembly import Part
from generator.parts.shapes import Prism

_EPS_MM = 1e-6
# A side is looked at this far within the treads.
_INSIDE_MM = 1.0
# A board closes the riser under a tread whose underside is as near to its top as this.
_UNDER_MM = 50.0


@dataclass(frozen=True, slots=True)
class Nosing:
    """The front of a tread or floor along one side of a stair: its station and its height."""

    mark: str
    s_mm: float
    z_mm: float


@dataclass(frozen=True, slots=True)
class Riser:
    """From one walking surface down to the next: both marks, and the height between."""

    upper: str
    lower: str
    height_mm: float


@dataclass(frozen=True, slots=True)
class Tread:
    """A tread's depth nosing to nosing, and how far its front stands over the riser below it.

    `projection_mm` is None where no board closes that riser.
    """

    mark: str
    depth_mm: float
    projection_mm: float | None


@dataclass(frozen=True, slots=True)
class FlightSide:
    """One side of a flight, from the top down; the last riser leads to the lower floor."""

    n_mm: float
    risers: tuple[Riser, ...]
    treads: tuple[Tread, ...]
    top_projection_mm: float | None


@dataclass(frozen=True, slots=True)
class Slab:
    """A level body with its plan in (s, n)."""

    part: Part
    plan: tuple[Vec2, ...]

    def span_at(self, n_mm: float) -> Vec2 | None:
        """Where the line at n enters and leaves the plan; None where it passes beside it."""
        found: list[float] = []
        for (s_a, n_a), (s_b, n_b) in zip(self.plan, self.plan[1:] + self.plan[:1], strict=True):
            low, high = min(n_a, n_b), max(n_a, n_b)
            if low <= n_mm <= high and high - low > _EPS_MM:
                found.append(s_a + (s_b - s_a) * (n_mm - n_a) / (n_b - n_a))
        return (min(found), max(found)) if len(found) > 1 else None

    @property
    def across(self) -> Vec2:
        return min(n for _, n in self.plan), max(n for _, n in self.plan)


class Flight:
    """The bodies of a stair leg, by what they are to one who walks down it."""

    def __init__(self, nearby: Nearby, view: LegView) -> None:
        self.view = view
        leg = view.leg
        self._travel, self._left = heading(leg.bearing_deg), left_of(leg.bearing_deg)
        self.down = view.down
        own = [nearby.of_leg(leg, "tread"), nearby.of_leg(leg, "riser")]
        self.treads, self.boards = (self._slabs(parts) for parts in own)
        self.treads.sort(key=lambda slab: -_top(slab.part))
        floors = [nearby.of_leg(leg, "deck", step) for step in self._neighbours()]
        floors += [nearby.of_leg(leg, "floor")]
        self._floors = self._slabs(part for parts in floors for part in parts)
        self.upper, self.lower = self._ends()
        self.sides = tuple(self._sides())
        """Both sides of the flight; none of a stair whose floors are not there."""

    def _neighbours(self) -> tuple[int, ...]:
        """Steps to this leg and those beside it; in a loop the last and the first are beside."""
        leg, assembly = self.view.leg, self.view.assembly
        run = next(run for run in assembly.job.runs if run.id == leg.run)
        if run.closed is None:
            return (-1, 0, 1)
        last = max(other.number for other in assembly.legs if other.run == leg.run)
        wrapped = {1: last - 1, last: 1 - last}.get(leg.number)
        return (-1, 0, 1) if wrapped is None else (-1, 0, 1, wrapped)

    def _sides(self) -> list[FlightSide]:
        if self.upper is None or self.lower is None:
            return []
        low, high = self._across()
        return [side for n in (low, high) if low < high and (side := self._side(n))]

    def _across(self) -> Vec2:
        """Lines just within both sides of the treads; of a single step, of its floors.

        Behind a turn the floors of a single step may lie beside each other: the narrower one tells.
        """
        assert self.upper is not None
        assert self.lower is not None
        over = self.treads or [self.upper, self.lower]
        low = max(slab.across[0] for slab in over)
        high = min(slab.across[1] for slab in over)
        if not self.treads and high - low < 2 * _INSIDE_MM:
            low, high = min((slab.across for slab in over), key=lambda span: span[1] - span[0])
        return low + _INSIDE_MM, high - _INSIDE_MM

    def _side(self, n: float) -> FlightSide | None:
        steps = self._nosings(n)
        if not steps or self.lower is None:
            return None
        landing = self._at(self.lower, steps[-1].s_mm, n)
        levels = [*steps, Nosing(self.lower.part.mark, steps[-1].s_mm, landing)]
        risers = tuple(Riser(a.mark, b.mark, a.z_mm - b.z_mm) for a, b in pairwise(levels))
        faces = self._faces(n)
        treads = tuple(
            Tread(b.mark, (b.s_mm - a.s_mm) * self.down, self._projection(b, faces))
            for a, b in pairwise(steps)
        )
        return FlightSide(n, risers, treads, self._projection(steps[0], faces))

    def _faces(self, n: float) -> list[Vec2]:
        """(top, s of the front) of the boards at n that close risers."""
        spans = ((_top(board.part), board.span_at(n)) for board in self.boards)
        return [(top, span[1] if self.down > 0 else span[0]) for top, span in spans if span]

    def _nosings(self, n: float) -> list[Nosing]:
        """The upper floor's and each tread's nosing at n, from the top down."""
        assert self.upper is not None
        found: list[Nosing] = []
        for slab in (self.upper, *self.treads):
            span = slab.span_at(n) or self._nearest_span(slab)
            s = span[1] if self.down > 0 else span[0]
            found.append(Nosing(slab.part.mark, s, self._at(slab, s, n)))
        return found

    def _nearest_span(self, slab: Slab) -> Vec2:
        """Of a floor that lies beside the line: its whole extent."""
        stations = [s for s, _ in slab.plan]
        return min(stations), max(stations)

    def _projection(self, nosing: Nosing, faces: Sequence[Vec2]) -> float | None:
        """From the face of the board under a nosing to the nosing."""
        under = self._underside(nosing)
        top, face = min(faces, key=lambda row: abs(row[0] - under), default=(math.inf, 0.0))
        if abs(top - under) > _UNDER_MM:
            return None
        return (nosing.s_mm - face) * self.down

    def _underside(self, nosing: Nosing) -> float:
        part = self.view.assembly.by_mark[nosing.mark]
        shape = part.shape
        assert isinstance(shape, Prism)
        return nosing.z_mm - (shape.end.z_mm - shape.start.z_mm)

    def _at(self, slab: Slab, s: float, n: float) -> float:
        """Height of a body's top at a place, or the height that its plane has there."""
        shape, place = slab.part.shape, slab.part.place
        assert isinstance(shape, Prism)
        point = along(along(self.view.leg.edge_start, self._travel, s), self._left, n)
        x, y, _ = place.local((point[0], point[1], place.origin[2]))
        return place.point((x, y, shape.end.at(x, y)))[2]

    def _ends(self) -> tuple[Slab | None, Slab | None]:
        """The floors above the first tread and under the last, nearest to them."""
        floors = sorted(self._floors, key=lambda slab: -_top(slab.part))
        if not self.treads:
            # A single step: from the higher floor to the lower.
            return (floors[0], floors[-1]) if len(floors) > 1 else (None, None)
        first, last = self.treads[0], self.treads[-1]
        above = [slab for slab in floors if _top(slab.part) > _top(first.part) + _EPS_MM]
        below = [slab for slab in floors if _top(slab.part) < _top(last.part) - _EPS_MM]
        return (
            min(above, key=lambda slab: self._behind(slab, first), default=None),
            min(below, key=lambda slab: self._before(slab, last), default=None),
        )

    def _behind(self, floor: Slab, first: Slab) -> float:
        """How far the front of a floor lies from the back of the tread under it."""
        return abs(self._front(floor) - self._back(first))

    def _before(self, floor: Slab, last: Slab) -> tuple[float, float]:
        """How far a floor lies beyond the front of the tread over it, then how far it reaches."""
        front = self._front(last)
        beyond = max(
            (self._back(floor) - front) * self.down, (front - self._front(floor)) * self.down, 0.0
        )
        return beyond, abs(self._back(floor) - front)

    def _front(self, slab: Slab) -> float:
        return max(s * self.down for s, _ in slab.plan) * self.down

    def _back(self, slab: Slab) -> float:
        return min(s * self.down for s, _ in slab.plan) * self.down

    def _slabs(self, parts: Iterable[Part]) -> list[Slab]:
        return [Slab(part, self._plan(part)) for part in parts]

    def _plan(self, part: Part) -> tuple[Vec2, ...]:
        shape = part.shape
        assert isinstance(shape, Prism)
        corners = shape.section.outer.corners
        return tuple(self.flat(part.place.point((x, y, 0.0))) for x, y in corners)

    def flat(self, point: Vec3) -> Vec2:
        """(s, n) of a point."""
        away = sub(point, self.view.leg.edge_start)
        return dot(away, self._travel), dot(away, self._left)


def _top(part: Part) -> float:
    shape = part.shape
    assert isinstance(shape, Prism)
    return part.place.origin[2] + shape.end.z_mm
