"""`handrail.*`: whether a flight has a handrail, at the right height, held, and fit for a hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from generator.checks.handrail_bars import (
    BESIDE,
    Bar,
    OpenEnd,
    Step,
    beside,
    handrail_bars,
    open_ends,
    stems,
    steps,
)
from generator.checks.nearby import Nearby
from generator.checks.outcome import (
    Bound,
    Outcome,
    Sense,
    fine,
    round_down,
    round_up,
    rule_bound,
    shop,
    spec_bound,
    worst,
)
from generator.checks.view import LegView, leg_views
from generator.parts.assembly import Assembly, Part
from generator.parts.report import Edit
from generator.parts.shapes import Prism, Rectangle
from generator.spec.job import Job

# A return that ends on a face within this is held there.
_BEARS_MM = 1e-3
_ENDS: tuple[tuple[str, Sense], ...] = (("min", "at least"), ("max", "at most"))


def check_handrails(assembly: Assembly) -> Iterator[Outcome]:
    """Yields what every stair and ramp, and the handrail beside its guard, measure."""
    if all(leg.kind == "level" for leg in assembly.legs):
        return
    nearby = Nearby(assembly, BESIDE)
    for view in leg_views(assembly):
        if view.leg.kind != "level":
            yield from _leg(assembly.job, nearby, view)


def _leg(job: Job, nearby: Nearby, view: LegView) -> Iterator[Outcome]:
    bars = handrail_bars(nearby, view)
    mains = [bar for bar in bars if bar.pitched]
    flight = steps(nearby, view)
    if flight:
        yield from _required(job, view, flight, mains)
    if not mains:
        return
    yield from _heights(job, view, flight, mains)
    yield from _grip(job, mains)
    yield from _clearance(job, nearby, view, mains)
    if flight:
        yield from _short(job, flight, mains)
    ends = open_ends(nearby, view, bars)
    yield from _returns(job, view, ends)
    held = stems(nearby, view, mains)
    held += [(end.s_mm, end.mark) for end in ends if end.gap_mm <= _BEARS_MM]
    yield from _brackets(job, held, mains)


def _required(job: Job, view: LegView, flight: list[Step], mains: list[Bar]) -> Iterator[Outcome]:
    """One handrail at least beside a flight of so many risers; a note where none is asked for."""
    limit = job.rules.limit("handrail.risers")
    # A riser under every nosing.
    risers = len(flight)
    if risers < limit.value:
        return
    elsewhere = job.handrail is not None and job.handrail.elsewhere
    count = 1 if mains or elsewhere or _graspable_guard(job, view, flight) else 0
    yield Outcome(
        "handrail.required",
        (flight[1].mark, flight[-1].mark),
        float(count),
        Bound(1.0, "at least", "", limit.clause, limit.edition, limit.verified),
        f"{view.leg.label}: a flight of {risers} risers needs a handrail on one side at least; the "
        "guard's rail is none, and the spec names no other",
        "give a handrail (handrail: {}), or say handrail: elsewhere where one is fitted on the "
        "other side",
        severity="fail" if job.handrail else "note",
    )


def _graspable_guard(job: Job, view: LegView, flight: list[Step]) -> bool:
    """Whether the guard's rail is one of Type I, at a handrail's height over every nosing."""
    rails = [view.assembly.by_mark[mark] for mark in view.leg.rails]
    if not rails or not all(graspable(job, rail) for rail in rails):
        return False
    low, high = (job.rules.limit(f"handrail.height.{end}").value for end in ("min", "max"))
    tops = [(view.rail_top_at(step.s_mm), step.top_mm) for step in flight]
    return all(top is not None and low - 1e-6 <= top - z <= high + 1e-6 for top, z in tops)


def graspable(job: Job, rail: Part) -> bool:
    """Whether a rail's section is one of Type I: perimeter and measure across, or a round's."""
    shape = rail.shape
    assert isinstance(shape, Prism)
    outline, limit = shape.section.outer, job.rules.limit
    if not isinstance(outline, Rectangle):
        low, high = limit("handrail.diameter.min").value, limit("handrail.diameter.max").value
        width = outline.corners[1][0] - outline.corners[0][0]
        return low <= width <= high
    width, depth, corner = outline.width_mm, outline.depth_mm, outline.corner_mm
    perimeter = 2 * (width + depth) - (8 - 2 * math.pi) * corner
    across = math.hypot(width - 2 * corner, depth - 2 * corner) + 2 * corner
    low, high = limit("handrail.perimeter.min").value, limit("handrail.perimeter.max").value
    return low <= perimeter <= high and across <= limit("handrail.section.max").value


def _heights(job: Job, view: LegView, flight: list[Step], mains: list[Bar]) -> Iterator[Outcome]:
    """The lowest and the highest place of the handrail's top over the nosings, or the ramp."""
    code = "height.stair" if flight else "height.level"
    found = list(_tops(view, flight, mains))
    for end, sense in _ENDS:
        bound = rule_bound(job, f"handrail.height.{end}", sense)
        assert bound.value is not None
        low = sense == "at least"
        yield from worst(
            Outcome(
                code,
                where,
                height,
                bound,
                f"the top of the handrail {where[0]} over {where[-1]} is {shop(job, height)}, "
                f"{'lower' if low else 'higher'} than {shop(job, bound.value)}",
                f"{'raise' if low else 'lower'} the handrail by "
                f"{shop(job, round_up(job, abs(bound.value - height)))}",
                _raised(job, bound.value - height),
            )
            for where, height in found
        )


