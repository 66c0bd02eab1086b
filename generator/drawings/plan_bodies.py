"""What stands in a plan: floors, stairs, framing, walls, and what a higher floor hides."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.lettering import Box, turned_box
from generator.drawings.project import PLAN, heights, picture, silhouette, uncovered
from generator.drawings.symbols import break_line
from generator.drawings.tape import Tape
from generator.drawings.view import Arc, Item, Line, Outline
from generator.frozen import dataclass
from generator.geometry import Vec2, dot, heading, sub
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Prism, Route

_FLOORS: tuple[Kind, ...] = ("deck", "floor", "tread")
_FRAMING: tuple[Kind, ...] = ("joist", "rim", "stringer", "blocking")
_EPS_MM = 1e-3
# A tread under the nosing above it is left out; what lies deeper is shown dashed.
_STOREY_MM = 1000.0


@dataclass(frozen=True, slots=True)
class Cover:
    """A floor or tread that hides what lies under it: its plan and its lowest point."""

    mark: str
    box: Box
    low: float


class Hiding:
    """Draws parts of a plan with what higher floors hide of them in dashed lines."""

    def __init__(self, draft: Draft, assembly: Assembly) -> None:
        self.draft = draft
        floors = [(part, heights(part)[0]) for part in assembly.of_kind(*_FLOORS)]
        covers = [Cover(part.mark, silhouette(part, PLAN), low) for part, low in floors]
        self._covers = sorted(covers, key=lambda cover: -cover.low)

    def over(self, top: float, mark: str = "") -> list[Cover]:
        """Floors all of which lie higher than `top`."""
        found = []
        for cover in self._covers:
            if cover.low < top - _EPS_MM:
                break
            if cover.mark != mark:
                found.append(cover)
        return found

    def part(self, part: Part, layer: str, *, dashed: bool = True) -> None:
        """A part as seen from above; with `dashed` False what is hidden of it is left out."""
        over = self.over(heights(part)[1], part.mark)
        for item in picture(part, PLAN, layer):
            self.item(item, over, heights(part)[1], dashed=dashed)

    def item(self, item: Item, over: Sequence[Cover], top: float, *, dashed: bool = True) -> None:
        near = [cover for cover in over if cover.box.touches(_room(item))]
        if not near:
            self.draft.draw(item)
            return
        if isinstance(item, Arc):
            return
        sides = [(item.a, item.b)] if isinstance(item, Line) else []
        if isinstance(item, Outline):
            sides = list(item.sides)
        for a, b in sides:
            self._side(a, b, getattr(item, "layer", layers.OUTLINE), near, top, dashed=dashed)

    def _side(
        self, a: Vec2, b: Vec2, layer: str, near: Sequence[Cover], top: float, *, dashed: bool
    ) -> None:
        pieces = uncovered(a, b, [cover.box for cover in near])
        self.draft.draw(*(Line(p, q, layer) for p, q in pieces))
        if not dashed:
            return
        # What just the nosing above hides is left out, whatever lies over that.
        close = [cover.box for cover in near if cover.low - top < _STOREY_MM]
        for p, q in _covered_parts(a, b, pieces):
            self.draft.draw(*(Line(s, e, layers.BELOW) for s, e in uncovered(p, q, close)))

    def hides(self, point: Vec2, top: float) -> bool:
        """Whether a floor at least a storey higher lies over a point."""
        spot = turned_box(point, 2.0, 2.0, 0.0)
        return any(cover.box.touches(spot) for cover in self.over(top + _STOREY_MM))


def _room(item: Item) -> Box:
    if isinstance(item, Line):
        return Box((item.a, item.b, item.a))
    if isinstance(item, Arc):
        return turned_box(item.centre, 2 * item.radius, 2 * item.radius, 0.0)
    assert isinstance(item, Outline)
    return Box(item.points)


def _covered_parts(
    a: Vec2, b: Vec2, pieces: Sequence[tuple[Vec2, Vec2]]
) -> Iterator[tuple[Vec2, Vec2]]:
    """What is left of a line between pieces of it, which lie in its order."""
    at = a
    for p, q in [*pieces, (b, b)]:
        if math.dist(at, p) > _EPS_MM:
            yield at, p
        at = q


def plan_floors(hiding: Hiding, assembly: Assembly, tapes: Sequence[Tape]) -> None:
    """Decks without their seams, treads and floors, framing under them."""
    tape_of = {(one.leg.run, one.leg.number): one for one in tapes}
    decks = list(assembly.of_kind("deck", "floor"))
    for part in decks:
        _deck(hiding, part, decks, tape_of[part.run, part.leg])
    for part in once(assembly.of_kind("tread")):
        hiding.part(part, layers.STAIR)
    for part in assembly.of_kind(*_FRAMING):
        hiding.draft.draw(*picture(part, PLAN, layers.BEAM_HIDDEN))


def once(parts: Iterable[Part]) -> Iterator[Part]:
    """Parts without those that lie where one before them lies.

    A stair with a guard on both sides is in the table twice.
    """
    seen: set[tuple[float, ...]] = set()
    for part in parts:
        key = tuple(round(v, 1) for v in (*silhouette(part, PLAN).bounds, *heights(part)))
        if key not in seen:
            yield part
        seen.add(key)


def _deck(hiding: Hiding, part: Part, decks: Sequence[Part], one: Tape) -> None:
    """The outline of a deck: no line where another goes on level with it, breaks where it does."""
    assert isinstance(part.shape, Prism)
    top = part.shape.end
    corners = [(x, y, top.at(x, y)) for x, y in part.shape.section.outer.corners]
    world = [part.place.point(corner) for corner in corners]
    seams = [seam for other in decks if other is not part for seam in _seams(part, other)]
    high = max(z for _, _, z in world)
    over = hiding.over(high, part.mark)
    for a, b in zip(world, (*world[1:], world[0]), strict=True):
        p, q = (a[0], a[1]), (b[0], b[1])
        if _goes_on(part, one, p, q):
            if not any(cover.box.touches(Box((p, q, p))) for cover in over):
                break_line(hiding.draft, p, q)
            continue
        for s, e in uncovered(p, q, seams):
            hiding.item(Line(s, e, layers.OUTLINE), over, high)


def _seams(part: Part, other: Part) -> Iterator[Box]:
    """Sides of another deck that lies in one plane with this one, as thin strips."""
    if not _one_plane(part, other):
        return
    corners = silhouette(other, PLAN).corners
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield _strip(a, b)


def _strip(a: Vec2, b: Vec2) -> Box:
    length = math.dist(a, b) or 1.0
    dx, dy = (b[1] - a[1]) / length * 0.5, (a[0] - b[0]) / length * 0.5
    return Box(
        (
            (a[0] + dx, a[1] + dy),
            (b[0] + dx, b[1] + dy),
            (b[0] - dx, b[1] - dy),
            (a[0] - dx, a[1] - dy),
        )
    )


def _one_plane(part: Part, other: Part) -> bool:
    """Whether the upper faces of two decks are one."""
    first, second = _face(part), _face(other)
    return all(abs(a - b) < 1e-6 for a, b in zip(first[:2], second[:2], strict=True)) and (
        abs(first[2] - second[2]) < 0.1
    )


def _face(part: Part) -> tuple[float, float, float]:
    """Rise of a deck's upper face to the east and the north, and its height over 0, 0."""
    assert isinstance(part.shape, Prism)
    end, place = part.shape.end, part.place
    x, y, _ = place.vector((end.slope_x, end.slope_y, 0.0))
    origin = place.point((0.0, 0.0, end.at(0.0, 0.0)))
    return x, y, origin[2] - x * origin[0] - y * origin[1]


