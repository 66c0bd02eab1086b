"""`setback.stair`: how far behind the nosing of its tread a post may stand, both ends of the range.

In closed form, from the post's own tread; on a stair told tread by tread, whose nosings lie on no
line, also by the true distance of the cables from all of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from generator.checks.clash import check_cable_tread
from generator.checks.nearby import prism_corners
from generator.checks.outcome import (
    Bound,
    Outcome,
    Sense,
    round_down,
    round_up,
    rule_bound,
    shop,
)
from generator.checks.view import LegView, Stand, Surface
from generator.frozen import dataclass
from generator.parts.assembly import TreadDetail
from generator.parts.report import Edit
from generator.parts.shapes import Turned
from generator.spec.job import Job

RISER = "riser"
# Nosings lie on one line but for this.
_EVEN_MM = 1e-6


@dataclass(frozen=True, slots=True)
class FreeRange:
    """Setbacks between which nothing touches, and what decides either end: a limit, or None.

    None stands for the base plate, which has to lie on its tread; `RISER` for the board below the
    nosing, which its bolts have to clear.
    """

    least_mm: float
    most_mm: float
    least_by: str | None
    most_by: str | None


def largest_setback(axis_mm: float, clear_mm: float, cable_mm: float, pitch_rad: float) -> float:
    """Setback at which a cable, `axis_mm` over its tread, keeps `clear_mm` square to the nosings.

    b = (y - (c + d/2) / cos p) / tan p (reference.md section 7).
    """
    return (axis_mm - (clear_mm + cable_mm / 2) / math.cos(pitch_rad)) / math.tan(pitch_rad)


def check_setback(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields every post that stands on a tread, with its setback against both ends of its range.

    One that is past an end is told against that end only.
    """
    if view.leg.kind != "stair" or not view.cables:
        return
    least = _least_clear(job, view) if _uneven(view) else math.inf
    for post in view.posts:
        tread = _tread_under(view, post)
        if tread is None:
            continue
        setback = (_nosing(view, tread) - post.s_mm) * view.down
        free = free_range(job, view, post, tread)
        if math.isfinite(least):
            most = setback_by_clash(job, view, setback, least)
            if most < free.most_mm:
                free = replace(free, most_mm=most, most_by="practice.cable-tread-clearance")
        too_far = setback > (free.least_mm + free.most_mm) / 2
        nearer = _outcome(job, post, tread, setback, free, too_far=too_far)
        yield nearer
        other = _outcome(job, post, tread, setback, free, too_far=not too_far)
        if nearer.passed and other.passed:
            yield other


def setback_by_clash(job: Job, view: LegView, setback: float, least_clear: float) -> float:
    """Setback at which the cables keep their clearance from every nosing, by true distances.

    A post moved back by b takes its cables, set from its tread, b sin p nearer to the nosings.
    """
    clear = job.rules.limit("practice.cable-tread-clearance").value
    cable = view.cables[0].axis
    return setback + (least_clear - clear) / (abs(cable.slope) * cable.cosine)


def _least_clear(job: Job, view: LegView) -> float:
    return min((near.measured for near in check_cable_tread(job, view)), default=math.inf)


def _uneven(view: LegView) -> bool:
    """Whether the nosings are told one by one and lie on no line."""
    treads = (view.assembly.by_mark[s.mark].detail for s in view.surfaces if s.kind == "tread")
    return any(isinstance(t, TreadDetail) and abs(t.deviation_mm) > _EVEN_MM for t in treads)


def _nosing(view: LegView, tread: Surface) -> float:
    return tread.end_mm if view.down > 0 else tread.start_mm


def free_range(job: Job, view: LegView, post: Stand, tread: Surface) -> FreeRange:
    """Free setbacks of a post on its tread, from its lowest cable, base plate and the stair."""
    lowest = view.cables[0]
    pitch = math.atan(abs(lowest.axis.slope))
    axis = lowest.axis.at(post.s_mm) - tread.top_mm
    clear = job.rules.limit("practice.cable-tread-clearance").value
    by_cable = largest_setback(axis, clear, 2 * lowest.radius_mm, pitch)
    by_triangle = largest_setback(
        axis, _triangle_lift(job, view, tread), 2 * lowest.radius_mm, pitch
    )
    depth = tread.end_mm - tread.start_mm
    margin = job.system.post.nosing_margin_mm
    least, most = post.plate_half_mm + margin, depth - post.plate_half_mm
    by_riser = _behind_riser(view, post, tread)
    least_by = {least: None, by_riser: RISER, by_triangle: "opening.triangle"}
    least = max(least_by)
    return FreeRange(
        least,
        min(most, by_cable),
        least_by[least],
        "practice.cable-tread-clearance" if by_cable < most else None,
    )


