"""Openings at edges: over the nosings, through open risers, and behind a guard outside its edge.

Not every code sets a limit for them; where the rule set states none, nothing is measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from generator.checks.outcome import Outcome, fine, round_down, rule_bound, shop
from generator.checks.required import falls_of, reaches
from generator.checks.view import CableLine, LegView, Surface
from generator.geometry import Vec3, dot, left_of, sub
from generator.parts.report import Edit
from generator.parts.shapes import Prism, Route
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.checks.falls import Span

_EPS = 1e-6


def edge_openings(
    job: Job, view: LegView, spans: Sequence[Span] | None
) -> Iterator[tuple[Outcome, bool]]:
    """Openings at the edges of a leg, each with whether a guard is required there."""
    limit = job.rules.limit
    if view.leg.kind == "stair":
        if limit("opening.nosing").stated:
            yield from _over_nosings(job, view, spans)
        if limit("opening.riser").stated:
            # A riser is the stair's own; it is closed whether or not a guard is required.
            yield from ((outcome, True) for outcome in _risers(job, view))
    elif limit("opening.fascia").stated:
        yield from _behind(job, view, spans)


def _over_nosings(
    job: Job, view: LegView, spans: Sequence[Span] | None
) -> Iterator[tuple[Outcome, bool]]:
    """From each nosing to the underside of the lowest cable, square to the cable."""
    bound = rule_bound(job, "opening.nosing", "less than")
    assert bound.value is not None
    for step, nosing in view.nosings():
        lowest = view.lowest_at(nosing)
        axis = lowest.axis
        if not axis.start_mm - _EPS <= nosing <= axis.end_mm + _EPS:
            continue
        gap = (axis.at(nosing) - step.top_mm) * axis.cosine - lowest.radius_mm
        lower_by = (gap - bound.value) / axis.cosine
        shift = round_down(job, job.guard.bottom_gap_mm - lower_by - 1e-3)
        outcome = Outcome(
            "opening.nosing",
            (step.mark, lowest.mark),
            gap,
            bound,
            f"{lowest.mark} passes {fine(job, gap)} over the nosing of {step.mark}; a sphere of "
            f"{shop(job, bound.value)} passes under it",
            f"lower the cables of the stair: a bottom gap of {shop(job, shift)}",
            (Edit("guard.bottom_gap", shop(job, shift)),) if shift > 0 else (),
        )
        yield outcome, reaches(spans, view.leg, nosing, nosing)


def _risers(job: Job, view: LegView) -> Iterator[Outcome]:
    """Between the underside of a tread and the top of the one below, where no board closes it.

    What counts is how high its upper side lies over the floor below or the ground beside the
    stair, whichever is lower. The upper floor's own edge is closed by its framing.
    """
    marks = view.assembly.by_mark
    if any(marks[mark].kind == "riser" for mark in view.leg.surfaces):
        return
    bound = rule_bound(job, "opening.riser", "less than")
    assert bound.value is not None
    fall = job.rules.limit("opening.riser.fall").value
    found = falls_of(job, view)
    treads = sorted(
        (s for s in view.surfaces if s.mark in view.leg.surfaces and s.kind == "tread"),
        key=lambda surface: -surface.top_mm,
    )
    foot = _foot(view, treads)
    steps = [*treads, foot] if foot else treads
    for upper, lower in pairwise(steps):
        low = foot.top_mm if foot else treads[-1].top_mm
        ground = found.ground_at(_middle(upper)) if found else None
        low = low if ground is None else min(low, ground)
        if upper.bottom_mm - low <= fall + _EPS:
            continue
        gap = math.hypot(_apart(upper, lower), upper.bottom_mm - lower.top_mm)
        yield Outcome(
            "opening.riser",
            (upper.mark, lower.mark),
            gap,
            bound,
            f"the open riser between {upper.mark} and {lower.mark}, "
            f"{shop(job, upper.bottom_mm - low)} up, is {fine(job, gap)} high; a sphere of "
            f"{shop(job, bound.value)} passes",
            f"close the risers, or leave less than {shop(job, bound.value)} between the treads",
            (Edit(f"{view.leg.path}.stair.open_risers", "false"),),
        )


def _foot(view: LegView, treads: Sequence[Surface]) -> Surface | None:
    """The floor that the lowest tread stands over, if it is among the surfaces."""
    if not treads:
        return None
    last = treads[-1]
    below = [
        s for s in view.surfaces if s.kind in ("floor", "deck") and s.top_mm < last.top_mm - _EPS
    ]
    return min(below, key=lambda s: (_apart(last, s), -s.top_mm), default=None)


def _middle(step: Surface) -> float:
    return (step.start_mm + step.end_mm) / 2


def _apart(a: Surface, b: Surface) -> float:
    """Level distance of two surfaces along the leg, 0 where one reaches over the other."""
    return max(a.start_mm - b.end_mm, b.start_mm - a.end_mm, 0.0)


def _behind(
    job: Job, view: LegView, spans: Sequence[Span] | None
) -> Iterator[tuple[Outcome, bool]]:
    """From the edge of the floor to the cables that hang outside it, level."""
    bound = rule_bound(job, "opening.fascia", "at most")
    assert bound.value is not None
    edge = _outermost_floor(view)
    for cable in view.cables if edge is not None else ():
        assert edge is not None
        gap = _outward(view, _on_axis(view, cable)) - cable.radius_mm - edge
        outcome = Outcome(
            "opening.fascia",
            (cable.mark,),
            gap,
            bound,
            f"{cable.mark} hangs {fine(job, gap)} outside the edge of the floor; at most "
            f"{shop(job, bound.value)} may be open there",
            "posts nearer to the edge (a smaller inset, or side plates without a stand-off), or a "
            "board that closes the gap",
        )
        yield outcome, reaches(spans, view.leg, cable.axis.start_mm, cable.axis.end_mm)


def _outermost_floor(view: LegView) -> float | None:
    """How far out the leg's own floor reaches; its edge is the measured one."""
    marks = view.assembly.by_mark
    reach: list[float] = []
    for surface in view.surfaces:
        if surface.mark in view.leg.surfaces:
            part = marks[surface.mark]
            assert isinstance(part.shape, Prism)
            corners = part.shape.section.outer.corners
            reach += [_outward(view, part.place.point((x, y, 0.0))) for x, y in corners]
    return max(reach, default=None)


def _outward(view: LegView, point: Vec3) -> float:
    """Distance of a point out from the leg's edge, away from the deck."""
    aside = dot(sub(point, view.leg.edge_start), left_of(view.leg.bearing_deg))
    return -aside if view.leg.deck == "left" else aside


def _on_axis(view: LegView, cable: CableLine) -> Vec3:
    """The point of a cable that is furthest out."""
    part = view.assembly.by_mark[cable.mark]
    assert isinstance(part.shape, Route)
    points = [part.place.point(point) for point in part.shape.points]
    return max(points, key=lambda point: _outward(view, point))
