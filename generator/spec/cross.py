"""Checks across fields of a spec, on whatever of it can be read: they refuse nonsense only.

They work on the file's plain values, so that a fault in one place does not hide one in another.
A measure that cannot be read is left to the models, which report it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.catalog.fit import misfits
from generator.errors import Problem
from generator.spec.fields import RISERS
from generator.spec.job import System
from generator.spec.models import (
    FlightSpec,
    GuardSpec,
    JoistsSpec,
    LevelSpec,
    StockLengthSpec,
    StockSpec,
)
from generator.spec.plain import Plain, plain_values
from generator.spec.sequence import sequence_problems
from generator.textfile import Document, Place
from generator.units import format_length_with_unit

MAX_POSTS = 200_000
MAX_ROWS = 200
_MAX_SPACERS = 1_000_000


def cross_problems(document: Document) -> list[Problem]:
    """Everything that is wrong between fields."""
    source = plain_values(document)
    _guard(source)
    _stock(source)
    _joists(source)
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        for index, kind in enumerate(source.kinds(legs)):
            if kind == "stair":
                _flight(source, (*legs, index, "stair"))
    sequence_problems(source)
    _amount(source)
    return source.problems


def system_problems(document: Document, system: System) -> list[Problem]:
    """What is wrong between the profiles of a job, and between them and its measures."""
    source = plain_values(document)
    post, rail, bracket, cable = system.post, system.rail, system.bracket, system.cable
    for misfit in misfits(post, rail, bracket, cable, system.fitting, system.anchor, system.spacer):
        source.refuse(("system", misfit.part), misfit.accepted, misfit.read)

    def words(mm: float) -> str:
        return format_length_with_unit(mm, source.unit in ("mm", "cm", "m"), 64)

    spacing = source.length(("guard", "cable_spacing"), GuardSpec)
    if spacing is not None and 0 < spacing <= cable.max_diameter_mm:
        accepted = f"more than the cable is thick, {words(cable.max_diameter_mm)}"
        source.refuse(("guard", "cable_spacing"), accepted)
    gap = source.length(("guard", "bottom_gap"), GuardSpec) or 0.0
    taken = gap + cable.diameter_mm + bracket.thickness_mm + rail.depth_mm
    for key in ("height", "stair_height"):
        height = source.length(("guard", key), GuardSpec)
        if height is not None and gap < height <= taken:
            accepted = f"more than {words(taken)}: bottom gap, one cable, bracket and rail"
            source.refuse(("guard", key), accepted)
    return source.problems


def _guard(source: Plain) -> None:
    height = source.length(("guard", "height"), GuardSpec)
    stair_height = source.length(("guard", "stair_height"), GuardSpec)
    low = min((value for value in (height, stair_height) if value and value > 0), default=None)
    gap = source.length(("guard", "bottom_gap"), GuardSpec)
    spacing = source.length(("guard", "cable_spacing"), GuardSpec)
    if low is not None and gap is not None and gap >= low:
        source.refuse(("guard", "bottom_gap"), "less than the height of the guard")
    if low is not None and spacing is not None and spacing >= low:
        source.refuse(("guard", "cable_spacing"), "less than the height of the guard")
    high = max((value for value in (height, stair_height) if value), default=0.0)
    if spacing is not None and 0 < spacing < high / MAX_ROWS:
        source.refuse(("guard", "cable_spacing"), f"at most {MAX_ROWS} rows of cable in the height")


def _stock(source: Plain) -> None:

    if not isinstance(source.at(("stock",)), dict):
        return
    kerf = source.length(("stock", "kerf"), StockSpec)
    bars = [
        source.length(("stock", "rail", index, "length"), StockLengthSpec)
        for index, bar in enumerate(source.items(("stock", "rail")))
        if isinstance(bar, dict)
    ]
    shortest = min((bar for bar in bars if bar is not None and bar > 0), default=None)
    if kerf is not None and shortest is not None and kerf >= shortest:
        source.refuse(("stock", "kerf"), "less than the shortest stock bar")


def _joists(source: Plain) -> None:

    path: Place = ("structure", "joists")
    if not isinstance(source.at(path), dict):
        return
    spacing = source.length((*path, "spacing"), JoistsSpec)
    width = source.length((*path, "width"), JoistsSpec)
    if spacing is not None and width is not None and 0 < spacing <= width:
        source.refuse((*path, "spacing"), "more than the width of a joist")


def _flight(source: Plain, path: Place) -> None:
    tread = source.length((*path, "tread"), FlightSpec)
    nosing = source.length((*path, "nosing"), FlightSpec)
    if tread is None or nosing is None or tread <= 0:
        return
    if nosing >= tread:
        source.refuse((*path, "nosing"), "less than the tread")
    setback = source.length(("guard", "stair_setback"), GuardSpec)
    if setback is not None and setback > tread + nosing:
        accepted = "at most the depth of every tread, nosing and all: a post stands on its tread"
        source.refuse(("guard", "stair_setback"), accepted)
    _tread_thickness(source, path)


def _tread_thickness(source: Plain, path: Place) -> None:
    thickness = source.length((*path, "tread_thickness"), FlightSpec)
    rise = source.length((*path, "rise"), FlightSpec)
    risers = source.at((*path, "risers"))
    if not isinstance(risers, int) or risers not in RISERS or rise is None or thickness is None:
        return
    if thickness >= rise / risers > 0:
        source.refuse((*path, "tread_thickness"), "less than one riser")


def _lengths(source: Plain) -> Iterator[float]:
    """Length of every leg that can be read, mm; a stair's along its nosings."""

    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        for index, kind in enumerate(source.kinds(legs)):
            if kind == "level":
                yield source.length((*legs, index, "level"), LevelSpec) or 0.0
            elif kind == "stair":
                path: Place = (*legs, index, "stair")
                risers = source.at((*path, "risers"))
                tread = source.length((*path, "tread"), FlightSpec) or 0.0
                rise = source.length((*path, "rise"), FlightSpec) or 0.0
                yield math.hypot(tread * risers, rise) if isinstance(risers, int) else 0.0


def _amount(source: Plain) -> None:
    """Bounds on what a small file can ask for."""
    total = sum(length for length in _lengths(source) if length > 0)
    for key, most, what in (
        ("max_post_spacing", MAX_POSTS, "posts"),
        ("max_cable_span", _MAX_SPACERS, "spacers"),
    ):
        span = source.length(("guard", key), GuardSpec)
        if span is not None and 0 < span < total / most:
            source.refuse(("guard", key), f"a length that makes at most {most:,} {what}")
