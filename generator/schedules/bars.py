"""The bar list: a row a piece in the order of its cuts, and one for what is left of each bar."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from generator.parts.assembly import Assembly
from generator.parts.bars import CutBar, CutPiece, StockPlan, stock_plans
from generator.products.naming import marks_in_words
from generator.schedules.table import Cell, Column, Table
from generator.units import format_length, format_length_with_unit

_COLUMNS = (
    Column("bar", "Bar"),
    Column("item", "Cut from"),
    Column("stock_mm", label="Stock", unit="mm"),
    Column("stock", "Stock", right=True, spells="stock_mm", unit="ft-in"),
    Column("order", "Cut", right=True),
    Column("piece", "Piece"),
    Column("from_mm", label="From", unit="mm"),
    Column("to_mm", label="To", unit="mm"),
    Column("length_mm", label="Length", unit="mm"),
    Column("from", "From", right=True, spells="from_mm", unit="ft-in"),
    Column("to", "To", right=True, spells="to_mm", unit="ft-in"),
    Column("length", "Length", right=True, spells="length_mm", unit="ft-in"),
    Column("end_for_end", "End for end"),
    Column("upside_down", "Upside down"),
    Column("shares_cut", "Shares cut"),
)
_YES, _NO = "yes", ""


def bar_list(assembly: Assembly, *, together: bool = False) -> Table:
    """Every bar and spool that the job names stock for, with its pieces and its offcut.

    Positions are from the first end of the bar, long point to long point. A piece lies in the bar
    as the cut list has it from left to right, or turned end for end or upside down from that; where
    it shares a cut it begins on the one that the piece before it ends on. The last row of a bar is
    what is left of it, to keep or waste. `together`: equal cables that follow one another on a
    spool are one row, for people.
    """
    rows = tuple(
        row
        for plan in stock_plans(assembly)
        for bar in plan.bars
        for row in _rows(plan, bar, metric=assembly.job.metric, together=together)
    )
    return Table("Bars", _COLUMNS, rows, tuple(_notes(assembly)) if rows else ())


def _length_key(number: int, piece: CutPiece, *, merged: bool) -> float:
    """Equal for pieces that share a row: their length, or the number of each."""
    return round(piece.to_mm - piece.from_mm, 3) if merged else float(number)


def bars_by_mark(assembly: Assembly) -> dict[str, str]:
    """The name of the bar or spool that each piece is cut from, of those with stock."""
    return {
        piece.mark: bar.name
        for plan in stock_plans(assembly)
        for bar in plan.bars
        for piece in bar.pieces
    }


def _notes(assembly: Assembly) -> Iterator[str]:
    """How positions are measured, how bars are cut, and how good every plan is."""
    stock = assembly.job.stock
    assert stock is not None
    kerf, trim = (
        format_length_with_unit(mm, assembly.job.metric)
        for mm in (stock.kerf_mm, stock.end_trim_mm)
    )
    yield (
        "From and to: long point to long point, from the first end of the bar. A piece that shares "
        f"a cut begins on the one that the piece before it ends on. Saw cuts {kerf}, {trim} cut "
        "off each end of a bar; cable is cut without loss, and of cables told together the length "
        "is that of each."
    )
    for plan in stock_plans(assembly):
        how = "proven to be the least" if plan.proven else _gap_words(plan)
        count = len(plan.bars)
        word = "spool" if plan.material == "cable" else f"{plan.material} bar"
        what = "cost" if plan.priced else "length of stock"
        yield f"{count} {word}{'s' if count > 1 else ''}: {what} {how}."


def _gap_words(plan: StockPlan) -> str:
    if plan.gap:
        return f"at most {100 * plan.gap:.1f} % over the least that any plan could come to"
    return "proven to be the least, joints perhaps not the fewest"


def _rows(
    plan: StockPlan, bar: CutBar, *, metric: bool, together: bool
) -> Iterator[tuple[Cell, ...]]:
    head = (bar.name, plan.item, bar.stock_mm, format_length(bar.stock_mm, metric))
    merged = together and plan.material == "cable"
    numbered = list(enumerate(bar.pieces, start=1))
    for _, alike in groupby(numbered, key=lambda one: _length_key(*one, merged=merged)):
        held = list(alike)
        (number, piece), (until, last) = held[0], held[-1]
        lengths = (piece.from_mm, last.to_mm, piece.to_mm - piece.from_mm)
        yield (
            *head,
            number if number == until else f"{number} to {until}",
            marks_in_words([one.mark for _, one in held]),
            *lengths,
            *(format_length(length, metric) for length in lengths),
            *(_YES if flag else _NO for flag in (piece.turned, piece.rolled, piece.shared)),
        )
    if bar.offcut_mm > 0.0:
        lengths = (bar.left_from_mm, bar.left_from_mm + bar.offcut_mm, bar.offcut_mm)
        shown = (format_length(length, metric) for length in lengths)
        what = "offcut, keep" if bar.kept else "offcut, waste"
        yield (*head, None, what, *lengths, *shown, _NO, _NO, _NO)
