"""A job file with single values changed, in memory: the plain values of an edited spec."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import cast

from generator.spec.models import MAPPINGS
from generator.spec.plain import place_of, read_value
from generator.textfile import Document, Place, shown


class NoSuchPlace(ValueError):
    """An edit leads to a place that the spec does not have."""


def edited(document: Document, edits: Mapping[str, str]) -> Document:
    """The document with the values at these paths in place; an empty value takes the key out.

    Raises:
        NoSuchPlace: a path leads nowhere.
    """
    data = document.data
    # New items last and from the back, so that no other path is moved by them.
    for path, value in sorted(edits.items(), key=lambda edit: _new_item(edit[0])):
        data = _with(data, place_of(path), value, ())
    return replace(document, data=data)


def _new_item(path: str) -> int:
    """0 for a value that is set; for a new item less the further back in its list it goes."""
    last = place_of(path)[-1]
    return -int(last) + _FAR if isinstance(last, str) and last.startswith("+") else 0


_FAR = 1_000_000  # more than any list of a spec holds


def _with(around: object, path: Place, text: str, done: Place) -> object:
    """A copy of `around` with the value at `path` set; all that is not on the way is shared."""
    if not path:
        return read_value(text)
    step, rest = path[0], path[1:]
    if isinstance(around, list) and isinstance(step, str) and step.startswith("+"):
        at = int(step)
        if rest or at > len(around):
            raise NoSuchPlace(step)
        return [*around[:at], read_value(text), *around[at:]]
    if isinstance(step, int):
        if not isinstance(around, list) or not 0 <= step < len(around):
            raise NoSuchPlace(str(step))
        items = list(around)
        if rest or text:
            items[step] = _with(items[step], rest, text, (*done, step))
        else:
            del items[step]
        return items
    mapping = _as_mapping(around, done)
    if rest or text:
        mapping[step] = _with(mapping.get(step), rest, text, (*done, step))
    else:
        mapping.pop(step, None)
    return mapping


def _as_mapping(around: object, done: Place) -> dict[str, object]:
    """A mapping to be changed: what is there, or what the word there stands for."""
    if isinstance(around, dict):
        return dict(cast(dict[str, object], around))
    if around is None:
        return {}
    if isinstance(around, str):
        if done[:1] == ("system",):
            return {"name": around}
        if done[-1:] == ("closed",):
            return {"corner": around}
    raise NoSuchPlace(".".join(map(str, done)))


def present(document: Document, path: Place) -> tuple[str, int]:
    """What stands at a path and its line; what holds without it, and 0, where it is left out."""
    value: object = document.data
    for step in path:
        value = _inside(value, step)
        if value is _NOTHING:
            return _default(path), 0
    return shown(value), document.mark(path).line


_NOTHING = object()


def _inside(value: object, step: str | int) -> object:
    """What stands under a key or index; `_NOTHING` where nothing does."""
    if isinstance(value, dict):
        return value.get(step, _NOTHING)
    if isinstance(value, list) and isinstance(step, int) and step < len(value):
        return value[step]
    return _NOTHING


def _default(path: Place) -> str:
    """The default of a key that is left out, as it would be written; or nothing."""
    model = MAPPINGS.get(tuple(step for step in path[:-1] if isinstance(step, str)))
    field = model.model_fields.get(str(path[-1])) if model else None
    default = None if field is None or field.is_required() else field.default
    return shown(default) if isinstance(default, (str, int, float, bool)) else "nothing"
