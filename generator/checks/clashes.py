"""`clash.*` in space: parts that overlap, or come nearer than their clearance, by true distance."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

import numpy as np

from generator.checks.apart import distances, lower_bounds
from generator.checks.bodies import Bodies, bodies_of, boxes
from generator.checks.clash_remedies import Clash, Reaches, name, remedy, worst_of
from generator.checks.clearing import clearing
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
from generator.checks.corners import shared_posts
from generator.checks.kernel import Bools, Floats, Ints
from generator.checks.outcome import Bound, Outcome, fine, rule_bound
from generator.checks.sweep import overlapping
from generator.geometry import Vec3
from generator.parts.assembly import Assembly, Kind, LegLine, Part
from generator.spec.job import Job

_EPS_MM = 1e-6
_NO_OVERLAP = Bound(0.0, "at least", "mm", "solids do not overlap", "geometry", True)
# What is named first in a clash, as what a fitter would rather move.
_ORDER: tuple[Kind, ...] = (
    "cable", *END_KINDS, "handrail-bracket", "bracket", "anchor", "sleeve", "connector", "blocking",
    "spacer", "handrail", "rail", "stand-off", "base-plate", "side-plate", "post",
)  # fmt: skip
_STANDS: frozenset[Kind] = frozenset(
    ("post", "column", "spacer", "anchor", "bracket", *BASE_KINDS)
)  # fmt: skip
_MANY: frozenset[Kind] = frozenset((*END_KINDS, "anchor"))
# What the ends of cables meet where two legs share one post.
_AT_A_POST: frozenset[Kind] = frozenset((*END_KINDS, "cable", "post", "bracket", "rail"))
_BELOW: frozenset[Kind] = frozenset((*SURFACES, *FRAMING, "riser"))


def check_clashes(assembly: Assembly, bodies: Bodies | None = None) -> Iterator[Outcome]:
    """Yields the worst of like clashes; of each code without one, the nearest pair measured.

    `bodies` are those of the assembly's parts, where they are known already.
    """
    found: dict[str, list[Clash]] = {}
    for clash in clashes(assembly, bodies):
        found.setdefault(_code(clash), []).append(clash)
    shared, reaches = shared_posts(assembly), Reaches(assembly)
    for code in sorted(found):
        past = [clash for clash in found[code] if clash.excess > _EPS_MM]
        if not past:
            yield _outcome(reaches, code, [max(found[code], key=lambda clash: clash.excess)])
        for post, alike in _alike(past, shared):
            yield _outcome(reaches, code, alike, shared.get(post))


def _alike(found: Sequence[Clash], shared: Container[str]) -> list[tuple[str, list[Clash]]]:
    """Clashes of one kind of part of one leg with one other part, or with like ones of one post.

    At a post that two legs share all ends of their cables are one: its mark goes with them.
    """
    groups: dict[tuple[object, ...], list[Clash]] = {}
    for clash in found:
        a, b = clash.first, clash.second
        key: tuple[object, ...]
        if a.kind in END_KINDS and a.belongs_to in shared and b.kind in _AT_A_POST:
            key = (a.belongs_to,)
        else:
            other = (b.kind, b.leg, b.belongs_to) if b.kind in _MANY else b.mark
            key = ("", a.kind, a.run, a.leg, other)
        groups.setdefault(key, []).append(clash)
    return [(str(key[0]), alike) for key, alike in groups.items()]


def clashes(assembly: Assembly, bodies: Bodies | None = None) -> Iterator[Clash]:
    """Every pair of parts past its limit, the worst first, and the nearest with a clearance.

    Pairs that the table of contacts allows, or that another check tells of, are left out.
    """
    parts = assembly.parts
    if not parts:
        return
    relations, bodies = Relations(assembly), bodies or bodies_of(parts)
    bounds = _bounds(assembly.job)
    limits = np.array([bound.value for bound in bounds])
    i, j = _candidates(relations, bodies.part, *boxes(bodies, float(limits.max())))
    if not len(i):
        return
    kept = clearances(relations, bodies.part[i], bodies.part[j])
    # Of what may touch it is enough to know that it does not overlap.
    enough = np.where(kept < 0, -_EPS_MM, np.inf)
    least = lower_bounds(bodies, i, j, enough) - limits[kept]
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


def _outcome(
    reaches: Reaches, code: str, alike: Sequence[Clash], after: LegLine | None = None
) -> Outcome:
    job, worst = reaches.assembly.job, worst_of(alike)
    a, b = worst.first, worst.second
    overlap = worst.distance < -_EPS_MM
    if overlap:
        message = f"{name(a)} and {name(b)} overlap by {fine(job, -worst.distance)}"
    else:
        message = f"{name(a)} is {fine(job, worst.distance)} from {name(b)}"
    more = len(alike) - 1
    if more:
        does = ("does", "do") if overlap else ("is", "are")
        place = f"at {a.belongs_to}" if after else "of this leg"
        message += f", and so {does[more > 1]} {more} more {place}"
    words, edits = "", ()
    if worst.excess > _EPS_MM:  # of one that keeps its limit nobody asks how to clear it
        words, edits = remedy(reaches, clearing(worst), after)
    return Outcome(
        code,
        (a.mark, b.mark),
        worst.distance,
        worst.bound,
        message,
        words,
        edits,
        worst.point,
        "fail" if overlap else "warn",
    )
