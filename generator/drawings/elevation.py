"""The unfolded elevation of one leg, seen from outside: what stands there, the guard, its marks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.front import Front, front
from generator.drawings.heights import height_strings, length_strings, run_ons
from generator.drawings.lettering import Box, text_width
from generator.drawings.notes import elevation_notes
from generator.drawings.project import covered, picture, uncovered
from generator.drawings.stair_front import nosing_foot, stair_measures
from generator.drawings.symbols import break_line, title
from generator.drawings.view import Line, Outline, Scale, Text, View
from generator.parts.assembly import Assembly, LegLine, Part, RailDetail, detail_of
from generator.parts.measure import cut_angles, rail_lengths
from generator.units import format_length

_MARGIN = 8.0  # as plotted: how much of a floor is shown beyond the guard
_LABEL_OFF = 0.9  # as plotted: rail to the label over it


def elevation_view(assembly: Assembly, leg: LegLine, scale: Scale) -> View:
    """One leg unfolded; x level from the start of its measured edge, y the world's height."""
    one = front(assembly, leg)
    draft = Draft(scale)
    _bodies(draft, one)
    _guard(draft, one)
    length_strings(draft, one)
    if one.leg.rails:
        height_strings(draft, one)
        _post_marks(draft, one)
        if leg.kind == "stair":
            stair_measures(draft, one)
        run_ons(draft, one)
        _rail_labels(draft, one)
    name = f"ELEVATION - RUN {leg.run}, LEG {leg.number}"
    title(draft, name, elevation_notes(one))
    return draft.view(f"{leg.run}-{leg.number}", name)


def _bodies(draft: Draft, one: Front) -> None:
    """Floors, treads and walls, cut off a little beyond the guard."""
    margin = draft.scale.plotted(_MARGIN)
    low, high = one.span((*one.parts(one.leg.posts), *one.rails(), *one.surfaces("tread")))
    if one.leg.kind == "stair":
        foot = nosing_foot(one)[0]  # the pitch is measured where the nosing line meets the floor
        low, high = min(low, foot), max(high, foot)
    low, high = low - margin, high + margin
    for part in one.surfaces("deck", "floor"):
        _slab(draft, one.box(part).bounds, low, high)
    for part in one.surfaces("tread"):
        draft.draw(*picture(part, one.plane, layers.STAIR))
    walls = one.surfaces("wall")
    if walls:
        floor = min(one.box(part).bounds[1] for part in one.surfaces("deck", "tread", "floor"))
        top = max(one.box(part).bounds[3] for part in one.parts((*one.leg.rails, *one.leg.posts)))
        for part in walls:
            _wall(draft, one.box(part).bounds, floor - margin / 2, top + margin)


def _slab(draft: Draft, bounds: tuple[float, float, float, float], low: float, high: float) -> None:
    """A flat body from the side; where it goes on, a break line stands for its end."""
    x0, y0, x1, y1 = bounds
    left, right = max(x0, low), min(x1, high)
    if left >= right:
        return
    for y in (y0, y1):
        draft.draw(Line((left, y), (right, y), layers.OUTLINE))
    for x, cut in ((left, x0 < low), (right, x1 > high)):
        if cut:
            break_line(draft, (x, y0), (x, y1))
        else:
            draft.draw(Line((x, y0), (x, y1), layers.OUTLINE))


def _wall(draft: Draft, bounds: tuple[float, float, float, float], low: float, high: float) -> None:
    x0, y0, x1, y1 = bounds
    bottom, top = max(y0, low), min(y1, high)
    for x in (x0, x1):
        draft.draw(Line((x, bottom), (x, top), layers.WALL))
    for y in (bottom, top):
        break_line(draft, (x0, y), (x1, y))
    at = ((x0 + x1) / 2, (bottom + top) / 2)
    draft.draw(Text(at, "WALL", draft.scale.small, layers.TEXT, turn_deg=90.0))


