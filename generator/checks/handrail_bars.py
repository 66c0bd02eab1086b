"""A handrail as its checks see it: round bars, their ends, and what stands beside them.

Stations are level, along the leg from the start of its edge, as in `LegView`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from generator.checks.nearby import Nearby, prism_corners
from generator.checks.view import LegView
from generator.frozen import dataclass
from generator.geometry import (
    EndPlane,
    Vec2,
    Vec3,
    cross,
    dot,
    foot_on,
    heading,
    left_of,
    norm,
    sub,
)
from generator.parts.assembly import Kind, Part
from generator.parts.shapes import Prism, Route

# Faces and bars that touch do so to this.
_TOUCH_MM = 1e-3
_ROUND = tuple(math.radians(5 * k) for k in range(72))
BESIDE: tuple[Kind, ...] = ("post", "column", "rail", "spacer", "wall")
"""Kinds that a handrail runs beside or returns to."""
# How far off a part is still looked at.
_REACH_MM = 600.0


@dataclass(frozen=True, slots=True)
class Step:
    """A nosing: s of its edge and the height of its tread or floor."""

    mark: str
    s_mm: float
    top_mm: float


@dataclass(frozen=True, slots=True)
class Bar:
    """One piece of handrail: (s, z) of both ends of its axis, how far left of the edge it lies."""

    part: Part
    start: Vec3
    end: Vec3
    radius_mm: float
    pitched: bool
    ends: tuple[Vec2, Vec2]
    aside_mm: Vec2

    @property
    def mark(self) -> str:
        return self.part.mark

    @property
    def low_mm(self) -> float:
        return min(self.ends[0][0], self.ends[1][0])

    @property
    def high_mm(self) -> float:
        return max(self.ends[0][0], self.ends[1][0])

    @property
    def slope(self) -> float:
        (s_a, z_a), (s_b, z_b) = self.ends
        return (z_b - z_a) / (s_b - s_a)

    def top_at(self, s_mm: float) -> float:
        """Height of its top, plumb over its axis."""
        s, z = self.ends[0]
        return z + self.slope * (s_mm - s) + self.radius_mm * math.hypot(1.0, self.slope)


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """An end that joins no other piece, with what stands nearest to it, and how near.

    `past_posts`: it lies before the first or beyond the last post of the leg.
    """

    mark: str
    nearest: str
    gap_mm: float
    s_mm: float
    past_posts: bool
    point: Vec3


def handrail_bars(nearby: Nearby, view: LegView) -> list[Bar]:
    """The pieces of a leg's handrail, in order of their marks."""
    return [_bar(view, part) for part in nearby.of_leg(view.leg, "handrail")]


def _bar(view: LegView, part: Part) -> Bar:
    shape = part.shape
    assert isinstance(shape, Prism)
    start, end = (part.place.point((0.0, 0.0, cut.z_mm)) for cut in (shape.start, shape.end))
    (s_a, aside_a), (s_b, aside_b) = _flat(view, start), _flat(view, end)
    (x0, _), (x1, _) = shape.section.outer.corners[:2]
    pitched = abs(s_b - s_a) > abs(aside_b - aside_a)
    ends = ((s_a, start[2]), (s_b, end[2]))
    return Bar(part, start, end, abs(x1 - x0) / 2, pitched, ends, (aside_a, aside_b))


def _flat(view: LegView, point: Vec3) -> Vec2:
    """(s, left of the edge) of a point."""
    away = sub(point, view.leg.edge_start)
    return (dot(away, heading(view.leg.bearing_deg)), dot(away, left_of(view.leg.bearing_deg)))


def steps(nearby: Nearby, view: LegView) -> list[Step]:
    """The nosings of a stair from the top down, the upper floor's first; none of a ramp."""
    treads = [_step(view, part) for part in nearby.of_leg(view.leg, "tread")]
    treads.sort(key=lambda step: -step.top_mm)
    if not treads:
        return []
    first = treads[0]
    floors = [
        step
        for near in (-1, 0, 1)
        for part in nearby.of_leg(view.leg, "deck", near)
        if (step := _step(view, part)).top_mm > first.top_mm + 1e-6
    ]
    floors.sort(key=lambda step: abs(step.s_mm - first.s_mm))
    return [*floors[:1], *treads]


def _step(view: LegView, part: Part) -> Step:
    """Of a level body, the edge that lies furthest down the stair."""
    shape = part.shape
    assert isinstance(shape, Prism)
    corners = [part.place.point((x, y, 0.0)) for x, y in shape.section.outer.corners]
    edge = max(_flat(view, corner)[0] * view.down for corner in corners) * view.down
    return Step(part.mark, edge, part.place.origin[2] + shape.end.z_mm)


def beside(nearby: Nearby, view: LegView, bar: Bar) -> Iterator[tuple[Part, float]]:
    """Posts, rails and spacers that a pitched bar runs beside, with the level room to each.

    What stands further off than an arm's length is left out.
    """
    low, high = min(bar.aside_mm) - bar.radius_mm, max(bar.aside_mm) + bar.radius_mm
    for part in nearby.around(bar.start, bar.end, _REACH_MM):
        if part.kind == "wall":
            continue
        corners = [(*_flat(view, point), point[2]) for point in prism_corners(part)]
        along, aside, heights = zip(*corners, strict=True)
        s_a, s_b = max(bar.low_mm, min(along)), min(bar.high_mm, max(along))
        if s_b - s_a < 1e-6:
            continue
        tops = (bar.top_at(s_a), bar.top_at(s_b))
        bottom = min(tops) - 2 * bar.radius_mm * math.hypot(1.0, bar.slope)
        if min(heights) >= max(tops) or max(heights) <= bottom:
            continue
        yield part, max(min(aside) - high, low - max(aside))


