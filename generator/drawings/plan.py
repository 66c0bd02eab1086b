"""The plan of a job: what stands there, the guard on it, dimensions along its edges."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.dimensions import (
    FIRST_LINE,
    NEXT_LINE,
    Datum,
    Mark,
    angle,
    room,
    string,
)
from generator.drawings.draft import Draft, readable
from generator.drawings.lettering import Box, text_width, turned_box
from generator.drawings.project import PLAN, hull, picture, silhouette
from generator.drawings.symbols import break_line, north_and_scale, stair_arrow, title
from generator.drawings.tape import Tape, tape
from generator.drawings.view import Line, Scale, Text, View
from generator.geometry import Vec2, heading
from generator.parts.assembly import Assembly, Kind, Part

_BODIES: dict[Kind, str] = {
    "deck": layers.OUTLINE,
    "floor": layers.OUTLINE,
    "tread": layers.STAIR,
}
_GUARD: dict[Kind, str] = {
    "base-plate": layers.HARDWARE,
    "anchor": layers.HARDWARE,
    "post": layers.POST,
    "spacer": layers.SPACER,
    "rail": layers.RAIL,
}
_WALL_SHOWN = 4.5  # as plotted: a wall beyond the edge
_STEP_ASIDE = 12.0  # as plotted: how much further off a string of dimensions tries next


def plan_view(assembly: Assembly, scale: Scale) -> View:
    """The plan at its true coordinates: x east, y north."""
    draft = Draft(scale)
    tapes = [tape(assembly, leg) for leg in assembly.legs]
    for kinds in (_BODIES, _GUARD):
        for kind, layer in kinds.items():
            for part in assembly.of_kind(kind):
                draft.draw(*picture(part, PLAN, layer))
    walls = [_wall(draft, tapes, part) for part in assembly.of_kind("wall")]
    for one in tapes:
        _lines(draft, one)
    sides = _strings(draft, assembly, tapes, walls)
    for one in tapes:
        _stair_way(draft, assembly, one)
    _post_marks(draft, assembly, tapes, sides)
    _angles(draft, tapes)
    for one in tapes:
        _inset(draft, assembly, one)
    for one, side in zip(tapes, sides, strict=True):
        _labels(draft, assembly, one, side)
    for wall in walls:
        _body_label(draft, wall, "WALL")
    for part in assembly.of_kind("deck", "floor"):
        _body_label(draft, silhouette(part, PLAN), part.item.upper())
    right = title(draft, "PLAN", ("THE GUARD LINE IS THE LINE OF POST CENTRES.",))
    north_and_scale(draft, right)
    return draft.view("plan", "PLAN")


def _wall(draft: Draft, tapes: Sequence[Tape], part: Part) -> Box:
    """A wall, drawn as far outward as the dimensions leave room; it goes on behind a break line."""
    seen = silhouette(part, PLAN)
    one = next(t for t in tapes if (t.leg.run, t.leg.number) == (part.run, part.leg))
    datum = _datum(one, 1)
    limit = draft.scale.plotted(_WALL_SHOWN)
    kept: list[Vec2] = []
    following = (*seen.corners[1:], seen.corners[0])
    for a, b in zip(seen.corners, following, strict=True):
        off_a, off_b = datum.measure(a)[1], datum.measure(b)[1]
        if off_a <= limit:
            kept.append(a)
        if (off_a <= limit) != (off_b <= limit):
            k = (limit - off_a) / (off_b - off_a)
            kept.append((a[0] + (b[0] - a[0]) * k, a[1] + (b[1] - a[1]) * k))
    for a, b in zip(kept, (*kept[1:], kept[0]), strict=True):
        if all(abs(datum.measure(point)[1] - limit) < 1e-6 for point in (a, b)):
            break_line(draft, a, b)
        else:
            draft.draw(Line(a, b, layers.WALL))
    return Box(tuple(kept))


def _flat(point: Sequence[float]) -> Vec2:
    return (point[0], point[1])


def _lines(draft: Draft, one: Tape) -> None:
    """The measured edge and the guard line."""
    leg = one.leg
    draft.draw(Line(_flat(leg.edge_start), _flat(leg.edge_end), layers.EDGE))
    draft.draw(Line(_flat(leg.guard_start), _flat(leg.guard_end), layers.CENTRE))


def _stair_way(draft: Draft, assembly: Assembly, one: Tape) -> None:
    """The nosings of a stair, and the arrow of the way over it."""
    treads = [part for part in _surfaces(assembly, one) if part.kind == "tread"]
    if not treads:
        return
    leg = one.leg
    down = heading(leg.bearing_deg if leg.pitch_deg < 0 else leg.bearing_deg + 180.0)
    for part in treads:
        draft.draw(Line(*_nosing(part, _flat(down)), layers.NOSING))
    stair_arrow(draft, treads, down, goes_down=leg.pitch_deg < 0)


def _surfaces(assembly: Assembly, one: Tape) -> list[Part]:
    return [assembly.by_mark[mark] for mark in one.leg.surfaces]


def _nosing(tread: Part, down: Vec2) -> tuple[Vec2, Vec2]:
    """The front edge of a tread: the two corners furthest down."""
    corners = silhouette(tread, PLAN).corners
    ordered = sorted(corners, key=lambda p: (round(-p[0] * down[0] - p[1] * down[1], 6), p))
    return ordered[0], ordered[1]


def _strings(
    draft: Draft, assembly: Assembly, tapes: list[Tape], taken: Sequence[Box]
) -> list[int]:
    """Dimensions along every edge. Returns for each leg 1 where they lie outward, else -1."""
    strips = [_strip(assembly, one) for one in tapes]
    for strip in strips:
        draft.keep_out(strip)
    sides: list[int] = []
    bands: list[Box] = []
    for k, one in enumerate(tapes):
        others = strips[:k] + strips[k + 1 :]
        side, base = _clear_band(draft.scale, assembly, one, [*taken, *others, *bands])
        bands.append(_band(draft.scale, one, side, base))
        _leg_strings(draft, assembly, one, side, base)
        sides.append(side)
    for band in bands:
        draft.keep_out(band)
    return sides


def _leg_strings(draft: Draft, assembly: Assembly, one: Tape, side: int, base: float) -> None:
    datum = _datum(one, side)
    foot = _object_edge(assembly, one, side)
    line = base + draft.scale.plotted(FIRST_LINE)
    for stations in (one.bays(), one.overall()):
        marks = [Mark(s, 0.0 if s in (0.0, one.length_mm) else foot) for s in stations]
        string(draft, datum, marks, line)
        line += draft.scale.plotted(NEXT_LINE)


def _datum(one: Tape, side: int) -> Datum:
    """Along the edge; `off` leads outward for side 1 and inward for -1."""
    inward = one.inward
    return Datum(
        _flat(one.leg.edge_start),
        _flat(one.travel),
        (-side * inward[0], -side * inward[1]),
    )


def _object_edge(assembly: Assembly, one: Tape, side: int) -> float:
    """How far off the edge the post's plate and the rail reach on that side."""
    system = assembly.job.system
    half = max(system.post.depth_mm, system.post.plate_mm, system.rail.width_mm) / 2
    return half - side * one.inset_mm


