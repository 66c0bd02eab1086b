"""`handrail.required`: where a flight or ramp needs handrails, and what is there to serve as one.

A spec that says nothing of handrails gets a note: one may be on the other side, by others. A spec
that claims one which is not there, or does not reach over the flight, gets a failure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.checks.grip import grips, states_a_grip
from generator.checks.handrail_bars import Bar, Step
from generator.checks.nearby import Nearby
from generator.checks.outcome import Bound, Outcome, fine, shop
from generator.checks.view import LegView
from generator.parts.assembly import Part
from generator.parts.report import Edit, Severity
from generator.parts.shapes import Prism
from generator.spec.job import Job, Stair


def check_required(
    job: Job, nearby: Nearby, view: LegView, flight: Sequence[Step], mains: Sequence[Bar]
) -> Iterator[Outcome]:
    """The sides of a flight or ramp that have a handrail, against those that need one."""
    asked = _asked(job, view, flight)
    if asked is None:
        return
    what, key = asked
    sides, limit = job.rules.limit("handrail.sides"), job.rules.limit(key)
    wanted = max(1.0, sides.value)
    why_not = _guard_is_none(job, view, flight)
    count = _sides(job, nearby, view, mains, wanted, guard=not why_not)
    short_of_both = 0.0 < count < wanted
    clause = sides.clause if short_of_both else limit.clause
    yield Outcome(
        "handrail.required",
        _where(view, flight),
        count,
        Bound(wanted, "at least", "", clause, limit.edition, limit.verified),
        f"{view.leg.label}: {what} needs a handrail on "
        f"{'both sides' if wanted > 1 else 'one side at least'}; {_said(job, count, why_not)}",
        "say what there is: handrail: round for one beside the guard, handrail: elsewhere where "
        "others fit one on the other side (other_side: true beside one of the guard's), handrail: "
        "guard where the guard's rail is to serve",
        _made(job, count),
        severity=_severity(job, count),
    )


def _asked(job: Job, view: LegView, flight: Sequence[Step]) -> tuple[str, str] | None:
    """What needs a handrail, in words, and the key of the limit that says so; None if nothing."""
    limit = job.rules.limit
    if flight:
        count = len(flight)
        rise = (flight[0].top_mm - flight[-1].top_mm) * count / (count - 1)
        enough = rise >= limit("handrail.rise").value - 1e-6
        if count < limit("handrail.risers").value or not enough:
            return None
        key = "handrail.risers" if limit("handrail.risers").stated else "handrail.rise"
        return f"a flight of {count} risers", key
    for surface in view.surfaces:
        if surface.mark not in view.leg.surfaces or not surface.slope:
            continue
        rise = abs(surface.slope) * (surface.end_mm - surface.start_mm)
        words = f"a ramp that rises {shop(job, rise)}, 1 in {1 / abs(surface.slope):.3g},"
        high, steep = limit("handrail.ramp.rise"), limit("handrail.ramp.slope")
        if high.stated and rise > high.value + 1e-6:
            return words, "handrail.ramp.rise"
        if steep.stated and abs(surface.slope) > steep.value + 1e-9:
            return words, "handrail.ramp.slope"
    return None


def _where(view: LegView, flight: Sequence[Step]) -> tuple[str, ...]:
    if flight:
        return (flight[1].mark, flight[-1].mark)
    return view.leg.surfaces[:1]


def _sides(
    job: Job,
    nearby: Nearby,
    view: LegView,
    mains: Sequence[Bar],
    wanted: float,
    *,
    guard: bool,
) -> float:
    """Sides with a handrail: this one, that of a second guard, and what others fit."""
    handrail = job.handrail
    if handrail and handrail.elsewhere:
        return wanted
    count = 1.0 if mains or guard else 0.0
    if handrail and handrail.other_side:
        count += 1.0
    return min(count + _second_guard(job, nearby, view), 2.0)


def _second_guard(job: Job, nearby: Nearby, view: LegView) -> float:
    """1 where another run names the same stair and has a handrail there."""
    if job.handrail is None or not job.handrail.made:
        return 0.0
    named = {
        item.path: item.name
        for run in job.runs
        for item in run.legs
        if isinstance(item, Stair) and item.name
    }
    mine = named.get(view.leg.path)
    others = [
        leg
        for leg in view.assembly.legs
        if mine and leg.path != view.leg.path and named.get(leg.path) == mine
    ]
    return 1.0 if any(nearby.of_leg(leg, "handrail") for leg in others) else 0.0


def _severity(job: Job, count: float) -> Severity:
    """A failure only where the spec claims a handrail and there is none."""
    return "fail" if job.handrail and count == 0.0 else "note"


def _said(job: Job, count: float, why_not: str) -> str:
    handrail = job.handrail
    if handrail and handrail.guard:
        return f"the spec says that the guard's rail serves, but {why_not or 'it does not'}"
    if handrail and not count:
        return "the spec asks for one, and none is there"
    if count:
        return (
            "there is one on this side, and the spec says nothing of the other: no failure, for "
            "others may fit it"
        )
    return (
        f"the guard's rail is none: {why_not}. The spec says nothing of a handrail. That is no "
        "failure, for one on the other side, by others, would serve; see that there is one"
    )


def _made(job: Job, count: float) -> tuple[Edit, ...]:
    """A round handrail beside the guard, where it would bring no failure of its own."""
    extends = any(job.rules.limit(f"handrail.extension.{end}").stated for end in ("top", "bottom"))
    claims = job.handrail is not None and not job.handrail.guard
    return () if count or claims or extends else (Edit("handrail", "round"),)


def _guard_is_none(job: Job, view: LegView, flight: Sequence[Step]) -> str:
    """Why the guard's own rail is no handrail; empty where it is one.

    Where the spec says that it is, its section is judged as `handrail.grip` and its height as
    `height.stair`; what is left is whether it reaches over the whole flight.
    """
    claimed = job.handrail is not None and job.handrail.guard
    rails = [view.assembly.by_mark[mark] for mark in view.leg.rails]
    if not rails:
        return "there is no rail"
    if not claimed and not states_a_grip(job):
        return "the rule set says nothing of what a hand closes round"
    if not claimed:
        for rail in rails:
            misfit = section_misfit(job, rail)
            if misfit:
                return misfit
    low, high = (job.rules.limit(f"handrail.height.{end}").value for end in ("min", "max"))
    for step in flight or _ramp_ends(view):
        top = view.rail_top_at(step.s_mm)
        if top is None:
            return f"it does not reach over the nosing of {step.mark}"
        height = top - step.top_mm
        if not claimed and not low - 1e-6 <= height <= high + 1e-6:
            return f"its top is {shop(job, height)} over {step.mark}, not {_between(job)}"
    return ""


def _ramp_ends(view: LegView) -> list[Step]:
    """A ramp where its posts stand first and last."""
    return [
        Step(surface.mark, s, surface.top_at(s))
        for surface in view.surfaces
        if surface.mark in view.leg.surfaces
        for s in (view.posts[0].s_mm, view.posts[-1].s_mm)
        if surface.start_mm <= s <= surface.end_mm
    ]


def section_misfit(job: Job, rail: Part) -> str:
    """Why a hand does not close round a rail, in words; empty where it does."""
    shape = rail.shape
    assert isinstance(shape, Prism)
    for grip in grips(job, shape.section.outer):
        if not grip.holds:
            assert grip.bound.value is not None
            beyond = "under" if grip.bound.sense == "at least" else "over"
            return (
                f"a hand does not close round {rail.mark}, {grip.words} "
                f"{fine(job, grip.measured)}, {beyond} {fine(job, grip.bound.value)} "
                f"({grip.bound.clause})"
            )
    return ""


def _between(job: Job) -> str:
    low, high = (job.rules.limit(f"handrail.height.{end}") for end in ("min", "max"))
    upper = f" to {shop(job, high.value)}" if high.stated else " or more"
    return f"{shop(job, low.value)}{upper}"
