"""The floor under a post on a corner where two slopes meet: a ramp that turns, a drained edge."""

from __future__ import annotations

from collections.abc import Sequence

from generator.geometry import Vec2, Vec3, add, dot, heading, left_of, scale, sub
from generator.layout.model import PathLeg
from generator.layout.path import turn_between
from generator.spec.job import Job

_EPS = 1e-9


def floor_at_break(
    job: Job, before: PathLeg, after: PathLeg, stations: tuple[float, float], bearing_deg: float
) -> float | None:
    """Height of a level base that lies on the higher of two floors; None where both are level.

    `stations` are the post's on either leg. Turned away from the walking side the post stands
    beyond both legs' ends: on the level leg, or on the landing between two ramps, level with their
    ends. Turned toward it, it stands over the line where the two floors meet.
    """
    turn = turn_between(before, after)
    flat = abs(before.slope) < _EPS and abs(after.slope) < _EPS
    if flat or (abs(turn) < _EPS and abs(before.slope - after.slope) < _EPS):
        return None
    ramps = [leg for leg in (before, after) if leg.kind == "ramp"]
    if turn * before.side < 0.0 and ramps:
        level = next((leg for leg in (before, after) if leg.kind != "ramp"), None)
        middle = before.guard(stations[0])
        plan = _base(job, level or before, middle, bearing_deg)
        heights = [_floor(level, point) if level else before.end[2] for point in plan]
        for leg in ramps:
            into = scale(leg.travel, -1.0 if leg is before else 1.0)
            heights += [_floor(leg, point) for point in _half(plan, before.end, into[:2])]
        return max(heights)
    vertex, middle = before.end, before.guard(stations[0])
    plan = _base(job, before, middle, bearing_deg)
    # The floors part along the bisector through the vertex of the edges.
    way = add(before.left, after.left)
    normal = (-way[1], way[0])
    if dot((*normal, 0.0), before.travel) > 0.0:
        normal = (-normal[0], -normal[1])
    heights = [_floor(before, point) for point in _half(plan, vertex, normal)]
    other = (-normal[0], -normal[1])
    heights += [_floor(after, point) for point in _half(plan, vertex, other)]
    return max(heights, default=before.reference_z(stations[0]))


def lift_at_end(job: Job, leg: PathLeg, station: float, *, at_start: bool) -> float:
    """How much a base lies higher where it reaches past the end of its sloped leg; else 0.

    Beyond the end the floor is level: it stands over the leg's own plane where that falls there.
    """
    if leg.flight or leg.mount != "deck":
        return 0.0
    half = job.system.post.plate_mm / 2
    beyond = half - station if at_start else station + half - leg.length_mm
    rise = leg.slope if at_start else -leg.slope
    return max(beyond, 0.0) * max(rise, 0.0)


def lift_over(job: Job, leg: PathLeg, other: PathLeg, station: float) -> float:
    """How much a base lies higher where it reaches onto the other leg's floor at a corner; else 0.

    The path turns toward the walking side, so that the floors meet along the bisector.
    """
    if leg.mount != "deck" or leg.flight or other.flight:
        return 0.0
    vertex = leg.end if other.number > leg.number else leg.origin
    way = add(leg.left, other.left)
    normal = (-way[1], way[0])
    into = other.travel if other.number > leg.number else scale(other.travel, -1.0)
    if dot((*normal, 0.0), into) < 0.0:
        normal = (-normal[0], -normal[1])
    plan = _half(_base(job, leg, leg.guard(station), leg.bearing_deg), vertex, normal)
    return max((_floor(other, point) - _floor(leg, point) for point in plan), default=0.0)


def _base(job: Job, leg: PathLeg, middle: Vec3, bearing_deg: float) -> list[Vec3]:
    """Corners of a base plate, or the post's axis where it has none."""
    if leg.mount != "deck":
        return [middle]
    half = job.system.post.plate_mm / 2
    ahead, aside = heading(bearing_deg), left_of(bearing_deg)
    return [
        add(middle, add(scale(ahead, x * half), scale(aside, y * half)))
        for x, y in ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    ]


def _floor(leg: PathLeg, point: Vec3) -> float:
    return leg.reference_z(dot(sub(point, leg.origin), leg.travel))


def _half(plan: Sequence[Vec3], on: Vec3, normal: Vec2) -> list[Vec3]:
    """What of a convex plan lies on the side of a line that a normal points to."""
    away = [dot(sub(point, on), (*normal, 0.0)) for point in plan]
    found: list[Vec3] = []
    for k, point in enumerate(plan):
        ahead = (k + 1) % len(plan)
        if away[k] >= 0.0:
            found.append(point)
        if away[k] * away[ahead] < 0.0:
            share = away[k] / (away[k] - away[ahead])
            found.append(add(point, scale(sub(plan[ahead], point), share)))
    return found
