"""Strings of dimensions of an elevation: along the leg below it, and heights beside it."""

from __future__ import annotations

from generator.drawings.dimensions import FIRST_LINE, NEXT_LINE, Datum, Mark, fits, room, string
from generator.drawings.draft import Draft
from generator.drawings.front import Front
from generator.parts.assembly import RailDetail, detail_of


def length_strings(draft: Draft, one: Front) -> None:
    """Below the leg: spans of the cables, bays with the edge's ends, the edge over all."""
    base = draft.lower_edge()
    datum = Datum((0.0, base), (one.sense, 0.0), (0.0, -1.0))
    line = draft.scale.plotted(FIRST_LINE)
    spans, *others = (
        [Mark(station, 0.0) for station in stations]
        for stations in (one.tape.spans(), one.tape.bays(), one.tape.overall())
    )
    # Short spans would have their texts on top of one another; where they are equal, which the
    # notes then say, they can go without.
    if spans and (fits(draft.scale, datum, spans) or one.tape.spans_a_bay() is None):
        others.insert(0, spans)
    for marks in others:
        string(draft, datum, marks, line)
        line += draft.scale.plotted(NEXT_LINE)


def height_side(one: Front) -> float:
    """1 where the heights stand to the right of the leg, -1 to the left.

    A stair carries them at its upper end; a level leg on the right, unless a wall is there.
    """
    if one.leg.kind != "level":
        return -1.0 if one.slope < 0 else 1.0
    right = one.leg.end_joint if one.sense > 0 else one.leg.start_joint
    left = one.leg.start_joint if one.sense > 0 else one.leg.end_joint
    return -1.0 if right == "wall" and left != "wall" else 1.0


def height_datum(one: Front, side: float, floor: float) -> Datum:
    """Plumb, beside all that stands at that end of the leg, from a floor up."""
    solid = (
        *one.parts((*one.leg.posts, *one.leg.rails)),
        *one.surfaces("wall", "tread"),
        *one.own("nut", "fitting"),
    )
    low, high = one.span(solid)
    return Datum((high if side > 0 else low, floor), (0.0, 1.0), (side, 0.0))


def height_strings(draft: Draft, one: Front) -> None:
    """At one end post: gaps below and above the cables; cables and rail; the guard over all.

    Where the rail of the leg ends before that post, its heights are not measured there.
    """
    side = height_side(one)
    mark, x = one.post_xs[-1 if side > 0 else 0]
    floor = one.post_base(mark)
    datum = height_datum(one, side, floor)
    foot = (x - datum.origin[0]) * side
    for column, strings in enumerate(_columns(one, x, floor)):
        off = draft.scale.plotted(FIRST_LINE + NEXT_LINE * column)
        for heights in strings:
            string(draft, datum, [Mark(height, _foot(foot, height)) for height in heights], off)


def _columns(one: Front, x: float, floor: float) -> list[list[list[float]]]:
    """Heights over the floor at one post: for each column its strings, nearest the leg first."""
    rail = []
    if any(box.bounds[0] <= x <= box.bounds[2] for box in map(one.box, one.rails())):
        rail = [one.rail_line(upper=upper).at(x) - floor for upper in (False, True)]
    lines = one.cable_lines()
    columns: list[list[list[float]]] = []
    if lines:
        lowest, highest = lines[0][1].at(x) - floor, lines[-1][1].at(x) - floor
        half = one.cable_diameter() / 2
        over = [[highest + half, rail[0]]] if rail else []
        columns = [[[0.0, lowest - half], *over], [[0.0, lowest, highest, *rail[1:]]]]
    return [*columns, [[0.0, rail[1]]]] if rail else columns


def _foot(axis: float, height: float) -> float:
    """Extension lines begin at the post's axis; along the floor they begin beside the leg."""
    return 0.0 if height == 0.0 else axis


def run_ons(draft: Draft, one: Front) -> None:
    """Outer face of an end post to the end of the rail, level, over the rail."""
    pieces = one.rails()
    half = one.assembly.job.system.post.width_mm / 2
    for part, (_, x), side in (
        (pieces[0], one.post_xs[0], -1.0),
        (pieces[-1], one.post_xs[-1], 1.0),
    ):
        detail = detail_of(part, RailDetail)
        at_end = side == one.sense
        joined = detail.end_on if at_end else detail.start_on
        end = one.rail_end(part, at_end=at_end)[0]
        if joined in ("miter", "plumb drop", "joint on post") or (end - x) * side <= half:
            continue
        _run_on(draft, one, x + half * side, end, side)


def _run_on(draft: Draft, one: Front, face: float, end: float, side: float) -> None:
    """Over the rail, or under its end where there is no room."""
    upper, lower = one.rail_line(upper=True), one.rail_line(upper=False)
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
