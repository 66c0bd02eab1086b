"""A schedule as columns and rows, written as CSV for programs or as aligned text for people."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from generator.frozen import dataclass

Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class Column:
    """`key` heads the CSV column; a column without a `heading` is for programs only."""

    key: str
    heading: str = ""
    right: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """One schedule: a row an entry, a cell a column."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


def to_csv(table: Table) -> str:
    """Comma-separated text with `\\n` line ends; numbers in plain decimals, at most 7 places."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(column.key for column in table.columns)
    writer.writerows([_machine(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def to_text(table: Table) -> str:
    """Title, headings and rows in aligned columns, for a terminal; ends with a line end."""
    shown = [i for i, column in enumerate(table.columns) if column.heading]
    body = [[_machine(row[i]) for i in shown] for row in table.rows]
    columns = [table.columns[i] for i in shown]
    lines = aligned([[c.heading for c in columns], *body], [c.right for c in columns])
    return "\n".join([table.title, *(f"  {line}" for line in lines)]) + "\n"


def aligned(rows: Sequence[Sequence[str]], right: Sequence[bool]) -> list[str]:
    """Rows as lines, each column as wide as its widest cell, two blanks between."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(right))]
    return [
        "  ".join(
            cell.rjust(width) if to_right else cell.ljust(width)
            for cell, width, to_right in zip(row, widths, right, strict=True)
        ).rstrip()
        for row in rows
    ]


def _machine(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        text = f"{cell:.7f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
    return str(cell)
