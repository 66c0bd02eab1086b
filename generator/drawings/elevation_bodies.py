"""What stands behind or under the guard in an elevation: floors, treads, framing, walls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.flight import SHOWN, flight, shown
from generator.drawings.front import Front
from generator.drawings.lettering import Box, text_width
from generator.drawings.project import PLAN, clipped, covered, picture, silhouette, uncovered
from generator.drawings.symbols import break_line
from generator.drawings.view import Arc, Item, Line, Outline, Text
from generator.geometry import Vec2, dot
from generator.parts.assembly import Part, PostDetail, detail_of

_ON_CUT = 1e-6
_END_ON = 1e-6
_HEAD_MM = 60.0  # from the upper nosing to the rim under it, along and down
_NEAR_MM = 600.0  # off the edge: an obstacle that is shown with a leg


def bodies(draft: Draft, one: Front) -> None:
    """Floors, treads, framing and walls, cut off a little beyond the guard."""
    margin = draft.scale.plotted(SHOWN)
    low, high = shown(one, margin)
    fronts = outside(one)
    stair_parts = one.surfaces("tread")
    for part in one.surfaces("deck", "floor"):
        slab(draft, one.box(part).corners, (low, high), layers.OUTLINE, fronts)
    for part in (*stair_parts, *one.surfaces("riser")):
        for item in picture(part, one.plane, layers.STAIR):
            draw_behind(draft, item, fronts)
    _framing(draft, one, (low, high), fronts)
    _obstacles(draft, one, fronts)
    walls = one.surfaces("wall")
    if walls:
        floor = min(one.box(p).bounds[1] for p in (*one.surfaces("deck", "floor"), *stair_parts))
        top = max(one.box(part).bounds[3] for part in one.parts((*one.leg.rails, *one.leg.posts)))
        for part in walls:
            _wall(draft, one.box(part).bounds, floor - margin / 2, top + margin)


def outside(one: Front) -> list[Box]:
    """Posts and plates that stand before the floor's edge and hide it."""
    posts = [
        part
        for part in one.parts(one.leg.posts)
        if detail_of(part, PostDetail).mount == "fascia" and part.leg == one.leg.number
    ]
    marks = {part.mark for part in posts}
    plates = [part for part in one.fixed_on_posts("side-plate") if part.belongs_to in marks]
    return [one.box(part) for part in (*posts, *plates)]


def slab(
    draft: Draft,
    corners: Sequence[Vec2],
    limits: tuple[float, float],
    layer: str,
    fronts: Sequence[Box] = (),
) -> None:
    """A convex body from the side; where it goes on past a limit, a break line ends it."""
    low, high = limits
    left = clipped(corners, (1.0, 0.0), low)
    kept = clipped(left, (-1.0, 0.0), -high) if left else ()
    if not kept:
        return
    reach = min(x for x, _ in corners), max(x for x, _ in corners)
    for a, b in zip(kept, (*kept[1:], kept[0]), strict=True):
        cut = any(
            past and abs(a[0] - x) < _ON_CUT and abs(b[0] - x) < _ON_CUT
            for x, past in ((low, reach[0] < low), (high, reach[1] > high))
        )
        if cut:
            break_line(draft, *sorted((a, b)))
        else:
            draft.draw(*(Line(p, q, layer) for p, q in uncovered(a, b, fronts)))


def _obstacles(draft: Draft, one: Front, fronts: Sequence[Box]) -> None:
    """What stands on the shown part of the floor, behind the guard."""
    covers = [*fronts, *(one.box(part) for part in (*one.parts(one.leg.posts), *one.rails()))]
    for part in _near(draft, one):
        for item in picture(part, one.plane, layers.OBSTACLE):
            draw_behind(draft, item, covers)


def _near(draft: Draft, one: Front) -> Iterator[Part]:
    """Obstacles that are shown with the leg."""
    low, high = shown(one, draft.scale.plotted(SHOWN))
    start, inward = one.leg.edge_start, one.tape.inward
    for part in one.assembly.of_kind("obstacle"):
        x0, _, x1, _ = one.box(part).bounds
        offs = [
            (x - start[0]) * inward[0] + (y - start[1]) * inward[1]
            for x, y in silhouette(part, PLAN).corners
        ]
        if x1 > low and x0 < high and min(offs) < _NEAR_MM and max(offs) > -_NEAR_MM:
            yield part


def obstacle_names(draft: Draft, one: Front) -> None:
    """What obstacles are called, beside or over them."""
    scale = draft.scale
    for part in _near(draft, one):
        text = part.item.upper()
        x0, y0, x1, y1 = one.box(part).bounds
        half = text_width(text, scale.small) / 2 + scale.plotted(1.0)
        heights = [y0 + (y1 - y0) * k / 10 for k in (9, 7, 5, 3, 1)]
        places = [(x, y) for y in heights for x in (x1 + half, x0 - half)]
        places += [((x0 + x1) / 2, y1 + scale.plotted(2.5) * k) for k in range(1, 12)]
        draft.letter(Text(at, text, scale.small, layers.TEXT) for at in places)


