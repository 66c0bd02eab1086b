"""Which parts may touch or overlap: one table, read from what the parts say of themselves.

Parts that only touch need no row. Whatever overlaps and has no row here is a clash; what is nearer
than its clearance is one that warns. No row goes by a tolerance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import get_args

import numpy as np

from generator.checks.kernel import Bools, Ints
from generator.frozen import dataclass
from generator.parts.assembly import (
    REFERENCE_KINDS,
    Assembly,
    CableDetail,
    Kind,
    Part,
    PostDetail,
    RailDetail,
    SpacerDetail,
    detail_of,
)

KINDS: tuple[Kind, ...] = get_args(Kind)
_NUMBER = {kind: n for n, kind in enumerate(KINDS)}

END_KINDS: tuple[Kind, ...] = ("fitting", "seat", "washer", "nut")
BASE_KINDS: tuple[Kind, ...] = ("base-plate", "side-plate", "stand-off")
SURFACES: tuple[Kind, ...] = ("deck", "floor", "tread")
FRAMING: tuple[Kind, ...] = ("joist", "rim", "stringer", "blocking")
_PLANS: tuple[Kind, ...] = ("post", "column", "base-plate", "side-plate")


class Relations:
    """What parts are to each other, told by arrays over an assembly's parts in their order."""

    def __init__(self, assembly: Assembly) -> None:
        parts = assembly.parts
        index = {part.mark: n for n, part in enumerate(parts)}
        runs = {run: n for n, run in enumerate(dict.fromkeys(part.run for part in parts))}
        self.parts = parts
        self.kind = np.array([_NUMBER[part.kind] for part in parts], dtype=np.intp)
        self.owner = np.array([index.get(p.belongs_to, n) for n, p in enumerate(parts)])
        self.run = np.array([runs[part.run] for part in parts])
        self.leg = np.array([part.leg for part in parts])
        self.end = np.array([_end(part) for part in parts])
        self._drilling = _Drilling(parts, index, self)
        self._before = _pieces_before(parts, index)

    def passes(self, rods: Ints, bodies: Ints) -> Bools:
        """Whether bodies have holes for a cable, or for the cable whose end a fitting is."""
        return self._drilling.passes(rods, bodies)

    def joins(self, sleeve: int, rail: int) -> bool:
        """Whether a sleeve lies across the joint at which a rail piece ends or begins."""
        piece = int(self.owner[sleeve])
        return rail in (piece, self._before.get(piece))

    def runs_along(self, cable: int, surface: int) -> bool:
        """Whether a surface is of a leg of the cable, or of the one before or after."""
        legs = detail_of(self.parts[cable], CableDetail).legs
        same = self.run[cable] == self.run[surface]
        return bool(same) and any(abs(leg - int(self.leg[surface])) <= 1 for leg in legs)


