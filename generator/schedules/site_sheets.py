"""Sheets for the pocket: what to look out for, order of work, setting out, blocking, tension."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from generator import __version__
from generator.checks.words import CAUTION, measured_and_limit, source_words, status_line
from generator.paper.flow import A5, HALF_LETTER, Flow
from generator.parts.assembly import Assembly, LegLine
from generator.parts.legs import edge_length
from generator.parts.report import Report
from generator.parts.setting_out import block_spots, post_spots, start_words
from generator.parts.steps import order_of_work
from generator.parts.tensioning import pullings
from generator.products.naming import marks_in_words
from generator.schedules.all_schedules import head_words, page_header
from generator.schedules.pages import add_table
from generator.schedules.site_figure import STRIP_MM, strip
from generator.schedules.site_tables import (
    BLOCK_NOTES,
    POST_NOTES,
    blocking_list,
    force_text,
    setting_out,
    tension_list,
    tension_notes,
)
from generator.schedules.table import Cell, Column, Table, printed
from generator.units import format_length_with_unit

_MARGIN_MM = 11.0
_BOX = "\N{WHITE SQUARE}"
# What a tape and a ball can look at once the guard stands.
_LOOKED_AT: Mapping[str, str] = {
    "height.level": "top of rail over the floor",
    "height.stair": "top of rail over the nosings, plumb",
    "span.posts": "post to post, centres",
    "opening.level": "between cables",
    "opening.stair": "between cables or cable and rail, stair",
    "opening.bottom": "under the lowest cable",
    "opening.end": "beside a post",
    "opening.triangle": "ball in tread, riser and lowest cable",
    "opening.fascia": "between edge and post or cable",
}


def write_site_sheets(assembly: Assembly, report: Report, path: Path) -> None:
    """Write the sheets as a PDF; the same job gives the same bytes.

    Raises:
        OSError: `path` cannot be written.
    """
    path.write_bytes(site_sheets(assembly, report))


def site_sheets(assembly: Assembly, report: Report) -> bytes:
    """The PDF's bytes, half letter or A5 by the job's units."""
    head = head_words(assembly)
    flow = Flow(
        f"{head}: site sheets",
        header=page_header(assembly),
        footer=f"stringline {__version__}",
        size=A5 if assembly.job.metric else HALF_LETTER,
        margin_mm=_MARGIN_MM,
    )
    flow.heading("Site sheets", 0)
    _before(flow, assembly, report)
    _work(flow, assembly)
    flow.new_page()
    _setting_out(flow, assembly)
    _blocking(flow, assembly)
    _tension(flow, assembly)
    flow.new_page()
    _after(flow, assembly, report)
    return flow.data()


def _before(flow: Flow, assembly: Assembly, report: Report) -> None:
    job = assembly.job
    flow.paragraph(f"Rules: {job.rules.name}, {job.rules.edition}. {CAUTION}", small=True)
    flow.paragraph(f"Findings of the check: {status_line(report)}.", small=True, bold=True)
    for finding in report.findings:
        if finding.severity != "note" and not finding.accepted:
            flow.paragraph(f"{finding.severity}: {finding.message}.", small=True)
    flow.heading("Look out")
    for text in cautions(assembly):
        flow.paragraph(f"{_BOX} {text}", small=True)


def cautions(assembly: Assembly) -> Iterator[str]:
    """What to look out for with what this job has (common practice, no source)."""
    job = assembly.job
    kinds = {part.kind for part in assembly.parts}
    mounts = {getattr(part.detail, "mount", "") for part in assembly.of_kind("post")}
    yield (
        "Measure the edges again before anything is drilled. Where the tape reads something else "
        "than these sheets, stop: change the job file and build anew."
    )
    if mounts & {"deck", "fascia"} and job.structure and not job.structure.concrete:
        yield (
            "Before drilling, look from below for wires, pipes and flashing. See that the wood is "
            "sound."
        )
    if "core" in mounts:
        post, metric = job.system.post, job.metric
        across, deep = (
            format_length_with_unit(mm, metric) for mm in (post.core_hole_mm, post.core_depth_mm)
        )
        yield (
            f"Core holes {across} across and {deep} deep, no deeper: find the reinforcement first. "
            "Let grout harden before a cable is pulled."
        )
    if any(leg.kind == "stair" for leg in assembly.legs):
        yield "Measure every riser and tread: stair posts are cut for the steps of the job file."
    if job.system.post.material.startswith("al-"):
        yield (
            "Barrier tape under every aluminium plate on treated wood or concrete; stainless studs "
            "and screws in aluminium with a sealing compound."
        )
    if "sleeve" in kinds or "connector" in kinds:
        yield "Dry-fit sleeves and mitered pieces; leave the gap for heat where a leg ends."
    if "cable" in kinds:
        if "field" in job.guard.swage:
            yield (
                "Push the cable to the bottom of a fitting and mark it there before it is pressed; "
                "afterwards the mark must not have moved."
            )
        yield "A compound against seizing on every stud before its nut goes on."
        yield (
            "Eye protection when cable is cut or tensioned. Stand beside a cable under tension, "
            "not in line with it."
        )
    yield "Nobody leans on the guard, and no edge is left open, before the last cable is tight."


def _work(flow: Flow, assembly: Assembly) -> None:
    flow.heading("Order of work")
    for n, step in enumerate(order_of_work(assembly), start=1):
        flow.paragraph(f"{_BOX} {n}. {step.title}", small=True, bold=True)
        marks = marks_in_words(step.marks) if step.title != "Tension the cables" else "see Tension"
        text = f"{step.text} ({marks})" if marks else step.text
        flow.paragraph(text, small=True)


def _setting_out(flow: Flow, assembly: Assembly) -> None:
    flow.heading("Setting out")
    table = setting_out(assembly)
    for note in POST_NOTES:
        flow.paragraph(note, small=True)
    for leg in assembly.legs:
        own = _of_leg(table, leg, ("run", "leg"))

        def fill(leg: LegLine = leg, own: Table = own) -> None:
            _leg_sheet(flow, assembly, leg, own)

        flow.together(fill)


def _leg_sheet(flow: Flow, assembly: Assembly, leg: LegLine, own: Table) -> None:
    metric = assembly.job.metric
    length = edge_length(leg)
    words = format_length_with_unit(length, metric)
    pitch = f", {abs(leg.pitch_deg):.1f}° {'down' if leg.pitch_deg < 0 else 'up'}"
    flow.heading(f"{_named(leg)}: {leg.kind} {words}{pitch if leg.pitch_deg else ''}", 2)
    draw = strip(leg, length, post_spots(assembly, leg), flow.width_mm, metric=metric)
    if draw:
        flow.figure(STRIP_MM, draw)
    flow.paragraph(f"Running from {start_words(leg)}.", small=True)
    add_table(flow, own)


def _named(leg: LegLine) -> str:
    """Run A, leg 2: as a heading begins."""
    return leg.label[0].upper() + leg.label[1:]


def _of_leg(table: Table, leg: LegLine, keys: tuple[str, str]) -> Table:
    """The printed rows of one leg, without the columns that tell it, nor those that are empty."""
    at = {column.key: i for i, column in enumerate(table.columns)}
    rows = [
        row for row in table.rows if (row[at[keys[0]]], row[at[keys[1]]]) == (leg.run, leg.number)
    ]
    return _without(Table(table.title, table.columns, tuple(rows)), keys)


def _without(table: Table, keys: Iterable[str]) -> Table:
    """Printed, without some columns and without empty ones."""
    shown = printed(table)
    keep = [
        i
        for i, column in enumerate(shown.columns)
        if column.key not in keys and any(row[i] for row in shown.rows)
    ]
    rows = tuple(tuple(row[i] for i in keep) for row in shown.rows)
    return Table(shown.title, tuple(shown.columns[i] for i in keep), rows)


def _blocking(flow: Flow, assembly: Assembly) -> None:
    legs = dict.fromkeys((leg.run, leg.number) for leg, _ in block_spots(assembly))
    if not legs:
        return
    flow.new_page()
    flow.heading("Blocking")
    for note in BLOCK_NOTES:
        flow.paragraph(note, small=True)
    table = blocking_list(assembly)
    for leg in assembly.legs:
        if (leg.run, leg.number) in legs:
            flow.heading(_named(leg), 2)
            flow.paragraph(f"Running from {start_words(leg)}.", small=True)
            add_table(flow, _of_leg(table, leg, ("run", "leg")))


def _tension(flow: Flow, assembly: Assembly) -> None:
    values = pullings(assembly)
    if not values:
        return
    flow.new_page()
    flow.heading("Tension and threads")
    job = assembly.job
    system, metric = job.system, job.metric
    pitch = system.fitting.thread_pitch_mm
    thread = f"pitch {pitch:g} mm" if metric else f"{25.4 / pitch:.3g} threads to the inch"
    flow.paragraph(
        f"Cable {system.cable.name}, stud {format_length_with_unit(system.fitting.stud_mm, metric)}"
        f", {thread}. Set tension of the job: {force_text(job.guard.tension_n, metric)}.",
        small=True,
    )
    for note in tension_notes(assembly):
        flow.paragraph(note, small=True)
    table = tension_list(assembly)
    at = {column.key: i for i, column in enumerate(table.columns)}
    groups: dict[tuple[str, str], list[tuple[int, tuple[Cell, ...]]]] = {}
    for one, row in zip(values, table.rows, strict=True):
        key = (str(row[at["run"]]), str(row[at["legs"]]))
        groups.setdefault(key, []).append((one.order, row))
    for (run, legs), rows in groups.items():
        several = " " in legs
        flow.heading(f"Run {run}, leg{'s' if several else ''} {', '.join(legs.split())}", 2)
        ordered = tuple(row for _, row in sorted(rows, key=lambda pair: pair[0]))
        own = Table(table.title, table.columns, ordered)
        add_table(flow, _with_boxes(_without(own, ("run", "legs"))))


def _with_boxes(table: Table) -> Table:
    """Room to tick off two passes."""
    columns = (*table.columns, Column("first", "1st"), Column("second", "2nd"))
    return Table(table.title, columns, tuple((*row, _BOX, _BOX) for row in table.rows))


def _after(flow: Flow, assembly: Assembly, report: Report) -> None:
    flow.heading("When it stands")
    flow.paragraph(
        "As laid out; measure it as built, at its tightest place and at others.", small=True
    )
    rows = [row for code in _LOOKED_AT for row in _looked_at(report, code, assembly.job.metric)]
    if rows:
        flow.table(
            ("", "What", "Where", "As laid out", "Source"),
            rows,
            widths=(1, 6, 5, 7, 7),
            small=True,
        )
        flow.space(2.0)
    for text in _LAST:
        flow.paragraph(f"{_BOX} {text}", small=True)


_LAST = (
    "Every stud through its nut, thread to spare, ends capped or filed.",
    "Every screw and bolt tight; every rail end closed.",
    "Tension again after some days and after the first season (common practice, no source).",
    "Shown to the inspector; these sheets kept with the job.",
)


def _looked_at(report: Report, code: str, metric: bool) -> Iterator[tuple[str, ...]]:
    senses: Mapping[str, str] = {"at least": "at least", "at most": "at most"}
    for measure in report.measures:
        if measure.code == code and measure.limit is not None:
            text = measured_and_limit(measure.measured, measure.limit, measure.unit, metric=metric)
            words = text.replace("measured ", "").replace(
                "limit", senses.get(measure.sense, "under")
            )
            source = "the job file"
            if measure.edition != "job spec":
                source = source_words(measure.clause, measure.edition, verified=measure.verified)
            yield _BOX, _LOOKED_AT[code], ", ".join(measure.where), words, source
