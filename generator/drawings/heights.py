"""Strings of dimensions of an elevation: along the leg below it, and heights beside it."""

from __future__ import annotations

from collections.abc import Iterator

from generator.drawings.dimensions import (
    FIRST_LINE,
    NEXT_LINE,
    Datum,
    Mark,
    Measure,
    fits,
    reserve,
    room,
    string,
)
from generator.drawings.draft import Draft
from generator.drawings.flight import SHOWN, flight, shown
from generator.drawings.front import Front, RailSpan
from generator.parts.assembly import Part, RailDetail, detail_of

_DROP = "plumb drop"
_MET = ("miter", _DROP, "joint on post")
_DROP_OFF = 6.0  # as plotted
_BURIED_MM = 1.0
_NEAR_MM = 40.0  # between the ends of two rails that a plumb piece joins
_STEP_MM = 3.0
_STEEP = 1e-6


def length_strings(draft: Draft, one: Front) -> None:
    """Below the leg: spans of the cables, bays with the edge's ends, the edge over all."""
    base = draft.lower_edge()
    datum = Datum((0.0, base), (one.sense, 0.0), (0.0, -1.0))
    rows: list[list[Mark]] = []
    if one.leg.kind == "stair" and not (stair := flight(one)).regular:
        rows.append([Mark(x * one.sense, 0.0) for x, _ in stair.nosings])
    spans, *others = (
        [Mark(station, 0.0) for station in stations]
        for stations in (one.tape.spans(), one.tape.bays(), one.tape.overall())
    )
    # Short spans would have their texts on top of one another; where they are equal, which the
    # notes then say, they can go without.
    if spans and (fits(draft.scale, datum, spans) or one.tape.spans_a_bay() is None):
        rows.append(spans)
    rows += others
    measures = [
        (datum, marks, draft.scale.plotted(FIRST_LINE + NEXT_LINE * row))
        for row, marks in enumerate(rows)
    ]
    reserve(draft, measures)
    for measure in measures:
        string(draft, *measure)


def height_side(one: Front) -> float:
    """1 where the heights stand to the right of the leg, -1 to the left.

    Stairs and ramps carry them at their upper end; a level leg on the right, unless a wall is
    there. But for a stair, an end post that the rail does not reach over leaves them to the other.
    """
    if one.leg.kind == "stair":
        return -1.0 if one.slope < 0 else 1.0
    right = one.leg.end_joint if one.sense > 0 else one.leg.start_joint
    left = one.leg.start_joint if one.sense > 0 else one.leg.end_joint
    first = -1.0 if (right == "wall" and left != "wall") or one.slope < -_STEEP else 1.0
    under = (s for s in (first, -first) if one.rail_over(one.post_xs[-1 if s > 0 else 0][1]))
    return next(under, first)


def height_datum(draft: Draft, one: Front, side: float, floor: float) -> Datum:
    """Plumb, beside all that stands at that end of the leg, from a floor up."""
    solid = (
        *one.parts((*one.leg.posts, *one.leg.rails)),
        *one.surfaces("wall", "tread"),
        *one.own("handrail"),
        *one.cable_hardware(),
    )
    low, high = one.span(solid)
    limits = shown(one, draft.scale.plotted(SHOWN))
    for part in (part for leg in one.in_line for part in one.parts(leg.rails)):
        x0, _, x1, _ = one.box(part).bounds
        low = limits[0] if x0 < low < x1 or limits[0] < x1 < low else low
        high = limits[1] if x0 < high < x1 or high < x0 < limits[1] else high
    return Datum((high if side > 0 else low, floor), (0.0, 1.0), (side, 0.0))


def height_measures(draft: Draft, one: Front) -> list[Measure]:
    """At one end post: gaps below and above the cables; cables and rail; the guard over all.

    Where the rail of the leg ends before that post, its heights are not measured there. A post
    that reaches below what one walks on has that depth in the last string.
    """
    side = height_side(one)
    mark, x = one.post_xs[-1 if side > 0 else 0]
    floor = one.floor(mark)
    datum = height_datum(draft, one, side, floor)
    foot = (x - datum.origin[0]) * side
    columns = _columns(one, mark, x, floor)
    found: list[Measure] = []
    if one.rail_over(x) is None and one.leg.kind != "stair":
        line = draft.scale.plotted(FIRST_LINE + NEXT_LINE * len(columns))
        found += _edge_height(one, datum, side, line)
    for column, strings in enumerate(columns):
        off = draft.scale.plotted(FIRST_LINE + NEXT_LINE * column)
        for heights in strings:
            found.append((datum, [Mark(height, _foot(foot, height)) for height in heights], off))
    # After those at the post, and after that where the edge ends, if there is one.
    lines = len(columns) + any(measure[0] is not datum for measure in found)
    found += _handrail(one, datum, side, x, draft.scale.plotted(FIRST_LINE + NEXT_LINE * lines))
    return found


def _handrail(one: Front, datum: Datum, side: float, post: float, line: float) -> Iterator[Measure]:
    """Top of a ramp's handrail over the ramp, at its end nearest to the post."""
    handrail = one.handrail_line()
    if handrail is None or one.leg.kind == "stair":
        return
    low, high = sorted((0.0, one.x(one.tape.length_mm)))
    x = min(max(post, low), high)
    floor, foot = one.reference.at(x), (x - datum.origin[0]) * side
    here = Datum((datum.origin[0], floor), datum.along, datum.off)
    yield here, [Mark(0.0, foot), Mark(handrail.at(x) - floor, foot)], line