def _clear_band(
    scale: Scale, assembly: Assembly, one: Tape, taken: Sequence[Box]
) -> tuple[int, float]:
    """Side and distance of the first place beside a leg where nothing else is in the way."""
    inner = max(_object_edge(assembly, one, -1), *_surface_reach(assembly, one), 0.0)
    outer = max(_object_edge(assembly, one, 1), 0.0)
    offers = [
        (side, base + scale.plotted(_STEP_ASIDE) * step)
        for step in range(6)
        for side, base in ((1, outer), (-1, inner))
    ]
    for side, base in offers:
        band = _band(scale, one, side, base)
        if not any(band.touches(box) for box in taken):
            return side, base
    return offers[0]


def _surface_reach(assembly: Assembly, one: Tape) -> list[float]:
    """How far inward the treads of a stair reach; a level leg's dimensions may lie on its deck."""
    datum = _datum(one, -1)
    return [
        datum.measure(corner)[1]
        for part in _surfaces(assembly, one)
        if part.kind == "tread"
        for corner in silhouette(part, PLAN).corners
    ] or [0.0]


def _band(scale: Scale, one: Tape, side: int, base: float) -> Box:
    """The room that both lines of dimensions and their text take."""
    datum = _datum(one, side)
    low, high = base + scale.plotted(3.0), base + scale.plotted(FIRST_LINE + 2 * NEXT_LINE)
    start, end = min(one.overall()), max(one.overall())
    return Box(
        (datum.at(start, low), datum.at(end, low), datum.at(end, high), datum.at(start, high))
    )


def _strip(assembly: Assembly, one: Tape) -> Box:
    """The room of a leg's guard in plan."""
    parts = [assembly.by_mark[mark] for mark in (*one.leg.posts, *one.leg.rails)]
    return Box(hull(corner for part in parts for corner in silhouette(part, PLAN).corners))


def _angles(draft: Draft, tapes: list[Tape]) -> None:
    """The angle between the edges at every corner, on the side where it is less than 180."""
    for one, following in pairwise(tapes):
        a, b = one.leg, following.leg
        turn = (b.bearing_deg - a.bearing_deg + 180.0) % 360.0 - 180.0
        if a.run != b.run or abs(turn) < 1e-6:
            continue
        back, ahead = a.bearing_deg + 180.0, b.bearing_deg
        start, end = (ahead, back) if turn > 0 else (back, ahead)
        angle(draft, _flat(a.edge_end), start, end, (14.0, 18.0, 22.0, 27.0, 33.0, 40.0))


