"""Severities and acceptances of a rule set and a job, laid on the findings that were made."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from generator.catalog.tables import SeverityChange
from generator.checks.codes import CODES
from generator.checks.outcome import Bound, Outcome
from generator.parts.assembly import Assembly
from generator.parts.report import SEVERITIES, Finding
from generator.spec.job import Acceptance

_LEG = re.compile(r"(?:run )?([A-Za-z0-9_-]+),? leg (\d+)")


def judged(assembly: Assembly, findings: list[Finding]) -> list[Finding]:
    """Findings with the severities that the rule set or the job gives, and accepted by the job.

    None is left out. An acceptance that fits none is a finding of its own, so that it is noticed.
    """
    job = assembly.job
    if job.rules.severities or job.severities:
        changes = {change.code: change for change in (*job.rules.severities, *job.severities)}
        findings = [with_severity(finding, changes.get(finding.code)) for finding in findings]
    if not job.accepted:
        return findings
    findings, fitting = _accepted(assembly, findings)
    unused = [entry for entry in job.accepted if entry.path not in fitting]
    more = [_unused(assembly, entry, findings).finding() for entry in unused]
    return [*findings, *more]


def with_severity(finding: Finding, change: SeverityChange | None) -> Finding:
    """A finding with the severity that a change gives its code.

    A raised severity lifts what is at least the code's own, a lowered one brings down what is at
    most its own: of a code that fails and warns, a warning is not made a failure, and a mere
    remark is not raised with it. What another finding brings about stays a note.
    """
    if change is None or finding.cause:
        return finding
    own = SEVERITIES.index(CODES[finding.code].severity)
    now, new = SEVERITIES.index(finding.severity), SEVERITIES.index(change.severity)
    if own <= now < new or new < now <= own:
        return replace(finding, severity=change.severity, was=finding.severity, amended=change)
    return finding


def _accepted(assembly: Assembly, findings: Iterable[Finding]) -> tuple[list[Finding], set[str]]:
    """Findings as accepted, and the places of the acceptances that fit one."""
    places = [(entry, _leg_marks(assembly, entry)) for entry in assembly.job.accepted]
    fitting: set[str] = set()
    result = []
    for finding in findings:
        fits = [entry for entry, leg in places if _fits(finding, entry, leg)]
        fitting |= {entry.path for entry in fits}
        result.append(replace(finding, accepted=fits[0]) if fits else finding)
    return result, fitting


def _fits(finding: Finding, entry: Acceptance, leg: frozenset[str] | None) -> bool:
    """Whether an acceptance is of this finding: of its leg alone, or naming only its marks."""
    if finding.code != entry.code:
        return False
    if leg is not None:
        return bool(finding.where) and leg.issuperset(finding.where)
    return set(entry.where) <= set(finding.where)


def _leg_marks(assembly: Assembly, entry: Acceptance) -> frozenset[str] | None:
    """Marks of what stands in the leg that is named; None where marks are named."""
    match = _LEG.fullmatch(entry.where[0]) if len(entry.where) == 1 else None
    if match is None:
        return None
    run, number = match[1], int(match[2])
    own = {part.mark for part in assembly.parts if (part.run, part.leg) == (run, number)}
    for leg in assembly.legs:
        if (leg.run, leg.number) == (run, number):
            own.update(leg.posts, leg.rails, leg.cables, leg.spacers, leg.surfaces)
    return frozenset(own)


def _unused(assembly: Assembly, entry: Acceptance, findings: list[Finding]) -> Outcome:
    """What is said of an acceptance that fits no finding; it names where that code is found."""
    where = ", ".join(entry.where)
    others = list(_places(finding for finding in findings if finding.code == entry.code))
    found = f"it is found at {'; '.join(others)}" if others else "there is none of that code"
    return Outcome(
        "acceptance.unused",
        tuple(mark for mark in entry.where if mark in assembly.by_mark),
        0.0,
        Bound(1.0, "at least", "count", f"{entry.path} of the spec", "job spec", True),
        f"{entry.code} is accepted at {where} and not found there; {found}",
        f"take {entry.path} out of the spec, or name the code and the marks as they are shown",
    )


_SHOWN = 3


def _places(findings: Iterable[Finding]) -> Iterator[str]:
    """Marks of the first few findings, and how many more there are."""
    marks = [", ".join(finding.where) for finding in findings]
    yield from marks[:_SHOWN]
    if marks[_SHOWN:]:
        yield f"{len(marks) - _SHOWN} more"
