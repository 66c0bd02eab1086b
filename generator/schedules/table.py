"""A schedule as columns and rows, written as CSV for programs or as aligned text for people."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Sequence

from generator.frozen import dataclass

Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class Column:
    """`key` heads the CSV column; text for people shows a column only under its `heading`.

    A workbook and printed pages also show one that has a `label`; with a `unit` (mm, deg, kg, N or
    none for a count) it holds numbers, which the workbook alone shows, in the units of the job.
    A column that `spells` another one out, by its key, stands beside it there where its own unit
    is `ft-in`, and is left out else.
    """

    key: str
    heading: str = ""
    right: bool = False
    label: str = ""
    unit: str = ""
    spells: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """One schedule: a row an entry, a cell a column; `notes` are said under it to people."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()

    def cells(self, key: str) -> tuple[Cell, ...]:
        """The cells of one column, by its key.

        Raises:
            ValueError: there is no such column.
        """
        index = [column.key for column in self.columns].index(key)
        return tuple(row[index] for row in self.rows)

    def idle(self, index: int) -> bool:
        """Whether a column of words beyond the headed ones has nothing to tell in this job."""
        column = self.columns[index]
        extra = bool(column.label) and not (column.heading or column.unit)
        return extra and all(row[index] in ("", None) for row in self.rows)


def to_csv(table: Table) -> str:
    """Comma-separated text with `\\n` line ends; numbers in plain decimals, at most 7 places."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(column.key for column in table.columns)
    writer.writerows([plain(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def to_text(table: Table) -> str:
    """Title, headings and rows in aligned columns, for a terminal; ends with a line end."""
    shown = [i for i, column in enumerate(table.columns) if column.heading]
    body = [[plain(row[i]) for i in shown] for row in table.rows]
    columns = [table.columns[i] for i in shown]
    lines = aligned([[c.heading for c in columns], *body], [c.right for c in columns])
    for note in table.notes:
        lines += textwrap.wrap(note, 98, subsequent_indent="  ", break_on_hyphens=False)
    return "\n".join([table.title, *(f"  {line}" for line in lines)]) + "\n"


def printed(table: Table) -> Table:
    """The table as pages show it: its headed columns, and labelled ones that hold no measures."""
    shown = [
        (i, c)
        for i, c in enumerate(table.columns)
        if c.heading or (c.label and not c.unit and not table.idle(i))
    ]
    columns = tuple(Column(c.key, c.heading or c.label, c.right) for _, c in shown)
    rows = tuple(tuple(plain(row[i]) for i, _ in shown) for row in table.rows)
    return Table(table.title, columns, rows, table.notes)


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


def plain(cell: Cell) -> str:
    """A cell as programs read it: a number in plain decimals, at most 7 places."""
    if cell is None:
        return ""
    if isinstance(cell, float):
        text = f"{cell:.7f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
    return str(cell)
