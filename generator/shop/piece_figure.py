"""Draws a piece that is cut: from the side and from above, broken where long, and its section."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.paper.canvas import Page
from generator.paper.lettering import text_width_mm
from generator.parts.shapes import Prism
from generator.products.flat import points_of
from generator.products.views import Line, PieceView, end_view, side_view
from generator.shop.words import taped

_SCALES = (1.0, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 20.0)
_VIEW_MM = 34.0  # tallest view on paper
_BREAK_MM = 7.0
_ARROW_MM = 1.8
_GREY = (0.55, 0.55, 0.55)


@dataclass(frozen=True, slots=True)
class Stretch:
    """How lengths of a piece come to lie on paper: whole, or broken in the middle."""

    low_mm: float
    high_mm: float
    scale: float
    room_mm: float

    @property
    def broken(self) -> bool:
        return (self.high_mm - self.low_mm) / self.scale > self.room_mm

    @property
    def shown_mm(self) -> float:
        """How much of each end is shown of a broken piece."""
        return (self.room_mm - _BREAK_MM) / 2 * self.scale

    def at(self, mm: float) -> float:
        """Paper from the left of the figure to a place along the piece."""
        if self.broken and mm > (self.low_mm + self.high_mm) / 2:
            return self.room_mm - (self.high_mm - mm) / self.scale
        return (mm - self.low_mm) / self.scale

    @property
    def windows(self) -> tuple[tuple[float, float], ...]:
        """The stretches of the piece that are drawn."""
        if not self.broken:
            return ((self.low_mm, self.high_mm),)
        inner = self.low_mm + self.shown_mm, self.high_mm - self.shown_mm
        return ((self.low_mm, inner[0]), (inner[1], self.high_mm))


def stretch_of(prism: Prism, room_mm: float) -> Stretch:
    """The scale at which a piece is drawn and broken: its section at most 34 mm tall on paper."""
    corners = prism.section.outer.corners
    low = min(prism.start.at(x, y) for x, y in corners)
    high = max(prism.end.at(x, y) for x, y in corners)
    tall = max(abs(value) for corner in corners for value in corner) * 2
    whole = min(tall, high - low)
    scale = next((s for s in _SCALES if max(tall, whole) / s <= _VIEW_MM), _SCALES[-1])
    return Stretch(low, high, scale, room_mm)


def draw_view(page: Page, view: PieceView, stretch: Stretch, at: Vec2) -> None:
    """One view; `at` is where the piece's axis begins on the page."""
    left, axis = at
    for window in stretch.windows:
        for lines, pen, dashes in (
            (view.hidden, 0.18, (2.0, 1.0)),
            (view.visible, 0.45, ()),
        ):
            page.pen(pen, dashes=dashes)
            for line in lines:
                for a, b in _clipped(line, window):
                    page.line(_placed(a, stretch, at), _placed(b, stretch, at))
    page.pen(0.25)
    for hole in view.holes:
        points = list(points_of(hole.loop, 15.0))
        first, last = min(x for x, _ in points), max(x for x, _ in points)
        whole = any(low < first and last < high for low, high in stretch.windows)
        if whole and not hole.hidden:
            page.outline([_placed(point, stretch, at) for point in points])
    page.pen(0.13, _GREY, (6.0, 1.2, 1.2, 1.2))
    for low, high in stretch.windows:
        page.line((left + stretch.at(low), axis), (left + stretch.at(high), axis))
    if stretch.broken:
        _break(page, view, stretch, at)


def _placed(point: Vec2, stretch: Stretch, at: Vec2) -> Vec2:
    return (at[0] + stretch.at(point[0]), at[1] + point[1] / stretch.scale)


def _clipped(line: Line, window: tuple[float, float]) -> Iterator[Line]:
    """The part of a line within a window along the piece."""
    (x0, y0), (x1, y1) = sorted(line)
    low, high = window
    if x1 < low or x0 > high:
        return
    if x1 - x0 < 1e-9:
        yield (x0, y0), (x1, y1)
        return
    slope = (y1 - y0) / (x1 - x0)
    a, b = max(x0, low), min(x1, high)
    if b > a:
        yield (a, y0 + slope * (a - x0)), (b, y0 + slope * (b - x0))