def _tops(
    view: LegView, flight: list[Step], mains: list[Bar]
) -> Iterator[tuple[tuple[str, ...], float]]:
    """(marks, height of the top, plumb) over each nosing, or over the ramp at the tube's ends."""
    for bar in mains:
        for step in flight:
            if bar.low_mm - 1e-6 <= step.s_mm <= bar.high_mm + 1e-6:
                yield (bar.mark, step.mark), bar.top_at(step.s_mm) - step.top_mm
        if flight:
            continue
        for surface in view.surfaces:
            low, high = max(bar.low_mm, surface.start_mm), min(bar.high_mm, surface.end_mm)
            if surface.mark in view.leg.surfaces and low <= high:
                for s in (low, high):
                    yield (bar.mark, surface.mark), bar.top_at(s) - surface.top_at(s)


def _raised(job: Job, by_mm: float) -> tuple[Edit, ...]:
    if job.handrail is None:
        return ()
    height = job.handrail.height_mm + by_mm
    value = round_up(job, height) if by_mm > 0 else round_down(job, height)
    return (Edit("handrail.height", shop(job, value)),)


def _grip(job: Job, mains: list[Bar]) -> Iterator[Outcome]:
    """The thinnest and the thickest tube against what a hand closes round."""
    for end, sense in _ENDS:
        bound = rule_bound(job, f"handrail.diameter.{end}", sense)
        assert bound.value is not None
        target = shop(job, bound.value)
        yield from worst(
            Outcome(
                "handrail.grip",
                (bar.mark,),
                2 * bar.radius_mm,
                bound,
                f"{bar.mark} is {shop(job, 2 * bar.radius_mm)} thick, "
                f"{'less' if sense == 'at least' else 'more'} than {target}",
                f"a handrail {target} in diameter",
                (Edit("handrail.diameter", target),),
            )
            for bar in mains
        )


def _clearance(job: Job, nearby: Nearby, view: LegView, mains: list[Bar]) -> Iterator[Outcome]:
    """The least room for a hand between the tube and a post or rail beside it."""
    bound = rule_bound(job, "handrail.clearance.min", "at least")
    assert bound.value is not None
    yield from worst(
        Outcome(
            "handrail.clearance",
            (bar.mark, part.mark),
            gap,
            bound,
            f"between {bar.mark} and {part.mark} there are {fine(job, gap)}; a hand wants "
            f"{shop(job, bound.value)}",
            f"set the handrail {shop(job, round_up(job, bound.value - gap))} further off the guard",
            _further(job, bound.value - gap),
        )
        for bar in mains
        for part, gap in beside(nearby, view, bar)
    )


