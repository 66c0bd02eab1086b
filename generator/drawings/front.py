"""One leg unfolded: its picture plane, seen from outside, and the lines that its parts lie on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cached_property
from itertools import pairwise

from generator.drawings.lettering import Box
from generator.drawings.project import Plane, silhouette
from generator.drawings.tape import Tape, in_line, neighbours, tape
from generator.frozen import dataclass
from generator.geometry import UP, Vec2, Vec3, dot, scale, sub
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    Kind,
    LegLine,
    Part,
    PostDetail,
    TreadDetail,
    detail_of,
)
from generator.parts.shapes import Prism, Rectangle, Route

_ALONG = 0.1  # cosine: steeper than any stair
_ON_LINE_MM = 1.0  # a cable that is led along the guard line lies on it


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight line of the picture: height `y` over `x` = 0 and its rise a unit."""

    y: float
    rise: float

    def at(self, x: float) -> float:
        return self.y + self.rise * x

    @property
    def cosine(self) -> float:
        return 1.0 / math.hypot(1.0, self.rise)


@dataclass(frozen=True, slots=True)
class RailSpan:
    """A piece of rail from `left` to `right`, the middles of its cuts, under its top line."""

    part: Part
    left: float
    right: float
    top: Slope
    under: Slope


@dataclass(frozen=True, slots=True)
class Strand:
    """A cable where it runs along the leg, from `left` to `right`; `posts` are its end posts there.

    `goes_on` are the numbers of other legs that it runs through.
    """

    mark: str
    row: int
    left: float
    right: float
    line: Slope
    posts: tuple[str, str]
    goes_on: tuple[int, ...]


