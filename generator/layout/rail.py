"""Rail geometry: centre lines, cut planes across them, and joints on posts from stock lengths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from generator.frozen import dataclass
from generator.geometry import (
    EndPlane,
    Frame,
    Vec3,
    add,
    along,
    cross,
    dot,
    lengthwise,
    norm,
    scale,
    sub,
    unit,
)
from generator.layout.model import PathLeg, RailPiece
from generator.spec.job import Job


@dataclass(frozen=True, slots=True)
class RailLine:
    """The straight line of a leg's rail: `frame` on its centre line where the station is 0.

    `stretch` is length along the line for a unit of level length; `depth_mm` is of the section.
    """

    frame: Frame
    stretch: float
    depth_mm: float

    def top(self, t_mm: float) -> Vec3:
        """Point of the top line square to the centre line's point at t."""
        return along(along(self.frame.origin, self.frame.z, t_mm), self.frame.y, self.depth_mm / 2)

    def top_at_station(self, station_mm: float) -> Vec3:
        """Point of the top line plumb over the centre line's point at that station."""
        at = along(self.frame.origin, self.frame.z, station_mm * self.stretch)
        return add(at, (0.0, 0.0, self.depth_mm / 2 * self.stretch))


def plumb_line(top: Vec3, bearing_deg: float, depth_mm: float, *, down: bool) -> RailLine:
    """A plumb rail whose top line, its side toward the stair, begins at a point."""
    frame = lengthwise(top, bearing_deg, -90.0 if down else 90.0)
    centre = along(top, frame.y, -depth_mm / 2)
    return RailLine(Frame(centre, frame.x, frame.y, frame.z), 1.0, depth_mm)


@dataclass(frozen=True, slots=True)
class RailCut:
    """Where a cut meets the centre line, its slopes in the line's frame, and how it is joined."""

    t_mm: float
    slope_x: float
    slope_y: float
    on: str


def rail_line(leg: PathLeg, top_mm: float, depth_mm: float) -> RailLine:
    """The rail of a leg, its top `top_mm` plumb over the leg's reference line."""
    x, y, z = leg.guard(0.0)
    centre = (x, y, z + top_mm - depth_mm / 2 * leg.stretch)
    return RailLine(lengthwise(centre, leg.bearing_deg, leg.pitch_deg), leg.stretch, depth_mm)


def line_between(start_top: Vec3, end_top: Vec3, bearing_deg: float, depth_mm: float) -> RailLine:
    """A rail whose top line runs from point to point, level `bearing_deg`."""
    run = math.hypot(end_top[0] - start_top[0], end_top[1] - start_top[1])
    slope = (end_top[2] - start_top[2]) / run
    stretch = math.hypot(1.0, slope)
    centre = add(start_top, (0.0, 0.0, -depth_mm / 2 * stretch))
    frame = lengthwise(centre, bearing_deg, math.degrees(math.atan(slope)))
    return RailLine(frame, stretch, depth_mm)


def cut_by(line: RailLine, point: Vec3, normal: Vec3, on: str) -> RailCut:
    """The cut of a rail by the plane through `point` square to `normal`."""
    frame = line.frame
    a, b, c = frame.local_vector(normal)
    away = dot(sub(point, frame.origin), normal) / dot(frame.z, normal)
    return RailCut(away, _clean(-a / c), _clean(-b / c), on)


def _clean(slope: float) -> float:
    return 0.0 if abs(slope) < 1e-12 else slope


def square_cut(line: RailLine, station_mm: float, on: str) -> RailCut:
    return RailCut(station_mm * line.stretch, 0.0, 0.0, on)


def plumb_cut(line: RailLine, station_mm: float, on: str) -> RailCut:
    """Plumb and square to the leg in plan, through the centre line at that station."""
    z = line.frame.z
    return RailCut(station_mm * line.stretch, 0.0, z[2] * line.stretch, on)


def twist_deg(before: Frame, after: Frame) -> float:
    """Angle by which the sections of two mitered rails are turned against each other.

    The section of one, reflected in the bisecting plane, against that of the other (reference.md
    section 8): a rectangular miter closes only at 0.
    """
    normal = unit(add(before.z, after.z))
    mirrored = sub(before.y, scale(normal, 2.0 * dot(before.y, normal)))
    return math.degrees(math.atan2(norm(cross(mirrored, after.y)), dot(mirrored, after.y)))


def miter_cuts(before: RailLine, after: RailLine, top: Vec3) -> tuple[RailCut, RailCut]:
    """Both cuts of a miter: the plane that bisects the two directions, through the top point."""
    normal = unit(add(before.frame.z, after.frame.z))
    return cut_by(before, top, normal, "miter"), cut_by(after, top, normal, "miter")


@dataclass(frozen=True, slots=True)
class Stretch:
    """A straight piece of rail line between two cuts, before its joints are chosen.

    `stops_mm` lie along the line: its two ends and between them where a square joint may be;
    `must` indexes those where one must be. `half_mm` is half the section's width and depth,
    `joint_on` what a joint is on, `path` the leg's place in the spec.
    """

    line: RailLine
    start: RailCut
    end: RailCut
    stops_mm: tuple[float, ...]
    must: tuple[int, ...]
    half_mm: tuple[float, float]
    joint_on: str
    path: str

    def pieces(self, joints: Sequence[int] = ()) -> tuple[RailPiece, ...]:
        """The pieces between the joints, which index the stops; those that must be are among them.

        Joints are square, so that an end of a piece is square where it is not one of the line's.
        """
        frame, start, end = self.line.frame, self.start, self.end
        last = len(self.stops_mm) - 1
        made = []
        for a, b in pairwise([0, *sorted({*joints, *self.must}), last]):
            length = self.stops_mm[b] - self.stops_mm[a]
            cut, stop = EndPlane(0.0), EndPlane(length)
            if a == 0:
                cut = EndPlane(0.0, start.slope_x, start.slope_y)
            if b == last:
                stop = EndPlane(length, end.slope_x, end.slope_y)
            origin = along(frame.origin, frame.z, self.stops_mm[a])
            made.append(
                RailPiece(
                    place=Frame(origin, frame.x, frame.y, frame.z),
                    length_mm=length,
                    start_cut=cut,
                    end_cut=stop,
                    start_on=start.on if a == 0 else self.joint_on,
                    end_on=end.on if b == last else self.joint_on,
                )
            )
        return tuple(made)


def stretch(
    job: Job,
    leg: PathLeg,
    line: RailLine,
    start: RailCut,
    end: RailCut,
    joints_mm: Sequence[float],
    forced_mm: Sequence[float] = (),
    half_mm: tuple[float, float] | None = None,
    joint_on: str = "joint on post",
) -> Stretch:
    """The line between two cuts with the stations where a joint may be, and where one must be.

    `half_mm` is half the section's width and depth where it is not the guard's rail.
    """
    half = half_mm or (job.system.rail.width_mm / 2, job.system.rail.depth_mm / 2)
    must = {station * line.stretch for station in forced_mm}
    inner = sorted({station * line.stretch for station in joints_mm} | must)
    inner = [t for t in inner if start.t_mm < t < end.t_mm]
    return Stretch(
        line=line,
        start=start,
        end=end,
        stops_mm=(start.t_mm, *inner, end.t_mm),
        must=tuple(k for k, t in enumerate(inner, start=1) if t in must),
        half_mm=half,
        joint_on=joint_on,
        path=leg.path,
    )
