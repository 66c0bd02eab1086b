"""`span.posts` and `span.short`: how far and how near the posts of a leg stand."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.checks.outcome import Outcome, round_up, shop, spec_bound, worst
from generator.checks.view import LegView
from generator.parts.assembly import CableDetail, Part, detail_of
from generator.parts.report import Edit
from generator.parts.shapes import Turned
from generator.spec.job import Job


def check_spans(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the widest bay, and every pair of posts that stands too close."""
    yield from worst(_wide(job, view))
    yield from _short(job, view)


def _wide(job: Job, view: LegView) -> Iterator[Outcome]:
    stretch = 1.0 / math.cos(math.radians(view.leg.pitch_deg))
    bound = spec_bound(job.guard.max_post_spacing_mm, "at most", "guard.max_post_spacing")
    for a, b in zip(view.posts, view.posts[1:], strict=False):
        bay = (b.s_mm - a.s_mm) * stretch
        yield Outcome(
            "span.posts",
            (a.mark, b.mark),
            bay,
            bound,
            f"bay {a.mark} to {b.mark} is {shop(job, bay)} along the leg, "
            f"more than {shop(job, job.guard.max_post_spacing_mm)}",
            f"put a post between {a.mark} and {b.mark}, or let posts stand "
            f"{shop(job, round_up(job, bay))} apart if rail and loads allow",
            (Edit("guard.max_post_spacing", shop(job, round_up(job, bay))),),
        )


def _short(job: Job, view: LegView) -> Iterator[Outcome]:
    gap = job.rules.limit("practice.plate-gap").value
    ends = _ends_need(job, view)
    for a, b in zip(view.posts, view.posts[1:], strict=False):
        apart = b.s_mm - a.s_mm
        plates = a.plate_half_mm + b.plate_half_mm + gap
        need = max(plates, ends)
        what = "base plates" if need == plates else "cables' fittings"
        bound = spec_bound(need, "at least", f"{what} and the gap between them")
        if bound.keeps(apart):
            continue
        from generator.checks.room import make_room

        remedy, edits = make_room(job, view, apart, need)
        yield Outcome(
            "span.short",
            (a.mark, b.mark),
            apart,
            bound,
            f"{view.leg.label} is too short for its posts: {a.mark} and {b.mark} are "
            f"{shop(job, apart)} apart, their {what} need {shop(job, need)}",
            remedy,
            edits,
        )


def _ends_need(job: Job, view: LegView) -> float:
    """What two posts need between which cables begin and end: their fittings and a gap.

    0 where a leg has more posts, or its cables go on. A leg too short to carry cables is taken to
    have fittings like others of the job.
    """
    marks = [post.mark for post in view.posts]
    parts = view.assembly.by_mark
    cables = [parts[mark] for mark in view.leg.cables]
    held = [c for c in cables if set(detail_of(c, CableDetail).posts) == set(marks)]
    if len(marks) != 2 or (cables and not held):
        return 0.0
    names = {f"F{cable.mark[1:]}{end}" for cable in held for end in "SE"}
    fittings = [parts[name] for name in sorted(names & parts.keys())]
    reaches = [
        _reach(parts[one.belongs_to], one)
        for one in fittings or view.assembly.of_kind("fitting")
        if one.belongs_to in parts
    ]
    gap = job.rules.limit("practice.fittings-gap").value
    return 2 * max(reaches) + gap if reaches else 0.0


def _reach(post: Part, fitting: Part) -> float:
    """How far a fitting reaches from its post's axis to where its cable begins, level."""
    shape = fitting.shape
    assert isinstance(shape, Turned)
    mouth = fitting.place.point((0.0, 0.0, shape.steps[-1].end_mm))
    return math.dist(mouth[:2], post.place.origin[:2])
