"""Small tasks to the end without a solver: bars filled one by one, every way that can still pay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.nesting.bounds import next_cost
from generator.nesting.greedy import Draft, drafted
from generator.nesting.model import EPS_MM
from generator.nesting.task import Arc, Counts, Task, counted

MOST_STEPS = 6_000
"""Steps before a larger solver is asked."""

_ANY = 1 << 30

Gap = tuple[int, int, int]
"""A part of a line that has no pieces yet: its group, from stop to stop."""


class _Spent(Exception):
    """The steps are used up."""


def searched(
    task: Task, draft: Draft, bound: float, prices: Sequence[float], steps: int = MOST_STEPS
) -> tuple[Draft, float, bool]:
    """The best draft, the bound that was reached, and whether the search came to its end.

    Costs are tried from the bound upward, so that what is found first is the best. At each cost a
    bar may waste no more, at fair prices, than lies between the cost and what is left to be made.
    """
    search = _Search(task, draft, prices, steps)
    try:
        for cost in _costs(bound, draft.cost):
            search.try_cost(cost, next_cost(bound))
            if search.best.cost <= cost:
                return search.best, float(search.best.cost), True
            bound = float(cost + 1)
    except _Spent:
        return search.best, bound, False
    return search.best, bound, True


def _costs(bound: float, most: int) -> Iterator[int]:
    """Whole costs to try from a bound to what is known; where there are many, in eight steps."""
    low = next_cost(bound)
    stride = max((most - low) // 8, 1)
    yield from range(low, most, stride)
    yield most


class _Search:
    """Depth first over bars; `best` is the best draft so far."""

    def __init__(self, task: Task, draft: Draft, prices: Sequence[float], steps: int) -> None:
        self.task, self.best, self.prices, self.left = task, draft, prices, steps
        self.from_stop: list[list[list[Arc]]] = []
        for group in task.groups:
            begun: list[list[Arc]] = [[] for _ in range(group.stops + 1)]
            for ending in group.arcs:
                for arc in ending:
                    begun[arc.first].append(arc)
            self.from_stop.append(begun)
        self.rate = max(
            (price / width for price, width in zip(prices, task.low, strict=True)), default=0.0
        )
        self._least: dict[Gap, tuple[float, int] | None] = {}
        self._seen: dict[tuple[object, ...], int] = {}
        self._bars: list[tuple[int, tuple[tuple[int, Arc], ...]]] = []
        self._cost = self._floor = 0

    def try_cost(self, cost: int, floor: int) -> None:
        """Looks for the best draft at this cost or less; nothing costs less than the floor."""
        self._cost, self._floor = cost, floor
        self._seen.clear()
        gaps = [
            (g, 0, group.stops) for g, group in enumerate(self.task.groups) for _ in group.lines
        ]
        free = tuple(kind.count for kind in self.task.kinds)
        self._open(tuple(sorted(gaps)), free, 0, 0)

    def _spend(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise _Spent

    def _gap(self, gap: Gap) -> tuple[float, int] | None:
        """(least sum of prices, fewest pieces) of a gap; None where no pieces fill it."""
        if gap not in self._least:
            group, first, last = gap
            best: dict[int, tuple[float, int]] = {first: (0.0, 0)}
            for stop in range(first, last):
                if stop not in best:
                    continue
                price, pieces = best[stop]
                for arc in self.from_stop[group][stop]:
                    if arc.last <= last:
                        offer = (price + self.prices[arc.type], pieces + 1)
                        now = best.get(arc.last, offer)
                        best[arc.last] = (min(now[0], offer[0]), min(now[1], offer[1]))
            self._least[gap] = best.get(last)
        return self._least[gap]

    def _open(
        self, gaps: tuple[Gap, ...], free: tuple[int | None, ...], cost: int, pieces: int
    ) -> None:
        """Fills the next bar, with a piece that begins the gap whose first piece is longest."""
        self._spend()
        if not gaps:
            self._keep()
            return
        budget, spare = self._hopes(gaps, cost, pieces)
        if budget < 0.0 or self._known(gaps, free, cost, pieces):
            return
        g, first, last = gap = max(gaps, key=lambda one: (self._first(one), one))
        rest = list(gaps)
        rest.remove(gap)
        for kind in sorted(range(len(free)), key=lambda k: self.task.costs[k]):
            left = free[kind]
            price = self.task.costs[kind]
            if left == 0 or cost + price > self._cost:
                continue
            after = tuple(None if n is None else n - (k == kind) for k, n in enumerate(free))
            for arc in reversed(self.from_stop[g][first]):
                if arc.last > last or self.task.low[arc.type] > self.task.caps[kind] + EPS_MM:
                    continue
                left_over = spare - self._more(gap, first, arc)
                if left_over < 0:
                    continue
                begun = [*rest, (g, arc.last, last)] if arc.last < last else rest
                state = (kind, price + 1e-6 - budget, left_over)
                for held, others in self._fill(begun, (g, arc), state):
                    self._bars.append((kind, held))
                    self._open(others, after, cost + price, pieces + len(held))
                    self._bars.pop()

    def _first(self, gap: Gap) -> float:
        """Least width of the pieces that can begin a gap."""
        group, first, last = gap
        widths = [self.task.low[a.type] for a in self.from_stop[group][first] if a.last <= last]
        return min(widths, default=0.0)

    def _hopes(self, gaps: Sequence[Gap], cost: int, pieces: int) -> tuple[float, int]:
        """What may still be wasted, negative where nothing better can come; and spare pieces.

        More pieces than the fewest are spare where a plan of the same cost would have to have less.
        """
        price, fewest = 0.0, 0
        for gap in gaps:
            least = self._gap(gap)
            if least is None:
                return -1.0, 0
            price += least[0]
            fewest += least[1]
        least_cost = max(cost + next_cost(price), self._floor)
        if (least_cost, pieces + fewest) >= (self.best.cost, self._pieces(self.best)):
            return -1.0, 0
        spare = _ANY
        if least_cost >= self.best.cost:
            spare = self._pieces(self.best) - 1 - pieces - fewest
        return self._cost - cost - price + 1e-6, spare

    def _more(self, gap: Gap, stop: int, arc: Arc) -> int:
        """How many pieces more than the fewest a gap needs with this piece in it."""
        group, first, last = gap
        parts = [part for part in ((first, stop), (arc.last, last)) if part[0] < part[1]]
        needed = [self._gap((group, *part)) for part in parts]
        whole = self._gap(gap)
        if whole is None or None in needed:
            return _ANY + 1
        return 1 + sum(part[1] for part in needed if part) - whole[1]

    @staticmethod
    def _pieces(draft: Draft) -> int:
        return sum(len(path) for own in draft.paths for path in own)

    def _known(
        self, gaps: tuple[Gap, ...], free: tuple[int | None, ...], cost: int, pieces: int
    ) -> bool:
        """Whether the same was left before, at no more cost and with no more pieces."""
        key = (gaps, free)
        rank = cost * 1_000_000 + pieces
        if self._seen.get(key, rank + 1) <= rank:
            return True
        self._seen[key] = rank
        return False

    def _fill(
        self, gaps: list[Gap], begun: tuple[int, Arc], state: tuple[int, float, int]
    ) -> Iterator[tuple[tuple[tuple[int, Arc], ...], tuple[Gap, ...]]]:
        """Every way to fill up a bar with a piece in it that wastes no more than the budget.

        `state` is the kind of bar, its cost less the budget, and how many pieces are spare.
        """
        kind, due, spare = state
        _, arc = begun
        room = self.task.caps[kind] + EPS_MM - self.task.low[arc.type]
        yield from self._deeper(kind, gaps, 0, [begun], room, due - self.prices[arc.type], spare)

    def _deeper(
        self,
        kind: int,
        gaps: list[Gap],
        at: int,
        held: list[tuple[int, Arc]],
        room: float,
        short: float,
        spare: int,
    ) -> Iterator[tuple[tuple[tuple[int, Arc], ...], tuple[Gap, ...]]]:
        """`short` is how much the pieces held are worth too little, `spare` pieces may be more."""
        self._spend()
        if short - room * self.rate > 1e-6:
            return
        tried: set[Gap] = set()
        for k in range(at, len(gaps)):
            g, first, last = gap = gaps[k]
            if gap in tried:
                continue
            tried.add(gap)
            for stop in range(first, last):
                for arc in reversed(self.from_stop[g][stop]):
                    width = self.task.low[arc.type]
                    if arc.last > last or width > room:
                        continue
                    spare_after = spare - self._more(gap, stop, arc)
                    if spare_after < 0:
                        continue
                    # What lies before the piece is left; what lies behind it may be filled too.
                    others = gaps[:k] + ([(g, first, stop)] if stop > first else [])
                    then = len(others)
                    others += ([(g, arc.last, last)] if arc.last < last else []) + gaps[k + 1 :]
                    held.append((g, arc))
                    yield from self._deeper(
                        kind,
                        others,
                        then,
                        held,
                        room - width,
                        short - self.prices[arc.type],
                        spare_after,
                    )
                    held.pop()
        if short <= 1e-6 and self.task.fits(kind, counted(arc.type for _, arc in held)):
            yield tuple(held), tuple(sorted(gaps))

    def _keep(self) -> None:
        bars = tuple((kind, counted(arc.type for _, arc in held), 1) for kind, held in self._bars)
        arcs = [(g, arc) for _, held in self._bars for g, arc in held]
        found = drafted(self.task, paths_of(self.task, arcs), bars)
        if found.rank < self.best.rank:
            self.best = found


def paths_of(task: Task, arcs: Sequence[tuple[int, Arc]]) -> list[tuple[tuple[Arc, ...], ...]]:
    """Pieces of a group put together into its lines: as many begin at a stop as end there."""
    paths: list[tuple[tuple[Arc, ...], ...]] = []
    for g, group in enumerate(task.groups):
        begun: dict[int, list[Arc]] = {}
        for own, arc in sorted(arcs, key=lambda one: (one[1].first, -one[1].last)):
            if own == g:
                begun.setdefault(arc.first, []).append(arc)
        lines = []
        for _ in group.lines:
            path: list[Arc] = []
            stop = 0
            while stop < group.stops:
                arc = begun[stop].pop(0)
                path.append(arc)
                stop = arc.last
            lines.append(tuple(path))
        paths.append(tuple(lines))
    return paths


def merged(bars: Sequence[tuple[int, Counts, int]]) -> list[tuple[int, Counts, int]]:
    """Bars that hold the same counted together, in the order in which they come first."""
    found: dict[tuple[int, Counts], int] = {}
    for kind, counts, times in bars:
        found[kind, counts] = found.get((kind, counts), 0) + times
    return [(kind, counts, times) for (kind, counts), times in found.items()]
