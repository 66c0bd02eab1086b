"""One leg as the checks see it: its parts measured in the upright plane of its cables.

Coordinates in that plane are (s, z): s along the leg from the start of its edge, z the world
height. Everything is read from shapes and places of parts; none of the layout's formulas is used.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, along, dot, heading, left_of, sub
from generator.parts.assembly import Assembly, CableDetail, LegLine, Part
from generator.parts.shapes import Polygon, Prism, Rectangle, Route

_JUST_INSIDE_MM = 1e-3
# A stretch of cable as near to the plane as this lies in it; the next leg's turns away from it.
_IN_PLANE_MM = 1e-3
# A drop piece of rail stands over one s and has no top line along the leg.
_ALMOST_PLUMB = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line over s: z at s = 0, its slope, and where it begins and ends."""

    z_mm: float
    slope: float
    start_mm: float
    end_mm: float

    def at(self, s_mm: float) -> float:
        return self.z_mm + self.slope * s_mm

    @property
    def cosine(self) -> float:
        return 1.0 / math.hypot(1.0, self.slope)


@dataclass(frozen=True, slots=True)
class CableLine:
    """A cable's axis in its leg's plane. Cables held at the same posts make one `group`."""

    mark: str
    row: int
    group: tuple[str, ...]
    radius_mm: float
    axis: Line


@dataclass(frozen=True, slots=True)
class RailLine:
    """The top and underside of a rail piece."""

    mark: str
    top: Line
    underside: Line


@dataclass(frozen=True, slots=True)
class Surface:
    """A floor, tread or deck cut by the leg's plane; `top_mm` and `bottom_mm` are at its start.

    Its walking surface is its top, sloped by `slope` along s.
    """

    mark: str
    kind: str
    start_mm: float
    end_mm: float
    bottom_mm: float
    top_mm: float
    slope: float = 0.0

    def top_at(self, s_mm: float) -> float:
        return self.top_mm + self.slope * (s_mm - self.start_mm)

    @property
    def corners(self) -> tuple[Vec2, ...]:
        """Counter-clockwise in (s, z)."""
        a, b, low, high = self.start_mm, self.end_mm, self.bottom_mm, self.top_mm
        rise = self.slope * (b - a)
        return ((a, low), (b, low + rise), (b, high + rise), (a, high))


@dataclass(frozen=True, slots=True)
class Stand:
    """A post as it stands: s of its axis, the underside of its base, half its width along s."""

    mark: str
    s_mm: float
    base_mm: float
    half_mm: float
    plate_half_mm: float


