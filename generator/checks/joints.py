"""`miter.twist`, `miter.gap`, `miter.saw-limit`: whether rails close at corners and can be sawn."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Literal

from generator.checks.corners import as_pair, corner_before
from generator.checks.outcome import Bound, Outcome, fine, rule_bound
from generator.geometry import Frame, Vec3, add, cross, dot, norm, scale, sub, unit
from generator.parts.assembly import Assembly, LegLine, Part, RailDetail, detail_of
from generator.parts.measure import cut_angles
from generator.parts.report import Edit
from generator.parts.shapes import Prism
from generator.spec.job import Job

# Faces of a miter coincide to this; what is beyond is a gap.
_CLOSED_MM = 1e-6
_STRAIGHT_DEG = 1e-6
# Rail ends that meet no other rail.
_APART = ("pair", "pair-through")
_End = Literal["start", "end"]


def check_joints(assembly: Assembly) -> Iterator[Outcome]:
    """Yields every corner of the rail line with its twist or gap, and cuts past the saw."""
    job = assembly.job
    for before, after in corners(assembly):
        if before.rails and after.rails:
            first = assembly.by_mark[before.rails[-1]]
            second = assembly.by_mark[after.rails[0]]
            yield from _corner(job, (before, after), first, second)
    yield from _sawn(assembly)


def corners(assembly: Assembly) -> Iterator[tuple[LegLine, LegLine]]:
    """Legs of one run that follow each other; in a loop also the last and the first."""
    by_run: dict[str, list[LegLine]] = {}
    for leg in assembly.legs:
        by_run.setdefault(leg.run, []).append(leg)
    for run in assembly.job.runs:
        legs = by_run[run.id]
        yield from pairwise(legs)
        if run.closed and len(legs) > 1:
            yield legs[-1], legs[0]


def _corner(
    job: Job, legs: tuple[LegLine, LegLine], first: Part, second: Part
) -> Iterator[Outcome]:
    _, after = legs
    end, start = detail_of(first, RailDetail).end_on, detail_of(second, RailDetail).start_on
    where = (first.mark, second.mark)
    corner = corner_before(job, after)
    if end == start == "miter":
        gap = face_gap(first, second)
        yield Outcome(
            "miter.gap",
            where,
            gap,
            Bound(_CLOSED_MM, "at most", "mm", "cut faces coincide", "geometry", True),
            f"the cut faces of {first.mark} and {second.mark} are {fine(job, gap)} apart",
            "put two posts at the corner: corner: pair",
            as_pair(job, after),
        )
    elif end == start == "plumb butt":
        ways = "built as plumb butts at the post; two posts (corner: pair) or an easing also do it"
        yield from _would_not_close(job, first, second, _two_posts(job, *legs), ways)
    elif corner and corner.rail != "run-on" and end in _APART and start in _APART:
        ways = "built as rails that run on past their posts: rail: run-on asks for that"
        edits = (Edit(f"{corner.path}.rail", "run-on"),)
        yield from _would_not_close(job, first, second, edits, ways)


def _two_posts(job: Job, before: LegLine, after: LegLine) -> tuple[Edit, ...]:
    """Two posts at the corner, where they find room."""
    from generator.checks.room import pair_finds_room

    return as_pair(job, after) if pair_finds_room(job, before, after) else ()


def _would_not_close(
    job: Job, first: Part, second: Part, edits: tuple[Edit, ...], ways: str
) -> Iterator[Outcome]:
    where = (first.mark, second.mark)
    twist = twist_between(first.place, second.place)
    if twist > _STRAIGHT_DEG:
        yield Outcome(
            "miter.twist",
            where,
            twist,
            Bound(0.0, "at most", "deg", "sections of a miter meet", "geometry", True),
            f"turn and pitch change at one corner: mitered, {first.mark} and {second.mark} would "
            f"be twisted by {twist:.1f} deg",
            ways,
            edits,
        )
        return
    rise = abs(_top(second, "start") - _top(first, "end"))
    yield Outcome(
        "miter.gap",
        where,
        rise,
        Bound(_CLOSED_MM, "at most", "mm", "cut faces coincide", "geometry", True),
        f"{first.mark} and {second.mark} meet at a corner {fine(job, rise)} apart in height",
        ways,
        edits,
    )


def twist_between(before: Frame, after: Frame) -> float:
    """Degrees between the section of one rail, mirrored in the bisecting plane, and the other's."""
    normal = unit(add(before.z, after.z))
    mirrored = sub(before.y, scale(normal, 2.0 * dot(before.y, normal)))
    return math.degrees(math.atan2(norm(cross(mirrored, after.y)), dot(mirrored, after.y)))


def face_corners(part: Part, end: Literal["start", "end"]) -> list[Vec3]:
    """World corners of a cut face."""
    shape = part.shape
    assert isinstance(shape, Prism)
    cut = shape.start if end == "start" else shape.end
    return [part.place.point((x, y, cut.at(x, y))) for x, y in shape.section.outer.corners]


def face_gap(first: Part, second: Part) -> float:
    """How far the corners of two cut faces are from each other, at worst, mm."""
    ours, theirs = face_corners(first, "end"), face_corners(second, "start")
    return max(min(math.dist(a, b) for b in theirs) for a in ours)


def _top(part: Part, end: Literal["start", "end"]) -> float:
    return max(z for _, _, z in face_corners(part, end))


def _sawn(assembly: Assembly) -> Iterator[Outcome]:
    """The cuts of every piece, with the corner that two rails are mitered over."""
    miters: dict[tuple[str, _End], tuple[Edit, ...]] = {}
    for before, after in corners(assembly):
        if before.rails and after.rails:
            edits = as_pair(assembly.job, after)
            miters[before.rails[-1], "end"] = miters[after.rails[0], "start"] = edits
    for part in assembly.of_kind("rail"):
        detail = detail_of(part, RailDetail)
        ends: tuple[tuple[_End, str], ...] = (("start", detail.start_on), ("end", detail.end_on))
        for end, joined in ends:
            edits = miters.get((part.mark, end), ()) if joined == "miter" else ()
            yield from _saw(assembly.job, part, end, edits)


def _saw(job: Job, part: Part, end: _End, edits: tuple[Edit, ...]) -> Iterator[Outcome]:
    for name, angle in zip(("miter", "bevel"), cut_angles(part, end), strict=True):
        bound = rule_bound(job, f"practice.saw-{name}", "at most")
        outcome = Outcome(
            "miter.saw-limit",
            (part.mark,),
            abs(angle),
            bound,
            f"the {name} at the {end} of {part.mark} is {abs(angle):.1f} deg, past the saw's "
            f"{bound.value:.0f} deg",
            "saw it standing in a jig, or put two posts at the corner: corner: pair",
            edits,
        )
        if angle:
            yield outcome
