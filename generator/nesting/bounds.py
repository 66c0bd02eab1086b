"""What no plan can cost less than: prices of pieces that no filled bar exceeds its cost with."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import product

from generator.nesting.paths import least_price
from generator.nesting.task import Task

_MOST_WIDTHS = 60
_MOST_PARTS = 4
_MOST_COVERS = 20_000


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


def covering_cost(task: Task) -> int:
    """The least cost of bars that are together as long as all pieces, whole bars as there are."""
    due = priced(task, task.low)
    due -= 1e-6 * (1.0 + due / min(task.caps))  # every bar may be overfilled by so much
    kinds = sorted(range(len(task.caps)), key=lambda k: -task.caps[k])
    most = [math.ceil(due / task.caps[k]) for k in kinds]
    most = [
        n if (c := task.kinds[k].count) is None else min(n, c)
        for n, k in zip(most, kinds, strict=True)
    ]
    if math.prod(n + 1 for n in most[:-1]) > _MOST_COVERS:
        return 0
    best: float = math.inf
    for counts in product(*(range(n + 1) for n in most[:-1])):
        held = list(zip(counts, kinds, strict=False))
        left = due - sum(n * task.caps[k] for n, k in held)
        cost = sum(n * task.costs[k] for n, k in held)
        last = math.ceil(max(left, 0.0) / task.caps[kinds[-1]])
        if last <= most[-1]:
            best = min(best, cost + last * task.costs[kinds[-1]])
    return 0 if best == math.inf else int(best)


def next_cost(bound: float) -> int:
    """The least whole cost that is not under a bound."""
    return math.ceil(bound - 1e-6 * max(1.0, abs(bound)))
