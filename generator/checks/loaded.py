"""`opening.loaded`: the force at which the sphere is pushed through tensioned cables.

The force is always told. It is held against what the job asks for (`guard.sphere_force`) and what
its rule set does: a force that spreads the cables, or one on a cone between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from generator.checks.gaps import Gap, gaps_of
from generator.checks.outcome import Bound, Outcome, rule_bound, shop
from generator.checks.view import LegView
from generator.parts.report import Edit
from generator.spec.job import Job
from generator.strength.sphere import TautCable, cone_force

NEWTON_PER_LBF = 4.4482216152605

_SPREAD, _CONE = "opening.spread.force", "opening.cone.force"


def check_loaded(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the least force of the leg, and what each criterion of the job says to it."""
    if not view.cables:
        return
    gaps = gaps_of(job, view)
    forces = [(gap.push(job.guard.tension_n), gap) for gap in gaps]
    forces = [(force, gap) for force, gap in forces if math.isfinite(force)]
    if not forces:
        return
    force, worst = min(forces, key=lambda pair: round(pair[0], 9))
    yield from _pushed(job, gaps, force, worst)
    if job.rules.limit(_SPREAD).stated:
        yield from _spread(job, gaps)
    if job.rules.limit(_CONE).stated:
        yield from _wires(job, view, gaps)


def _wires(job: Job, view: LegView, gaps: list[Gap]) -> Iterator[Outcome]:
    """The tables for wire where they answer, else the cone itself; few rule sets have either."""
    from generator.checks.wires import check_wires

    found = list(check_wires(job, view))
    yield from found
    if not found:
        yield from _cone(job, gaps)


def _pushed(job: Job, gaps: list[Gap], force: float, gap: Gap) -> Iterator[Outcome]:
    """The force on the sphere: told, kept or not, and held against what the job asks for."""
    message = f"{_pushes(job, gap, force)}; {_says(job)}"
    asked = job.guard.sphere_force_n
    if asked is not None and not gap.open_at_rest:
        bound = Bound(asked, "at least", "N", "guard.sphere_force", "job spec", True)
        words, edits = _remedy(
            job, gaps, asked, lambda gap, tension: gap.push(tension), bound, force
        )
        yield Outcome(
            "opening.loaded",
            gap.where,
            force,
            bound,
            message,
            words,
            edits,
            severity="fail",
        )
        if not bound.keeps(force):
            return
    usual = job.rules.limit("practice.loaded-span").value
    wide = max(gap.span_mm for gap in gaps) > usual + 1e-6 and not _criterion(job)
    rule = rule_bound(job, "practice.loaded-span", "none")
    yield Outcome(
        "opening.loaded",
        gap.where,
        force,
        Bound(None, "none", "N", rule.clause, rule.edition, rule.verified),
        message + (f"; spans over {shop(job, usual)} are not customary" if wide else ""),
        "put spacers or posts closer" if wide else "",
        (Edit("guard.max_cable_span", shop(job, usual)),) if wide else (),
        severity="warn" if wide else "note",
    )


def _spread(job: Job, gaps: list[Gap]) -> Iterator[Outcome]:
    """The force on two neighbours, away from each other, at which the sphere passes between."""
    bound, tension = rule_bound(job, _SPREAD, "at least"), job.guard.tension_n
    closed = [gap for gap in gaps if not gap.open_at_rest]
    if not closed:
        return
    assert bound.value is not None
    gap = min(closed, key=lambda gap: round(gap.spread(tension), 9))
    force = gap.spread(tension)
    words, edits = _remedy(
        job, closed, bound.value, lambda gap, tension: gap.spread(tension), bound, force
    )
    stretched = gap.spread(tension, _stiffness(job))
    yield Outcome(
        "opening.loaded",
        gap.where,
        force,
        bound,
        f"{_force(job, force)} on each of {_sides(gap)}, away from each other at mid-span "
        f"{_span(job, gap)}, open them to a sphere of "
        f"{shop(job, gap.sphere_mm)} at a tension of {_force(job, tension)} "
        f"({_force(job, stretched)} with the cable's own stretch); they must stay closed at "
        f"{_force(job, bound.value)}, which the clause asks of upright members",
        words,
        edits,
        severity="fail",
    )


