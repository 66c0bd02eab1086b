"""`span.posts` and `span.short`: how far and how near the posts of a leg stand."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.checks.outcome import Outcome, round_up, shop, spec_bound, worst
from generator.checks.view import LegView
from generator.parts.report import Edit
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
    for a, b in zip(view.posts, view.posts[1:], strict=False):
        apart = b.s_mm - a.s_mm
        need = a.plate_half_mm + b.plate_half_mm + gap
        bound = spec_bound(need, "at least", "base plates and practice.plate-gap")
        # Bays are equal, so that each of them must grow by as much.
        more = round_up(job, max(need - apart, 0.0) * (len(view.posts) - 1))
        length = math.dist(view.leg.edge_start[:2], view.leg.edge_end[:2])
        edits = ()
        if view.leg.kind == "level":
            edits = (Edit(f"{view.leg.path}.level", shop(job, round_up(job, length + more))),)
        outcome = Outcome(
            "span.short",
            (a.mark, b.mark),
            apart,
            bound,
            f"{view.leg.label} is too short for its posts: {a.mark} and {b.mark} are "
            f"{shop(job, apart)} apart, their base plates need {shop(job, need)}",
            f"make the leg {shop(job, more)} longer, or leave it out and end the run before it",
            edits,
        )
        if not outcome.passed:
            yield outcome
