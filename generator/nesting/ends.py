"""How pieces lie in one bar: mitered ends that share a cut, the order, and the length taken."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.frozen import dataclass
from generator.nesting.model import EPS_MM, Cut, Rules

Slopes = tuple[float, float]
_MOST_TRIES = 2_000


@dataclass(frozen=True, slots=True)
class Shape:
    """A piece apart from its place: long point to long point, and its two cuts."""

    long_mm: float
    start: Cut
    end: Cut


@dataclass(frozen=True, slots=True)
class Lying:
    """A piece of a bar by its index: where its long point begins, and how it lies."""

    index: int
    at_mm: float
    turned: bool
    rolled: bool
    shared: bool


def slanted(cut: Cut) -> bool:
    return cut.tip_mm > EPS_MM


def facing(shape: Shape, end: int, rules: Rules, *, right: bool) -> Slopes | None:
    """What a cut shows at the right (or left) of its piece, the same for cuts that can be shared.

    `end` is 0 for the start, 1 for the end. Turned end for end about the vertical, a piece shows
    its start at the right with slope_y reversed; rolled upside down, all slopes are reversed.
    None where it cannot lie so.
    """
    cut = shape.end if end else shape.start
    x, y = round(cut.slope_x, 9) + 0.0, round(cut.slope_y, 9) + 0.0
    if right != bool(end):
        if not rules.turn:
            return None
        y = -y + 0.0
    return max((x, y), (-x + 0.0, -y + 0.0)) if rules.roll else (x, y)


def along_mm(cut: Cut, kerf_mm: float) -> float:
    """Width of a saw cut along the bar: more where it is slanted."""
    return kerf_mm * math.hypot(1.0, cut.slope_x, cut.slope_y)


class Arranged:
    """The shortest way to lay some pieces into one bar; `exact` unless there were too many tries.

    Shared cuts are found by trying every matching of equal slanted ends.
    """

    def __init__(self, shapes: Sequence[Shape], rules: Rules) -> None:
        self.shapes, self.rules = shapes, rules
        self._ends = [
            (k, end)
            for k, shape in enumerate(shapes)
            for end, cut in enumerate((shape.start, shape.end))
            if slanted(cut)
        ]
        self._right, self._left = (
            [facing(shapes[k], end, rules, right=right) for k, end in self._ends]
            for right in (True, False)
        )
        self._tries = 0
        self._best: tuple[float, tuple[tuple[int, int], ...]] = (0.0, ())
        if len(self._ends) > 1:
            ceiling = sum(self._tip(k) for k in range(len(self._ends)))
            self._enough = self._most_saved() - EPS_MM
            self._match(0, frozenset(), list(range(len(shapes))), 0.0, ceiling, ())
        self.exact = self._tries <= _MOST_TRIES
        self.lying, self.length_mm = self._laid(self._best[1])

    def _tip(self, e: int) -> float:
        k, end = self._ends[e]
        return (self.shapes[k].end if end else self.shapes[k].start).tip_mm

    def _fit(self, e: int, f: int) -> bool:
        """Whether one of two ends can lie right of the cut on which the other lies left."""
        right, left = self._right, self._left
        return (right[e] is not None and right[e] == left[f]) or (
            right[f] is not None and right[f] == left[e]
        )

    def _most_saved(self) -> float:
        """No matching saves more than this: of each slope, what lies right against what lies left.

        Chains do not close, so that of pieces slanted alike at both ends one pair is less.
        """
        slopes = {key for key in (*self._right, *self._left) if key is not None}
        total, seen = 0.0, set()
        for key in sorted(slopes):
            ends = [e for e in range(len(self._ends)) if key in (self._right[e], self._left[e])]
            one = sum(self._right[e] == key != self._left[e] for e in ends)
            other = sum(self._left[e] == key != self._right[e] for e in ends)
            either = len(ends) - one - other
            apart = abs(one - other)
            pairs = min(one, other) + (either if either <= apart else apart + (either - apart) // 2)
            owners = {self._ends[e][0] for e in ends}
            if len(ends) == 2 * len(owners):
                pairs = min(pairs, len(owners) - 1)
            tips = sorted((self._tip(e) for e in ends if e not in seen), reverse=True)
            total += sum(tips[: 2 * pairs])
            if all(self._right[e] == key or self._left[e] == key for e in ends) and one + other:
                continue  # such an end may show another slope at its other side
            seen.update(ends)
        return total

    def _match(
        self,
        e: int,
        used: frozenset[int],
        groups: list[int],
        saved: float,
        left: float,
        pairs: tuple[tuple[int, int], ...],
    ) -> None:
        """Tries every partner of end e, then none; `groups` keeps chains from closing."""
        self._tries += 1
        if saved > self._best[0] + EPS_MM:
            self._best = (saved, pairs)
        if (
            e == len(self._ends)
            or self._tries > _MOST_TRIES
            or saved + left <= self._best[0]
            or self._best[0] >= self._enough
        ):
            return
        if e in used:
            self._match(e + 1, used, groups, saved, left, pairs)
            return
        tip = self._tip(e)
        own = groups[self._ends[e][0]]
        for f in range(e + 1, len(self._ends)):
            other = groups[self._ends[f][0]]
            if f in used or own == other or not self._fit(e, f):
                continue
            joined = [own if g == other else g for g in groups]
            more = tip + self._tip(f)
            self._match(e + 1, used | {f}, joined, saved + more, left - more, (*pairs, (e, f)))
        self._match(e + 1, used, groups, saved, left - tip, pairs)

    def _laid(self, pairs: Sequence[tuple[int, int]]) -> tuple[tuple[Lying, ...], float]:
        """The pieces one after the other, chains of shared cuts first as they come."""
        partner = {self._ends[e]: self._ends[f] for e, f in pairs}
        partner |= {self._ends[f]: self._ends[e] for e, f in pairs}
        placed: list[Lying] = []
        done: set[int] = set()
        at, before = 0.0, None
        for k in range(len(self.shapes)):
            if k in done:
                continue
            for index, turned, rolled, shared in self._chain(k, partner):
                shape = self.shapes[index]
                left, right = (shape.end, shape.start) if turned else (shape.start, shape.end)
                if before is not None:
                    kerf = self.rules.kerf_mm
                    at += max(along_mm(before, kerf), along_mm(left, kerf))
                    at -= before.tip_mm + left.tip_mm if shared else 0.0
                placed.append(Lying(index, at, turned, rolled, shared))
                done.add(index)
                at += shape.long_mm
                before = right
        return tuple(placed), at

    def _chain(
        self, k: int, partner: dict[tuple[int, int], tuple[int, int]]
    ) -> list[tuple[int, bool, bool, bool]]:
        """The chain that a piece belongs to, from its left: (piece, turned, rolled, shared)."""
        first = self._leftmost(k, partner)
        turned = (first, 0) in partner and (first, 1) not in partner
        chain = [(first, turned, False, False)]
        while True:
            index, turned, rolled, _ = chain[-1]
            right = (index, 0 if turned else 1)
            if right not in partner:
                return chain
            after, end = partner[right]
            cut = self._shown(index, right[1], turned, rolled)
            turned_after = end == 1
            plain = self._shown(after, end, turned_after, False)
            rolled_after = math.dist(plain, cut) > 1e-6
            chain.append((after, turned_after, rolled_after, True))

    def _leftmost(self, k: int, partner: dict[tuple[int, int], tuple[int, int]]) -> int:
        """The piece at the left of a chain: one whose other end has no partner."""
        for side in (0, 1):
            index, end = k, side
            while (index, end) in partner:
                index, met = partner[index, end]
                end = 1 - met
            # Without turning, a chain begins with the piece whose start is free.
            if self.rules.turn or end == 0:
                return index
        return k

    def _shown(self, k: int, end: int, turned: bool, rolled: bool) -> Slopes:
        """Slopes of a piece's cut as it lies in the bar."""
        cut = self.shapes[k].end if end else self.shapes[k].start
        x, y = cut.slope_x, -cut.slope_y if turned else cut.slope_y
        return (-x, -y) if rolled else (x, y)
