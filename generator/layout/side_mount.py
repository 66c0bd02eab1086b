"""Bolts of posts that hang on a fascia or stringer: how far they reach in, and where two cross."""

from __future__ import annotations

from generator.geometry import Vec2, cross, dot, scale, sub
from generator.layout.model import PathLeg
from generator.spec.job import Job
from generator.units import INCH_MM

# Flat blocking behind a rim where no structure is told: a 2x.
BLOCKING_MM = 38.1
# Wood left between two bolts that pass each other.
_BETWEEN_MM = INCH_MM / 16
# Beyond a nut, at the least: common practice, no source.
_THREADS_OUT = 2


def wood_mm(job: Job, line: PathLeg) -> float:
    """What a side plate is bolted through: the stringer, or fascia, rim and a block behind it."""
    structure = job.structure
    if structure is None:
        return 2 * BLOCKING_MM
    if line.on_stringer:
        return structure.stringer_mm
    block = structure.joists.width_mm if structure.joists else BLOCKING_MM
    return structure.fascia_mm + structure.rim_mm + block


def pitch_mm(diameter_mm: float) -> float:
    """Pitch of the coarse thread of a bolt; of a size not listed the next coarser one.

    ASME B1.1 (UNC) and ISO 261 (coarse), from memory, not read.
    """
    listed = ((6.0, 1.0), (6.35, 1.27), (7.9375, 25.4 / 18), (8.0, 1.25), (9.525, 25.4 / 16),
              (10.0, 1.5), (12.0, 1.75), (12.7, 25.4 / 13), (15.875, 25.4 / 11), (16.0, 2.0),
              (19.05, 2.54), (20.0, 2.5), (24.0, 3.0))  # fmt: skip
    return next((pitch for size, pitch in listed if size >= diameter_mm - 1e-6), listed[-1][1])


def threads_out_mm(diameter_mm: float) -> float:
    """What of a through bolt has to stand out of its nut."""
    return _THREADS_OUT * pitch_mm(diameter_mm)


def bolt_length_mm(job: Job, wood: float, plate: float) -> float:
    """The shortest anchor that passes its washer, plate and wood, and takes its nut; mm.

    Of a through bolt two threads stand out of the nut (common practice, no source).
    """
    anchor = job.system.anchor
    need = anchor.washer_thickness_mm + plate + wood
    if anchor.style == "through-bolt":
        need += anchor.washer_thickness_mm + anchor.nut_height_mm
        need += threads_out_mm(anchor.diameter_mm)
    fitting = [length for length in anchor.lengths_mm if length >= need - 1e-6]
    return fitting[0] if fitting else anchor.lengths_mm[-1]


def let_down_mm(job: Job, before: tuple[PathLeg, float], after: tuple[PathLeg, float]) -> float:
    """How much lower the second of two posts hangs, so that its bolts pass those of the first.

    Each post is (its leg, its station). Round an outside corner the bolts of both run into the same
    wood; moved apart along their legs the posts would open the guard between them.
    """
    diameter = job.system.anchor.diameter_mm
    for a, (ax, ay) in _bolts(job, *before):
        for b, (bx, by) in _bolts(job, *after):
            if _nearest((a, (ax, ay)), (b, (bx, by))) < diameter + _BETWEEN_MM:
                return diameter + _BETWEEN_MM
    return 0.0


_Bolt = tuple[Vec2, Vec2]


def _bolts(job: Job, line: PathLeg, station: float) -> list[_Bolt]:
    """Both bolt columns in plan: head and tip."""
    post = job.system.post
    plate = post.side_plate_thickness_mm
    length = bolt_length_mm(job, wood_mm(job, line), plate)
    first = post.depth_mm / 2 + post.standoff_mm - plate - job.system.anchor.washer_thickness_mm
    inward = scale(line.left, line.side)
    found: list[_Bolt] = []
    for x in (-post.bolt_spacing_mm / 2, post.bolt_spacing_mm / 2):
        px, py, _ = line.guard(station + x)
        ends = [(px + inward[0] * n, py + inward[1] * n) for n in (first, first + length)]
        found.append((ends[0], ends[1]))
    return found


def _nearest(one: _Bolt, other: _Bolt) -> float:
    """Distance of two stretches in plan; 0 where they cross."""
    a, b = ((*one[0], 0.0), (*one[1], 0.0))
    c, d = ((*other[0], 0.0), (*other[1], 0.0))
    u, v, w = sub(b, a), sub(d, c), sub(c, a)
    across = cross(u, v)[2]
    if abs(across) > 1e-9:
        s, t = cross(w, v)[2] / across, cross(w, u)[2] / across
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            return 0.0
    found: list[float] = []
    for point, start, way in ((a, c, v), (b, c, v), (c, a, u), (d, a, u)):
        away = sub(point, start)
        t = min(max(dot(away, way) / dot(way, way), 0.0), 1.0)
        off = sub(away, scale(way, t))
        found.append(dot(off, off) ** 0.5)
    return min(found)
