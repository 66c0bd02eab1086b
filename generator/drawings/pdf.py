"""The sheets as one vector PDF: real text, exact pens, a bookmark a sheet, plotted to scale."""

from __future__ import annotations

from collections.abc import Iterable

from generator.drawings.plot import Ink, Onto, Pen, inked
from generator.drawings.view import Arc, Fill, Item, Line, Outline, Text
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.paper.canvas import BLACK, Page, Pages


@dataclass(frozen=True, slots=True)
class Window:
    """Items in real mm, where they land on paper, and the frame that they end at.

    `frame` is left, bottom, right, top in plotted mm; None where nothing is cut off.
    """

    items: tuple[Item, ...]
    onto: Onto
    frame: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Plot:
    """One sheet as it comes out of the printer; `name` is its bookmark."""

    name: str
    width: float
    height: float
    windows: tuple[Window, ...]


def pdf_data(title: str, plots: Iterable[Plot]) -> bytes:
    """The whole file; equal input gives equal bytes.

    Raises:
        ValueError: there is no sheet.
    """
    pages = Pages(title, subject="Permit set", exact=True)
    for plot in plots:
        with pages.page(plot.width, plot.height, plot.name) as page:
            for window in plot.windows:
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
            base = base_point(ink)
            page.text(base, ink.text, ink.height, anchor=ink.anchor, turn_deg=ink.turn_deg)


def base_point(text: Text) -> Vec2:
    """The point on the base line of a text that is placed by its middle line."""
    from generator.drawings.draft import direction

    x, y = direction(text.turn_deg)
    half = text.height / 2
    return (text.at[0] + y * half, text.at[1] - x * half)
