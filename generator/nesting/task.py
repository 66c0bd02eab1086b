"""Lines into a task for the solvers: equal pieces and equal lines once, widths, whole costs."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence

from generator.frozen import dataclass
from generator.nesting.ends import Arranged, Shape, along_mm, facing, slanted
from generator.nesting.model import EPS_MM, SQUARE, Cut, Kind, Line, Rules, TooLong

_COST_STEPS = 10_000  # costs are counted in whole steps of a ten-thousandth

Counts = tuple[tuple[int, int], ...]
"""How many pieces of which types a bar holds, types rising."""


@dataclass(frozen=True, slots=True)
class Arc:
    """One piece that a line may have: from stop to stop, and its type."""

    first: int
    last: int
    type: int


@dataclass(frozen=True, slots=True)
class Group:
    """Equal lines: their indices, their stops less the first one, and every piece that fits a bar.

    `arcs[b]` are the pieces that end at stop b.
    """

    lines: tuple[int, ...]
    stops: int
    arcs: tuple[tuple[Arc, ...], ...]
    must: int

    @property
    def count(self) -> int:
        return len(self.lines)


class Task:
    """What is to be cut, with equal things once.

    `shapes` by type; `low` and `high` are what a piece takes of a bar with one kerf: at the least,
    every slanted cut shared that may find its like, and at the most. `caps` are the bars' room
    with one kerf more, `costs` whole numbers of `step`.
    """

    def __init__(self, lines: Sequence[Line], kinds: Sequence[Kind], rules: Rules) -> None:
        self.kinds, self.rules = tuple(kinds), rules
        self.caps = [rules.usable_mm(kind) + rules.kerf_mm for kind in kinds]
        whole = [round(kind.cost * _COST_STEPS) for kind in kinds]
        unit = math.gcd(*whole)
        self.costs = [cost // unit for cost in whole]
        self.step = unit / _COST_STEPS
        self.shapes: list[Shape] = []
        self._types: dict[tuple[object, ...], int] = {}
        self.groups = self._grouped(lines)
        self._widths()
        self._lengths: dict[Counts, float] = {}
        self.exact = True

    def _grouped(self, lines: Sequence[Line]) -> list[Group]:
        found: dict[tuple[object, ...], list[int]] = {}
        for index, line in enumerate(lines):
            first = line.stops_mm[0]
            key = (
                tuple(round(stop - first, 6) for stop in line.stops_mm),
                _key(line.start), _key(line.end), line.must,
            )  # fmt: skip
            found.setdefault(key, []).append(index)
        return [self._group(lines[own[0]], tuple(own)) for own in found.values()]

    def _group(self, line: Line, own: tuple[int, ...]) -> Group:
        stops, last = line.stops_mm, len(line.stops_mm) - 1
        longest = max(self.rules.usable_mm(kind) for kind in self.kinds)
        must = sorted(line.must)
        arcs: list[tuple[Arc, ...]] = [()]
        reached = [True] + [False] * last
        for b in range(1, last + 1):
            ending = []
            held = bisect_right(must, b - 1)  # no piece goes over a joint that must be
            least = must[held - 1] if held else 0
            for a in range(b - 1, least - 1, -1):
                start = line.start if a == 0 else SQUARE
                end = line.end if b == last else SQUARE
                length = stops[b] - stops[a] + start.tip_mm + end.tip_mm
                if length > longest + EPS_MM:
                    break
                if reached[a]:
                    ending.append(Arc(a, b, self._type(length, start, end)))
                    reached[b] = True
            arcs.append(tuple(ending))
        if not reached[last]:
            raise TooLong(own[0], longest)
        return Group(own, last, tuple(arcs), len(must))

    def _type(self, length: float, start: Cut, end: Cut) -> int:
        key = (round(length, 6), _key(start), _key(end))
        found = self._types.setdefault(key, len(self.shapes))
        if found == len(self.shapes):
            self.shapes.append(Shape(length, start, end))
        return found

    def _widths(self) -> None:
        """Least and most that each type takes; a slanted end without its like is never shared."""
        rules, kerf = self.rules, self.rules.kerf_mm
        right: dict[object, set[int]] = {}
        left: dict[object, set[int]] = {}
        for t, shape in enumerate(self.shapes):
            for end, cut in enumerate((shape.start, shape.end)):
                if slanted(cut):
                    right.setdefault(facing(shape, end, rules, right=True), set()).add(t)
                    left.setdefault(facing(shape, end, rules, right=False), set()).add(t)
        self.low: list[float] = []
        self.high: list[float] = []
        for shape in self.shapes:
            saved = 0.0
            for end, cut in enumerate((shape.start, shape.end)):
                shown = (
                    facing(shape, end, rules, right=True),
                    facing(shape, end, rules, right=False),
                )
                if slanted(cut) and any(
                    key is not None and key in other
                    for key, other in zip(shown, (left, right), strict=True)
                ):
                    saved += cut.tip_mm
            self.low.append(shape.long_mm - saved + kerf)
            widest = max(along_mm(shape.start, kerf), along_mm(shape.end, kerf))
            self.high.append(shape.long_mm + widest)

    def fits(self, kind: int, counts: Counts) -> bool:
        """Whether these pieces go into one bar of the kind."""
        cap = self.caps[kind] + EPS_MM
        if sum(self.high[t] * n for t, n in counts) <= cap:
            return True
        if sum(self.low[t] * n for t, n in counts) > cap:
            return False
        if all(self.high[t] == self.low[t] for t, _ in counts):
            return False
        if counts not in self._lengths:
            made = self.arranged(t for t, n in counts for _ in range(n))
            self.exact = self.exact and made.exact
            self._lengths[counts] = made.length_mm + self.rules.kerf_mm
        return self._lengths[counts] <= cap

    def arranged(self, types: Iterable[int]) -> Arranged:
        """The pieces of these types laid into one bar."""
        return Arranged([self.shapes[t] for t in types], self.rules)

    def cheapest(self, counts: Counts, free: Sequence[int | None]) -> int | None:
        """The kind at the least cost that holds these pieces and of which a bar is left."""
        able = [
            k
            for k in range(len(self.kinds))
            if (left := free[k]) is None or left > 0
            if self.fits(k, counts)
        ]
        return min(able, key=lambda k: (self.costs[k], self.caps[k], k)) if able else None


def _key(cut: Cut) -> tuple[float, float, float]:
    return (round(cut.slope_x, 9) + 0.0, round(cut.slope_y, 9) + 0.0, round(cut.tip_mm, 6))


def counted(types: Iterable[int]) -> Counts:
    """Types with how often each comes, rising."""
    found: dict[int, int] = {}
    for t in types:
        found[t] = found.get(t, 0) + 1
    return tuple(sorted(found.items()))