def open_ends(nearby: Nearby, view: LegView, bars: list[Bar]) -> list[OpenEnd]:
    """Ends of the handrail that meet no other piece of it."""
    found: list[OpenEnd] = []
    sides: tuple[Literal["start", "end"], ...] = ("start", "end")
    for bar in bars:
        for side in sides:
            point = bar.start if side == "start" else bar.end
            others = (end for b in bars if b is not bar for end in (b.start, b.end))
            if all(math.dist(point, other) > _TOUCH_MM for other in others):
                found.append(_open_end(nearby, view, bar, side))
    return found


def _open_end(nearby: Nearby, view: LegView, bar: Bar, side: Literal["start", "end"]) -> OpenEnd:
    shape = bar.part.shape
    assert isinstance(shape, Prism)
    point, cut = (bar.start, shape.start) if side == "start" else (bar.end, shape.end)
    face = (point, *_face(bar, cut))
    around = [p for p in nearby.around(point, point, _REACH_MM) if p.kind != "spacer"]
    gap, nearest = math.inf, ""
    near_first = sorted(
        ((prism_distance(part, point), part) for part in around or _posts(view)),
        key=lambda row: row[0],
    )
    for away, part in near_first:
        if away - 2 * bar.radius_mm >= gap:
            break
        near = min(prism_distance(part, spot) for spot in face)
        if near < gap:
            gap, nearest = near, part.mark
    s = _flat(view, point)[0]
    first, last = view.posts[0], view.posts[-1]
    past = s < first.s_mm - first.half_mm or s > last.s_mm + last.half_mm
    return OpenEnd(bar.mark, nearest, gap, s, past, point)


def _posts(view: LegView) -> list[Part]:
    return [view.assembly.by_mark[mark] for mark in view.leg.posts]


def _face(bar: Bar, cut: EndPlane) -> list[Vec3]:
    """Points on the rim of a cut face."""
    r = bar.radius_mm
    rim = [(r * math.cos(turn), r * math.sin(turn)) for turn in _ROUND]
    return [bar.part.place.point((x, y, cut.at(x, y))) for x, y in rim]


def prism_distance(part: Part, point: Vec3) -> float:
    """Distance of a point to a straight part of convex section, 0 within it; rounding left out.

    To the sides along their own level, to an end along its normal. Past the edge of a sloped end it
    is the distance to the point of that edge abreast: never less than the true one.
    """
    shape = part.shape
    assert isinstance(shape, Prism)
    x, y, z = part.place.local(point)
    corners = shape.section.outer.corners
    a, b = _nearest((x, y), corners)
    level = min(max(z, shape.start.at(a, b)), shape.end.at(a, b))
    found = [math.dist((x, y, z), (a, b, level))]
    for sign, cut in ((-1.0, shape.start), (1.0, shape.end)):
        lean = math.hypot(1.0, cut.slope_x, cut.slope_y)
        out = sign * (z - cut.at(x, y)) / lean
        foot = (x + sign * out * cut.slope_x / lean, y + sign * out * cut.slope_y / lean)
        if out >= 0.0 and math.dist(foot, _nearest(foot, corners)) < 1e-9:
            found.append(out)
    return min(found)


def _nearest(p: Vec2, corners: tuple[Vec2, ...]) -> Vec2:
    """The point of a convex outline, counter-clockwise, nearest to a point; itself within."""
    sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
    if all((b[0] - a[0]) * (p[1] - a[1]) >= (b[1] - a[1]) * (p[0] - a[0]) for a, b in sides):
        return p
    return min((foot_on(p, a, b) for a, b in sides), key=lambda foot: math.dist(p, foot))


def stems(nearby: Nearby, view: LegView, mains: list[Bar]) -> list[tuple[float, str]]:
    """(s, mark) of the brackets that bear under a pitched bar and are fixed on their post."""
    found: list[tuple[float, str]] = []
    for part in nearby.of_leg(view.leg, "handrail-bracket"):
        shape = part.shape
        assert isinstance(shape, Route)
        foot, head = (part.place.point(shape.points[k]) for k in (0, -1))
        post = view.assembly.by_mark[part.belongs_to]
        bears = any(_bears(bar, head) for bar in mains)
        if bears and prism_distance(post, foot) <= _TOUCH_MM:
            found.append((_flat(view, head)[0], part.mark))
    return found


def _bears(bar: Bar, point: Vec3) -> bool:
    """Whether a point lies on a bar's skin, between its ends."""
    way, away = sub(bar.end, bar.start), sub(point, bar.start)
    length = norm(way)
    t = dot(away, way) / length
    return 0.0 <= t <= length and abs(norm(cross(away, way)) / length - bar.radius_mm) <= _TOUCH_MM
