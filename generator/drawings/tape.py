"""A leg as a tape measures it: stations of its posts and spacers along the measured edge."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from generator.frozen import dataclass
from generator.geometry import Vec3, dot, heading, left_of, sub
from generator.parts.assembly import Assembly, LegLine

_ENDS = ("wall", "free", "shared")


@dataclass(frozen=True, slots=True)
class Tape:
    """`length_mm` is the edge's length, level; stations are level too, from the edge's start.

    `inset_mm` is how far the guard line lies inward of the edge, toward the walking surface.
    """

    leg: LegLine
    length_mm: float
    inset_mm: float
    posts: tuple[tuple[str, float], ...]
    spacers: tuple[tuple[str, float], ...]

    @property
    def travel(self) -> Vec3:
        return heading(self.leg.bearing_deg)

    @property
    def inward(self) -> Vec3:
        """Level unit vector from the edge toward the walking surface."""
        left = left_of(self.leg.bearing_deg)
        return left if self.leg.deck == "left" else (-left[0], -left[1], 0.0)

    @property
    def slope(self) -> float:
        """Rise of the leg per unit of level travel."""
        return math.tan(math.radians(self.leg.pitch_deg))

    def bays(self) -> tuple[float, ...]:
        """Stations of the first line of dimensions: the posts, and the edge's ends beyond them."""
        posts = [station for _, station in self.posts]
        ends = [end for end in (0.0, self.length_mm) if not min(posts) < end < max(posts)]
        return tuple(sorted([*posts, *ends]))

    def overall(self) -> tuple[float, ...]:
        """Stations of the last line: the edge's ends, and posts that stand beyond them."""
        posts = [station for _, station in self.posts]
        beyond = [end for end in (min(posts), max(posts)) if not 0.0 <= end <= self.length_mm]
        return tuple(sorted([0.0, self.length_mm, *beyond]))

    def spans(self) -> tuple[float, ...]:
        """Stations between which the cables run free: posts and spacers; none without spacers."""
        if not self.spacers:
            return ()
        return tuple(sorted(station for _, station in (*self.posts, *self.spacers)))

    def mid_bay(self, station: float) -> float:
        """The middle of the bay nearest to a station; the station itself where there is none."""
        posts = sorted(place for _, place in self.posts)
        middles = [(a + b) / 2 for a, b in pairwise(posts)]
        return min(middles, key=lambda middle: (abs(middle - station), middle), default=station)

    def spans_a_bay(self) -> int | None:
        """Into how many equal spans the spacers divide every bay; None where they are unequal."""
        counts = set()
        posts = sorted(station for _, station in self.posts)
        for a, b in pairwise(posts):
            stops = [s for s in self.spans() if a - 1e-6 <= s <= b + 1e-6]
            lengths = [q - p for p, q in pairwise(stops)]
            if not lengths or max(lengths) - min(lengths) > 0.01:
                return None
            counts.add(len(lengths))
        return counts.pop() if len(counts) == 1 else None


def tape(assembly: Assembly, leg: LegLine) -> Tape:
    """Reads the stations of a leg from the table of parts.

    Raises:
        KeyError: the leg names a mark that the table does not hold.
    """
    travel, left = heading(leg.bearing_deg), left_of(leg.bearing_deg)
    sign = 1.0 if leg.deck == "left" else -1.0

    def stations(marks: Iterable[str]) -> tuple[tuple[str, float], ...]:
        places = ((mark, assembly.by_mark[mark].place.origin) for mark in marks)
        return tuple((mark, dot(sub(place, leg.edge_start), travel)) for mark, place in places)

    return Tape(
        leg=leg,
        length_mm=dot(sub(leg.edge_end, leg.edge_start), travel),
        inset_mm=dot(sub(leg.guard_start, leg.edge_start), left) * sign,
        posts=stations(leg.posts),
        spacers=stations(leg.spacers),
    )


def neighbours(assembly: Assembly, leg: LegLine) -> tuple[LegLine | None, LegLine | None]:
    """The legs before and after; in a loop the last and the first are neighbours."""
    run = [other for other in assembly.legs if other.run == leg.run]
    k = run.index(leg)
    before = run[k - 1] if k or leg.start_joint not in _ENDS else None
    after = run[(k + 1) % len(run)] if leg.end_joint not in _ENDS else None
    return before, after


def turn_between(before: LegLine, after: LegLine) -> float:
    """Turn in degrees, left positive, within -180 to 180."""
    return (after.bearing_deg - before.bearing_deg + 180.0) % 360.0 - 180.0


def in_line(leg: LegLine, other: LegLine | None) -> bool:
    """Whether a neighbour goes straight on."""
    return other is not None and other != leg and abs(turn_between(leg, other)) < 1e-6
