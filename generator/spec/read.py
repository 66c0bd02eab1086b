"""A spec file into a `Job`: text, models, checks across fields, profiles, frozen tables."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from generator.errors import InputError, Problem
from generator.spec.cross import cross_problems, system_problems
from generator.spec.faults import problems_of
from generator.spec.freeze import freeze
from generator.spec.job import Job
from generator.spec.judgements import judgement_problems
from generator.spec.models import JobSpec
from generator.spec.plain import place_of, units_of
from generator.spec.resolve import resolve
from generator.textfile import Document, read_yaml_leniently


def read_job(
    path: Path, *, profiles: tuple[Path, ...] = (), codes: Collection[str] | None = None
) -> Job:
    """The job that a spec file holds, with every name resolved and every length in mm.

    `profiles` are folders of profiles that win over the one that the spec names, and that over
    those shipped. `codes` are those that a finding may have; without them they are not looked at.

    Raises:
        InputError: everything that is wrong with the file, in its order.
    """
    document, problems = read_yaml_leniently(path)
    return job_of(document, profiles=profiles, codes=codes, problems=problems)


def job_of(
    document: Document,
    *,
    profiles: tuple[Path, ...] = (),
    codes: Collection[str] | None = None,
    problems: Sequence[Problem] = (),
) -> Job:
    """The job of a document that was read; see `read_job`. `problems` are those found before.

    Raises:
        InputError: everything that is wrong with it, in its order.
    """
    problems = list(problems)
    spec, faults = _validated(document)
    problems += faults
    problems += cross_problems(document)
    resolved, faults = resolve(document, profiles)
    problems += faults
    if resolved is not None:
        problems += system_problems(document, resolved.system)
    if codes is not None:
        problems += judgement_problems(document, resolved and resolved.rules, codes)
    if problems or spec is None or resolved is None:
        raise InputError(list(dict.fromkeys(problems)))
    return freeze(Path(document.file).name, spec, resolved)


def _validated(document: Document) -> tuple[JobSpec | None, list[Problem]]:
    """The file's values by the models, or what they say against them."""
    try:
        context = {"unit": units_of(document)}
        return JobSpec.model_validate(document.data, context=context), []
    except ValidationError as error:
        return None, problems_of(error, document)


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
    mark = document.mark(place_of(problem.field))
    return replace(problem, file=document.file, line=mark.line, column=mark.column)
