"""Rule sets: a document of limits, each with clause, edition and source, into a table."""

from __future__ import annotations

from collections.abc import Mapping

from generator.catalog.fields import Field, FieldFault, parse
from generator.catalog.reader import ORIGIN_KEYS, Origin, Path, Reader
from generator.catalog.tables import Entry, Limit, RuleSet
from generator.errors import InputError

_LENGTHS = {
    "guard.required.fall": "fall beyond which a guard is required",
    "guard.required.distance": "how far out from the edge the fall is taken",
    "guard.height.level": "least height above the walking surface",
    "guard.height.stair": "least height, plumb, above the nosing line",
    "handrail.height.min": "least height of a handrail, plumb, above the nosing line",
    "handrail.height.max": "greatest height of a handrail, plumb, above the nosing line",
    "handrail.clearance.min": "least room between a handrail and what it runs beside",
    "handrail.diameter.min": "least diameter of a round handrail",
    "handrail.diameter.max": "greatest diameter of a round handrail",
    "handrail.perimeter.min": "least perimeter of a handrail that is not round",
    "handrail.perimeter.max": "greatest perimeter of a handrail that is not round",
    "handrail.section.max": "greatest measure across a handrail that is not round",
    "handrail.return-gap": "gap between the end of a handrail and what it returns to",
    "opening.level": "sphere that must not pass on the level",
    "opening.bottom": "sphere that must not pass under the lowest cable on the level",
    "opening.stair": "sphere that must not pass on the open side of a stair",
    "opening.triangle": "sphere that must not pass through tread, riser and lowest cable or rail",
    "stair.riser.max": "greatest riser",
    "stair.tread.min": "least tread, nosing to nosing",
    "stair.variation": "greatest difference between risers, and treads, of a flight",
    "stair.width.min": "least clear width of a stair",
    "practice.cable-tread-clearance": "room between a cable and a tread or nosing",
    "practice.loaded-span": "cable span beyond which the force that passes a sphere is a warning",
    "practice.plate-gap": "room between the base plates of a pair of posts",
    "practice.cable-length.straight": "longest cable that goes straight",
    "practice.cable-length.turned": "longest cable that goes round a turn",
    "practice.wall-tool-reach": "room beside a wall to turn a wrench at an end fitting",
    "practice.fittings-gap": "room between the end fittings of two legs inside one post",
    "practice.parts-clearance": "room between parts that do not touch",
    "practice.post-edge": "from a base plate to the edge of the deck",
    "practice.core-edge": "concrete from the rim of a cored hole to its edge",
}
_FORCES = {
    "load.top": "concentrated load along the top",
    "load.infill": "load on the infill",
}
# Lengths that may be nothing at all.
_SHORTFALLS = {
    "handrail.short.max": "how far a handrail may end short of the first or the last riser",
}
_COUNTS = {"handrail.risers": "risers from which a flight needs a handrail"}
_ANGLES = {
    "practice.cable-turn.each": "greatest turn of a cable at one place",
    "practice.cable-turn.total": "greatest turn of a cable from end to end",
    "practice.saw-miter": "greatest miter that a saw cuts",
    "practice.saw-bevel": "greatest bevel that a saw cuts",
}
_NUMBERS = {
    "practice.friction": "friction of a cable on the sleeve that it bends over",
    "practice.bolt-edge": "from a bolt's axis to an edge of the wood, in diameters of the bolt",
    "practice.bolt-joint": "from a bolt's axis to a joint of two boards, in diameters of the bolt",
    "practice.bend-factor": "least bend of a cable, its radius in diameters of the cable",
}

LIMITS: Mapping[str, Field] = {
    **{key: Field(key, meaning, "length") for key, meaning in _LENGTHS.items()},
    **{key: Field(key, meaning, "length", "not negative") for key, meaning in _SHORTFALLS.items()},
    **{key: Field(key, meaning, "force") for key, meaning in _FORCES.items()},
    **{key: Field(key, meaning, "count") for key, meaning in _COUNTS.items()},
    **{key: Field(key, meaning, "angle") for key, meaning in _ANGLES.items()},
    **{key: Field(key, meaning, "number") for key, meaning in _NUMBERS.items()},
}
"""Every limit that a rule set may hold, by key; the checks ask for them by these keys."""

_LIMIT_KEYS = ("value", "clause", "edition", "note")


def read_rules(name: str, reader: Reader) -> RuleSet:
    """The rule set that a reader's document holds.

    Raises:
        InputError: everything that is wrong with the file.
    """
    raw = reader.whole("a rule set: description, edition, source and limits")
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
        reader.refused((*path, "value"), values["value"], fault)
        return None
    unit = row.unit or row.dimension  # a count or a number has no unit
    assert isinstance(value, float)  # every limit has a dimension whose values are numbers
    return Limit(row.key, value, unit, text, clause, edition, origin.source, origin.verified, note)


def _relate(reader: Reader, limits: Mapping[str, Limit]) -> None:
    """A fault where the handrail's heights stand the wrong way round."""
    low, high = limits.get("handrail.height.min"), limits.get("handrail.height.max")
    if low and high and low.value > high.value:
        reader.fault(
            ("limits", low.key), f"{low.text}, with {high.key} {high.text}", "at most the maximum"
        )


def _entry(limit: Limit) -> Entry:
    return Entry(
        limit.key, limit.text, limit.value, limit.unit, limit.source, False, limit.verified
    )
