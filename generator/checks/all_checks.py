"""All checks over an assembly, in one report."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import get_args

from generator.checks.access import check_access, check_rail_at_walls
from generator.checks.anchors import check_anchors
from generator.checks.bodies import bodies_of
from generator.checks.bores import check_bores
from generator.checks.cables import check_cables
from generator.checks.clash import check_cable_tread, check_sagging
from generator.checks.clashes import check_clashes
from generator.checks.climb import check_climbing
from generator.checks.deck_edges import check_deck_edges
from generator.checks.ends import check_end_gaps
from generator.checks.handrail import check_handrails
from generator.checks.heights import check_heights
from generator.checks.holes import check_holes
from generator.checks.joints import check_joints
from generator.checks.judgements import judged
from generator.checks.loaded import check_loaded
from generator.checks.neighbours import check_neighbours
from generator.checks.openings import check_openings
from generator.checks.outcome import Outcome, caused_by
from generator.checks.required import check_required, check_untold
from generator.checks.setback import check_setback
from generator.checks.spans import check_spans
from generator.checks.stairs import check_stairs
from generator.checks.tools import check_tools
from generator.checks.view import LegView, leg_views
from generator.parts.assembly import REFERENCE_KINDS, Assembly, Kind
from generator.parts.report import SEVERITIES, Finding, Measure, Report
from generator.spec.job import Job

JOB_CHECKS: tuple[Callable[[Assembly], Iterator[Outcome]], ...] = (
    check_joints,
    check_cables,
    check_neighbours,
    check_access,
    check_rail_at_walls,
    check_holes,
    check_bores,
    check_end_gaps,
    check_anchors,
    check_deck_edges,
    check_untold,
)
VIEW_CHECKS: tuple[Callable[[Assembly, Sequence[LegView]], Iterator[Outcome]], ...] = (
    check_handrails,
    check_stairs,
)
LEG_CHECKS: tuple[Callable[[Job, LegView], Iterator[Outcome]], ...] = (
    check_spans,
    check_heights,
    check_openings,
    check_loaded,
    check_setback,
    check_cable_tread,
    check_climbing,
    check_required,
    check_sagging,
)


# What a leg's own finding brings about in space, by kinds of one part of a clash: cables, spacers
# and bolts that come too low or too far out on a stair, posts and ends without room.
_STAIR: frozenset[Kind] = frozenset(("deck", "floor", "tread", "riser", "stringer", "base-plate"))
_BUILT: frozenset[Kind] = frozenset(get_args(Kind)) - REFERENCE_KINDS
_BRING_CLASHES = {"setback.stair": _STAIR, "span.short": _BUILT}


def run_checks(assembly: Assembly, *, strength: bool = False) -> Report:
    """Every check on every leg and on the job. Findings are ordered by severity, code and place.

    With `strength` that of posts, rail, cables and anchors is worked out as well, or a note says
    that others do so.
    """
    findings: list[Finding] = []
    measures: list[Measure] = []
    behind: dict[tuple[str, int], str] = {}
    views = leg_views(assembly)
    for view in views:
        outcomes = [outcome for check in LEG_CHECKS for outcome in check(assembly.job, view)]
        for outcome in outcomes:
            if outcome.code in _BRING_CLASHES and not outcome.passed:
                behind.setdefault((view.leg.run, view.leg.number), outcome.code)
        measures += [outcome.measure() for outcome in outcomes]
        findings += _with_causes(outcomes)
    outcomes = [outcome for check in JOB_CHECKS for outcome in check(assembly)]
    outcomes += [outcome for check in VIEW_CHECKS for outcome in check(assembly, views)]
    if strength and assembly.job.strength.elsewhere:
        from generator.checks.strength_note import by_others

        findings.append(by_others())
    elif strength:
        from generator.checks.strength import check_strength  # many modules, not always needed

        outcomes += check_strength(assembly)
    measures += [outcome.measure() for outcome in outcomes]
    findings += _with_causes(outcomes)
    bodies = bodies_of(assembly.parts)
    outcomes = list(check_tools(assembly, bodies))
    measures += [outcome.measure() for outcome in outcomes]
    findings += _with_causes(outcomes)
    met = list(check_clashes(assembly, bodies))
    measures += [outcome.measure() for outcome in met]
    findings += [_met(assembly, outcome, behind) for outcome in met if not outcome.passed]
    findings, unused = judged(assembly, findings)
    measures += [outcome.measure() for outcome in unused]
    findings.sort(key=lambda f: (-SEVERITIES.index(f.severity), f.code, _in_order(f.where)))
    return Report(tuple(findings), tuple(measures))


def _in_order(where: tuple[str, ...]) -> list[list[tuple[int, str]]]:
    """Marks as people count them: P9 before P10."""
    return [
        [(int(piece), "") if piece.isdigit() else (-1, piece) for piece in re.split(r"(\d+)", mark)]
        for mark in where
    ]


def _met(assembly: Assembly, outcome: Outcome, behind: dict[tuple[str, int], str]) -> Finding:
    """A clash in space; where the leg's own finding brings it about, a note that names that."""
    first, second = (assembly.by_mark[mark] for mark in outcome.where)
    for part in (first, second):
        cause = behind.get((part.run, part.leg), "")
        # What the cause moves is the first; the second is what it meets.
        if cause and first.kind in _BUILT and second.kind in _BRING_CLASHES[cause]:
            return caused_by(outcome.finding(), cause)
    return outcome.finding()


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
        elif outcome.cause:
            finding = caused_by(finding, outcome.cause)
        yield finding
