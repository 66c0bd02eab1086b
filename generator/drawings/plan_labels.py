"""Lettering and arrows of a plan: marks of posts and rails, legs, floors, ways up and down."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.drawings import layers
from generator.drawings.draft import Draft, readable
from generator.drawings.lettering import Box, text_width, turned_box
from generator.drawings.notes import slope_text
from generator.drawings.plan_bodies import Hiding
from generator.drawings.plan_strings import Band, PlanLeg, flat
from generator.drawings.project import PLAN, heights, silhouette
from generator.drawings.references import elevation_place
from generator.drawings.symbols import way_arrow
from generator.drawings.view import Line, Scale, Text
from generator.geometry import Vec2
from generator.parts.assembly import Assembly, Part
from generator.parts.shapes import Prism
from generator.units import format_length

_EXISTING = "EXIST."
_BELOW = " (BELOW)"
_TURNS = (0.0, 35.0, -35.0, 60.0, -60.0, 180.0, 145.0, -145.0, 85.0, -85.0, 115.0, -115.0)
_FALL = 14.0  # as plotted: half the arrow of a drained floor


def post_marks(
    draft: Draft, assembly: Assembly, legs: Sequence[PlanLeg], bands: Sequence[Band]
) -> None:
    """A bubble by every post; standing posts are crossed and say so."""
    done: set[str] = set()
    for leg, band in zip(legs, bands, strict=True):
        for mark, station in leg.tape.posts:
            if mark in done:
                continue
            done.add(mark)
            part = assembly.by_mark[mark]
            foot = flat(part.place.origin)
            draft.bubble(list(_mark_places(draft.scale, leg, band.side, station)), mark, foot)
            if part.kind == "column":
                _cross(draft, part)
                places = _mark_places(draft.scale, leg, band.side, station)
                draft.letter(
                    Text(at, _EXISTING, draft.scale.small, layers.SYMBOLS) for at in places
                )


def _cross(draft: Draft, part: Part) -> None:
    """Two diagonals through a standing post."""
    corners = silhouette(part, PLAN).corners
    if len(corners) == 4:
        for k in (0, 1):
            draft.draw(Line(corners[k], corners[k + 2], layers.COLUMN))


def _mark_places(scale: Scale, leg: PlanLeg, side: int, station: float) -> Iterator[Vec2]:
    """Round the post, the side away from the dimensions first, then further off."""
    base = leg.datum(-side)
    guard = leg.tape.inset_mm * side
    for reach in (9.0, 12.0, 16.0, 21.0, 27.0, 34.0):
        for turn in _TURNS:
            along = scale.plotted(reach) * math.sin(math.radians(turn))
            off = scale.plotted(reach) * math.cos(math.radians(turn))
            yield base.at(station + along, guard + off)


def leg_labels(
    draft: Draft, assembly: Assembly, hiding: Hiding, leg: PlanLeg, band: Band, *, refers: bool
) -> None:
    """Marks of the rail pieces and handrails, and the leg's name for its elevation."""
    one, scale = leg.tape, draft.scale
    handrails = [
        part.mark
        for part in assembly.of_kind("handrail")
        if (part.run, part.leg) == (one.leg.run, one.leg.number)
    ]
    for mark in one.leg.rails:
        corners = silhouette(assembly.by_mark[mark], PLAN).corners
        middle = sum(leg.datum(-1).measure(corner)[0] for corner in corners) / len(corners)
        draft.letter(_beside(scale, leg, band.side, one.mid_bay(middle), mark))
    if handrails:
        text = " TO ".join(dict.fromkeys((handrails[0], handrails[-1])))
        draft.letter(_beside(scale, leg, band.side, one.mid_bay(one.length_mm / 2), text))
    name = f"RUN {one.leg.run}, LEG {one.leg.number}"
    if refers:
        name += f" - {elevation_place(one.leg)}"
    middle = one.mid_bay(sum(station for _, station in one.posts) / len(one.posts))
    rails = [assembly.by_mark[mark] for mark in one.leg.rails]
    top = max((heights(part)[1] for part in rails), default=one.leg.edge_start[2])
    if hiding.hides(leg.datum(-1).at(middle, one.inset_mm), top):
        name += _BELOW
    # The name of a stair stands on its own treads, not on the flight beside it.
    away = 1 if one.leg.kind == "stair" and band.side < 0 else band.side
    draft.letter(_beside(scale, leg, away, middle, name, start=9.0))