class LegView:
    """The parts of one leg, measured."""

    def __init__(self, assembly: Assembly, leg: LegLine, plates: dict[str, Part]) -> None:
        self.assembly = assembly
        self.leg = leg
        self._travel = heading(leg.bearing_deg)
        self._left = left_of(leg.bearing_deg)
        marks = assembly.by_mark
        self.posts = [self._stand(marks[mark], plates.get(mark)) for mark in leg.posts]
        self.cables = [self._cable(marks[mark]) for mark in leg.cables]
        self.rails = [
            self._rail(part)
            for mark in leg.rails
            if abs((part := marks[mark]).place.z[2]) < _ALMOST_PLUMB
        ]
        self.spacers = [self.station(marks[mark]) for mark in leg.spacers]
        self.surfaces: list[Surface] = []
        # Posts outside the edge hang over nothing: what they guard begins at the edge.
        side = 1.0 if leg.deck == "left" else -1.0
        inward = self._aside(leg.guard_start) * side
        self._ground = side * max(inward, _JUST_INSIDE_MM)
        self.outside_mm = max(-inward, 0.0)

    def add_surfaces(self, parts: Iterable[Part]) -> None:
        """Takes those bodies that the plane of the posts cuts, in order of s."""
        found = (self._surface(part) for part in parts)
        self.surfaces = sorted(
            (surface for surface in found if surface), key=lambda surface: surface.start_mm
        )

    def panels(self) -> list[list[CableLine]]:
        """Cables by group, each from the bottom up: what lies over one another."""
        groups: dict[tuple[str, ...], list[CableLine]] = {}
        for cable in self.cables:
            groups.setdefault(cable.group, []).append(cable)
        return [sorted(group, key=lambda c: c.axis.z_mm) for group in groups.values()]

    def lowest_at(self, s_mm: float) -> CableLine:
        """The lowest cable at s, or the one that ends nearest to it."""

        def away(cable: CableLine) -> float:
            return max(cable.axis.start_mm - s_mm, s_mm - cable.axis.end_mm, 0.0)

        return min(self.cables, key=lambda c: (round(away(c), 6), c.axis.at(s_mm)))

    @property
    def down(self) -> float:
        """1 where a stair leg goes down along the travel, -1 where it climbs."""
        return 1.0 if self.leg.pitch_deg < 0 else -1.0

    def station(self, part: Part) -> float:
        return self.station_at(part.place.origin)

    def station_at(self, point: Vec3) -> float:
        return dot(sub(point, self.leg.edge_start), self._travel)

    def floor_at(self, s_mm: float) -> float | None:
        """Highest walking surface at s, or None over open ground."""
        tops = [
            surface.top_at(s_mm)
            for surface in self.surfaces
            if surface.start_mm - 1e-6 <= s_mm <= surface.end_mm + 1e-6
        ]
        return max(tops, default=None)

    def rail_top_at(self, s_mm: float) -> float | None:
        tops = [
            rail.top.at(s_mm)
            for rail in self.rails
            if rail.top.start_mm - 1e-6 <= s_mm <= rail.top.end_mm + 1e-6
        ]
        return min(tops, default=None)

    def nosings(self) -> Iterator[tuple[Surface, float]]:
        """The upper floor and each tread of a stair with the s of its nosing, from the top down."""
        treads = [s for s in self.surfaces if s.kind == "tread"]
        treads.sort(key=lambda surface: -surface.top_mm)
        upper = self._upper_floor(treads)
        for step in [*upper, *treads]:
            yield step, self._nosing(step)

    def _nosing(self, step: Surface) -> float:
        return step.end_mm if self.down > 0 else step.start_mm

    def _upper_floor(self, treads: list[Surface]) -> list[Surface]:
        """Of the decks above the treads, the one whose edge is nearest to the first of them."""
        decks = [s for s in self.surfaces if s.kind == "deck"]
        if not treads:
            # A single step: the higher of the two floors.
            return sorted(decks, key=lambda deck: -deck.top_mm)[:1]
        first = treads[0]
        back = first.start_mm if self.down > 0 else first.end_mm
        above = [deck for deck in decks if deck.top_mm > first.top_mm + 1e-6]
        return sorted(above, key=lambda deck: abs(self._nosing(deck) - back))[:1]

    def _stand(self, post: Part, plate: Part | None) -> Stand:
        assert isinstance(post.shape, Prism)
        half = _half_width(post, self.leg)
        base = plate or post
        foot = post.place.origin[2] if base.kind == "side-plate" else base.place.origin[2]
        plate_half = _half_width(base, self.leg)
        return Stand(post.mark, self.station(post), foot, half, plate_half)

    def _cable(self, part: Part) -> CableLine:
        """The stretch of a cable that lies in this leg's plane; a cable may go on round corners."""
        shape, detail = part.shape, part.detail
        assert isinstance(shape, Route)
        assert isinstance(detail, CableDetail)
        points = [part.place.point(point) for point in shape.points]
        a, b = max(pairwise(points), key=lambda pair: self._lies_in(*pair))
        return CableLine(
            part.mark, detail.row, detail.posts, shape.diameter_mm / 2, self._line(a, b)
        )

    def _lies_in(self, a: Vec3, b: Vec3) -> float:
        """How much of a stretch of cable lies in the leg's plane, between its posts; 0 outside it.

        Several stretches of one cable lie in one plane where it goes on in line.
        """
        aside = self._aside(self.leg.guard_start)
        if max(abs(self._aside(a) - aside), abs(self._aside(b) - aside)) > _IN_PLANE_MM:
            return -1.0
        origin = self.leg.edge_start
        low, high = sorted(dot(sub(point, origin), self._travel) for point in (a, b))
        ends = sorted(
            dot(sub(point, origin), self._travel)
            for point in (self.leg.guard_start, self.leg.guard_end)
        )
        return min(high, ends[1]) - max(low, ends[0])

    def _aside(self, point: Vec3) -> float:
        return dot(sub(point, self.leg.edge_start), self._left)

    def _rail(self, part: Part) -> RailLine:
        shape = part.shape
        assert isinstance(shape, Prism)
        outline = shape.section.outer
        assert isinstance(outline, Rectangle)
        half = outline.depth_mm / 2

        def edge(y: float) -> Line:
            place = part.place
            return self._line(
                place.point((0.0, y, shape.start.at(0.0, y))),
                place.point((0.0, y, shape.end.at(0.0, y))),
            )

        return RailLine(part.mark, edge(half), edge(-half))

    def _line(self, a: tuple[float, float, float], b: tuple[float, float, float]) -> Line:
        origin = self.leg.edge_start
        s_a, s_b = dot(sub(a, origin), self._travel), dot(sub(b, origin), self._travel)
        slope = (b[2] - a[2]) / (s_b - s_a)
        return Line(a[2] - slope * s_a, slope, min(s_a, s_b), max(s_a, s_b))

    def _surface(self, part: Part) -> Surface | None:
        shape = part.shape
        assert isinstance(shape, Prism)
        outline = shape.section.outer
        assert isinstance(outline, Polygon)
        origin = self.leg.edge_start
        plan = []
        for x, y in outline.corners:
            point = sub(part.place.point((x, y, 0.0)), origin)
            plan.append((dot(point, self._travel), dot(point, self._left)))
        span = _cut(plan, self._ground)
        if span is None:
            return None
        # Bodies slope along their own leg; what matters here is the slope along this one.
        local = part.place.local_vector(self._travel)
        slope = shape.end.slope_x * local[0] + shape.end.slope_y * local[1]
        here = along(along(origin, self._travel, span[0]), self._left, self._ground)
        x, y, _ = part.place.local(here)
        base = part.place.origin[2] + shape.end.slope_x * x + shape.end.slope_y * y
        low, high = base + shape.start.z_mm, base + shape.end.z_mm
        return Surface(part.mark, part.kind, *span, low, high, slope)


