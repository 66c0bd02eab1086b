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
    string,
)
from generator.drawings.draft import Draft
from generator.drawings.flight import Flight, flight
from generator.drawings.front import Front
from generator.drawings.heights import height_datum, height_side
from generator.drawings.lettering import text_width
from generator.drawings.view import Line
from generator.parts.assembly import PostDetail, detail_of

_SETBACK = 7.0  # as plotted: under a tread


def stair_lengths(draft: Draft, one: Front) -> list[Measure]:
    """Bays along the pitch, setbacks, heights at the lower end, the rise."""
    stair = flight(one)
    return [
        _pitch(draft, one),
        *_setbacks(draft, one),
        *_nosing_heights(draft, one, stair),
        *_rise(draft, one, stair),
    ]


def stair_measures(draft: Draft, one: Front) -> None:
    """Draws the nosing line and every measure that hangs on it."""
    stair = flight(one)
    for measure in stair_lengths(draft, one):
        string(draft, *measure)
    _top_line(draft, one, stair)
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


def _nosing_heights(draft: Draft, one: Front, stair: Flight) -> Iterator[Measure]:
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
    low, high = one.reference.at(nosing), top.at(nosing)
    datum = Datum((datum.origin[0], low), (0.0, 1.0), (side, 0.0))
    foot = (nosing - datum.origin[0]) * side
    line = draft.scale.plotted(FIRST_LINE + NEXT_LINE)
    yield datum, [Mark(0.0, foot), Mark(high - low, foot)], line
    handrail = one.handrail_line()
    if handrail is not None:
        marks = [Mark(0.0, foot), Mark(handrail.at(nosing) - low, foot)]
        yield datum, marks, line + draft.scale.plotted(NEXT_LINE)


def _top_line(draft: Draft, one: Front, stair: Flight) -> None:
    """Where the rail ends before the last nosing: its top line, on to where it is measured."""
    side, top, nosing = -height_side(one), one.main_rail.top, stair.foot[0]
    end = max(one.box(part).bounds[2 if side > 0 else 0] * side for part in one.rails()) * side
    if (nosing - end) * side > 0:
        draft.draw(Line((end, top.at(end)), (nosing, top.at(nosing)), layers.DIMENSIONS))


def nosing_line(draft: Draft, one: Front, stair: Flight) -> None:
    """From the upper nosing to the lower floor, and the pitch where it meets that floor."""
    upper = stair.upper[0]
    line = one.reference
    foot = ((stair.floor - line.y) / line.rise, stair.floor)
    start = (upper, line.at(upper))
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
