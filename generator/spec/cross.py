"""Checks across fields of a spec, on whatever of it can be read: they refuse nonsense only.

They work on the file's plain values, so that a fault in one place does not hide one in another.
A measure that cannot be read is left to the models, which report it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.catalog.fit import misfits
from generator.catalog.tables import Fitting
from generator.errors import Problem
from generator.spec.amendments import amendment_problems
from generator.spec.flights import flight_at, flight_paths, flight_problems
from generator.spec.grades import grade_problems
from generator.spec.job import System
from generator.spec.leg_models import LevelSpec, SlopeSpec
from generator.spec.models import (
    GuardSpec,
    HandrailSpec,
    JoistsSpec,
    StockLengthSpec,
    StockSpec,
    SwageSpec,
)
from generator.spec.mountings import held_problems, mounting_problems
from generator.spec.obstacles import obstacle_problems
from generator.spec.part import Part
from generator.spec.plain import Plain, plain_values
from generator.spec.sequence import sequence_problems
from generator.textfile import Document, Place
from generator.units import format_length_with_unit

MAX_POSTS = 200_000
MAX_ROWS = 200
_MAX_SPACERS = 1_000_000
_SAWN = ("rail", "post", "handrail")
_STOCKED = (*_SAWN, "cable")


def cross_problems(document: Document) -> list[Problem]:
    """Everything that is wrong between fields."""
    source = plain_values(document)
    _guard(source)
    _stock(source)
    _joists(source)
    _handrail(source)
    flight_problems(source)
    grade_problems(source)
    mounting_problems(source)
    sequence_problems(source)
    amendment_problems(source)
    obstacle_problems(source)
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
    _swage(source, system.fitting)
    held_problems(source, post)
    return source.problems


def _swage(source: Plain, fitting: Fitting) -> None:
    """A fitting of the shop is not fitted on site."""
    for key in ("dead", "pulled"):
        path: Place = ("guard", "swage", key)
        where = source.at(path) or SwageSpec.model_fields[key].default
        if where == "field" and not fitting.field:
            source.refuse(path, f"shop: {fitting.name} is not fitted on site", str(where))


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
    stock = source.at(("stock",))
    if not isinstance(stock, dict):
        return
    if not any(what in stock for what in _STOCKED):
        source.refuse(("stock",), f"a list of stock lengths: {', '.join(_STOCKED)}", "none")
    for what in _STOCKED:
        _alike_in_cost(source, what)
    bars = [
        source.length(("stock", what, index, "length"), StockLengthSpec)
        for what in _SAWN
        for index, bar in enumerate(source.items(("stock", what)))
        if isinstance(bar, dict)
    ]
    shortest = min((bar for bar in bars if bar is not None and bar > 0), default=None)
    for key, times in (("kerf", 1), ("end_trim", 2)):
        taken = source.length(("stock", key), StockSpec)
        if taken is not None and shortest is not None and times * taken >= shortest:
            less = "less than" if times == 1 else "less than half of"
            source.refuse(("stock", key), f"{less} the shortest stock bar")


def _alike_in_cost(source: Plain, what: str) -> None:
    """Costs are compared, so that all lengths of a material have one or none."""
    bars = [bar for bar in source.items(("stock", what)) if isinstance(bar, dict)]
    priced = ["cost" in bar for bar in bars]
    if any(priced) and not all(priced):
        path = ("stock", what, priced.index(False), "cost")
        source.missing(path, "a cost for each length, or for none")


def _handrail(source: Plain) -> None:
    path: Place = ("handrail",)
    if not isinstance(source.at(path), dict):
        return
    height = source.length((*path, "height"), HandrailSpec)
    diameter = source.length((*path, "diameter"), HandrailSpec)
    if height is not None and diameter is not None and 0 < height <= diameter:
        source.refuse((*path, "diameter"), "less than the height of the handrail")
    for key in ("guard", "other_side"):
        if source.at((*path, "elsewhere")) is True and source.at((*path, key)) is True:
            source.refuse((*path, key), f"no {key} where the handrail is elsewhere")


def _joists(source: Plain) -> None:
    path: Place = ("structure", "joists")
    if not isinstance(source.at(path), dict):
        return
    spacing = source.length((*path, "spacing"), JoistsSpec)
    width = source.length((*path, "width"), JoistsSpec)
    if spacing is not None and width is not None and 0 < spacing <= width:
        source.refuse((*path, "spacing"), "more than the width of a joist")


def _lengths(source: Plain) -> Iterator[float]:
    """Length of every leg that can be read, mm; a stair's along its nosings."""
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        for index, kind in enumerate(source.kinds(legs)):
            if kind == "level":
                yield source.length((*legs, index, "level"), LevelSpec) or 0.0
            elif kind == "ramp":
                yield source.length((*legs, index, "ramp", "length"), SlopeSpec) or 0.0
    for path in flight_paths(source):
        flight = flight_at(source, path)
        yield math.hypot(flight.going_mm, flight.rise_mm)


def _amount(source: Plain) -> None:
    """Bounds on what a small file can ask for."""
    total = sum(length for length in _lengths(source) if length > 0)
    spans: tuple[tuple[Place, type[Part], int, str], ...] = (
        (("guard", "max_post_spacing"), GuardSpec, MAX_POSTS, "posts"),
        (("guard", "max_cable_span"), GuardSpec, _MAX_SPACERS, "spacers"),
        (("handrail", "bracket_spacing"), HandrailSpec, MAX_POSTS, "brackets"),
        (("structure", "joists", "spacing"), JoistsSpec, MAX_POSTS, "joists"),
    )
    for path, model, most, what in spans:
        given = path[0] == "guard" or source.has(path[:-1])  # guard has its defaults anyway
        span = source.length(path, model) if given else None
        if span is not None and 0 < span < total / most:
            source.refuse(path, f"a length that makes at most {most:,} {what}")
