"""`opening.end`: the gap between the two posts of a corner, and between a post and a wall."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from generator.checks.corners import as_single
from generator.checks.joints import corners
from generator.checks.outcome import Bound, Outcome, fine, round_down, rule_bound, shop
from generator.checks.required import End, as_voluntary, voluntary_ends
from generator.errors import InputError
from generator.geometry import Vec2, foot_on
from generator.parts.assembly import Assembly, LegLine, Part
from generator.parts.report import Edit
from generator.parts.shapes import Prism
from generator.spec.job import Job


def check_end_gaps(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the gap at every corner with two posts and at every wall.

    Where no guard is required the limit binds nobody, unless the code has one for such guards.
    """
    found: list[tuple[Outcome, set[End]]] = []
    for before, after in corners(assembly):
        if before.end_joint == after.start_joint == "pair" and before.posts and after.posts:
            ends = {(before.run, before.number, "end"), (after.run, after.number, "start")}
            found.append((_between_posts(assembly, before, after), ends))
    for wall in assembly.of_kind("wall"):
        outcome, end = _at_wall(assembly, wall)
        found.append((outcome, {end}))
    binding = assembly.job.rules.limit("guard.voluntary.sphere").stated
    broken = any(not outcome.passed for outcome, _ in found)
    free = voluntary_ends(assembly) if broken and not binding else set()
    yield from (as_voluntary(outcome) if ends <= free else outcome for outcome, ends in found)


def _between_posts(assembly: Assembly, before: LegLine, after: LegLine) -> Outcome:
    job = assembly.job
    first, second = assembly.by_mark[before.posts[-1]], assembly.by_mark[after.posts[0]]
    gap = plan_distance(_plan(first), _plan(second))
    bound = rule_bound(job, "opening.end", "less than")
    assert bound.value is not None
    edits: tuple[Edit, ...] = ()
    if not bound.keeps(gap):
        edits = _closer(job, before, after, bound)
    return Outcome(
        "opening.end",
        (first.mark, second.mark),
        gap,
        bound,
        f"the clear gap between {first.mark} and {second.mark} is {fine(job, gap)}; a sphere of "
        f"{shop(job, bound.value)} passes",
        "set the two posts closer, or one post at the corner: corner: single",
        edits,
    )


def _closer(job: Job, before: LegLine, after: LegLine, bound: Bound) -> tuple[Edit, ...]:
    """Two posts as near as base plates let them stand, or one in place of them."""
    from generator.checks.room import pair_finds_room

    if job.guard.pair_offset_mm and pair_finds_room(job, before, after):
        # The setback of a stair's first post may be what keeps them apart: it is tried.
        near = _without_offset(job, before, after)
        if near is not None and bound.keeps(near):
            return (Edit("guard.pair_offset", "none"),)
    # Where a stair comes in, one post would only trade this for a twisted miter.
    return as_single(job, after) if before.kind == after.kind == "level" else ()


def _without_offset(job: Job, before: LegLine, after: LegLine) -> float | None:
    """The gap between the posts of a corner that no offset sets apart; None where none is."""
    from generator.layout import layout
    from generator.parts.build import assemble

    nearer = replace(job, guard=replace(job.guard, pair_offset_mm=None))
    try:
        assembly = assemble(layout(nearer))
    except InputError:
        return None
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    first, second = (legs[leg.run, leg.number].posts for leg in (before, after))
    if not first or not second:
        return None
    return plan_distance(*(_plan(assembly.by_mark[mark]) for mark in (first[-1], second[0])))


def _at_wall(assembly: Assembly, wall: Part) -> tuple[Outcome, End]:
    """The gap to the post of the wall's own leg that stands nearest to it, and that leg's end."""
    job = assembly.job
    leg = next(leg for leg in assembly.legs if (leg.run, leg.number) == (wall.run, wall.leg))
    gap, mark = min(
        (plan_distance(_plan(assembly.by_mark[mark]), _plan(wall)), mark) for mark in leg.posts
    )
    bound = rule_bound(job, "opening.end", "less than")
    assert bound.value is not None
    nearer = round_down(job, job.guard.wall_gap_mm - (gap - bound.value) - 1e-3)
    end = "start" if mark == leg.posts[0] else "end"
    outcome = Outcome(
        "opening.end",
        (mark, wall.mark),
        gap,
        bound,
        f"the clear gap between {mark} and {wall.mark} is {fine(job, gap)}; a sphere of "
        f"{shop(job, bound.value)} passes",
        f"set the post {shop(job, nearer)} off the wall or less",
        (Edit("guard.wall_gap", shop(job, nearer)),) if nearer > 0.0 else (),
    )
    return outcome, (leg.run, leg.number, end)


def _plan(part: Part) -> list[Vec2]:
    shape = part.shape
    assert isinstance(shape, Prism)
    return [part.place.point((x, y, 0.0))[:2] for x, y in shape.section.outer.corners]


def plan_distance(a: Sequence[Vec2], b: Sequence[Vec2]) -> float:
    """Shortest distance of two convex plans that do not overlap: corner to side, either way."""
    return min(
        math.dist(corner, foot_on(corner, theirs[k - 1], theirs[k]))
        for ours, theirs in ((a, b), (b, a))
        for corner in ours
        for k in range(len(theirs))
    )
