"""`clash.cable-tread`: the true distance of every cable to every tread and floor edge.

Cables hang by their own weight; that sag takes from the distance. The load on the infill is level,
square to the guard: a cable that it pushes aside stays at its height over the nosings, which are
level too, and comes no nearer to them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from generator.checks.clash_remedies import raised
from generator.checks.distance import segment_to_polygon
from generator.checks.outcome import Bound, Outcome, fine, round_up, rule_bound, shop
from generator.checks.view import CableLine, LegView, Surface
from generator.geometry import along, heading
from generator.parts.report import Severity
from generator.spec.job import Job

# Of standard gravity, m/s2.
_GRAVITY = 9.80665


def check_cable_tread(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the least distance of a cable of the leg to what it passes over."""
    found = [outcome for surface in view.surfaces for outcome in _nearest(job, view, surface)]
    if not found:
        return
    least = min(found, key=lambda outcome: outcome.measured)
    more = sum(1 for outcome in found if not outcome.passed) - 1
    if more > 0:
        least = replace(least, message=f"{least.message}, and so at {more} more of this leg")
    yield least


def check_sagging(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the cable that hangs down onto what it passes over, though it clears it when straight.

    The sag at x of a span L is w cos p x (L - x) / (2 T) square to it: w weight per length, p
    pitch, T tension as set (parabola; reference.md section 6 for the mechanics of cables).
    """
    supports = sorted({*(post.s_mm for post in view.posts), *view.spacers})
    cable = job.system.cable
    weight = cable.mass_kg_m * _GRAVITY / 1000.0
    usual = job.rules.limit("practice.cable-tread-clearance").value
    longest = max((b - a for a, b in pairwise(supports)), default=0.0)
    if weight * (longest / _steepest(view)) ** 2 < 8.0 * job.guard.tension_n * usual:
        return  # nowhere does it hang as far as the clearance
    found = [
        (clear - sag, sag, s, line, surface)
        for surface in view.surfaces
        for line in view.cables
        if _overlaps(line, surface) and _clear(line, surface)[0] >= usual - 1e-6
        for clear, s in _lowest(line, surface, supports)
        if (sag := _sag(line, s, supports, weight / job.guard.tension_n)) > clear
    ]
    if not found:
        return
    left, sag, s, line, surface = min(found, key=lambda one: one[0])
    x, y, _ = along(view.leg.edge_start, heading(view.leg.bearing_deg), s)
    yield Outcome(
        "clash.cable-tread",
        (line.mark, surface.mark),
        left,
        Bound(0.0, "at least", "mm", "own weight at the set tension", "mechanics", True),
        f"{line.mark} hangs {fine(job, sag)} by its own weight and lies on {surface.mark}",
        "more tension (guard.tension) or a spacer nearer (guard.max_cable_span)",
        (),
        (x, y, line.axis.at(s)),
        "warn",
    )


def _lowest(
    line: CableLine, surface: Surface, supports: Sequence[float]
) -> Iterator[tuple[float, float]]:
    """(clear distance, s) where a cable is nearest to what it passes over, and amid its spans."""
    yield _clear(line, surface)
    for a, b in pairwise(supports):
        s = min(max((a + b) / 2, surface.start_mm), surface.end_mm)
        if a < s < b and line.axis.start_mm <= s <= line.axis.end_mm:
            over = line.axis.at(s) - surface.top_at(s)
            yield over * line.axis.cosine - line.radius_mm, s


def _sag(line: CableLine, s: float, supports: Sequence[float], weight_by_tension: float) -> float:
    ahead = [b for b in supports if b > s]
    behind = [a for a in supports if a <= s]
    if not ahead or not behind:
        return 0.0
    cosine = line.axis.cosine
    x, rest = (s - behind[-1]) / cosine, (ahead[0] - s) / cosine
    return weight_by_tension * cosine * x * rest / 2.0


def _steepest(view: LegView) -> float:
    return min((cable.axis.cosine for cable in view.cables), default=1.0)


def _nearest(job: Job, view: LegView, surface: Surface) -> Iterator[Outcome]:
    near = [cable for cable in view.cables if _overlaps(cable, surface)]
    if not near:
        return
    cable = min(near, key=lambda c: _clear(c, surface)[0])
    clear, s = _clear(cable, surface)
    bound = rule_bound(job, "practice.cable-tread-clearance", "at least")
    severity: Severity = "fail" if clear < 0.0 else "warn"
    up = shop(job, round_up(job, max((bound.value or 0.0) - clear, 0.0) / cable.axis.cosine))
    point = along(view.leg.edge_start, heading(view.leg.bearing_deg), s)
    how = "passes through" if clear < 0.0 else "comes too near to"
    yield Outcome(
        "clash.cable-tread",
        (cable.mark, surface.mark),
        clear,
        bound,
        f"{cable.mark} {how} {surface.mark}: true distance {fine(job, clear)}",
        f"raise the lowest cable over the treads by {up}",
        tuple(raised(job, (bound.value or 0.0) - clear, cable.axis.cosine)),
        (point[0], point[1], cable.axis.at(s)),
        severity,
    )


def _overlaps(cable: CableLine, surface: Surface) -> bool:
    return cable.axis.start_mm < surface.end_mm and cable.axis.end_mm > surface.start_mm


def _clear(cable: CableLine, surface: Surface) -> tuple[float, float]:
    """(clear distance, s of the nearest point): axis distance less the radius; negative inside."""
    axis = cable.axis
    a = (axis.start_mm, axis.at(axis.start_mm))
    b = (axis.end_mm, axis.at(axis.end_mm))
    distance, s = segment_to_polygon(a, b, surface.corners)
    return distance - cable.radius_mm, s if math.isfinite(s) else surface.start_mm
