"""A spec file into a `Job`: text, models, checks across fields, profiles, frozen tables."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from generator.errors import InputError, Problem
from generator.spec.cross import cross_problems, system_problems
from generator.spec.faults import problems_of
from generator.spec.job import (
    Guard,
    Job,
    Joists,
    Level,
    Run,
    Stair,
    Start,
    Stock,
    StockLength,
    Structure,
    Turn,
)
from generator.spec.models import (
    FlightSpec,
    GuardSpec,
    JobSpec,
    LevelSpec,
    RunSpec,
    StairSpec,
    StockSpec,
    StructureSpec,
    TurnSpec,
)
from generator.spec.plain import units_of
from generator.spec.resolve import Resolved, resolve
from generator.spec.sequence import run_id
from generator.textfile import Document, field_name, read_yaml_leniently


def read_job(path: Path, *, profiles: tuple[Path, ...] = ()) -> Job:
    """The job that a spec file holds, with every name resolved and every length in mm.

    `profiles` are folders of profiles that win over the one that the spec names, and that over
    those shipped.

    Raises:
        InputError: everything that is wrong with the file, in its order.
    """
    document, problems = read_yaml_leniently(path)
    spec, faults = _validated(document)
    problems += faults
    problems += cross_problems(document)
    resolved, faults = resolve(document, profiles)
    problems += faults
    if resolved is not None:
        problems += system_problems(document, resolved.system)
    if problems or spec is None or resolved is None:
        raise InputError(list(dict.fromkeys(problems)))
    return _job(path.name, spec, resolved)


def _validated(document: Document) -> tuple[JobSpec | None, list[Problem]]:
    """The file's values by the models, or what they say against them."""
    try:
        context = {"unit": units_of(document)}
        return JobSpec.model_validate(document.data, context=context), []
    except ValidationError as error:
        return None, problems_of(error, document)


def _job(source: str, spec: JobSpec, resolved: Resolved) -> Job:
    return Job(
        source=source,
        title=spec.job.title,
        number=spec.job.number,
        units=spec.job.units,
        rules=resolved.rules,
        system=resolved.system,
        guard=_guard(spec.guard),
        structure=_structure(spec.structure),
        stock=_stock(spec.stock),
        runs=tuple(_run(run, index) for index, run in enumerate(spec.runs)),
    )


def _guard(spec: GuardSpec) -> Guard:
    return Guard(
        height_mm=spec.height,
        stair_height_mm=spec.stair_height,
        bottom_gap_mm=spec.bottom_gap,
        cable_spacing_mm=spec.cable_spacing,
        rows=spec.rows,
        max_post_spacing_mm=spec.max_post_spacing,
        max_cable_span_mm=spec.max_cable_span,
        edge_inset_mm=spec.edge_inset,
        stair_setback_mm=spec.stair_setback,
        wall_gap_mm=spec.wall_gap,
        run_on_mm=spec.run_on,
        pair_offset_mm=spec.pair_offset,
        tension_n=spec.tension,
    )


def _structure(spec: StructureSpec | None) -> Structure | None:
    if spec is None:
        return None
    under = spec.joists or None
    joists = under and Joists(
        spacing_mm=under.spacing,
        width_mm=under.width,
        depth_mm=under.depth,
        bearing_deg=under.bearing,
        species=under.species,
    )
    return Structure(joists, spec.decking)


def _stock(spec: StockSpec | None) -> Stock | None:
    return spec and Stock(tuple(StockLength(bar.length) for bar in spec.rail), spec.kerf)


def _run(spec: RunSpec, index: int) -> Run:
    start = spec.start
    path = ("runs", index)
    return Run(
        path=field_name(path),
        id=run_id(spec.id, index),
        start=Start(start.x, start.y, start.z, start.bearing, start.end),
        deck=spec.deck,
        legs=tuple(
            _leg(leg, field_name((*path, "legs", number))) for number, leg in enumerate(spec.legs)
        ),
        end=spec.end,
    )


def _leg(spec: LevelSpec | TurnSpec | StairSpec, path: str) -> Level | Turn | Stair:
    if isinstance(spec, LevelSpec):
        return Level(path, spec.level)
    if isinstance(spec, TurnSpec):
        return Turn(path, spec.turn, spec.corner)
    return _stair(spec.stair, path)


def _stair(flight: FlightSpec, path: str) -> Stair:
    return Stair(
        path=path,
        risers=flight.risers,
        rise_mm=flight.rise,
        tread_mm=flight.tread,
        nosing_mm=flight.nosing,
        tread_thickness_mm=flight.tread_thickness,
        direction=flight.direction,
    )


def placed(error: InputError, path: Path) -> InputError:
    """An error of a later step with the places of its fields in the spec file.

    Layout and checks know a value by its field, such as `runs[0].legs[2]`; a problem that names no
    file is given the file, line and column of that field.
    """
    try:
        document, _ = read_yaml_leniently(path)
    except InputError:  # it was there when the job was read
        return error
    return InputError([_placed(problem, document) for problem in error.problems])


def _placed(problem: Problem, document: Document) -> Problem:
    if problem.file:
        return problem
    steps = re.findall(r"\[(\d+)\]|([^.\[\]]+)", problem.field)
    mark = document.mark(tuple(int(index) if index else key for index, key in steps))
    return replace(problem, file=document.file, line=mark.line, column=mark.column)
