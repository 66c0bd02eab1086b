"""Heights of the cable rows: from the bottom gap at the spacing, up to the rail."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.spec.job import Job
from generator.units import INCH_MM

# A row nearer than this under the rail is left out (geometry.md E).
_LEAST_TOP_GAP_MM = 0.5 * INCH_MM
_SIXTEENTH_MM = INCH_MM / 16
_EPS_MM = 1e-6


def row_heights(
    job: Job, first_mm: float, under_mm: float, cosine: float, spacing_mm: float
) -> tuple[float, ...]:
    """Vertical heights of the cable axes over the reference line, lowest first.

    `first_mm` is the lowest axis, `under_mm` the underside of the rail, both vertical over that
    line; `cosine` is of the pitch, since clear gaps count square to the cables. `spacing_mm` is
    plumb between rows.
    """
    if job.guard.rows == "even":
        return _even_rows(job, first_mm, under_mm, cosine)
    diameter, most = job.system.cable.diameter_mm, job.guard.cable_spacing_mm
    rows = [first_mm]
    while _gap_under(under_mm, rows[-1], cosine, diameter) > most - diameter + _EPS_MM:
        following = first_mm + spacing_mm * len(rows)
        if _gap_under(under_mm, following, cosine, diameter) < _LEAST_TOP_GAP_MM - _EPS_MM:
            break
        rows.append(following)
    return tuple(rows)


def _gap_under(under_mm: float, axis_mm: float, cosine: float, diameter: float) -> float:
    return (under_mm - axis_mm) * cosine - diameter / 2


def _even_rows(job: Job, first_mm: float, under_mm: float, cosine: float) -> tuple[float, ...]:
    """The fewest rows whose clear gaps, that under the rail included, are all alike and kept."""
    diameter = job.system.cable.diameter_mm
    # n gaps of (pitch - d) and n - 1 cables between the lowest axis and the rail.
    span = (under_mm - first_mm) * cosine + diameter / 2
    count = max(1, math.ceil(span / job.guard.cable_spacing_mm - 1e-9))
    pitch = span / count / cosine
    return tuple(first_mm + pitch * k for k in range(count))


def shifts(job: Job) -> Iterator[float]:
    """Moves of a leg's rows worth trying, in mm: none, then down, then up, least first.

    Last come moves by less than a stud, which help only where two posts are shared.
    """
    least = job.system.fitting.stud_mm + _SIXTEENTH_MM
    steps = math.floor((job.guard.cable_spacing_mm - least) / _SIXTEENTH_MM)
    yield 0.0
    for sign in (-1.0, 1.0):
        for k in range(max(steps, 0) + 1):
            yield sign * (least + k * _SIXTEENTH_MM)
    for k in range(1, math.ceil(least / _SIXTEENTH_MM - 1e-9)):
        yield -k * _SIXTEENTH_MM
        yield k * _SIXTEENTH_MM
