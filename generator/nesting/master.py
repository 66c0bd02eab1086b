"""The whole choice as a linear or integer programme, solved by HiGHS: columns and line pieces."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from generator.frozen import dataclass
from generator.nesting.columns import Column
from generator.nesting.task import Arc, Task

MOST_NODES = 20
"""Nodes of branch and bound; a limit of time would give other bytes on another day."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """A solution: how many bars of each column, how many pieces of each arc, and what is proven.

    `bound` is of the objective; `solved` where no better solution of these columns exists, which
    holds also where there is none at all and `bars` is None.
    """

    bars: tuple[int, ...] | None
    pieces: tuple[tuple[int, Arc, int], ...]
    bound: float
    solved: bool


class Master:
    """Rows: pieces of every type, as many ends as begins at every inner stop, limited kinds.

    A bar may hold more than is asked for: what is too much is not cut.
    """

    def __init__(self, task: Task, columns: Iterable[Column]) -> None:
        import highspy

        class Quiet(highspy.Highs):
            """Says nothing: a banner printed with its first call would mix into results."""

            def enableCallbacks(self) -> None:  # noqa: N802 - called by the solver's own set-up
                self.setOptionValue("output_flag", False)

        self._lib = highspy
        self.task = task
        self.columns: list[Column] = []
        self.arcs: list[tuple[int, Arc]] = []
        self.solver = Quiet()
        for option, value in (("threads", 1), ("parallel", "off"), ("random_seed", 0)):
            self.solver.setOptionValue(option, value)
        self._rows()
        self._line_columns()
        for column in columns:
            self.add(column)

    def _rows(self) -> None:
        inf, solver = self._lib.kHighsInf, self.solver
        for _ in self.task.shapes:
            solver.addRow(0.0, inf, 0, [], [])
        self.flow_row: dict[tuple[int, int], int] = {}
        for g, group in enumerate(self.task.groups):
            for stop in range(group.stops):
                self.flow_row[g, stop] = solver.getNumRow()
                due = float(group.count) if stop == 0 else 0.0
                solver.addRow(due, due, 0, [], [])
        self.kind_row: dict[int, int] = {}
        for k, kind in enumerate(self.task.kinds):
            if kind.count is not None:
                self.kind_row[k] = solver.getNumRow()
                solver.addRow(-inf, float(kind.count), 0, [], [])

    def _line_columns(self) -> None:
        for g, group in enumerate(self.task.groups):
            for ending in group.arcs:
                for arc in ending:
                    rows = {arc.type: -1.0, self.flow_row[g, arc.first]: 1.0}
                    if arc.last < group.stops:
                        rows[self.flow_row[g, arc.last]] = -1.0
                    self._column(0.0, float(group.count), rows)
                    self.arcs.append((g, arc))

    def _column(self, cost: float, most: float, rows: dict[int, float]) -> None:
        keys = sorted(rows)
        self.solver.addCol(cost, 0.0, most, len(keys), keys, [rows[key] for key in keys])

    def add(self, column: Column) -> None:
        """One more way to fill a bar."""
        kind, counts = column
        rows = {t: float(n) for t, n in counts}
        if kind in self.kind_row:
            rows[self.kind_row[kind]] = 1.0
        self._column(float(self.task.costs[kind]), self._lib.kHighsInf, rows)
        self.columns.append(column)

    def loosen(self) -> None:
        """Lets pieces be missing at a price, so that there is a solution while columns are few."""
        dear = 3.0 * max(self.task.costs)
        for t in range(len(self.task.shapes)):
            self._column(dear, self._lib.kHighsInf, {t: 1.0})

    def relaxed(self) -> tuple[float, list[float], list[float]] | None:
        """Cost, price of every type and of every kind's count, in the linear programme.

        None where it has no solution.
        """
        self.solver.run()
        if self.solver.getModelStatus() != self._lib.HighsModelStatus.kOptimal:
            return None
        duals = self.solver.getSolution().row_dual
        prices = [max(float(duals[t]), 0.0) for t in range(len(self.task.shapes))]
        limits = [
            min(float(duals[self.kind_row[k]]), 0.0) if k in self.kind_row else 0.0
            for k in range(len(self.task.kinds))
        ]
        return float(self.solver.getInfo().objective_function_value), prices, limits

    def whole(self, most_cost: int, nodes: int = MOST_NODES) -> Chosen:
        """The cheapest choice in whole bars at that cost or less, of equals the fewest pieces."""
        solver, first = self.solver, len(self.arcs)
        weight = float(sum(g.count * g.stops for g in self.task.groups) + 1)
        every = range(first + len(self.columns))
        for k in range(first):
            solver.changeColCost(k, 1.0)
        for k, (kind, _) in enumerate(self.columns):
            solver.changeColCost(first + k, weight * self.task.costs[kind])
        for k in every:
            solver.changeColIntegrality(k, self._lib.HighsVarType.kInteger)
        costs = [float(self.task.costs[kind]) for kind, _ in self.columns]
        places = list(range(first, first + len(costs)))
        solver.addRow(-self._lib.kHighsInf, float(most_cost), len(costs), places, costs)
        for option, value in (
            ("mip_max_nodes", nodes), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.5),
        ):  # fmt: skip
            solver.setOptionValue(option, value)
        solver.run()
        return self._read(weight)

    def _read(self, weight: float) -> Chosen:
        status, kinds = self.solver.getModelStatus(), self._lib.HighsModelStatus
        info: Any = self.solver.getInfo()
        solved = status in (kinds.kOptimal, kinds.kInfeasible)
        if status == kinds.kInfeasible or info.primal_solution_status != 2:
            return Chosen(None, (), 0.0, solved)
        values: Sequence[float] = self.solver.getSolution().col_value
        first = len(self.arcs)
        return Chosen(
            bars=tuple(round(value) for value in values[first:]),
            pieces=tuple(
                (g, arc, round(values[k]))
                for k, (g, arc) in enumerate(self.arcs)
                if values[k] > 0.5
            ),
            bound=float(info.mip_dual_bound) / weight,
            solved=solved,
        )
