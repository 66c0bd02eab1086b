"""Whether a hand closes round a section: Type I by its size, Type II by its recess for fingers.

Type I and II are those of the model codes of the United States: IRC R320.6 (2024), IBC 1014.3.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from generator.checks.outcome import Bound, Sense, rule_bound
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.shapes import Circle, Outline, Polygon, Rectangle
from generator.spec.job import Job

_EPS_MM = 1e-6
_LIMITS = ("diameter.max", "perimeter.max", "section.max")


@dataclass(frozen=True, slots=True)
class Grip:
    """One measure of a section against its limit; `words` name what is measured."""

    words: str
    measured: float
    bound: Bound

    @property
    def holds(self) -> bool:
        return self.bound.keeps(self.measured)


@dataclass(frozen=True, slots=True)
class Recess:
    """The recess on one side of a section, levels told downward from its top, mm.

    `begin_mm` is the widest part over it, `wide_mm` how far that lies out from the middle;
    `depth_mm` the greatest depth within reach of it; `run_mm` how far the wanted depth goes on,
    `level_mm` down to where.
    """

    begin_mm: float
    wide_mm: float
    depth_mm: float
    run_mm: float
    level_mm: float


def states_a_grip(job: Job) -> bool:
    """Whether the rule set says what a hand closes round; else no section is taken for one."""
    return any(job.rules.limit(f"handrail.{key}").stated for key in _LIMITS)


def graspable(job: Job, outline: Outline) -> bool:
    """Whether a section is of Type I or of Type II."""
    return states_a_grip(job) and all(grip.holds for grip in grips(job, outline))


def grips(job: Job, outline: Outline) -> Iterator[Grip]:
    """What a section is measured by: as a round, by its size, or by its recess if it is large."""
    if isinstance(outline, Circle):
        yield from _range(job, "diameter", "diameter", outline.diameter_mm)
        return
    around = perimeter(outline)
    large = not rule_bound(job, "handrail.perimeter.max", "at most").keeps(around)
    recesses = _recesses(job, outline) if large and isinstance(outline, Polygon) else ()
    if recesses:
        yield from _type_two(job, recesses)
        return
    yield from _range(job, "perimeter", "perimeter", around)
    bound = rule_bound(job, "handrail.section.max", "at most")
    yield Grip("measure across", _across(outline), bound)
    if isinstance(outline, Rectangle):
        bound = rule_bound(job, "handrail.edge.min", "at least")
        yield Grip("radius of the edges", outline.corner_mm, bound)


def _range(job: Job, key: str, words: str, measured: float) -> Iterator[Grip]:
    senses: tuple[tuple[str, Sense], ...] = (("min", "at least"), ("max", "at most"))
    for end, sense in senses:
        yield Grip(words, measured, rule_bound(job, f"handrail.{key}.{end}", sense))


def _type_two(job: Job, recesses: Sequence[Recess]) -> Iterator[Grip]:
    """The worse of both recesses by each measure, and the width over them."""

    def bound(key: str, sense: Sense) -> Bound:
        return rule_bound(job, f"handrail.recess.{key}", sense)

    begin = max(recess.begin_mm for recess in recesses)
    yield Grip("recess under the top", begin, bound("begin.max", "at most"))
    depth = min(recess.depth_mm for recess in recesses)
    yield Grip("depth of the recess", depth, bound("depth", "at least"))
    run = min(recess.run_mm for recess in recesses)
    yield Grip("length of that depth", run, bound("run", "at least"))
    level = min(recess.level_mm for recess in recesses)
    yield Grip("reach of the recess under the top", level, bound("level", "at least"))
    width = sum(recess.wide_mm for recess in recesses)
    yield from _range(job, "recess.width", "width over the recess", width)


def _recesses(job: Job, outline: Polygon) -> tuple[Recess, ...]:
    """Those of both sides; none unless both have one."""
    wanted = job.rules.limit("handrail.recess.depth").value
    within = job.rules.limit("handrail.recess.within.max").value
    if not job.rules.limit("handrail.recess.depth").stated:
        return ()
    found = [finger_recess(outline.corners, side, wanted, within) for side in (1.0, -1.0)]
    both = tuple(recess for recess in found if recess)
    return both if len(both) == 2 else ()


def perimeter(outline: Outline) -> float:
    """Length around a section; rounded corners as arcs."""
    if isinstance(outline, Circle):
        return math.pi * outline.diameter_mm
    if isinstance(outline, Rectangle):
        return 2 * (outline.width_mm + outline.depth_mm) - (8 - 2 * math.pi) * outline.corner_mm
    corners = outline.corners
    return sum(math.dist(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def _across(outline: Rectangle | Polygon) -> float:
    """The greatest measure across a section."""
    if isinstance(outline, Rectangle):
        corner = outline.corner_mm
        width, depth = outline.width_mm - 2 * corner, outline.depth_mm - 2 * corner
        return math.hypot(width, depth) + 2 * corner
    return max(math.dist(a, b) for a, b in combinations(outline.corners, 2))


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of one side's contour: (y, how far out) of its upper and its lower end."""

    high: Vec2
    low: Vec2

    def out_at(self, y: float) -> float:
        (y_a, x_a), (y_b, x_b) = self.high, self.low
        return x_a + (x_b - x_a) * (y_a - y) / (y_a - y_b)