def _guard(draft: Draft, one: Front) -> None:
    posts = one.parts(one.leg.posts)
    for part in one.fixed_on_posts("base-plate", "bracket"):
        draft.draw(*picture(part, one.plane, layers.HARDWARE))
    for part in posts:
        draft.draw(*picture(part, one.plane, layers.POST))
    for part in one.rails():
        draft.draw(*picture(part, one.plane, layers.RAIL))
    for part in one.parts(one.leg.spacers):
        draft.draw(*picture(part, one.plane, layers.SPACER))
    _anchors(draft, one)
    fronts = [one.box(part) for part in posts]
    for part in one.own("fitting", "seat", "washer", "nut"):
        for item in picture(part, one.plane, layers.HARDWARE):
            _draw_behind(draft, item, fronts)
    _cables(draft, one, fronts)


def _draw_behind(draft: Draft, item: object, fronts: Sequence[Box]) -> None:
    """An outline, without what stands behind the posts."""
    if not isinstance(item, Outline):
        return
    near = [box for box in fronts if box.touches(Box(item.points))]
    if not near:
        draft.draw(item)
        return
    for a, b in zip(item.points, (*item.points[1:], item.points[0]), strict=True):
        draft.draw(*(Line(p, q, item.layer) for p, q in uncovered(a, b, near)))


def _anchors(draft: Draft, one: Front) -> None:
    """Heads in full lines, shanks inside the floor in hidden ones; those in line are drawn once."""
    seen: set[tuple[float, ...]] = set()
    for part in one.fixed_on_posts("anchor"):
        floor = one.post_base(part.belongs_to)
        for item in picture(part, one.plane, layers.HARDWARE):
            if not isinstance(item, Outline):
                continue
            key = tuple(round(value, 6) for point in item.points for value in point)
            if key in seen:
                continue
            seen.add(key)
            _half_hidden(draft, item, floor)


def _half_hidden(draft: Draft, item: Outline, floor: float) -> None:
    xs, ys = [x for x, _ in item.points], [y for _, y in item.points]
    below = Box(
        (
            (min(xs) - 1.0, min(ys) - 1.0),
            (max(xs) + 1.0, min(ys) - 1.0),
            (max(xs) + 1.0, floor),
            (min(xs) - 1.0, floor),
        )
    )
    if min(ys) >= floor:
        draft.draw(item)
        return
    for a, b in zip(item.points, (*item.points[1:], item.points[0]), strict=True):
        draft.draw(*(Line(p, q, item.layer) for p, q in uncovered(a, b, [below])))
        hidden = covered(a, b, below)
        if hidden:
            draft.draw(Line(*hidden, layers.HIDDEN))


def _cables(draft: Draft, one: Front, fronts: list[Box]) -> None:
    """Cables as single lines, broken behind posts, spacers and sleeves, and around their marks."""
    labels = _cable_labels(draft, one)
    spacers = [one.box(part) for part in one.parts(one.leg.spacers)]
    sleeves = [one.box(part) for part in one.own("fitting")]
    covers = [*fronts, *spacers, *sleeves, *labels]
    for part in one.parts(one.leg.cables):
        for item in picture(part, one.plane, layers.CABLE):
            assert isinstance(item, Line)
            pieces = uncovered(item.a, item.b, covers)
            draft.draw(*(Line(a, b, layers.CABLE) for a, b in pieces))


def _cable_labels(draft: Draft, one: Front) -> list[Box]:
    """Marks in the cables' own lines: all where there is room, or else lowest and highest."""
    lines = one.cable_lines()
    stops = sorted(
        [x for _, x in one.post_xs] + [one.x(station) for _, station in one.tape.spacers]
    )
    if not lines or len(stops) < 2:
        return []
    height, middle = draft.scale.small, (stops[0] + stops[1]) / 2
    apart = min(
        ((b.y - a.y) * one.cosine for (_, a), (_, b) in pairwise(lines)),
        default=math.inf,
    )
    shown = lines if apart > height * 1.25 else (lines[0], lines[-1])
    turn = math.degrees(math.atan(one.slope))
    widest = max(text_width(mark, height) for mark, _ in shown)
    if widest > (stops[1] - stops[0]) * 0.7:
        return []
    texts = [
        Text((middle, line.at(middle)), mark, height, layers.SYMBOLS, turn_deg=turn)
        for mark, line in dict(shown).items()
    ]
    draft.draw(*texts)
    return [text.box for text in texts]


