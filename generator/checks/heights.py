"""`height.level` and `height.stair`: the rail's top over the walking surface and the nosings."""

from __future__ import annotations

from collections.abc import Iterator

from generator.checks.outcome import Outcome, round_up, rule_bound, shop, worst
from generator.checks.view import LegView
from generator.parts.report import Edit
from generator.spec.job import Job


def check_heights(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the lowest place of the guard over the leg."""
    yield from worst(_stair(job, view) if view.leg.kind == "stair" else _level(job, view))


def _level(job: Job, view: LegView) -> Iterator[Outcome]:
    bound = rule_bound(job, "guard.height.level", "at least")
    assert bound.value is not None
    for post in view.posts:
        top, floor = view.rail_top_at(post.s_mm), view.floor_at(post.s_mm)
        if top is None or floor is None:
            continue
        height = top - floor
        yield Outcome(
            "height.level",
            (post.mark,),
            height,
            bound,
            f"the rail's top at {post.mark} is {shop(job, height)} over the walking surface, "
            f"lower than {shop(job, bound.value)}",
            f"raise the guard by {shop(job, round_up(job, bound.value - height))}",
            (Edit("guard.height", shop(job, round_up(job, bound.value))),),
        )


def _stair(job: Job, view: LegView) -> Iterator[Outcome]:
    bound = rule_bound(job, "guard.height.stair", "at least")
    assert bound.value is not None
    for step, nosing in view.nosings():
        top = view.rail_top_at(nosing)
        if top is None:
            continue
        height = top - step.top_mm
        yield Outcome(
            "height.stair",
            (step.mark,),
            height,
            bound,
            f"the rail's top over the nosing of {step.mark} is {shop(job, height)}, lower than "
            f"{shop(job, bound.value)}",
            f"raise the stair guard by {shop(job, round_up(job, bound.value - height))}",
            (Edit("guard.stair_height", shop(job, round_up(job, bound.value))),),
        )
