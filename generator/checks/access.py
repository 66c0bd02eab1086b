"""`anchor.access`: room to turn a wrench on the nut of a cable's end beside a wall."""

from __future__ import annotations

from collections.abc import Iterator

from generator.checks.outcome import Outcome, fine, round_up, rule_bound, shop
from generator.geometry import Vec3, cross, dot, sub
from generator.parts.assembly import Assembly, Part
from generator.parts.report import Edit
from generator.parts.shapes import Prism, Turned


def check_access(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the tightest fitting in front of each wall."""
    job = assembly.job
    bound = rule_bound(job, "practice.wall-tool-reach", "at least")
    assert bound.value is not None
    fittings = list(assembly.of_kind("fitting"))
    for wall in assembly.of_kind("wall"):
        rooms = [(room, f.mark) for f in fittings if (room := room_behind(f, wall)) is not None]
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


def room_behind(fitting: Part, wall: Part) -> float | None:
    """From the tip of a stud, on along its axis, to the wall; None where it points elsewhere."""
    shape, body = fitting.shape, wall.shape
    assert isinstance(shape, Turned)
    assert isinstance(body, Prism)
    tip = fitting.place.point((0.0, 0.0, shape.steps[0].start_mm))
    out = fitting.place.vector((0.0, 0.0, -1.0))
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