class _Drilling:
    """Which rows of which legs the holes of posts and spacers are for, as sorted numbers."""

    def __init__(self, parts: Sequence[Part], index: dict[str, int], told: Relations) -> None:
        self._told, self._count = told, len(parts)
        holes: list[tuple[int, int, int]] = []
        way: list[tuple[int, int]] = []
        cables: dict[int, CableDetail] = {}
        for n, part in enumerate(parts):
            detail = part.detail
            if isinstance(detail, PostDetail | SpacerDetail):
                holes += [(n, hole.leg, hole.row) for hole in detail.drilling]
            elif isinstance(detail, CableDetail):
                cables[_end(part) // 2] = detail
                way += [(n, index[mark]) for mark in detail.posts if mark in index]
        legs = [(n, leg, one.row) for n, one in cables.items() for leg in one.legs]
        size = 1 + max((max(leg, row) for _, leg, row in (*holes, *legs)), default=0)
        self._size = size
        self._holes = _numbered(holes, (size, size))
        self._way = _numbered(way, (self._count,))
        # Cables by number: where their legs begin in one long list.
        most = max(cables, default=-1) + 2
        numbers = np.array([n for n, _, _ in legs], dtype=np.int64)
        self._first = np.searchsorted(numbers, np.arange(most + 1))
        self._legs = np.array([leg for _, leg, _ in legs], dtype=np.int64)
        self._rows = np.array([row for _, _, row in legs], dtype=np.int64)

    def passes(self, rods: Ints, bodies: Ints) -> Bools:
        told = self._told
        cable = told.end[rods] // 2
        known = (cable >= 0) & (cable + 1 < len(self._first))
        cable = np.where(known, cable, 0)
        first, last = self._first[cable], self._first[cable + 1]
        fitting = told.kind[rods] == _NUMBER["fitting"]
        at_end = told.end[rods] % 2 == 1
        # Of the legs of a fitting's cable the one in which it is.
        first, last = (
            np.where(fitting & at_end, last - 1, first),
            np.where(fitting & ~at_end, first + 1, last),
        )
        own = told.owner[rods] == bodies
        on_way = _among(rods * self._count + bodies, self._way)
        same_run = told.run[rods] == told.run[bodies]
        spacer = told.kind[bodies] == _NUMBER["spacer"]
        on_way = np.where(fitting, own, np.where(spacer, same_run, on_way)) & known
        found = np.zeros(len(rods), dtype=np.bool_)
        for k in range(int((last - first).max(initial=0))):
            some = np.flatnonzero(on_way & (first + k < last))
            at = first[some] + k
            key = (bodies[some] * self._size + self._legs[at]) * self._size + self._rows[at]
            found[some] |= _among(key, self._holes)
        return found


def _numbered(found: Sequence[tuple[int, ...]], sizes: tuple[int, ...]) -> Ints:
    """Tuples as one number each, sorted; each item but the first is below its size."""
    columns = np.array(found, dtype=np.int64).reshape(-1, len(sizes) + 1).T
    number = columns[0]
    for column, size in zip(columns[1:], sizes, strict=True):
        number = number * size + column
    return np.sort(number)


def _among(numbers: Ints, known: Ints) -> Bools:
    """Which numbers are among sorted ones."""
    if not len(known):
        return np.zeros(len(numbers), dtype=np.bool_)
    at = np.minimum(np.searchsorted(known, numbers), len(known) - 1)
    return known[at] == numbers


def cable_number(part: Part) -> int:
    """Number of the cable that a part is, or that its end holds; the mark tells. -1 for others."""
    return _end(part) // 2


def at_end(part: Part) -> bool:
    """Whether the hardware of a cable's end is that of the end, and not of the start."""
    return part.mark.endswith("E")


def _end(part: Part) -> int:
    """Twice the number of its cable, and 1 more at its end, of what belongs to a cable's end.

    The mark tells: F12S is the fitting at the start of C12. Negative for other parts.
    """
    if part.kind == "cable" or part.kind in END_KINDS:
        label = part.mark.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        digits = label.rstrip("SE")
        if digits.isdigit():
            return 2 * int(digits) + label.endswith("E")
    return -2


def _pieces_before(parts: Sequence[Part], index: dict[str, int]) -> dict[int, int]:
    """The rail piece before each one of its run that begins at a joint on a post."""
    by_run: dict[str, list[Part]] = {}
    for part in parts:
        if part.kind == "rail":
            by_run.setdefault(part.run, []).append(part)
    return {
        index[piece.mark]: index[pieces[k - 1].mark]
        for pieces in by_run.values()
        for k, piece in enumerate(pieces)
        if detail_of(piece, RailDetail).start_on == "joint on post"
    }


Condition = Callable[[Relations, Ints, Ints], Bools]


def _one_by_one(test: Callable[[Relations, int, int], bool]) -> Condition:
    def tested(relations: Relations, i: Ints, j: Ints) -> Bools:
        pairs = zip(i.tolist(), j.tolist(), strict=True)
        return np.fromiter((test(relations, a, b) for a, b in pairs), dtype=np.bool_, count=len(i))

    return tested


def always(_: Relations, i: Ints, __: Ints) -> Bools:
    """Whatever they are to each other."""
    return np.ones(len(i), dtype=np.bool_)


def never(_: Relations, i: Ints, __: Ints) -> Bools:
    """Whatever they are to each other, not."""
    return np.zeros(len(i), dtype=np.bool_)


def of_one_post(relations: Relations, i: Ints, j: Ints) -> Bools:
    """Both are fixed on one post, or one of them on the other."""
    return relations.owner[i] == relations.owner[j]


def of_one_end(relations: Relations, i: Ints, j: Ints) -> Bools:
    """Both belong to one end of one cable."""
    return (relations.end[i] == relations.end[j]) & (relations.end[i] >= 0)


def of_one_cable(relations: Relations, i: Ints, j: Ints) -> Bools:
    """Both belong to one cable."""
    return (relations.end[i] // 2 == relations.end[j] // 2) & (relations.end[i] >= 0)


def of_one_leg(relations: Relations, i: Ints, j: Ints) -> Bools:
    """Both are of one leg."""
    return (relations.run[i] == relations.run[j]) & (relations.leg[i] == relations.leg[j])


def drilled_for_it(relations: Relations, i: Ints, j: Ints) -> Bools:
    """The second has a hole for the first."""
    return relations.passes(i, j)


def cast_in(relations: Relations, i: Ints, _: Ints) -> Bools:
    """The post stands in a core."""
    return np.array([detail_of(relations.parts[n], PostDetail).mount == "core" for n in i])


at_its_joint = _one_by_one(Relations.joins)
along_its_leg = _one_by_one(Relations.runs_along)


@dataclass(frozen=True, slots=True)
class Row:
    """Parts of the first kinds with parts of the second, and when. `why` says it in words."""

    first: tuple[Kind, ...]
    second: tuple[Kind, ...]
    when: Condition
    why: str


CONTACTS: tuple[Row, ...] = (
    Row(("cable",), ("post", "column", "spacer"), drilled_for_it, "cables pass the holes drilled"),
    Row(("fitting",), ("post", "column"), drilled_for_it, "fittings pass the holes drilled"),
    Row(("cable",), END_KINDS, of_one_cable, "a cable is held by its own ends"),
    Row(("fitting",), ("nut", "washer", "seat"), of_one_end, "nut, washer and seat go on the stud"),
    Row(("anchor",), ("base-plate", "side-plate"), of_one_post, "bolts pass their own plate"),
    Row(("anchor",), (*SURFACES, *FRAMING), always, "bolts go into what lies below or behind"),
    Row(("post",), SURFACES, cast_in, "a core is cast round its post"),
    Row(("sleeve",), ("rail",), at_its_joint, "a sleeve lies in the two pieces that it joins"),
    Row(("connector",), ("rail",), of_one_post, "an arm of a connector lies in its own piece"),
)
"""What may overlap. `of_one_post` of a connector: it belongs to its piece of rail."""

TOLD_ELSEWHERE: tuple[Row, ...] = (
    Row(_PLANS, _PLANS, always, "compared in plan by neighbours.py"),
    Row(("cable",), SURFACES, along_its_leg, "in the plane of the leg, by clash.py"),
    Row(("rail",), ("wall",), of_one_leg, "its room to grow, by access.py"),
)
"""What other checks report under the same codes."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """Parts of these kinds keep a distance, a limit of the rule set, unless they may touch."""

    first: tuple[Kind, ...]
    second: tuple[Kind, ...]
    limit: str
    unless: Condition = never


_BUILT: tuple[Kind, ...] = tuple(kind for kind in KINDS if kind not in REFERENCE_KINDS)

CLEARANCES: tuple[Clearance, ...] = (
    Clearance(
        ("cable",),
        ("cable", "post", "column", "rail", "bracket", *BASE_KINDS, "anchor", "spacer", "wall"),
        "practice.parts-clearance",
    ),
    Clearance(("cable",), ("handrail", "handrail-bracket"), "practice.parts-clearance"),
    Clearance(("cable", *END_KINDS), END_KINDS, "practice.fittings-gap", of_one_end),
    Clearance(("post", *BASE_KINDS), ("wall",), "practice.parts-clearance"),
    Clearance(_BUILT, ("obstacle",), "practice.parts-clearance"),
)


def table(first: tuple[Kind, ...], second: tuple[Kind, ...]) -> Bools:
    """Which pairs of kinds, by their numbers, are of the first and the second, in this order."""
    found = np.zeros((len(KINDS), len(KINDS)), dtype=np.bool_)
    found[np.ix_([_NUMBER[k] for k in first], [_NUMBER[k] for k in second])] = True
    return found


def looked_at() -> Bools:
    """Pairs of kinds that can clash at all: what stands there already is left to itself."""
    there: tuple[Kind, ...] = tuple(kind for kind in KINDS if kind in REFERENCE_KINDS)
    left_out = table(there, there)
    for row in (*CONTACTS, *TOLD_ELSEWHERE):
        if row.when is always:
            pairs = table(row.first, row.second)
            left_out |= pairs | pairs.T
    return ~left_out


def apart_from(rows: Sequence[Row], relations: Relations, i: Ints, j: Ints) -> Bools:
    """Which pairs of parts none of the rows speaks of."""
    left = np.ones(len(i), dtype=np.bool_)
    for row in rows:
        pairs = table(row.first, row.second)
        for a, b in ((i, j), (j, i)):
            met = np.flatnonzero(pairs[relations.kind[a], relations.kind[b]] & left)
            if len(met):
                left[met] &= ~row.when(relations, a[met], b[met])
    return left


def clearances(relations: Relations, i: Ints, j: Ints) -> Ints:
    """For pairs of parts, which of `CLEARANCES` they keep; -1 where they may touch."""
    kept = np.full(len(i), -1, dtype=np.intp)
    for n, clearance in enumerate(CLEARANCES):
        pairs = table(clearance.first, clearance.second)
        for a, b in ((i, j), (j, i)):
            met = np.flatnonzero(pairs[relations.kind[a], relations.kind[b]] & (kept < 0))
            if len(met):
                kept[met[~clearance.unless(relations, a[met], b[met])]] = n
    return kept
