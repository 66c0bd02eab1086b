"""Ways to fill one bar: the one worth most at given prices, and all that waste little enough."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from generator.nesting.model import EPS_MM
from generator.nesting.task import Counts, Task

_CELLS = 10_000

Column = tuple[int, Counts]
"""A kind of bar and what it holds."""


def most_of(task: Task) -> list[int]:
    """How many pieces of every type there can be at once, over all lines."""
    most = [0] * len(task.shapes)
    for group in task.groups:
        # Pieces of one type in one line do not overlap: taken greedily by their ends.
        reach: dict[int, int] = {}
        held: dict[int, int] = {}
        for ending in group.arcs:
            for arc in ending:
                if reach.get(arc.type, 0) <= arc.first:
                    reach[arc.type] = arc.last
                    held[arc.type] = held.get(arc.type, 0) + 1
        for t, n in held.items():
            most[t] += n * group.count
    return most


class Filler:
    """Searches fillings of bars at given prices, led by what the room left can still be worth.

    That is told by a table over a grid of widths rounded down, so that it never says too little.
    """

    def __init__(
        self, task: Task, prices: Sequence[float], most: Sequence[int], steps: int
    ) -> None:
        self.task, self.prices, self.most, self.steps = task, prices, most, steps
        self.complete = True
        widest = max(task.caps) + EPS_MM
        self.order = sorted(
            (t for t in range(len(prices)) if most[t] and task.low[t] <= widest),
            key=lambda t: (-prices[t] / task.low[t], -task.low[t], t),
        )
        self.cell = widest / _CELLS
        self.worth = self._table()

    def _table(self) -> list[Any]:
        """[k][c]: the most that pieces from the k-th of the order on are worth in c cells."""
        import numpy as np

        after = np.zeros(_CELLS + 1)
        rows = [after]
        for t in reversed(self.order):
            width, best = int(self.task.low[t] / self.cell), after.copy()
            for n in range(1, min(self.most[t], _CELLS // max(width, 1)) + 1):
                offer = after[: _CELLS + 1 - n * width] + n * self.prices[t]
                np.maximum(best[n * width :], offer, out=best[n * width :])
            after = best
            rows.append(best)
        return rows[::-1]

    def _can(self, k: int, room: float) -> float:
        return self.worth[k].item(int(room / self.cell + 1e-9))

    def _spend(self) -> bool:
        self.steps -= 1
        if self.steps < 0:
            self.complete = False
        return self.complete

    def dearest(self, kind: int, more_than: float) -> tuple[float, Counts]:
        """The filling worth most, if worth more than that; a search cut short is not `complete`."""
        self.kind = kind
        self.best: tuple[float, Counts] = (more_than, ())
        self._dearest(0, self.task.caps[kind] + EPS_MM, 0.0, [])
        return self.best

    def most_worth(self, kind: int) -> float:
        """No filling of the kind is worth more than this."""
        return self._can(0, self.task.caps[kind] + EPS_MM)

    def _dearest(self, k: int, room: float, worth: float, held: list[tuple[int, int]]) -> None:
        if worth > self.best[0] + 1e-9:
            counts = tuple(sorted(held))
            if self.task.fits(self.kind, counts):
                self.best = (worth, counts)
        for j in range(k, len(self.order)):
            if worth + self._can(j, room) <= self.best[0] + 1e-9 or not self._spend():
                return
            t = self.order[j]
            width = self.task.low[t]
            for n in range(min(int(room / width), self.most[t]), 0, -1):
                held.append((t, n))
                self._dearest(j + 1, room - n * width, worth + n * self.prices[t], held)
                held.pop()

    def all_worth(self, kind: int, least: float, most_columns: int) -> list[Column]:
        """Every filling worth that much, but those to which a piece could be added."""
        self.kind = kind
        self.found: list[Column] = []
        self.most_columns = most_columns
        self._all(0, self.task.caps[kind] + EPS_MM, least, [])
        return self.found

    def _all(self, k: int, room: float, short: float, held: list[tuple[int, int]]) -> None:
        if short <= 1e-7:
            self._keep(room, held)
        for j in range(k, len(self.order)):
            if short - self._can(j, room) > 1e-7 or not self._spend():
                return
            t = self.order[j]
            width = self.task.low[t]
            for n in range(min(int(room / width), self.most[t]), 0, -1):
                held.append((t, n))
                self._all(j + 1, room - n * width, short - n * self.prices[t], held)
                held.pop()

    def _keep(self, room: float, held: Sequence[tuple[int, int]]) -> None:
        counts = dict(held)
        if not counts or any(
            self.task.high[t] <= room and counts.get(t, 0) < self.most[t] for t in self.order
        ):
            return
        column = tuple(sorted(held))
        if self.task.fits(self.kind, column):
            self.found.append((self.kind, column))
            if len(self.found) > self.most_columns:
                self.complete = False
