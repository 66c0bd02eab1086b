"""Quantities: one row an item that has to be ordered."""

from __future__ import annotations

from generator.parts.assembly import Assembly
from generator.parts.quantities import quantities
from generator.schedules.table import Column, Table
from generator.units import format_length

_COLUMNS = (
    Column("item", "Item"),
    Column("description", "Description"),
    Column("count", "Count", right=True),
    Column("spare"),
    Column("length_mm"),
    Column("length", "Length in all", right=True),
)


def order_list(assembly: Assembly) -> Table:
    """Every item with its count; the length is the sum of the pieces, no plan for cutting bars."""
    metric = assembly.job.metric
    rows = tuple(
        (
            line.item,
            line.description,
            line.count,
            line.spare,
            line.length_mm,
            "" if line.length_mm is None else format_length(line.length_mm, metric),
        )
        for line in quantities(assembly)
    )
    return Table("Quantities", _COLUMNS, rows)
