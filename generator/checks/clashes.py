"""`clash.*` in space: parts that overlap, or come nearer than their clearance, by true distance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from generator.checks.apart import distances, lower_bounds
from generator.checks.bodies import bodies_of, boxes
from generator.checks.contacts import (
    BASE_KINDS,
    CLEARANCES,
    CONTACTS,
    END_KINDS,
    FRAMING,
    SURFACES,
    TOLD_ELSEWHERE,
    Relations,
    apart_from,
    clearances,
    looked_at,
)
from generator.checks.kernel import Bools, Floats, Ints
from generator.checks.outcome import Bound, Outcome, fine, round_up, rule_bound, shop
from generator.checks.sweep import overlapping
from generator.frozen import dataclass
from generator.geometry import Vec3, dot, heading, left_of, scale
from generator.parts.assembly import Assembly, Kind, Part
from generator.spec.job import Job

_EPS_MM = 1e-6
_NO_OVERLAP = Bound(0.0, "at least", "mm", "solids do not overlap", "geometry", True)
# Parts of a shift that are less than this share of it are not told.
_SMALL = 0.1
# What is named first in a clash, as what a fitter would rather move.
_ORDER: tuple[Kind, ...] = (
    "cable", *END_KINDS, "handrail-bracket", "bracket", "anchor", "sleeve", "connector", "blocking",
    "spacer", "handrail", "rail", "stand-off", "base-plate", "side-plate", "post",
)  # fmt: skip
_STANDS: frozenset[Kind] = frozenset(
    ("post", "column", "spacer", "anchor", "bracket", *BASE_KINDS)
)  # fmt: skip
_MANY: frozenset[Kind] = frozenset((*END_KINDS, "anchor"))
_BELOW: frozenset[Kind] = frozenset((*SURFACES, *FRAMING, "riser"))


@dataclass(frozen=True, slots=True)
class Clash:
    """Two parts and how far they are apart, against what; `way` is from the second to the first."""

    first: Part
    second: Part
    distance: float
    bound: Bound
    point: Vec3
    way: Vec3

    @property
    def excess(self) -> float:
        """How far it is past its limit, negative where it keeps it."""
        return (self.bound.value or 0.0) - self.distance


def check_clashes(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the worst of like clashes; of each code without one, the nearest pair measured."""
    found: dict[str, list[Clash]] = {}
    for clash in clashes(assembly):
        found.setdefault(_code(clash), []).append(clash)
    for code in sorted(found):
        past = [clash for clash in found[code] if clash.excess > _EPS_MM]
        if not past:
            yield _outcome(assembly, code, [max(found[code], key=lambda clash: clash.excess)])
        for alike in _alike(past):
            yield _outcome(assembly, code, alike)


def _alike(found: Sequence[Clash]) -> list[list[Clash]]:
    """Clashes of one kind of part of one leg with one other part, or with like ones of one post."""
    groups: dict[tuple[object, ...], list[Clash]] = {}
    for clash in found:
        a, b = clash.first, clash.second
        other = (b.kind, b.leg, b.belongs_to) if b.kind in _MANY else b.mark
        groups.setdefault((a.kind, a.run, a.leg, other), []).append(clash)
    return list(groups.values())


def clashes(assembly: Assembly) -> Iterator[Clash]:
    """Every pair of parts past its limit, the worst first, and the nearest with a clearance.

    Pairs that the table of contacts allows, or that another check tells of, are left out.
    """
    parts = assembly.parts
    if not parts:
        return
    relations, bodies = Relations(assembly), bodies_of(parts)
    bounds = _bounds(assembly.job)
    limits = np.array([bound.value for bound in bounds])
    i, j = _candidates(relations, bodies.part, *boxes(bodies, float(limits.max())))
    if not len(i):
        return
    kept = clearances(relations, bodies.part[i], bodies.part[j])
    least = lower_bounds(bodies, i, j) - limits[kept]
    some = np.flatnonzero((least < -_EPS_MM) | _nearest(least, kept >= 0))
    apart = distances(bodies, i[some], j[some])
    excess = limits[kept[some]] - apart.distance
    told: set[tuple[int, int]] = set()
    for n in np.argsort(-excess, kind="stable").tolist():
        pair = int(bodies.part[i[some[n]]]), int(bodies.part[j[some[n]]])
        if pair not in told and (excess[n] > _EPS_MM or kept[some[n]] >= 0):
            told.add(pair)
            yield _ordered(
                parts[pair[0]],
                parts[pair[1]],
                float(apart.distance[n]),
                bounds[kept[some[n]]],
                _vector(apart.point[:, n]),
                _vector(apart.way[:, n]),
            )


