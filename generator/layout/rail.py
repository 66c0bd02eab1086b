"""The rail line of a leg: where it begins and ends, its cuts, and its joints on posts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from generator.errors import InputError, Problem
from generator.geometry import EndPlane, tand
from generator.layout.model import PathLeg, RailPiece
from generator.spec.job import Job


@dataclass(frozen=True, slots=True)
class RailEndCut:
    """Station of the centre line's end and the slopes of the cut there (0, 0 is square)."""

    station_mm: float
    slope_x: float
    slope_y: float
    on: str


def square_end(station_mm: float, on: str) -> RailEndCut:
    return RailEndCut(station_mm, 0.0, 0.0, on)


def turn_miter(station_mm: float, turn_deg: float, *, at_start: bool) -> RailEndCut:
    """Half of the turn, plumb: the inner side of the bend is the shorter one."""
    slope = tand(turn_deg / 2)
    return RailEndCut(station_mm, slope if at_start else -slope, 0.0, "miter")


def pitch_miter(
    top_station_mm: float, change_deg: float, depth_mm: float, *, at_start: bool
) -> RailEndCut:
    """Half of the change of pitch, where the two top lines meet at `top_station_mm`.

    The bisecting plane leans, so the centre lines meet beside that station by half the depth times
    the tangent of half the change; it is the same point for both pieces.
    """
    half = math.tan(math.radians(change_deg / 2))
    centre = top_station_mm + half * depth_mm / 2
    return RailEndCut(centre, 0.0, half if at_start else -half, "miter")


def plumb_drop(nosing_station_mm: float, slope: float) -> RailEndCut:
    """A plumb cut of a pitched piece over the nosing, where the level height drops (G)."""
    return RailEndCut(nosing_station_mm, 0.0, slope, "plumb drop")


def rail_pieces(
    job: Job, leg: PathLeg, start: RailEndCut, end: RailEndCut, joints_mm: Sequence[float]
) -> tuple[RailPiece, ...]:
    """The fewest pieces from the stock that join on intermediate posts, the longest one shortest.

    Without stock a leg is one piece. A bay longer than every stock length is an input error.
    """
    stretch = math.hypot(1.0, leg.slope)
    ends = [start.station_mm, *joints_mm, end.station_mm]
    extra = _long_point_extra(job, start), _long_point_extra(job, end)
    chosen = _fewest_pieces(job, leg, [s * stretch for s in ends], extra)
    pieces = []
    for a, b in pairwise(chosen):
        first, last = a == 0, b == len(ends) - 1
        run = (ends[b] - ends[a]) * stretch
        pieces.append(
            RailPiece(
                start_mm=ends[a],
                end_mm=ends[b],
                start_cut=EndPlane(0.0, start.slope_x, start.slope_y) if first else EndPlane(0.0),
                end_cut=EndPlane(run, end.slope_x, end.slope_y) if last else EndPlane(run),
                start_on=start.on if first else "joint on post",
                end_on=end.on if last else "joint on post",
            )
        )
    return tuple(pieces)


def _long_point_extra(job: Job, cut: RailEndCut) -> float:
    rail = job.system.rail
    return abs(cut.slope_x) * rail.width_mm / 2 + abs(cut.slope_y) * rail.depth_mm / 2


def _fewest_pieces(
    job: Job, leg: PathLeg, ends: Sequence[float], extra: tuple[float, float]
) -> list[int]:
    """Indices of the ends and joints used: shortest path over (pieces, longest piece)."""
    last = len(ends) - 1
    longest_stock = max((s.length_mm for s in job.stock.rail), default=0.0) if job.stock else 0.0
    if not longest_stock:
        return [0, last]

    def taken(a: int, b: int) -> float:
        tips = (extra[0] if a == 0 else 0.0) + (extra[1] if b == last else 0.0)
        return ends[b] - ends[a] + tips

    best: list[tuple[int, float, int] | None] = [(0, 0.0, 0)] + [None] * last
    for b in range(1, last + 1):
        for a in range(b - 1, -1, -1):
            length = taken(a, b)
            if length > longest_stock + 1e-6:
                break
            before = best[a]
            if before is None:
                continue
            offer = (before[0] + 1, max(before[1], length), a)
            current = best[b]
            if current is None or offer[:2] < (current[0], current[1] - 1e-6):
                best[b] = offer
    if best[last] is None:
        raise _stock_too_short(leg, longest_stock)
    path = [last]
    while path[-1]:
        step = best[path[-1]]
        assert step is not None
        path.append(step[2])
    return path[::-1]


def _stock_too_short(leg: PathLeg, longest_mm: float) -> InputError:
    return InputError(
        [
            Problem(
                "",
                0,
                0,
                "stock.rail",
                f"longest length {longest_mm:.0f} mm, shorter than a bay of {leg.path}",
                "accepted: a stock length that spans every bay, or closer posts",
            )
        ]
    )
