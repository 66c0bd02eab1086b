"""How much room a line of text takes, and whether two such boxes touch.

Widths are the greater of those of DejaVu Sans and Liberation Sans, rounded up: the former is what
viewers draw where they have no Arial, the latter is as wide as Arial and embedded in the PDF. A box
holds the text whichever of them is used.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from generator.geometry import Vec2

# Advance of each character over the height of a capital.
_WIDTHS: dict[str, float] = {
    character: width
    for width, characters in (
        (0.40, "'ijl"),
        (0.45, " ,.I"),
        (0.50, "-/:;\\f|"),
        (0.55, "!()[]t"),
        (0.60, "r"),
        (0.65, '"'),
        (0.70, "*`\u00b0"),
        (0.75, "Jsz"),
        (0.80, "ck"),
        (0.85, "?L_aeovxy"),
        (0.90, "$0123456789FTbdghnpqu{}"),
        (0.95, "Z"),
        (1.00, "ABEKPSVXY"),
        (1.05, "CHNRU"),
        (1.10, "&D"),
        (1.15, "#+<=>GOQ^w~"),
        (1.25, "M"),
        (1.35, "%m"),
        (1.40, "W"),
        (1.50, "@"),
    )
    for character in characters
}
_WIDEST = max(_WIDTHS.values())


def text_width(text: str, height: float) -> float:
    """Upper bound of the length of one line of text whose capitals are `height` high."""
    return height * _advance(text)


@lru_cache(maxsize=20_000)
def _advance(text: str) -> float:
    """The same over the height of a capital; texts are measured again at every place tried."""
    return sum(_WIDTHS.get(character, _WIDEST) for character in text)


def wrap(text: str, height: float, width: float) -> list[str]:
    """Text broken at spaces into lines no longer than `width`; a longer word is broken too."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        while text_width(word, height) > width and len(word) > 1:
            if line:
                lines.append(line)
                line = ""
            fit = _fitting(word, height, width)
            lines.append(word[:fit])
            word = word[fit:]
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, height) > width:
            lines.append(line)
            longer = word
        line = longer
    return [*lines, line] if line else lines


def _fitting(word: str, height: float, width: float) -> int:
    count = 1
    while count < len(word) and text_width(word[: count + 1], height) <= width:
        count += 1
    return count


@dataclass(frozen=True, slots=True)
class Box:
    """A convex area: corners in order; `bounds` are least x and y, greatest x and y."""

    corners: tuple[Vec2, ...]
    bounds: tuple[float, float, float, float] = field(init=False, compare=False)

    def __post_init__(self) -> None:
        xs = [x for x, _ in self.corners]
        ys = [y for _, y in self.corners]
        object.__setattr__(self, "bounds", (min(xs), min(ys), max(xs), max(ys)))

    def moved(self, offset: Vec2) -> Box:
        return Box(tuple((x + offset[0], y + offset[1]) for x, y in self.corners))

    def grown(self, by: float) -> Box:
        """A rectangle with every side moved outward."""
        a, b, c, _ = self.corners
        width, height = math.dist(a, b), math.dist(b, c)
        turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
        centre = ((a[0] + c[0]) / 2, (a[1] + c[1]) / 2)
        return turned_box(centre, width + 2 * by, height + 2 * by, turn)

    def touches(self, other: Box) -> bool:
        """Whether the two areas share more than an edge (separating axes)."""
        a, b = self.bounds, other.bounds
        if a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]:
            return False
        return not (_apart(self.corners, other.corners) or _apart(other.corners, self.corners))


def _apart(first: Sequence[Vec2], second: Sequence[Vec2]) -> bool:
    """Whether a side of `first` separates the two."""
    for (ax, ay), (bx, by) in zip(first, (*first[1:], first[0]), strict=True):
        normal = (by - ay, ax - bx)
        here = [normal[0] * x + normal[1] * y for x, y in first]
        there = [normal[0] * x + normal[1] * y for x, y in second]
        slack = 1e-9 * (abs(normal[0]) + abs(normal[1]))
        if max(here) <= min(there) + slack or max(there) <= min(here) + slack:
            return True
    return False


def turned_box(centre: Vec2, width: float, height: float, turn_deg: float) -> Box:
    """A rectangle about `centre`, its width along `turn_deg`."""
    if turn_deg == 0.0:
        (x, y), right, up = centre, width / 2, height / 2
        return Box(
            ((x - right, y - up), (x + right, y - up), (x + right, y + up), (x - right, y + up))
        )
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    halves = ((-width, -height), (width, -height), (width, height), (-width, height))
    return Box(
        tuple((centre[0] + (x * c - y * s) / 2, centre[1] + (x * s + y * c) / 2) for x, y in halves)
    )


def text_box(centre: Vec2, text: str, height: float, turn_deg: float = 0.0) -> Box:
    """The room of one line of text about its centre; descenders count."""
    return turned_box(centre, text_width(text, height), height * 1.2, turn_deg)


def overlaps(boxes: Iterable[Box]) -> list[tuple[int, int]]:
    """Pairs of boxes that touch, by index."""
    kept = sorted(enumerate(boxes), key=lambda pair: pair[1].bounds[0])
    found = []
    for k, (first, box) in enumerate(kept):
        right = box.bounds[2]
        for second, other in kept[k + 1 :]:
            if other.bounds[0] >= right:
                break
            if box.touches(other):
                found.append((min(first, second), max(first, second)))
    return sorted(found)
