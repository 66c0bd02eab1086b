"""The ground beside the edges of a spec: what is wrong with its points, and their frozen form."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.spec.flights import flight_at
from generator.spec.job import GradePoint
from generator.spec.leg_models import (
    MAX_GRADE,
    GradeSpec,
    LevelSpec,
    RampSpec,
    RunSpec,
    SlopeSpec,
    StairSpec,
)
from generator.spec.plain import Plain
from generator.textfile import Place, field_name
from generator.units import INCH_MM, format_length_with_unit

# What a tape can promise: a point may lie so far beyond the end of its leg.
_TAPE_MM = INCH_MM / 2
_SAME_MM = 1e-6


def grade_problems(source: Plain) -> None:
    """Note points of the ground that are told twice or not at all, or lie beyond their leg."""
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        for index, item in enumerate(source.items(legs)):
            if isinstance(item, dict) and "grade" in item:
                leg: Place = (*legs, index)
                length = _leg_length(source, leg, item)
                points = source.items((*leg, "grade"))[:MAX_GRADE]
                _points(source, (*leg, "grade"), points, length)


def _leg_length(source: Plain, leg: Place, item: dict[str, object]) -> float | None:
    """Length along the edge, mm; of a stair its going. None where it cannot be read."""
    if "level" in item:
        return source.length((*leg, "level"), LevelSpec)
    if "ramp" in item:
        return source.length((*leg, "ramp", "length"), SlopeSpec)
    path: Place = (*leg, "stair")
    if not isinstance(source.at(path), dict):
        return None
    flight, risers = flight_at(source, path), source.at((*path, "risers"))
    if source.has((*path, "treads")):
        return flight.going_mm
    if flight.tread_mm is None or not isinstance(risers, int):
        return None
    return flight.tread_mm * (risers - 1)


def _points(source: Plain, path: Place, points: list[object], length: float | None) -> None:
    seen: list[tuple[float, float | None, int]] = []
    for index, point in enumerate(points):
        if not isinstance(point, dict):
            continue  # the models report it
        place: Place = (*path, index)
        if "z" in point and "down" in point:
            source.refuse((*place, "down"), "z or down, not both")
        elif "z" not in point and "down" not in point:
            accepted = "a value: how high the ground lies, or down: how far under the edge"
            source.missing((*place, "z"), accepted)
        at = source.length((*place, "at"), GradeSpec)
        out = source.length((*place, "out"), GradeSpec) if "out" in point else None
        if at is None or ("out" in point and out is None):
            continue
        if length is not None and length > 0 and at > length + _TAPE_MM:
            words = format_length_with_unit(length, source.unit in ("mm", "cm", "m"), 64)
            source.refuse((*place, "at"), f"at most the length of the leg, {words}")
        _once(source, place, (at, out), seen)
        seen.append((at, out, index))


def _once(
    source: Plain,
    place: Place,
    point: tuple[float, float | None],
    seen: list[tuple[float, float | None, int]],
) -> None:
    """Each place once: as the lowest ground there, or point by point further out."""
    at, out = point
    for other_at, other, index in seen:
        if abs(other_at - at) > _SAME_MM:
            continue
        if out is None or other is None:
            accepted = f"out at every point of one place; grade[{index}] is at the same place"
        elif abs(other - out) <= _SAME_MM:
            accepted = f"each point once; grade[{index}] tells it too"
        else:
            continue
        key = "out" if source.has((*place, "out")) else "at"
        source.refuse((*place, key), accepted)
        return


def frozen_grades(runs: Sequence[RunSpec]) -> dict[str, tuple[GradePoint, ...]] | None:
    """Points of the ground by the place of their leg; None where none is told."""
    return dict(_grades(runs)) or None


def _grades(runs: Sequence[RunSpec]) -> Iterator[tuple[str, tuple[GradePoint, ...]]]:
    for index, run in enumerate(runs):
        for number, leg in enumerate(run.legs):
            if isinstance(leg, (LevelSpec, RampSpec, StairSpec)) and leg.grade:
                points = [GradePoint(p.at, p.out, p.z, p.down) for p in leg.grade]
                points.sort(key=lambda p: (p.at_mm, p.out_mm or 0.0))
                yield field_name(("runs", index, "legs", number)), tuple(points)