def finger_recess(
    corners: Sequence[Vec2], side: float, depth_mm: float, within_mm: float
) -> Recess | None:
    """The recess of a section on one side (1 right, -1 left), y up; None where it never narrows.

    It begins where, from the top down, the contour first draws in. Its depth is looked for within
    `within_mm` under that, and `depth_mm` is the depth whose run is told.
    """
    pieces = _contour(corners, side)
    top = pieces[0].high[0]
    start = _narrows(pieces)
    if start is None:
        return None
    y_wide, wide = start
    under = [piece for piece in pieces if piece.high[0] <= y_wide + _EPS_MM]
    lowest = y_wide - within_mm
    depths = [
        wide - piece.out_at(max(y, lowest))
        for piece in under
        if piece.high[0] > lowest
        for y in (piece.high[0], piece.low[0])
    ]
    first, last = _deep(under, wide - depth_mm)
    return Recess(top - y_wide, wide, max(depths), first - last, top - last)


def _contour(corners: Sequence[Vec2], side: float) -> list[_Piece]:
    """One side of a simple polygon from the top down: its outermost edge at every level."""
    levels = sorted({round(y, 9) for _, y in corners}, reverse=True)
    edges = [
        (a, b)
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
        if abs(a[1] - b[1]) > _EPS_MM
    ]
    pieces: list[_Piece] = []
    for high, low in pairwise(levels):
        middle = (high + low) / 2
        crossing = [(a, b) for a, b in edges if min(a[1], b[1]) < middle < max(a[1], b[1])]
        a, b = max(crossing, key=lambda edge: side * _x_at(edge, middle))
        pieces.append(_Piece((high, side * _x_at((a, b), high)), (low, side * _x_at((a, b), low))))
    return pieces


def _x_at(edge: tuple[Vec2, Vec2], y: float) -> float:
    (x_a, y_a), (x_b, y_b) = edge
    return x_a + (x_b - x_a) * (y - y_a) / (y_b - y_a)


def _narrows(pieces: Sequence[_Piece]) -> Vec2 | None:
    """(level, how far out) where the contour first draws in, from the top down."""
    before: Vec2 | None = None
    for piece in pieces:
        if before and piece.high[1] < before[1] - _EPS_MM:
            return before
        if piece.low[1] < piece.high[1] - _EPS_MM:
            return piece.high
        before = piece.low
    return None


def _deep(pieces: Sequence[_Piece], out_mm: float) -> Vec2:
    """The first stretch of levels at which the contour lies no further out; empty at the bottom."""
    first: float | None = None
    last = pieces[-1].low[0]
    for piece in pieces:
        (y_a, x_a), (y_b, x_b) = piece.high, piece.low
        inside_a, inside_b = (x <= out_mm + _EPS_MM for x in (x_a, x_b))
        meets = y_a if x_a == x_b else y_a + (y_b - y_a) * (out_mm - x_a) / (x_b - x_a)
        if first is None:
            first = y_a if inside_a else meets if inside_b else None
        elif not inside_a:
            return first, y_a
        if first is not None and not inside_b:
            return first, meets
    return (last, last) if first is None else (first, last)
