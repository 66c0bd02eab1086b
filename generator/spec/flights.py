"""Checks of stairs across their fields: the three ways to measure one, and what its treads take."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.frozen import dataclass
from generator.spec.fields import RISERS
from generator.spec.leg_models import FlightSpec, StepSpec
from generator.spec.models import GuardSpec
from generator.spec.plain import Plain
from generator.textfile import Place

_MEASURES = ("risers", "rise", "tread", "going")
_ONE_STAIR = (*_MEASURES, "treads", "nosing", "tread_thickness", "open_risers", "width")


@dataclass(frozen=True, slots=True)
class Flight:
    """What can be read of a stair: smallest tread and riser, and its extent, mm; None where not."""

    tread_mm: float | None
    riser_mm: float | None
    going_mm: float
    rise_mm: float


def flight_problems(source: Plain) -> None:
    """Note everything that is wrong with stairs."""
    named: dict[object, Place] = {}
    for path in flight_paths(source):
        _three_ways(source, path)
        flight = flight_at(source, path)
        _treads(source, path, flight)
        read = source.at((*path, "name"))
        if isinstance(read, str | int):
            _same_stair(source, path, named.setdefault(read, path))


def flight_paths(source: Plain) -> Iterator[Place]:
    """Places of every stair that is a mapping."""
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        for index, kind in enumerate(source.kinds(legs)):
            path: Place = (*legs, index, "stair")
            if kind == "stair" and isinstance(source.at(path), dict):
                yield path


def flight_at(source: Plain, path: Place) -> Flight:
    """What can be read of the stair at `path`, in whichever of the three ways it is given."""
    if source.has((*path, "treads")):
        return _as_measured(source, (*path, "treads"))
    read = source.at((*path, "risers"))
    risers = read if isinstance(read, int) and not isinstance(read, bool) else None
    if risers not in RISERS:
        risers = None
    rise = source.length((*path, "rise"), FlightSpec)
    tread = source.length((*path, "tread"), FlightSpec)
    going = source.length((*path, "going"), FlightSpec)
    if tread is None and going is not None and risers is not None and risers > 1:
        tread = going / (risers - 1)
    riser = rise / risers if rise is not None and risers is not None else None
    return Flight(tread, riser, (tread or 0.0) * (risers or 0), rise or 0.0)


def _as_measured(source: Plain, treads: Place) -> Flight:
    steps = range(len(source.items(treads)))
    rises = [source.length((*treads, step, "rise"), StepSpec) for step in steps]
    goings = [source.length((*treads, step, "going"), StepSpec) for step in steps]
    full = [going for going in goings[:-1] or goings if going is not None]
    risers = [rise for rise in rises if rise is not None]
    return Flight(
        min(full, default=None), min(risers, default=None), math.fsum(full), math.fsum(risers)
    )


def _three_ways(source: Plain, path: Place) -> None:
    """Exactly one way to measure a stair, and all of it."""
    if source.has((*path, "treads")):
        for key in _MEASURES:
            if source.has((*path, key)):
                accepted = f"no {key}: treads as measured say it; or {key} without treads"
                source.refuse((*path, key), accepted)
        _goings(source, (*path, "treads"))
        return
    for key in ("risers", "rise"):
        if not source.has((*path, key)):
            source.missing((*path, key), f"a value: {FlightSpec.model_fields[key].description}")
    tread, going = source.has((*path, "tread")), source.has((*path, "going"))
    if tread and going:
        accepted = "tread, nosing to nosing, or going, first nosing to last: not both"
        source.refuse((*path, "going"), accepted)
    elif going and source.at((*path, "risers")) == 1:
        accepted = "tread in its place: one riser alone has no nosings to measure between"
        source.refuse((*path, "going"), accepted)
    elif not tread and not going:
        said = FlightSpec.model_fields["tread"].description
        source.missing((*path, "tread"), f"a value: {said}; or going, or treads as measured")


def _goings(source: Plain, treads: Place) -> None:
    """Every step but the last has a going; where there is one alone, it has."""
    steps = source.items(treads)
    for index in range(max(len(steps) - 1, min(len(steps), 1))):
        if isinstance(steps[index], dict) and not source.has((*treads, index, "going")):
            source.missing((*treads, index, "going"), "a value: nosing to nosing, level")


def _treads(source: Plain, path: Place, flight: Flight) -> None:
    """Nosing, setback and thickness that the treads can take."""
    tread, nosing = flight.tread_mm, source.length((*path, "nosing"), FlightSpec)
    if tread is not None and tread > 0 and nosing is not None:
        if nosing >= tread:
            source.refuse((*path, "nosing"), "less than the tread")
        setback = source.length(("guard", "stair_setback"), GuardSpec)
        if setback is not None and setback > tread + nosing:
            accepted = (
                "at most the depth of every tread, nosing and all: a post stands on its tread"
            )
            source.refuse(("guard", "stair_setback"), accepted)
    thickness = source.length((*path, "tread_thickness"), FlightSpec)
    if thickness is not None and flight.riser_mm is not None and 0 < flight.riser_mm <= thickness:
        source.refuse((*path, "tread_thickness"), "less than one riser")


def _same_stair(source: Plain, path: Place, first: Place) -> None:
    """Guards of two runs on one stair: their spec says the same of it."""
    for key in _ONE_STAIR:
        mine, theirs = (_value(source, (*place, key)) for place in (path, first))
        if mine != theirs:
            name = source.at((*path, "name"))
            accepted = f"the same {key} wherever stair {name} is named, as at runs[{first[1]}]"
            source.refuse((*path, key), accepted)


def _value(source: Plain, path: Place) -> object:
    """A value to compare with another: its length where it has one, so that spellings agree."""
    key = str(path[-1])
    if key == "treads":
        return [
            source.length((*path, step, part), StepSpec)
            for step, _ in enumerate(source.items(path))
            for part in ("rise", "going")
        ]
    if key in ("risers", "open_risers"):
        return source.at(path) or False
    return source.length(path, FlightSpec)
