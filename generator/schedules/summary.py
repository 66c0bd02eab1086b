"""What a check says in the terminal: the job, its legs, findings, what was passed, quantities."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from generator.catalog.rules import amended_limits
from generator.checks.words import (
    CAUTION,
    bay_words,
    counted,
    measured_and_limit,
    passed_lines,
    severity_words,
    source_words,
)
from generator.parts.assembly import Assembly
from generator.parts.legs import bays, edge_length, rows
from generator.parts.report import Finding, Measure, Report
from generator.schedules.cables import cable_list
from generator.schedules.cuts import cut_list
from generator.schedules.order import order_list
from generator.schedules.table import Column, Table, aligned, to_text
from generator.spec.job import Job
from generator.units import format_length_with_unit

_WIDTH = 100
_MIXED = re.compile(r"(\d) (?=\d+/\d)")
_HELD = "\N{NO-BREAK SPACE}"
_LEG_COLUMNS = (
    Column("leg", "Leg"),
    Column("kind", "Kind"),
    Column("length", "Length", right=True),
    Column("pitch", "Pitch", right=True),
    Column("posts", "Posts"),
    Column("rows", "Rows", right=True),
    Column("bays", "Bays"),
)


def summary(
    assembly: Assembly,
    report: Report,
    *,
    schedules: bool = False,
    selected: Sequence[str] = (),
    suggestion: str = "",
) -> str:
    """The whole text of `stringline check`; with `schedules` the cut and cable lists as well.

    `selected` are the codes where the report holds those alone, `suggestion` is what is said of
    changes that would clear the failures.
    """
    tables = [legs_table(assembly)]
    if schedules:
        tables += [cut_list(assembly), cable_list(assembly)]
    tables.append(order_list(assembly))
    blocks = [job_line(assembly), *(to_text(table) for table in tables)]
    if selected:
        blocks.append(f"Looked at: {', '.join(selected)}; other findings are not shown.\n")
    blocks += [findings_text(report.findings, metric=assembly.job.metric), passed(report.measures)]
    blocks.append(strength_line(report.measures) or _no_strength(assembly.job, selected))
    blocks += [suggestion, textwrap.fill(CAUTION, _WIDTH) + "\n"]
    return "\n".join(block for block in blocks if block)


def job_line(assembly: Assembly) -> str:
    """Title, number, rule set, and the limits that the job puts in place of its own."""
    job = assembly.job
    number = f", job {job.number}" if job.number else ""
    lines = [f"{job.title}{number}. Rules: {job.rules.name}, {job.rules.edition}."]
    for said in amendments(job):
        lines += textwrap.wrap(said, _WIDTH, subsequent_indent="  ", break_on_hyphens=False)
    return "\n".join(lines) + "\n"


def amendments(job: Job) -> Iterator[str]:
    """A line each for the limits and the severities that do not come from the rule set's code."""
    for limit in amended_limits(job.rules):
        old = f" instead of {limit.replaces.text}" if limit.replaces else ""
        yield f"Amended: {limit.key} {limit.text}{old} ({limit.clause}): {limit.reason}"
    for change in (*job.rules.severities, *job.severities):
        source = ", ".join(text for text in (change.clause, change.by) if text)
        yield f"Severity of {change.code}: {change.severity} ({source}): {change.reason}"


def build_summary(
    assembly: Assembly, report: Report, written: Sequence[tuple[str, str]], source: str
) -> str:
    """What a build says at its end: where each output lies, and whether something was found."""
    lines = aligned(written, (False, False))
    counts = counted(report.findings)
    found = f"{counts} (stringline check {source} shows them)" if counts else "none"
    failures = [f for f in report.findings if f.severity == "fail" or f.accepted or f.amended]
    entries = [_finding(finding, assembly.job.metric) for finding in failures]
    blocks = [
        "\n".join([job_line(assembly).rstrip(), "", *lines]),
        "\n".join([f"Findings: {found}", *entries]),
        textwrap.fill(CAUTION, _WIDTH),
    ]
    return "\n\n".join(blocks) + "\n"