def _post_marks(draft: Draft, one: Front) -> None:
    """A bubble over every post, on the post's axis."""
    top = one.rail_line(upper=True)
    pitched = one.leg.kind == "stair"
    lift = draft.scale.plotted(23.0 if pitched else 15.0) / one.cosine
    for mark, x in one.post_xs:
        radius = draft.bubble_radius(mark)
        centre = (x, top.at(x) + lift + radius)
        step = draft.scale.plotted(6.0)
        centre = draft.bubble([(x, centre[1] + step * k) for k in range(6)], mark)
        foot, head = (x, one.post_base(mark)), (x, centre[1] - radius)
        draft.draw(Line(foot, head, layers.CENTRE))
        draft.keep_line(foot, head)


def _rail_labels(draft: Draft, one: Front) -> None:
    """Mark and length over every piece, and how its ends are joined."""
    for part in one.rails():
        a, b = sorted((one.rail_end(part, at_end=False), one.rail_end(part, at_end=True)))
        middle = (a[0] + b[0]) / 2
        start, text = one.x(one.tape.mid_bay(middle * one.sense)), _rail_text(one, part)
        half = text_width(text, draft.scale.small) / 2 * one.cosine
        steps = range(1 + int((b[0] - a[0]) / draft.scale.plotted(4.0)))
        places = [start + draft.scale.plotted(4.0) * k * way for k in steps for way in (1, -1)]
        inside = [x for x in places if a[0] + half <= x <= b[0] - half]
        draft.letter(
            _over_rail(draft, one, x, words, draft.scale.small * 1.5 * tier)
            for words, tiers in ((text, 4), (part.mark, 20))
            for tier in range(tiers)
            for x in (inside if words == text else places)
        )
        detail = detail_of(part, RailDetail)
        for at_end, joined in ((False, detail.start_on), (True, detail.end_on)):
            text = _joint_text(part, joined, at_end=at_end)
            if text:
                x = one.rail_end(part, at_end=at_end)[0]
                inside = -1.0 if (x - middle) > 0 else 1.0
                draft.letter(_joint_places(draft, one, x, inside, text))


def _rail_text(one: Front, part: Part) -> str:
    long, short, _ = rail_lengths(part)
    metric = one.assembly.job.metric
    unit = " mm" if metric else ""
    point = " LP" if long - short > 0.01 else ""
    return f"{part.mark} = {format_length(long, metric)}{unit}{point}"


def _joint_text(part: Part, joined: str, *, at_end: bool) -> str:
    """What is done at one end of a piece; plain square ends need no word."""
    if joined == "joint on post":
        return "RAIL JOINT" if at_end else ""
    miter, bevel = cut_angles(part, "end" if at_end else "start")
    words = [
        f"{name} {abs(value):.2f}".rstrip("0").rstrip(".") + "\u00b0"
        for name, value in (("MITER", miter), ("BEVEL", bevel))
        if abs(value) > 0.005
    ]
    return ", ".join(words)


def _over_rail(draft: Draft, one: Front, x: float, text: str, lift: float = 0.0) -> Text:
    scale = draft.scale
    top = one.rail_line(upper=True)
    off = scale.plotted(_LABEL_OFF) + scale.small / 2 + lift
    turn = math.degrees(math.atan(one.slope))
    at = (x - off * one.slope * one.cosine, top.at(x) + off * one.cosine)
    return Text(at, text, scale.small, layers.SYMBOLS, turn_deg=turn)


def _joint_places(draft: Draft, one: Front, x: float, inside: float, text: str) -> Iterator[Text]:
    reach = text_width(text, draft.scale.small) / 2 + draft.scale.plotted(2.0)
    for lift in (0.0, draft.scale.small * 1.5, draft.scale.small * 3.0):
        for way in (inside, -inside):
            yield _over_rail(draft, one, x + way * reach * one.cosine, text, lift)
