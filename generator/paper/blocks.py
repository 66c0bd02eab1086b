"""Blocks of running text as rows that a page takes one after the other, and pages filled with them.

Lengths in points; y is up. A row is drawn when the number of pages is known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any, Literal

from generator.frozen import dataclass
from generator.paper.lettering import BOLD, REGULAR, number, shown
from generator.paper.runs import Line, Style, length, lines

Align = Literal["left", "right", "centre"]
LEADING = 1.25
"""From base line to base line, over the size of the type."""

_SIDE, _TOP, _FOOT = 3.0, 2.0, 0.5  # room around the text of a cell
_SHARES = {"left": 0.0, "centre": 0.5, "right": 1.0}
_EPSILON = 1e-6


@dataclass(frozen=True, slots=True)
class Row:
    """What is not parted: its height, and how it is drawn with its upper left corner at a point."""

    height: float
    draw: Callable[[Any, float, float], None]


@dataclass(frozen=True, slots=True)
class Block:
    """Rows in order; `head` stands again over those that go on on another page.

    `before` and `after` are the least room to its neighbours. `first` rows stay together, and with
    the block that follows where it `leads` one. With less `room` than told it begins a page.
    """

    rows: tuple[Row, ...]
    head: tuple[Row, ...] = ()
    before: float = 0.0
    after: float = 0.0
    first: int = 1
    leads: bool = False
    room: float = 0.0

    @property
    def height(self) -> float:
        return sum(row.height for row in (*self.head, *self.rows))

    @property
    def least(self) -> float:
        """Height of what stays together at its start."""
        return max(self.room, sum(row.height for row in (*self.head, *self.rows[: self.first])))


@dataclass(frozen=True, slots=True)
class Group:
    """Blocks that stay on one page where they fit on one."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Break:
    """What follows begins a page."""


Placed = tuple[Row, float]
"""A row and the height of its upper edge."""


def pages(blocks: Sequence[Block | Group | Break], top: float, bottom: float) -> list[list[Placed]]:
    """Rows on pages between two heights."""
    filled = _Pages(top, bottom)
    flat = [*_flat(blocks)]
    for k, (block, group) in enumerate(flat):
        if block is None:
            filled.turn()
            continue
        following = [one for one, _ in flat[k + 1 :]] if block.leads else []
        filled.put(block, following, group)
    return filled.pages


def _flat(
    blocks: Sequence[Block | Group | Break],
) -> Iterator[tuple[Block | None, Sequence[Block]]]:
    """Every block, None for a break; the first of a group with the whole of it."""
    for block in blocks:
        if isinstance(block, Group):
            for k, one in enumerate(block.blocks):
                yield one, block.blocks if k == 0 else ()
        else:
            yield (block if isinstance(block, Block) else None), ()


class _Pages:
    """The pages so far, and how low the last one is filled."""

    def __init__(self, top: float, bottom: float) -> None:
        self.top, self.bottom = top, bottom
        self.pages: list[list[Placed]] = [[]]
        self.y, self.after = top, 0.0

    def turn(self) -> None:
        """A new page, unless this one is empty."""
        if self.pages[-1]:
            self.pages.append([])
        self.y, self.after = self.top, 0.0

    def put(self, block: Block, following: Sequence[Block | None], group: Sequence[Block]) -> None:
        need, after = block.least, block.after
        for one in following:
            if one is None:
                break
            need += max(after, one.before) + one.least
            after = one.after
            if not one.leads:
                break
        whole = _height(group)
        if whole <= self.top - self.bottom + _EPSILON:
            need = max(need, whole)
        if self.pages[-1]:
            self.y -= max(self.after, block.before)
            if self.y - need < self.bottom - _EPSILON:
                self.turn()
        for row in (*block.head, *block.rows):
            if self.y - row.height < self.bottom - _EPSILON and self.pages[-1]:
                self.turn()
                for again in block.head:
                    self._row(again)
            self._row(row)
        self.after = block.after

    def _row(self, row: Row) -> None:
        self.pages[-1].append((row, self.y))
        self.y -= row.height


def _height(blocks: Sequence[Block]) -> float:
    """Of blocks, with the room between them."""
    gaps = (max(one.after, other.before) for one, other in pairwise(blocks))
    return sum(block.height for block in blocks) + sum(gaps)


