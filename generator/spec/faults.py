"""Pydantic's validation errors into problems with place, what was read and what is accepted."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from generator.catalog.reader import nearest
from generator.errors import Problem
from generator.spec.fields import REFUSED
from generator.spec.leg_models import LEG_FAULT, LEG_KINDS
from generator.spec.models import mapping_at
from generator.spec.part import Part
from generator.textfile import Document, Place, shown

_LEGS_DEPTH = 4  # runs, its number, legs, its number: after these stands the kind of the leg


def problems_of(error: ValidationError, document: Document) -> list[Problem]:
    """Every error of a validation as a problem of the file."""
    return [_problem(fault, document) for fault in error.errors(include_url=False)]


def _problem(fault: Any, document: Document) -> Problem:
    loc: Place = fault["loc"]
    path = _path(loc)
    if fault["type"] == "extra_forbidden":
        accepted = nearest_key(str(loc[-1]), _keys(_model(loc[:-1])))
        return document.problem(path, "an unknown key", accepted, at_key=True)
    if fault["type"] == "missing":
        field = _model(loc[:-1]).model_fields[str(loc[-1])]
        return document.problem(path, "nothing", f"a value: {field.description}")
    if fault["type"] == LEG_FAULT:
        return _leg_problem(fault["input"], path, document)
    context = fault.get("ctx", {})
    read, at = fault["input"], context.get("at", ())
    for key in at:
        read = read.get(key) if isinstance(read, dict) else None
    return document.problem((*path, *at), shown(read), _accepted(fault, context, loc))


def _accepted(fault: Any, context: dict[str, Any], loc: Place) -> str:
    kind = fault["type"]
    if kind == REFUSED:
        return str(context["accepted"])
    if kind == "literal_error":
        return str(context["expected"]).replace("'", "")
    if kind == "model_type":
        keys = _keys(_model(loc))
        return f"a mapping with the key{'s' if len(keys) > 1 else ''} {', '.join(keys)}"
    if kind in ("list_type", "too_short"):
        return f"a list of at least one item: {_described(loc)}"
    if kind == "too_long":
        return f"at most {context['max_length']} items"
    return str(fault["msg"])


def _described(loc: Place) -> str:
    return str(_model(loc[:-1]).model_fields[str(loc[-1])].description)


def _leg_problem(read: object, path: Place, document: Document) -> Problem:
    accepted = f"one of {', '.join(LEG_KINDS[:-1])} or {LEG_KINDS[-1]}"
    if not isinstance(read, dict):
        return document.problem(path, shown(read), f"a mapping with {accepted}")
    kinds = [kind for kind in LEG_KINDS if kind in read]
    if len(kinds) > 1:
        return document.problem(path, " and ".join(kinds) + " in one item", accepted)
    keys = [str(key) for key in read]
    likely = next((near for key in keys if (near := nearest(key, LEG_KINDS))), "")
    words = f"{likely}, the nearest key" if likely else accepted
    return document.problem(path, f"an item with {', '.join(keys) or 'no key'}", words)


def _path(loc: Place) -> Place:
    """A place in the models as a place in the file: without the kind of a leg item."""
    legs = len(loc) > _LEGS_DEPTH and loc[0] == "runs" and loc[2] == "legs"
    return loc[:_LEGS_DEPTH] + loc[_LEGS_DEPTH + 1 :] if legs else loc


def _model(loc: Place) -> type[Part]:
    return mapping_at(tuple(step for step in loc if isinstance(step, str)))


def _keys(model: type[Part]) -> list[str]:
    return list(model.model_fields)


def nearest_key(word: str, known: list[str]) -> str:
    """The known key that is most like `word`, or all of them."""
    near = nearest(word, known)
    if near:
        return f"{near}, the nearest key"
    return known[0] if len(known) == 1 else "one of " + ", ".join(known)
