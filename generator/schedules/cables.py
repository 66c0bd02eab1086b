"""The cable list: one row a cable, from where to where, with its three lengths."""

from __future__ import annotations

from generator.parts.assembly import Assembly, CableDetail, Part, detail_of
from generator.schedules.table import Cell, Column, Table
from generator.units import format_length

_COLUMNS = (
    Column("mark", "Mark"),
    Column("run", "Run"),
    Column("legs", "Leg"),
    Column("row", "Row", right=True),
    Column("cable", "Cable"),
    Column("start_post", "From"),
    Column("end_post", "To"),
    Column("start_end", "Start"),
    Column("end_end", "End"),
    Column("start_fitting"),
    Column("end_fitting"),
    Column("route_mm"),
    Column("finished_mm"),
    Column("trim_mm"),
    Column("order_mm"),
    Column("turn_deg"),
    Column("route", "Route", right=True),
    Column("finished", "Finished", right=True),
    Column("order", "Order", right=True),
)


def cable_list(assembly: Assembly) -> Table:
    """One row a cable: the route between the end posts' inner faces, the cable, what to order."""
    rows = tuple(_row(assembly, part) for part in assembly.of_kind("cable"))
    return Table("Cables", _COLUMNS, rows)


def _row(assembly: Assembly, part: Part) -> tuple[Cell, ...]:
    cable = detail_of(part, CableDetail)
    lengths = (cable.support_length_mm, cable.finished_mm, cable.cut_length_mm)
    return (
        part.mark,
        part.run,
        " ".join(str(leg) for leg in cable.legs),
        cable.row,
        assembly.job.system.cable.name,
        cable.posts[0],
        cable.posts[-1],
        *cable.ends,
        *cable.fittings,
        *lengths[:2],
        cable.cut_length_mm - cable.finished_mm,
        lengths[2],
        cable.turn_deg,
        *(format_length(length, assembly.job.metric) for length in lengths),
    )
