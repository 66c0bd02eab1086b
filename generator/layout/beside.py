"""What stands beside a handrail: posts and rails as they look from the walking side of a leg."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, cosd, dot, heading, left_of, scale, sind, sub
from generator.layout.model import LegLayout, PathLeg, PostSite, RailPiece, RunLayout
from generator.layout.path import turn_between
from generator.spec.job import Job

_IN_LINE_DEG = 1e-9
_SQRT3 = math.sqrt(3.0)


@dataclass(frozen=True, slots=True)
class Body:
    """A post or rail: outline in (station, z), counter-clockwise, and its face's distance.

    `face_mm` is from the guard line toward the walking side.
    """

    what: Literal["post face", "rail side"]
    outline: tuple[Vec2, ...]
    face_mm: float

    def apart(self, point: Vec2) -> float:
        """Distance of a point to the outline, 0 inside."""
        sides = list(zip(self.outline, self.outline[1:] + self.outline[:1], strict=True))
        if all(_cross(a, b, point) >= 0.0 for a, b in sides):
            return 0.0
        return min(_to_segment(point, a, b) for a, b in sides)


@dataclass(frozen=True, slots=True)
class Stand:
    """A post of the leg that can carry a bracket.

    `plan` has its corners in (station, toward the walking side); `half_mm` is half its extent along
    the leg, `top_mm` the lowest point of its top, world. `keep_out_mm` are the heights of what ends
    in it from other legs, world, each with the room that it takes up and down.
    """

    post: int
    station_mm: float
    plan: tuple[Vec2, ...]
    half_mm: float
    top_mm: float
    keep_out_mm: tuple[Vec2, ...]

    def face_at(self, station_mm: float) -> float:
        """Where its near face is at a station within it, from the guard line."""
        found: list[float] = []
        for (s_a, a), (s_b, b) in zip(self.plan, self.plan[1:] + self.plan[:1], strict=True):
            if min(s_a, s_b) <= station_mm <= max(s_a, s_b) and s_a != s_b:
                found.append(a + (b - a) * (station_mm - s_a) / (s_b - s_a))
        return max(found)


@dataclass(frozen=True, slots=True)
class Beside:
    """The walking side of one leg. `nearest_mm` is the face of the guard that stands furthest in.

    `inward` points from the guard to the walking side.
    """

    inward: Vec3
    nearest_mm: float
    bodies: tuple[Body, ...]
    stands: tuple[Stand, ...]
    walls_mm: tuple[float | None, float | None]

    def touched(self, point: Vec2, within_mm: float) -> list[Body]:
        """Bodies that a level bar of that radius toward the guard meets at a point (station, z)."""
        return [body for body in self.bodies if body.apart(point) <= within_mm]

    def beyond(self, station_mm: float, sense: float) -> bool:
        """Whether a station lies past the leg's last post, with `sense` 1, or before its first."""
        stand = self.stands[-1 if sense > 0 else 0]
        return (station_mm - stand.station_mm) * sense > stand.half_mm

    def wall_mm(self, sense: float) -> float | None:
        """Station of the wall's face at the leg's end, with `sense` 1, or its start."""
        return self.walls_mm[1 if sense > 0 else 0]


def beside(job: Job, run: RunLayout, k: int, posts: Sequence[PostSite]) -> Beside:
    """What stands beside the k-th leg of a run: its own posts and rails, and rails in line."""
    leg = run.legs[k]
    inward = scale(leg.line.left, leg.line.side)
    view = _View(job, leg, inward)
    sites = [(n, posts[index]) for n, index in enumerate(leg.posts)]
    stands = tuple(view.stand(run, k, n, site) for n, site in sites)
    bodies = [
        view.post(stand, site.base[2]) for stand, (_, site) in zip(stands, sites, strict=True)
    ]
    bodies += [view.rail(piece) for piece in leg.rails]
    nearest = max(body.face_mm for body in bodies)
    for other in _in_line(run, k):
        bodies += [view.rail(piece) for piece in other.rails]
    reach = job.guard.wall_gap_mm + job.system.post.width_mm / 2
    walls = (
        leg.stations_mm[0] - reach if leg.start_joint == "wall" else None,
        leg.stations_mm[-1] + reach if leg.end_joint == "wall" else None,
    )
    return Beside(inward, nearest, tuple(bodies), stands, walls)


def neighbour(run: RunLayout, k: int, sense: float) -> PathLeg | None:
    """The leg after the k-th, with `sense` 1, or before it; in a loop there is always one."""
    other = k + (1 if sense > 0 else -1)
    if run.run.closed is not None and len(run.legs) > 1:
        other %= len(run.legs)
    return run.legs[other].line if 0 <= other < len(run.legs) else None


