"""All checks over an assembly, in one report."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from generator.checks.access import check_access, check_rail_at_walls
from generator.checks.anchors import check_anchors
from generator.checks.cables import check_cables
from generator.checks.clash import check_cable_tread
from generator.checks.deck_edges import check_deck_edges
from generator.checks.ends import check_end_gaps
from generator.checks.handrail import check_handrails
from generator.checks.heights import check_heights
from generator.checks.holes import check_holes
from generator.checks.joints import check_joints
from generator.checks.loaded import check_loaded
from generator.checks.neighbours import check_neighbours
from generator.checks.openings import check_openings
from generator.checks.outcome import Outcome, caused_by
from generator.checks.setback import check_setback
from generator.checks.spans import check_spans
from generator.checks.view import LegView, leg_views
from generator.parts.assembly import Assembly
from generator.parts.report import SEVERITIES, Finding, Measure, Report
from generator.spec.job import Job

JOB_CHECKS: tuple[Callable[[Assembly], Iterator[Outcome]], ...] = (
    check_joints,
    check_cables,
    check_neighbours,
    check_access,
    check_rail_at_walls,
    check_holes,
    check_end_gaps,
    check_handrails,
    check_anchors,
    check_deck_edges,
)
LEG_CHECKS: tuple[Callable[[Job, LegView], Iterator[Outcome]], ...] = (
    check_spans,
    check_heights,
    check_openings,
    check_loaded,
    check_setback,
    check_cable_tread,
)


def run_checks(assembly: Assembly, *, strength: bool = False) -> Report:
    """Every check on every leg and on the job. Findings are ordered by severity, code and place.

    The calculation of strength is made where it is asked for.
    """
    findings: list[Finding] = []
    measures: list[Measure] = []
    for view in leg_views(assembly):
        outcomes = [outcome for check in LEG_CHECKS for outcome in check(assembly.job, view)]
        measures += [outcome.measure() for outcome in outcomes]
        findings += _with_causes(outcomes)
    outcomes = [outcome for check in JOB_CHECKS for outcome in check(assembly)]
    if strength:
        from generator.checks.strength import check_strength  # many modules, not always needed

        outcomes += check_strength(assembly)
    measures += [outcome.measure() for outcome in outcomes]
    findings += _with_causes(outcomes)
    findings.sort(key=lambda f: (-SEVERITIES.index(f.severity), f.code, _in_order(f.where)))
    return Report(tuple(findings), tuple(measures))


def _in_order(where: tuple[str, ...]) -> list[list[tuple[int, str]]]:
    """Marks as people count them: P9 before P10."""
    return [
        [(int(piece), "") if piece.isdigit() else (-1, piece) for piece in re.split(r"(\d+)", mark)]
        for mark in where
    ]


def _with_causes(outcomes: list[Outcome]) -> Iterator[Finding]:
    """Findings of a leg; one that another brings about becomes a note that names it (design 6)."""
    reported = [o for o in outcomes if not o.passed or o.bound.sense == "none"]
    setbacks = [o for o in reported if o.code == "setback.stair"]
    # Too far back, the cable, set from the tread, runs into the nosings; too near, it rises and
    # the triangle under it opens.
    caused = {
        "clash.cable-tread": any(o.bound.sense == "at most" for o in setbacks),
        "opening.triangle": any(o.bound.sense == "at least" for o in setbacks),
    }
    for outcome in reported:
        finding = outcome.finding()
        if caused.get(outcome.code):
            finding = caused_by(finding, "setback.stair")
        yield finding
