"""The cable list: one row a cable, from where to where, its ends, three lengths, order to pull."""

from __future__ import annotations

from generator.parts.assembly import Assembly, CableDetail, Part, detail_of
from generator.parts.tensioning import pull_order
from generator.schedules.bars import bars_by_mark
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
    Column("start_fitting", label="Fitting at start"),
    Column("end_fitting", label="Fitting at end"),
    Column("start_swage", label="Put on at start"),
    Column("end_swage", label="Put on at end"),
    Column("posts"),
    Column("route_mm", label="Route", unit="mm"),
    Column("finished_mm", label="Finished", unit="mm"),
    Column("trim_mm", label="To trim", unit="mm"),
    Column("order_mm", label="Order", unit="mm"),
    Column("turn_deg", label="Turns", unit="deg"),
    Column("route", "Route", right=True, spells="route_mm", unit="ft-in"),
    Column("finished", "Finished", right=True, spells="finished_mm", unit="ft-in"),
    Column("order", "Order", right=True, spells="order_mm", unit="ft-in"),
    Column("pull_order", "Pull", right=True),
    Column("spool", label="From spool"),
)
_LENGTHS = (
    "Row 1 is the lowest. Route: between the inner faces of the end posts. Finished: end to end of "
    "the cable in its fittings. Order: what is cut from the spool."
)
_PULL = "Pull: the order within a leg, as in the tension list, which tells what each is set to."


def cable_list(assembly: Assembly, *, notes: bool = False) -> Table:
    """One row a cable: the route between the end posts' inner faces, the cable, what to order."""
    order = {mark: number for number, mark in pull_order(assembly)}
    spools = bars_by_mark(assembly)
    rows = tuple(
        (*_row(assembly, part, order[part.mark]), spools.get(part.mark, ""))
        for part in assembly.of_kind("cable")
    )
    return Table("Cables", _COLUMNS, rows, (_LENGTHS, _PULL) if notes else ())


def _row(assembly: Assembly, part: Part, order: int) -> tuple[Cell, ...]:
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
        *cable.swage,
        " ".join(cable.posts),
        *lengths[:2],
        cable.cut_length_mm - cable.finished_mm,
        lengths[2],
        cable.turn_deg,
        *(format_length(length, assembly.job.metric) for length in lengths),
        order,
    )
