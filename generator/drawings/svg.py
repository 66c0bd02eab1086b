"""A sheet as an SVG preview in real millimetres: the same ink as in the PDF."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from generator.drawings.plot import Ink, Pen, Window, base_point, inked, windows
from generator.drawings.sheets import SheetPage
from generator.drawings.view import Arc, Fill, Line, Outline, Text
from generator.geometry import Vec2

_CAPITAL = 1409 / 2048  # of a capital over the size of the type, as in the PDF
_FACE = "Liberation Sans, Arial, Helvetica, sans-serif"
_ANCHORS = {"left": "start", "centre": "middle", "right": "end"}


def svg_text(page: SheetPage) -> str:
    """The whole file; equal input gives equal text."""
    width, height = page.paper.width, page.paper.height
    title = escape(f"{page.number} {page.title}")
    size = f'width="{_n(width)}mm" height="{_n(height)}mm" viewBox="0 0 {_n(width)} {_n(height)}"'
    pen = 'fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round"'
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}>',
        f"<title>{title}</title>",
        f'<rect width="{_n(width)}" height="{_n(height)}" fill="#fff"/>',
        f"<g {pen} font-family={quoteattr(_FACE)}>",
    ]
    for n, window in enumerate(windows(page)):
        if window.frame is None:
            parts += _window(window, height)
            continue
        x0, y0, x1, y1 = window.frame
        box = f'x="{_n(x0)}" y="{_n(height - y1)}" width="{_n(x1 - x0)}" height="{_n(y1 - y0)}"'
        parts.append(f'<clipPath id="f{n}"><rect {box}/></clipPath><g clip-path="url(#f{n})">')
        parts += _window(window, height)
        parts.append("</g>")
    return "\n".join([*parts, "</g>", "</svg>", ""])


def _window(window: Window, height: float) -> Iterator[str]:
    """Strokes of one pen in a row make one path."""
    last: Pen | None = None
    strokes: list[str] = []
    for pen, ink in inked(window.items, window.onto):
        stroke = _stroke(ink, height)
        if stroke is None:
            yield from _path(last, strokes)
            last, strokes = None, []
            yield _filled(ink, height)
            continue
        if pen != last:
            yield from _path(last, strokes)
            last, strokes = pen, []
        strokes.append(stroke)
    yield from _path(last, strokes)


def _path(pen: Pen | None, strokes: Sequence[str]) -> Iterator[str]:
    if pen is None or not strokes:
        return
    dashes = ""
    if pen.dashes:
        dashes = f' stroke-dasharray="{" ".join(_n(dash) for dash in pen.dashes)}"'
    yield f'<path stroke-width="{_n(pen.width)}"{dashes} d="{"".join(strokes)}"/>'


def _stroke(ink: Ink, height: float) -> str | None:
    """Path data of a line; None for what is filled."""
    match ink:
        case Line(a, b, _):
            return _points((a, b), height)
        case Outline(points, _, closed):
            return _points(points, height) + ("z" if closed else "")
        case Arc():
            return _arc(ink, height)
        case _:
            return None


def _filled(ink: Ink, height: float) -> str:
    if isinstance(ink, Fill):
        return f'<path fill="#000" stroke="none" d="{_points(ink.points, height)}z"/>'
    assert isinstance(ink, Text)
    x, y = base_point(ink)
    turn = f' transform="rotate({_n(-ink.turn_deg)} {_n(x)} {_n(height - y)})"'
    words = "".join(c if c.isprintable() else " " for c in ink.text)
    return (
        f'<text x="{_n(x)}" y="{_n(height - y)}" font-size="{_n(ink.height / _CAPITAL)}" '
        f'text-anchor="{_ANCHORS[ink.anchor]}" fill="#000" stroke="none"'
        f"{turn if ink.turn_deg else ''}>{escape(words)}</text>"
    )


def _points(points: Iterable[Vec2], height: float) -> str:
    return "".join(
        f"{'L' if k else 'M'}{_n(x)} {_n(height - y)}" for k, (x, y) in enumerate(points)
    )


def _arc(arc: Arc, height: float) -> str:
    """Counter-clockwise as drawn; a circle is two halves."""
    (x, y), r = arc.centre, _n(arc.radius)
    sweep = arc.end_deg - arc.start_deg
    middle = arc.start_deg + (180.0 if sweep >= 360.0 else sweep % 360.0 / 2)
    end = arc.start_deg + (360.0 if sweep >= 360.0 else sweep % 360.0)
    found = []
    for k, turn in enumerate((arc.start_deg, middle, end)):
        px = x + arc.radius * math.cos(math.radians(turn))
        py = height - y - arc.radius * math.sin(math.radians(turn))
        found.append(f"{f'A{r} {r} 0 0 0 ' if k else 'M'}{_n(px)} {_n(py)}")
    return "".join(found)


def _n(value: float) -> str:
    """A length to a thousandth of a millimetre, without needless noughts."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