def _half_width(part: Part, leg: LegLine) -> float:
    """Half the extent of an upright part along the leg."""
    shape = part.shape
    assert isinstance(shape, Prism)
    travel = heading(leg.bearing_deg)
    along = [dot(part.place.vector((x, y, 0.0)), travel) for x, y in shape.section.outer.corners]
    return (max(along) - min(along)) / 2


def _cut(plan: list[Vec2], aside: float) -> tuple[float, float] | None:
    """Where the line at `aside` to the left of the edge enters and leaves a convex plan."""
    found: list[float] = []
    for (s_a, n_a), (s_b, n_b) in zip(plan, plan[1:] + plan[:1], strict=True):
        low, high = min(n_a, n_b), max(n_a, n_b)
        if low - 1e-9 <= aside <= high + 1e-9:
            if high - low < 1e-9:
                found += [s_a, s_b]
            else:
                found.append(s_a + (s_b - s_a) * (aside - n_a) / (n_b - n_a))
    if not found or max(found) - min(found) < 1e-6:
        return None
    return min(found), max(found)


def leg_views(assembly: Assembly) -> list[LegView]:
    """A view of every leg, with the surfaces of its own and its neighbouring legs."""
    plates = {part.belongs_to: part for part in assembly.of_kind("base-plate", "side-plate")}
    by_leg: dict[tuple[str, int], list[Part]] = {}
    for part in assembly.of_kind("deck", "tread", "floor"):
        by_leg.setdefault((part.run, part.leg), []).append(part)
    views = []
    for leg in assembly.legs:
        view = LegView(assembly, leg, plates)
        near = (by_leg.get((leg.run, leg.number + k), []) for k in (-1, 0, 1))
        view.add_surfaces(part for parts in near for part in parts)
        views.append(view)
    return views
