"""What only a stair's elevation shows: bays along the pitch, nosing line, setbacks, pitch, rise."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.drawings import layers
from generator.drawings.dimensions import (
    FIRST_LINE,
    NEXT_LINE,
    Datum,
    Mark,
    Measure,
    angle,
    angle_text,
    fits,
    string,
)
from generator.drawings.draft import Draft
from generator.drawings.flight import Flight, flight
from generator.drawings.front import Front
from generator.drawings.heights import height_datum, height_side
from generator.drawings.lettering import text_width
from generator.drawings.view import Line, Text
from generator.geometry import Vec2
from generator.parts.assembly import PostDetail, detail_of

_SETBACK = 7.0  # as plotted: under a tread
_LEAST_NOSINGS = 2
_WHOLE = 4  # not broken round lettering
_RISER = 5  # lines of dimensions that the riser stands off
_NOSING_LINE = "NOSING LINE"


def stair_lengths(draft: Draft, one: Front, *, steps: bool = False) -> list[Measure]:
    """Bays along the pitch, setbacks, heights at the lower end, the rise.

    With `steps` the lowest riser too; unequal ones are always told, each of them.
    """
    stair = flight(one)
    return [
        _pitch(draft, one),
        *_setbacks(draft, one),
        *_nosing_heights(draft, one, stair, steps=steps),
        *_rise(draft, one, stair),
    ]


def going_lengths(draft: Draft, one: Front, base: float) -> list[Measure]:
    """Under a section: nosing to nosing, and the run over all from the upper nosing to the last.

    Of equal goings the last one where not all have room.
    """
    stair = flight(one)
    datum = Datum((0.0, base), (1.0, 0.0), (0.0, -1.0))
    marks = sorted((Mark(x, 0.0) for x, _ in stair.nosings), key=lambda mark: mark.station)
    if len(marks) < _LEAST_NOSINGS:
        return []
    rows = [marks, [marks[0], marks[-1]]]
    if stair.regular and not fits(draft.scale, datum, marks):
        rows[0] = marks[-2:] if stair.down > 0 else marks[:2]
    return [
        (datum, row, draft.scale.plotted(FIRST_LINE + NEXT_LINE * k)) for k, row in enumerate(rows)
    ]


def stair_measures(draft: Draft, one: Front, *, steps: bool = False) -> None:
    """Draws the nosing line and every measure that hangs on it."""
    stair = flight(one)
    for measure in stair_lengths(draft, one, steps=steps):
        string(draft, *measure)
    nosing_line(draft, one, stair)


def _pitch(draft: Draft, one: Front) -> Measure:
    """Bays along the pitch, from post axis to post axis on the top of the rail."""
    top = one.main_rail.top
    xs = [x for _, x in one.post_xs]
    along = (top.cosine, top.rise * top.cosine)
    datum = Datum((xs[0], top.at(xs[0])), along, (-along[1], along[0]))
    marks = [Mark((x - xs[0]) / top.cosine, 0.0) for x in xs]
    return datum, marks, draft.scale.plotted(FIRST_LINE)


def _setbacks(draft: Draft, one: Front) -> Iterator[Measure]:
    """Nosing to post axis, under every tread that carries a post or has one beside it."""
    uphill = -1.0 if one.slope < 0 else 1.0
    treads = one.treads()
    for mark, x in one.post_xs:
        tread = detail_of(one.parts((mark,))[0], PostDetail).tread
        if tread is None or tread not in treads:
            continue
        x0, y0, x1, _ = one.box(treads[tread]).bounds
        nosing = x1 if uphill < 0 else x0
        base = min(y0, one.foot(mark))
        datum = Datum((nosing, base), (uphill, 0.0), (0.0, -1.0))
        marks = [Mark(0.0, base - y0), Mark((x - nosing) * uphill, 0.0)]
        yield datum, marks, draft.scale.plotted(_SETBACK)


def _nosing_heights(draft: Draft, one: Front, stair: Flight, *, steps: bool) -> Iterator[Measure]:
    """At the lower end: gap under the lowest cable at its post, and last nosing to top of rail."""
    side = -height_side(one)
    mark, x = one.post_xs[-1 if side > 0 else 0]
    floor = one.floor(mark)
    datum = height_datum(draft, one, side, floor)
    strands = one.strands_at(x)
    if strands:
        gap = strands[0].line.at(x) - floor - one.cable_diameter() / 2
        foot = (x - datum.origin[0]) * side
        yield datum, [Mark(0.0, 0.0), Mark(gap, foot)], draft.scale.plotted(FIRST_LINE)
    top, nosing = one.main_rail.top, stair.foot[0]
    if steps and stair.regular:
        under = Datum((datum.origin[0], stair.floor), (0.0, 1.0), (side, 0.0))
        marks = [Mark(0.0, 0.0), Mark(stair.risers[-1], (nosing - datum.origin[0]) * side)]
        # Beyond the pitch and the name of the nosing line, which stand between.
        yield under, marks, draft.scale.plotted(FIRST_LINE + _RISER * NEXT_LINE)
    low, high = one.reference.at(nosing), top.at(nosing)
    datum = Datum((datum.origin[0], low), (0.0, 1.0), (side, 0.0))
    foot = (nosing - datum.origin[0]) * side
    line = draft.scale.plotted(FIRST_LINE + NEXT_LINE)
    yield datum, [Mark(0.0, foot), Mark(high - low, foot)], line
    handrail = one.handrail_line()
    if handrail is not None:
        marks = [Mark(0.0, foot), Mark(handrail.at(nosing) - low, foot)]
        yield datum, marks, line + draft.scale.plotted(NEXT_LINE)


def stair_lines(draft: Draft, one: Front) -> None:
    """Keeps strings off the nosing line, and draws the rail's top line on to where it is measured.

    That is where the rail ends before the last nosing.
    """
    stair = flight(one)
    draft.keep_line(*_nosing_line(one, stair), _WHOLE)
    side, top, nosing = -height_side(one), one.main_rail.top, stair.foot[0]
    end = max(one.box(part).bounds[2 if side > 0 else 0] * side for part in one.rails()) * side
    if (nosing - end) * side > 0:
        a, b = (end, top.at(end)), (nosing, top.at(nosing))
        draft.draw(Line(a, b, layers.DIMENSIONS))
        draft.keep_line(a, b, _WHOLE)


def _nosing_line(one: Front, stair: Flight) -> tuple[Vec2, Vec2]:
    """From over the upper nosing to where it meets the lower floor."""
    upper, line = stair.upper[0], one.reference
    return (upper, line.at(upper)), ((stair.floor - line.y) / line.rise, stair.floor)


def nosing_line(draft: Draft, one: Front, stair: Flight) -> None:
    """From the upper nosing to the lower floor, and the pitch where it meets that floor."""
    line = one.reference
    start, foot = _nosing_line(one, stair)
    draft.draw(Line(start, foot, layers.NOSING))
    pitch = math.degrees(math.atan(abs(line.rise)))
    angles = (180.0 - pitch, 180.0) if line.rise < 0 else (0.0, pitch)
    scale = draft.scale
    half = text_width(angle_text(pitch), scale.text) / 2
    beside = [
        (foot[0] + stair.down * (half + scale.plotted(2.0)), foot[1] + scale.text * lines)
        for lines in (0.8, 2.2, 3.6)
    ]
    angle(draft, foot, *angles, (9.0, 13.0, 18.0, 24.0), beside)
    nosing_name(draft, one)


def _rise(draft: Draft, one: Front, stair: Flight) -> Iterator[Measure]:
    """Lower floor to upper floor, beside the upper end; step by step where steps differ."""
    side = height_side(one)
    floor, top = stair.floor, stair.upper[1]
    datum = height_datum(draft, one, side, floor)
    foot = (stair.foot[0] - datum.origin[0]) * side
    line = draft.scale.plotted(FIRST_LINE + 3 * NEXT_LINE)
    if not stair.regular:
        steps = [Mark(y - floor, 0.0) for _, y in stair.nosings[1:]]
        yield datum, [Mark(0.0, 0.0), *steps, Mark(top - floor, 0.0)], line
        line += draft.scale.plotted(NEXT_LINE)
    yield datum, [Mark(0.0, foot), Mark(top - floor, 0.0)], line


def nosing_name(draft: Draft, one: Front) -> None:
    """What the line over the nosings is, beside its lower end."""
    stair, line, scale = flight(one), one.reference, draft.scale
    x = stair.foot[0]
    end = (stair.floor - line.y) / line.rise
    tip = ((x + end) / 2, line.at((x + end) / 2))
    half = text_width(_NOSING_LINE, scale.small) / 2
    reach = scale.plotted(5.0)
    offers = [
        Text(
            (tip[0] + stair.down * (reach + along + half), tip[1] + scale.plotted(lift)),
            _NOSING_LINE,
            scale.small,
            layers.SYMBOLS,
        )
        for along in (scale.plotted(mm) for mm in (0.0, 4.0, 9.0, 15.0, 22.0, 30.0, 38.0))
        for lift in (6.0, 9.0, 12.0, 16.0, 20.0, 3.0, 25.0, -16.0, -22.0)
    ]

    def leader(text: Text) -> list[tuple[Vec2, Vec2]]:
        near = text.at[0] - stair.down * (half + scale.plotted(0.8))
        return [((near, text.at[1]), tip)]

    chosen = draft.pick(offers, leader)
    draft.draw(chosen)
    ((a, b),) = leader(chosen)
    draft.draw(Line(a, b, layers.SYMBOLS))
    draft.keep_line(a, b)
