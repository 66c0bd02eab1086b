"""Bar maps: which pieces come from which stock bar, cut by cut, and what is left of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from generator.frozen import dataclass
from generator.geometry import EndPlane, Vec2
from generator.paper.canvas import Page, Pages
from generator.paper.lettering import text_width_mm
from generator.parts.assembly import Assembly, Part
from generator.parts.bars import CutBar, CutPiece, StockPlan, stock_plans
from generator.parts.cut_words import section_name, side_names
from generator.parts.measure import cut_angles
from generator.parts.shapes import Prism
from generator.shop.words import taped

_MARGIN_MM = 14.0
_BAR_MM = 8.0
_ROW_MM = 2.9
_TEXT_MM = 1.8
_NOTHING_MM = 0.8  # under half of what a tape shows
_LAST_MM = 18.0  # right of the bar, for the text of a piece that ends there
_HEAD_MM = 26.0
_FOOT_MM = 20.0
_GREY = (0.88, 0.88, 0.88)
_DARK = (0.62, 0.62, 0.62)
_ABOUT = (
    "Below each bar: what the tape shows at the long point where a piece ends, from the left end.",
    "← turned end for end. One cut: it ends one piece and begins the next. Light grey: keep it.",
)


@dataclass(frozen=True, slots=True)
class BarPiece:
    """A piece in its bar, long point to long point from `at_mm` to `to_mm`.

    `start_lean_mm` and `end_lean_mm` are how far its cuts lean over the height of the map, the
    upper side of the bar farther along where positive; `angles_deg` are what the saw is set to for
    these, 0 where it stands square. `turned` end for end, `rolled` upside down;
    `shared` where it begins on the cut that the piece before it ends on.
    """

    mark: str
    at_mm: float
    to_mm: float
    start_lean_mm: float = 0.0
    end_lean_mm: float = 0.0
    turned: bool = False
    shared: bool = False
    rolled: bool = False
    angles_deg: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class StockBar:
    """One bar to be cut: its name on the tickets, section and length, and its pieces in order.

    `offcut_mm` is left at its end, `kept` where it is long enough to be used again; `trim_mm` is
    cut off both ends. `seen` says from where the map looks at the bar.
    """

    name: str
    section: str
    length_mm: float
    pieces: tuple[BarPiece, ...]
    offcut_mm: float
    kept: bool = False
    trim_mm: float = 0.0
    seen: str = ""


def stock_bars(assembly: Assembly) -> tuple[StockBar, ...]:
    """The bars of all materials that the job names stock for, as they are drawn; no spools.

    A map looks from above on pieces that are mitered, from the right where bevels are steeper.

    Raises:
        InputError: a piece is longer than every bar, or bars in limited number are too few.
    """
    parts = {part.mark: part for part in assembly.parts}
    trim = assembly.job.stock.end_trim_mm if assembly.job.stock else 0.0
    return tuple(
        _drawn(plan, bar, parts, assembly, trim)
        for plan in stock_plans(assembly)
        if plan.material != "cable"
        for bar in plan.bars
    )


def _drawn(
    plan: StockPlan, bar: CutBar, parts: dict[str, Part], assembly: Assembly, trim_mm: float
) -> StockBar:
    own = [(piece, parts[piece.mark]) for piece in bar.pieces]
    leans = [(_leans(piece, part), piece) for piece, part in own]
    across, tilted = (
        max((abs(lean) for ends, _ in leans for lean in ends[view]), default=0.0) for view in (0, 1)
    )
    view = int(tilted > across + 1e-6)
    name = side_names(plan.material)[1 if view else 2]
    pieces = tuple(
        BarPiece(
            piece.mark, piece.from_mm, piece.to_mm, *ends[view],
            piece.turned, piece.shared, piece.rolled, _angles(piece, part, view),
        )
        for (ends, piece), (_, part) in zip(leans, own, strict=True)
    )  # fmt: skip
    return StockBar(
        bar.name,
        section_name(assembly.job, own[0][1]),
        bar.stock_mm,
        pieces,
        bar.offcut_mm,
        bar.kept,
        trim_mm,
        "seen from above" if name == "top" else f"seen from the {name}",
    )


def _leans(piece: CutPiece, part: Part) -> tuple[tuple[float, float], tuple[float, float]]:
    """How far both cuts lean over the width of a piece as it lies in the bar, and over its depth.

    Turned end for end about the upright axis of its section, a piece shows its other cut first and
    its bevels leaning the other way; rolled half a turn about its length, all lean the other way.
    """
    prism = part.shape
    assert isinstance(prism, Prism)
    corners = prism.section.outer.corners
    width, depth = (2 * max(abs(corner[axis]) for corner in corners) for axis in (0, 1))

    def shown(cut: EndPlane) -> tuple[float, float]:
        x, y = cut.slope_x, -cut.slope_y if piece.turned else cut.slope_y
        return (-x * width, -y * depth) if piece.rolled else (x * width, y * depth)

    first, last = shown(prism.start), shown(prism.end)
    if piece.turned:
        first, last = last, first
    return (first[0], last[0]), (first[1], last[1])


def _angles(piece: CutPiece, part: Part, view: int) -> tuple[float, float]:
    """What the saw is set to at both ends as they lie: miters seen from above, else bevels."""
    ends = tuple(abs(cut_angles(part, end)[view]) for end in ("start", "end"))
    return (ends[1], ends[0]) if piece.turned else (ends[0], ends[1])


def bar_of(bars: Iterable[StockBar], mark: str) -> StockBar | None:
    """The bar that a piece is cut from, None where nobody has planned it."""
    return next((bar for bar in bars if any(piece.mark == mark for piece in bar.pieces)), None)


def bar_pages(
    pages: Pages, size: Vec2, bars: Sequence[StockBar], title: str, *, metric: bool, kerf: str = ""
) -> None:
    """Adds the maps of all bars to a file, as many to a page as fit; `kerf` is told in words."""
    room = size[0] - 2 * _MARGIN_MM
    for number, held in enumerate(_by_page(bars, size[1], room, metric=metric)):
        with pages.page(*size, bookmark="Bar maps" if number == 0 else "") as page:
            page.text((_MARGIN_MM, size[1] - 14.0), "Bar maps", 4.5, bold=True)
            page.text((size[0] - _MARGIN_MM, size[1] - 14.0), title, 2.2, anchor="right")
            for k, line in enumerate((*_ABOUT, kerf) if kerf else _ABOUT):
                page.text((_MARGIN_MM, 13.0 - 3.6 * k), line, 2.0)
            top = size[1] - _HEAD_MM
            for bar in held:
                draw_bar(page, bar, (_MARGIN_MM, top), room, metric=metric)
                top -= _height_mm(bar, room, metric=metric)


def _by_page(
    bars: Iterable[StockBar], tall_mm: float, room_mm: float, *, metric: bool
) -> list[list[StockBar]]:
    held: list[list[StockBar]] = []
    left = 0.0
    for bar in bars:
        need = _height_mm(bar, room_mm, metric=metric)
        if not held or need > left:
            held.append([])
            left = tall_mm - _HEAD_MM - _FOOT_MM
        held[-1].append(bar)
        left -= need
    return held


def _height_mm(bar: StockBar, room_mm: float, *, metric: bool) -> float:
    """Room for a bar: its name, itself, the rows of positions under it, and a gap."""
    rows = 1 + max((label.row for label in _labels(bar, room_mm, metric=metric)), default=0)
    return 5.0 + _BAR_MM + 3.0 + _ROW_MM * rows + 5.0


def _scale(bar: StockBar, room_mm: float) -> float:
    """Paper over bar; the last position still has its text on the page."""
    return (room_mm - _LAST_MM) / bar.length_mm


def draw_bar(page: Page, bar: StockBar, at: Vec2, room_mm: float, *, metric: bool) -> None:
    """One bar drawn to its length, from `at`, its upper left, down: name, pieces, positions."""
    left, top = at
    scale = _scale(bar, room_mm)
    seen = f" ({bar.seen})" if bar.seen and _slanted(bar) else ""
    said = f"{bar.name}: {bar.section}, {taped(bar.length_mm, metric=metric)}{seen}"
    page.text((left, top - 2.5), said, 2.4, bold=True)
    words = "used to its end"
    if bar.offcut_mm > _NOTHING_MM:
        left_over = taped(bar.offcut_mm, metric=metric)
        words = f"{left_over} left, {'keep it' if bar.kept else 'waste'}"
    width = bar.length_mm * scale
    page.text((left + width, top - 2.5), words, 2.2, anchor="right")
    low = top - 5.0 - _BAR_MM
    page.pen(0.18)
    page.outline(_box(left, low, width), fill=_DARK)
    if bar.kept:
        end = bar.length_mm - bar.trim_mm
        page.outline(
            _box(left + (end - bar.offcut_mm) * scale, low, bar.offcut_mm * scale), fill=_GREY
        )
    page.pen(0.35)
    for piece in bar.pieces:
        page.outline(_outline(piece, left, low, scale), fill=(1.0, 1.0, 1.0))
        if _name_fits(piece, scale):
            middle = (left + (piece.at_mm + piece.to_mm) / 2 * scale, low + _BAR_MM / 2 - 1.1)
            page.text(middle, _name(piece), 2.2, anchor="centre", bold=True)
        _saw_angles(page, piece, (left, low), scale)
    page.pen(0.18)
    page.outline(_box(left, low, width))
    page.pen(0.13)
    for label in _labels(bar, room_mm, metric=metric):
        x, y = left + label.x, low - 3.0 - _ROW_MM * label.row
        page.line((x, low), (x, y - 0.3))
        page.text((x + 0.6, y), label.text, _TEXT_MM)


def _saw_angles(page: Page, piece: BarPiece, at: Vec2, scale: float) -> None:
    """The saw's angle beside each slanted end, where the name leaves room for it."""
    texts = [f"{angle:.1f}°" if angle >= 0.05 else "" for angle in piece.angles_deg]
    leans = abs(piece.start_lean_mm), abs(piece.end_lean_mm)
    ends = piece.at_mm + leans[0], piece.to_mm - leans[1]
    half = (ends[1] - ends[0]) / 2 * scale - text_width_mm(_name(piece), 2.2, bold=True) / 2
    for text, end, anchor, way in zip(texts, ends, ("left", "right"), (1.0, -1.0), strict=True):
        if text and text_width_mm(text, _TEXT_MM) + 2.0 < half:
            x = at[0] + end * scale + way * 0.8
            page.text((x, at[1] + _BAR_MM / 2 - 0.9), text, _TEXT_MM, anchor=anchor)


