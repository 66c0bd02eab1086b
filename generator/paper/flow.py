"""A PDF of running text: headings, paragraphs, tables and figures that break over pages."""
# The PDF library tells types of little of what it takes.
# pyright: reportArgumentType=false, reportAttributeAccessIssue=false

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any, Literal

from generator.geometry import Vec2
from generator.paper import blocks
from generator.paper.blocks import Align, Block, Break, Group, Row
from generator.paper.canvas import POINTS, Page, finish, new_canvas
from generator.paper.lettering import BOLD, REGULAR
from generator.paper.runs import Line, Marked, Run, Style, length

__all__ = ("A4", "A5", "HALF_LETTER", "LETTER", "Align", "Cell", "Flow", "Marked")

Cell = str | tuple[str, ...]

LETTER: Vec2 = (215.9, 279.4)
A4: Vec2 = (210.0, 297.0)
HALF_LETTER: Vec2 = (139.7, 215.9)
A5: Vec2 = (148.0, 210.0)

_MARGIN_MM = 16.0
_BODY, _SMALL, _TITLE, _HEAD, _SUBHEAD = 9.0, 7.5, 16.0, 12.0, 10.0  # type sizes in points


class Flow:
    """Blocks of a document, gathered in order and set at the end; lengths in millimetres.

    Text is plain: nothing in it is markup, unless it is `Marked`. `header` stands at the top of
    every page, `footer` at its foot beside "page n of m".
    """

    def __init__(
        self,
        title: str,
        *,
        header: str = "",
        footer: str = "",
        size: Vec2 = LETTER,
        margin_mm: float = _MARGIN_MM,
    ) -> None:
        self.title, self.header, self.footer, self.size = title, header, footer, size
        self.margin_mm = margin_mm
        self._blocks: list[Block | Group | Break] = []
        self._headings = 0

    @property
    def width_mm(self) -> float:
        """Room between the margins."""
        return self.size[0] - 2 * self.margin_mm

    @property
    def _room(self) -> Vec2:
        """Between the margins, points."""
        return (self.width_mm * POINTS, (self.size[1] - 2 * self.margin_mm) * POINTS)

    def heading(self, text: str, level: Literal[0, 1, 2] = 1) -> None:
        """A heading; those of level 0 and 1 are bookmarks of the file."""
        self._headings += 1
        size, key = (_TITLE, _HEAD, _SUBHEAD)[level], f"h{self._headings}"

        def mark(canvas: Any) -> None:
            canvas.bookmarkPage(key)
            canvas.addOutlineEntry(text, key, level, 0)

        self._blocks.append(
            blocks.words(
                text,
                Style(BOLD, size),
                self._room[0],
                before=size * 0.7,
                after=size * 0.35,
                leads=True,
                leading=1.2,
                mark=mark if level < 2 else None,
            )
        )

    def paragraph(self, text: str, *, small: bool = False, bold: bool = False) -> None:
        size = _SMALL if small else _BODY
        style = Style(BOLD if bold else REGULAR, size)
        self._blocks.append(blocks.words(text, style, self._room[0], after=size * 0.35))

    def table(
        self,
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        *,
        widths: Sequence[float] | None = None,
        align: Sequence[Align] = (),
        small: bool = False,
        total: str = "",
    ) -> None:
        """A ruled table whose head is repeated on every page; `widths` are shares of the room.

        `total` is a last line across all columns, which stays with the rows before it.
        """
        shares = widths or [1.0] * len(head)
        share = self._room[0] / sum(shares)
        left: Align = "left"
        sides = [*align, *(left for _ in range(len(head) - len(align)))]
        wide = [one * share for one in shares]
        size = _SMALL if small else _BODY
        made = blocks.table(head, rows, wide, sides, size, self._room[1])
        if total:
            made = blocks.totalled(made, total, Style(BOLD, _BODY), self._room[0])
        self._blocks.append(made)

    def figure(self, height_mm: float, draw: Callable[[Page], None]) -> None:
        """A drawing as wide as the text, made by `draw` on a page of that size."""
        wide, high = self.width_mm, height_mm * POINTS

        def drawn(canvas: Any, left: float, top: float) -> None:
            canvas.saveState()
            canvas.translate(left, top - high)
            canvas.scale(POINTS, POINTS)
            draw(Page(canvas, wide, height_mm))
            canvas.restoreState()

        self._blocks.append(Block((Row(high, drawn),)))

    def space(self, mm: float) -> None:
        self._blocks.append(Block((), (), mm * POINTS))

    def need(self, mm: float) -> None:
        """Goes on with a new page where less room than this is left."""
        self._blocks.append(Block((), room=mm * POINTS))

    def new_page(self) -> None:
        self._blocks.append(Break())

    def together(self, fill: Callable[[], None]) -> None:
        """What `fill` adds stays on one page where it fits on one."""
        before = self._blocks
        self._blocks = []
        fill()
        before.append(Group(tuple(one for one in self._blocks if isinstance(one, Block))))
        self._blocks = before

    def data(self) -> bytes:
        """The finished file; the same blocks give the same bytes.

        Raises:
            ValueError: there is no block.
        """
        if not self._blocks:
            raise ValueError("a document without a block")
        stream = io.BytesIO()
        canvas = new_canvas(stream, self.title)
        margin, (width, height) = self.margin_mm * POINTS, (side * POINTS for side in self.size)
        filled = blocks.pages(self._blocks, height - margin, margin)
        canvas.setPageSize((width, height))
        for n, rows in enumerate(filled, 1):
            canvas._code.append("0 0 0 rg")
            self._edges(canvas, f"page {n} of {len(filled)}")
            for row, top in rows:
                row.draw(canvas, margin, top)
            canvas.showPage()
        finish(canvas)
        return stream.getvalue()

    def _edges(self, canvas: Any, page: str) -> None:
        """Head and foot: midway in the margin, their tops and feet off its middle by a capital."""
        margin, (width, height) = self.margin_mm * POINTS, (side * POINTS for side in self.size)
        style = Style(REGULAR, _SMALL)
        number: Line = (Run(style, page),)
        right = width - margin - length(number)
        for line, x, y in (
            ((Run(style, self.header),), margin, height - margin * 0.62),
            ((Run(style, self.footer),), margin, margin * 0.5),
            (number, right, margin * 0.5),
        ):
            blocks.write(canvas, line, x, y)
