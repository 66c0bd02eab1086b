"""`height.level` and `height.stair`: the rail's top over the walking surface and the nosings.

Rail and floor are straight from breakpoint to breakpoint, so that the lowest place of the whole
line is at one of them: an end of a rail piece, a nosing, a post, the end of a stretch.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from generator.checks.outcome import Bound, Outcome, round_up, rule_bound, shop
from generator.checks.required import as_needed, falls_of, reaches, required_spans
from generator.checks.view import LegView, RailLine
from generator.parts.legs import edge_length
from generator.parts.report import Edit
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.checks.falls import Span

_EPS = 1e-6
# Room to tell a place beside a nosing from the nosing itself.
_BESIDE_MM = 1e-3


def check_heights(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the lowest place of the guard over the leg, where it is required and where it is not.

    Where the fall passes what a lower height holds up to, the height that it stands for holds.
    """
    spans = required_spans(job, view)
    stair = view.leg.kind == "stair"
    yield from as_needed(_stair(job, view, spans) if stair else _level(job, view, spans))
    if stair:
        yield from _flat(job, view)


class _Limits:
    """The least height, and where a greater one holds in its place because of the fall."""

    def __init__(self, job: Job, view: LegView, key: str) -> None:
        self.leg = view.leg
        self.low = self.high = rule_bound(job, key, "at least")
        self.spans: tuple[Span, ...] = ()
        limit, most = job.rules.limit(key), job.rules.limit("guard.height.fall.max")
        stood = limit.replaces
        if stood is None or not most.stated:
            return
        found = falls_of(job, view)
        if found is not None:
            self.spans = found.beyond(most.value)
            self.high = Bound(
                stood.value, "at least", stood.unit, stood.clause, stood.edition, stood.verified
            )

    def at(self, s_mm: float) -> Bound:
        return self.high if reaches(self.spans, self.leg, s_mm, s_mm) else self.low

    @property
    def ends(self) -> Iterator[float]:
        return (s for span in self.spans for s in span)


def _level(job: Job, view: LegView, spans: Sequence[Span] | None) -> Iterator[tuple[Outcome, bool]]:
    limits = _Limits(job, view, "guard.height.level")
    for mark, s, height in (*_at_posts(view), *_along_floor(view, [*_ends(spans), *limits.ends])):
        bound = limits.at(s)
        assert bound.value is not None
        yield (
            Outcome(
                "height.level",
                (mark,),
                height,
                bound,
                f"the rail's top at {mark} is {shop(job, height)} over the walking surface, "
                f"lower than {shop(job, bound.value)}",
                f"raise the guard by {shop(job, round_up(job, bound.value - height))}",
                (Edit("guard.height", shop(job, round_up(job, bound.value))),),
            ),
            reaches(spans, view.leg, s, s),
        )


def _ends(spans: Sequence[Span] | None) -> Iterator[float]:
    return (s for span in spans or () for s in span)


def _at_posts(view: LegView) -> Iterator[tuple[str, float, float]]:
    """(mark, s, height) of the rail's top over the walking surface at each post."""
    for post in view.posts:
        top, floor = view.rail_top_at(post.s_mm), view.floor_at(post.s_mm)
        if top is not None and floor is not None:
            yield post.mark, post.s_mm, top - floor


def _along_floor(view: LegView, marks: Sequence[float]) -> Iterator[tuple[str, float, float]]:
    """(mark, s, height) at the ends of every stretch of rail over the leg's own floor."""
    length = edge_length(view.leg)
    for surface in view.surfaces:
        if surface.mark not in view.leg.surfaces:
            continue
        for rail in view.rails:
            low = max(rail.top.start_mm, surface.start_mm, 0.0)
            high = min(rail.top.end_mm, surface.end_mm, length)
            if high - low <= _EPS:
                continue
            for s in (low, high, *(s for s in marks if low < s < high)):
                yield rail.mark, s, rail.top.at(s) - surface.top_at(s)


def _stair(job: Job, view: LegView, spans: Sequence[Span] | None) -> Iterator[tuple[Outcome, bool]]:
    limits = _Limits(job, view, "guard.height.stair")
    marks = [*_ends(spans), *limits.ends]
    for mark, s, height in (*_at_nosings(view), *_between_nosings(view, marks)):
        bound = limits.at(s)
        assert bound.value is not None
        where = "nosing of" if mark not in view.leg.rails else "line of the nosings at an end of"
        yield (
            Outcome(
                "height.stair",
                (mark,),
                height,
                bound,
                f"the rail's top over the {where} {mark} is {shop(job, height)}, lower than "
                f"{shop(job, bound.value)}",
                f"raise the stair guard by {shop(job, round_up(job, bound.value - height))}",
                (Edit("guard.stair_height", shop(job, round_up(job, bound.value))),),
            ),
            reaches(spans, view.leg, s, s),
        )


def _at_nosings(view: LegView) -> Iterator[tuple[str, float, float]]:
    for step, nosing in view.nosings():
        top = view.rail_top_at(nosing)
        if top is not None:
            yield step.mark, nosing, top - step.top_mm


def _between_nosings(view: LegView, marks: Sequence[float]) -> Iterator[tuple[str, float, float]]:
    """(rail, s, height over the line from nosing to nosing) at the ends of its pieces between."""
    nosings = sorted((nosing, step.top_mm) for step, nosing in view.nosings())
    for rail in view.rails:
        ends = (rail.top.start_mm, rail.top.end_mm)
        for s in (*ends, *(s for s in marks if ends[0] < s < ends[1])):
            for (a, low), (b, high) in pairwise(nosings):
                if a + _BESIDE_MM < s < b - _BESIDE_MM:
                    line = low + (high - low) * (s - a) / (b - a)
                    yield rail.mark, s, rail.top.at(s) - line


def _flat(job: Job, view: LegView) -> Iterator[Outcome]:
    """A note where the stair's rail stands over the upper floor lower than a level guard there.

    The pitched rail falls to its own height over the first nosing; the floor before it is level.
    """
    first = next(iter(view.nosings()), None)
    if first is None or first[0].kind != "deck":
        return
    floor, nosing = first
    bound = rule_bound(job, "guard.height.level", "at least")
    assert bound.value is not None
    for rail in view.rails:
        low, high = _before(rail, nosing, view.down)
        height = min(rail.top.at(s) for s in (low, high)) - floor.top_mm
        if high - low <= _BESIDE_MM or bound.keeps(height):
            continue
        yield Outcome(
            "height.level",
            (rail.mark, floor.mark),
            height,
            replace(bound, sense="none", stated=False),
            f"over the last {shop(job, high - low)} of {floor.mark} before the first nosing "
            f"{rail.mark} comes down to {shop(job, height)} over the floor, where a level guard "
            f"has {shop(job, bound.value)}; whether that counts as stair is for the authority",
            severity="note",
        )


def _before(rail: RailLine, nosing: float, down: float) -> tuple[float, float]:
    """The stretch of a rail that lies on the upper floor's side of the first nosing."""
    start, end = rail.top.start_mm, rail.top.end_mm
    return (start, min(end, nosing)) if down > 0 else (max(start, nosing), end)
