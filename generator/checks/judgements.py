"""Severities and acceptances of a rule set and a job, laid on the findings that were made."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from generator.catalog.tables import SeverityChange
from generator.checks.codes import CODES
from generator.checks.outcome import Bound, Outcome
from generator.parts.assembly import Assembly
from generator.parts.report import SEVERITIES, Edit, Finding
from generator.spec.job import Acceptance

_LEG = re.compile(r"(?:run )?([A-Za-z0-9_-]+),? leg (\d+)")


def judged(assembly: Assembly, findings: list[Finding]) -> tuple[list[Finding], list[Outcome]]:
    """Findings with the severities that the rule set or the job gives, and accepted by the job.

    None is left out. An acceptance that fits none is an outcome of its own, and a finding among the
    others, so that it is noticed.
    """
    job = assembly.job
    changes = {change.code: change for change in (*job.rules.severities, *job.severities)}
    if changes:
        findings = [with_severity(finding, changes.get(finding.code)) for finding in findings]
    if not job.accepted:
        return findings, []
    findings, fitting = _accepted(assembly, findings)
    left = [entry for entry in job.accepted if entry.path not in fitting]
    unused = [_unused(assembly, entry, findings) for entry in left]
    told = [with_severity(o.finding(), changes.get(o.code)) for o in unused]
    return [*findings, *told], unused


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
    legs = _marks_of_legs(assembly)
    places = [(entry, _leg_marks(entry, legs)) for entry in assembly.job.accepted]
    fitting: set[str] = set()
    result = []
    for finding in findings:
        fits = [entry for entry, leg in places if _fits(finding, entry, leg)]
        fitting |= {entry.path for entry in fits}
        result.append(replace(finding, accepted=fits[0]) if fits else finding)
    return result, fitting


def _fits(finding: Finding, entry: Acceptance, leg: set[str] | None) -> bool:
    """Whether an acceptance is of this finding: of its leg alone, or naming only its marks."""
    if finding.code != entry.code:
        return False
    if leg is not None:
        return bool(finding.where) and leg.issuperset(finding.where)
    return set(entry.where) <= set(finding.where)


def _leg_marks(entry: Acceptance, legs: Mapping[tuple[str, int], set[str]]) -> set[str] | None:
    """Marks of what stands in the leg that is named; None where marks are named."""
    match = _LEG.fullmatch(entry.where[0]) if len(entry.where) == 1 else None
    return None if match is None else legs.get((match[1], int(match[2])), set())


def _marks_of_legs(assembly: Assembly) -> dict[tuple[str, int], set[str]]:
    """Marks by run and leg; a post that two legs share, or a floor between them, is in both."""
    legs: dict[tuple[str, int], set[str]] = {}
    for part in assembly.parts:
        legs.setdefault((part.run, part.leg), set()).add(part.mark)
    for leg in assembly.legs:
        own = legs.setdefault((leg.run, leg.number), set())
        own.update(leg.posts, leg.rails, leg.cables, leg.spacers, leg.surfaces)
    return legs


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
        # The last one goes with its heading.
        (Edit(entry.path if len(assembly.job.accepted) > 1 else "accepted", ""),),
    )


_SHOWN = 3


def _places(findings: Iterable[Finding]) -> Iterator[str]:
    """Marks of the first few findings, and how many more there are."""
    marks = [", ".join(finding.where) for finding in findings]
    yield from marks[:_SHOWN]
    if marks[_SHOWN:]:
        yield f"{len(marks) - _SHOWN} more"
