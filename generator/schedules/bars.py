"""The bar list: a row a piece in the order of its cuts, and one for what is left of each bar."""

from __future__ import annotations

from collections.abc import Iterator

from generator.parts.assembly import Assembly
from generator.parts.bars import CutBar, StockPlan, stock_plans
from generator.schedules.table import Cell, Column, Table
from generator.units import format_length

_COLUMNS = (
    Column("bar", "Bar"),
    Column("item", "Cut from"),
    Column("stock_mm"),
    Column("stock", "Stock", right=True),
    Column("order", "Cut", right=True),
    Column("piece", "Piece"),
    Column("from_mm"),
    Column("to_mm"),
    Column("length_mm"),
    Column("from", "From", right=True),
    Column("to", "To", right=True),
    Column("length", "Length", right=True),
    Column("end_for_end", "End for end"),
    Column("upside_down", "Upside down"),
    Column("shares_cut", "Shares cut"),
)
_YES, _NO = "yes", ""


def bar_list(assembly: Assembly) -> Table:
    """Every bar and spool that the job names stock for, with its pieces and its offcut.

    Positions are from the first end of the bar, long point to long point. A piece lies in the bar
    as the cut list has it from left to right, or turned end for end or upside down from that; where
    it shares a cut it begins on the one that the piece before it ends on. The last row of a bar is
    what is left of it, to keep or waste.
    """
    rows = tuple(
        row
        for plan in stock_plans(assembly)
        for bar in plan.bars
        for row in _rows(plan, bar, metric=assembly.job.metric)
    )
    return Table("Bars", _COLUMNS, rows)


def _rows(plan: StockPlan, bar: CutBar, *, metric: bool) -> Iterator[tuple[Cell, ...]]:
    head = (bar.name, plan.item, bar.stock_mm, format_length(bar.stock_mm, metric))
    for number, piece in enumerate(bar.pieces, start=1):
        lengths = (piece.from_mm, piece.to_mm, piece.to_mm - piece.from_mm)
        yield (
            *head,
            number,
            piece.mark,
            *lengths,
            *(format_length(length, metric) for length in lengths),
            *(_YES if flag else _NO for flag in (piece.turned, piece.rolled, piece.shared)),
        )
    if bar.offcut_mm > 0.0:
        lengths = (bar.left_from_mm, bar.left_from_mm + bar.offcut_mm, bar.offcut_mm)
        shown = (format_length(length, metric) for length in lengths)
        what = "offcut, keep" if bar.kept else "offcut, waste"
        yield (*head, None, what, *lengths, *shown, _NO, _NO, _NO)
