"""`handrail.*`: whether a flight has a handrail, at the right height, held, and fit for a hand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from generator.checks.grip import Grip, grips
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
from generator.checks.handrail_need import check_required
from generator.checks.nearby import Nearby
from generator.checks.outcome import (
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
from generator.checks.view import LegView
from generator.parts.assembly import Assembly, Part
from generator.parts.report import Edit
from generator.parts.shapes import Circle, Prism
from generator.spec.job import Job

# A return that ends on a face within this is held there.
_BEARS_MM = 1e-3
_ENDS: tuple[tuple[str, Sense], ...] = (("min", "at least"), ("max", "at most"))


def check_handrails(assembly: Assembly, views: Sequence[LegView]) -> Iterator[Outcome]:
    """Yields what every stair and ramp, and the handrail beside its guard, measure."""
    if all(leg.kind == "level" for leg in assembly.legs):
        return
    nearby = Nearby(assembly, BESIDE)
    for view in views:
        if view.leg.kind != "level":
            found = _leg(assembly.job, nearby, view)
            yield from (outcome for outcome in found if outcome.bound.stated)


def _leg(job: Job, nearby: Nearby, view: LegView) -> Iterator[Outcome]:
    bars = handrail_bars(nearby, view)
    mains = [bar for bar in bars if bar.pitched]
    flight = steps(nearby, view)
    yield from check_required(job, nearby, view, flight, mains)
    if job.handrail and job.handrail.guard:
        yield from _guard_serves(job, view, flight)
    if not mains:
        return
    yield from _heights(job, view, flight, mains)
    yield from _grip(job, [bar.part for bar in mains])
    yield from _clearance(job, nearby, view, mains)
    yield from _projection(job, nearby, view, mains)
    if flight:
        yield from _short(job, flight, mains)
        yield from _extension(job, view, flight, mains)
    ends = open_ends(nearby, view, bars)
    yield from _returns(job, view, ends)
    held = stems(nearby, view, mains)
    held += [(end.s_mm, end.mark) for end in ends if end.gap_mm <= _BEARS_MM]
    yield from _brackets(job, held, mains)


def _guard_serves(job: Job, view: LegView, flight: list[Step]) -> Iterator[Outcome]:
    """The guard's rail where the spec says that it is the handrail: its height and its section."""
    found = [
        ((view.rails[0].mark, step.mark), top - step.top_mm)
        for step in flight
        if (top := view.rail_top_at(step.s_mm)) is not None
    ]
    yield from _in_range(job, "height.stair", found, "guard.stair_height", None)
    yield from _grip(job, [view.assembly.by_mark[mark] for mark in view.leg.rails])


def _heights(job: Job, view: LegView, flight: list[Step], mains: list[Bar]) -> Iterator[Outcome]:
    """The lowest and the highest place of the handrail's top over the nosings, or the ramp."""
    code = "height.stair" if flight else "height.level"
    now = job.handrail.height_mm if job.handrail else None
    yield from _in_range(job, code, list(_tops(view, flight, mains)), "handrail.height", now)


def _in_range(
    job: Job,
    code: str,
    found: list[tuple[tuple[str, ...], float]],
    field: str,
    now_mm: float | None,
) -> Iterator[Outcome]:
    """Heights (marks, height) against both ends of a handrail's range; `field` is what sets it."""
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
                _raised(job, field, now_mm, height, bound.value),
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


def _raised(
    job: Job, field: str, now_mm: float | None, height_mm: float, limit_mm: float
) -> tuple[Edit, ...]:
    """The field set so that the height measured comes to its limit."""
    if job.handrail is None:
        return ()
    value = limit_mm if now_mm is None else now_mm + limit_mm - height_mm
    value = round_up(job, value) if limit_mm > height_mm else round_down(job, value)
    return (Edit(field, shop(job, value)),)


def _grip(job: Job, parts: Sequence[Part]) -> Iterator[Outcome]:
    """Sections against what a hand closes round: for each measure the part that is furthest off."""
    found: dict[tuple[str, Sense], list[Outcome]] = {}
    for part in parts:
        shape = part.shape
        assert isinstance(shape, Prism)
        for grip in grips(job, shape.section.outer):
            outcome = _gripped(job, part, isinstance(shape.section.outer, Circle), grip)
            found.setdefault((grip.words, grip.bound.sense), []).append(outcome)
    for outcomes in found.values():
        yield from worst(iter(outcomes))


