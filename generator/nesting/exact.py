"""Larger tasks with HiGHS: column generation for fair prices, then every column that can still pay.

A plan at a cost of at most c is made of columns each of which wastes, at fair prices, no more than
c less the bound; so the integer programme over these columns alone decides whether there is one.
"""

from __future__ import annotations

from collections.abc import Sequence

from generator.nesting.bounds import next_cost, priced
from generator.nesting.columns import Column, Filler, most_of
from generator.nesting.greedy import Draft, drafted
from generator.nesting.master import MOST_NODES, Chosen, Master
from generator.nesting.paths import fewest_pieces
from generator.nesting.refit import rejoined
from generator.nesting.search import merged, paths_of
from generator.nesting.task import Counts, Task

_MOST_ROUNDS = 400
_ROUND_TYPES = 20_000  # rounds times types of pieces
_FILL_STEPS = 6_000
_LAST_COLUMNS = 200
_NODE_COLUMNS = 100_000  # nodes times columns, where these are few
_NODES_OF_LAST = 1
_ALL_STEPS = 120_000
_MOST_COLUMNS, _MOST_WITH_JOINTS = 600, 1_000
_FEW_COLUMNS = 600
_MOST_TRIALS = 1


def solved(
    task: Task, draft: Draft | None, bound: float, prices: Sequence[float], low: float
) -> tuple[Draft | None, float, bool]:
    """The best draft found, the bound reached, and whether it is proven best.

    `bound` is that of the prices, `low` a whole cost that no plan is under.
    """
    made = _Exact(task, draft, bound, list(prices))
    made.low = max(made.low, int(low))
    return made.run()


