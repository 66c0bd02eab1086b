"""One value of a profile: the text in its file turned into a number in base units, or a fault."""

from __future__ import annotations

import re
from typing import Literal

from generator.frozen import dataclass
from generator.units import MAX_LENGTH_MM, UnitError, parse_quantity

Bound = Literal["positive", "not negative", "any"]
Value = float | str | bool | tuple[float, ...]

NAME = re.compile(r"[a-z0-9][a-z0-9._-]{0,63}")

# For each dimension the base unit that the tables keep, and how the attribute's name ends there.
_BASE = {
    "length": ("mm", "_mm"),
    "lengths": ("mm", "_mm"),
    "force": ("N", "_n"),
    "line_load": ("N/mm", "_n_mm"),
    "stress": ("MPa", "_mpa"),
    "density": ("kg/m3", "_kg_m3"),
    "area": ("mm2", "_mm2"),
    "mass_per_length": ("kg/m", "_kg_m"),
    "expansion": ("1/K", "_per_k"),
    "angle": ("deg", "_deg"),
    "number": ("", ""),
    "ratio": ("", ""),
    "count": ("", ""),
    "switch": ("", ""),
    "text": ("", ""),
    "name": ("", ""),
}

# For each dimension what it is, and how it is written.
_WANTED = {
    "length": ("a length", " with its unit, such as 2-1/2 in or 60 mm"),
    "lengths": ("a list of lengths", " with units, such as [3 in, 4 in]"),
    "force": ("a force", " with its unit, such as 200 lbf or 890 N"),
    "line_load": ("a load along a line", " with its unit, such as 50 lbf/ft or 0.75 kN/m"),
    "stress": ("a stress", " with its unit, such as 35 ksi or 241 MPa"),
    "density": ("a density", " with its unit, such as 0.098 lb/in3 or 2700 kg/m3"),
    "area": ("an area", " with its unit, such as 6.02 mm2 or 0.0093 in2"),
    "mass_per_length": ("a mass per length", " with its unit, such as 0.048 kg/m or 0.0325 lb/ft"),
    "expansion": ("an expansion", " with its unit, such as 23.6e-6 1/K or 13.1e-6 1/degF"),
    "angle": ("an angle", ", such as 45 deg"),
    "number": ("a number", ""),
    "ratio": ("a share", ", such as 0.9 or 90 %"),
    "count": ("a whole number", ""),
    "switch": ("true or false", ""),
    "text": ("text", " on one line"),
    "name": ("a profile's name", ": small letters, digits, dots, hyphens and underscores"),
}

_BOUND_WORDS = {"positive": " above zero", "not negative": " not below zero", "any": ""}


class FieldFault(ValueError):
    """A value that a field does not take; its text says what is accepted.

    `item` is the place in a list of the one that is wrong, where it is a list.
    """

    def __init__(self, accepted: str, item: int | None = None) -> None:
        self.item = item
        super().__init__(accepted)


@dataclass(frozen=True, slots=True)
class Field:
    """One row of a profile's table: key in the file, what it means, what it may be.

    `default` is text as a file would give it, or `=key` for the value of another key; without
    one the key is required. `none` is the number that the word none stands for, if it may be said.
    """

    key: str
    meaning: str
    dimension: str = "length"
    bound: Bound = "positive"
    default: str | None = None
    choices: tuple[str, ...] = ()
    none: float | None = None

    @property
    def attribute(self) -> str:
        """Name of the value in the dataclass: the key with its base unit."""
        return self.key + _BASE[self.dimension][1]

    @property
    def unit(self) -> str:
        """Base unit of the value, empty for a bare number, a count, text or a name."""
        return _BASE[self.dimension][0]

    @property
    def accepted(self) -> str:
        """What this field accepts, in a few words."""
        if self.choices:
            return "one of " + ", ".join(self.choices)
        words = self.dimension in ("switch", "text", "name")
        bound = "" if words else _BOUND_WORDS[self.bound]
        return _WANTED[self.dimension][0] + bound

    @property
    def wanted(self) -> str:
        """What this field accepts and how it is written, for messages."""
        or_none = "" if self.none is None else ", or none"
        written = "" if self.choices else _WANTED[self.dimension][1]
        return self.accepted + written + or_none

    @property
    def default_source(self) -> str:
        """How the entry of a value names the default that it comes from."""
        if self.default is not None and self.default.startswith("="):
            return f"as {self.default[1:]}, unless given"
        return "default, unless given"


def parse(field: Field, raw: object) -> tuple[Value, str]:
    """Value in base units and the text that was written.

    Raises:
        FieldFault: `raw` is not what the field takes.
    """
    if field.dimension == "switch":
        return _switch(field, raw)
    if isinstance(raw, bool) or raw is None or isinstance(raw, dict):
        raise FieldFault(field.wanted)
    if field.dimension == "lengths":
        return _lengths(field, raw)
    if isinstance(raw, (list, tuple)):
        raise FieldFault(field.wanted)
    text = str(raw).strip()
    if text == "none" and field.none is not None:
        return field.none, text
    if field.dimension in ("text", "name"):
        return _word(field, text), text
    value = _measure(field, raw, text)
    if (field.bound == "positive" and value <= 0) or (field.bound == "not negative" and value < 0):
        raise FieldFault(field.wanted)
    return value, text


def _switch(field: Field, raw: object) -> tuple[Value, str]:
    """True or false; a default has it as text."""
    text = str(raw).lower()
    if not isinstance(raw, (bool, str)) or text not in ("true", "false"):
        raise FieldFault(field.wanted)
    return text == "true", text


def _lengths(field: Field, raw: object) -> tuple[Value, str]:
    if not isinstance(raw, (list, tuple)) or not raw:
        raise FieldFault(field.wanted)
    one = Field(field.key, field.meaning, "length", field.bound)
    values: list[float] = []
    texts: list[str] = []
    for index, item in enumerate(raw):
        try:
            value, text = parse(one, item)
        except FieldFault as fault:
            raise FieldFault(str(fault), index) from None
        assert isinstance(value, float)
        if values and value <= values[-1]:
            raise FieldFault(f"more than {texts[-1]}: lengths in ascending order", index)
        values.append(value)
        texts.append(text)
    return tuple(values), ", ".join(texts)


def _word(field: Field, text: str) -> str:
    plain = bool(text) and text.isprintable()
    if not plain or (field.dimension == "name" and not NAME.fullmatch(text)):
        raise FieldFault(field.wanted)
    if field.choices and text not in field.choices:
        raise FieldFault(field.wanted)
    return text


def _measure(field: Field, raw: object, text: str) -> float:
    """A measure in the base unit of the field's dimension; a percentage becomes a share."""
    if not isinstance(raw, (str, int, float)):
        raise FieldFault(field.wanted)
    try:
        if field.dimension == "ratio" and text.endswith("%"):
            return parse_quantity(text[:-1], "number") / 100
        if field.dimension in ("ratio", "count"):
            value = parse_quantity(raw, "number")
        else:
            value = parse_quantity(raw, field.dimension)
    except UnitError as error:
        special = field.dimension in ("ratio", "count")
        raise FieldFault(field.wanted if special else str(error)) from None
    if field.dimension == "count" and not value.is_integer():
        raise FieldFault(field.wanted)
    if field.dimension == "length" and abs(value) > MAX_LENGTH_MM:
        raise FieldFault("a length of at most 10 km")
    return value