def _goes_on(part: Part, one: Tape, a: Vec2, b: Vec2) -> bool:
    """Whether a side is only the limit of what is shown: the floor goes on there."""
    start = one.leg.edge_start
    stations, offs = zip(
        *(
            (dot(away, one.travel), dot(away, one.inward))
            for away in (sub((x, y, 0.0), (start[0], start[1], 0.0)) for x, y in (a, b))
        ),
        strict=True,
    )
    if one.leg.kind != "stair":
        return min(offs) > 1.0 and abs(offs[0] - offs[1]) < 1.0
    # Behind the head or beyond the foot of a stair: the side furthest from its treads.
    corners = silhouette(part, PLAN).corners
    reach = [dot(sub((x, y, 0.0), (start[0], start[1], 0.0)), one.travel) for x, y in corners]
    middle = one.length_mm / 2
    furthest = max(reach, key=lambda station: abs(station - middle))
    return all(abs(station - furthest) < 1.0 for station in stations)


def wall_box(draft: Draft, part: Part, one: Tape, shown: float) -> Box:
    """Draws a wall as far outward as the dimensions leave room; it goes on behind a break line."""
    seen = silhouette(part, PLAN)
    start, inward = one.leg.edge_start, one.inward

    def off(point: Vec2) -> float:
        return -((point[0] - start[0]) * inward[0] + (point[1] - start[1]) * inward[1])

    kept: list[Vec2] = []
    following = (*seen.corners[1:], seen.corners[0])
    for a, b in zip(seen.corners, following, strict=True):
        off_a, off_b = off(a), off(b)
        if off_a <= shown:
            kept.append(a)
        if (off_a <= shown) != (off_b <= shown):
            k = (shown - off_a) / (off_b - off_a)
            kept.append((a[0] + (b[0] - a[0]) * k, a[1] + (b[1] - a[1]) * k))
    for a, b in zip(kept, (*kept[1:], kept[0]), strict=True):
        if all(abs(off(point) - shown) < 1e-6 for point in (a, b)):
            break_line(draft, a, b)
        else:
            draft.draw(Line(a, b, layers.WALL))
    return Box(tuple(kept))


