"""`clash.parts` for posts and their bases in plan; how near studs pass that share a post."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from generator.checks.outcome import Bound, Outcome, fine, rule_bound
from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, dot, sub
from generator.parts.assembly import Assembly, Part
from generator.parts.shapes import Prism, Turned

_EPS_MM = 1e-6
# Side of a field of ground; larger than any base, so that a body touches few of them.
_FIELD_MM = 600.0


def check_neighbours(assembly: Assembly) -> Iterator[Outcome]:
    """Yields bases that overlap, and the nearest pair of studs of two legs that pass in a post.

    Studs that do not pass are told by clashes.py with all else that meets there.
    """
    yield from _bases(assembly)
    yield from _fittings(assembly)


def _bases(assembly: Assembly) -> Iterator[Outcome]:
    """Posts and plates in plan, compared with those in the same or a neighbouring field."""
    bodies = [
        _Body(part.mark, part.belongs_to, plan, *_heights(part))
        for part in assembly.of_kind("post", "column", "base-plate", "side-plate")
        if (plan := _plan(part))
    ]
    fields: dict[tuple[int, int], list[_Body]] = {}
    for body in bodies:
        for field in body.fields():
            for other in fields.get(field, []):
                if body.owner == other.owner or not body.near(other):
                    continue
                apart = plan_gap(body.plan, other.plan)
                if apart < -_EPS_MM and body.first_common(other) == field:
                    yield _overlap(assembly, body.mark, other.mark, apart)
            fields.setdefault(field, []).append(body)


@dataclass(frozen=True, slots=True)
class _Body:
    """An upright body: its plan and the heights between which it stands."""

    mark: str
    owner: str
    plan: list[Vec2]
    low_mm: float
    high_mm: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = [x for x, _ in self.plan], [y for _, y in self.plan]
        return min(xs), min(ys), max(xs), max(ys)

    def fields(self) -> list[tuple[int, int]]:
        """Squares of the ground that it touches, in order."""
        west, south, east, north = (math.floor(value / _FIELD_MM) for value in self.box)
        return [(i, j) for i in range(west, east + 1) for j in range(south, north + 1)]

    def first_common(self, other: _Body) -> tuple[int, int]:
        """The field in which a pair that shares several is told."""
        return min(set(self.fields()) & set(other.fields()))

    def near(self, other: _Body) -> bool:
        """Whether their boxes overlap in all three directions."""
        a, b = self.box, other.box
        apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
        over = self.low_mm >= other.high_mm - _EPS_MM or other.low_mm >= self.high_mm - _EPS_MM
        return not (apart or over)


def _overlap(assembly: Assembly, mark: str, other: str, apart: float) -> Outcome:
    first, second = sorted((mark, other))
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
    by_post: dict[str, dict[tuple[str, int], list[Part]]] = {}
    for part in assembly.of_kind("fitting"):
        by_post.setdefault(part.belongs_to, {}).setdefault((part.run, part.leg), []).append(part)
    bound = rule_bound(assembly.job, "practice.fittings-gap", "at least")
    for legs in by_post.values():
        for ours, theirs in combinations(legs.values(), 2):
            gap, first, second = min((stud_gap(a, b), a.mark, b.mark) for a in ours for b in theirs)
            nearest = Outcome(
                "clash.fittings",
                (first, second),
                gap,
                bound,
                f"the studs {first} and {second} are {fine(assembly.job, gap)} apart in their post",
            )
            if nearest.passed:
                yield nearest


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