def _beside(
    scale: Scale, leg: PlanLeg, side: int, station: float, text: str, start: float = 2.6
) -> Iterator[Text]:
    """Places along a leg for a label that reads along it."""
    turn = readable(leg.tape.leg.bearing_deg)
    for way in (-side, side):
        datum = leg.datum(way)
        base = max(leg.reach(way), 0.0)
        for off in (start, start + 4.0, start + 8.0, start + 14.0, start + 22.0):
            for shift in (0.0, 8.0, -8.0, 16.0, -16.0, 26.0, -26.0, 40.0, -40.0):
                along = min(max(station + scale.plotted(shift), 0.0), leg.tape.length_mm)
                at = datum.at(along, base + scale.plotted(off))
                yield Text(at, text, scale.small, layers.SYMBOLS, turn_deg=turn)


def ways(draft: Draft, legs: Sequence[PlanLeg]) -> None:
    """Arrows over stairs and ramps in the direction of travel, and down drained floors."""
    done: set[tuple[float, ...]] = set()
    for leg in legs:
        one = leg.tape.leg
        rise = one.edge_end[2] - one.edge_start[2]
        kinds = ("tread",) if one.kind == "stair" else ("deck",)
        bodies = [part for part in leg.surfaces if part.kind in kinds]
        if not bodies or abs(rise) < 1e-3:
            continue
        key = tuple(round(value) for value in silhouette(bodies[0], PLAN).bounds)
        if key in done:
            continue
        done.add(key)
        _way(draft, leg, bodies, rise)


def _way(draft: Draft, leg: PlanLeg, bodies: Sequence[Part], rise: float) -> None:
    """There is one riser more than there are treads."""
    travel = flat(leg.tape.travel)
    word = "UP" if rise > 0 else "DN"
    corners = [c for part in bodies for c in silhouette(part, PLAN).corners]
    if leg.tape.leg.kind == "stair":
        way_arrow(draft, corners, travel, f"{word} {len(bodies) + 1} R")
        return
    slope = slope_text(rise / leg.tape.length_mm)
    corners = list(silhouette(bodies[0], PLAN).corners)
    if leg.tape.leg.kind == "ramp":
        way_arrow(draft, corners, travel, f"RAMP {word} {slope}", beside=True)
        return
    downhill = travel if rise < 0 else (-travel[0], -travel[1])
    way_arrow(draft, corners, downhill, f"FALL {slope}", half=draft.scale.plotted(_FALL))


def floor_labels(draft: Draft, assembly: Assembly) -> None:
    """What floors are, once for all that lie level with each other in a run."""
    done: set[tuple[str, str, float]] = set()
    for part in assembly.of_kind("deck", "floor"):
        key = (part.run, part.item, round(heights(part)[1], 1))
        if part.item == "ramp" or key in done:
            continue
        name, level = part.item.upper(), _level(assembly, part)
        if any(body_label(draft, silhouette(part, PLAN), words) for words in (name + level, name)):
            done.add(key)


def _level(assembly: Assembly, part: Part) -> str:
    """How high a floor lies, if it lies level."""
    prism = part.shape
    assert isinstance(prism, Prism)
    way = part.place.vector((0.0, 0.0, 1.0))
    if abs(way[2]) < 1.0 - 1e-9 or abs(prism.end.slope_x) + abs(prism.end.slope_y) > 1e-9:
        return ""
    metric = assembly.job.metric
    top = heights(part)[1]
    return f" AT {format_length(top, metric)}" + (" mm" if metric else "")


def obstacle_labels(draft: Draft, assembly: Assembly) -> None:
    """What obstacles are called: in them where there is room, else beside them."""
    scale = draft.scale
    for part in assembly.of_kind("obstacle"):
        text, outline = part.item.upper(), silhouette(part, PLAN)
        half = text_width(text, scale.small) / 2
        x0, y0, x1, y1 = outline.bounds
        if x1 - x0 > 2 * half and body_label(draft, outline, text):
            continue
        middle, across = (x0 + x1) / 2, (y0 + y1) / 2
        places = []
        for off in (2.0, 5.0, 9.0, 14.0):
            gap = scale.plotted(off)
            places += [(x1 + gap + half, across), (x0 - gap - half, across)]
            places += [(middle, y1 + gap), (middle, y0 - gap)]
        draft.letter(Text(at, text, scale.small, layers.TEXT) for at in places)


def body_label(draft: Draft, body: Box, text: str) -> bool:
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
        if abs(reach * part) + width / 2 > reach / 2:
            break  # it would stand over the end of the body
        if draft.free(turned_box(at, width, 2.0 * draft.scale.small, turn)):
            draft.draw(Text(at, text, draft.scale.small, layers.TEXT, turn_deg=turn))
            return True
    return False
