"""What only a stair's elevation shows: bays along the pitch, nosing line, setbacks, pitch, rise."""

from __future__ import annotations

import math

from generator.drawings import layers
from generator.drawings.dimensions import (
    FIRST_LINE,
    NEXT_LINE,
    Datum,
    Mark,
    angle,
    angle_text,
    string,
)
from generator.drawings.draft import Draft
from generator.drawings.front import Front
from generator.drawings.heights import height_datum, height_side
from generator.drawings.lettering import text_width
from generator.drawings.view import Line
from generator.geometry import Vec2
from generator.parts.assembly import PostDetail, detail_of


def stair_measures(draft: Draft, one: Front) -> None:
    """Draws the nosing line and every measure that hangs on it."""
    _pitch_string(draft, one)
    _setbacks(draft, one)
    _nosing_heights(draft, one)
    _nosing_line(draft, one)
    _rise(draft, one)


def _pitch_string(draft: Draft, one: Front) -> None:
    """Bays along the pitch, from post axis to post axis on the top of the rail."""
    top = one.rail_line(upper=True)
    xs = [x for _, x in one.post_xs]
    along = (one.cosine, one.slope * one.cosine)
    datum = Datum((xs[0], top.at(xs[0])), along, (-along[1], along[0]))
    marks = [Mark((x - xs[0]) / one.cosine, 0.0) for x in xs]
    string(draft, datum, marks, draft.scale.plotted(FIRST_LINE))


def _setbacks(draft: Draft, one: Front) -> None:
    """Nosing to post axis, under every tread that carries a post."""
    uphill = -1.0 if one.slope < 0 else 1.0
    treads = {round(one.top(part), 3): part for part in one.surfaces("tread")}
    for mark, x in one.post_xs:
        if detail_of(one.parts((mark,))[0], PostDetail).tread is None:
            continue
        x0, y0, x1, _ = one.box(treads[round(one.post_base(mark), 3)]).bounds
        nosing = x1 if uphill < 0 else x0
        datum = Datum((nosing, y0), (uphill, 0.0), (0.0, -1.0))
        marks = [Mark(0.0, 0.0), Mark((x - nosing) * uphill, 0.0)]
        string(draft, datum, marks, draft.scale.plotted(7.0))


def _nosing_heights(draft: Draft, one: Front) -> None:
    """At the lower end: gap under the lowest cable at its post, and last nosing to top of rail."""
    side = -height_side(one)
    mark, x = one.post_xs[-1 if side > 0 else 0]
    floor = one.post_base(mark)
    datum = height_datum(one, side, floor)
    lines = one.cable_lines()
    if lines:
        gap = lines[0][1].at(x) - floor - one.cable_diameter() / 2
        foot = (x - datum.origin[0]) * side
        string(draft, datum, [Mark(0.0, 0.0), Mark(gap, foot)], draft.scale.plotted(FIRST_LINE))
    top, nosing = one.rail_line(upper=True), _last_nosing(one)
    low, high = one.reference.at(nosing), top.at(nosing)
    datum = Datum((datum.origin[0], low), (0.0, 1.0), (side, 0.0))
    foot = (nosing - datum.origin[0]) * side
    line = draft.scale.plotted(FIRST_LINE + NEXT_LINE)
    string(draft, datum, [Mark(0.0, foot), Mark(high - low, foot)], line)
    # The rail ends before the nosing: its top line is drawn on to where it is measured.
    end = max(one.box(part).bounds[2 if side > 0 else 0] * side for part in one.rails()) * side
    if (nosing - end) * side > 0:
        draft.draw(Line((end, top.at(end)), (nosing, high), layers.DIMENSIONS))


def _last_nosing(one: Front) -> float:
    """x of the lowest tread's nosing: the lower end of the measured edge."""
    return 0.0 if one.leg.pitch_deg > 0 else one.x(one.tape.length_mm)


def _floor_below(one: Front) -> float:
    """Height of the lower floor: one riser below the lowest tread."""
    return one.reference.at(_last_nosing(one)) - _riser(one)


def _riser(one: Front) -> float:
    return abs(one.slope) * one.tape.length_mm / max(len(one.surfaces("tread")), 1)


def nosing_foot(one: Front) -> Vec2:
    """Where the nosing line meets the lower floor."""
    line, floor = one.reference, _floor_below(one)
    return ((floor - line.y) / line.rise, floor)


def _nosing_line(draft: Draft, one: Front) -> None:
    """From the upper nosing to the lower floor, and the pitch where it meets that floor."""
    upper = one.x(one.tape.length_mm) if one.leg.pitch_deg > 0 else 0.0
    foot = nosing_foot(one)
    draft.draw(Line((upper, one.reference.at(upper)), foot, layers.NOSING))
    pitch = math.degrees(math.atan(abs(one.slope)))
    start, end = (180.0 - pitch, 180.0) if one.slope < 0 else (0.0, pitch)
    out = 1.0 if one.slope < 0 else -1.0
    scale = draft.scale
    half = text_width(angle_text(pitch), scale.text) / 2
    beside = [
        (foot[0] + out * (half + scale.plotted(2.0)), foot[1] + scale.text * lines)
        for lines in (0.8, 2.2, 3.6)
    ]
    angle(draft, foot, start, end, (9.0, 13.0, 18.0, 24.0), beside)


def _rise(draft: Draft, one: Front) -> None:
    """Lower floor to upper floor, beside the upper end."""
    side = height_side(one)
    upper = one.x(one.tape.length_mm) if one.leg.pitch_deg > 0 else 0.0
    floor, top = _floor_below(one), one.reference.at(upper)
    datum = height_datum(one, side, floor)
    foot = (_last_nosing(one) - datum.origin[0]) * side
    line = draft.scale.plotted(FIRST_LINE + 3 * NEXT_LINE)
    string(draft, datum, [Mark(0.0, foot), Mark(top - floor, 0.0)], line)
