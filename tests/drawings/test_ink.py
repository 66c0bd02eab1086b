"""What is printed on every sheet of every example, as ink: no text on text, none on a line.

Rooms of texts are those of the printed typeface itself, read from its file by FreeType (by way of
Pillow), not the upper bounds that the drawings place their lettering by.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from PIL import ImageFont
from shapely import LineString

import generator.paper
from generator.drawings import layers
from generator.drawings.lettering import Box, overlaps, turned_box
from generator.drawings.papers import STRIP
from generator.drawings.plot import Ink, inked, windows
from generator.drawings.sheet_set import sheet_set
from generator.drawings.sheets import PlacedView, SheetPage, SheetSet
from generator.drawings.title_block import BORDER, Paper
from generator.drawings.view import Arc, Fill, Line, Outline, Scale, Text, View
from generator.geometry import Vec2

EXAMPLES = sorted(path.stem for path in (Path(__file__).parents[2] / "examples").glob("*.yaml"))
_TYPEFACE = next(Path(generator.paper.__file__).parent.glob("fonts/*.ttf"))
_SIZE = 1000
_CELL = 10.0  # plotted mm of the grid by which lines near a text are found
_HAIR = 0.02  # thickness that a line is given here; its pen comes on top in print
_LEAST_MM = {False: 25.4 * 3 / 32, True: 2.5}  # plotted heights: common practice, and ISO 3098

_PAPER = Paper("FOR TESTS", 1000.0, 1000.0)

_SETS: dict[str, SheetSet] = {}


@pytest.fixture
def sheets(name: str, planned: Any) -> SheetSet:
    if name not in _SETS:
        job = planned(name)
        _SETS[name] = sheet_set(job.assembly, job.report)
    return _SETS[name]


@cache
def _font() -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(_TYPEFACE), _SIZE)


@cache
def _extents(text: str) -> tuple[float, float, float, float, float]:
    """Advance, and left, top, right and bottom of the ink about the base line; over a capital."""
    font = _font()
    _, cap_top, _, cap_low = font.getbbox("H", anchor="ls")
    left, top, right, low = font.getbbox(text, anchor="ls")
    cap = cap_low - cap_top
    return font.getlength(text) / cap, left / cap, -top / cap, right / cap, -low / cap


def ink_box(text: Text) -> Box:
    """Where the ink of a text is, plotted mm."""
    wide, left, top, right, low = (value * text.height for value in _extents(text.text))
    shift = {"left": 0.0, "centre": -wide / 2, "right": -wide}[text.anchor]
    across = (left + right) / 2 + shift
    up = (top + low - text.height) / 2  # the place of a text is on its middle line
    turn = math.radians(text.turn_deg)
    c, s = math.cos(turn), math.sin(turn)
    centre = (text.at[0] + across * c - up * s, text.at[1] + across * s + up * c)
    return turned_box(centre, right - left, top - low, text.turn_deg)


def _sides(ink: Ink) -> Iterator[tuple[Vec2, Vec2]]:
    match ink:
        case Line(a, b, _):
            yield a, b
        case Outline():
            yield from ink.sides
        case Fill(points, _):
            yield from pairwise((*points, points[0]))
        case Arc((x, y), r, _, start, end):
            turns = [math.radians(start + (end - start) * k / 24) for k in range(25)]
            yield from pairwise([(x + r * math.cos(t), y + r * math.sin(t)) for t in turns])
        case _:
            return


def _line_box(a: Vec2, b: Vec2) -> Box:
    turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return turned_box(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), math.dist(a, b), _HAIR, turn)


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    x0, y0, x1, y1 = (math.floor(value / _CELL) for value in box.bounds)
    for x in range(x0, x1 + 1):
        for y in range(y0, y1 + 1):
            yield x, y


def _inside(box: Box, frame: tuple[float, float, float, float] | None) -> bool:
    """Whether what a frame cuts off leaves something of it."""
    if frame is None:
        return True
    (a, b, c, d), (x0, y0, x1, y1) = box.bounds, frame
    return c > x0 and a < x1 and d > y0 and b < y1


def printed(page: SheetPage) -> tuple[list[tuple[str, Box]], list[tuple[str, Box]]]:
    """Texts and lines of a sheet with their rooms; lines by their layers."""
    texts, lines = [], []
    for window in windows(page):
        for _, ink in inked(window.items, window.onto):
            if isinstance(ink, Text):
                if ink.text and _inside(box := ink_box(ink), window.frame):
                    texts.append((ink.text, box))
                continue
            for a, b in _sides(ink):
                if math.dist(a, b) > _HAIR and _inside(box := _line_box(a, b), window.frame):
                    lines.append((ink.layer, box))
    return texts, lines


def crossed(texts: Iterable[tuple[str, Box]], lines: Iterable[tuple[str, Box]]) -> list[str]:
    """Texts that a line runs through, each with the layer of the line."""
    grid: dict[tuple[int, int], list[tuple[str, Box]]] = defaultdict(list)
    for line in lines:
        for cell in _cells(line[1]):
            grid[cell].append(line)
    found = set()
    for text, box in texts:
        for cell in _cells(box):
            for layer, line in grid[cell]:
                if box.touches(line):
                    x, y = box.corners[0]
                    found.add(f"{text} on {layer} at {x:.0f}, {y:.0f}")
    return sorted(found)


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_text_is_printed_on_another(sheets: SheetSet):
    for page in sheets.sheets:
        texts, _ = printed(page)
        pairs = overlaps([box for _, box in texts])
        assert [(page.number, texts[a][0], texts[b][0]) for a, b in pairs] == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_line_runs_through_a_text(sheets: SheetSet):
    for page in sheets.sheets:
        assert (page.number, crossed(*printed(page))) == (page.number, [])


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_of_a_view_stays_in_its_frame_and_off_the_title_block(sheets: SheetSet):
    for page in sheets.sheets:
        strip = page.paper.width - BORDER - STRIP
        for placed in page.views:
            x0, y0, x1, y1 = placed.frame
            assert x1 <= strip, (page.number, placed.title)
            for text, box in _texts_of(placed):
                a, b, c, d = box.bounds
                if not placed.whole and not _inside(box, placed.frame):
                    continue  # of another part of a view that goes on over several sheets
                held = x0 - 0.01 <= a and y0 - 0.01 <= b and c <= x1 + 0.01 and d <= y1 + 0.01
                assert held, (page.number, placed.title, text)
            others = [other for other in page.views if other is not placed]
            for other in others:
                a, b, c, d = other.frame
                assert x0 >= c or a >= x1 or y0 >= d or b >= y1, (page.number, placed.title)


def _texts_of(placed: PlacedView) -> Iterator[tuple[str, Box]]:
    page = SheetPage("", "", _PAPER, (placed,), ())
    yield from printed(page)[0]


@pytest.mark.parametrize("name", EXAMPLES)
def test_lettering_is_legible_as_plotted(sheets: SheetSet):
    for page in sheets.sheets:
        for window in windows(page):
            for _, ink in inked(window.items, window.onto):
                if isinstance(ink, Text):
                    assert ink.height >= _LEAST_MM[_metric(page)] - 1e-6, (page.number, ink.text)


@pytest.mark.parametrize("name", EXAMPLES)
def test_leaders_do_not_cross(sheets: SheetSet):
    for page in sheets.sheets:
        for placed in page.views:
            marks = [
                LineString([item.a, item.b])
                for item in placed.view.items
                if isinstance(item, Line) and item.layer == layers.SYMBOLS
            ]
            found = [(a.wkt, b.wkt) for a, b in combinations(marks, 2) if a.crosses(b)]
            assert found == [], (page.number, placed.title)


def _metric(page: SheetPage) -> bool:
    return any(text.text == "MM" for label, text in page.fields if label == "UNITS")


def test_a_text_that_is_moved_onto_a_line_or_another_text_is_found():
    scale = Scale(1.0, "1:1", metric=True)
    words = Text((50.0, 50.0), "R1 = 10", scale.text, "A-ANNO-TEXT")
    under = Line((0.0, 47.0), (100.0, 47.0), "A-WALL")
    through = Line((0.0, 50.5), (100.0, 50.5), "A-WALL")
    for items, count in (((words, under), 0), ((words, through), 1)):
        placed = PlacedView(View("v", "v", items), scale, (0.0, 0.0), (0.0, 0.0, 100.0, 100.0), "v")
        page = SheetPage("", "", _PAPER, (placed,), ())
        assert len(crossed(*printed(page))) == count
    beside = Text((50.0, 51.5), "X", scale.text, "A-ANNO-TEXT")
    assert len(overlaps([ink_box(words), ink_box(beside)])) == 1
