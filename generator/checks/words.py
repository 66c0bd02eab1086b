"""Findings in words: measures in the units of the job, sources, counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from generator.parts.report import Finding, Measure, Report, Severity
from generator.units import format_inches, format_length_with_unit, parse_force, round_shop

CAUTION = (
    "This is an aid to layout, not an approval and not engineering. The adopted local code, the "
    "building official and a licensed engineer have the last word."
)

NO_SOURCE = "no source"
"""Edition of what is common practice."""

_NAMES: dict[Severity, tuple[str, str]] = {
    "fail": ("failure", "failures"),
    "warn": ("warning", "warnings"),
    "note": ("note", "notes"),
}

_POUND_FORCE_N = parse_force("1 lbf")
# Two lengths nearer than this look alike on a tape and are told in decimals.
_CLOSE_MM = 6.35


def measured_and_limit(
    measured: float | None, limit: float | None, unit: str, *, metric: bool
) -> str:
    """Such as `measured 3 1/8", limit 4"`; empty where nothing was measured."""
    if measured is None:
        return ""
    close = unit == "mm" and limit is not None and abs(measured - limit) < _CLOSE_MM
    text = f"measured {_measure(measured, unit, metric, close)}"
    return text if limit is None else f"{text}, limit {_measure(limit, unit, metric, close)}"


def _measure(value: float, unit: str, metric: bool, decimals: bool) -> str:
    if unit == "mm":
        return _length(value, metric, decimals)
    if unit == "N" and not metric:
        return f"{value / _POUND_FORCE_N:.2f} lbf"
    if unit == "ratio":
        return f"{value * 100:.0f} %"
    if unit == "deg":
        return f"{value + 0.0:.2f}°"
    number = f"{value:.2f}" if unit else f"{value:g}"
    return f"{number} {unit}".rstrip()


def _length(mm: float, metric: bool, decimals: bool) -> str:
    if not decimals:
        return format_length_with_unit(mm, metric)
    return f"{mm + 0.0:.2f} mm" if metric else format_inches(mm)


def source_words(clause: str, edition: str, *, verified: bool) -> str:
    """Where a limit comes from, and whether it was not read there; a habit has no source."""
    source = ", ".join(text for text in (clause, edition) if text)
    if verified or not source or edition == NO_SOURCE:
        return source
    return f"{source} (value not read at source)"


def bay_words(bays_mm: Sequence[float], *, metric: bool) -> str:
    """Bays as a tape shows them, equal neighbours counted, such as `4 at 5'-8 11/16"`.

    Positions are rounded, bays are their differences, so that the chain adds up.
    """
    groups: list[tuple[str, int]] = []
    position = shown = 0.0
    for bay in bays_mm:
        position += bay
        rounded = round_shop(position, metric)
        text = format_length_with_unit(rounded - shown, metric)
        shown = rounded
        if groups and groups[-1][0] == text:
            groups[-1] = (text, groups[-1][1] + 1)
        else:
            groups.append((text, 1))
    return ", ".join(f"{count} at {text}" if count > 1 else text for text, count in groups)


def counted(findings: Sequence[Finding]) -> str:
    """Such as `1 failure, 3 notes, 1 accepted`; empty for none."""
    counts = []
    open_ = [finding.severity for finding in findings if not finding.accepted]
    for severity, names in _NAMES.items():
        count = open_.count(severity)
        if count:
            counts.append(f"{count} {names[count > 1]}")
    if len(open_) < len(findings):
        counts.append(f"{len(findings) - len(open_)} accepted")
    return ", ".join(counts)


def severity_words(finding: Finding) -> str:
    """What gave a finding another severity than its own; empty where nothing did."""
    change = finding.amended
    if change is None:
        return ""
    source = ", ".join(text for text in (change.clause, change.by) if text)
    return f"Severity: {change.severity} instead of {finding.was}, by {source}: {change.reason}"


def status_line(report: Report) -> str:
    """What was found, counted: `1 failure, 3 notes`."""
    return counted(report.findings) or "nothing found"


def passed_lines(measures: Iterable[Measure]) -> list[str]:
    """Such as `7 against clause R312.1.3, IRC 2021`, a line for each source."""
    groups: dict[str, int] = {}
    for measure in measures:
        if measure.passed and measure.limit is not None:
            key = _against(measure)
            groups[key] = groups.get(key, 0) + 1
    return [f"{count} against {source}" for source, count in sorted(groups.items())]


def _against(measure: Measure) -> str:
    # Clauses of a code carry a number; a common practice or a key of the spec is named as it is.
    numbered = any(character.isdigit() for character in measure.clause)
    clause = f"clause {measure.clause}" if numbered else measure.clause
    return source_words(clause, measure.edition, verified=measure.verified)