def _edge_height(one: Front, datum: Datum, side: float, line: float) -> Iterator[Measure]:
    """The guard over all where the edge ends, if the rail reaches over that."""
    ends = sorted((0.0, one.x(one.tape.length_mm)))
    x = ends[1] if side > 0 else ends[0]
    over = one.rail_over(x)
    if over is None:
        return
    floor = one.reference.at(x)
    here = Datum((datum.origin[0], floor), datum.along, datum.off)
    foot = (x - datum.origin[0]) * side
    marks = [Mark(0.0, 0.0), Mark(over.top.at(x) - floor, foot)]
    yield here, marks, line


def _columns(one: Front, mark: str, x: float, floor: float) -> list[list[list[float]]]:
    """Heights over the floor at one post: for each column its strings, nearest the leg first."""
    over = one.rail_over(x)
    rail = [line.at(x) - floor for line in (over.under, over.top)] if over else []
    strands = one.strands_at(x)
    columns: list[list[list[float]]] = []
    if strands:
        lowest, highest = (strands[k].line.at(x) - floor for k in (0, -1))
        half = one.cable_diameter() / 2
        gaps = [[highest + half, rail[0]]] if rail else []
        columns = [[[0.0, lowest - half], *gaps], [[0.0, lowest, highest, *rail[1:]]]]
    below = one.foot(mark) - floor
    buried = [below] if below < -_BURIED_MM else []
    return [*columns, [[*buried, 0.0, *rail[1:]]]] if rail or buried else columns


def _foot(axis: float, height: float) -> float:
    """Extension lines begin at the post's axis; along the floor they begin beside the leg."""
    return 0.0 if height == 0.0 else axis


def run_ons(draft: Draft, one: Front) -> None:
    """Outer face of an end post to the end of the rail, level, over the rail."""
    spans = one.rail_spans
    for span, (mark, x), side in (
        (spans[0], one.post_xs[0], -1.0),
        (spans[-1], one.post_xs[-1], 1.0),
    ):
        at_end = side == one.sense
        end = one.rail_end(span.part, at_end=at_end)[0]
        x0, _, x1, _ = one.box(one.parts((mark,))[0]).bounds
        face = x1 if side > 0 else x0
        if _joined(span.part, at_end=at_end) in _MET or (end - x) * side <= abs(face - x):
            continue
        _run_on(draft, span, face, end, side)


def _joined(part: Part, *, at_end: bool) -> str:
    detail = detail_of(part, RailDetail)
    return detail.end_on if at_end else detail.start_on


def _run_on(draft: Draft, span: RailSpan, face: float, end: float, side: float) -> None:
    """Over the rail, or under its end where there is no room."""
    upper, lower = span.top, span.under
    high = max(upper.at(face), upper.at(end))
    low = min(lower.at(face), lower.at(end))
    above = Datum((face, high), (side, 0.0), (0.0, 1.0))
    below = Datum((face, low), (side, 0.0), (0.0, -1.0))
    reach = (end - face) * side
    offers = [
        (above, [Mark(0.0, upper.at(face) - high), Mark(reach, upper.at(end) - high)], FIRST_LINE),
        *((below, [Mark(0.0, 0.0), Mark(reach, 0.0)], off) for off in (6.0, 9.0, 13.0)),
    ]
    free = (offer for offer in offers if room(draft, *offer[:2], draft.scale.plotted(offer[2])))
    datum, marks, off = next(free, offers[0])
    string(draft, datum, marks, draft.scale.plotted(off))


def plumb_drops(draft: Draft, one: Front) -> None:
    """How far the rail lies below or above that of a neighbour in line, at a plumb drop."""
    spans = one.rail_spans
    for span, side in ((spans[0], -1.0), (spans[-1], 1.0)):
        at_end = side == one.sense
        x = one.rail_end(span.part, at_end=at_end)[0]
        for leg in one.in_line:
            rails = one.parts(leg.rails)
            plumb = [*one.plumb_rails(), *one.plumb_of(rails)]
            stands = any(abs(one.plane.flat(part.place.origin)[0] - x) < _NEAR_MM for part in plumb)
            beyond = [s for s in one.spans_of(rails) if _ends_at(s, x)]
            if beyond and (stands or _joined(span.part, at_end=at_end) == _DROP):
                _drop(draft, x, span.top.at(x), beyond[0].top.at(x), side)


def _ends_at(span: RailSpan, x: float) -> bool:
    return min(abs(span.left - x), abs(span.right - x)) < _NEAR_MM


def _drop(draft: Draft, x: float, own: float, beyond: float, side: float) -> None:
    low, high = sorted((own, beyond))
    if high - low < _STEP_MM:
        return
    datum = Datum((x, low), (0.0, 1.0), (-side, 0.0))
    marks = [Mark(0.0, 0.0), Mark(high - low, 0.0)]
    lines = [draft.scale.plotted(off) for off in (_DROP_OFF, -_DROP_OFF, 2 * _DROP_OFF)]
    free = (line for line in lines if room(draft, datum, marks, line))
    string(draft, datum, marks, next(free, lines[0]))
