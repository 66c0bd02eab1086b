"""Titles under views, the north arrow, the scale bar and the arrow of a stair."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.drawings import layers
from generator.drawings.draft import Draft, readable
from generator.drawings.lettering import text_width, turned_box, wrap
from generator.drawings.view import Arc, Fill, Line, Outline, Text
from generator.geometry import Vec2
from generator.units import LENGTH_UNITS

_NOTES = 160.0  # plotted mm that lines of notes may always take
_HEAD = 2.6  # length of an arrow head as plotted, mm


def title(draft: Draft, text: str, notes: Sequence[str] = ()) -> Vec2:
    """The title under all that is drawn, a rule below it, the scale, then notes.

    Returns the point right of the title where further symbols may stand.
    """
    scale = draft.scale
    left, bottom, right, _ = draft.view("", "").bounds
    room = max(right - left, scale.plotted(_NOTES))
    notes = [line for note in notes for line in wrap(note, scale.small, room)]
    y = bottom - scale.plotted(7.0) - scale.title / 2
    width = text_width(text, scale.title)
    draft.draw(Text((left, y), text, scale.title, layers.TEXT, "left"))
    rule = y - scale.title / 2 - scale.plotted(1.6)
    draft.draw(Line((left, rule), (left + width, rule), layers.TEXT))
    y = rule - scale.plotted(1.6) - scale.text / 2
    draft.draw(Text((left, y), f"SCALE {scale.label}", scale.text, layers.TEXT, "left"))
    y -= scale.text / 2
    for note in notes:
        y -= scale.small * 1.8
        draft.draw(Text((left, y + scale.small / 2), note, scale.small, layers.TEXT, "left"))
    widest = max([width, *(text_width(note, scale.small) for note in notes)])
    return (left + widest + scale.plotted(12.0), rule)


def north_and_scale(draft: Draft, at: Vec2) -> None:
    """North arrow and scale bar, side by side from `at` to the right."""
    scale = draft.scale
    radius = scale.plotted(6.0)
    x, y = at[0] + radius, at[1]
    tip, base = (x, y + radius), y - radius * 0.75
    wing = radius * 0.6
    draft.draw(
        Arc((x, y), radius, layers.SYMBOLS),
        Fill((tip, (x - wing, base), (x, y - radius * 0.35)), layers.SYMBOLS),
        Outline((tip, (x + wing, base), (x, y - radius * 0.35)), layers.SYMBOLS),
        Text((x, y + radius + scale.text), "N", scale.text, layers.SYMBOLS),
    )
    _scale_bar(draft, (x + radius + scale.plotted(14.0), y))


def _scale_bar(draft: Draft, at: Vec2) -> None:
    """Four fields, the ends and the middle marked."""
    scale = draft.scale
    unit, name = (LENGTH_UNITS["m"], " m") if scale.metric else (LENGTH_UNITS["ft"], "'")
    metres, feet = (0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 25), (0.5, 1, 2, 4, 8, 16, 40, 100)
    steps = metres if scale.metric else feet
    shown = [step for step in steps if step * float(unit) >= scale.plotted(9.0)]
    step = shown[0] if shown else steps[-1]
    field = step * float(unit)
    height = scale.plotted(1.5)
    for k in range(4):
        x0, x1 = at[0] + k * field, at[0] + (k + 1) * field
        corners = ((x0, at[1]), (x1, at[1]), (x1, at[1] + height), (x0, at[1] + height))
        draft.draw(Outline(corners, layers.SYMBOLS))
        if k % 2 == 0:
            draft.draw(Fill(corners, layers.SYMBOLS))
    y = at[1] + height + scale.plotted(1.0) + scale.small / 2
    for k in (0, 2, 4):
        text = f"{step * k:g}{name}" if k else "0"
        draft.draw(Text((at[0] + k * field, y), text, scale.small, layers.SYMBOLS))


def way_arrow(
    draft: Draft,
    corners: Sequence[Vec2],
    travel: Vec2,
    text: str,
    half: float | None = None,
    *,
    beside: bool = False,
) -> None:
    """An arrow over the middle of a stair or ramp along `travel`, its words at its tail.

    `half` shortens it to twice that length about the middle; `beside` puts the words along it.
    """
    scale = draft.scale
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    reach = [(x - middle[0]) * travel[0] + (y - middle[1]) * travel[1] for x, y in corners]
    inset = scale.plotted(2.0)
    start, end = min(reach) + inset, max(reach) - inset
    if half is not None:
        start, end = max(start, -half), min(end, half)
    tail, tip = _along(middle, travel, start), _along(middle, travel, end)
    draft.draw(Line(tail, tip, layers.SYMBOLS), _head(tip, travel, scale.plotted(_HEAD)))
    turn = readable(_turn(travel))
    aside = (-travel[1], travel[0])
    wide = text_width(text, scale.text) / 2
    over = scale.plotted(1.2) + scale.text / 2
    tail_end = [(start - wide - scale.plotted(1.5), 0.0)]
    room, step = end - start - 2 * wide, scale.plotted(6.0)
    steps = [start + wide + step * k for k in range(1 + max(0, int(room / step)))]
    places = [(along, off) for off in (over, -over) for along in (steps if beside else steps[:1])]
    places += [(0.0, over), (0.0, -over)]
    places = [*places, *tail_end] if beside else [*tail_end, *places]
    places += [(0.0, over * k) for k in (3.0, -3.0, 5.0, -5.0)]
    draft.letter(
        Text(
            _along(_along(middle, travel, along), aside, off),
            text,
            scale.text,
            layers.SYMBOLS,
            turn_deg=turn,
        )
        for along, off in places
    )
    draft.keep_line(tail, tip)
    # Commas reach lower than the room that lettering is placed by.
    middle, reach = _along(tip, travel, -scale.plotted(_HEAD / 2)), scale.plotted(_HEAD + 1.0)
    draft.keep_out(turned_box(middle, reach, scale.plotted(_HEAD), _turn(travel)))


def _head(tip: Vec2, way: Vec2, length: float) -> Fill:
    back = _along(tip, way, -length)
    side = (-way[1], way[0])
    return Fill(
        (tip, _along(back, side, length * 0.3), _along(back, side, -length * 0.3)), layers.SYMBOLS
    )


def _along(point: Vec2, way: Vec2, distance: float) -> Vec2:
    return (point[0] + way[0] * distance, point[1] + way[1] * distance)


def _turn(way: Vec2) -> float:
    return math.degrees(math.atan2(way[1], way[0]))


def break_line(draft: Draft, a: Vec2, b: Vec2) -> None:
    """A long break line across a body: a zigzag in its middle, a little beyond it at both ends."""
    reach = math.dist(a, b)
    way = ((b[0] - a[0]) / reach, (b[1] - a[1]) / reach)
    over, tooth = draft.scale.plotted(1.5), min(draft.scale.plotted(1.2), reach / 6)

    def at(along: float, aside: float) -> Vec2:
        return (a[0] + way[0] * along - way[1] * aside, a[1] + way[1] * along + way[0] * aside)

    middle = reach / 2
    points = (
        at(-over, 0.0),
        at(middle - tooth, 0.0),
        at(middle - tooth / 2, tooth),
        at(middle + tooth / 2, -tooth),
        at(middle + tooth, 0.0),
        at(reach + over, 0.0),
    )
    draft.draw(Outline(points, layers.OUTLINE, closed=False))
