"""From lines and stock to a plan: quick plans, a bound, a short search, then HiGHS where needed."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from generator.nesting.bounds import best_prices, covering_cost, next_cost
from generator.nesting.greedy import Draft, demand_of, drafted, packed
from generator.nesting.model import Bar, Kind, Line, Placed, Plan, Rules, TooShort
from generator.nesting.paths import fewest_pieces, least_price
from generator.nesting.search import searched
from generator.nesting.task import Arc, Task

# Lines and places of joints up to which the search without a solver is tried.
_SMALL = 60
_JOINT_STEPS = 20_000


def nest(lines: Sequence[Line], kinds: Sequence[Kind], rules: Rules) -> Plan:
    """The plan at the least cost, of those the one with the fewest joints.

    First-fit-decreasing over lines of the fewest pieces comes first, and stays unless another plan
    is better; where it costs no more than the bound it is proven. Then cheaper sets of bars are
    refilled, then comes a short search, then HiGHS (loaded only then), all with limits in steps and
    nodes, so that the same task gives the same plan.
    Without lines the plan is empty.

    Raises:
        TooLong: a piece that no joint makes shorter is longer than every bar.
        TooShort: bars in limited number do not hold all pieces.
    """
    if not lines:
        return Plan((), 0.0, 0.0, True, 0)
    task = Task(lines, kinds, rules)
    draft = _first(task)
    bound, prices = best_prices(task, draft.cost if draft else 1 << 60)
    low, proven = float(max(next_cost(bound), covering_cost(task))), False
    if draft and low >= draft.cost and _fewest(task, draft):
        return _plan(task, draft, float(draft.cost), proven=True)
    if draft and low < draft.cost:
        from generator.nesting.refit import refitted

        draft = refitted(task, draft, low)
        if low >= draft.cost and _fewest(task, draft):
            return _plan(task, draft, float(draft.cost), proven=True)
    small = sum(group.count * group.stops for group in task.groups) <= _SMALL
    if draft and small:
        draft, low, proven = searched(task, draft, low, prices)
        low = float(next_cost(low))
    if not proven and (draft is None or low < draft.cost):
        from generator.nesting.exact import solved

        draft, reached, proven = solved(task, draft, bound, prices, low)
        low = max(low, reached)
    if draft is None:
        raise TooShort(sure=proven)
    if not proven and low >= draft.cost:
        # Nothing costs less; what is left to be settled is the number of joints.
        proven = _fewest(task, draft)
        if small and not proven:
            draft, _, proven = searched(task, draft, float(draft.cost), prices, _JOINT_STEPS)
    return _plan(task, draft, low, proven=proven and task.exact)


@lru_cache(maxsize=64)
def nest_once(lines: tuple[Line, ...], kinds: tuple[Kind, ...], rules: Rules) -> Plan:
    """The plan of `nest`, worked out once for equal tasks.

    A search for remedies lays out the same rails again and again, for posts or cables that differ.
    """
    return nest(lines, kinds, rules)


def _first(task: Task) -> Draft | None:
    """The better of two quick plans: lines of the fewest pieces, or of the cheapest ones."""
    best: Draft | None = None
    alone = [_alone(task, t) for t in range(len(task.shapes))]
    choices = (
        [fewest_pieces(task, group) for group in task.groups],
        [least_price(group, alone)[1] for group in task.groups],
    )
    for paths in choices:
        lines = [(path,) * group.count for path, group in zip(paths, task.groups, strict=True)]
        bars = packed(task, demand_of(task, lines))
        if bars is not None:
            found = drafted(task, lines, bars)
            if best is None or found.rank < best.rank:
                best = found
    return best


def _alone(task: Task, t: int) -> float:
    """What a piece costs where bars hold nothing but its like."""
    return min(
        cost / n
        for cost, cap in zip(task.costs, task.caps, strict=True)
        if (n := int((cap + 1e-6) / task.low[t]))
    )


def _fewest(task: Task, draft: Draft) -> bool:
    """Whether no line can have fewer pieces."""
    least = sum(
        group.count * (len(fewest_pieces(task, group)) - 1 - group.must) for group in task.groups
    )
    return draft.joints <= least


def _plan(task: Task, draft: Draft, low: float, *, proven: bool) -> Plan:
    """The draft with every piece at its place, bars of the longest kind and the fullest first."""
    waiting: dict[int, list[tuple[int, Arc]]] = {}
    for group, own in zip(task.groups, draft.paths, strict=True):
        for line, path in zip(group.lines, own, strict=True):
            for arc in path:
                waiting.setdefault(arc.type, []).append((line, arc))
    for queue in waiting.values():
        queue.sort(key=lambda piece: (piece[0], piece[1].first), reverse=True)
    bars = []
    for kind, counts, times in draft.bars:
        for _ in range(times):
            types = sorted(
                (t for t, n in counts for _ in range(n)), key=lambda t: (-task.shapes[t].long_mm, t)
            )
            bars.append(_bar(task, kind, types, waiting))
    cost = draft.cost * task.step
    bound = cost if proven else min(low, float(draft.cost)) * task.step
    return Plan(tuple(bars), cost, bound, proven, draft.joints)


def _bar(
    task: Task, kind: int, types: Sequence[int], waiting: dict[int, list[tuple[int, Arc]]]
) -> Bar:
    trim = task.rules.trim_mm
    pieces: list[Placed] = []
    made = task.arranged(types)
    for lying in made.lying:
        t = types[lying.index]
        line, arc = waiting[t].pop()
        at = trim + lying.at_mm
        pieces.append(
            Placed(
                line, arc.first, arc.last, at, at + task.shapes[t].long_mm,
                lying.turned, lying.rolled, lying.shared,
            )
        )  # fmt: skip
    left = task.rules.usable_mm(task.kinds[kind]) - made.length_mm - task.rules.kerf_mm
    return Bar(kind, tuple(pieces), max(left, 0.0))