def _further(job: Job, by_mm: float) -> tuple[Edit, ...]:
    if job.handrail is None:
        return ()
    wanted = round_up(job, job.handrail.clearance_mm + by_mm)
    return (Edit("handrail.clearance", shop(job, wanted)),)


def _short(job: Job, flight: list[Step], mains: list[Bar]) -> Iterator[Outcome]:
    """How far the tube ends before the first or the last riser of the flight."""
    bound = rule_bound(job, "handrail.short.max", "at most")
    first, last = min(flight, key=lambda s: s.s_mm), max(flight, key=lambda s: s.s_mm)
    low, high = min(mains, key=lambda b: b.low_mm), max(mains, key=lambda b: b.high_mm)
    short = [(low.low_mm - first.s_mm, low, first), (last.s_mm - high.high_mm, high, last)]
    yield from worst(
        Outcome(
            "handrail.short",
            (bar.mark, step.mark),
            gap,
            bound,
            f"{bar.mark} ends {fine(job, gap)} before the riser at {step.mark}",
            "lead the handrail on over the whole flight: keep the stair clear of the guard that "
            "stops it",
        )
        for gap, bar, step in short
    )


def _returns(job: Job, view: LegView, ends: list[OpenEnd]) -> Iterator[Outcome]:
    """The widest gap between an end of the handrail and what it returns to."""
    bound = rule_bound(job, "handrail.return-gap", "at most")
    yield from worst(
        Outcome(
            "handrail.return",
            (end.mark, end.nearest),
            end.gap_mm,
            bound,
            f"the end of {end.mark} is {fine(job, end.gap_mm)} from {end.nearest}, open to a "
            "sleeve or strap",
            "a handrail at the height of the guard's rail, and that rail run on to its return"
            if end.past_posts
            else "a handrail at the height of the guard's rail, or two posts at the corner",
            _closed(job, view, end),
        )
        for end in ends
    )


def _closed(job: Job, view: LegView, end: OpenEnd) -> tuple[Edit, ...]:
    """The handrail to the height of the guard's rail, and that rail on to the return."""
    guard, handrail = job.guard, job.handrail
    height = guard.stair_height_mm if view.leg.kind == "stair" else guard.height_mm
    low, high = (job.rules.limit(f"handrail.height.{side}").value for side in ("min", "max"))
    if handrail is None or not view.rails or not low <= height <= high:
        return ()
    edits = []
    if abs(handrail.height_mm - height) > 1e-6:
        edits.append(Edit("handrail.height", shop(job, height)))
    begins = min(rail.top.start_mm for rail in view.rails)
    ends = max(rail.top.end_mm for rail in view.rails)
    missing = max(begins - end.s_mm, end.s_mm - ends)
    if end.past_posts and missing > 0.0:
        edits.append(Edit("guard.run_on", shop(job, round_up(job, guard.run_on_mm + missing))))
    return tuple(edits)


def _brackets(job: Job, held: list[tuple[float, str]], mains: list[Bar]) -> Iterator[Outcome]:
    """The longest way along the tube from one place where it is held to the next."""
    if job.handrail is None:
        return
    stretch = math.hypot(1.0, mains[0].slope)
    spans = [((b - a) * stretch, (i, j)) for (a, i), (b, j) in pairwise(sorted(held))]
    if not spans:
        whole = max(bar.high_mm for bar in mains) - min(bar.low_mm for bar in mains)
        spans = [(whole * stretch, (mains[0].mark,))]
    most = job.handrail.max_bracket_spacing_mm
    bound = spec_bound(most, "at most", "handrail.bracket_spacing")
    yield from worst(
        Outcome(
            "handrail.brackets",
            where,
            span,
            bound,
            f"the handrail spans {shop(job, span)} from {where[0]} to {where[-1]}, more than "
            f"{shop(job, most)}",
            "brackets stand on posts: set the posts closer (guard.max_post_spacing)",
        )
        for span, where in spans
    )