def _in_line(run: RunLayout, k: int) -> Iterator[LegLayout]:
    """Neighbouring legs of a run that go the same way."""
    line = run.legs[k].line
    for sense in (-1.0, 1.0):
        other = neighbour(run, k, sense)
        if other is not None and abs(turn_between(line, other)) < _IN_LINE_DEG:
            yield run.legs[other.number - 1]


class _View:
    """Measures points along a leg and toward its walking side."""

    def __init__(self, job: Job, leg: LegLayout, inward: Vec3) -> None:
        self.job, self.leg, self.inward = job, leg, inward
        self._zero = leg.line.guard(0.0)

    def plan(self, point: Vec3) -> Vec2:
        """(station, toward the walking side from the guard line)."""
        away = sub(point, self._zero)
        return (dot(away, self.leg.line.travel), dot(away, self.inward))

    def stand(self, run: RunLayout, k: int, n: int, site: PostSite) -> Stand:
        post, fixed = self.job.system.post, site.fixed
        width = fixed.width_mm if fixed else post.width_mm
        depth = fixed.depth_mm if fixed else post.depth_mm
        ahead, aside = heading(site.bearing_deg), left_of(site.bearing_deg)
        corners = [
            tuple(b + u * x + v * y for b, u, v in zip(site.base, ahead, aside, strict=True))
            for x, y in (
                (-width / 2, -depth / 2),
                (width / 2, -depth / 2),
                (width / 2, depth / 2),
                (-width / 2, depth / 2),
            )
        ]
        plan = tuple(self.plan((x, y, z)) for x, y, z in corners)
        along = [s for s, _ in plan]
        half = (max(along) - min(along)) / 2
        top = site.rail_top_z_mm if fixed else lowest_top_z(self.job, site)
        station = self.plan(site.base)[0]
        return Stand(self.leg.posts[n], station, plan, half, top, self._ends(run, k, n))

    def _ends(self, run: RunLayout, k: int, n: int) -> tuple[Vec2, ...]:
        """Heights of the rows of other legs of the run at a post that they share with this one."""
        fitting = self.job.system.fitting
        half = max(fitting.nut_flats_mm / _SQRT3, fitting.stud_mm)
        index = self.leg.posts[n]
        found: list[Vec2] = []
        for other, leg in enumerate(run.legs):
            if other == k or index not in leg.posts:
                continue
            station = leg.stations_mm[leg.posts.index(index)]
            found += [(leg.line.reference_z(station) + row, half) for row in leg.rows_mm]
        return tuple(found)

    def post(self, stand: Stand, base_z_mm: float) -> Body:
        along = [s for s, _ in stand.plan]
        a, b, top = min(along), max(along), stand.top_mm
        outline = ((a, base_z_mm), (b, base_z_mm), (b, top), (a, top))
        return Body("post face", outline, max(aside for _, aside in stand.plan))

    def rail(self, piece: RailPiece) -> Body:
        rail = self.job.system.rail
        half = rail.depth_mm / 2
        ends = ((piece.start_cut, -half), (piece.end_cut, -half))
        points = [piece.place.point((0.0, y, cut.at(0.0, y))) for cut, y in ends]
        points += [piece.place.point((0.0, -y, cut.at(0.0, -y))) for cut, y in ends[::-1]]
        outline = [(self.plan(point)[0], point[2]) for point in points]
        if sum(_cross(outline[0], a, b) for a, b in pairwise(outline)) < 0.0:
            outline.reverse()
        aside = self.plan(piece.place.origin)[1] + rail.width_mm / 2
        return Body("rail side", tuple(outline), aside)


def lowest_top_z(job: Job, site: PostSite) -> float:
    """World height of the lowest point of a post's top, under its bracket."""
    system = job.system
    lean = math.hypot(1.0, site.top_slope)
    under = (system.rail.depth_mm + system.bracket.thickness_mm) * lean
    spin = site.top_bearing_deg - site.bearing_deg
    along, across = site.top_slope * cosd(spin), site.top_slope * sind(spin)
    drop = abs(along) * system.post.width_mm / 2 + abs(across) * system.post.depth_mm / 2
    return site.rail_top_z_mm - under - drop


def _cross(a: Vec2, b: Vec2, p: Vec2) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _to_segment(p: Vec2, a: Vec2, b: Vec2) -> float:
    u, w = (b[0] - a[0], b[1] - a[1]), (p[0] - a[0], p[1] - a[1])
    length = u[0] ** 2 + u[1] ** 2
    t = min(max((u[0] * w[0] + u[1] * w[1]) / length, 0.0), 1.0) if length else 0.0
    return math.dist(p, (a[0] + u[0] * t, a[1] + u[1] * t))
