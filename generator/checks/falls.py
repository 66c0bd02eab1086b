"""How far one can fall beside a leg: its walking surface over the ground that the spec tells.

Between points the ground runs straight, along the edge and out from it, so that a fall is straight
from breakpoint to breakpoint: where it passes a limit is solved for, not sampled.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from generator.checks.view import LegView, Surface
from generator.frozen import dataclass
from generator.parts.legs import edge_length
from generator.spec.job import GradePoint
from generator.units import INCH_MM

Span = tuple[float, float]
"""From and to along the edge of a leg, mm."""

_EPS = 1e-6
# A section within this of a leg's end holds to the end: what a tape can promise.
_TAPE_MM = INCH_MM / 2


@dataclass(frozen=True, slots=True)
class Falls:
    """The fall beside a leg, from `start` to `end` along its edge.

    `pieces` are (from, to, fall there, fall here), each straight; `ground` the same of the
    ground's height; of `unknown` the ground is not told as far out as it counts.
    """

    length_mm: float
    pieces: tuple[tuple[float, float, float, float], ...]
    ground: tuple[tuple[float, float, float, float], ...]
    unknown: tuple[Span, ...]

    def beyond(self, limit_mm: float, *, inclusive: bool = False) -> tuple[Span, ...]:
        """Where the fall is more than a limit (or that much, inclusive), or is not known."""
        threshold = limit_mm - _EPS if inclusive else limit_mm + _EPS
        found = list(self.unknown)
        for start, end, first, last in self.pieces:
            span = _over(start, end, first - threshold, last - threshold)
            if span is not None:
                found.append(span)
        return _joined(found)

    @property
    def greatest(self) -> tuple[float, float] | None:
        """(fall, place along the edge) where it is greatest of what is known."""
        ends = [
            (fall, s)
            for start, end, first, last in self.pieces
            for s, fall in ((start, first), (end, last))
        ]
        return max(ends, key=lambda pair: (round(pair[0], 6), -pair[1]), default=None)

    def ground_at(self, s_mm: float) -> float | None:
        """The lowest ground beside the edge at s, None where nothing of it is told."""
        found = [
            first + (last - first) * (s_mm - start) / (end - start)
            for start, end, first, last in self.ground
            if start - _EPS <= s_mm <= end + _EPS
        ]
        return min(found, default=None)


def falls(view: LegView, points: Sequence[GradePoint], reach_mm: float) -> Falls:
    """The fall beside a leg as far out as `reach_mm`, from its surfaces and the ground's points."""
    length = edge_length(view.leg)
    sections = _sections(view, points, length)
    ground: list[tuple[float, float, float, float]] = []
    unknown = [(0.0, sections[0].at_mm), (sections[-1].at_mm, length)]
    for before, after in pairwise(sections):
        outs = sorted({0.0, reach_mm, *before.outs, *after.outs})
        for out in outs:
            if out <= reach_mm:
                ends = (before.at_mm, after.at_mm)
                ground.append((*ends, before.height_at(out), after.height_at(out)))
        if min(before.reach_mm, after.reach_mm) < reach_mm - _EPS:
            unknown.append((before.at_mm, after.at_mm))
    pieces = [
        piece
        for start, end, step in _walked(view, length)
        for low in ground
        if (piece := _piece(start, end, step, low)) is not None
    ]
    bare = _joined([span for span in unknown if span[1] - span[0] > _EPS])
    return Falls(length, tuple(pieces), tuple(ground), bare)


@dataclass(frozen=True, slots=True)
class _Section:
    """The ground across an edge at one place: `points` are (out, height), from the edge out."""

    at_mm: float
    points: tuple[tuple[float, float], ...]
    reach_mm: float

    @property
    def outs(self) -> list[float]:
        return [out for out, _ in self.points]

    def height_at(self, out_mm: float) -> float:
        """Height at a distance out; before the first point and beyond the last as there."""
        points = self.points
        if out_mm <= points[0][0]:
            return points[0][1]
        for (a, low), (b, high) in pairwise(points):
            if out_mm <= b:
                return low + (high - low) * (out_mm - a) / (b - a)
        return points[-1][1]


def _sections(view: LegView, points: Sequence[GradePoint], length: float) -> list[_Section]:
    """The sections in order along the edge; one alone holds from end to end."""
    places = sorted({point.at_mm for point in points})
    found = []
    for place in places:
        here = [point for point in points if point.at_mm == place]
        at = min(max(place, 0.0), length)
        spots = [0.0, length] if len(places) == 1 else [at]
        if len(places) > 1 and place == places[0] and at <= _TAPE_MM:
            spots = [0.0]
        if len(places) > 1 and place == places[-1] and at >= length - _TAPE_MM:
            spots = [length]
        found += [_section(view, here, spot, length) for spot in spots]
    return found


def _section(view: LegView, points: Sequence[GradePoint], s_mm: float, length: float) -> _Section:
    start, end = view.leg.edge_start[2], view.leg.edge_end[2]
    edge = start + (end - start) * s_mm / length if length else start
    heights = tuple(
        (point.out_mm or 0.0, edge - (point.down_mm or 0.0) if point.z_mm is None else point.z_mm)
        for point in points
    )
    lowest = points[0].out_mm is None
    return _Section(s_mm, heights, float("inf") if lowest else heights[-1][0])


def _walked(view: LegView, length: float) -> list[tuple[float, float, Surface]]:
    """(from, to, surface) of what one walks on along the leg's edge; a deck from end to end."""
    own = [s for s in view.surfaces if s.mark in view.leg.surfaces]
    found = []
    for k, surface in enumerate(own):
        start, end = surface.start_mm, surface.end_mm
        if view.leg.kind != "stair":
            start = 0.0 if k == 0 else start
            end = length if k == len(own) - 1 else end
        start, end = max(start, 0.0), min(end, length)
        if end - start > _EPS:
            found.append((start, end, surface))
    return found


def _piece(
    start: float, end: float, step: Surface, low: tuple[float, float, float, float]
) -> tuple[float, float, float, float] | None:
    """The fall from a surface to a straight stretch of ground, over what both cover."""
    a, b, first, last = low
    begin, stop = max(start, a), min(end, b)
    if stop - begin <= _EPS:
        return None
    slope = (last - first) / (b - a)
    here, there = (step.top_at(s) - first - slope * (s - a) for s in (begin, stop))
    return (begin, stop, here, there)


def _over(start: float, end: float, first: float, last: float) -> Span | None:
    """Where a straight value is above 0."""
    if first <= 0.0 and last <= 0.0:
        return None
    if first > 0.0 and last > 0.0:
        return (start, end)
    crossing = start + (end - start) * first / (first - last)
    return (start, crossing) if first > 0.0 else (crossing, end)


def _joined(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Spans in order, those that touch made one."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1] + _EPS:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return tuple(found)
