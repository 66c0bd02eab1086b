"""Text takes no more room than it is given, and no line of text lies on another."""

from __future__ import annotations

import math
import string
from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.entities.text import Text
from hypothesis import given
from hypothesis import strategies as st

from generator.drawings.arrange import Sheet
from generator.drawings.lettering import (
    Box,
    overlaps,
    text_box,
    text_width,
    turned_box,
    wrap,
)
from generator.drawings.title_block import BORDER
from generator.paper.lettering import text_width_mm
from generator.parts.assembly import Assembly

_CAPITAL = 1493  # font units, height of a capital of DejaVu Sans


def _read_back(document: Drawing) -> list[tuple[str, Box]]:
    """Every text in the file with its room: those of model space, and of the dimensions' blocks."""
    blocks = [block for block in document.blocks if block.name.startswith("*D")]
    found = []
    for space in (document.modelspace(), *blocks):
        for text in space:
            if not isinstance(text, Text):
                continue
            words = text.dxf.text.replace("%%d", "\u00b0")
            _, at, _ = text.get_placement()
            align = {"MIDDLE_LEFT": 0.5, "MIDDLE_CENTER": 0.0, "MIDDLE_RIGHT": -0.5}
            shift = align[text.get_align_enum().name] * text_width(words, text.dxf.height)
            turn = math.radians(text.dxf.rotation)
            centre = (at.x + shift * math.cos(turn), at.y + shift * math.sin(turn))
            found.append((words, text_box(centre, words, text.dxf.height, text.dxf.rotation)))
    return found


def test_no_text_lies_on_another(document: Drawing):
    texts = _read_back(document)
    pairs = overlaps(box for _, box in texts)
    assert [(texts[a][0], texts[b][0]) for a, b in pairs] == []


def test_nothing_reaches_over_the_border(sheet: Sheet):
    low = sheet.scale.plotted(BORDER) - 1e-6
    high = [
        sheet.scale.plotted(size - BORDER) + 1e-6
        for size in (sheet.paper.width, sheet.paper.height)
    ]
    for placed in sheet.placed:
        x0, y0, x1, y1 = placed.view.bounds
        dx, dy = (placed.offset[k] - sheet.corner[k] for k in (0, 1))
        assert x0 + dx >= low
        assert y0 + dy >= low
        assert x1 + dx <= high[0]
        assert y1 + dy <= high[1]


def test_views_do_not_lie_on_each_other(sheet: Sheet):
    boxes = []
    for placed in sheet.placed[1:]:
        x0, y0, x1, y1 = placed.view.bounds
        boxes.append(Box(((x0, y0), (x1, y0), (x1, y1), (x0, y1))).moved(placed.offset))
    assert overlaps(boxes) == []


def test_every_mark_of_posts_and_rails_is_in_plan_and_elevation(sheet: Sheet, assembly: Assembly):
    for placed in sheet.placed[1:]:
        words = [getattr(item, "text", "") for item in placed.view.items]
        own = [leg for leg in assembly.legs if f"{leg.run}-{leg.number}" == placed.view.name]
        legs = own or assembly.legs
        for leg in legs:
            if not leg.rails and own:
                continue
            for mark in (*leg.posts, *leg.rails):
                assert any(text.split(" ")[0] == mark for text in words), mark


def test_widths_hold_the_font_that_they_are_taken_from():
    # Reference: the advance widths in DejaVu Sans itself, as matplotlib ships it, and in the
    # typeface that the PDF embeds.
    tt_font = pytest.importorskip("fontTools.ttLib").TTFont
    folder = Path(pytest.importorskip("matplotlib").get_data_path())
    font = tt_font(folder / "fonts" / "ttf" / "DejaVuSans.ttf")
    names, advances = font.getBestCmap(), font["hmtx"]
    for character in (*string.printable[:95], "\u00b0"):
        advance = advances[names[ord(character)]][0] / _CAPITAL
        widest = max(advance, text_width_mm(character, 1.0))
        assert widest <= text_width(character, 1.0) + 1e-9
        assert text_width(character, 1.0) <= widest + 0.05 + 1e-9


@given(st.text(max_size=60), st.floats(10.0, 300.0))
def test_wrapped_lines_hold_all_words_and_fit(text: str, width: float):
    lines = wrap(text, 2.5, width)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(text_width(line, 2.5) <= width for line in lines)


def test_turned_boxes_touch_as_they_lie():
    # Worked by hand: a square of 2 turned by 45 degrees reaches sqrt(2) along the axes.
    diamond = turned_box((0.0, 0.0), 2.0, 2.0, 45.0)
    assert diamond.touches(turned_box((2.4, 0.0), 2.0, 2.0, 0.0))
    assert not diamond.touches(turned_box((2.42, 0.0), 2.0, 2.0, 0.0))
    # Bounds overlap, the boxes do not: a square in the corner that the diamond leaves free.
    assert not diamond.touches(turned_box((1.2, 1.2), 0.9, 0.9, 0.0))


def test_boxes_that_share_an_edge_do_not_touch():
    assert overlaps([turned_box((float(k), 0.0), 1.0, 1.0, 0.0) for k in range(4)]) == []
    assert overlaps([turned_box((0.9 * k, 0.0), 1.0, 1.0, 0.0) for k in range(3)]) == [
        (0, 1),
        (1, 2),
    ]
