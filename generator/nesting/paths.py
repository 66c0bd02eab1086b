"""The pieces of a line: shortest paths from stop to stop, by number, longest piece, or price."""

from __future__ import annotations

from collections.abc import Sequence

from generator.nesting.model import EPS_MM
from generator.nesting.task import Arc, Group, Task


def fewest_pieces(task: Task, group: Group) -> tuple[Arc, ...]:
    """The fewest pieces, the longest one shortest."""
    best: list[tuple[int, float, Arc | None] | None] = [None] * (group.stops + 1)
    best[0] = (0, 0.0, None)
    for b in range(1, group.stops + 1):
        for arc in group.arcs[b]:
            before = best[arc.first]
            assert before is not None
            offer = (before[0] + 1, max(before[1], task.shapes[arc.type].long_mm))
            now = best[b]
            if now is None or offer < (now[0], now[1] - EPS_MM):
                best[b] = (*offer, arc)
    return _back([step and step[2] for step in best])


def least_price(group: Group, price: Sequence[float]) -> tuple[float, tuple[Arc, ...]]:
    """The pieces at the least sum of their types' prices, and that sum; of equals the fewest."""
    best: list[tuple[float, int]] = [(0.0, 0)]
    by: list[Arc | None] = [None]
    for b in range(1, group.stops + 1):
        found, arc = None, None
        for offer in group.arcs[b]:
            total, pieces = best[offer.first]
            total += price[offer.type]
            if found is None or total < found[0] - 1e-9 or (
                total <= found[0] + 1e-9 and pieces + 1 < found[1]
            ):  # fmt: skip
                found, arc = (total, pieces + 1), offer
        # A stop that no piece ends at is never begun from either.
        best.append(found or (float("inf"), 0))
        by.append(arc)
    return best[-1][0], _back(by)


def _back(by: Sequence[Arc | None]) -> tuple[Arc, ...]:
    path: list[Arc] = []
    stop = len(by) - 1
    while stop:
        arc = by[stop]
        assert arc is not None
        path.append(arc)
        stop = arc.first
    return tuple(reversed(path))
