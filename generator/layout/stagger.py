"""Whether the studs of two legs pass each other inside and behind the post that they share."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.frozen import dataclass
from generator.geometry import cosd, sind
from generator.spec.job import Fitting, Job
from generator.units import INCH_MM

_MARGIN_MM = INCH_MM / 16
# Turned less than this, one leg's nut sits where the other leg's stud comes in.
_IN_LINE_DEG = 40.0
_EPS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class StudRows:
    """Stud axes of one leg at the shared post: world heights on its axis, and their slope."""

    heights_mm: Sequence[float]
    slope: float


def studs_clear(job: Job, before: StudRows, after: StudRows, turn_deg: float) -> bool:
    """Whether every stud of one leg keeps 1/16 in from every stud (and nut) of the other.

    Studs that cross at an angle are nearest where they cross the post's axis; the distance of the
    two lines there is their difference in height times a factor of their directions. In line, or
    where the path turns back on itself, the nut and washer of the leg before lie where the studs
    of the leg after come in, and the other way round, so the distance is also kept there.
    """
    if _IN_LINE_DEG <= abs(turn_deg) <= 180.0 - _IN_LINE_DEG:
        keep = job.system.fitting.stud_mm + _MARGIN_MM
        spans = [(0.0, 0.0, keep / _skew_factor(before.slope, after.slope, turn_deg))]
        slopes = (0.0, 0.0)
    else:
        spans = _in_line_spans(job)
        back = -1.0 if abs(turn_deg) > 90.0 else 1.0
        slopes = (before.slope, back * after.slope)
    return all(
        _apart(a, slopes[0], b, slopes[1], spans)
        for a in before.heights_mm
        for b in after.heights_mm
    )


def _skew_factor(slope_a: float, slope_b: float, turn_deg: float) -> float:
    """Distance of two lines through one plumb axis, for a unit of height between them there.

    |(u x v).z| / |u x v| with u = (1, 0, a) and v = (cos, sin, b) of the turn.
    """
    cosine, sine = cosd(turn_deg), sind(turn_deg)
    across = (-slope_a * sine, slope_a * cosine - slope_b, sine)
    return abs(sine) / math.hypot(*across)


def _in_line_spans(job: Job) -> list[tuple[float, float, float]]:
    """(from, to, distance to keep) along the travel, 0 on the post's axis."""
    fitting = job.system.fitting
    half = job.system.post.width_mm / 2
    tail = half + fitting.washer_thickness_mm + fitting.nut_height_mm
    inside = fitting.stud_mm + _MARGIN_MM
    beside = (_nut_reach(fitting) + fitting.stud_mm) / 2 + _MARGIN_MM
    return [(-half, half, inside), (half, tail, beside), (-tail, -half, beside)]


def _nut_reach(fitting: Fitting) -> float:
    return max(fitting.washer_mm, 2 * fitting.nut_flats_mm / math.sqrt(3))


def _apart(
    a: float, slope_a: float, b: float, slope_b: float, spans: list[tuple[float, float, float]]
) -> bool:
    for start, end, keep in spans:
        first = a - b + (slope_a - slope_b) * start
        last = a - b + (slope_a - slope_b) * end
        crossing = first * last <= 0.0 and first != last
        if crossing or min(abs(first), abs(last)) < keep - _EPS_MM:
            return False
    return True
