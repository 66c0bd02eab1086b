"""Views as ink on paper: every item of a drawing as lines, arcs, fills and text in plotted mm.

The PDF and the previews are both written from this, so that they show the same thing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from generator.drawings.dimensions import EXTENSION_GAP, OVERSHOOT, beyond_line
from generator.drawings.draft import direction
from generator.drawings.layers import DIMENSIONS, LAYERS, LINETYPES
from generator.drawings.sheets import Frame, PlacedView, SheetPage
from generator.drawings.view import (
    AngleDimension,
    Arc,
    Fill,
    Hatch,
    Item,
    Line,
    LinearDimension,
    Outline,
    Text,
    extent,
)
from generator.frozen import dataclass
from generator.geometry import Vec2

TICK = 1.2
"""Half the length of a dimension's tick as plotted, mm."""
TICK_PEN = 0.35
_REACH = 6.0  # plotted mm that ticks and extension lines go beyond what a dimension measures


@dataclass(frozen=True, slots=True)
class Pen:
    """Width of a line in mm, and its dashes and gaps in turn; none for a full line."""

    width: float
    dashes: tuple[float, ...] = ()


Ink = Line | Outline | Arc | Fill | Text


@dataclass(frozen=True, slots=True)
class Onto:
    """Where real millimetres land on paper: their origin, and how many of them make one."""

    origin: Vec2 = (0.0, 0.0)
    denominator: float = 1.0

    def point(self, real: Vec2) -> Vec2:
        k = self.denominator
        return (self.origin[0] + real[0] / k, self.origin[1] + real[1] / k)


@dataclass(frozen=True, slots=True)
class Window:
    """Items, where they land on paper, and the frame that they end at: least x, y, greatest x, y.

    `frame` is None where nothing is cut off.
    """

    items: tuple[Item, ...]
    onto: Onto
    frame: Frame | None = None


def windows(page: SheetPage) -> Iterator[Window]:
    """What is drawn on a sheet: its views, each as far as its frame shows it, then the rest."""
    for placed in page.views:
        onto = Onto(placed.origin, placed.scale.denominator)
        if placed.whole:
            yield Window(placed.view.items, onto)
        else:
            yield Window(tuple(_inside(placed)), onto, placed.frame)
    yield Window(page.paper_items, Onto())


def _inside(placed: PlacedView) -> Iterator[Item]:
    """Items of a view that may reach into its frame: a long plan goes on over many sheets."""
    left, low, right, top = placed.frame
    x0, y0 = placed.in_view((left - _REACH, low - _REACH))
    x1, y1 = placed.in_view((right + _REACH, top + _REACH))
    for item in placed.view.items:
        points = extent(item)
        xs, ys = [x for x, _ in points], [y for _, y in points]
        if max(xs) >= x0 and min(xs) <= x1 and max(ys) >= y0 and min(ys) <= y1:
            yield item


def base_point(text: Text) -> Vec2:
    """The point on the base line of a text that is placed by its middle line."""
    x, y = direction(text.turn_deg)
    half = text.height / 2
    return (text.at[0] + y * half, text.at[1] - x * half)


def pens() -> dict[str, Pen]:
    """The pen of every layer."""
    return {
        layer.name: Pen(
            layer.pen / 100,
            tuple(abs(dash) for dash in LINETYPES[layer.linetype][1])
            if layer.linetype in LINETYPES
            else (),
        )
        for layer in LAYERS
    }


def inked(items: Iterable[Item], onto: Onto) -> Iterator[tuple[Pen, Ink]]:
    """Everything that is drawn, in order, each with its pen."""
    by_layer = pens()
    for item in items:
        match item:
            case LinearDimension():
                yield from _linear(item, onto, by_layer[DIMENSIONS])
            case AngleDimension():
                yield from _angle(item, onto, by_layer[DIMENSIONS])
            case Hatch():
                pen = by_layer[item.layer]
                for line in item.lines:
                    yield pen, _moved(line, onto)
            case _:
                yield by_layer[item.layer], _moved(item, onto)


def _moved(item: Ink, onto: Onto) -> Ink:
    k = onto.denominator
    match item:
        case Line(a, b, layer):
            return Line(onto.point(a), onto.point(b), layer)
        case Outline(points, layer, closed):
            return Outline(tuple(onto.point(point) for point in points), layer, closed)
        case Arc(centre, radius, layer, start, end):
            return Arc(onto.point(centre), radius / k, layer, start, end)
        case Fill(points, layer):
            return Fill(tuple(onto.point(point) for point in points), layer)
        case Text(at, text, height, layer, anchor, turn):
            return Text(onto.point(at), text, height / k, layer, anchor, turn)


def _linear(item: LinearDimension, onto: Onto, pen: Pen) -> Iterator[tuple[Pen, Ink]]:
    """Extension lines, dimension line, ticks and text, as the true dimension entity has them."""
    gap, over = EXTENSION_GAP * onto.denominator, OVERSHOOT * onto.denominator
    for start, foot in zip((item.a, item.b), item.line, strict=True):
        if math.dist(start, foot) > gap:
            near, far = beyond_line(foot, start, -gap), beyond_line(start, foot, over)
            yield pen, _moved(Line(near, far, DIMENSIONS), onto)
    yield pen, _moved(Line(*item.reach, DIMENSIONS), onto)
    for foot in item.line:
        yield _tick(onto.point(foot), item.turn_deg)
    if item.leader:
        yield pen, _moved(Line(*item.leader, DIMENSIONS), onto)
    text = Text(item.text_at, item.text, item.height, DIMENSIONS, turn_deg=item.turn_deg)
    yield pen, _moved(text, onto)


def _angle(item: AngleDimension, onto: Onto, pen: Pen) -> Iterator[tuple[Pen, Ink]]:
    end = item.start_deg + item.measured_deg
    gap, over = EXTENSION_GAP * onto.denominator, OVERSHOOT * onto.denominator
    for turn in (item.start_deg, end):
        near, far = (_polar(item.vertex, r, turn) for r in (gap, item.radius + over))
        yield pen, _moved(Line(near, far, DIMENSIONS), onto)
        yield _tick(onto.point(_polar(item.vertex, item.radius, turn)), turn + 90.0)
    yield pen, _moved(Arc(item.vertex, item.radius, DIMENSIONS, item.start_deg, end), onto)
    yield pen, _moved(Text(item.text_at, item.text, item.height, DIMENSIONS), onto)


def _tick(at: Vec2, turn_deg: float) -> tuple[Pen, Ink]:
    x, y = _polar((0.0, 0.0), TICK, turn_deg + 45.0)
    ends = (at[0] - x, at[1] - y), (at[0] + x, at[1] + y)
    return Pen(TICK_PEN), Line(*ends, DIMENSIONS)


def _polar(centre: Vec2, radius: float, turn_deg: float) -> Vec2:
    turn = math.radians(turn_deg)
    return (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))