def _gripped(job: Job, part: Part, is_round: bool, grip: Grip) -> Outcome:
    bound = grip.bound
    assert bound.value is not None
    target = shop(job, bound.value)
    own = is_round and part.kind == "handrail"
    less = "less" if bound.sense == "at least" else "more"
    return Outcome(
        "handrail.grip",
        (part.mark,),
        grip.measured,
        bound,
        f"a hand does not close round {part.mark}: {grip.words} {fine(job, grip.measured)}, "
        f"{less} than {fine(job, bound.value)}",
        f"a handrail {target} in diameter"
        if own
        else "a round handrail beside the guard (handrail: round), or a rail of a section that a "
        "hand closes round",
        (Edit("handrail.diameter", target),) if own else (Edit("handrail", "round"),),
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


def _projection(job: Job, nearby: Nearby, view: LegView, mains: list[Bar]) -> Iterator[Outcome]:
    """How far the handrail stands into the way, from the foremost face that it runs beside."""
    bound = rule_bound(job, "handrail.projection.max", "at most")
    assert bound.value is not None
    # The pieces are one handrail: where it is joined makes no difference.
    found = [(bar, row) for bar in mains for row in beside(nearby, view, bar)]
    nearest = sorted(found, key=lambda one: one[1][1])[:1]
    yield from worst(
        Outcome(
            "handrail.projection",
            (bar.mark, row[0].mark),
            row[1] + 2 * bar.radius_mm,
            bound,
            f"{bar.mark} stands {fine(job, row[1] + 2 * bar.radius_mm)} into the way from "
            f"{row[0].mark}, more than {shop(job, bound.value)}",
            _nearer_words(job, row[1] + 2 * bar.radius_mm - bound.value),
            _nearer(job, bound.value - 2 * bar.radius_mm - row[1]),
        )
        for bar, row in nearest
    )


def _nearer_words(job: Job, over_mm: float) -> str:
    return f"set the handrail {shop(job, over_mm)} nearer to the guard, or make it thinner"


def _nearer(job: Job, by_mm: float) -> tuple[Edit, ...]:
    """Less room behind the handrail, where a hand still has enough."""
    if job.handrail is None:
        return ()
    wanted = round_down(job, job.handrail.clearance_mm + by_mm)
    least = job.rules.limit("handrail.clearance.min").value
    return (Edit("handrail.clearance", shop(job, wanted)),) if wanted >= least - 1e-6 else ()


def _short(job: Job, flight: list[Step], mains: list[Bar]) -> Iterator[Outcome]:
    """How far the tube ends before the first or the last riser, or is broken between."""
    bound = rule_bound(job, "handrail.short.max", "at most")
    first, last = min(flight, key=lambda s: s.s_mm), max(flight, key=lambda s: s.s_mm)
    low, high = min(mains, key=lambda b: b.low_mm), max(mains, key=lambda b: b.high_mm)
    short = [
        (
            gap,
            (bar.mark, step.mark),
            f"{bar.mark} ends {fine(job, gap)} before the riser at {step.mark}",
        )
        for gap, bar, step in (
            (low.low_mm - first.s_mm, low, first),
            (last.s_mm - high.high_mm, high, last),
        )
    ]
    for a, b in pairwise(sorted(mains, key=lambda bar: bar.low_mm)):
        gap = b.low_mm - a.high_mm
        if gap > _BEARS_MM:
            words = f"between {a.mark} and {b.mark} the handrail is broken for {fine(job, gap)}"
            short.append((gap, (a.mark, b.mark), words))
    yield from worst(
        Outcome(
            "handrail.short",
            where,
            gap,
            bound,
            words,
            "lead the handrail on over the whole flight: keep the stair clear of the guard or wall "
            "that stops it",
        )
        for gap, where, words in short
    )


def _extension(job: Job, view: LegView, flight: list[Step], mains: list[Bar]) -> Iterator[Outcome]:
    """How far the tube goes on past the top and the bottom riser, level."""
    low, high = min(mains, key=lambda b: b.low_mm), max(mains, key=lambda b: b.high_mm)
    up, down = (low, high) if view.down > 0 else (high, low)
    top, bottom = flight[0], flight[-1]
    tread = abs(flight[-1].s_mm - flight[-2].s_mm)
    for end, bar, step in (("top", up, top), ("bottom", down, bottom)):
        bound = rule_bound(job, f"handrail.extension.{end}", "at least")
        if not bound.stated or bound.value is None:
            continue
        if end == "bottom":
            # One tread of this stair (IBC 1014.6); the rule set holds the least that one may be.
            bound = replace(bound, value=max(bound.value, tread))
        assert bound.value is not None
        tip = bar.low_mm if (end == "top") == (view.down > 0) else bar.high_mm
        past = (step.s_mm - tip if end == "top" else tip - step.s_mm) * view.down
        yield Outcome(
            "handrail.extension",
            (bar.mark, step.mark),
            past,
            bound,
            f"{bar.mark} goes {fine(job, max(past, 0.0))} past the riser at {step.mark}; it has to "
            f"go on for {shop(job, bound.value)}",
            f"lead the handrail on at the {end} of the flight: "
            f"{shop(job, round_up(job, bound.value - past))} more, on site or by others",
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
            _closed_words(end, edits),
            edits,
        )
        for end in ends
        for edits in (_closed(job, view, end),)
    )


def _closed_words(end: OpenEnd, edits: tuple[Edit, ...]) -> str:
    """What brings the guard's rail to the end of a handrail, with the lengths of its changes."""
    if not end.past_posts:
        return "a handrail at the height of the guard's rail, or two posts at the corner"
    to = {edit.path: f" ({edit.value})" for edit in edits}
    height, run_on = to.get("handrail.height", ""), to.get("guard.run_on", "")
    return (
        f"a handrail at the height of the guard's rail{height}, and that rail run on to its "
        f"return{run_on}"
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
            f"brackets stand on posts: set the posts at most {shop(job, most)} apart",
            (Edit("guard.max_post_spacing", shop(job, most)),),
        )
        for span, where in spans
    )
