"""Bar maps: which pieces come from which stock bar, cut by cut, and what is left of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.paper.canvas import Page, Pages
from generator.paper.lettering import text_width_mm
from generator.shop.words import taped

_MARGIN_MM = 14.0
_BAR_MM = 8.0
_PITCH_MM = 29.0
_HEAD_MM = 26.0
_FOOT_MM = 16.0
# From mm of the bar to mm on paper.
Across = Callable[[float], float]
_GREY = (0.88, 0.88, 0.88)
_DARK = (0.62, 0.62, 0.62)


@dataclass(frozen=True, slots=True)
class BarPiece:
    """A piece in its bar, long point to long point from `at_mm` to `to_mm`.

    `start_lean_mm` and `end_lean_mm` are how far its cuts lean over the height of the map, the
    upper side of the bar farther along where positive. `turned` end for end; `shared` where it
    begins on the cut that the piece before it ends on.
    """

    mark: str
    at_mm: float
    to_mm: float
    start_lean_mm: float = 0.0
    end_lean_mm: float = 0.0
    turned: bool = False
    shared: bool = False


@dataclass(frozen=True, slots=True)
class StockBar:
    """One bar to be cut: its name on the tickets, section and length, and its pieces in order.

    `offcut_mm` is left at its end, `kept` where it is long enough to be used again.
    """

    name: str
    section: str
    length_mm: float
    pieces: tuple[BarPiece, ...]
    offcut_mm: float
    kept: bool = False


def bar_of(bars: Iterable[StockBar], mark: str) -> StockBar | None:
    """The bar that a piece is cut from, None where nobody has planned it."""
    return next((bar for bar in bars if any(piece.mark == mark for piece in bar.pieces)), None)


def bar_pages(
    pages: Pages, size: Vec2, bars: Sequence[StockBar], title: str, *, metric: bool
) -> None:
    """Adds the maps of all bars to a file, as many to a page as fit."""
    most = int((size[1] - _HEAD_MM - _FOOT_MM) / _PITCH_MM)
    for first in range(0, len(bars), most):
        with pages.page(*size, bookmark="Bar maps" if first == 0 else "") as page:
            page.text((_MARGIN_MM, size[1] - 14.0), "Bar maps", 4.5, bold=True)
            page.text((size[0] - _MARGIN_MM, size[1] - 14.0), title, 2.2, anchor="right")
            room = size[0] - 2 * _MARGIN_MM
            for k, bar in enumerate(bars[first : first + most]):
                top = size[1] - _HEAD_MM - k * _PITCH_MM
                draw_bar(page, bar, (_MARGIN_MM, top), room, metric=metric)


def draw_bar(page: Page, bar: StockBar, at: Vec2, room_mm: float, *, metric: bool) -> None:
    """One bar drawn to its length, from `at`, its upper left, down: name, pieces, positions."""
    left, top = at
    scale = room_mm / bar.length_mm

    def x(mm: float) -> float:
        return left + mm * scale

    said = f"{bar.name}: {bar.section}, {taped(bar.length_mm, metric=metric)}"
    page.text((left, top - 2.5), said, 2.4, bold=True)
    left_over = taped(bar.offcut_mm, metric=metric)
    words = f"{left_over} left, {'keep it' if bar.kept else 'waste'}"
    page.text((left + room_mm, top - 2.5), words, 2.2, anchor="right")
    low = top - 5.0 - _BAR_MM
    page.pen(0.18)
    page.outline(_box(left, low, room_mm), fill=_GREY if bar.kept else _DARK)
    page.pen(0.35)
    for piece in bar.pieces:
        outline = _outline(piece, x, low, scale)
        page.outline(outline, fill=(1.0, 1.0, 1.0))
        middle = (x((piece.at_mm + piece.to_mm) / 2), low + _BAR_MM / 2 - 1.1)
        arrow = "← " if piece.turned else ""
        page.text(middle, f"{arrow}{piece.mark}", 2.2, anchor="centre", bold=True)
    page.pen(0.18)
    page.outline(_box(left, low, room_mm))
    for position, row in _positions(bar, x, metric=metric):
        page.pen(0.13)
        page.line((x(position), low), (x(position), low - 1.5 - 2.8 * row))
        text = taped(position, metric=metric)
        page.text((x(position), low - 3.6 - 2.8 * row), text, 1.8, anchor="centre")


def _box(left: float, low: float, width: float) -> list[Vec2]:
    return [
        (left, low),
        (left + width, low),
        (left + width, low + _BAR_MM),
        (left, low + _BAR_MM),
    ]


def _outline(piece: BarPiece, x: Across, low: float, scale: float) -> list[Vec2]:
    """A piece with its slanted ends: the tips lie at its long points."""
    start, end = piece.start_lean_mm * scale, piece.end_lean_mm * scale
    begin, finish = x(piece.at_mm), x(piece.to_mm)
    return [
        (begin - min(start, 0.0), low),
        (finish - max(end, 0.0), low),
        (finish + min(end, 0.0), low + _BAR_MM),
        (begin + max(start, 0.0), low + _BAR_MM),
    ]


def _positions(bar: StockBar, x: Across, *, metric: bool) -> Iterator[tuple[float, int]]:
    """Where each piece begins and ends, in rows in which no two texts touch."""
    ends = sorted({round(p, 6) for piece in bar.pieces for p in (piece.at_mm, piece.to_mm)})
    last: list[float] = []
    for position in ends:
        half = text_width_mm(taped(position, metric=metric), 1.8) / 2 + 0.8
        row = next((k for k, right in enumerate(last) if x(position) - half >= right), len(last))
        if row == len(last):
            last.append(0.0)
        last[row] = x(position) + half
        yield position, row
