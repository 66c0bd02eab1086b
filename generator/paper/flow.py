"""A PDF of running text: headings, paragraphs, tables and figures that break over pages."""
# The PDF library tells types of little of what it takes.
# pyright: reportArgumentType=false, reportAttributeAccessIssue=false
# pyright: reportIncompatibleMethodOverride=false

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from html import escape
from typing import Any, Literal

from generator import __version__
from generator.geometry import Vec2
from generator.paper.canvas import POINTS, Page
from generator.paper.lettering import BOLD, REGULAR, load_faces

Cell = str | tuple[str, ...]
Align = Literal["left", "right", "centre"]

LETTER: Vec2 = (215.9, 279.4)
A4: Vec2 = (210.0, 297.0)
HALF_LETTER: Vec2 = (139.7, 215.9)
A5: Vec2 = (148.0, 210.0)

_MARGIN_MM = 16.0
_BODY, _SMALL, _TITLE, _HEAD, _SUBHEAD = 9.0, 7.5, 16.0, 12.0, 10.0  # type sizes in points


class Marked(str):
    """Text of a paragraph or a cell with marks in it (sub, sup, b, br), the rest escaped."""

    __slots__ = ()


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
        load_faces()
        self.title, self.header, self.footer, self.size = title, header, footer, size
        self.margin_mm = margin_mm
        self._blocks: list[Any] = []
        self._headings = 0

    @property
    def width_mm(self) -> float:
        """Room between the margins."""
        return self.size[0] - 2 * self.margin_mm

    def heading(self, text: str, level: Literal[0, 1, 2] = 1) -> None:
        """A heading; those of level 0 and 1 are bookmarks of the file."""
        self._headings += 1
        self._blocks.append(_heading(text, level, f"h{self._headings}"))

    def paragraph(self, text: str, *, small: bool = False, bold: bool = False) -> None:
        self._blocks.append(_paragraph(text, _SMALL if small else _BODY, bold=bold))

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
        self._blocks.append(
            _table(head, rows, widths, align, self.width_mm, small=small, total=total)
        )

    def figure(self, height_mm: float, draw: Callable[[Page], None]) -> None:
        """A drawing as wide as the text, made by `draw` on a page of that size."""
        self._blocks.append(_figure(self.width_mm, height_mm, draw))

    def space(self, mm: float) -> None:
        from reportlab.platypus import Spacer

        self._blocks.append(Spacer(1, mm * POINTS))

    def need(self, mm: float) -> None:
        """Goes on with a new page where less room than this is left."""
        from reportlab.platypus import CondPageBreak

        self._blocks.append(CondPageBreak(mm * POINTS))

    def new_page(self) -> None:
        from reportlab.platypus import PageBreak

        self._blocks.append(PageBreak())

    def together(self, fill: Callable[[], None]) -> None:
        """What `fill` adds stays on one page where it fits on one."""
        from reportlab.platypus import KeepTogether

        before = self._blocks
        self._blocks = []
        fill()
        before.append(KeepTogether(self._blocks))
        self._blocks = before

    def data(self) -> bytes:
        """The finished file; the same blocks give the same bytes.

        Raises:
            ValueError: there is no block.
        """
        if not self._blocks:
            raise ValueError("a document without a block")
        return _set(self)


def _paragraph(text: str, size: float, *, bold: bool = False, align: Align = "left") -> Any:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "text",
        fontName=BOLD if bold else REGULAR,
        fontSize=size,
        leading=size * 1.25,
        alignment={"left": 0, "centre": 1, "right": 2}[align],
        spaceAfter=size * 0.35,
    )
    if not isinstance(text, Marked):
        text = escape(text, quote=False).replace("\n", "<br/>")
    return Paragraph(text, style)


def _heading(text: str, level: int, key: str) -> Any:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    size = (_TITLE, _HEAD, _SUBHEAD)[level]
    style = ParagraphStyle(
        "heading",
        fontName=BOLD,
        fontSize=size,
        leading=size * 1.2,
        spaceBefore=size * 0.7,
        spaceAfter=size * 0.35,
        keepWithNext=1,
    )
    block = Paragraph(escape(text, quote=False), style)
    block.outline = (text, level, key) if level < 2 else None
    return block


_TOTAL = (
    ("SPAN", (0, -1), (-1, -1)),
    ("TOPPADDING", (0, -1), (-1, -1), 4),
    ("NOSPLIT", (0, -3), (-1, -1)),
)