def _behind_riser(view: LegView, post: Stand, tread: Surface) -> float:
    """Setback at which the bolts of a post pass behind the board that closes the riser below.

    From the nosing to the board's back, and from the post to the front of its foremost bolt.
    """
    parts = view.assembly.by_mark
    boards = [parts[mark] for mark in view.leg.surfaces if parts[mark].kind == "riser"]
    nosing = _nosing(view, tread)
    backs = [
        max((nosing - view.station_at(corner)) * view.down for corner in prism_corners(board))
        for board in boards
        if abs(max(z for _, _, z in prism_corners(board)) - tread.bottom_mm) < 1.0
    ]
    fronts = [
        (view.station(bolt) - post.s_mm) * view.down + shape.steps[0].outer_mm / 2
        for k in range(1, 5)
        if (bolt := parts.get(f"A{post.mark[1:]}-{k}"))
        and isinstance(shape := bolt.shape, Turned)
        and bolt.place.z[2] > 0.5
    ]
    return max(backs) + max(fronts) if backs and fronts else -math.inf


def _triangle_lift(job: Job, view: LegView, tread: Surface) -> float:
    """Height e over the nosing line at which the triangle's sphere reaches its limit."""
    limit = job.rules.limit("opening.triangle").value
    slope = abs(view.cables[0].axis.slope)
    run = tread.end_mm - tread.start_mm  # tread to the riser face: going and overhang
    rise = run * slope
    hypotenuse = math.hypot(run, rise)
    return (limit / (rise + run - hypotenuse) - 1.0) * rise * run / hypotenuse


def _tread_under(view: LegView, post: Stand) -> Surface | None:
    for surface in view.surfaces:
        on_it = surface.start_mm - 1e-6 <= post.s_mm <= surface.end_mm + 1e-6
        if surface.kind == "tread" and on_it and abs(surface.top_mm - post.base_mm) < 1e-6:
            return surface
    return None


def _outcome(
    job: Job, post: Stand, tread: Surface, setback: float, free: FreeRange, *, too_far: bool
) -> Outcome:
    limit = free.most_mm if too_far else free.least_mm
    target = round_down(job, free.most_mm) if too_far else round_up(job, free.least_mm)
    possible = free.least_mm - 1e-6 <= target <= free.most_mm + 1e-6
    move = shop(job, abs(setback - target))
    away = "toward the nosing" if too_far else "away from the nosing"
    span = f"{shop(job, free.least_mm)} to {shop(job, free.most_mm)}"
    if possible:
        remedy = f"move {post.mark} {move} {away}, to a setback of {shop(job, target)}"
    else:
        lift = "lower" if free.least_by else "raise"
        remedy = f"no setback is free: {lift} the lowest cable or choose a smaller base plate"
        span = "none"
    decided = free.most_by if too_far else free.least_by
    return Outcome(
        "setback.stair",
        (post.mark, tread.mark),
        setback,
        _bound(job, limit, decided, too_far=too_far),
        f"{post.mark} stands {shop(job, setback)} behind the nosing of {tread.mark}; free range: "
        f"{span}",
        remedy,
        (Edit("guard.stair_setback", shop(job, target)),) if possible else (),
    )


def _bound(job: Job, limit: float, decided_by: str | None, *, too_far: bool) -> Bound:
    """The end of the free range, with the clause of what decides it."""
    sense: Sense = "at most" if too_far else "at least"
    if decided_by is None:
        return Bound(limit, sense, "mm", "base plate on its tread", "geometry", True)
    if decided_by == RISER:
        return Bound(limit, sense, "mm", "bolts behind the riser", "geometry", True)
    rule = rule_bound(job, decided_by, sense)
    return Bound(limit, sense, "mm", rule.clause, rule.edition, rule.verified)
