"""A view as plain values in millimetres of the real thing: lines, arcs, text and dimensions.

A view knows nothing of the file that it ends up in; text heights are true sizes too, that is what
is plotted times the scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Literal

from generator.drawings.lettering import Box, text_box, text_width
from generator.frozen import dataclass
from generator.geometry import Vec2

Anchor = Literal["left", "centre", "right"]


@dataclass(frozen=True, slots=True)
class Scale:
    """What is plotted as 1 stands for `denominator` in the real thing."""

    denominator: float
    label: str
    metric: bool

    def plotted(self, mm: float) -> float:
        """Real size of what is `mm` on paper."""
        return mm * self.denominator

    @property
    def text(self) -> float:
        """Height of dimensions and marks: 1/8 in, or 2.5 mm of ISO 3098."""
        return self.plotted(2.5 if self.metric else 25.4 / 8)

    @property
    def small(self) -> float:
        """Height of notes and labels inside a view: 3/32 in, or 2.5 mm."""
        return self.plotted(2.5 if self.metric else 25.4 * 3 / 32)

    @property
    def title(self) -> float:
        """Height of titles: 1/4 in for inches, 5 mm of ISO 3098 for metric sheets."""
        return self.plotted(5.0 if self.metric else 25.4 / 4)


@dataclass(frozen=True, slots=True)
class Line:
    a: Vec2
    b: Vec2
    layer: str


@dataclass(frozen=True, slots=True)
class Outline:
    """Points joined by straight lines."""

    points: tuple[Vec2, ...]
    layer: str
    closed: bool = True

    @property
    def sides(self) -> tuple[tuple[Vec2, Vec2], ...]:
        """Its straight lines, end to end."""
        ends = (*self.points[1:], self.points[0]) if self.closed else self.points[1:]
        return tuple(zip(self.points, ends, strict=False))


@dataclass(frozen=True, slots=True)
class Arc:
    """Counter-clockwise from `start_deg` to `end_deg`; 0 to 360 is a circle."""

    centre: Vec2
    radius: float
    layer: str
    start_deg: float = 0.0
    end_deg: float = 360.0


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled triangle or quadrilateral."""

    points: tuple[Vec2, ...]
    layer: str


@dataclass(frozen=True, slots=True)
class Hatch:
    """A cut body, hatched: closed rings, those inside another are holes in it.

    Lines lie `turn_deg` from level, `spacing` apart in real mm; they start from the view's origin,
    so that neighbours of one material line up.
    """

    rings: tuple[tuple[Vec2, ...], ...]
    turn_deg: float
    spacing: float
    layer: str

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines themselves, each from boundary to boundary."""
        turn = math.radians(self.turn_deg)
        way, off = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
        # Stations along the lines, offsets across them.
        rings = [
            [(x * way[0] + y * way[1], x * off[0] + y * off[1]) for x, y in ring]
            for ring in self.rings
        ]
        offs = [v for ring in rings for _, v in ring]
        if not offs:
            return ()
        found = []
        for k in range(math.floor(min(offs) / self.spacing), math.ceil(max(offs) / self.spacing)):
            # Half a step off, so that no line runs along an edge at the origin.
            v = (k + 0.5) * self.spacing
            crossings = sorted(_crossings(rings, v))
            for u0, u1 in zip(crossings[::2], crossings[1::2], strict=False):
                a, b = ((u * way[0] + v * off[0], u * way[1] + v * off[1]) for u in (u0, u1))
                found.append(Line(a, b, self.layer))
        return tuple(found)


def _crossings(rings: Sequence[Sequence[Vec2]], v: float) -> Iterator[float]:
    """Where a level line at height `v` crosses the sides of some rings."""
    for ring in rings:
        for (u0, v0), (u1, v1) in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (v0 > v) != (v1 > v):
                yield u0 + (u1 - u0) * (v - v0) / (v1 - v0)


@dataclass(frozen=True, slots=True)
class Text:
    """One line; `at` is on its middle line, at its left end, centre or right end."""

    at: Vec2
    text: str
    height: float
    layer: str
    anchor: Anchor = "centre"
    turn_deg: float = 0.0

    @property
    def box(self) -> Box:
        shift = {"left": 0.5, "centre": 0.0, "right": -0.5}[self.anchor]
        along = shift * text_width(self.text, self.height)
        turn = math.radians(self.turn_deg)
        centre = (self.at[0] + along * math.cos(turn), self.at[1] + along * math.sin(turn))
        return text_box(centre, self.text, self.height, self.turn_deg)


@dataclass(frozen=True, slots=True)
class LinearDimension:
    """A distance from `a` to `b`, measured along the dimension line `line`.

    `line` holds the feet of `a` and `b` on the dimension line; `reach` what is drawn of that line,
    which is longer where the text stands beside it. `measured_mm` is the distance before rounding.
    """

    a: Vec2
    b: Vec2
    line: tuple[Vec2, Vec2]
    reach: tuple[Vec2, Vec2]
    measured_mm: float
    text: str
    text_at: Vec2
    height: float
    turn_deg: float
    moved: bool = False
    leader: tuple[Vec2, Vec2] | None = None

    @property
    def box(self) -> Box:
        return text_box(self.text_at, self.text, self.height, self.turn_deg)


@dataclass(frozen=True, slots=True)
class AngleDimension:
    """The angle at `vertex`, counter-clockwise from `start_deg` to `end_deg`."""

    vertex: Vec2
    start_deg: float
    end_deg: float
    radius: float
    text: str
    text_at: Vec2
    height: float

    @property
    def measured_deg(self) -> float:
        return (self.end_deg - self.start_deg) % 360.0

    @property
    def box(self) -> Box:
        return text_box(self.text_at, self.text, self.height)


Item = Line | Outline | Arc | Fill | Hatch | Text | LinearDimension | AngleDimension
Dimension = LinearDimension | AngleDimension
Lettered = Text | LinearDimension | AngleDimension


@dataclass(frozen=True)
class View:
    """One picture with its lettering. `name` is its key: `plan`, `A-1` for run A, leg 1."""

    name: str
    title: str
    items: tuple[Item, ...]

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y of all that is drawn."""
        points = [point for item in self.items for point in extent(item)]
        xs = [x for x, _ in points]
        ys = [y for _, y in points]
        return (min(xs), min(ys), max(xs), max(ys))

    @cached_property
    def boxes(self) -> tuple[Box, ...]:
        """The room of every line of text."""
        return tuple(item.box for item in self.items if isinstance(item, Lettered))


@dataclass(frozen=True, slots=True)
class Placed:
    """A view and how far it is moved on the sheet."""

    view: View
    offset: Vec2


def extent(item: Item) -> tuple[Vec2, ...]:
    """Points whose bounds hold the item."""
    match item:
        case Line(a, b, _):
            return (a, b)
        case Outline() | Fill() | Hatch():
            return item.rings[0] if isinstance(item, Hatch) else item.points
        case Arc(centre=(x, y), radius=radius):
            return ((x - radius, y - radius), (x + radius, y + radius))
        case Text():
            # Commas and brackets reach lower than the room that lettering is placed by.
            return item.box.grown(0.2 * item.height).corners
        case LinearDimension(a, b, _, reach):
            return (a, b, *reach, *item.box.corners)
        case AngleDimension(vertex=vertex):
            return (vertex, *item.box.corners)