def price_summary(notes: Iterable[str]) -> str:
    """What is said of prices at the end of a build."""
    lines = [line for note in notes for line in textwrap.wrap(note, _WIDTH)]
    return "\n".join(["", *lines]) + "\n"


def legs_table(assembly: Assembly) -> Table:
    """One row a leg: edge length, pitch, posts, rows and bays in shop units."""
    metric = assembly.job.metric
    body = tuple(
        (
            leg.label,
            leg.kind,
            format_length_with_unit(edge_length(leg), metric),
            f"{leg.pitch_deg:.1f}°" if leg.pitch_deg else "level",
            _span(leg.posts),
            rows(assembly, leg),
            bay_words(bays(assembly, leg), metric=metric),
        )
        for leg in assembly.legs
    )
    return Table("Legs", _LEG_COLUMNS, body)


def _span(marks: tuple[str, ...]) -> str:
    return marks[0] if len(marks) == 1 else f"{marks[0]} to {marks[-1]}"


def findings_text(findings: Iterable[Finding], *, metric: bool) -> str:
    """Every finding with its place, measure, source and remedy, the worst first."""
    found = tuple(findings)
    if not found:
        return "Findings: none\n"
    entries = [_finding(finding, metric) for finding in found]
    return "\n".join([f"Findings: {counted(found)}", *entries]) + "\n"


def _finding(finding: Finding, metric: bool) -> str:
    accepted = " (accepted)" if finding.accepted else ""
    head = f"  {finding.severity}{accepted}  {finding.code}  {', '.join(finding.where)}".rstrip()
    limit = measured_and_limit(finding.measured, finding.limit, finding.unit, metric=metric)
    source = source_words(finding.clause, finding.edition, verified=finding.verified)
    lines = [
        finding.message,
        "; ".join(text for text in (limit, source) if text),
        finding.remedy and f"Remedy: {finding.remedy}",
        finding.cause and f"Comes from: {finding.cause}",
        severity_words(finding),
        finding.accepted and f"Accepted by {finding.accepted.role}: {finding.accepted.reason}",
    ]
    return "\n".join([head, *(_indented(line) for line in lines if line)])


def _indented(text: str) -> str:
    """Filled lines under a finding's head; a length such as 4 5/16" is not torn apart."""
    indent = " " * 8
    held = _MIXED.sub(f"\\1{_HELD}", text)
    filled = textwrap.fill(held, _WIDTH, initial_indent=indent, subsequent_indent=indent)
    return filled.replace(_HELD, " ")


def passed(measures: Iterable[Measure]) -> str:
    """How many checks passed, against which clause and edition."""
    lines = passed_lines(measures)
    count = sum(int(line.split()[0]) for line in lines)
    return (
        "\n".join([f"Checks passed: {count}", *(f"  {line}" for line in lines)]) + "\n"
        if lines
        else ""
    )


def _no_strength(job: Job, selected: Sequence[str]) -> str:
    """Why there is no line of strength; empty where only some codes are looked at."""
    if selected:
        return ""
    why = "calculated by others (strength: elsewhere)"
    return f"Strength: {why if job.strength.elsewhere else 'left out (--no-strength)'}\n"


def strength_line(measures: Iterable[Measure]) -> str:
    """The greatest use of strength by kind of check, on one line; empty where none was worked out.

    Such as `Strength: post.bending 63 % at P2, cable.tension 41 % at C1`.
    """
    worst: dict[str, Measure] = {}
    for measure in measures:
        if measure.unit == "ratio":
            first = worst.setdefault(measure.code, measure)
            worst[measure.code] = max(first, measure, key=lambda one: one.measured)
    pieces = [f"{m.code} {m.measured * 100:.0f} % at {m.where[0]}" for m in worst.values()]
    return f"Strength: {', '.join(pieces)}\n" if pieces else ""
