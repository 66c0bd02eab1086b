"""Side and end views of a straight piece: what is seen and what is hidden, in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.frozen import dataclass
from generator.geometry import EndPlane, Vec2, Vec3, cross, dot
from generator.parts.shapes import Face, Outline, Prism, Turned
from generator.products.flat import points_of
from generator.products.loops import Loop, loop_of, opening

NORMALS: dict[Face, Vec3] = {
    "x-": (-1.0, 0.0, 0.0),
    "x+": (1.0, 0.0, 0.0),
    "y-": (0.0, -1.0, 0.0),
    "y+": (0.0, 1.0, 0.0),
}
_ALONG: Vec3 = (0.0, 0.0, 1.0)
_ARC_DEG = 7.5
_SHARP = math.cos(math.radians(15.0))
_EDGE_ON = 1e-9

Line = tuple[Vec2, Vec2]


@dataclass(frozen=True, slots=True)
class ShownHole:
    """A hole in a face that is looked at, or in the face behind it."""

    centre: Vec2
    loop: Loop
    hidden: bool


@dataclass(frozen=True, slots=True)
class PieceView:
    """A piece from one side; along it to the right. Lines are in mm of the piece."""

    visible: tuple[Line, ...]
    hidden: tuple[Line, ...]
    holes: tuple[ShownHole, ...]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y."""
        points = [point for line in self.visible for point in line]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)


def side_view(prism: Prism, seen: Face) -> PieceView:
    """The piece seen from the outside of a face, its start on the left.

    Seen from y+, the top of a rail, what is to the left of its travel is up; seen from x-, its
    right, the top is up.
    """
    body = _Body(prism, seen)
    body.tube(prism.section.outer, solid=True)
    if prism.section.inner:
        body.tube(prism.section.inner, solid=False)
    return PieceView(*body.lines(), tuple(_shown_holes(prism, seen)))


def end_view(prism: Prism) -> tuple[Loop, ...]:
    """The section, hollow and holes along the axis as loops, seen against the travel."""
    section = prism.section
    loops = [loop_of(outline) for outline in (section.outer, section.inner) if outline]
    loops += [
        opening((hole.across_mm, hole.along_mm), hole.width_mm, hole.height_mm)
        for hole in prism.holes
        if hole.face == "z"
    ]
    return tuple(loops)


def turned_view(turned: Turned) -> PieceView:
    """A turned part from the side, its axis to the right."""
    visible: list[Line] = []
    hidden: list[Line] = []
    for step in turned.steps:
        visible += _box(step.start_mm, step.end_mm, step.outer_mm / 2)
        if step.inner_mm > 0.0:
            hidden += _box(step.start_mm, step.end_mm, step.inner_mm / 2)
    return PieceView(tuple(dict.fromkeys(visible)), tuple(dict.fromkeys(hidden)), ())


def _box(a: float, b: float, half: float) -> list[Line]:
    corners = [(a, -half), (b, -half), (b, half), (a, half)]
    return list(zip(corners, corners[1:] + corners[:1], strict=True))


class _Body:
    """Gathers the edges of a prism as they show from one side."""

    def __init__(self, prism: Prism, seen: Face) -> None:
        self.toward = NORMALS[seen]
        self.up = cross(self.toward, _ALONG)
        self.cuts = (prism.start, prism.end)
        self.caps_seen = (
            self._cap_seen(prism.start, -1.0),
            self._cap_seen(prism.end, 1.0),
        )
        self.seen: list[Line] = []
        self.unseen: list[Line] = []

    def lines(self) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
        """Visible and hidden lines, no line twice, none hidden where one is seen."""
        taken: set[frozenset[Vec2]] = set()
        return tuple(_new(self.seen, taken)), tuple(_new(self.unseen, taken))

    def tube(self, outline: Outline, *, solid: bool) -> None:
        """The edges of an outline drawn from cut to cut; those of a hollow only show at caps."""
        points = list(points_of(loop_of(outline), _ARC_DEG))
        count = len(points)
        normals = [_normal(points[k], points[(k + 1) % count]) for k in range(count)]
        facing = [solid and dot(normal, self.toward) > _EDGE_ON for normal in normals]
        for k, point in enumerate(points):
            before, after = facing[k - 1], facing[k]
            sharp = dot(normals[k - 1], normals[k]) < _SHARP
            sides = [dot(normals[j], self.toward) > _EDGE_ON for j in (k - 1, k)]
            if sharp or sides[0] != sides[1]:
                ends = [self._at(point, cut) for cut in self.cuts]
                self._add(ends[0], ends[1], seen=before or after)
            following = points[(k + 1) % count]
            for cut, cap_seen in zip(self.cuts, self.caps_seen, strict=True):
                seen = cap_seen or after
                self._add(self._at(point, cut), self._at(following, cut), seen=seen)

    def _cap_seen(self, cut: EndPlane, way: float) -> bool:
        normal = (-cut.slope_x * way, -cut.slope_y * way, way)
        return dot(normal, self.toward) > _EDGE_ON

    def _at(self, point: Vec2, cut: EndPlane) -> Vec2:
        x, y = point
        return (cut.at(x, y), x * self.up[0] + y * self.up[1])

    def _add(self, a: Vec2, b: Vec2, *, seen: bool) -> None:
        if math.dist(a, b) > 1e-6:
            (self.seen if seen else self.unseen).append((a, b))


def _new(lines: list[Line], taken: set[frozenset[Vec2]]) -> Iterator[Line]:
    for a, b in lines:
        key = frozenset((round(x, 4) + 0.0, round(y, 4) + 0.0) for x, y in (a, b))
        if key not in taken:
            taken.add(key)
            yield a, b


def _normal(a: Vec2, b: Vec2) -> Vec3:
    run, rise = b[0] - a[0], b[1] - a[1]
    length = math.hypot(run, rise)
    return (rise / length, -run / length, 0.0)


def _shown_holes(prism: Prism, seen: Face) -> Iterator[ShownHole]:
    """Holes of the face looked at and of the one behind, those all through a bar seen once."""
    normal = NORMALS[seen]
    up = cross(normal, _ALONG)
    sign = up[0] + up[1]
    front: list[ShownHole] = []
    behind: list[ShownHole] = []
    for hole in prism.holes:
        if hole.face == "z" or abs(dot(NORMALS[hole.face], normal)) < 0.5:
            continue
        centre = (hole.along_mm, sign * hole.across_mm)
        loop = opening(centre, hole.height_mm, hole.width_mm)
        hidden = hole.face != seen and prism.section.inner is not None
        (behind if hidden else front).append(ShownHole(centre, loop, hidden))
    yield from front
    known = {_loop_key(one) for one in front}
    yield from (one for one in behind if _loop_key(one) not in known)


def _loop_key(hole: ShownHole) -> tuple[float, ...]:
    start = hole.loop[0].start
    return tuple(round(value, 4) + 0.0 for value in (*hole.centre, *start))
