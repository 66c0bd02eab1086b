"""Limits that a job puts in place of its rule set's, such as a town's amendment."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generator.catalog.fields import Field, FieldFault
from generator.catalog.limits import LIMITS
from generator.catalog.rules import Amendment, amended, completed, crossed, missing, parse_limit
from generator.catalog.tables import RuleSet
from generator.spec.fields import read_line
from generator.spec.plain import Plain
from generator.textfile import Place

AMENDMENTS = "amendments"
_BARE = re.compile(r"[0-9]*\.?[0-9]+(?:[eE][+-]?[0-9]+)?|[0-9]+\.")
_LACKING_SHOWN = 3


def amendment_problems(source: Plain) -> None:
    """Note values that their limits do not take, and limits that are amended twice."""
    seen: dict[str, int] = {}
    for index, key, item in _readable(source):
        path: Place = (AMENDMENTS, index)
        if key in seen:
            first = f"{AMENDMENTS}[{seen[key]}]"
            source.refuse((*path, "limit"), f"each limit once; {first} has it too")
        seen.setdefault(key, index)
        value = item.get("value")
        if isinstance(value, bool) or not isinstance(value, (str, int, float)) or value == "":
            continue  # the models report it
        try:
            parse_limit(LIMITS[key], _with_unit(LIMITS[key], value, source.unit))
        except FieldFault as fault:
            source.refuse((*path, "value"), _accepted(LIMITS[key], fault, source.unit))


def amended_rules(source: Plain, rules: RuleSet) -> RuleSet | None:
    """The rule set of the job with its amendments; None, and what is wrong, where it is not whole.

    Amendments that cannot be read are left out: they are told of elsewhere.
    """
    amendments: dict[str, Amendment] = {}
    places: dict[str, int] = {}
    for index, key, item in _readable(source):
        amendment = _amendment(source, key, item)
        if amendment is not None and key not in places:
            amendments[key], places[key] = amendment, index
    new = amended(rules, amendments)
    for low, high in crossed(new.limits):
        here, other = (low, high) if low.key in places else (high, low)
        if here.key in places:
            sense = "at most" if here is low else "at least"
            accepted = f"{sense} {other.text}, {other.key}"
            source.refuse((AMENDMENTS, places[here.key], "value"), accepted)
    lacking = missing(new)
    if lacking:
        few = ", ".join(lacking[:_LACKING_SHOWN]) + (", ..." if lacking[_LACKING_SHOWN:] else "")
        accepted = "a rule set that states them, or extends one that does"
        source.refuse(("job", "rules"), accepted, f"{rules.name}, which does not state {few}")
        return None
    return completed(new)


def _readable(source: Plain) -> Iterator[tuple[int, str, Mapping[str, object]]]:
    """(index, key of the limit, its item) of every amendment of a limit that there is."""
    for index, item in enumerate(source.items((AMENDMENTS,))):
        key = item.get("limit") if isinstance(item, dict) else None
        if isinstance(item, dict) and isinstance(key, str) and key in LIMITS:
            yield index, key, item


def _amendment(source: Plain, key: str, item: Mapping[str, object]) -> Amendment | None:
    """An amendment; None where the models or `amendment_problems` find fault with it."""
    value = _with_unit(LIMITS[key], item.get("value"), source.unit)
    try:
        parse_limit(LIMITS[key], value)
        reason = read_line(item.get("reason"))
        clause = read_line(item["clause"]) if "clause" in item else ""
    except (FieldFault, ValueError):
        return None
    return Amendment(key, str(value), reason, clause)


def _with_unit(field: Field, raw: object, unit: str) -> object:
    """A bare length is in the job's unit, like every other in the spec."""
    number = isinstance(raw, (int, float)) and not isinstance(raw, bool)
    bare = number or (isinstance(raw, str) and _BARE.fullmatch(raw.strip()))
    return f"{raw} {unit}" if field.dimension == "length" and bare else raw


def _accepted(field: Field, fault: FieldFault, unit: str) -> str:
    bare = f", or a bare number of {unit}" if field.dimension == "length" else ""
    return f"{fault}{bare}"
