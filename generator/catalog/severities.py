"""Severities that a rule set gives the findings of single codes, each for a reason."""

from __future__ import annotations

from typing import Literal, cast

from generator.catalog.reader import Reader
from generator.catalog.tables import SeverityChange
from generator.textfile import shown

_KEYS = ("severity", "reason", "clause")
_WORDS = ("fail", "warn", "note")


def read_severities(reader: Reader, raw: object, edition: str) -> tuple[SeverityChange, ...]:
    """Changes of a rule set's document by their codes; faults are noted in the reader.

    Whether there is such a code is not known on this floor; `spec.read_job` is told the codes.
    """
    rows = reader.mapping(("severities",), raw, "severities by code")
    found = (_change(reader, code, row, edition) for code, row in rows.items())
    return tuple(change for change in found if change is not None)


def merged(
    base: tuple[SeverityChange, ...], own: tuple[SeverityChange, ...]
) -> tuple[SeverityChange, ...]:
    """Changes with those of their own in place of the base's, one a code."""
    return tuple({change.code: change for change in (*base, *own)}.values())


def _change(reader: Reader, code: str, raw: object, edition: str) -> SeverityChange | None:
    path = ("severities", code)
    values = reader.mapping(path, raw, "a mapping with severity and reason")
    if not values:
        return None
    reader.unknown(path, values, _KEYS)
    severity = values.get("severity")
    reason = reader.required_line(path, values, "reason", "why the severity is another")
    clause = reader.line(path, values, "clause")
    if severity not in _WORDS:
        reader.fault((*path, "severity"), shown(severity), "fail, warn or note")
        return None
    word = cast(Literal["fail", "warn", "note"], severity)
    return SeverityChange(code, word, reason, clause, edition)