def nosings(hiding: Hiding, assembly: Assembly, tapes: Sequence[Tape]) -> None:
    """The front edge of every tread."""
    legs = {(one.leg.run, one.leg.number): one.leg for one in tapes}
    for part in once(assembly.of_kind("tread")):
        leg = legs[part.run, part.leg]
        way = heading(leg.bearing_deg if leg.pitch_deg < 0 else leg.bearing_deg + 180.0)
        corners = silhouette(part, PLAN).corners
        ordered = sorted(corners, key=lambda p: (round(-p[0] * way[0] - p[1] * way[1], 6), p))
        a, b = ordered[0], ordered[1]
        top = heights(part)[1]
        hiding.item(Line(a, b, layers.NOSING), hiding.over(top, part.mark), top)


def lines_round_corners(assembly: Assembly, tapes: Sequence[Tape]) -> Iterator[Line]:
    """Where cables leave the guard line from one leg to the next, each way once."""
    seen: set[tuple[float, ...]] = set()
    on_line = [(one.leg.edge_start, one.inward, one.inset_mm) for one in tapes]
    for part in assembly.of_kind("cable"):
        if isinstance(part.shape, Route) and len(part.shape.points) == 2:
            continue
        for item in picture(part, PLAN, layers.CABLE):
            assert isinstance(item, Line)
            if any(_along(item, *line) for line in on_line):
                continue
            key = tuple(round(value, 3) for value in (*item.a, *item.b))
            if key not in seen:
                seen.add(key)
                yield item


def _along(line: Line, start: Sequence[float], inward: Sequence[float], inset: float) -> bool:
    offs = [
        (x - start[0]) * inward[0] + (y - start[1]) * inward[1] - inset for x, y in (line.a, line.b)
    ]
    return all(abs(off) < 1.0 for off in offs)
