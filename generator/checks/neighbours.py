"""`clash.parts` for posts and their bases, `clash.fittings` for studs that share a post."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from generator.checks.outcome import Bound, Outcome, fine, rule_bound
from generator.geometry import Vec2, Vec3, dot, sub
from generator.parts.assembly import Assembly, Part
from generator.parts.shapes import Prism, Turned

_EPS_MM = 1e-6


def check_neighbours(assembly: Assembly) -> Iterator[Outcome]:
    """Yields bases that overlap, and the nearest pair of studs of two legs in a shared post."""
    yield from _bases(assembly)
    yield from _fittings(assembly)


def _bases(assembly: Assembly) -> Iterator[Outcome]:
    """Posts and plates in plan, swept from west to east; those at other heights pass."""
    bodies = list(assembly.of_kind("post", "column", "base-plate", "side-plate"))
    plans = [(_plan(part), _heights(part), part) for part in bodies]
    plans.sort(key=lambda entry: min(x for x, _ in entry[0]))
    open_: list[tuple[list[Vec2], Vec2, Part]] = []
    for plan, heights, part in plans:
        west = min(x for x, _ in plan)
        open_ = [entry for entry in open_ if max(x for x, _ in entry[0]) > west]
        for other_plan, other_heights, other in open_:
            if _owner(part) == _owner(other) or not _meet(heights, other_heights):
                continue
            apart = plan_gap(plan, other_plan)
            if apart < -_EPS_MM:
                yield _overlap(assembly, part, other, apart)
        open_.append((plan, heights, part))


def _owner(part: Part) -> str:
    return part.belongs_to


def _overlap(assembly: Assembly, part: Part, other: Part, apart: float) -> Outcome:
    first, second = sorted((part.mark, other.mark))
    return Outcome(
        "clash.parts",
        (first, second),
        apart,
        Bound(0.0, "at least", "mm", "solids do not overlap", "geometry", True),
        f"{first} and {second} overlap by {fine(assembly.job, -apart)}",
        "move the posts apart, or let one post serve both",
    )


def _plan(part: Part) -> list[Vec2]:
    shape = part.shape
    assert isinstance(shape, Prism)
    return [part.place.point((x, y, 0.0))[:2] for x, y in shape.section.outer.corners]


def _heights(part: Part) -> Vec2:
    shape = part.shape
    assert isinstance(shape, Prism)
    base = part.place.origin[2]
    return (base + shape.start.z_mm, base + shape.end.z_mm)


def _meet(a: Vec2, b: Vec2) -> bool:
    return a[0] < b[1] - _EPS_MM and b[0] < a[1] - _EPS_MM


def plan_gap(a: Sequence[Vec2], b: Sequence[Vec2]) -> float:
    """Largest separation of two convex plans along a normal of a side; negative: they overlap."""
    best = -math.inf
    for corners in (a, b):
        for k in range(len(corners)):
            (x0, y0), (x1, y1) = corners[k - 1], corners[k]
            length = math.hypot(x1 - x0, y1 - y0)
            normal = ((y1 - y0) / length, (x0 - x1) / length)
            ours = [x * normal[0] + y * normal[1] for x, y in a]
            theirs = [x * normal[0] + y * normal[1] for x, y in b]
            best = max(best, min(theirs) - max(ours), min(ours) - max(theirs))
    return best


def _fittings(assembly: Assembly) -> Iterator[Outcome]:
    by_post: dict[str, dict[int, list[Part]]] = {}
    for part in assembly.of_kind("fitting"):
        by_post.setdefault(part.belongs_to, {}).setdefault(part.leg, []).append(part)
    bound = rule_bound(assembly.job, "practice.fittings-gap", "at least")
    for legs in by_post.values():
        for ours, theirs in combinations(legs.values(), 2):
            gap, first, second = min((stud_gap(a, b), a.mark, b.mark) for a in ours for b in theirs)
            yield Outcome(
                "clash.fittings",
                (first, second),
                gap,
                bound,
                f"the studs {first} and {second} are {fine(assembly.job, gap)} apart in their post",
                "two posts at the corner (corner: pair), or another cable spacing",
                severity="fail" if gap < 0.0 else "warn",
            )


def stud_gap(a: Part, b: Part) -> float:
    """Clear distance of two fittings' studs, taken as round bars from tip to sleeve."""
    (a0, a1, ra), (b0, b1, rb) = _stud(a), _stud(b)
    return segment_distance(a0, a1, b0, b1) - ra - rb


def _stud(part: Part) -> tuple[Vec3, Vec3, float]:
    shape = part.shape
    assert isinstance(shape, Turned)
    step = shape.steps[0]
    return (
        part.place.point((0.0, 0.0, step.start_mm)),
        part.place.point((0.0, 0.0, step.end_mm)),
        step.outer_mm / 2,
    )


def segment_distance(p0: Vec3, p1: Vec3, q0: Vec3, q1: Vec3) -> float:
    """Shortest distance of two segments in space (Ericson, Real-Time Collision Detection, 5.1.9).

    Title and section from memory, the method checked in the tests against a numeric one.
    """
    u, v, w = sub(p1, p0), sub(q1, q0), sub(p0, q0)
    a, b, c, d, e = dot(u, u), dot(u, v), dot(v, v), dot(u, w), dot(v, w)
    across = a * c - b * b
    s = min(max((b * e - c * d) / across, 0.0), 1.0) if across > 1e-12 * a * c else 0.0
    t = (b * s + e) / c
    if t < 0.0:
        t, s = 0.0, min(max(-d / a, 0.0), 1.0)
    elif t > 1.0:
        t, s = 1.0, min(max((b - d) / a, 0.0), 1.0)
    ours = tuple(p + s * k for p, k in zip(p0, u, strict=True))
    theirs = tuple(q + t * k for q, k in zip(q0, v, strict=True))
    return math.dist(ours, theirs)
