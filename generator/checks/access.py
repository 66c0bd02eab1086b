"""Room before a wall: `anchor.access` for a wrench at cable ends, `clash.parts` for the rail."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from generator.checks.nearby import Field, field_of, fields_about, prism_corners
from generator.checks.outcome import Bound, Outcome, fine, round_down, round_up, rule_bound, shop
from generator.geometry import Vec3, cross, dot, scale, sub
from generator.parts.assembly import Assembly, Part
from generator.parts.measure import rail_lengths
from generator.parts.report import Edit
from generator.parts.shapes import Prism, Turned
from generator.spec.job import Job


def check_access(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the tightest fitting in front of each wall."""
    job = assembly.job
    bound = rule_bound(job, "practice.wall-tool-reach", "at least")
    assert bound.value is not None
    by_run: dict[str, list[Part]] = defaultdict(list)
    by_field: dict[Field, list[Part]] = defaultdict(list)
    for fitting in assembly.of_kind("fitting"):
        by_run[fitting.run].append(fitting)
        by_field[field_of(fitting.place.origin)].append(fitting)
    for wall in assembly.of_kind("wall"):
        # The wall's own run, and whatever else stands so near that a wrench could meet it.
        near = {id(f): f for f in by_run[wall.run]}
        for field in fields_about(prism_corners(wall), bound.value):
            near |= {id(f): f for f in by_field.get(field, ())}
        rooms = [
            (room, f.mark) for f in near.values() if (room := room_behind(f, wall)) is not None
        ]
        if not rooms:
            continue
        room, mark = min(rooms)
        gap = round_up(job, job.guard.wall_gap_mm + bound.value - room)
        yield Outcome(
            "anchor.access",
            (mark, wall.mark),
            room,
            bound,
            f"behind {mark} there are {fine(job, room)} to {wall.mark}; a wrench wants "
            f"{shop(job, bound.value)}",
            f"set the end post {shop(job, gap)} off the wall, or pull the cables at the other end",
            (Edit("guard.wall_gap", shop(job, gap)),),
        )


def check_rail_at_walls(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the gap of every rail that ends before a wall, against its own growth in heat."""
    job = assembly.job
    for wall in assembly.of_kind("wall"):
        leg = next(leg for leg in assembly.legs if (leg.run, leg.number) == (wall.run, wall.leg))
        rails = [assembly.by_mark[mark] for mark in leg.rails]
        gaps = [(gap, r.mark) for r in rails if (gap := _rail_gap(r, wall)) is not None]
        if not gaps:
            continue
        gap, mark = min(gaps)
        growth = _growth(job, rails)
        need = round_down(job, job.guard.run_on_mm - (growth - gap)) if growth > gap else 0.0
        yield Outcome(
            "clash.parts",
            (mark, wall.mark),
            gap,
            Bound(growth, "at least", "mm", "growth of the rail in heat", "mechanics", True),
            f"{mark} ends {fine(job, gap)} before {wall.mark} and may grow by "
            f"{fine(job, growth)} over its temperature range",
            "let the rail run on less, or set the end post further off the wall",
            (Edit("guard.run_on", shop(job, need)),) if need > 0.0 else (),
            severity="fail" if gap < 0.0 else "warn",
        )


def _growth(job: Job, rails: list[Part]) -> float:
    """Of the whole rail line of a leg, set in the middle of the range: alpha L dT / 2."""
    name = job.system.rail.material
    expansion = next((m.expansion_per_k for m in job.system.materials if m.name == name), 0.0)
    return expansion * sum(rail_lengths(rail)[2] for rail in rails) * job.guard.temperature_k / 2


def _rail_gap(rail: Part, wall: Part) -> float | None:
    """From either end of a rail, on along its axis, to the wall."""
    shape = rail.shape
    assert isinstance(shape, Prism)
    ends = ((shape.start.z_mm, -1.0), (shape.end.z_mm, 1.0))
    gaps = [
        gap
        for z, way in ends
        if (gap := _to_body(rail.place.point((0.0, 0.0, z)), scale(rail.place.z, way), wall))
        is not None
    ]
    return min(gaps, default=None)


def room_behind(fitting: Part, wall: Part) -> float | None:
    """From the tip of a stud, on along its axis, to the wall; None where it points elsewhere."""
    shape = fitting.shape
    assert isinstance(shape, Turned)
    tip = fitting.place.point((0.0, 0.0, shape.steps[0].start_mm))
    return _to_body(tip, scale(fitting.place.z, -1.0), wall)


def _to_body(tip: Vec3, out: Vec3, wall: Part) -> float | None:
    """Distance from a point along a direction to an upright body, None where it misses."""
    body = wall.shape
    assert isinstance(body, Prism)
    corners = [wall.place.point((x, y, 0.0)) for x, y in body.section.outer.corners]
    rooms = [
        room
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
        if (room := _to_side(tip, out, a, b)) is not None
    ]
    low, high = wall.place.origin[2], wall.place.origin[2] + body.end.z_mm
    return min(rooms, default=None) if low <= tip[2] <= high else None


def _to_side(tip: Vec3, out: Vec3, a: Vec3, b: Vec3) -> float | None:
    """Level distance along `out` to the upright side from a to b, if it is met from outside."""
    side = sub(b, a)
    normal = cross(side, (0.0, 0.0, 1.0))
    facing = dot(out, normal)
    if facing >= -1e-12:
        return None
    t = dot(sub(a, tip), normal) / facing
    meets = (tip[0] + out[0] * t - a[0], tip[1] + out[1] * t - a[1], 0.0)
    along = dot(meets, side) / dot(side, side)
    return t if t >= -1e-6 and -1e-9 <= along <= 1.0 + 1e-9 else None