def _slanted(bar: StockBar) -> bool:
    return any(piece.start_lean_mm or piece.end_lean_mm for piece in bar.pieces)


def _name(piece: BarPiece) -> str:
    name = f"← {piece.mark}" if piece.turned else piece.mark
    return f"{name}, upside down" if piece.rolled else name


def _name_fits(piece: BarPiece, scale: float) -> bool:
    slanted = max(abs(piece.start_lean_mm), abs(piece.end_lean_mm))
    room = (piece.to_mm - piece.at_mm - slanted) * scale - 1.0
    return text_width_mm(_name(piece), 2.2, bold=True) <= room


def _box(left: float, low: float, width: float) -> list[Vec2]:
    return [
        (left, low),
        (left + width, low),
        (left + width, low + _BAR_MM),
        (left, low + _BAR_MM),
    ]


def _outline(piece: BarPiece, left: float, low: float, scale: float) -> list[Vec2]:
    """A piece with its slanted ends: the tips lie at its long points."""
    start, end = piece.start_lean_mm * scale, piece.end_lean_mm * scale
    begin, finish = left + piece.at_mm * scale, left + piece.to_mm * scale
    return [
        (begin - min(start, 0.0), low),
        (finish - max(end, 0.0), low),
        (finish + min(end, 0.0), low + _BAR_MM),
        (begin + max(start, 0.0), low + _BAR_MM),
    ]


@dataclass(frozen=True, slots=True)
class _Label:
    """A position under a bar, `x` from the bar's end on paper, to the right of its line."""

    x: float
    row: int
    text: str


def _labels(bar: StockBar, room_mm: float, *, metric: bool) -> list[_Label]:
    """Where each piece ends, its name with it where the piece is too short to hold that.

    From right to left: a text that would reach lines to its right goes below all of them, so that
    no line crosses a text. An end whose cut begins the next piece as well is told so.
    """
    scale = _scale(bar, room_mm)
    found: list[_Label] = []
    after = {id(one): two for one, two in pairwise(bar.pieces)}
    for piece in sorted(bar.pieces, key=lambda one: -one.to_mm):
        text = taped(piece.to_mm, metric=metric)
        if id(piece) in after and after[id(piece)].shared:
            text += ", one cut"
        if not _name_fits(piece, scale):
            text = f"{_name(piece)} to {text}"
        x = piece.to_mm * scale
        right = x + 0.6 + text_width_mm(text, _TEXT_MM) + 0.8
        row = 1 + max((label.row for label in found if label.x < right), default=-1)
        found.append(_Label(x, row, text))
    return found
