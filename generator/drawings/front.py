"""One leg unfolded: its picture plane, seen from outside, and the lines that its parts lie on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from generator.drawings.lettering import Box
from generator.drawings.project import Plane, silhouette
from generator.drawings.tape import Tape, tape
from generator.geometry import UP, Vec2, Vec3, scale
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    Kind,
    LegLine,
    Part,
    PostDetail,
    detail_of,
)
from generator.parts.shapes import Prism, Rectangle, Route


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight line of the picture: height `y` over `x` = 0 and its rise a unit."""

    y: float
    rise: float

    def at(self, x: float) -> float:
        return self.y + self.rise * x

    def lifted(self, height: float) -> Slope:
        return Slope(self.y + height, self.rise)


@dataclass(frozen=True, slots=True)
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

    @property
    def post_xs(self) -> tuple[tuple[str, float], ...]:
        """Marks and axes of the posts, from left to right."""
        return tuple(sorted(((m, self.x(s)) for m, s in self.tape.posts), key=lambda p: p[1]))

    def parts(self, marks: Iterable[str]) -> tuple[Part, ...]:
        return tuple(self.assembly.by_mark[mark] for mark in marks)

    def surfaces(self, *kinds: Kind) -> tuple[Part, ...]:
        """What the leg stands on or beside, and the deck that goes on in line with it."""
        decks = [
            mark
            for other in self.assembly.legs
            if other.run == self.leg.run
            and abs(other.number - self.leg.number) == 1
            and abs(other.bearing_deg - self.leg.bearing_deg) % 360.0 < 1e-6
            for mark in other.surfaces
            if self.assembly.by_mark[mark].kind == "deck"
        ]
        own = [part for part in self.parts(self.leg.surfaces) if part.kind in kinds]
        return (*own, *(self.parts(decks) if "deck" in kinds else ()))

    def fixed_on_posts(self, *kinds: Kind) -> tuple[Part, ...]:
        """Plates, anchors and brackets of the leg's posts."""
        posts = frozenset(self.leg.posts)
        return tuple(part for part in self.assembly.of_kind(*kinds) if part.belongs_to in posts)

    def own(self, *kinds: Kind) -> tuple[Part, ...]:
        """Parts of this leg and no other."""
        leg = self.leg
        return tuple(
            part
            for part in self.assembly.of_kind(*kinds)
            if part.run == leg.run and part.leg == leg.number
        )

    def box(self, part: Part) -> Box:
        return silhouette(part, self.plane)

    def span(self, parts: Iterable[Part]) -> tuple[float, float]:
        """Least and greatest x of some parts and of the measured edge."""
        bounds = [self.box(part).bounds for part in parts]
        ends = (0.0, self.x(self.tape.length_mm))
        return (
            min([*ends, *(b[0] for b in bounds)]),
            max([*ends, *(b[2] for b in bounds)]),
        )

    def top(self, part: Part) -> float:
        """Upper face of a slab."""
        return self.box(part).bounds[3]

    def post_base(self, mark: str) -> float:
        """Height of the floor or tread that a post stands on."""
        return detail_of(self.assembly.by_mark[mark], PostDetail).base_z_mm

    def rails(self) -> tuple[Part, ...]:
        """Pieces from left to right."""
        pieces = self.parts(self.leg.rails)
        return pieces if self.sense > 0 else pieces[::-1]

    def rail_line(self, upper: bool) -> Slope:
        """Top of the rail, or its underside.

        Raises:
            IndexError: the leg has no rail.
        """
        part = self.parts(self.leg.rails)[0]
        assert isinstance(part.shape, Prism)
        outer = part.shape.section.outer
        assert isinstance(outer, Rectangle)
        half = outer.depth_mm / 2 if upper else -outer.depth_mm / 2
        return self._line(part.place.point((0.0, half, 0.0)), part.place.z)

    def rail_end(self, part: Part, *, at_end: bool) -> Vec2:
        """Middle of a rail's cut, in the picture."""
        assert isinstance(part.shape, Prism)
        cut = part.shape.end if at_end else part.shape.start
        return self.plane.flat(part.place.point((0.0, 0.0, cut.z_mm)))

    def cable_lines(self) -> tuple[tuple[str, Slope], ...]:
        """Marks and axes of the cables, from the bottom up."""
        cables = sorted(
            self.parts(self.leg.cables), key=lambda part: detail_of(part, CableDetail).row
        )
        return tuple((part.mark, self._line(part.place.origin, part.place.z)) for part in cables)

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
    """The picture of one leg from outside, looking toward the walking surface."""
    one = tape(assembly, leg)
    sense = 1.0 if leg.deck == "left" else -1.0
    x, y, _ = leg.edge_start
    return Front(assembly, one, Plane((x, y, 0.0), scale(one.travel, sense), UP), sense)
