"""Lettering of a detail: notes in a column with leaders to what they name, and dimensions."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import combinations

from generator.drawings import layers
from generator.drawings.dimensions import FIRST_LINE, NEXT_LINE, Datum, Mark, reserve, string
from generator.drawings.draft import Draft, crosses
from generator.drawings.lettering import wrap
from generator.drawings.view import Fill, Line, Text
from generator.frozen import dataclass
from generator.geometry import Vec2

# As plotted, mm.
_COLUMN = 14.0
_WIDTH = 62.0
_SHOULDER = 4.0
_HEAD = 2.2
_PART = 2.5  # between two notes


@dataclass(frozen=True, slots=True)
class Note:
    """Words, and the point of the picture that they speak of."""

    text: str
    at: Vec2


_Block = tuple[Note, list[str]]


def leaders(draft: Draft, notes: Sequence[Note], left: float, top: float) -> None:
    """Notes one under another from `left` on, none above `top`, each as near as it may be to its

    own height, with a leader from its first line; leaders do not cross.
    """
    scale = draft.scale
    x = left + scale.plotted(_COLUMN)
    step = scale.small * 1.7
    blocks = [
        (note, wrapped(note.text, scale.small, scale.plotted(_WIDTH)))
        for note in sorted(notes, key=lambda note: (-note.at[1], -note.at[0]))
    ]
    bend = x - scale.plotted(_SHOULDER)
    for y, (note, lines) in _uncrossed(draft, blocks, step, top, bend):
        for k, line in enumerate(lines):
            draft.draw(Text((x, y - k * step), line, scale.small, layers.TEXT, "left"))
        knee = (bend, y)
        draft.draw(Line((x - scale.plotted(1.0), y), knee, layers.SYMBOLS))
        draft.draw(Line(knee, note.at, layers.SYMBOLS), _head(draft, knee, note.at))
        draft.keep_line(knee, note.at)


def _uncrossed(
    draft: Draft, blocks: list[_Block], step: float, top: float, bend: float
) -> list[tuple[float, _Block]]:
    """Notes with their heights, in an order in which no leader crosses another.

    Of two that cross the notes change places, which makes them shorter together.
    """
    for _ in range(len(blocks) ** 2):
        heights = _heights(draft, blocks, step, top)
        lines = [((bend, y), note.at) for y, (note, _) in zip(heights, blocks, strict=True)]
        pairs = combinations(range(len(lines)), 2)
        found = next(((j, k) for j, k in pairs if crosses(*lines[j], *lines[k])), None)
        if found is None:
            break
        j, k = found
        blocks[j], blocks[k] = blocks[k], blocks[j]
    return list(zip(_heights(draft, blocks, step, top), blocks, strict=True))


def wrapped(text: str, height: float, width: float) -> list[str]:
    """Lines of a text, no inches parted from their fraction."""
    held = re.sub(r"(\d) (\d+/\d+)", r"\1~\2", text)
    return [line.replace("~", " ") for line in wrap(held, height, width)]


def _heights(draft: Draft, blocks: Sequence[_Block], step: float, top: float) -> list[float]:
    """Heights of the first lines: at the thing itself, or pushed down by the note above.

    Where the last would end far under its thing, all move up as far as there is room.
    """
    gap = draft.scale.plotted(_PART)
    found: list[float] = []
    free = top
    for note, lines in blocks:
        y = min(note.at[1], free)
        found.append(y)
        free = y - len(lines) * step - gap
    # From the last up: no note stands further under its thing than those above it force it to.
    for k in range(len(found) - 1, -1, -1):
        note = blocks[k][0]
        ceiling = top if k == 0 else found[k - 1] - len(blocks[k - 1][1]) * step - gap
        found[k] = min(max(found[k], note.at[1]), ceiling)
    return found


def _head(draft: Draft, start: Vec2, tip: Vec2) -> Fill:
    reach = math.dist(start, tip) or 1.0
    way = ((tip[0] - start[0]) / reach, (tip[1] - start[1]) / reach)
    length = draft.scale.plotted(_HEAD)
    back = (tip[0] - way[0] * length, tip[1] - way[1] * length)
    side = (-way[1] * length * 0.18, way[0] * length * 0.18)
    return Fill(
        (tip, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])),
        layers.SYMBOLS,
    )


class Rulers:
    """Strings of dimensions stacked outside a picture: below, above and on either side of it.

    `window` is its left, bottom, right and top. `draw` draws them, the nearest first.
    """

    def __init__(self, draft: Draft, window: tuple[float, float, float, float]) -> None:
        self.draft = draft
        self.left, self.bottom, self.right, self.top = window
        self._strings: list[tuple[str, Datum, list[Mark], float]] = []

    def below(self, *marks: Vec2) -> None:
        """The next string under the picture between points of it, by their x."""
        at = [Mark(x, -y) for x, y in marks]
        self._add(Datum((0.0, 0.0), (1.0, 0.0), (0.0, -1.0)), at, "below", -self.bottom)

    def above(self, *marks: Vec2) -> None:
        """The next string over the picture between points of it, by their x."""
        at = [Mark(x, y) for x, y in marks]
        self._add(Datum((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), at, "above", self.top)

    def left_of(self, *marks: Vec2, further: int = 0) -> None:
        """The next string left of the picture between points of it, by their y.

        `further` lines are left free before it.
        """
        at = [Mark(y, -x) for x, y in marks]
        self._add(Datum((0.0, 0.0), (0.0, 1.0), (-1.0, 0.0)), at, "left", -self.left, further)

    def right_of(self, *marks: Vec2) -> None:
        """The next string right of the picture between points of it, by their y."""
        at = [Mark(y, x) for x, y in marks]
        self._add(Datum((0.0, 0.0), (0.0, 1.0), (1.0, 0.0)), at, "right", self.right)

    @property
    def clear(self) -> float:
        """x where notes may begin, right of the strings there."""
        taken = self._count("right")
        room = FIRST_LINE + NEXT_LINE * (taken - 1) + 2.0 if taken else 0.0
        return self.right + self.draft.scale.plotted(room)

    def _count(self, side: str) -> int:
        return sum(1 for one in self._strings if one[0] == side)

    def _add(
        self, datum: Datum, marks: list[Mark], side: str, edge: float, further: int = 0
    ) -> None:
        lines = self._count(side) + further
        off = self.draft.scale.plotted(FIRST_LINE + NEXT_LINE * lines)
        self._strings.append((side, datum, marks, edge + off))

    def reserve(self) -> None:
        """Keeps lettering off the lines of the strings."""
        reserve(self.draft, [(datum, marks, off) for _, datum, marks, off in self._strings])

    def draw(self) -> None:
        """Draws the strings; no text stands on a line of another string."""
        self.reserve()
        for _, datum, marks, off in self._strings:
            string(self.draft, datum, marks, off, fine=True)
