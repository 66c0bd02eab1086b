"""Tables on paper: ruled, their text wrapped, flowing over columns and sheets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.drawings import layers
from generator.drawings.lettering import text_width, wrap
from generator.drawings.sheets import Frame
from generator.drawings.view import Item, Line, Scale, Text
from generator.frozen import dataclass

_SLACK = 1e-6  # a cell as wide as its column must not be parted by rounding
_PAD = 1.4
_STEP = 1.6  # line to line over the height of the text
_GAP = 8.0


@dataclass(frozen=True, slots=True)
class PaperTable:
    """A title, headings and rows of plain text; `widest` is how wide a column may grow, plotted mm.

    Without headings it is a list, ruled under its title only.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widest: float = 70.0


def flowed(
    tables: Sequence[PaperTable], room: Frame, scale: Scale, later: Frame | None = None
) -> list[list[Item]]:
    """A list of items a sheet; tables go down the sheet, then into the next column.

    `later` is the room on sheets after the first where it is another.
    """
    flow = _Flow(room, later or room, scale)
    for table in tables:
        if table.rows:
            flow.table(table)
    return flow.sheets


class _Flow:
    """Where the next row goes."""

    def __init__(self, room: Frame, later: Frame, scale: Scale) -> None:
        self.later = later
        self.room, self.small, self.head = room, scale.small, scale.text
        self.step = scale.small * _STEP
        self.sheets: list[list[Item]] = [[]]
        self.x, self.y, self.right = room[0], room[3], room[0]

    def table(self, table: PaperTable) -> None:
        widths = self._widths(table)
        total = sum(widths)
        rows = [self._wrapped(row, widths) for row in table.rows]
        top = self.head * 2 + self._height([table.heads]) * bool(table.heads)
        if self.y < self.room[3]:
            self.y -= _GAP
        least = top + sum(self._rise(row) for row in rows[:2])
        # A table also goes to the next column where it is wider than this one leaves room for, and
        # where it would be parted here, widen the column, and has room beside it.
        parted = self.y - top - sum(self._rise(row) for row in rows) < self.room[1]
        wider = self.right > self.room[0] and self.x + total > self.right + 0.01
        beside = self.right + _GAP + total <= self.room[2]
        narrow = self.x + total > self.room[2] + 0.01
        if self.y - least < self.room[1] or narrow or (parted and wider and beside):
            self._next(total)
        # The column is as wide as its widest table, of which a part may go on beside it.
        self.right = max(self.right, self.x + total)
        self._head(table, widths, continued=False)
        for row in rows:
            if self.y - self._rise(row) < self.room[1]:
                self._next(total)
                self._head(table, widths, continued=True)
            self._row(row, widths)

    def _next(self, width: float) -> None:
        """The next column, or the next sheet."""
        self.x, self.y = self.right + _GAP, self.room[3]
        if self.right == self.room[0] or self.x + width > self.room[2] + 0.01:
            if self.sheets[-1]:
                self.sheets.append([])
                self.room = self.later
            self.x = self.right = self.room[0]
            self.y = self.room[3]
        self.right = max(self.right, self.x + width)

    def _widths(self, table: PaperTable) -> list[float]:
        """Each column as wide as its widest text, none wider than it may be, all in the room."""
        columns = list(zip(*((table.heads,) if table.heads else ()), *table.rows, strict=True))
        widths = [
            min(max(text_width(cell, self.small) for cell in column), table.widest) + 2 * _PAD
            for column in columns
        ]
        over = sum(widths) - (self.room[2] - self.room[0])
        while over > 0.0:
            k = widths.index(max(widths))
            others = sorted(widths)[-2] if len(widths) > 1 else 0.0
            cut = min(over, max(widths[k] - others, 2.0))
            widths[k] -= cut
            over -= cut
        least = text_width(table.title, self.head)
        if sum(widths) < least:
            widths[-1] += least - sum(widths)
        return widths

    def _wrapped(self, row: Sequence[str], widths: Sequence[float]) -> list[list[str]]:
        return [
            wrap(cell, self.small, width - 2 * _PAD + _SLACK) or [""]
            for cell, width in zip(row, widths, strict=True)
        ]

    def _rise(self, row: Sequence[Sequence[str]]) -> float:
        return max(len(cell) for cell in row) * self.step + _PAD

    def _height(self, rows: Sequence[Sequence[str]]) -> float:
        return len(rows) * (self.step + _PAD)

    def _head(self, table: PaperTable, widths: Sequence[float], *, continued: bool) -> None:
        words = f"{table.title} (CONTINUED)" if continued else table.title
        height = self.head if text_width(words, self.head) <= sum(widths) else self.small
        if text_width(words, height) > sum(widths):
            words = table.title
        self._draw(Text((self.x, self.y - self.head / 2), words, height, layers.TEXT, "left"))
        self.y -= self.head * 1.7
        self._rule(sum(widths))
        if table.heads:
            self._row(self._wrapped(table.heads, widths), widths)
            self._rule(sum(widths))

    def _row(self, row: Sequence[Sequence[str]], widths: Sequence[float]) -> None:
        x = self.x
        for cell, width in zip(row, widths, strict=True):
            for k, line in enumerate(cell):
                at = (x + _PAD, self.y - _PAD / 2 - self.step * (k + 0.5))
                if line:
                    self._draw(Text(at, line, self.small, layers.TEXT, "left"))
            x += width
        self.y -= self._rise(row)
        self._draw(Line((self.x, self.y), (x, self.y), layers.DIMENSIONS))

    def _rule(self, width: float) -> None:
        self._draw(Line((self.x, self.y), (self.x + width, self.y), layers.SYMBOLS))

    def _draw(self, item: Item) -> None:
        self.sheets[-1].append(item)


def capitals(rows: Sequence[Sequence[str]]) -> Iterator[tuple[str, ...]]:
    """Rows in capitals, as lettering on sheets is; millimetres stay as they are written."""
    for row in rows:
        yield tuple(cell.upper().replace(" MM", " mm") for cell in row)
