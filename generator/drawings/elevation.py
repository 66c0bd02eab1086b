"""The unfolded elevation of one leg, seen from outside: what stands there, the guard, its marks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.dimensions import reserve, string
from generator.drawings.draft import GUARD, Draft
from generator.drawings.elevation_bodies import (
    bodies,
    draw_behind,
    half_hidden,
    obstacle_names,
    slab,
)
from generator.drawings.flight import SHOWN, shown
from generator.drawings.front import Front, Strand, front
from generator.drawings.heights import height_measures, length_strings, plumb_drops, run_ons
from generator.drawings.lettering import Box, text_width
from generator.drawings.notes import elevation_notes
from generator.drawings.project import picture, uncovered
from generator.drawings.rail_labels import rail_labels
from generator.drawings.stair_front import stair_lengths, stair_lines, stair_measures
from generator.drawings.symbols import break_line, title
from generator.drawings.view import Arc, Line, Outline, Scale, Text, View
from generator.geometry import dot
from generator.parts.assembly import Assembly, LegLine, Part, PostDetail, detail_of

_EXISTING = "EXIST."


def elevation_view(assembly: Assembly, leg: LegLine, scale: Scale) -> View:
    """One leg unfolded; x level from the start of its measured edge, y the world's height."""
    one = front(assembly, leg)
    draft = Draft(scale)
    bodies(draft, one)
    guard(draft, one)
    heights = height_measures(draft, one) if leg.rails else []
    on_stair = leg.kind == "stair" and leg.rails
    reserve(draft, [*heights, *(stair_lengths(draft, one) if on_stair else ())])
    if on_stair:
        stair_lines(draft, one)
    length_strings(draft, one)
    if one.leg.rails:
        for part in (*one.rails(), *one.parts(leg.posts)):
            draft.keep_out(one.box(part), GUARD)
        for measure in heights:
            string(draft, *measure)
        post_marks(draft, one)
        if leg.kind == "stair":
            stair_measures(draft, one)
        run_ons(draft, one)
        plumb_drops(draft, one)
        rail_labels(draft, one)
        obstacle_names(draft, one)
    name = f"ELEVATION - RUN {leg.run}, LEG {leg.number}"
    title(draft, name, elevation_notes(one))
    draft.break_around_text()
    return draft.view(f"{leg.run}-{leg.number}", name)


def guard(draft: Draft, one: Front) -> None:
    """Posts, rails, cables and what holds them."""
    posts = one.parts(one.leg.posts)
    fronts = [one.box(part) for part in posts]
    for part in one.fixed_on_posts("base-plate", "bracket"):
        draft.draw(*picture(part, one.plane, layers.HARDWARE))
    for part in one.fixed_on_posts("side-plate", "stand-off"):
        for item in picture(part, one.plane, layers.HARDWARE):
            draw_behind(draft, item, fronts)
    for part in posts:
        _post(draft, one, part)
    _rails(draft, one)
    for part in one.parts(one.leg.spacers):
        draft.draw(*picture(part, one.plane, layers.SPACER))
    _anchors(draft, one, fronts)
    for part in one.cable_hardware():
        for item in picture(part, one.plane, layers.HARDWARE):
            draw_behind(draft, item, fronts)
    _cables(draft, one, fronts)
    _handrail(draft, one, fronts)


def _post(draft: Draft, one: Front, part: Part) -> None:
    """A tube, dashed where it is cast into the floor; a standing post is cut off at its top."""
    mount = detail_of(part, PostDetail).mount
    for item in picture(part, one.plane, layers.COLUMN if mount == "existing" else layers.POST):
        if not isinstance(item, Outline):
            draft.draw(item)
        elif mount == "existing":
            _column(draft, item)
        elif mount == "core":
            half_hidden(draft, item, one.floor(part.mark))
        else:
            draft.draw(item)


def _column(draft: Draft, item: Outline) -> None:
    xs, ys = [x for x, _ in item.points], [y for _, y in item.points]
    (x0, x1), (y0, y1) = (min(xs), max(xs)), (min(ys), max(ys))
    draft.draw(Outline(((x0, y1), (x0, y0), (x1, y0), (x1, y1)), item.layer, closed=False))
    break_line(draft, (x0, y1), (x1, y1))


def _rails(draft: Draft, one: Front) -> None:
    """The leg's rails, what is inside their joints, and the ends of rails that go on in line."""
    for part in one.rails():
        draft.draw(*picture(part, one.plane, layers.RAIL))
    for part in one.own("sleeve", "connector"):
        draft.draw(*picture(part, one.plane, layers.HIDDEN))
    limits = shown(one, draft.scale.plotted(SHOWN))
    for leg in one.in_line:
        for part in one.parts(leg.rails):
            slab(draft, one.box(part).corners, limits, layers.RAIL)
            draft.keep_out(one.box(part), GUARD)


def _handrail(draft: Draft, one: Front, fronts: Sequence[Box]) -> None:
    """The handrail stands behind the guard, so that posts and rails hide it."""
    covers = [*fronts, *(one.box(part) for part in one.rails())]
    for part in one.own("handrail"):
        for item in picture(part, one.plane, layers.HANDRAIL):
            draw_behind(draft, item, covers)
    for part in one.own("handrail-bracket"):
        for item in picture(part, one.plane, layers.HANDRAIL):
            if isinstance(item, Line):
                pieces = uncovered(item.a, item.b, covers)
                draft.draw(*(Line(a, b, item.layer) for a, b in pieces))


