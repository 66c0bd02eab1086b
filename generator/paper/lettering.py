"""The typeface of everything printed, and how wide its text is."""
# The PDF library tells types of little of what it takes.
# pyright: reportArgumentType=false, reportAttributeAccessIssue=false
# pyright: reportIncompatibleMethodOverride=false

from __future__ import annotations

from functools import cache
from pathlib import Path

REGULAR, BOLD = "LiberationSans", "LiberationSans-Bold"
CAPITAL = 1409 / 2048
"""Height of a capital over the size of the type (OS/2 table of the font files)."""

_FOLDER = Path(__file__).with_name("fonts")
_FILES = {REGULAR: "LiberationSans-Regular.ttf", BOLD: "LiberationSans-Bold.ttf"}


@cache
def load_faces() -> None:
    """Make both faces known to the PDF library, once a process."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(_FOLDER / file)))
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)


def text_width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Length of a line of text whose capitals are `height_mm` high."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    load_faces()
    return stringWidth(text, BOLD if bold else REGULAR, height_mm / CAPITAL)


def missing(text: str) -> set[str]:
    """The characters of a text that the typeface has no picture of."""
    from reportlab.pdfbase import pdfmetrics

    load_faces()
    has = pdfmetrics.getFont(REGULAR).face.charToGlyph
    return {c for c in text if ord(c) not in has and not c.isspace()}