class _Exact:
    def __init__(self, task: Task, draft: Draft | None, bound: float, prices: list[float]) -> None:
        self.task, self.best = task, draft
        self.bound, self.prices = bound, prices
        self.limits = [0.0] * len(task.kinds)
        self.most = most_of(task)
        self.generated: list[Column] = []
        self.joints = any(group.stops > 1 for group in task.groups)
        self.low = next_cost(bound)

    def run(self) -> tuple[Draft | None, float, bool]:
        columns = self._paying(self.low, _FEW_COLUMNS)
        if columns is not None and self._decided(self.low, columns):
            return self.best, float(self.low), True
        self._generate(whole=self.joints)
        if self.best is None or self.joints:
            self._restricted()
            if self.best and self.low < self.best.cost:
                self.best = rejoined(self.task, self.best, self.low, self.prices)
        for _ in range(_MOST_TRIALS):
            most = self._worth_trying()
            if most < self.low:
                return self.best, float(self.low), True
            cost, columns = self._widest_trial(most)
            if columns is None:
                break
            if self._decided(cost, columns):
                return self.best, float(self.low), True
            if self.low <= cost:
                break  # the nodes were used up
        if self.best and self.low < self.best.cost and not self.joints:
            self._generate(whole=True, most=_ROUND_TYPES // 3)
            self._restricted()
        return self.best, float(self.low), False

    def _worth_trying(self) -> int:
        """The greatest cost at which something better can be found."""
        if self.best is None:
            return self._all_stock()
        return self.best.cost - (1 if self._joints_settled() else 0)

    def _joints_settled(self) -> bool:
        assert self.best is not None
        least = sum(
            group.count * (len(fewest_pieces(self.task, group)) - 1 - group.must)
            for group in self.task.groups
        )
        return self.best.joints <= least

    def _widest_trial(self, most: int) -> tuple[int, list[Column] | None]:
        """The greatest cost, halved toward the bound, of which all columns can be told."""
        open_cost = self.best is None or self.low < self.best.cost
        limit = _MOST_WITH_JOINTS if self.joints and open_cost else _MOST_COLUMNS
        while True:
            columns = self._paying(most, limit)
            if columns is not None or most == self.low:
                return most, columns
            most = self.low + (most - self.low) // 2

    def _decided(self, cost: int, columns: list[Column]) -> bool:
        """Solves with all columns of a cost; true where its answer is the last one."""
        nodes = max(MOST_NODES, _NODE_COLUMNS // max(len(columns), 1))
        chosen = Master(self.task, columns).whole(cost, nodes)
        self._take(chosen, columns)
        if not chosen.solved:
            return False
        if chosen.bars is None:
            better = self.best is not None and self.best.cost <= cost
            everything = self.best is None and cost >= self._all_stock()
            self.low = self.best.cost if better and self.best else cost + 1
            return better or everything
        assert self.best is not None
        self.low = self.best.cost
        return True

    def _all_stock(self) -> int:
        """More than any plan costs: that of all stock, or of a bar a piece where it is enough."""
        pieces = sum(self.most)
        return sum(
            cost * (pieces if kind.count is None else min(kind.count, pieces))
            for cost, kind in zip(self.task.costs, self.task.kinds, strict=True)
        )

    def _paying(self, cost: int, most: int) -> list[Column] | None:
        """Every column that a plan at this cost can have; None where they are too many."""
        waste = cost - self.bound + 1e-6
        found: list[Column] = []
        filler = Filler(self.task, self.prices, self.most, _ALL_STEPS)
        for kind, price in enumerate(self.task.costs):
            least = price - self.limits[kind] - waste
            found += filler.all_worth(kind, least, most - len(found))
            if not filler.complete:
                return None
        return found

    def _generate(self, *, whole: bool, most: int = _ROUND_TYPES) -> None:
        """Column generation: prices at which no filling of a bar is worth more than it costs.

        Not `whole`, it ends where it can no longer raise the whole cost that no plan is under.
        `most` limits rounds times types.
        """
        start: list[Column] = [(k, ((t, 1),)) for t in range(len(self.prices))
                               if (k := self._least_kind(t)) is not None]  # fmt: skip
        if self.best:
            start += [(kind, counts) for kind, counts, _ in self.best.bars]
        start += self.generated
        master = Master(self.task, [c for n, c in enumerate(start) if c not in start[:n]])
        master.loosen()
        known = set(master.columns)
        for _ in range(min(_MOST_ROUNDS, most // len(self.prices))):
            state = master.relaxed()
            if state is None:
                break
            value, prices, limits = state
            if not whole and next_cost(value) <= self.low:
                break
            new, excess = self._dearest(prices, limits)
            self._learn(prices, limits, excess)
            new = [column for column in new if column not in known]
            if not new:
                break
            for column in new:
                master.add(column)
                known.add(column)
        self.generated = master.columns

    def _least_kind(self, t: int) -> int | None:
        able = [k for k in range(len(self.task.kinds)) if self.task.fits(k, ((t, 1),))]
        return min(able, key=lambda k: self.task.costs[k]) if able else None

    def _dearest(self, prices: list[float], limits: list[float]) -> tuple[list[Column], float]:
        """The filling of each kind that pays most, and the factor that no worth exceeds cost by."""
        columns: list[Column] = []
        factor = 1.0
        filler = Filler(self.task, prices, self.most, _FILL_STEPS)
        for kind, price in enumerate(self.task.costs):
            cost = price - limits[kind]
            worth, counts = filler.dearest(kind, cost * (1.0 + 1e-7))
            if counts:
                columns.append((kind, counts))
            factor = max(factor, (worth if filler.complete else filler.most_worth(kind)) / cost)
        return columns, factor

    def _learn(self, prices: list[float], limits: list[float], excess: float) -> None:
        """Prices divided by the excess are fair, and so is the bound that they give (Farley)."""
        fair = [price / (excess * (1 + 1e-9)) for price in prices]
        counts = [kind.count or 0 for kind in self.task.kinds]
        less = [limit / excess for limit in limits]
        bound = priced(self.task, fair) + sum(
            limit * n for limit, n in zip(less, counts, strict=True)
        )
        if bound > self.bound:
            self.bound, self.prices, self.limits = bound, fair, less
            self.low = max(self.low, next_cost(bound))

    def _restricted(self) -> None:
        """The best plan of the columns at hand, where all of them would be too many."""
        columns = self.generated[-_LAST_COLUMNS:]
        if self.best:
            columns += [(kind, counts) for kind, counts, _ in self.best.bars]
        columns = [column for n, column in enumerate(columns) if column not in columns[:n]]
        if columns:
            known = self._worth_trying()
            self._take(Master(self.task, columns).whole(known, _NODES_OF_LAST), columns)

    def _take(self, chosen: Chosen, columns: Sequence[Column]) -> None:
        """Keeps a choice that is better: its pieces, and of its bars what is not too much."""
        if chosen.bars is None:
            return
        left = [0] * len(self.task.shapes)
        arcs = [(g, arc) for g, arc, n in chosen.pieces for _ in range(n)]
        for _, arc in arcs:
            left[arc.type] += 1
        free = [kind.count for kind in self.task.kinds]
        bars: list[tuple[int, Counts, int]] = []
        for (kind, counts), n in zip(columns, chosen.bars, strict=True):
            for _ in range(n):
                held = tuple((t, min(m, left[t])) for t, m in counts if left[t])
                for t, m in held:
                    left[t] -= m
                if held:
                    bars.append((self._smaller(kind, held, free), held, 1))
        found = drafted(self.task, paths_of(self.task, arcs), merged(bars))
        if self.best is None or found.rank < self.best.rank:
            self.best = found

    def _smaller(self, kind: int, held: Counts, free: list[int | None]) -> int:
        """A cheaper kind where one holds what is left in the bar; kinds all in limited number."""
        cheaper = self.task.cheapest(held, [None if n is None else 0 for n in free])
        if cheaper is not None and self.task.costs[cheaper] < self.task.costs[kind]:
            return cheaper
        return kind
