"""What no plan can cost less than: prices of pieces that no filled bar exceeds its cost with."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.nesting.paths import least_price
from generator.nesting.task import Task

_MOST_WIDTHS = 60
_MOST_PARTS = 4


def best_prices(task: Task, enough: int) -> tuple[float, list[float]]:
    """The prices that bound the cost best, and that bound, in whole steps but not rounded.

    The first that prove a plan at the cost of `enough` end the trial.

    Prices are fair where no filling of a bar is worth more than the bar. Every plan then costs at
    least the cheapest way through every line. Tried are prices by length (the continuous bound)
    and whole parts of a length (dual feasible functions: Fekete and Schepers, Math. Program. 91
    (2001) 11-31, from memory), which know that three pieces over a third do not share a bar.
    """
    best: tuple[float, list[float]] = (-1.0, [])
    for prices in _fair(task):
        bound = priced(task, prices)
        if bound > best[0]:
            best = (bound, prices)
            if next_cost(bound) >= enough:
                break
    return best


def priced(task: Task, prices: Sequence[float]) -> float:
    """What all lines come to at these prices, each the cheapest way."""
    return math.fsum(group.count * least_price(group, prices)[0] for group in task.groups)


def _fair(task: Task) -> Iterator[list[float]]:
    caps, costs, low = task.caps, task.costs, task.low
    per_mm = min(cost / cap for cost, cap in zip(costs, caps, strict=True))
    yield [per_mm * width for width in low]
    widths = sorted({round(width, 6) for width in low}, reverse=True)[:_MOST_WIDTHS]
    for width in widths:
        for parts in range(1, _MOST_PARTS + 1):
            scale = parts / width
            held = [math.floor(scale * cap + 1e-6) for cap in caps]
            if not any(held):
                continue
            price = min(cost / n for cost, n in zip(costs, held, strict=True) if n)
            yield [price * math.floor(scale * w + 1e-9) for w in low]
    if len(caps) == 1:
        yield from _halves(task, widths)


def _halves(task: Task, widths: Sequence[float]) -> Iterator[list[float]]:
    """Of one kind: a piece that leaves no room for another one counts as a whole bar.

    The bound L2 of Martello and Toth, Discrete Appl. Math. 28 (1990) 59-70, from memory.
    """
    cap, cost = task.caps[0], task.costs[0]
    for least in widths:
        if 2 * least <= cap:
            yield [
                cost * (1.0 if w > cap - least + 1e-6 else 0.0 if w < least - 1e-6 else w / cap)
                for w in task.low
            ]


def next_cost(bound: float) -> int:
    """The least whole cost that is not under a bound."""
    return math.ceil(bound - 1e-6 * max(1.0, abs(bound)))