def _cone(job: Job, gaps: list[Gap]) -> Iterator[Outcome]:
    """The force on the cone between two cables, where the tables do not answer."""
    bound, tension = rule_bound(job, _CONE, "at least"), job.guard.tension_n
    pairs = [gap for gap in gaps if gap.kind == "cable" and not gap.open_at_rest]
    if not pairs:
        return
    assert bound.value is not None
    base, length, nose = (
        job.rules.limit(f"opening.cone.{key}").value for key in ("diameter", "length", "nose")
    )

    def push(gap: Gap, tension: float, stiffness: float = 0.0) -> float:
        cable = TautCable(tension, gap.span_mm, stiffness, gap.free_mm)
        return cone_force(cable, base, length, nose, gap.cable_mm, gap.distance_mm)

    gap = min(pairs, key=lambda gap: round(push(gap, tension), 9))
    force = push(gap, tension)
    words, edits = _remedy(job, pairs, bound.value, push, bound, force)
    yield Outcome(
        "opening.loaded",
        gap.where,
        force,
        bound,
        f"the tables for wire hold no value for this cable, spacing and span; by statics alone, "
        f"without friction and not validated by a test, {_force(job, force)} pull a cone of "
        f"{shop(job, base)} between {_sides(gap)} {_span(job, gap)} "
        f"({_force(job, push(gap, tension, _stiffness(job)))} with the cable's own stretch); "
        f"the test pulls with {_force(job, bound.value)}",
        words,
        edits,
        severity="fail",
    )


def _remedy(
    job: Job,
    gaps: list[Gap],
    need: float,
    value: Callable[[Gap, float], float],
    bound: Bound,
    measured: float,
) -> tuple[str, tuple[Edit, ...]]:
    if bound.keeps(measured):
        return "", ()
    from generator.checks.loaded_remedy import held_by

    remedy = held_by(job, [gap for gap in gaps if not gap.open_at_rest], need, value)
    return remedy.words, remedy.edits


def _criterion(job: Job) -> bool:
    stated = job.rules.limit(_SPREAD).stated or job.rules.limit(_CONE).stated
    return stated or job.guard.sphere_force_n is not None


def _says(job: Job) -> str:
    """What the job's rules say of a force, in words."""
    if job.guard.sphere_force_n is not None:
        return f"the job asks for {_force(job, job.guard.sphere_force_n)}"
    for key, words in (
        (_SPREAD, "asks for a force that spreads the cables, not for one on a sphere"),
        (_CONE, "has a test with a cone and tables for the tension, no force on a sphere"),
    ):
        limit = job.rules.limit(key)
        if limit.stated:
            return f"{job.rules.edition} ({limit.clause}) {words}"
    return f"{job.rules.edition} states no force"


def _pushes(job: Job, gap: Gap, force: float) -> str:
    tension = job.guard.tension_n
    if gap.open_at_rest:
        return f"a sphere of {shop(job, gap.sphere_mm)} passes between {_sides(gap)} at rest"
    stretched = gap.push_stretched(tension, _stiffness(job))
    return (
        f"{_force(job, force)} at mid-span {_span(job, gap)} push a sphere of "
        f"{shop(job, gap.sphere_mm)} between {_sides(gap)} at a tension of "
        f"{_force(job, tension)} that holds, without friction; {_force(job, stretched)} with the "
        f"cable's own stretch"
    )


def _sides(gap: Gap) -> str:
    first, second = gap.where[:2]
    if gap.kind == "rail":
        return f"{first} and the rail {second}"
    if gap.kind == "floor":
        return f"the floor {first} and {second}"
    return f"{first} and {second}"


def _span(job: Job, gap: Gap) -> str:
    start, end = gap.where[2:]
    if gap.kind != "cable" and gap.bay_mm > gap.span_mm + 1e-6:
        bars = f"{shop(job, gap.span_mm)} from bar to bar, which give way with the cable"
        return f"between {start} and {end} ({bars})"
    return f"between {start} and {end} ({shop(job, gap.span_mm)} centre to centre)"


def _stiffness(job: Job) -> float:
    """EA of the job's cable, N."""
    return job.system.cable.modulus_mpa * job.system.cable.area_mm2


def _force(job: Job, newtons: float) -> str:
    if job.metric:
        return f"{newtons:.1f} N"
    return f"{newtons / NEWTON_PER_LBF:.2f} lbf"
