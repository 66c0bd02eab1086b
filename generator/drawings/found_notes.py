"""Notes on a sheet about its findings: what was amended, accepted, or not read at its source."""

from __future__ import annotations

from collections.abc import Iterator

from generator.catalog.rules import amended_limits
from generator.parts.report import Report
from generator.spec.job import Job

_UNSOURCED = "no source"  # edition of common practice, which nobody can read anywhere


def found_notes(job: Job, report: Report) -> Iterator[str]:
    """A note each, in capitals as the others; none where there is nothing to say."""
    yield from (note.upper() for note in _notes(job, report))


def _notes(job: Job, report: Report) -> Iterator[str]:
    for limit in amended_limits(job.rules):
        old = f" instead of {limit.replaces.text}" if limit.replaces else ""
        yield f"Amended: {limit.key} {limit.text}{old} ({limit.clause}): {limit.reason}."
    for change in (*job.rules.severities, *job.severities):
        source = ", ".join(text for text in (change.clause, change.by) if text)
        yield f"Severity of {change.code}: {change.severity} ({source}): {change.reason}."
    for finding in report.findings:
        if finding.accepted:
            who = f"{finding.accepted.role}: {finding.accepted.reason}"
            yield f"Accepted: {finding.code} at {', '.join(finding.where)}, by {who}."
    doubtful = {
        f"{entry.clause}, {entry.edition}"
        for entry in (*report.measures, *report.findings)
        if not entry.verified and entry.edition != _UNSOURCED
    }
    if doubtful:
        yield f"Value not read at source: {'; '.join(sorted(doubtful))}."
