"""Words of running text, set into lines: runs of one face, size and height over the base line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from html import unescape
from itertools import groupby

from generator.frozen import dataclass
from generator.paper.lettering import BOLD, REGULAR, width

_TAG = re.compile(r"<(/?)(b|sub|super|sup|br)\b([^<>]*)>")
_VALUE = re.compile(r'(\w+)="([\d.]+)"')
# Of raised and lowered text over that of the line: size, and how far it is moved.
_INDEX, _RAISED, _LOWERED = 0.7, 0.35, 0.2


class Marked(str):
    """Text with marks in it (sub, sup, super, b, br), the rest escaped as in HTML."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Style:
    """How a run is set; lengths in points."""

    face: str
    size: float
    rise: float = 0.0


@dataclass(frozen=True, slots=True)
class Run:
    style: Style
    text: str

    @property
    def length(self) -> float:
        return width(self.text, self.style.face, self.style.size)


Line = tuple[Run, ...]


def length(line: Iterable[Run]) -> float:
    """Of a line, in points."""
    return sum(run.length for run in line)


def lines(text: str, style: Style, room: float) -> list[Line]:
    """A text in lines no longer than the room; a word that is longer is broken too."""
    if not isinstance(text, Marked):
        if "\n" not in text and width(text, style.face, style.size) <= room:
            return [(Run(style, text),)]
        return [
            line for part in text.split("\n") for line in _wrapped([Run(style, part)], room, style)
        ]
    found: list[Line] = []
    for runs in _rows(text, style):
        found += _wrapped(runs, room, style)
    return found


def _rows(text: str, style: Style) -> Iterator[list[Run]]:
    """The runs between the breaks of marked text."""
    row: list[Run] = []
    within = [style]
    end = 0
    for tag in (*_TAG.finditer(text), None):
        said = unescape(text[end : tag.start() if tag else len(text)])
        if said:
            row.append(Run(within[-1], said))
        if tag is None:
            break
        end = tag.end()
        closing, name, rest = tag.groups()
        if name == "br":
            yield row
            row = []
        elif closing:
            within.pop()
        else:
            within.append(_marked(within[-1], name, dict(_VALUE.findall(rest))))
    yield row


def _marked(style: Style, name: str, values: dict[str, str]) -> Style:
    if name == "b":
        return Style(BOLD if style.face == REGULAR else style.face, style.size, style.rise)
    size = float(values.get("size", style.size * _INDEX))
    by = float(values.get("rise", style.size * (_LOWERED if name == "sub" else _RAISED)))
    return Style(style.face, size, style.rise + (-by if name == "sub" else by))


def _wrapped(runs: Sequence[Run], room: float, style: Style) -> Iterator[Line]:
    line: list[Run] = []
    used = 0.0
    for word in _words(runs):
        wide = length(word)
        space = Run(line[-1].style if line else style, " ")
        if line and used + space.length + wide > room:
            yield _joined(line)
            line, used = [], 0.0
        for piece in _pieces(word, room) if wide > room else (word,):
            if piece is not word and line:
                yield _joined(line)
                line, used = [], 0.0
            if line:
                line.append(space)
                used += space.length
            line += piece
            used += length(piece)
    yield _joined(line)


def _words(runs: Iterable[Run]) -> Iterator[list[Run]]:
    """Runs that no space parts."""
    word: list[Run] = []
    for run in runs:
        for k, part in enumerate(re.split(r"[ \t\n]+", run.text)):
            if k and word:
                yield word
                word = []
            if part:
                word.append(Run(run.style, part))
    if word:
        yield word


def _pieces(word: Sequence[Run], room: float) -> Iterator[list[Run]]:
    """A long word in pieces that fit."""
    piece: list[Run] = []
    used = 0.0
    for run in word:
        for character in run.text:
            one = Run(run.style, character)
            if piece and used + one.length > room:
                yield piece
                piece, used = [], 0.0
            piece.append(one)
            used += one.length
    yield piece


def _joined(line: Iterable[Run]) -> Line:
    """Neighbours of one style as one run."""
    return tuple(
        Run(style, "".join(run.text for run in some))
        for style, some in groupby(line, key=lambda run: run.style)
    )
