"""What the cover tells: the job, the code with its clauses, the loads, the notes, the index."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.drawings.schedule_tables import amount
from generator.drawings.tables import PaperTable, capitals
from generator.drawings.title_block import CAUTION, sheet_notes, system_rows
from generator.parts.assembly import Assembly
from generator.parts.legs import edge_length
from generator.parts.report import Measure, Report
from generator.units import format_length_with_unit

_WIDE = 110.0  # plotted mm that a note may run before it is wrapped


def cover_tables(
    assembly: Assembly, report: Report, index: Sequence[tuple[str, str]]
) -> list[PaperTable]:
    """The tables of the cover, in the order in which they are read."""
    notes = [(f"{k}.", note) for k, note in enumerate(sheet_notes(assembly, report), start=1)]
    return [
        PaperTable("JOB", (), tuple(capitals(_job_rows(assembly))), _WIDE),
        PaperTable("SHEETS", (), tuple(index)),
        PaperTable("NOT ENGINEERED UNLESS SEALED", (), ((CAUTION,),), _WIDE),
        PaperTable("BY OTHERS, AND DEFERRED", (), tuple(_by_others(assembly)), _WIDE),
        PaperTable("GUARD", (), tuple(capitals(system_rows(assembly))), _WIDE),
        PaperTable(
            "DESIGN LOADS OF THE RULE SET",
            ("LOAD", "VALUE", "CLAUSE"),
            tuple(capitals(list(_load_rows(assembly)))),
        ),
        PaperTable("NOTES", (), tuple(notes), _WIDE),
        PaperTable(
            "CHECKS AGAINST THE CODE",
            ("CHECK", "CLAUSE", "EDITION", "LIMIT", "WORST", "AT", "RESULT"),
            tuple(capitals(list(_code_rows(assembly, report)))),
            52.0,
        ),
    ]


def _job_rows(assembly: Assembly) -> list[tuple[str, str]]:
    job, metric = assembly.job, assembly.job.metric
    asked = job.drawings
    kinds = {"level": 0.0, "stair": 0.0, "ramp": 0.0}
    for leg in assembly.legs:
        kinds[leg.kind] += edge_length(leg)
    posts = sum(1 for _ in assembly.of_kind("post"))
    scope = f"{posts} posts, " + ", ".join(
        f"{format_length_with_unit(length, metric)} of {kind} edge"
        for kind, length in kinds.items()
        if length
    )
    rows = [
        ("Job", job.title),
        ("Number", job.number),
        ("Owner", asked.owner),
        ("Address", asked.address),
        ("Parcel", asked.parcel),
        ("Drawn by", asked.firm),
        ("Scope", f"cable guard: {scope}"),
        ("Code", job.rules.edition),
        ("Guard height", format_length_with_unit(job.guard.height_mm, metric)),
        ("On stairs", format_length_with_unit(job.guard.stair_height_mm, metric)),
        ("Tension", amount(job.guard.tension_n, "N", metric) + " a cable when set"),
    ]
    return [row for row in rows if row[1]]


def _by_others(assembly: Assembly) -> Iterator[tuple[str, str]]:
    """What these sheets leave to others, as a reviewer asks for it."""
    yield "SITE PLAN", "ATTACHED BY THE APPLICANT."
    yield "STRUCTURE", "WHAT THE GUARD IS FIXED TO, ITS FRAMING AND FOOTINGS: ON OTHER SHEETS."
    if assembly.job.strength.elsewhere:
        yield "STRENGTH", "CALCULATED BY OTHERS, HANDED IN WITH THESE SHEETS OR DEFERRED."
    else:
        yield "STRENGTH", "CALCULATION FOR REVIEW BY A LICENSED ENGINEER, WHOSE SEAL IS DEFERRED."


def _load_rows(assembly: Assembly) -> Iterator[tuple[str, str, str]]:
    for key, limit in assembly.job.rules.limits.items():
        if key.startswith("load.") and limit.stated:
            read = "" if limit.verified else " (value not read at source)"
            source = ", ".join(text for text in (limit.clause, limit.edition) if text)
            yield key, limit.text, source + read


def _code_rows(assembly: Assembly, report: Report) -> Iterator[tuple[str, ...]]:
    """A row a check and limit: the worst that was found of all legs."""
    metric = assembly.job.metric
    groups: dict[tuple[str, str, str, str], list[Measure]] = {}
    for measure in report.measures:
        key = (measure.code, measure.clause, measure.edition, str(measure.limit))
        groups.setdefault(key, []).append(measure)
    for (code, clause, edition, _), measures in groups.items():
        worst = _worst(measures)
        unread = not worst.verified and worst.limit is not None and edition != "no source"
        read = " (not read at source)" if unread else ""
        limit = amount(worst.limit, worst.unit, metric)
        yield (
            code,
            clause,
            edition + read,
            f"{worst.sense} {limit}" if limit and worst.sense != "none" else limit,
            amount(worst.measured, worst.unit, metric),
            ", ".join(worst.where),
            _result(measures),
        )


def _worst(measures: Sequence[Measure]) -> Measure:
    """The first that did not pass, or else the one that comes nearest to its limit.

    Of what is only told, without a limit, the least: a force that opens a gap, or a width.
    """
    failed = [measure for measure in measures if not measure.passed]
    if failed:
        return failed[0]
    most = measures[0].sense not in ("at least", "none")
    return (max if most else min)(measures, key=lambda measure: measure.measured)


def _result(measures: Sequence[Measure]) -> str:
    if any(not measure.passed for measure in measures):
        return "see findings"
    return "told only" if all(measure.limit is None for measure in measures) else "passed"
