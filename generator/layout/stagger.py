"""Whether the studs of two legs pass each other inside and behind the post that they share."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2, cosd, sind
from generator.spec.job import Job
from generator.units import INCH_MM

# Least thickness of a bevelled seat, at its thin edge.
SEAT_EDGE_MM = 1.0
_MARGIN_MM = INCH_MM / 16
# Turned less than this, one leg's nut sits where the other leg's stud comes in.
_IN_LINE_DEG = 40.0
_EPS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class StudRows:
    """Stud axes of one leg at the shared post: world heights on its axis, and their slope."""

    heights_mm: Sequence[float]
    slope: float


def barred(job: Job, slope_a: float, slope_b: float, turn_deg: float) -> tuple[Vec2, ...]:
    """Differences in height, a over b on the post's axis, at which two legs' studs would meet.

    `a` is of the leg before. Every stud keeps 1/16 in from every stud (and nut) of the other leg.
    Studs that cross at an angle are nearest where they cross the post's axis; the distance of the
    two lines there is their difference in height times a factor of their directions. In line, or
    where the path turns back on itself, the nut and washer of the leg before lie where the studs
    of the leg after come in, and the other way round, so the distance is also kept there.
    """
    if _IN_LINE_DEG <= abs(turn_deg) <= 180.0 - _IN_LINE_DEG:
        keep = job.system.fitting.stud_mm + _MARGIN_MM
        keep /= _skew_factor(slope_a, slope_b, turn_deg)
        return ((-keep, keep),)
    back = -1.0 if abs(turn_deg) > 90.0 else 1.0
    return tuple(_in_line(job, slope_a, back * slope_b))


def apart(a: Sequence[float], b: Sequence[float], barred: Sequence[Vec2]) -> bool:
    """Whether no height of one leg is a barred difference over one of the other."""
    return not any(
        low + _EPS_MM < over - under < high - _EPS_MM
        for over in a
        for under in b
        for low, high in barred
    )


def _skew_factor(slope_a: float, slope_b: float, turn_deg: float) -> float:
    """Distance of two lines through one plumb axis, for a unit of height between them there.

    |(u x v).z| / |u x v| with u = (1, 0, a) and v = (cos, sin, b) of the turn.
    """
    cosine, sine = cosd(turn_deg), sind(turn_deg)
    across = (-slope_a * sine, slope_a * cosine - slope_b, sine)
    return abs(sine) / math.hypot(*across)


def _in_line(job: Job, slope_a: float, slope_b: float) -> Iterator[Vec2]:
    """The barred differences of two legs in line."""
    fitting, half = job.system.fitting, job.system.post.width_mm / 2
    stretch_a, stretch_b = math.hypot(1.0, slope_a), math.hypot(1.0, slope_b)
    # Stud beside stud within the tube, where they draw nearer to one of its faces.
    keep = (fitting.stud_mm + _MARGIN_MM) * max(stretch_a, stretch_b)
    reach = keep + abs(slope_a - slope_b) * half
    yield -reach, reach
    # What holds the leg before, beyond the post, beside the studs of the leg after.
    keep = (fitting.stud_mm / 2 + _MARGIN_MM) * stretch_b
    over = [z - slope_b * x for x, z in hardware(job, slope_a)]
    yield -keep - max(over), keep - min(over)
    # The same on the other side: seen from there the legs run the other way.
    keep = (fitting.stud_mm / 2 + _MARGIN_MM) * stretch_a
    over = [z + slope_a * x for x, z in hardware(job, -slope_b)]
    yield min(over) - keep, max(over) + keep


def hardware(job: Job, slope: float) -> list[Vec2]:
    """Corners of washer and nut behind a post, (out from its axis, over the cable's axis there).

    `slope` is of the cable's axis as it runs out. Across corners the nut is drawn as it may turn.
    """
    fitting, stretch = job.system.fitting, math.hypot(1.0, slope)
    begin = job.system.post.width_mm / 2 * stretch
    seat = SEAT_EDGE_MM + fitting.washer_mm / 2 * abs(slope) if abs(slope) > 1e-9 else 0.0
    on = begin + seat + fitting.washer_thickness_mm
    nut = fitting.nut_flats_mm / math.sqrt(3)
    found: list[Vec2] = []
    for start, end, radius in (
        (begin, on, fitting.washer_mm / 2),
        (on, on + fitting.nut_height_mm, nut),
    ):
        found += [
            ((along - slope * r) / stretch, (along * slope + r) / stretch)
            for along in (start, end)
            for r in (-radius, radius)
        ]
    return found