@dataclass(frozen=True)
class Front:
    """A leg seen square from outside, that is from the side away from the walking surface.

    x is measured level from the start of the measured edge, to the right; it runs with the travel
    where the walking surface lies left of it (`sense` 1) and against it where it lies right (-1).
    y is the world's height.
    """

    assembly: Assembly
    tape: Tape
    plane: Plane
    sense: float

    @property
    def leg(self) -> LegLine:
        return self.tape.leg

    def x(self, station: float) -> float:
        return station * self.sense

    @property
    def slope(self) -> float:
        """Rise of the leg's lines to the right."""
        return self.tape.slope * self.sense

    @property
    def reference(self) -> Slope:
        """The floor, or the nosing line of a stair."""
        return Slope(self.leg.edge_start[2], self.slope)

    @cached_property
    def post_xs(self) -> tuple[tuple[str, float], ...]:
        """Marks and axes of the posts, from left to right."""
        return tuple(sorted(((m, self.x(s)) for m, s in self.tape.posts), key=lambda p: p[1]))

    def parts(self, marks: Iterable[str]) -> tuple[Part, ...]:
        return tuple(self.assembly.by_mark[mark] for mark in marks)

    @cached_property
    def in_line(self) -> tuple[LegLine, ...]:
        """Neighbouring legs that go on in the same line."""
        return tuple(
            other
            for other in neighbours(self.assembly, self.leg)
            if other is not None and in_line(self.leg, other)
        )

    def surfaces(self, *kinds: Kind) -> tuple[Part, ...]:
        """What the leg stands on or beside, the deck that goes on in line with it, a stair's head.

        The floor behind a stair that turns off is where a post in the corner stands.
        """
        own = [part for part in self.parts(self.leg.surfaces) if part.kind in kinds]
        if "deck" not in kinds:
            return tuple(own)
        around = [leg for leg in neighbours(self.assembly, self.leg) if leg not in (None, self.leg)]
        found = []
        for leg in around:
            decks = [part for part in self.parts(leg.surfaces) if part.kind == "deck"]
            if leg not in self.in_line:
                decks = [part for part in decks if leg.kind == "stair" and self._level_with(part)]
            found += decks
        return (*own, *found)

    def _level_with(self, part: Part) -> bool:
        """Whether a floor lies level with an end of the leg."""
        ends = (self.leg.edge_start[2], self.leg.edge_end[2])
        return any(abs(self.top(part) - z) < _ON_LINE_MM for z in ends)

    def treads(self) -> dict[int, Part]:
        """Treads by their number, 1 below the upper floor."""
        found = self.surfaces("tread")
        return {detail_of(part, TreadDetail).number: part for part in found}

    @cached_property
    def _fixed(self) -> tuple[Part, ...]:
        posts = frozenset(self.leg.posts)
        return tuple(
            part
            for part in self.assembly.parts
            if part.belongs_to in posts and part.mark not in posts
        )

    def fixed_on_posts(self, *kinds: Kind) -> tuple[Part, ...]:
        """Plates, anchors and brackets of the leg's posts."""
        return tuple(part for part in self._fixed if part.kind in kinds)

    def cable_hardware(self) -> tuple[Part, ...]:
        """Fittings, seats, washers and nuts of the leg's cables at the leg's posts."""
        cables = self.parts(self.leg.cables)
        ends = {
            (part.leg, post)
            for part in cables
            for post in (detail_of(part, CableDetail).posts[k] for k in (0, -1))
        }
        return tuple(
            part
            for part in self.fixed_on_posts("fitting", "seat", "washer", "nut")
            if part.run == self.leg.run and (part.leg, part.belongs_to) in ends
        )

    @cached_property
    def _own(self) -> tuple[Part, ...]:
        leg = self.leg
        return tuple(
            part for part in self.assembly.parts if (part.run, part.leg) == (leg.run, leg.number)
        )

    def own(self, *kinds: Kind) -> tuple[Part, ...]:
        """Parts of this leg and no other."""
        return tuple(part for part in self._own if part.kind in kinds)

    @cached_property
    def _boxes(self) -> dict[str, Box]:
        return {}

    def box(self, part: Part) -> Box:
        """The outline of a part in the picture, worked out once."""
        if part.mark not in self._boxes:
            self._boxes[part.mark] = silhouette(part, self.plane)
        return self._boxes[part.mark]

    def span(self, parts: Iterable[Part]) -> tuple[float, float]:
        """Least and greatest x of some parts and of the measured edge."""
        bounds = [self.box(part).bounds for part in parts]
        ends = (0.0, self.x(self.tape.length_mm))
        return (
            min([*ends, *(b[0] for b in bounds)]),
            max([*ends, *(b[2] for b in bounds)]),
        )

    def top(self, part: Part) -> float:
        """Highest point of a part."""
        return self.box(part).bounds[3]

    def foot(self, mark: str) -> float:
        """Lower end of a post."""
        return self.box(self.assembly.by_mark[mark]).bounds[1]

    def floor(self, mark: str) -> float:
        """Height of what one walks on at a post's axis: floor, tread, or a stair's nosing line."""
        detail = detail_of(self.assembly.by_mark[mark], PostDetail)
        if detail.mount == "core":
            return detail.base_z_mm + self.assembly.job.system.post.core_depth_mm
        if detail.mount == "fascia":
            return self.reference.at(dict(self.post_xs)[mark])
        return detail.base_z_mm

    def rails(self) -> tuple[Part, ...]:
        """Pieces from left to right."""
        pieces = self.parts(self.leg.rails)
        return pieces if self.sense > 0 else pieces[::-1]

    @cached_property
    def rail_spans(self) -> tuple[RailSpan, ...]:
        """Pieces of rail from left to right, each with its own lines; plumb ones have none."""
        return self.spans_of(self.rails())

    def spans_of(self, rails: Iterable[Part]) -> tuple[RailSpan, ...]:
        """Those of some pieces that run along the leg."""
        return tuple(self._rail_span(part) for part in rails if self._goes_along(part))

    def plumb_rails(self) -> tuple[Part, ...]:
        """Pieces that take a step between two rails."""
        return self.plumb_of(self.rails())

    def plumb_of(self, rails: Iterable[Part]) -> tuple[Part, ...]:
        """Those of some pieces that stand plumb."""
        return tuple(part for part in rails if not self._goes_along(part))

    def _rail_span(self, part: Part) -> RailSpan:
        assert isinstance(part.shape, Prism)
        outer = part.shape.section.outer
        assert isinstance(outer, Rectangle)
        half = outer.depth_mm / 2
        top, under = (
            self._line(part.place.point((0.0, y, 0.0)), part.place.z) for y in (half, -half)
        )
        ends = sorted(self.rail_end(part, at_end=at_end)[0] for at_end in (False, True))
        return RailSpan(part, ends[0], ends[1], top, under)

    @property
    def main_rail(self) -> RailSpan:
        """The longest piece, whose lines stand for the leg; an easing piece has its own.

        Raises:
            ValueError: the leg has no rail.
        """
        return max(self.rail_spans, key=lambda span: (round(span.right - span.left, 6), span.left))

    def rail_over(self, x: float) -> RailSpan | None:
        """The piece of rail over a place, as far as its silhouette reaches."""
        for span in sorted(self.rail_spans, key=lambda span: span.left - span.right):
            x0, _, x1, _ = self.box(span.part).bounds
            if x0 <= x <= x1:
                return span
        return None

    def rail_end(self, part: Part, *, at_end: bool) -> Vec2:
        """Middle of a rail's cut, in the picture."""
        assert isinstance(part.shape, Prism)
        cut = part.shape.end if at_end else part.shape.start
        return self.plane.flat(part.place.point((0.0, 0.0, cut.z_mm)))

    def handrail_line(self) -> Slope | None:
        """Top of the leg's handrail; None where it has none."""
        for part in self.own("handrail"):
            if isinstance(part.shape, Prism) and self._goes_along(part):
                half = max(y for _, y in part.shape.section.outer.corners)
                return self._line(part.place.point((0.0, half, 0.0)), part.place.z)
        return None

    def _goes_along(self, part: Part) -> bool:
        """Whether a piece runs along the leg: no plumb piece, no return of a handrail."""
        return abs(dot(part.place.z, self.tape.travel)) > _ALONG

    @cached_property
    def strands(self) -> tuple[tuple[Strand, ...], ...]:
        """Cables along the leg from the bottom up, in groups that run between the same posts."""
        groups: dict[tuple[str, str], list[Strand]] = {}
        for part in self.parts(self.leg.cables):
            for strand in self._strands(part):
                groups.setdefault(strand.posts, []).append(strand)
        rows = [tuple(sorted(group, key=lambda s: s.row)) for group in groups.values()]
        return tuple(sorted(rows, key=lambda group: group[0].left))

    def _strands(self, part: Part) -> list[Strand]:
        """Where a cable's way lies on the guard line between the leg's first and last post."""
        shape, detail = part.shape, detail_of(part, CableDetail)
        assert isinstance(shape, Route)
        low, high = self.post_xs[0][1], self.post_xs[-1][1]
        order = [mark for mark, _ in self.post_xs if mark in detail.posts]
        other = tuple(number for number in detail.legs if number != self.leg.number)
        points = [part.place.point(point) for point in shape.points]
        found = []
        for a, b in pairwise(points):
            if not (self._on_guard_line(a) and self._on_guard_line(b)):
                continue
            (xa, _), (xb, _) = ends = sorted((self.plane.flat(a), self.plane.flat(b)))
            left, right = max(xa, low), min(xb, high)
            if right - left < _ON_LINE_MM:
                continue
            rise = (ends[1][1] - ends[0][1]) / (xb - xa)
            line = Slope(ends[0][1] - xa * rise, rise)
            posts = (order[0], order[-1])
            found.append(Strand(part.mark, detail.row, left, right, line, posts, other))
        return found

    def _on_guard_line(self, point: Vec3) -> bool:
        off = dot(sub(point, self.leg.edge_start), self.tape.inward)
        return abs(off - self.tape.inset_mm) < _ON_LINE_MM

    def strands_at(self, x: float) -> tuple[Strand, ...]:
        """The cables over a place, or nearest to it, from the bottom up."""

        def away(group: tuple[Strand, ...]) -> float:
            return max(group[0].left - x, x - group[0].right, 0.0)

        return min(self.strands, key=away, default=())

    def cable_diameter(self) -> float:
        shapes = [part.shape for part in self.parts(self.leg.cables)]
        return max((s.diameter_mm for s in shapes if isinstance(s, Route)), default=0.0)

    def _line(self, point: Vec3, way: Vec3) -> Slope:
        x, y = self.plane.flat(point)
        along, rise = self.plane.flat_vector(way)
        return Slope(y - x * rise / along, rise / along)

    @property
    def cosine(self) -> float:
        return 1.0 / math.hypot(1.0, self.slope)


def front(assembly: Assembly, leg: LegLine) -> Front:
    """The picture of one leg from outside, looking toward the walking surface, made once."""
    key = f"front {leg.run} {leg.number}"
    if key not in assembly.worked_out:
        one = tape(assembly, leg)
        sense = 1.0 if leg.deck == "left" else -1.0
        x, y, _ = leg.edge_start
        plane = Plane((x, y, 0.0), scale(one.travel, sense), UP)
        assembly.worked_out[key] = Front(assembly, one, plane, sense)
    return assembly.worked_out[key]
