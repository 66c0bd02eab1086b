"""A stair as its elevation shows it: floors, nosings and steps, read from treads and floors."""

from __future__ import annotations

from itertools import pairwise

from generator.drawings.front import Front
from generator.drawings.tape import neighbours
from generator.frozen import dataclass
from generator.geometry import Vec2

SHOWN = 8.0  # as plotted: how much of floors and neighbours' rails is shown beyond a leg
_EQUAL_MM = 0.05  # steps that a tape cannot tell apart


@dataclass(frozen=True, slots=True)
class Flight:
    """`nosings` are (x, height) of the upper floor's and every tread's, from the top down.

    `down` is 1 where the picture goes down to the right. The lower floor begins under the last
    nosing.
    """

    down: float
    nosings: tuple[Vec2, ...]
    floor: float

    @property
    def upper(self) -> Vec2:
        return self.nosings[0]

    @property
    def foot(self) -> Vec2:
        """Where the lower floor begins."""
        return (self.nosings[-1][0], self.floor)

    @property
    def risers(self) -> tuple[float, ...]:
        """Heights of the steps, from the top down."""
        levels = [*(y for _, y in self.nosings), self.floor]
        return tuple(a - b for a, b in pairwise(levels))

    @property
    def goings(self) -> tuple[float, ...]:
        """Nosing to nosing, level, from the top down."""
        return tuple(abs(b - a) for (a, _), (b, _) in pairwise(self.nosings))

    @property
    def regular(self) -> bool:
        """Whether all steps are equal."""
        steps = (self.risers, self.goings)
        return all(max(s, default=0.0) - min(s, default=0.0) < _EQUAL_MM for s in steps)


def flight(one: Front) -> Flight:
    """The stair of a leg."""
    down = -1.0 if one.slope > 0 else 1.0
    end = one.x(one.tape.length_mm)
    upper = end if one.leg.pitch_deg > 0 else 0.0
    treads = [tread for _, tread in sorted(one.treads().items())]
    fronts = [(one.box(t).bounds[2 if down > 0 else 0], one.top(t)) for t in treads]
    top = _level(one, upper=True)
    nosings = ((upper, one.reference.at(upper) if top is None else top), *fronts)
    floor = _level(one, upper=False)
    if floor is None:
        floor = nosings[-1][1] - abs(one.slope) * abs(end) / max(len(treads), 1)
    return Flight(down, nosings, floor)


def shown(one: Front, margin: float) -> tuple[float, float]:
    """Least and greatest x up to which floors and the rails of neighbours are shown."""
    low, high = one.span((*one.parts(one.leg.posts), *one.rails(), *one.surfaces("tread")))
    if one.leg.kind == "stair":
        # The pitch is measured where the nosing line meets the floor.
        line = one.reference
        foot = (flight(one).floor - line.y) / line.rise
        low, high = min(low, foot), max(high, foot)
    return low - margin, high + margin


def _level(one: Front, *, upper: bool) -> float | None:
    """Height of the floor at an end of the stair; None where the table does not hold it."""
    before, after = neighbours(one.assembly, one.leg)
    at_start = upper == (one.leg.pitch_deg < 0)
    other = before if at_start else after
    if other is not None:
        return (other.edge_end if at_start else other.edge_start)[2]
    own = [part for part in one.parts(one.leg.surfaces) if part.kind in ("deck", "floor")]
    tops = sorted(one.top(part) for part in own)
    kind = "deck" if upper else "floor"
    if any(part.kind == kind for part in own):
        return tops[-1] if upper else tops[0]
    return None
