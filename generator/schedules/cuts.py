"""The cut list: a row a piece of rail, post, spacer and handrail, with lengths and saw settings."""

from __future__ import annotations

from generator.parts.assembly import Assembly, Part, RailDetail
from generator.parts.cut_words import cut_words, on_table, section_name
from generator.parts.measure import cut_angles, rail_lengths
from generator.schedules.bars import bars_by_mark
from generator.schedules.table import Cell, Column, Table
from generator.spec.job import Job
from generator.units import format_length

_COLUMNS = (
    Column("mark", "Mark"),
    Column("piece", "Piece"),
    Column("run", "Run"),
    Column("leg", "Leg", right=True),
    Column("section", "Section"),
    Column("long_point_mm", label="Long point", unit="mm"),
    Column("short_point_mm", label="Short point", unit="mm"),
    Column("centre_mm", label="Centre", unit="mm"),
    Column("start_miter_deg", label="Start miter", unit="deg"),
    Column("start_bevel_deg", label="Start bevel", unit="deg"),
    Column("end_miter_deg", label="End miter", unit="deg"),
    Column("end_bevel_deg", label="End bevel", unit="deg"),
    Column("long_point", "Long point", right=True, spells="long_point_mm", unit="ft-in"),
    Column("short_point", "Short point", right=True, spells="short_point_mm", unit="ft-in"),
    Column("centre", "Centre", right=True, spells="centre_mm", unit="ft-in"),
    Column("on_table", "On the table"),
    Column("start_cut", "Start cut"),
    Column("end_cut", "End cut"),
    Column("start_on", "Starts at"),
    Column("end_on", "Ends at"),
    Column("bar", label="From bar"),
)


def cut_list(assembly: Assembly) -> Table:
    """One row a piece, in the order of the marks of each kind; equal pieces are not merged.

    Angles are those of the saw with the piece on the side named, 0 for a square cut. Rails and
    handrails start where the travel starts, posts and spacers at the foot.
    """
    bars = bars_by_mark(assembly)
    rows = [
        _row(assembly.job, part, bars.get(part.mark, ""))
        for kind in ("rail", "post", "spacer", "handrail")
        for part in assembly.of_kind(kind)
    ]
    return Table("Cut list", _COLUMNS, tuple(rows))


def _row(job: Job, part: Part, bar: str) -> tuple[Cell, ...]:
    lengths = rail_lengths(part)
    detail = part.detail
    on = (detail.start_on, detail.end_on) if isinstance(detail, RailDetail) else ("", "")
    return (
        part.mark,
        part.kind,
        part.run,
        part.leg,
        section_name(job, part),
        *lengths,
        *cut_angles(part, "start"),
        *cut_angles(part, "end"),
        *(format_length(length, job.metric) for length in lengths),
        on_table(part),
        cut_words(part, "start"),
        cut_words(part, "end"),
        *on,
        bar,
    )
