"""Rule sets: a document of limits, each with clause, edition and source, into a table."""

from __future__ import annotations

from collections.abc import Mapping

from generator.catalog.fields import Field, FieldFault, parse
from generator.catalog.reader import ORIGIN_KEYS, Origin, Path, Reader
from generator.catalog.tables import Entry, Limit, RuleSet
from generator.errors import InputError
from generator.textfile import shown

_LENGTH_KEYS = (
    "guard.required.fall",
    "guard.required.distance",
    "guard.height.level",
    "guard.height.stair",
    "handrail.height.min",
    "handrail.height.max",
    "opening.level",
    "opening.bottom",
    "opening.stair",
    "opening.triangle",
    "stair.riser.max",
    "stair.tread.min",
    "stair.variation",
    "stair.width.min",
    "practice.cable-tread-clearance",
    "practice.loaded-span",
    "practice.plate-gap",
)
_FORCE_KEYS = ("load.top", "load.infill")
_COUNT_KEYS = ("handrail.risers",)

LIMITS: Mapping[str, Field] = {
    **{key: Field(key, key, "length") for key in _LENGTH_KEYS},
    **{key: Field(key, key, "force") for key in _FORCE_KEYS},
    **{key: Field(key, key, "count") for key in _COUNT_KEYS},
}
"""Every limit that a rule set may hold, by key; the checks ask for them by these keys."""

_LIMIT_KEYS = ("value", "clause", "edition", "note")
_COUNT_UNIT = "count"


def read_rules(name: str, reader: Reader) -> RuleSet:
    """The rule set that a reader's document holds.

    Raises:
        InputError: everything that is wrong with the file.
    """
    data = reader.document.data
    raw = reader.mapping((), data, "a rule set: description, edition, source and limits")
    reader.unknown((), raw, ("description", "edition", "limits", *ORIGIN_KEYS))
    description = reader.required_line((), raw, "description", "one line on this rule set")
    edition = reader.required_line((), raw, "edition", "the code and its year, such as IRC 2021")
    origin = reader.origin((), raw, Origin())
    if "limits" not in raw:
        reader.missing(("limits",), "limits by key, each with value and clause")
    limits = _limits(reader, raw.get("limits", {}), edition, origin)
    _relate(reader, limits)
    if reader.problems:
        raise InputError(reader.problems)
    entries = tuple(_entry(limit) for limit in limits.values())
    return RuleSet(name, description, reader.document.file, entries, edition, limits)


def _limits(reader: Reader, raw: object, edition: str, origin: Origin) -> dict[str, Limit]:
    """Limits by key, in the order of the file."""
    rows = reader.mapping(("limits",), raw, "limits by key")
    reader.unknown(("limits",), rows, LIMITS)
    limits: dict[str, Limit] = {}
    for key, row in rows.items():
        if key in LIMITS:
            limit = _limit(reader, ("limits", key), row, LIMITS[key], edition, origin)
            if limit is not None:
                limits[key] = limit
    return limits


def _limit(
    reader: Reader, path: Path, raw: object, row: Field, edition: str, outer: Origin
) -> Limit | None:
    """One limit, or None and the faults that it has."""
    values = reader.mapping(path, raw, "a mapping with value and clause")
    if not isinstance(raw, Mapping):
        return None
    reader.unknown(path, values, (*_LIMIT_KEYS, *ORIGIN_KEYS))
    origin = reader.origin(path, values, outer)
    if origin.invented or not origin.known:
        reader.fault(path, "no source", "a source: a limit cannot be invented")
    clause = reader.required_line(path, values, "clause", "the clause, or common practice")
    edition = reader.line(path, values, "edition") or edition
    note = reader.line(path, values, "note")
    if "value" not in values:
        reader.missing((*path, "value"), row.wanted)
        return None
    try:
        value, text = parse(row, values["value"])
    except FieldFault as fault:
        reader.fault((*path, "value"), shown(values["value"]), str(fault))
        return None
    unit = row.unit or _COUNT_UNIT
    assert isinstance(value, float)  # every limit has a dimension whose values are numbers
    return Limit(row.key, value, unit, text, clause, edition, origin.source, origin.verified, note)


def _relate(reader: Reader, limits: Mapping[str, Limit]) -> None:
    """A fault where the handrail's heights stand the wrong way round."""
    low, high = limits.get("handrail.height.min"), limits.get("handrail.height.max")
    if low and high and low.value > high.value:
        reader.fault(
            ("limits", low.key), f"{low.text} with {high.key} {high.text}", "at most the maximum"
        )


def _entry(limit: Limit) -> Entry:
    return Entry(
        limit.key, limit.text, limit.value, limit.unit, limit.source, False, limit.verified
    )
