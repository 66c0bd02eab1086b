"""Cheaper sets of bars tried one after the other: each filled, bar by bar, as full as it can be.

Widths are counted in tenths of a millimetre, rounded up, so that the bits of one whole number tell
every length that some of the pieces come to.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import product

from generator.nesting.greedy import Draft, demand_of, drafted
from generator.nesting.paths import least_price
from generator.nesting.task import Counts, Task, counted

_GRID_MM = 0.1
_MOST_SETS = 400
_MOST_LISTED = 20_000
# Waste that one bar may have, in parts of what every bar may have on average.
_SHARES = (1.0, 0.0, 0.4, 2.0)
# Mends of one set and pieces looked at in all: every set a little, then the cheapest ones longer.
_ROUNDS = ((400, 120_000), (2_000, 40_000))
_OFF = 0.1  # how far prices are moved, as a part of them
_WIDEST_SETS = 4
_JOINT_STEPS = 300_000


def refitted(task: Task, draft: Draft, low: float) -> Draft:
    """A cheaper draft of the same pieces where one is found, from the bound upward; else the same.

    Pieces are taken at their full widths: no cut is counted on as shared.
    """
    pieces = _Pieces(task, demand_of(task, draft.paths))
    under = draft.cost
    best = draft
    for pieces.mends, pieces.steps in _ROUNDS:
        for kinds in _sets(task, pieces.width, low, under):
            bars = pieces.packed(kinds)
            if bars is not None:
                best = drafted(task, draft.paths, bars)
                under = best.cost
            if bars is not None or pieces.steps < 0:
                break
        if under <= low:
            break
    return best


def rejoined(task: Task, draft: Draft, low: float, prices: Sequence[float]) -> Draft:
    """A cheaper draft with joints elsewhere where one is found, else the same.

    Lines are cut the cheapest way at prices a little off the given ones, differently every time but
    always in the same row of numbers, and the pieces filled into the widest sets of bars at less.
    """
    best, row = draft, _Row()
    steps = _JOINT_STEPS
    while steps > 0 and best.cost > low:
        joint = min(task.costs) * row.below(4) / 20  # what a piece more is counted at
        paths = [
            tuple(least_price(group, row.off(prices, joint))[1] for _ in group.lines)
            for group in task.groups
        ]
        pieces = _Pieces(task, demand_of(task, paths))
        pieces.steps = steps
        sets = sorted(
            _sets(task, pieces.width, low, best.cost),
            key=lambda kinds: -sum(task.caps[k] for k in kinds),
        )
        for kinds in sets[:_WIDEST_SETS]:
            bars = pieces.packed(kinds)
            if bars is not None:
                best = drafted(task, paths, bars)
                break
        steps = pieces.steps - len(prices) * sum(group.count for group in task.groups) - 1_000
    return best


class _Row:
    """A fixed row of numbers that looks like one of chance: the same in every run."""

    def __init__(self) -> None:
        self._state = 1

    def below(self, limit: int) -> int:
        """The next number, at least 0 and under the limit."""
        self._state = (self._state * 1103515245 + 12345) % 2**31
        return (self._state >> 12) % limit

    def off(self, prices: Sequence[float], more: float) -> list[float]:
        """Prices moved up a little, each by the next number, and all by the same."""
        return [price * (1.0 + _OFF * self.below(1_000) / 1_000) + more for price in prices]


_Filled = tuple[int, list[int]]
"""A kind of bar and the pieces that it holds."""


class _Pieces:
    """What is to be packed: types from the shortest, one entry a piece, widths on the grid."""

    def __init__(self, task: Task, demand: Sequence[int]) -> None:
        self.task = task
        order = sorted(range(len(demand)), key=lambda t: (task.high[t], -t))
        self.types = [t for t in order for _ in range(demand[t])]
        self.widths = [math.ceil(task.high[t] / _GRID_MM - 1e-6) for t in self.types]
        self.caps = [math.floor(cap / _GRID_MM + 1e-6) for cap in task.caps]
        self.width = sum(self.widths) * _GRID_MM
        self.mends = self.steps = 0

    def packed(self, kinds: Sequence[int]) -> list[tuple[int, Counts, int]] | None:
        """All pieces in these bars, None where no way of filling them that is tried takes all."""
        spare = sum(self.caps[k] for k in kinds) - sum(self.widths)
        rising = sorted(kinds, key=lambda k: self.caps[k])
        best: tuple[int, list[_Filled], list[int]] | None = None
        for share in _SHARES:
            for order in (rising[::-1], rising) if rising[0] != rising[-1] else (rising,):
                for heavy in (True, False):
                    if self.steps < 0:
                        return None
                    filled, left = self._filled(order, spare, share, heavy=heavy)
                    if not left:
                        return self._counted(filled)
                    over = sum(self.widths[piece] for piece in left)
                    if best is None or over < best[0]:
                        best = (over, filled, left)
        return self._mended(*best) if best else None

    def _counted(self, filled: Sequence[_Filled]) -> list[tuple[int, Counts, int]]:
        return [
            (kind, counted(self.types[piece] for piece in held), 1) for kind, held in filled if held
        ]

    def _filled(
        self, order: Sequence[int], spare: int, share: float, *, heavy: bool
    ) -> tuple[list[_Filled], list[int]]:
        """Bars filled in their order, and what is left over."""
        left = list(range(len(self.widths)))
        bars: list[_Filled] = []
        for n, kind in enumerate(order):
            waste = int(share * max(spare, 0) / (len(order) - n))
            chosen = self._fill(left, self.caps[kind], waste, heavy=heavy)
            gone = set(chosen)
            left = [piece for piece in left if piece not in gone]
            spare -= self.caps[kind] - sum(self.widths[piece] for piece in chosen)
            bars.append((kind, chosen))
        return bars, left

    def _mended(
        self, over: int, bars: list[_Filled], left: list[int]
    ) -> list[tuple[int, Counts, int]] | None:
        """A few bars at a time filled anew with what is left over, until nothing is.

        Which bars, in which order and how full comes from a fixed row of numbers, so that the same
        task is always mended alike.
        """
        row = _Row()
        for _ in range(self.mends):
            if self.steps < 0:
                break
            drawn = [row.below(len(bars)) for _ in range(2 + row.below(3))]
            chosen = list(dict.fromkeys(drawn))
            pool = sorted(left + [piece for k in chosen for piece in bars[k][1]])
            spare = sum(self.caps[bars[k][0]] for k in chosen)
            spare -= sum(self.widths[piece] for piece in pool)
            made: list[_Filled] = []
            for n, k in enumerate(chosen):
                waste = int(row.below(4) / 2 * max(spare, 0) / (len(chosen) - n))
                kind = bars[k][0]
                held = self._fill(pool, self.caps[kind], waste, heavy=bool(row.below(2)))
                gone = set(held)
                pool = [piece for piece in pool if piece not in gone]
                spare -= self.caps[kind] - sum(self.widths[piece] for piece in held)
                made.append((kind, held))
            now = sum(self.widths[piece] for piece in pool)
            if now <= over:
                over, left = now, pool
                for k, one in zip(chosen, made, strict=True):
                    bars[k] = one
            if not left:
                return self._counted(bars)
        return None

    def _fill(self, left: Sequence[int], cap: int, waste: int, *, heavy: bool) -> list[int]:
        """Pieces that fill a bar to within the waste, or as near as can be: the longest there are.

        `heavy`: the longest piece that goes in is one of them, whatever is wasted.
        """
        held: list[int] = []
        self.steps -= len(left)
        if heavy:
            first = next((piece for piece in reversed(left) if self.widths[piece] <= cap), None)
            if first is None:
                return held
            held.append(first)
            cap -= self.widths[first]
            left = [piece for piece in left if piece != first]
        mask = (1 << (cap + 1)) - 1
        sums = [1]
        for piece in left:
            sums.append((sums[-1] | sums[-1] << self.widths[piece]) & mask)
        most = sums[-1].bit_length() - 1
        window = sums[-1] >> max(cap - waste, 0)
        total = max(cap - waste, 0) + (window & -window).bit_length() - 1 if window else most
        for k in range(len(left), 0, -1):
            width = self.widths[left[k - 1]]
            if width <= total and sums[k - 1] >> (total - width) & 1:
                held.append(left[k - 1])
                total -= width
        return held


def _sets(task: Task, width: float, low: float, under: int) -> Iterator[tuple[int, ...]]:
    """Sets of bars that are together wide enough, the cheapest first and of these the widest."""
    kinds = sorted(range(len(task.caps)), key=lambda k: -task.caps[k])
    most = []
    for k in kinds:
        n = min(math.ceil(width / task.caps[k]), (under - 1) // task.costs[k])
        count = task.kinds[k].count
        most.append(n if count is None else min(n, count))
    if math.prod(n + 1 for n in most[:-1]) > _MOST_LISTED:
        return
    cap, price = task.caps[kinds[-1]], task.costs[kinds[-1]]
    found = []
    for counts in product(*(range(n + 1) for n in most[:-1])):
        held = sum(n * task.caps[k] for n, k in zip(counts, kinds, strict=False))
        cost = sum(n * task.costs[k] for n, k in zip(counts, kinds, strict=False))
        # Of the shortest kind only what is needed, and what no cheaper set would do with.
        least = max(math.ceil((width - held) / cap), math.ceil((low - 1e-6 - cost) / price), 0)
        found += [
            (cost + n * price, -held - n * cap, (*counts, n))
            for n in range(least, min(most[-1], (under - 1 - cost) // price) + 1)
        ]
    for _, _, counts in sorted(found)[:_MOST_SETS]:
        yield tuple(k for n, k in zip(counts, kinds, strict=True) for _ in range(n))
