"""The plain values of a spec file, looked at one by one, whatever state the rest is in."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, cast

import yaml
from pydantic_core import PydanticCustomError

from generator.errors import Problem
from generator.spec.fields import read_length
from generator.spec.leg_models import LEG_KINDS
from generator.spec.part import Part
from generator.textfile import Document, Place, scalar, shown


@dataclass(frozen=True, slots=True)
class Plain:
    """A document, the unit of its bare numbers, and what is found wrong with it."""

    document: Document
    unit: str
    problems: list[Problem] = field(default_factory=list)

    def length(self, path: Place, model: type[Part]) -> float | None:
        """The length at `path` in mm or its default; None where none can be read."""
        around = self.at(path[:-1])
        key = str(path[-1])
        if not isinstance(around, dict):
            around = {}
        read = around.get(key, model.model_fields[key].default)
        try:
            return read_length(read, self.unit, "any")
        except PydanticCustomError:
            return None

    def at(self, path: Place) -> object:
        """The plain value at `path`, None where there is none."""
        value = self.document.data
        for step in path:
            if isinstance(value, dict) or (isinstance(value, list) and isinstance(step, int)):
                try:
                    value = cast(Any, value)[step]
                except (KeyError, IndexError):
                    return None
            else:
                return None
        return value

    def has(self, path: Place) -> bool:
        """Whether there is a key at `path`, whatever it holds."""
        around = self.at(path[:-1])
        return isinstance(around, dict) and path[-1] in around

    def items(self, path: Place) -> list[object]:
        """The list at `path`, empty where there is none."""
        value = self.at(path)
        return value if isinstance(value, list) else []

    def kinds(self, legs: Place) -> list[str | None]:
        """Kind of every leg item; None for one that is none, which the models report."""
        found: list[str | None] = []
        for item in self.items(legs):
            kinds = [kind for kind in LEG_KINDS if isinstance(item, dict) and kind in item]
            found.append(kinds[0] if len(kinds) == 1 else None)
        return found

    def refuse(self, path: Place, accepted: str, read: str = "") -> None:
        """Note that the value at `path` is not taken."""
        value = self.at(path)
        read = read or ("the default" if value is None else shown(value))
        self.problems.append(self.document.problem(path, read, accepted))

    def missing(self, path: Place, accepted: str) -> None:
        """Note that there is nothing at `path`."""
        self.problems.append(self.document.problem(path, "nothing", accepted))


def place_of(field: str) -> Place:
    """The path that `textfile.field_name` writes as `field`.

    A step such as +2, written legs[+2], is a new item before that one.
    """
    steps = re.findall(r"\[(\d+)\]|([^.\[\]]+)", field)
    return tuple(int(index) if index else key for index, key in steps)


def read_value(text: str) -> object:
    """The plain value that a piece of YAML holds; text that is no YAML stands for itself."""
    try:
        return _value(yaml.compose(text, Loader=yaml.SafeLoader))
    except yaml.YAMLError:
        return text


def _value(node: Any) -> object:
    """The value of a composed node, as in a file: nothing is constructed."""
    if node is None:
        return None
    if isinstance(node, yaml.MappingNode):
        return {str(key.value): _value(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [_value(item) for item in node.value]
    return node.value if node.style else scalar(node.value)


def units_of(document: Document) -> str:
    """Unit of bare numbers: the one that the job declares, inches where it declares none."""
    job = document.data.get("job") if isinstance(document.data, dict) else None
    units = job.get("units") if isinstance(job, dict) else None
    return units if isinstance(units, str) and units in ("in", "ft", "mm", "cm", "m") else "in"


def plain_values(document: Document) -> Plain:
    """The plain values of a document, with nothing found wrong yet."""
    return Plain(document, units_of(document))
