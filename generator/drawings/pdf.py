"""The sheets as one vector PDF: real text, exact pens, a bookmark a sheet, plotted to scale."""

from __future__ import annotations

from collections.abc import Iterable

from generator.drawings.plot import Ink, Pen, Window, base_point, inked, windows
from generator.drawings.sheets import SheetPage
from generator.drawings.view import Arc, Fill, Line, Outline, Text
from generator.paper.canvas import BLACK, Page, Pages


def pdf_data(title: str, sheets: Iterable[SheetPage]) -> bytes:
    """The whole file; equal input gives equal bytes.

    Raises:
        ValueError: there is no sheet.
    """
    pages = Pages(title, subject="Permit set", exact=True)
    for sheet in sheets:
        name = f"{sheet.number} {sheet.title}"
        with pages.page(sheet.paper.width, sheet.paper.height, name) as page:
            for window in windows(sheet):
                if window.frame is None:
                    _paint(page, window)
                    continue
                with page.clipped(*window.frame):
                    _paint(page, window)
    return pages.data()


def _paint(page: Page, window: Window) -> None:
    last: Pen | None = None
    for pen, ink in inked(window.items, window.onto):
        if pen != last and not isinstance(ink, Text | Fill):
            page.pen(pen.width, BLACK, pen.dashes)
            last = pen
        _draw(page, ink)


def _draw(page: Page, ink: Ink) -> None:
    match ink:
        case Line(a, b, _):
            page.line(a, b)
        case Outline(points, _, closed):
            page.outline(points, closed=closed)
        case Arc(centre, radius, _, start, end):
            page.arc(centre, radius, start, end)
        case Fill(points, _):
            page.outline(points, fill=BLACK, stroke=False)
        case Text():
            at = base_point(ink)
            text = printable(ink.text)
            page.text(at, text, ink.height, anchor=ink.anchor, turn_deg=ink.turn_deg)


def printable(text: str) -> str:
    """Text with a question mark for each character that the typeface has no picture of."""
    from generator.paper.lettering import missing

    unknown = missing(text)
    return "".join("?" if c in unknown or not c.isprintable() else c for c in text)