def _table(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    widths: Sequence[float] | None,
    align: Sequence[Align],
    room_mm: float,
    *,
    small: bool,
    total: str = "",
) -> Any:
    from reportlab.platypus import Table, TableStyle

    size = _SMALL if small else _BODY
    sides = [*align, *(["left"] * (len(head) - len(align)))]
    shares = widths or [1.0] * len(head)
    room = room_mm * POINTS / sum(shares)
    cells = [
        [
            _paragraph(text, size, bold=True, align=side)
            for text, side in zip(head, sides, strict=True)
        ]
    ]
    columns = [(side, share * room - 6.0) for side, share in zip(sides, shares, strict=True)]
    cells += [
        [_cell(text, size, side, width) for text, (side, width) in zip(row, columns, strict=True)]
        for row in rows
    ]
    style = TableStyle(
        [
            ("FONT", (0, 0), (-1, -1), REGULAR, size, size * 1.25),
            *(
                (
                    "ALIGN",
                    (k, 0),
                    (k, -1),
                    {"left": "LEFT", "right": "RIGHT", "centre": "CENTRE"}[side],
                )
                for k, side in enumerate(sides)
            ),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, (0, 0, 0)),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, (0.6, 0.6, 0.6)),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 3),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
            *_TOTAL * bool(total),
        ]
    )
    if total:
        cells.append([_paragraph(total, _BODY, bold=True), *[""] * (len(head) - 1)])
    return Table(
        cells,
        colWidths=[share * room for share in shares],
        repeatRows=1,
        style=style,
        hAlign="LEFT",
    )


def _cell(text: str, size: float, align: Align, width: float) -> Any:
    """What fits on a line is set as it is: a paragraph takes a hundred times as long."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    wide = "\n" in text or stringWidth(text, REGULAR, size) > width
    if wide or isinstance(text, Marked):
        return _paragraph(text, size, align=align)
    return text


def _figure(width_mm: float, height_mm: float, draw: Callable[[Page], None]) -> Any:
    from reportlab.platypus import Flowable

    class Figure(Flowable):
        """Room for a drawing, made when its place on the page is known."""

        def __init__(self) -> None:
            super().__init__()
            self.width, self.height = width_mm * POINTS, height_mm * POINTS

        def wrap(self, *_room: float) -> tuple[float, float]:
            return self.width, self.height

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(POINTS, POINTS)
            draw(Page(self.canv, width_mm, height_mm))
            self.canv.restoreState()

    return Figure()


def _set(flow: Flow) -> bytes:
    """Sets the blocks twice: the first time tells how many pages there are."""
    pages = _laid(flow, 0)[1]
    return _laid(flow, pages)[0]


def _laid(flow: Flow, pages: int) -> tuple[bytes, int]:
    from copy import deepcopy

    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    class Document(BaseDocTemplate):
        """Bookmarks for the headings."""

        def afterFlowable(self, flowable: Any) -> None:  # noqa: N802 (the library's name)
            outline = getattr(flowable, "outline", None)
            if outline:
                text, level, key = outline
                self.canv.bookmarkPage(key)
                self.canv.addOutlineEntry(text, key, level, 0)

    width, height = (side * POINTS for side in flow.size)
    margin = flow.margin_mm * POINTS

    def edges(canvas: Any, _document: Any) -> None:
        canvas.saveState()
        canvas.setFont(REGULAR, _SMALL)
        left, right = margin, width - margin
        # Midway in the margin, their tops and feet off its middle by about a capital.
        top, foot = height - margin * 0.62, margin * 0.5
        canvas.drawString(left, top, flow.header)
        canvas.drawString(left, foot, flow.footer)
        canvas.drawRightString(right, foot, f"page {canvas.getPageNumber()} of {pages}")
        canvas.restoreState()

    stream = io.BytesIO()
    document = Document(
        stream,
        pagesize=(width, height),
        title=flow.title,
        author="",
        subject="",
        creator=f"stringline {__version__}",
        invariant=1,
        pageCompression=1,
        initialFontName=REGULAR,
    )
    frame = Frame(margin, margin, width - 2 * margin, height - 2 * margin, 0, 0, 0, 0)
    document.addPageTemplates([PageTemplate("page", [frame], onPage=edges)])
    document.build(deepcopy(flow._blocks) if not pages else flow._blocks)
    return stream.getvalue(), document.page
