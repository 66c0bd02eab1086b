"""The typeface of everything printed: how wide its text is, and text as a PDF's page shows it."""
# The PDF library tells types of little of what it takes.
# pyright: reportArgumentType=false, reportAttributeAccessIssue=false
# pyright: reportIncompatibleMethodOverride=false

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

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


class _Advances(dict[str, float]):
    """Advance of every character that was asked for, over the size of the type."""

    def __init__(self, face: str) -> None:
        from reportlab.pdfbase import pdfmetrics

        super().__init__()
        load_faces()
        self._face = pdfmetrics.getFont(face).face

    def __missing__(self, character: str) -> float:
        code = 32 if character == "\N{NO-BREAK SPACE}" else ord(character)
        advance = self._face.charWidths.get(code, self._face.defaultWidth) / 1000
        self[character] = advance
        return advance


@cache
def _advances(face: str) -> _Advances:
    return _Advances(face)


def width(text: str, face: str, size: float) -> float:
    """Length of a line of text, in the unit of the size of its type."""
    return size * sum(map(_advances(face).__getitem__, text))


def text_width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Length of a line of text whose capitals are `height_mm` high."""
    return width(text, BOLD if bold else REGULAR, height_mm / CAPITAL)


def missing(text: str) -> set[str]:
    """The characters of a text that the typeface has no picture of."""
    from reportlab.pdfbase import pdfmetrics

    load_faces()
    has = pdfmetrics.getFont(REGULAR).face.charToGlyph
    return {c for c in text if ord(c) not in has and not c.isspace()}


def shown(canvas: Any, face: str, size: float, text: str) -> str:
    """The operators that show a text where a page's content has come to.

    A text is encoded once a document: a part of the font is embedded for the characters that were
    shown.
    """
    known: dict[tuple[str, str], list[tuple[str, str]]] = canvas.__dict__.setdefault("_shown", {})
    parts = known.get((face, text))
    if parts is None:
        from reportlab.pdfbase import pdfmetrics

        font, document = pdfmetrics.getFont(face), canvas._doc
        parts = [
            (font.getSubsetInternalName(subset, document), canvas._escape(codes))
            for subset, codes in font.splitString(text, document)
        ]
        known[face, text] = parts
    return " ".join(f"{name} {number(size)} Tf ({codes}) Tj" for name, codes in parts)


def number(value: float) -> str:
    """A number of a page's content, to a ten thousandth, without needless noughts."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
