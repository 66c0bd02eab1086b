"""What the nesting tests share: tasks, plain first-fit-decreasing, and a plan looked over."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import Bounds, milp
from scipy.sparse import coo_array

from generator.nesting import Kind, Line, Plan, Rules

HALF_WIDTH, HALF_DEPTH = 30.0, 20.0


def triplets(count: int, seed: int, bar: int = 1000) -> list[float]:
    """Pieces that fill count / 3 bars without waste, three to a bar, as Falkenauer makes them.

    E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, J. Heuristics 2 (1996) 5-30
    (from memory): one piece of 380 to 490 in a thousand, one of 250 to half of the rest, the rest.
    """
    chance = random.Random(seed)
    pieces: list[float] = []
    for _ in range(count // 3):
        first = chance.randint(380, 490)
        second = chance.randint(250, (bar - first) // 2)
        pieces += [first, second, bar - first - second]
    chance.shuffle(pieces)
    return [float(piece) for piece in pieces]


def uniform(count: int, seed: int) -> list[float]:
    """Pieces of 20 to 100 for bars of 150, as in the same paper."""
    chance = random.Random(seed)
    return [float(chance.randint(20, 100)) for _ in range(count)]


def first_fit_decreasing(pieces: Sequence[float], bar: float, kerf: float = 0.0) -> int:
    """Bars that plain first-fit-decreasing takes."""
    rooms: list[float] = []
    for piece in sorted(pieces, reverse=True):
        for k, room in enumerate(rooms):
            if piece <= room + 1e-9:
                rooms[k] = room - piece - kerf
                break
        else:
            rooms.append(bar - piece - kerf)
    return len(rooms)


def look_over(plan: Plan, lines: Sequence[Line], kinds: Sequence[Kind], rules: Rules) -> None:
    """Every piece cut once, within its bar, a kerf apart at every corner of the section.

    Planes are set up anew from the lines and how the pieces lie; a section of HALF_WIDTH by
    HALF_DEPTH is assumed.
    """
    cut = [[] for _ in lines]
    for bar in plan.bars:
        kind = kinds[bar.kind]
        solids = []
        for p in bar.pieces:
            cut[p.line].append((p.first, p.last))
            solids.append(planes_of(lines[p.line], p))
            assert rules.turn or not p.turned
            assert rules.roll or not p.rolled
        for before, after in pairwise(solids):
            gaps = [b[0] - a[1] for a, b in zip(before, after, strict=True)]
            assert min(gaps) >= rules.kerf_mm - 1e-6
        ends = [z for solid in solids for corner in solid for z in corner]
        assert min(ends) >= rules.trim_mm - 1e-6
        assert max(ends) <= kind.length_mm - rules.trim_mm + 1e-5
        left = kind.length_mm - rules.trim_mm - max(ends) - rules.kerf_mm
        assert bar.offcut_mm == pytest.approx(max(left, 0.0), abs=1e-5)
    for line, own in zip(lines, cut, strict=True):
        stops = sorted(own)
        assert [first for first, _ in stops] == [0, *(last for _, last in stops[:-1])]
        assert stops[-1][1] == len(line.stops_mm) - 1
        assert set(line.must) <= {first for first, _ in stops}
    used = [bar.kind for bar in plan.bars]
    assert plan.cost == pytest.approx(sum(kinds[kind].cost for kind in used), rel=1e-9)
    for k, kind in enumerate(kinds):
        assert kind.count is None or used.count(k) <= kind.count
    free = sum(len(own) - 1 - len(line.must) for line, own in zip(lines, cut, strict=True))
    assert plan.joints == free
    assert plan.bound <= plan.cost + 1e-6
    assert not plan.proven or plan.gap == 0.0


def planes_of(line, p) -> list[tuple[float, float]]:
    """Where a piece begins and ends in the bar at the four corners of the section."""
    last = len(line.stops_mm) - 1
    length = line.stops_mm[p.last] - line.stops_mm[p.first]
    corners = []
    for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        u, v = x * HALF_WIDTH, y * HALF_DEPTH
        a = line.start.slope_x * u + line.start.slope_y * v if p.first == 0 else 0.0
        b = length + (line.end.slope_x * u + line.end.slope_y * v if p.last == last else 0.0)
        corners.append([u, v, a, b])
    if p.turned:  # end for end about the vertical
        corners = [[-u, v, -b, -a] for u, v, a, b in corners]
    if p.rolled:  # half a turn about its axis
        corners = [[-u, -v, a, b] for u, v, a, b in corners]
    low = min(a for _, _, a, _ in corners)
    assert max(b for *_, b in corners) - low == pytest.approx(p.to_mm - p.at_mm, abs=1e-5)
    corners.sort(key=lambda corner: (corner[0], corner[1]))
    return [(p.at_mm + a - low, p.at_mm + b - low) for _, _, a, b in corners]


def least_bars(pieces: Sequence[float], kinds: Sequence[tuple[float, float]], kerf: float) -> float:
    """Least cost by trying every piece in every bar; for a handful of pieces."""
    best = math.inf
    order = sorted(pieces, reverse=True)

    def place(k: int, rooms: list[float], cost: float) -> None:
        nonlocal best
        if cost >= best - 1e-9:
            return
        if k == len(order):
            best = cost
            return
        for n, room in enumerate(rooms):
            if order[k] <= room + 1e-6 and room not in rooms[:n]:
                place(k + 1, [*rooms[:n], room - order[k] - kerf, *rooms[n + 1 :]], cost)
        for length, price in kinds:
            if order[k] <= length + 1e-6:
                place(k + 1, [*rooms, length - order[k] - kerf], cost + price)

    place(0, [], 0.0)
    return best


def by_arc_flow(pieces: list[int], bar: int) -> int | None:
    """Bars by scipy: every piece an arc over its length, what is left of a bar arcs of one.

    None where it is not done within a minute.
    """
    sizes = sorted(set(pieces), reverse=True)
    arcs = [(at, at + size, k) for k, size in enumerate(sizes) for at in range(bar - size + 1)]
    arcs += [(at, at + 1, -1) for at in range(bar)]
    count = len(arcs)
    rows, columns, values = [], [], []
    for n, (start, end, k) in enumerate(arcs):
        for row, value in ((start, 1.0), (end, -1.0)):
            rows.append(row)
            columns.append(n)
            values.append(value)
        if k >= 0:
            rows.append(bar + 1 + k)
            columns.append(n)
            values.append(1.0)
    # One more column: the bars, which begin at 0 and end at the end.
    rows += [0, bar]
    columns += [count, count]
    values += [-1.0, 1.0]
    demand = [float(pieces.count(size)) for size in sizes]
    due = np.concatenate([np.zeros(bar + 1), demand])
    shape = (bar + 1 + len(sizes), count + 1)
    matrix = coo_array((values, (rows, columns)), shape=shape).tocsr()
    cost = np.zeros(count + 1)
    cost[count] = 1.0
    found = milp(
        cost,
        constraints=(matrix, due, due),
        integrality=np.ones(count + 1),
        bounds=Bounds(lb=0),
        options={"time_limit": 60.0},
    )
    return round(found.fun) if found.success else None