def words(
    text: str, style: Style, room: float, *, before: float = 0.0, after: float, leads: bool = False,
    leading: float = LEADING, mark: Callable[[Any], None] | None = None,
) -> Block:  # fmt: skip
    """A paragraph, a row a line; `mark` is called with the canvas as its first line is drawn."""

    def row(k: int, line: Line) -> Row:
        def draw(canvas: Any, left: float, top: float) -> None:
            if mark and not k:
                mark(canvas)
            write(canvas, line, left, top - style.size)

        return Row(style.size * leading, draw)

    made = tuple(row(k, line) for k, line in enumerate(lines(text, style, room)))
    return Block(made, (), before, after, 2, leads)


def write(canvas: Any, line: Line, x: float, y: float) -> None:
    """A line of text from a point of its base line, ended as such for those who read it out."""
    told, rise = [], 0.0
    for run in line:
        if run.style.rise != rise:
            rise = run.style.rise
            told.append(f"{number(rise)} Ts")
        told.append(shown(canvas, run.style.face, run.style.size, run.text))
    if rise:
        told.append("0 Ts")
    at = f"1 0 0 1 {number(x)} {number(y)} Tm"
    canvas._code.append(f"BT {at} {' '.join(told)} 9 TL T* ET")


def table(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    widths: Sequence[float],
    align: Sequence[Align],
    size: float,
    room: float,
) -> Block:
    """A ruled table; `room` is the height of a page, over which a row of many lines is parted."""
    plain, bold = Style(REGULAR, size), Style(BOLD, size)
    top = [*_table_rows(head, bold, widths, align, room)]
    body = [made for row in rows for made in _table_rows(row, plain, widths, align, room / 2)]
    return Block(tuple(body), tuple(top))


def totalled(made: Block, text: str, style: Style, room: float) -> Block:
    """A table with a last line below, as wide as `room`, that stays with its last two rows."""
    end = words(text, style, room - 2 * _SIDE, after=0.0)
    kept = (*made.rows[-2:], Row(2 * _TOP, lambda *_: None), *end.rows)

    def draw(canvas: Any, left: float, top: float) -> None:
        for k, row in enumerate(kept):
            row.draw(canvas, left + (_SIDE if k >= len(kept) - len(end.rows) else 0.0), top)
            top -= row.height

    last = Row(sum(row.height for row in kept), draw)
    return replace(made, rows=(*made.rows[:-2], last))


def _table_rows(
    cells: Sequence[str],
    style: Style,
    widths: Sequence[float],
    align: Sequence[Align],
    room: float,
) -> Iterator[Row]:
    """A row of a table; several where it is higher than the room."""
    set_cells = [
        lines(text, style, wide - 2 * _SIDE) for text, wide in zip(cells, widths, strict=True)
    ]
    leading = style.size * LEADING
    most = max(1, int((room - _TOP - _FOOT) / leading))
    count = max(1, *(len(cell) for cell in set_cells))
    for start in range(0, count, most):
        last = start + most >= count
        some = [cell[start : start + most] for cell in set_cells]
        yield _table_row(some, style, widths, align, ruled=last)


def _table_row(
    cells: Sequence[Sequence[Line]],
    style: Style,
    widths: Sequence[float],
    align: Sequence[Align],
    *,
    ruled: bool,
) -> Row:
    leading = style.size * LEADING
    height = max(1, *(len(cell) for cell in cells)) * leading + _TOP + _FOOT
    placed: list[tuple[float, float, Line]] = []
    x = 0.0
    for cell, wide, side in zip(cells, widths, align, strict=True):
        share = _SHARES[side]
        for k, line in enumerate(cell):
            spare = (wide - 2 * _SIDE - length(line)) * share if share else 0.0
            placed.append((x + _SIDE + spare, _TOP + style.size + k * leading, line))
        x += wide
    rule = "0.8 w 0 0 0 RG" if style.face == BOLD else "0.25 w 0.6 0.6 0.6 RG"

    def draw(canvas: Any, left: float, top: float) -> None:
        for right, down, line in placed:
            write(canvas, line, left + right, top - down)
        if ruled:
            ends = (left, left + x)
            foot = number(top - height)
            a, b = (f"{number(end)} {foot}" for end in ends)
            canvas._code.append(f"{rule} {a} m {b} l S")

    return Row(height, draw)
