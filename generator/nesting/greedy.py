"""First plans: first-fit-decreasing, and bars filled one by one as full as a short search finds."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from generator.frozen import dataclass
from generator.nesting.model import EPS_MM
from generator.nesting.task import Arc, Counts, Task, counted

# Pieces looked at to fill one bar.
_MOST_FILLS = 300


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan before its pieces are laid: the pieces of every line, and bars with what they hold.

    `bars` are (kind, pieces, how many alike); `paths` belong to the groups in their order, one for
    every line. `cost` is in whole steps.
    """

    bars: tuple[tuple[int, Counts, int], ...]
    paths: tuple[tuple[tuple[Arc, ...], ...], ...]
    cost: int
    joints: int

    @property
    def rank(self) -> tuple[int, int]:
        return self.cost, self.joints


def drafted(
    task: Task,
    paths: Sequence[Sequence[tuple[Arc, ...]]],
    bars: Sequence[tuple[int, Counts, int]],
) -> Draft:
    """The draft of these pieces in these bars, its cost and free joints counted."""
    joints = sum(
        len(path) - 1 - group.must
        for group, own in zip(task.groups, paths, strict=True)
        for path in own
    )
    cost = sum(task.costs[kind] * times for kind, _, times in bars)
    return Draft(tuple(bars), tuple(tuple(own) for own in paths), cost, joints)


def demand_of(task: Task, paths: Sequence[Sequence[tuple[Arc, ...]]]) -> list[int]:
    """How many pieces of every type these paths ask for."""
    demand = [0] * len(task.shapes)
    for own in paths:
        for path in own:
            for arc in path:
                demand[arc.type] += 1
    return demand


def packed(task: Task, demand: Sequence[int]) -> list[tuple[int, Counts, int]] | None:
    """The cheapest of a few quick ways to fill bars; None where limited bars do not suffice."""
    kinds = list(range(len(task.kinds)))
    orders = [*([k] for k in kinds), kinds] if len(kinds) > 1 else [kinds]
    best: tuple[int, list[tuple[int, Counts, int]]] | None = None
    for order, fill in ((order, fill) for fill in (_first_fit, _fullest) for order in orders):
        bars = _filled(task, demand, order, fill)
        if bars is not None:
            cost = sum(task.costs[kind] * times for kind, _, times in bars)
            if best is None or cost < best[0]:
                best = (cost, bars)
    return best and best[1]


def _filled(
    task: Task, demand: Sequence[int], order: Sequence[int], fill: Callable[..., Counts]
) -> list[tuple[int, Counts, int]] | None:
    """Bar by bar, of the kind that costs least for what it holds, then of the cheapest kind.

    Kinds out of `order` are taken only where those in it are used up or too short.
    """
    left = list(demand)
    free = [kind.count for kind in task.kinds]
    bars: list[tuple[int, Counts, int]] = []
    while any(left):
        kind, counts = _next_bar(task, left, free, order, fill)
        if kind is None:
            return None
        smaller = task.cheapest(counts, free)
        kind = kind if smaller is None else smaller
        times = min(left[t] // n for t, n in counts)
        have = free[kind]
        if have is not None:
            times = min(times, have)
            free[kind] = have - times
        for t, n in counts:
            left[t] -= n * times
        bars.append((kind, counts, times))
    return bars


def _next_bar(
    task: Task,
    left: Sequence[int],
    free: Sequence[int | None],
    order: Sequence[int],
    fill: Callable[..., Counts],
) -> tuple[int | None, Counts]:
    for kinds in (order, [k for k in range(len(task.kinds)) if k not in order]):
        found: tuple[float, int, Counts] | None = None
        for kind in kinds:
            if free[kind] == 0:
                continue
            counts = fill(task, kind, left)
            used = sum(task.low[t] * n for t, n in counts)
            if counts and (found is None or task.costs[kind] / used < found[0]):
                found = (task.costs[kind] / used, kind, counts)
        if found is not None:
            return found[1], found[2]
    return None, ()


def _falling(task: Task, left: Sequence[int]) -> list[int]:
    """Types that are left, the longest first."""
    return sorted((t for t, n in enumerate(left) if n), key=lambda t: (-task.high[t], t))


def _first_fit(task: Task, kind: int, left: Sequence[int]) -> Counts:
    """Longest first, every piece that still fits: one bar of first-fit-decreasing."""
    held: list[int] = []
    for t in _falling(task, left):
        for _ in range(left[t]):
            if not task.fits(kind, counted([*held, t])):
                break
            held.append(t)
    return counted(held)


def _fullest(task: Task, kind: int, left: Sequence[int]) -> Counts:
    """The longest piece, and what beside it fills the bar best within a short search."""
    order = _falling(task, left)
    cap = task.caps[kind] + EPS_MM
    first = next((t for t in order if task.fits(kind, ((t, 1),))), None)
    if first is None:
        return ()
    best: tuple[float, Counts] = (task.high[first], ((first, 1),))
    spent = 0

    def deepen(at: int, held: list[int], used: float) -> bool:
        """Depth first; true where the search is over."""
        nonlocal best, spent
        for n in range(at, len(order)):
            t = order[n]
            if used + task.high[t] > cap or held.count(t) >= left[t]:
                continue
            spent += 1
            now = used + task.high[t]
            held.append(t)
            if now > best[0] + EPS_MM:
                best = (now, counted(held))
            if cap - now < 1e-3 or spent > _MOST_FILLS or deepen(n, held, now):
                return True
            held.pop()
        return False

    deepen(order.index(first), [first], task.high[first])
    return best[1]