def _framing(draft: Draft, one: Front, limits: tuple[float, float], fronts: Sequence[Box]) -> None:
    """Rims and stringers as they are seen; joists end-on and blocking in hidden lines."""
    travel, seen = one.tape.travel, set[tuple[float, ...]]()
    for part in one.own("rim"):
        if abs(dot(part.place.z, travel)) > 0.5 and _new(seen, one.box(part).corners):
            slab(draft, one.box(part).corners, limits, layers.BEAM, fronts)
    for part in _head(one):
        for item in picture(part, one.plane, layers.BEAM):
            if isinstance(item, Outline):
                draw_behind(draft, item, fronts)
    for part in one.own("stringer"):
        for item in picture(part, one.plane, layers.BEAM):
            if isinstance(item, Outline) and _new(seen, item.points):
                draw_behind(draft, item, fronts)
    joists = [part for part in one.own("joist") if abs(dot(part.place.z, travel)) < 1e-6]
    blocks = {part.mark: part for part in (*one.own("blocking"), *one.fixed_on_posts("blocking"))}
    for part in (*joists, *blocks.values()):
        _hidden(draft, one, part, limits, seen)


def _head(one: Front) -> Iterator[Part]:
    """Rims of the upper floor that a stair runs down from, seen end-on: its first riser."""
    if one.leg.kind != "stair":
        return
    upper, top = flight(one).upper
    marks = set()
    for part in one.assembly.of_kind("rim"):
        if part.run != one.leg.run or abs(dot(part.place.z, one.tape.travel)) > _END_ON:
            continue
        x0, _, x1, y1 = one.box(part).bounds
        if x0 - _HEAD_MM < upper < x1 + _HEAD_MM and top - 2 * _HEAD_MM < y1 < top + 1.0:
            key = tuple(round(value) for value in one.box(part).bounds)
            if key not in marks:
                marks.add(key)
                yield part


def _hidden(
    draft: Draft,
    one: Front,
    part: Part,
    limits: tuple[float, float],
    seen: set[tuple[float, ...]],
) -> None:
    low, high = limits
    x0, _, x1, _ = one.box(part).bounds
    if x0 < low or x1 > high:
        return
    for item in picture(part, one.plane, layers.BEAM_HIDDEN):
        if isinstance(item, Outline) and _new(seen, item.points):
            draft.draw(item)


def _new(seen: set[tuple[float, ...]], points: Iterable[Vec2]) -> bool:
    """Whether this outline is the first of its kind: boards behind one another are drawn once."""
    key = tuple(sorted(round(value, 3) for point in points for value in point))
    fresh = key not in seen
    seen.add(key)
    return fresh


def _wall(draft: Draft, bounds: tuple[float, float, float, float], low: float, high: float) -> None:
    x0, y0, x1, y1 = bounds
    bottom, top = max(y0, low), min(y1, high)
    for x in (x0, x1):
        draft.draw(Line((x, bottom), (x, top), layers.WALL))
        draft.keep_line((x, bottom), (x, top))
    for y in (bottom, top):
        break_line(draft, (x0, y), (x1, y))
    at = ((x0 + x1) / 2, (bottom + top) / 2)
    draft.draw(Text(at, "WALL", draft.scale.small, layers.TEXT, turn_deg=90.0))


def draw_behind(draft: Draft, item: Item, fronts: Sequence[Box]) -> None:
    """An outline or a circle, without what stands behind the areas in front of it."""
    if isinstance(item, Arc):
        (x, y), r = item.centre, item.radius
        square = Box(((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)))
        if not any(box.touches(square) for box in fronts):
            draft.draw(item)
        return
    if not isinstance(item, Outline):
        return
    near = [box for box in fronts if box.touches(Box(item.points))]
    if not near:
        draft.draw(item)
        return
    for a, b in item.sides:
        draft.draw(*(Line(p, q, item.layer) for p, q in uncovered(a, b, near)))


def half_hidden(draft: Draft, item: Outline, floor: float) -> None:
    """An outline in full lines over a floor, in hidden ones inside it."""
    xs, ys = [x for x, _ in item.points], [y for _, y in item.points]
    if min(ys) >= floor - _ON_CUT:
        draft.draw(item)
        return
    below = Box(
        (
            (min(xs) - 1.0, min(ys) - 1.0),
            (max(xs) + 1.0, min(ys) - 1.0),
            (max(xs) + 1.0, floor),
            (min(xs) - 1.0, floor),
        )
    )
    for a, b in item.sides:
        draft.draw(*(Line(p, q, item.layer) for p, q in uncovered(a, b, [below])))
        hidden = covered(a, b, below)
        if hidden:
            draft.draw(Line(*hidden, layers.HIDDEN))
