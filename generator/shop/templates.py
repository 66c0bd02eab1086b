"""Drill templates at true size: strips that are laid on the faces, over as many pages as needed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.paper.canvas import Page, Pages
from generator.paper.flow import A4, LETTER
from generator.paper.lettering import text_width_mm
from generator.parts.assembly import Assembly
from generator.parts.patterns import patterns
from generator.products.naming import marks_in_words
from generator.shop.strips import Strip, Tile, groups, strips, tiles
from generator.shop.words import exact

_MARGIN_MM = 12.0
_GAP_MM = 16.0
_FOOT_MM = 34.0  # from the lower edge of the page to where the strips begin
_HEAD_MM = 17.0
_OVERLAP_MM = 16.0
_CROSS_MM = 4.0
_MARK_MM = 3.0
_ROWS_MM = 4.6

Place = Callable[[Vec2], Vec2]

BARS: tuple[tuple[float, str], ...] = ((100.0, "100 mm"), (101.6, "4 in"))
"""The check bars of every page: length and what is written on them."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What every page of a file has: its size, the job's name and its units."""

    size: Vec2
    job: str
    metric: bool

    @property
    def room(self) -> float:
        return self.size[0] - 2 * _MARGIN_MM

    @property
    def tall(self) -> float:
        return self.size[1] - _FOOT_MM - _HEAD_MM


def drill_templates(assembly: Assembly) -> bytes:
    """The templates as a PDF: a page that says which strip goes where, then the strips."""
    job = assembly.job
    name = " · ".join(filter(None, (job.title, job.number)))
    sheet = _Sheet(A4 if job.paper == "a4" else LETTER, name, job.metric)
    found = strips(patterns(assembly))
    plan = [
        (group, tile)
        for group in groups(found, sheet.room, _GAP_MM)
        for tile in tiles(group, sheet.tall, _OVERLAP_MM)
    ]
    pages = Pages(f"Drill templates, {job.title}", subject="print at 100 %", exact=True)
    lists = _lists(found, sheet)
    total = len(lists) + len(plan)
    for k, held in enumerate(lists, start=1):
        with pages.page(*sheet.size, bookmark="Which strip goes where" if k == 1 else "") as page:
            _edges(page, sheet, "Which strip goes where", k, total)
            _list(page, sheet, held, first=k == 1)
    for k, (group, tile) in enumerate(plan, start=len(lists) + 1):
        numbers = ", ".join(str(strip.number) for strip in group)
        title = f"Strip{'s' if len(group) > 1 else ''} {numbers}"
        with pages.page(*sheet.size, bookmark=title if tile.number == 1 else "") as page:
            said = f"{title}: page {tile.number} of {tile.count}"
            _edges(page, sheet, said, k, total)
            _strips(page, sheet, group, tile)
    return pages.data()


def _edges(page: Page, sheet: _Sheet, title: str, number: int, total: int) -> None:
    """Title, check bars and page number."""
    width, height = sheet.size
    page.text((_MARGIN_MM, height - 12.0), title, 3.4, bold=True)
    right = width - _MARGIN_MM
    page.text((right, height - 12.0), f"{sheet.job}, drill templates", 2.0, anchor="right")
    page.text((right, 8.0), f"sheet {number} of {total}", 2.0, anchor="right")
    for k, (length, label) in enumerate(BARS):
        y = 19.0 - 7.0 * k
        page.pen(0.25)
        page.line((_MARGIN_MM, y), (_MARGIN_MM + length, y))
        for x in (_MARGIN_MM, _MARGIN_MM + length):
            page.line((x, y - 2.0), (x, y + 2.0))
        page.text((_MARGIN_MM + length + 3.0, y - 1.0), label, 2.2)
    note = "Print at 100 %, not fitted to the page. Both bars must measure true before you drill."
    page.text((_MARGIN_MM, 6.0), note, 2.0)


def _lists(found: Sequence[Strip], sheet: _Sheet) -> list[list[tuple[str, ...]]]:
    """The rows of the list of strips, as many to a page as fit."""
    rows = [
        (str(strip.number), letter, face, marks_in_words(marks))
        for strip in found
        for letter, face, marks in strip.uses
    ]
    most = int((sheet.tall - 46.0) / _ROWS_MM)
    return [rows[k : k + most] for k in range(0, len(rows), most)] or [[]]


_COLUMNS = (0.0, 16.0, 36.0, 60.0)
_HOW = (
    "Cut each strip along its two long edges, and join its pages so that the marks in circles lie",
    "on one another. Lay the strip on the face named, its long edges on the edges of the piece and",
    "its heavy lower line on the lower edge of that face. Where the end is cut at a slope, that is",
    "the edge as it is cut, and a dashed line shows how low the long point of the end lies.",
    "Figures are heights above the long point, on every face. Hole outlines are true to size;",
    "strike the crosses with a centre punch.",
)


def _list(page: Page, sheet: _Sheet, rows: Sequence[tuple[str, ...]], *, first: bool) -> None:
    y = sheet.size[1] - 22.0
    for line in _HOW if first else ():
        page.text((_MARGIN_MM, y), line, 2.3)
        y -= 4.4
    y -= 5.0
    for x, text in zip(_COLUMNS, ("Strip", "Pattern", "Face", "Pieces"), strict=True):
        page.text((_MARGIN_MM + x, y), text, 2.2, bold=True)
    page.pen(0.25)
    page.line((_MARGIN_MM, y - 1.5), (sheet.size[0] - _MARGIN_MM, y - 1.5))
    y -= 1.0
    for row in rows:
        y -= _ROWS_MM
        for x, text in zip(_COLUMNS, row, strict=True):
            page.text((_MARGIN_MM + x, y), text, 2.2)


