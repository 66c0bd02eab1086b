"""Types of single values in a job spec: text or numbers into millimetres, degrees and newtons."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from pydantic import PlainValidator, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from generator.catalog.limits import LIMITS
from generator.catalog.reader import nearest
from generator.units import (
    MAX_LENGTH_MM,
    UnitError,
    parse_angle,
    parse_force,
    parse_length,
    parse_quantity,
)

REFUSED = "refused"
"""Type of every error that this module raises; its context says what is accepted."""

Bound = Literal["above 0", "0 or more", "any"]

RISERS = range(1, 101)
"""Numbers of risers that a stair may have."""

_PROFILE_NAME = re.compile(r"[a-z0-9][a-z0-9._-]{0,63}")
CODE = re.compile(r"[a-z]+(?:[.-][a-z]+)+")
"""What the code of a finding looks like."""

_MAX_MARKS, _MAX_MARK = 20, 40
_RUN_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,15}")
_MAX_TENSION_N = 1e6
_MIN_TURN_DEG, _MAX_TURN_DEG = 5.0, 175.0
_MAX_BEARING_DEG = 360.0
_MAX_COST, _MAX_COUNT = 1e9, 100_000
_MAX_TEMPERATURE_K = 200.0
_MAX_GIVE_DEG = 10.0
_NAME_WORDS = "a name: small letters, digits, dots, hyphens and underscores"


@dataclass(frozen=True, slots=True)
class Ref:
    """A profile by name, with the single values that the job puts in place of its own."""

    name: str
    values: dict[str, object] = field(default_factory=dict)


def refuse(accepted: str, *at: str) -> PydanticCustomError:
    """The error for a value that is not taken; `at` leads from it to the part that is wrong."""
    return PydanticCustomError(REFUSED, "{accepted}", {"accepted": accepted, "at": at})


def read_length(read: object, unit: str, bound: Bound) -> float:
    """A length in mm within its bound and 10 km.

    Raises:
        PydanticCustomError: not such a length.
    """
    if isinstance(read, bool) or not isinstance(read, str | int | float):
        read = ""  # told like any other text that is no length
    try:
        value = parse_length(read, unit)
    except UnitError as error:
        raise refuse(str(error)) from None
    low = {"above 0": value > 0, "0 or more": value >= 0, "any": True}[bound]
    if not low or abs(value) > MAX_LENGTH_MM:
        words = {"above 0": " above 0", "0 or more": " of 0 or more", "any": ""}[bound]
        raise refuse(f"a length{words}, at most 10 km")
    return value


def unit_of(info: ValidationInfo) -> str:
    """Unit of bare numbers in the job that is being read."""
    return str((info.context or {}).get("unit", "in"))


def _length(bound: Bound) -> Callable[[Any, ValidationInfo], float]:
    def validate(read: Any, info: ValidationInfo) -> float:
        return read_length(read, unit_of(info), bound)

    return validate


def _length_or_none(read: Any, info: ValidationInfo) -> float | None:
    if read is None or read == "none":
        return None
    try:
        return read_length(read, unit_of(info), "above 0")
    except PydanticCustomError as error:
        raise refuse(f"{(error.context or {})['accepted']}, or none") from None


def _tension(read: Any) -> float:
    try:
        value = parse_force(read if isinstance(read, str) else "")
    except UnitError as error:
        raise refuse(str(error)) from None
    if not 0 < value <= _MAX_TENSION_N:
        raise refuse("a force above 0 and at most 1000 kN")
    return value


def _force_or_none(read: Any) -> float | None:
    if read is None or read == "none":
        return None
    try:
        return _tension(read)
    except PydanticCustomError as error:
        raise refuse(f"{(error.context or {})['accepted']}, or none") from None


def _temperature(read: Any) -> float:
    try:
        value = parse_quantity(read if isinstance(read, str) else "", "temperature_difference")
    except UnitError as error:
        raise refuse(str(error)) from None
    if not 0 <= value <= _MAX_TEMPERATURE_K:
        raise refuse("a difference of 0 or more, at most 200 K or 360 degF")
    return value


def _give(read: Any) -> float:
    value = _angle(read)
    if not 0 <= value <= _MAX_GIVE_DEG:
        raise refuse("an angle from 0 to 10 degrees")
    return value


def _between(low: float, high: float) -> Callable[[Any], float]:
    """A validator of a bare number within bounds."""

    def validate(read: Any) -> float:
        if isinstance(read, bool) or not isinstance(read, int | float) or not low <= read <= high:
            raise refuse(f"a number from {low:g} to {high:g}")
        return float(read)

    return validate


def _switch(read: Any) -> bool:
    if not isinstance(read, bool):
        raise refuse("true or false")
    return read


def _angle(read: object) -> float:
    if isinstance(read, bool) or not isinstance(read, str | int | float):
        read = ""
    try:
        return parse_angle(read)
    except UnitError as error:
        raise refuse(str(error)) from None


def read_turn(read: object) -> float:
    """The angle of a turn, degrees.

    Raises:
        PydanticCustomError: no angle of a turn.
    """
    value = _angle(read)
    if value != 0 and not _MIN_TURN_DEG <= abs(value) <= _MAX_TURN_DEG:
        raise refuse("0, or 5 to 175 degrees to the left, or -5 to -175 to the right")
    return value


def _turn(read: Any) -> float:
    return read_turn(read)


def _bearing(read: Any) -> float:
    value = _angle(read)
    if abs(value) > _MAX_BEARING_DEG:
        raise refuse("an angle from -360 to 360 degrees")
    return value


def _risers(read: Any) -> int:
    if isinstance(read, bool) or not isinstance(read, int) or read not in RISERS:
        raise refuse(f"a whole number from {RISERS[0]} to {RISERS[-1]}")
    return read


def _cost(read: Any) -> float:
    if isinstance(read, bool) or not isinstance(read, int | float) or not 0 < read <= _MAX_COST:
        raise refuse("a number above 0, in any currency, at most 1 000 000 000")
    return float(read)


def _count(read: Any) -> int:
    if isinstance(read, bool) or not isinstance(read, int) or not 0 < read <= _MAX_COUNT:
        raise refuse(f"a whole number from 1 to {_MAX_COUNT}")
    return read


def _line(longest: int, empty: bool) -> Callable[[Any], str]:
    """A validator of text on one line; a whole number is text too, as its digits."""

    def validate(read: Any) -> str:
        text = str(read) if isinstance(read, int) and not isinstance(read, bool) else read
        if not isinstance(text, str):
            raise refuse("text, in quotes" if isinstance(text, float) else "text")
        text = text.strip()
        if not text.isprintable() or len(text) > longest or not (text or empty):
            raise refuse(f"text on one line, at most {longest} characters")
        return text

    return validate


def _limit_key(read: Any) -> str:
    if not isinstance(read, str) or read not in LIMITS:
        near = nearest(str(read), LIMITS)
        lister = "that `stringline catalog rules` lists"
        raise refuse(
            f"{near}, the nearest limit, or another {lister}" if near else f"a limit {lister}"
        )
    return read


def _code(read: Any) -> str:
    if not isinstance(read, str) or not CODE.fullmatch(read):
        raise refuse("a code such as opening.end; `stringline explain` lists them")
    return read


def _marks(read: Any) -> tuple[str, ...]:
    marks = read if isinstance(read, list) else [read]
    if not 0 < len(marks) <= _MAX_MARKS or not all(_is_mark(mark) for mark in marks):
        raise refuse("a mark such as P3, several in [ ], or a leg such as run A, leg 2")
    return tuple(mark.strip() for mark in marks)


def _is_mark(read: object) -> bool:
    return isinstance(read, str) and read.isprintable() and 0 < len(read.strip()) <= _MAX_MARK


def read_line(read: object) -> str:
    """Text on one line, not empty.

    Raises:
        PydanticCustomError: no such text.
    """
    return _line(200, empty=False)(read)


def _amount(read: Any) -> str | float:
    if isinstance(read, bool) or not isinstance(read, str | int | float) or read == "":
        raise refuse("a value, with its unit where it has one, or none")
    return read


def _run_id(read: Any) -> str | None:
    text = str(read) if isinstance(read, int) and not isinstance(read, bool) else read
    if not isinstance(text, str) or not _RUN_ID.fullmatch(text):
        raise refuse("a short name such as A or deck-2: letters, digits, - and _")
    return text


def _folder(read: Any) -> str:
    if not isinstance(read, str) or not read.strip() or not read.isprintable():
        raise refuse("the name of a folder, seen from the folder of this file")
    return read


def read_name(read: object, *at: str) -> str:
    """The name of a profile.

    Raises:
        PydanticCustomError: no such name; a path, for one.
    """
    if not isinstance(read, str) or not _PROFILE_NAME.fullmatch(read):
        raise refuse(_NAME_WORDS, *at)
    return read


def read_ref(read: object) -> Ref:
    """A profile by its name, or by a mapping of its name and values of the job's own.

    Raises:
        PydanticCustomError: neither of the two.
    """
    if isinstance(read, Ref):
        return read
    if not isinstance(read, dict):
        return Ref(read_name(read))
    if "name" not in read:
        raise refuse("the name of the profile whose values follow", "name")
    values = {str(key): value for key, value in read.items() if key != "name"}
    return Ref(read_name(read["name"], "name"), values)


def _ref(read: Any) -> Ref:
    return read_ref(read)


def _name(read: Any) -> str:
    return read_name(read)


def _json(*types: str, **more: object) -> WithJsonSchema:
    return WithJsonSchema({"type": types[0] if len(types) == 1 else list(types), **more})


_LENGTH = _json("string", "number")
_NAME = _json("string", pattern=f"^{_PROFILE_NAME.pattern}$")

Measured = Annotated[float, PlainValidator(_length("above 0")), _LENGTH]
Distance = Annotated[float, PlainValidator(_length("0 or more")), _LENGTH]
Coordinate = Annotated[float, PlainValidator(_length("any")), _LENGTH]
MeasuredOrNone = Annotated[
    float | None, PlainValidator(_length_or_none), _json("string", "number", "null")
]
OptionalMeasured = Annotated[float | None, PlainValidator(_length("above 0")), _LENGTH]
OptionalDistance = Annotated[float | None, PlainValidator(_length("0 or more")), _LENGTH]
OptionalCoordinate = Annotated[float | None, PlainValidator(_length("any")), _LENGTH]
Temperature = Annotated[float, PlainValidator(_temperature), _json("string")]
Give = Annotated[float, PlainValidator(_give), _json("number", "string")]
Duration = Annotated[
    float, PlainValidator(_between(0.9, 2.0)), _json("number", minimum=0.9, maximum=2.0)
]
Share = Annotated[
    float, PlainValidator(_between(0.0, 0.9)), _json("number", minimum=0, maximum=0.9)
]
Switch = Annotated[bool, PlainValidator(_switch), _json("boolean")]
Tension = Annotated[float, PlainValidator(_tension), _json("string")]
ForceOrNone = Annotated[float | None, PlainValidator(_force_or_none), _json("string", "null")]
TurnAngle = Annotated[float, PlainValidator(_turn), _json("number", "string")]
Bearing = Annotated[float, PlainValidator(_bearing), _json("number", "string")]
OptionalRisers = Annotated[
    int | None, PlainValidator(_risers), _json("integer", minimum=RISERS[0], maximum=RISERS[-1])
]
OptionalCost = Annotated[
    float | None, PlainValidator(_cost), _json("number", exclusiveMinimum=0, maximum=_MAX_COST)
]
OptionalCount = Annotated[
    int | None, PlainValidator(_count), _json("integer", minimum=1, maximum=_MAX_COUNT)
]
Title = Annotated[str, PlainValidator(_line(200, empty=False)), _json("string", "integer")]
Number = Annotated[str, PlainValidator(_line(40, empty=True)), _json("string", "integer")]
Clause = Annotated[str, PlainValidator(_line(200, empty=True)), _json("string", "integer")]
LimitKey = Annotated[str, PlainValidator(_limit_key), _json("string", enum=list(LIMITS))]
Amount = Annotated[str | float, PlainValidator(_amount), _json("string", "number")]
FindingCode = Annotated[str, PlainValidator(_code), _json("string", pattern=f"^{CODE.pattern}$")]
Marks = Annotated[
    tuple[str, ...],
    PlainValidator(_marks),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "minLength": 1},
                {"type": "array", "items": {"type": "string", "minLength": 1}, "minItems": 1},
            ]
        }
    ),
]
Name = Annotated[str, PlainValidator(_name), _NAME]
RunId = Annotated[str | None, PlainValidator(_run_id), _json("string", "integer")]
Folder = Annotated[str | None, PlainValidator(_folder), _json("string")]
ProfileRef = Annotated[
    Ref,
    PlainValidator(_ref),
    WithJsonSchema(
        {
            "anyOf": [
                _NAME.json_schema,
                {
                    "type": "object",
                    "properties": {"name": _NAME.json_schema},
                    "required": ["name"],
                    "additionalProperties": True,
                },
            ]
        }
    ),
]
