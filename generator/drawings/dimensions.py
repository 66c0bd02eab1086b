"""Strings of dimensions along a straight datum: positions are rounded, spacings are differences.

A string therefore adds up to its overall. Every text is the length of its own dimension in shop
text, nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from generator.drawings.draft import Draft, direction, readable
from generator.drawings.lettering import text_width
from generator.drawings.view import AngleDimension, LinearDimension, Scale
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.units import format_length, round_shop

# As plotted, mm.
FIRST_LINE = 10.0
NEXT_LINE = 8.0
EXTENSION_GAP = 1.6
OVERSHOOT = 3.2
_TEXT_GAP = 0.9
_BESIDE = 1.5
_FURTHER = (0.0, 5.0, 10.0, 16.0, 24.0, 34.0)
_INSIDE = 0.8
_WHOLE = 4  # lines of dimensions are not broken round lettering, thin lines of the object are
_TICK = 0.6  # kept clear of lettering: somewhat less than half a tick, along the line and off it
_LEAST_ROOM = 0.8  # real mm


@dataclass(frozen=True, slots=True)
class Datum:
    """A straight line that stations are measured along from `origin`; `off` leads away from it.

    `along` and `off` are unit vectors, square to each other.
    """

    origin: Vec2
    along: Vec2
    off: Vec2

    def at(self, station: float, off: float = 0.0) -> Vec2:
        return (
            self.origin[0] + self.along[0] * station + self.off[0] * off,
            self.origin[1] + self.along[1] * station + self.off[1] * off,
        )

    def measure(self, point: Vec2) -> tuple[float, float]:
        """Station and offset of a point."""
        x, y = point[0] - self.origin[0], point[1] - self.origin[1]
        return (x * self.along[0] + y * self.along[1], x * self.off[0] + y * self.off[1])

    @property
    def turn_deg(self) -> float:
        """Turn of text along the datum, readable from the bottom or the right."""
        return readable(math.degrees(math.atan2(self.along[1], self.along[0])))


@dataclass(frozen=True, slots=True)
class Mark:
    """A station to measure to, and how far off the datum its extension line begins."""

    station: float
    foot: float


@dataclass(frozen=True, slots=True)
class _Span:
    """One dimension before its text has found a place.

    `beyond` is how far past its marks a text beside it begins.
    """

    datum: Datum
    start: Mark
    end: Mark
    line_off: float
    text: str
    first: bool
    last: bool
    beyond: float

    @property
    def length(self) -> float:
        return self.end.station - self.start.station


Measure = tuple[Datum, Sequence[Mark], float]
"""A string to be: its datum, its marks, and how far off the datum its line lies."""


def reserve(draft: Draft, measures: Iterable[Measure]) -> None:
    """Keeps lettering off the lines of strings that are yet to be drawn."""
    for datum, marks, off in measures:
        if marks:
            ends = [pick(mark.station for mark in marks) for pick in (min, max)]
            draft.keep_line(datum.at(ends[0], off), datum.at(ends[1], off), _WHOLE)
        over = math.copysign(draft.scale.plotted(OVERSHOOT), off)
        tick = draft.scale.plotted(_TICK)
        for mark in marks:
            draft.keep_line(
                datum.at(mark.station - tick, off - tick), datum.at(mark.station + tick, off + tick)
            )
            draft.keep_line(
                datum.at(mark.station, mark.foot), datum.at(mark.station, off + over), _WHOLE
            )


def string(
    draft: Draft,
    datum: Datum,
    marks: Sequence[Mark],
    line_off: float,
    beyond: float | None = None,
    *,
    fine: bool = False,
) -> None:
    """One line of dimensions between neighbouring marks, in order of their stations.

    Stations closer than 1/32 in are taken for one. With `beyond`, narrow dimensions have their
    text that far past the marks; `fine` ones are told to a tenth of a millimetre on metric sheets.
    """
    spans = _spans(draft.scale, datum, marks, line_off, beyond, fine=fine)
    # Those that hold their text keep it; the narrow ones then look for room around them.
    for span in sorted(spans, key=lambda span: not _fits(draft.scale, span)):
        chosen = draft.pick(_candidates(draft.scale, span), _beyond)
        draft.draw(chosen)
        draft.keep_line(*chosen.reach)
        if chosen.leader:
            draft.keep_line(*chosen.leader)
        for start, foot in zip((chosen.a, chosen.b), chosen.line, strict=True):
            draft.keep_line(start, beyond_line(start, foot, draft.scale.plotted(OVERSHOOT)))


def _beyond(item: LinearDimension) -> Iterator[tuple[Vec2, Vec2]]:
    """What a dimension has of lines because its text is moved."""
    yield from (pair for pair in zip(item.line, item.reach, strict=True) if pair[0] != pair[1])
    if item.leader:
        yield item.leader


def beyond_line(start: Vec2, foot: Vec2, reach: float) -> Vec2:
    """Where an extension line from `start` ends, past its foot on the dimension line."""
    length = math.dist(start, foot)
    if length == 0.0:
        return foot
    k = reach / length
    return (foot[0] + (foot[0] - start[0]) * k, foot[1] + (foot[1] - start[1]) * k)


def room(
    draft: Draft, datum: Datum, marks: Sequence[Mark], line_off: float, beyond: float | None = None
) -> bool:
    """Whether every text of such a string would find its first place free."""
    spans = _spans(draft.scale, datum, marks, line_off, beyond)
    return all(draft.free(next(_candidates(draft.scale, span)).box) for span in spans)


def fits(scale: Scale, datum: Datum, marks: Sequence[Mark]) -> bool:
    """Whether every dimension of such a string is long enough for its text."""
    return all(_fits(scale, span) for span in _spans(scale, datum, marks, 0.0, None))


def _spans(
    scale: Scale,
    datum: Datum,
    marks: Sequence[Mark],
    line_off: float,
    beyond: float | None,
    *,
    fine: bool = False,
) -> list[_Span]:
    ordered: list[Mark] = []
    for mark in sorted(marks, key=lambda mark: mark.station):
        if not ordered or mark.station - ordered[-1].station > _LEAST_ROOM:
            ordered.append(mark)
    parts = 10 if fine and scale.metric else 1
    rounded = [round_shop(mark.station * parts, scale.metric) / parts for mark in ordered]
    return [
        _Span(
            datum,
            a,
            b,
            line_off,
            format_length(rounded[k + 1] - rounded[k], scale.metric),
            first=k == 0,
            last=k == len(ordered) - 2,
            beyond=scale.plotted(_BESIDE) if beyond is None else beyond,
        )
        for k, (a, b) in enumerate(pairwise(ordered))
    ]


def _fits(scale: Scale, span: _Span) -> bool:
    room = text_width(span.text, scale.text) + 2 * scale.plotted(_INSIDE)
    return room <= span.length


def _candidates(scale: Scale, span: _Span) -> Iterator[LinearDimension]:
    """Places for the text, the usual one first."""
    height = scale.text
    over = scale.plotted(_TEXT_GAP) + height / 2
    step = height * 1.35
    middle = (span.start.station + span.end.station) / 2
    width = text_width(span.text, height)
    if _fits(scale, span):
        spare = (span.length - width) / 2 - scale.plotted(_INSIDE)
        for part in (0.0, 0.5, -0.5, 1.0, -1.0):
            yield _dimension(scale, span, middle + spare * part, over)
    for further in _FURTHER:
        aside = width / 2 + span.beyond + scale.plotted(further)
        if span.last:
            yield _dimension(scale, span, span.end.station + aside, over, width / 2)
        if span.first:
            yield _dimension(scale, span, span.start.station - aside, over, width / 2)
    for further in _FURTHER:
        aside = width / 2 + span.beyond + scale.plotted(further)
        if span.last:
            yield _dimension(scale, span, span.end.station + aside, -over, width / 2)
        if span.first:
            yield _dimension(scale, span, span.start.station - aside, -over, width / 2)
    yield _dimension(scale, span, middle, -over)
    yield _dimension(scale, span, middle, over + step)
    for tier in range(1, 12):
        yield _dimension(scale, span, middle, -over - tier * step)
        yield _dimension(scale, span, middle, over + (tier + 1) * step)


def _dimension(
    scale: Scale, span: _Span, station: float, lift: float, beside: float = 0.0
) -> LinearDimension:
    """The dimension with its text over `station`, `lift` above its line as read."""
    datum, off = span.datum, span.line_off
    turn = datum.turn_deg
    along = direction(turn)
    up = (-along[1], along[0])
    base = datum.at(station, off)
    at = (base[0] + up[0] * lift, base[1] + up[1] * lift)
    feet = (datum.at(span.start.station, off), datum.at(span.end.station, off))
    low, high = span.start.station, span.end.station
    if beside:
        low, high = min(low, station - beside), max(high, station + beside)
    middle = (span.start.station + span.end.station) / 2
    usual = scale.plotted(_TEXT_GAP) + scale.text / 2
    leader = None
    if abs(lift) > usual + 1e-6:
        sign = math.copysign(1.0, lift)
        short = lift - sign * scale.text * 0.7
        leader = (base, (base[0] + up[0] * short, base[1] + up[1] * short))
    return LinearDimension(
        a=datum.at(span.start.station, span.start.foot),
        b=datum.at(span.end.station, span.end.foot),
        line=feet,
        reach=(datum.at(low, off), datum.at(high, off)),
        measured_mm=span.length,
        text=span.text,
        text_at=at,
        height=scale.text,
        turn_deg=turn,
        moved=station != middle or lift != usual,
        leader=leader,
    )


def angle_text(angle_deg: float) -> str:
    """An angle to a hundredth of a degree, without needless noughts."""
    return f"{angle_deg:.2f}".rstrip("0").rstrip(".") + "\u00b0"


def angle(
    draft: Draft,
    vertex: Vec2,
    start_deg: float,
    end_deg: float,
    radii_mm: Sequence[float],
    beside: Sequence[Vec2] = (),
) -> None:
    """The angle at a vertex with its text at the first free place.

    Offered are the places `beside`, then those outside the arc, with each radius (as plotted). An
    arc that would cross lettering is taken only where all would.
    """
    scale = draft.scale
    opening = (end_deg - start_deg) % 360.0
    text = angle_text(opening)
    offers = [(radius_mm, at) for radius_mm in radii_mm for at in beside]
    for radius_mm in radii_mm:
        for part in (0.5, 0.3, 0.7, 0.15, 0.85):
            turn = math.radians(start_deg + opening * part)
            # A wide text stands further out where it is beside the vertex than above it.
            out = abs(math.cos(turn)) * text_width(text, scale.text) / 2
            out += abs(math.sin(turn)) * scale.text * 0.7 + scale.plotted(1.0 + radius_mm)
            at = (vertex[0] + out * math.cos(turn), vertex[1] + out * math.sin(turn))
            offers.append((radius_mm, at))
    items = [
        AngleDimension(vertex, start_deg, end_deg, scale.plotted(radius), text, at, scale.text)
        for radius, at in offers
    ]
    clear = [item for item in items if not any(draft.lettered(a, b) for a, b in _arc(item))]
    chosen = draft.pick(clear or items)
    draft.draw(chosen)
    for a, b in _arc(chosen):
        draft.keep_line(a, b)


def _arc(item: AngleDimension) -> list[tuple[Vec2, Vec2]]:
    """The arc of an angle as short lines."""
    count = max(2, math.ceil(item.measured_deg / 10.0))
    turns = [math.radians(item.start_deg + item.measured_deg * k / count) for k in range(count + 1)]
    (x, y), radius = item.vertex, item.radius
    points = [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]
    return list(pairwise(points))
