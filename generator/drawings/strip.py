"""The title block of a sheet of the set: a strip along the right border, after ISO 7200."""

from __future__ import annotations

from collections.abc import Sequence

from generator.drawings import layers
from generator.drawings.lettering import text_width, wrap
from generator.drawings.papers import STRIP
from generator.drawings.title_block import BORDER, CAUTION, Paper, border
from generator.drawings.view import Item, Outline, Scale, Text
from generator.frozen import dataclass
from generator.spec.job import Revision

_ROW = 10.0
_PAD = 2.0
_NUMBER = 7.0  # height of the sheet's number
_SEAL = 45.0  # a seal is about 1-5/8 in across
_SEAL_LEAST = 30.0


@dataclass(frozen=True, slots=True)
class Strip:
    """What a title block says: label and value, top to bottom; `number` and `title` of the sheet.

    `pairs` are small fields, two a row.
    """

    number: str
    title: str
    long: tuple[tuple[str, str], ...]
    pairs: tuple[tuple[str, str], ...]
    revisions: tuple[Revision, ...]
    seal: bool


def strip(
    said: Strip, paper: Paper, scale: Scale
) -> tuple[tuple[Item, ...], tuple[tuple[str, Text], ...]]:
    """Border and title block, and which of its texts are values of its fields."""
    block = _Block(paper, scale)
    block.number(said)
    block.cell("SHEET TITLE", said.title)
    pairs = said.pairs
    for k in range(0, len(pairs), 2):
        block.pair(pairs[k : k + 2])
    for label, value in reversed(said.long):
        if value:
            block.cell(label, value)
    block.caution()
    block.revisions(said.revisions)
    if said.seal:
        block.seal()
    return (*border(paper, scale), *block.items), tuple(block.fields)


class _Block:
    """Cells from the lower right corner up."""

    def __init__(self, paper: Paper, scale: Scale) -> None:
        self.scale = scale
        self.small, self.text = scale.small, scale.text
        self.step = scale.small * 1.5
        self.items: list[Item] = []
        self.fields: list[tuple[str, Text]] = []
        self.left, self.right = paper.width - BORDER - STRIP, paper.width - BORDER
        self.y, self.top = BORDER, paper.height - BORDER

    def number(self, said: Strip) -> None:
        self._frame(self.left, self.right, 18.0)
        self._write(self.left + _PAD, self.y + 18.0 - 3.0, "SHEET", self.small)
        at = (self.right - STRIP / 2, self.y + 7.0)
        text = Text(at, said.number, _NUMBER, layers.TEXT)
        self.items.append(text)
        self.fields.append(("NUMBER", text))
        self.y += 18.0

    def cell(self, label: str, value: str) -> None:
        lines = wrap(value, self.text, STRIP - 2 * _PAD)
        height = self.small + 3.5 + len(lines) * self.text * 1.5 + 1.0
        self._frame(self.left, self.right, height)
        y = self.y + height - 1.6 - self.small / 2
        self._write(self.left + _PAD, y, label, self.small)
        y -= self.small / 2 + 1.4
        for k, line in enumerate(lines):
            tag = label if len(lines) == 1 else f"{label} {k + 1}"
            self._value(tag, (self.left + _PAD, y - self.text * 1.5 * (k + 0.5)), line, self.text)
        self.y += height

    def pair(self, pair: Sequence[tuple[str, str]]) -> None:
        width = STRIP / len(pair)
        for k, (label, value) in enumerate(pair):
            left = self.left + k * width
            self._frame(left, left + width, _ROW)
            self._write(left + _PAD, self.y + _ROW - 3.0, label, self.small)
            room = width - 2 * _PAD
            size = self.text if text_width(value, self.text) <= room else self.small
            if text_width(value, size) > room:
                value = wrap(value, size, room - text_width("...", size))[0] + "..."
            if value:
                self._value(label, (left + _PAD, self.y + 3.2), value, size)
        self.y += _ROW

    def caution(self) -> None:
        lines = wrap(CAUTION, self.small, STRIP - 2 * _PAD)
        head = "NOT ENGINEERED UNLESS SEALED"
        size = self.text if text_width(head, self.text) <= STRIP - 2 * _PAD else self.small
        heads = wrap(head, size, STRIP - 2 * _PAD)
        height = 4.0 + len(heads) * size * 1.5 + len(lines) * self.step
        self._frame(self.left, self.right, height)
        y = self.y + height - 2.0
        for line in heads:
            self._write(self.left + _PAD, y - size * 0.75, line, size)
            y -= size * 1.5
        for line in lines:
            self._write(self.left + _PAD, y - self.step / 2, line, self.small)
            y -= self.step
        self.y += height

    def revisions(self, rows: Sequence[Revision]) -> None:
        """The latest at the top; older ones give way where the sheet is too low for all."""
        seal = _SEAL_LEAST + 2.0
        words = [(row, self._lines(row)) for row in rows]
        while words and self._height(words) > self.top - self.y - seal:
            words = words[1:]
        height = self._height(words)
        if height > self.top - self.y:
            return
        self._frame(self.left, self.right, height)
        y = self.y + height - 3.0
        self._write(self.left + _PAD, y, "REVISIONS", self.small)
        y -= self.small / 2 + 1.6
        for row, lines in reversed(words):
            head = " ".join(text for text in (row.mark, row.date, row.by) if text)
            for line in (head, *lines):
                self._write(self.left + _PAD, y - self.step / 2, line, self.small)
                y -= self.step
        self.y += height

    def _lines(self, row: Revision) -> list[str]:
        return wrap(row.text.upper(), self.small, STRIP - 2 * _PAD)

    def _height(self, words: Sequence[tuple[Revision, Sequence[str]]]) -> float:
        return (
            8.0 + sum((1 + len(lines)) * self.step for _, lines in words) + self.step * (not words)
        )

    def seal(self) -> None:
        """Room that stays empty."""
        height = min(_SEAL, self.top - self.y)
        if height < _SEAL_LEAST:
            return
        self._frame(self.left, self.right, height)
        self._write(self.left + _PAD, self.y + height - 3.0, "SEAL", self.small)
        self.y += height

    def _frame(self, left: float, right: float, height: float) -> None:
        low, top = self.y, self.y + height
        corners = ((left, low), (right, low), (right, top), (left, top))
        self.items.append(Outline(corners, layers.SYMBOLS))

    def _value(self, tag: str, at: tuple[float, float], text: str, size: float) -> None:
        item = Text(at, text, size, layers.TEXT, "left")
        self.items.append(item)
        self.fields.append((tag.replace(" ", "_"), item))

    def _write(self, x: float, y: float, text: str, size: float) -> None:
        self.items.append(Text((x, y), text, size, layers.TEXT, "left"))