def _break(page: Page, view: PieceView, stretch: Stretch, at: Vec2) -> None:
    """Break lines at both inner ends."""
    _, low, _, high = view.bounds
    bottom, top = at[1] + low / stretch.scale - 2.0, at[1] + high / stretch.scale + 2.0
    page.pen(0.18)
    for edge in (stretch.windows[0][1], stretch.windows[1][0]):
        x = at[0] + stretch.at(edge)
        middle = (bottom + top) / 2
        points = [
            (x, bottom),
            (x, middle - 1.5),
            (x - 1.2, middle - 0.7),
            (x + 1.2, middle + 0.7),
            (x, middle + 1.5),
            (x, top),
        ]
        page.outline(points, closed=False)


def draw_section(page: Page, prism: Prism, centre: Vec2, room_mm: float, *, metric: bool) -> float:
    """The section with its measures, at the largest scale that fits; returns the scale."""
    corners = prism.section.outer.corners
    half_x, half_y = max(x for x, _ in corners), max(y for _, y in corners)
    widest = 2 * max(half_x, half_y)
    scale = next((s for s in _SCALES if widest / s <= room_mm), _SCALES[-1])
    loops = [[_about(p, centre, scale) for p in points_of(loop, 5.0)] for loop in end_view(prism)]
    page.pen(0.45)
    page.outline(loops[0], fill=(0.82, 0.82, 0.82))
    for loop in loops[1:]:
        page.outline(loop, fill=(1.0, 1.0, 1.0))
    x, y = half_x / scale, half_y / scale
    below = centre[1] - y - 4.0
    dimension(
        page, (centre[0] - x, below), (centre[0] + x, below), taped(2 * half_x, metric=metric)
    )
    right = centre[0] + x + 4.0
    text = taped(2 * half_y, metric=metric)
    page.pen(0.13)
    page.line((right, centre[1] - y), (right, centre[1] + y))
    for end in (centre[1] - y, centre[1] + y):
        page.line((right - 3.0, end), (right + 1.0, end))
    page.text((right + 1.2, centre[1] - 0.9), text, 2.0)
    return scale


def _about(point: Vec2, centre: Vec2, scale: float) -> Vec2:
    return (centre[0] + point[0] / scale, centre[1] + point[1] / scale)


def dimension(
    page: Page, a: Vec2, b: Vec2, text: str, feet: Sequence[float] = (), beside: float = 0.0
) -> None:
    """A level dimension with its text over the line, or from `beside` on where that is too short.

    `feet` are where its extension lines begin.
    """
    page.pen(0.13)
    page.line(a, b)
    for (x, y), foot in zip((a, b), feet or (a[1] + 3.0, b[1] + 3.0), strict=True):
        page.line((x, foot), (x, y - 1.0))
    for (x, y), way in ((a, 1.0), (b, -1.0)):
        page.outline(_arrow(x, y, way), fill=(0.0, 0.0, 0.0), stroke=False)
    if text_width_mm(text, 2.0) < b[0] - a[0] - 2.0:
        page.text(((a[0] + b[0]) / 2, a[1] + 0.8), text, 2.0, anchor="centre")
    else:
        page.text((max(b[0], beside) + 1.5, a[1] - 0.8), text, 2.0)


def _arrow(x: float, y: float, way: float) -> list[Vec2]:
    wide = _ARROW_MM * math.tan(math.radians(10.0))
    return [(x, y), (x + way * _ARROW_MM, y + wide), (x + way * _ARROW_MM, y - wide)]


def views(prism: Prism) -> tuple[PieceView, PieceView]:
    """The piece from y+ (the top of a rail) and from x- (its right)."""
    return side_view(prism, "y+"), side_view(prism, "x-")