def _bounds(job: Job) -> list[Bound]:
    """The limit of each clearance, and last that of parts that may touch."""
    return [*(rule_bound(job, row.limit, "at least") for row in CLEARANCES), _NO_OVERLAP]


def _candidates(
    relations: Relations, part: Ints, low: Floats, high: Floats, body: Ints
) -> tuple[Ints, Ints]:
    """Pairs of bodies whose boxes are near, of parts that may not touch."""
    checked, kind = looked_at(), relations.kind

    def wanted(i: Ints, j: Ints) -> Bools:
        a, b = part[i], part[j]
        return checked[kind[a], kind[b]] & (a != b)

    i, j = overlapping(low, high, body, wanted)
    left = apart_from((*CONTACTS, *TOLD_ELSEWHERE), relations, part[i], part[j])
    return i[left], j[left]


def _nearest(over: Floats, counts: Bools) -> Bools:
    """The one pair that is nearest to its clearance."""
    found = np.zeros(len(over), dtype=np.bool_)
    if counts.any():
        found[np.where(counts, over, np.inf).argmin()] = True
    return found


def _vector(components: Floats) -> Vec3:
    x, y, z = components.tolist()
    return (x, y, z)


def _ordered(a: Part, b: Part, distance: float, bound: Bound, point: Vec3, way: Vec3) -> Clash:
    """With the part first that one would rather move."""
    if _rank(b) < _rank(a):
        return Clash(b, a, distance, bound, point, (-way[0], -way[1], -way[2]))
    return Clash(a, b, distance, bound, point, way)


def _rank(part: Part) -> int:
    return _ORDER.index(part.kind) if part.kind in _ORDER else len(_ORDER)


def _code(clash: Clash) -> str:
    kinds = {clash.first.kind, clash.second.kind}
    if kinds & set(END_KINDS):
        return "clash.fittings"
    if "cable" in kinds and kinds & _STANDS:
        return "clash.cable-post"
    if "cable" in kinds and kinds & _BELOW:
        return "clash.cable-tread"
    if "wall" in kinds and kinds & {"post", *BASE_KINDS}:
        return "clash.post-wall"
    return "clash.parts"


def _outcome(assembly: Assembly, code: str, alike: Sequence[Clash]) -> Outcome:
    job = assembly.job
    worst = max(alike, key=lambda clash: clash.excess)
    a, b = worst.first, worst.second
    overlap = worst.distance < -_EPS_MM
    if overlap:
        message = f"{_name(a)} and {_name(b)} overlap by {fine(job, -worst.distance)}"
    else:
        message = f"{_name(a)} is {fine(job, worst.distance)} from {_name(b)}"
    more = len(alike) - 1
    if more:
        does = ("does", "do") if overlap else ("is", "are")
        message += f", and so {does[more > 1]} {more} more of this leg"
    shift = _shift(assembly, worst)
    return Outcome(
        code,
        (a.mark, b.mark),
        worst.distance,
        worst.bound,
        message,
        f"move {_name(a)} {shift}, or {_name(b)} as far the other way",
        point=worst.point,
        severity="fail" if overlap else "warn",
    )


def _name(part: Part) -> str:
    """Kind and mark; an obstacle by what it is called."""
    what = part.item if part.kind == "obstacle" else part.kind.replace("-", " ")
    return f"{what} {part.mark}"


def _shift(assembly: Assembly, clash: Clash) -> str:
    """The least move of the first part that clears the second, as people say it, rounded up.

    Moved on along the way from the second part by what is missing, it keeps its limit; so it does
    if each of the parts of that move is larger.
    """
    away = {words: dot(clash.way, axis) for axis, words in _directions(assembly, clash)}
    told = {words: size for words, size in away.items() if abs(size) > _SMALL}
    stretch = clash.excess / sum(size**2 for size in told.values())
    moves = [
        f"{shop(assembly.job, round_up(assembly.job, abs(size) * stretch))} {words[size < 0.0]}"
        for words, size in told.items()
    ]
    return " and ".join(moves)


def _directions(assembly: Assembly, clash: Clash) -> Iterator[tuple[Vec3, tuple[str, str]]]:
    """Axes with the words for either sense: those of the leg of the clash, else the compass's."""
    yield (0.0, 0.0, 1.0), ("up", "down")
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    for part in (clash.first, clash.second):
        leg = legs.get((part.run, part.leg))
        if leg:
            left = left_of(leg.bearing_deg)
            inward = left if leg.deck == "left" else scale(left, -1.0)
            yield heading(leg.bearing_deg), (f"on along {leg.label}", f"back along {leg.label}")
            yield inward, ("toward the walking side", "away from the walking side")
            return
    yield (1.0, 0.0, 0.0), ("east", "west")
    yield (0.0, 1.0, 0.0), ("north", "south")
