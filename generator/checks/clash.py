"""`clash.cable-tread`: the true distance of every cable to every tread and floor edge."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from generator.checks.distance import segment_to_polygon
from generator.checks.outcome import Outcome, fine, rule_bound
from generator.checks.view import CableLine, LegView, Surface
from generator.geometry import along, heading
from generator.parts.report import Severity
from generator.spec.job import Job


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


def _nearest(job: Job, view: LegView, surface: Surface) -> Iterator[Outcome]:
    near = [cable for cable in view.cables if _overlaps(cable, surface)]
    if not near:
        return
    cable = min(near, key=lambda c: _clear(c, surface)[0])
    clear, s = _clear(cable, surface)
    bound = rule_bound(job, "practice.cable-tread-clearance", "at least")
    severity: Severity = "fail" if clear < 0.0 else "warn"
    point = along(view.leg.edge_start, heading(view.leg.bearing_deg), s)
    how = "passes through" if clear < 0.0 else "comes too near to"
    yield Outcome(
        "clash.cable-tread",
        (cable.mark, surface.mark),
        clear,
        bound,
        f"{cable.mark} {how} {surface.mark}: true distance {fine(job, clear)}",
        "raise the lowest cable over the treads",
        (),
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