def _strips(page: Page, sheet: _Sheet, group: Sequence[Strip], tile: Tile) -> None:
    x = _MARGIN_MM
    for strip in group:
        _strip(page, sheet, strip, tile, x + min(strip.width_mm, sheet.room) / 2)
        x += strip.width_mm + _GAP_MM


def _strip(page: Page, sheet: _Sheet, strip: Strip, tile: Tile, middle: float) -> None:
    """The stretch of one strip that lies on this page, about a line `middle` from the left."""

    def at(point: Vec2) -> Vec2:
        return (middle + point[0], _FOOT_MM + point[1] - tile.low_mm)

    low, high = max(tile.low_mm, 0.0), min(tile.high_mm, strip.length_mm)
    if high <= low:
        return
    half = min(strip.width_mm, sheet.room) / 2
    _sides(page, sheet, strip, at, (low, high), half)
    page.pen(0.2)
    for hole in strip.holes:
        reach = hole.height_mm / 2
        if hole.centre[1] - reach < low or hole.centre[1] + reach > high:
            continue  # whole on the page before or after: the overlap is taller than any hole
        page.outline([at(point) for point in hole.outline])
        x, y = hole.centre
        page.line(at((x - _CROSS_MM, y)), at((x + _CROSS_MM, y)))
        page.line(at((x, y - _CROSS_MM)), at((x, y + _CROSS_MM)))
        text = f"{hole.number}: {exact(y, metric=sheet.metric)}"
        inside = half - x - _CROSS_MM > 16.0
        page.text(at((x + _CROSS_MM + 1.0 if inside else half + 1.0, y + 0.6)), text, 1.6)
    _joins(page, strip, tile, at, half)


def _sides(page: Page, sheet: _Sheet, strip: Strip, at: Place, stretch: Vec2, half: float) -> None:
    """Long edges, middle line, lower end and name of a strip."""
    low, high = stretch
    whole = strip.width_mm <= sheet.room
    page.pen(0.35, dashes=() if whole else (2.0, 1.5))
    # A strip that is wider than the page ends at the paper's edge, short of the face's corner.
    share = half / (strip.width_mm / 2)
    middle = sum(strip.edge_mm) / 2
    ends = [middle + (end - middle) * share for end in strip.edge_mm]
    for x, end in zip((-half, half), ends, strict=True):
        page.line(at((x, max(low, end))), at((x, high)))
    page.pen(0.13, dashes=(6.0, 1.5, 1.5, 1.5))
    page.line(at((0.0, low)), at((0.0, high)))
    page.pen(0.35)
    if low == 0.0:
        page.line(at((-half, ends[0])), at((half, ends[1])))
        _foot(page, sheet, strip, at, half)
    if high == strip.length_mm:
        page.pen(0.13, dashes=(2.0, 1.5))
        page.line(at((-half, high)), at((half, high)))
    name = f"strip {strip.number}: {_uses(strip)}{strip.tilt and f', {strip.tilt}'}"
    if high - low > _OVERLAP_MM + 6.0 + text_width_mm(name, 1.8, bold=True):
        page.text(at((-half + 3.2, low + _OVERLAP_MM + 6.0)), name, 1.8, turn_deg=90.0, bold=True)
    else:
        page.text(at((-half, high + 1.5)), name, 1.8, bold=True)
    if not whole:
        page.text(at((0.0, low + 2.0)), "middle line of the face", 1.8, anchor="centre")


def _foot(page: Page, sheet: _Sheet, strip: Strip, at: Place, half: float) -> None:
    """What the lower line of a strip is, and the line of the long point where that is another."""
    left, right = (exact(end, metric=sheet.metric) for end in strip.edge_mm)
    if not strip.sloped:
        page.text(at((0.0, -3.6)), "lower end of the piece", 1.8, anchor="centre")
        return
    up = f"{left} up" if left == right else f"{left} left, {right} right"
    for k, line in enumerate(("edge of this face", up, "dashed: long point")):
        page.text(at((0.0, -3.6 - 3.2 * k)), line, 1.8, anchor="centre")
    page.pen(0.18, dashes=(2.0, 1.0))
    page.line(at((-half, 0.0)), at((half, 0.0)))
    page.pen(0.2)


def _uses(strip: Strip) -> str:
    """What the strip is for, in a few words; the rest is on the first page."""
    told = [f"{letter} {face}" for letter, face, _ in strip.uses]
    return ", ".join(told[:4]) + (" and more" if len(told) > 4 else "")


def _joins(page: Page, strip: Strip, tile: Tile, at: Place, half: float) -> None:
    """Marks in the middle of each overlap; the same marks are on both pages."""
    before, after = tile.joins_mm
    words: list[tuple[float, str]] = []
    if before is not None and strip.length_mm > before:
        words.append((before, f"page {tile.number - 1} joins here"))
    if after is not None and strip.length_mm > after:
        words.append((after, f"page {tile.number + 1} joins here"))
    reach = max(half - 5.5, half / 2)
    for y, text in words:
        page.pen(0.13)
        for x in (-reach, reach):
            middle = at((x, y))
            page.arc(middle, _MARK_MM)
            page.line((middle[0] - 4.5, middle[1]), (middle[0] + 4.5, middle[1]))
            page.line((middle[0], middle[1] - 4.5), (middle[0], middle[1] + 4.5))
        page.text(at((half + 3.4, y)), text, 1.8, turn_deg=90.0, anchor="centre")