def _inset(draft: Draft, assembly: Assembly, one: Tape) -> None:
    """Edge to guard line, square to the edge, in the first bay that has room for it."""
    stations = sorted(station for _, station in one.posts)
    bays = list(pairwise(stations)) or [(stations[0], stations[0])]
    marks = [Mark(0.0, 0.0), Mark(one.inset_mm, 0.0)]
    beyond = _object_edge(assembly, one, -1) - one.inset_mm + draft.scale.plotted(1.2)
    places = []
    for a, b in bays:
        for part in (0.3, 0.5, 0.7, 0.15, 0.85):
            edge = _datum(one, -1).at(a + (b - a) * part)
            places.append(Datum(edge, _flat(one.inward), (-one.travel[0], -one.travel[1])))
    free = (datum for datum in places if room(draft, datum, marks, 0.0, beyond))
    string(draft, next(free, places[0]), marks, 0.0, beyond)


def _post_marks(draft: Draft, assembly: Assembly, tapes: list[Tape], sides: list[int]) -> None:
    done: set[str] = set()
    for one, side in zip(tapes, sides, strict=True):
        for mark, station in one.posts:
            if mark not in done:
                done.add(mark)
                foot = _flat(assembly.by_mark[mark].place.origin)
                draft.bubble(list(_mark_places(draft.scale, one, side, station)), mark, foot)


def _mark_places(scale: Scale, one: Tape, side: int, station: float) -> Iterator[Vec2]:
    """Round the post, the side away from the dimensions first, then further off."""
    base = _datum(one, -side)
    guard = one.inset_mm * side
    for reach in (9.0, 12.0, 16.0, 21.0, 27.0):
        for turn in (0.0, 35.0, -35.0, 60.0, -60.0, 180.0, 145.0, -145.0):
            along = scale.plotted(reach) * math.sin(math.radians(turn))
            off = scale.plotted(reach) * math.cos(math.radians(turn))
            yield base.at(station + along, guard + off)


def _labels(draft: Draft, assembly: Assembly, one: Tape, side: int) -> None:
    """Marks of the rail pieces, and the leg's name for its elevation."""
    scale = draft.scale
    for mark in one.leg.rails:
        corners = silhouette(assembly.by_mark[mark], PLAN).corners
        middle = sum(_datum(one, -1).measure(corner)[0] for corner in corners) / len(corners)
        draft.letter(_beside(scale, one, side, one.mid_bay(middle), mark, assembly))
    name = f"RUN {one.leg.run}, LEG {one.leg.number}"
    middle = one.mid_bay(sum(station for _, station in one.posts) / len(one.posts))
    draft.letter(_beside(scale, one, side, middle, name, assembly, start=9.0))


def _beside(
    scale: Scale,
    one: Tape,
    side: int,
    station: float,
    text: str,
    assembly: Assembly,
    start: float = 2.6,
) -> Iterator[Text]:
    """Places along a leg for a label that reads along it."""
    turn = readable(one.leg.bearing_deg)
    for way in (-side, side):
        datum = _datum(one, way)
        base = max(_object_edge(assembly, one, way), 0.0)
        for off in (start, start + 4.0, start + 8.0, start + 14.0, start + 22.0):
            for shift in (0.0, 8.0, -8.0, 16.0, -16.0, 26.0, -26.0, 40.0, -40.0):
                along = min(max(station + scale.plotted(shift), 0.0), one.length_mm)
                at = datum.at(along, base + scale.plotted(off))
                yield Text(at, text, scale.small, layers.SYMBOLS, turn_deg=turn)


def _body_label(draft: Draft, body: Box, text: str) -> None:
    """In a body along its longest side, where there is room; else it goes without."""
    count = len(body.corners)
    sides = list(zip(body.corners, (*body.corners[1:], body.corners[0]), strict=True))
    a, b = max(sides, key=lambda side: round(math.dist(*side), 6))
    reach = math.dist(a, b)
    way = ((b[0] - a[0]) / reach, (b[1] - a[1]) / reach)
    centre = (sum(x for x, _ in body.corners) / count, sum(y for _, y in body.corners) / count)
    turn = readable(math.degrees(math.atan2(way[1], way[0])))
    for part in (0.0, 0.2, -0.2, 0.35, -0.35):
        at = (centre[0] + way[0] * reach * part, centre[1] + way[1] * reach * part)
        width = text_width(text, draft.scale.small) + draft.scale.plotted(4.0)
        if draft.free(turned_box(at, width, 2.0 * draft.scale.small, turn)):
            draft.draw(Text(at, text, draft.scale.small, layers.TEXT, turn_deg=turn))
            return