def _anchors(draft: Draft, one: Front, fronts: Sequence[Box]) -> None:
    """Heads in full lines, shanks inside the floor in hidden ones; those in line are drawn once."""
    seen: set[tuple[float, ...]] = set()
    for part in one.fixed_on_posts("anchor"):
        floor = one.floor(part.belongs_to)
        upright = abs(part.place.z[2]) > 0.5
        for item in picture(part, one.plane, layers.HARDWARE):
            if isinstance(item, Arc):
                key = (round(item.radius, 6), *(round(value, 6) for value in item.centre))
            elif isinstance(item, Outline):
                key = tuple(round(value, 6) for point in item.points for value in point)
            else:
                continue
            if key in seen:
                continue
            seen.add(key)
            if isinstance(item, Outline) and upright:
                half_hidden(draft, item, floor)
            elif isinstance(item, Outline) and abs(dot(part.place.z, one.tape.travel)) > 0.5:
                draft.draw(Outline(item.points, layers.HIDDEN))
            else:
                draw_behind(draft, item, fronts)


def _cables(draft: Draft, one: Front, fronts: list[Box]) -> None:
    """Cables as single lines, broken behind posts, spacers and sleeves, and around their marks."""
    labels = [box for group in one.strands for box in _cable_labels(draft, one, group)]
    spacers = [one.box(part) for part in one.parts(one.leg.spacers)]
    sleeves = [one.box(part) for part in one.cable_hardware() if part.kind == "fitting"]
    covers = [*fronts, *spacers, *sleeves, *labels]
    for group in one.strands:
        for strand in group:
            a, b = ((x, strand.line.at(x)) for x in (strand.left, strand.right))
            near = [box for box in covers if _meets(box, strand)]
            draft.draw(*(Line(p, q, layers.CABLE) for p, q in uncovered(a, b, near)))


def _meets(box: Box, strand: Strand) -> bool:
    x0, y0, x1, y1 = box.bounds
    ys = strand.line.at(strand.left), strand.line.at(strand.right)
    return x0 <= strand.right and x1 >= strand.left and y0 <= max(ys) and y1 >= min(ys)


def _cable_labels(draft: Draft, one: Front, group: Sequence[Strand]) -> list[Box]:
    """Marks in the cables' own lines: all where there is room, or else lowest and highest.

    They stand in the first bay or span of the group that is wide enough, none on a rail.
    """
    low, high = group[0].left, group[0].right
    xs = [*(x for _, x in one.post_xs), *(one.x(station) for _, station in one.tape.spacers)]
    stops = [low, *sorted(x for x in xs if low < x < high), high]
    height = draft.scale.small
    apart = min(
        ((b.line.y - a.line.y) * a.line.cosine for a, b in pairwise(group)),
        default=math.inf,
    )
    shown_ = group if apart > height * 1.25 else (group[0], group[-1])
    widest = max(text_width(strand.mark, height) for strand in shown_)
    wide = (pair for pair in pairwise(stops) if widest <= (pair[1] - pair[0]) * 0.7)
    bay = next(wide, None)
    if bay is None:
        return []
    middle = sum(bay) / 2
    texts = [
        Text(
            (middle, strand.line.at(middle)),
            strand.mark,
            height,
            layers.SYMBOLS,
            turn_deg=math.degrees(math.atan(strand.line.rise)),
        )
        for strand in dict.fromkeys(shown_)
    ]
    rails = [one.box(part) for part in one.rails()]
    texts = [
        text
        for text in texts
        if draft.free(text.box) and not any(text.box.touches(rail) for rail in rails)
    ]
    draft.draw(*texts)
    return [text.box for text in texts]


def post_marks(draft: Draft, one: Front) -> None:
    """A bubble over every post, on the post's axis; standing posts say so."""
    top = one.main_rail.top
    pitched = one.leg.kind == "stair"
    lift = draft.scale.plotted(23.0 if pitched else 15.0) / top.cosine
    step = draft.scale.plotted(6.0)
    for mark, x in one.post_xs:
        radius = draft.bubble_radius(mark)
        part = one.assembly.by_mark[mark]
        standing = detail_of(part, PostDetail).mount == "existing"
        over = max(top.at(x) + lift, one.top(part) + draft.scale.plotted(3.0) * standing)
        centre = draft.bubble([(x, over + radius + step * k) for k in range(6)], mark)
        foot, head = (x, one.foot(mark)), (x, centre[1] - radius)
        draft.draw(Line(foot, head, layers.CENTRE))
        draft.keep_line(foot, head)
        if standing:
            _existing(draft, centre, radius)


def _existing(draft: Draft, centre: tuple[float, float], radius: float) -> None:
    """The word beside a standing post's bubble."""
    scale = draft.scale
    reach = radius + scale.plotted(1.0) + text_width(_EXISTING, scale.small) / 2
    places = [(side * reach, scale.plotted(lift)) for lift in (0.0, 4.0, -4.0) for side in (1, -1)]
    draft.letter(
        Text((centre[0] + dx, centre[1] + dy), _EXISTING, scale.small, layers.SYMBOLS)
        for dx, dy in places
    )
