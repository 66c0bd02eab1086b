"""Rule sets: a document of limits, each with clause, edition and source, into a table.

A rule set may take over the limits of another and put single ones in their place, each for a
reason; a job may do the same for an amendment of its town.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from generator.catalog.fields import NAME, Field, FieldFault, parse
from generator.catalog.limits import LIMITS, MOST, NONE, PAIRS
from generator.catalog.profiles import JOB_SPEC
from generator.catalog.reader import ORIGIN_KEYS, Origin, Path, Reader
from generator.catalog.severities import merged, read_severities
from generator.catalog.tables import Entry, Limit, RuleSet
from generator.errors import InputError, StringlineError
from generator.frozen import dataclass

_LIMIT_KEYS = ("value", "clause", "edition", "note", "reason")
_KEYS = ("description", "edition", "extends", "limits", "severities", *ORIGIN_KEYS)
_NOT_SAID = "left out of the rule set"


class NoBase(StringlineError):
    """A rule set cannot be taken over; `read` and `accepted` are the words for it."""

    def __init__(self, read: str, accepted: str) -> None:
        self.read, self.accepted = read, accepted
        super().__init__(f"{read}; {accepted}")


@dataclass(frozen=True, slots=True)
class Amendment:
    """A limit that a job puts in place of its rule set's; `value` as it is written."""

    key: str
    value: str
    reason: str
    clause: str = ""


def read_rules(name: str, reader: Reader, base_of: Callable[[str], RuleSet]) -> RuleSet:
    """The rule set that a reader's document holds, with what it takes over from others.

    `base_of` gives another rule set by its name, or raises NoBase.

    Raises:
        InputError: everything that is wrong with the file, and with those that it extends.
    """
    raw = reader.whole("a rule set: description, edition, source and limits")
    reader.unknown((), raw, _KEYS)
    description = reader.required_line((), raw, "description", "one line on this rule set")
    edition = reader.required_line((), raw, "edition", "the code and its year, such as IRC 2021")
    origin = reader.origin((), raw, Origin())
    base = _base(reader, raw, base_of)
    if "limits" not in raw:
        reader.missing(("limits",), "limits by key, each with value and clause")
    page = _Page(reader, name, edition, origin, base, "extends" in raw)
    limits = page.limits(raw.get("limits", {}))
    if base is not None:
        limits |= {key: limit for key, limit in base.limits.items() if key not in limits}
    _relate(reader, limits, name)
    changes = read_severities(reader, raw.get("severities", {}), edition)
    if base is not None:
        changes = merged(base.severities, changes)
    if reader.problems:
        raise InputError(reader.problems)
    bases = (base.name, *base.bases) if base is not None else ()
    made = _made(name, description, reader.document.file, edition, limits, bases)
    return replace(made, severities=changes) if changes else made


def missing(rules: RuleSet) -> tuple[str, ...]:
    """Keys of the limits that a rule set has to state and does not."""
    return tuple(
        key for key, field in LIMITS.items() if field.none is None and key not in rules.limits
    )


def completed(rules: RuleSet) -> RuleSet:
    """The rule set with `none` for every limit that it may leave out and does.

    Raises:
        KeyError: it leaves out one that it has to state; see `missing`.
    """
    lacking = missing(rules)
    if lacking:
        raise KeyError(lacking[0])
    left_out = {
        key: _no_limit(rules, field) for key, field in LIMITS.items() if key not in rules.limits
    }
    if not left_out:
        return rules
    return replace(rules, limits={**rules.limits, **left_out})


def amended(rules: RuleSet, amendments: Mapping[str, Amendment]) -> RuleSet:
    """The rule set with the limits that a job puts in place; each names the job spec as source.

    Raises:
        FieldFault: a value is none of its limit.
        KeyError: there is no such limit at all.
    """
    if not amendments:
        return rules
    limits = dict(rules.limits)
    for key, amendment in amendments.items():
        value, text = parse_limit(LIMITS[key], amendment.value)
        limits[key] = Limit(
            key,
            value,
            _unit(LIMITS[key]),
            text,
            amendment.clause or "amendment of the job",
            JOB_SPEC,
            f"{JOB_SPEC}: {amendment.reason}",
            False,
            "",
            JOB_SPEC,
            amendment.reason,
            rules.limits.get(key),
        )
    edition = f"{rules.edition}, amended"
    made = _made(rules.name, rules.description, rules.file, edition, limits, rules.bases)
    return replace(made, severities=rules.severities)


def amended_limits(rules: RuleSet) -> tuple[Limit, ...]:
    """The limits that a job has put in place of the rule set's."""
    return tuple(limit for limit in rules.limits.values() if limit.edition == JOB_SPEC)


def parse_limit(field: Field, raw: object) -> tuple[float, str]:
    """Value of a limit in base units, and its text.

    Raises:
        FieldFault: `raw` is no value of the limit.
    """
    value, text = parse(field, raw)
    assert isinstance(value, float)  # every limit has a dimension whose values are numbers
    most = MOST.get(field.key)
    if most is not None and value > most:
        raise FieldFault(f"at most {most:g}: {field.meaning}")
    return value, text


def crossed(limits: Mapping[str, Limit]) -> Iterator[tuple[Limit, Limit]]:
    """Pairs of a least and a greatest limit that stand the wrong way round."""
    for low_key, high_key in PAIRS:
        low, high = limits.get(low_key), limits.get(high_key)
        if low and high and low.stated and high.stated and low.value > high.value:
            yield low, high


def _base(
    reader: Reader, raw: Mapping[str, object], base_of: Callable[[str], RuleSet]
) -> RuleSet | None:
    """The rule set that the document extends; None, and what is wrong, where it has none."""
    name = reader.line((), raw, "extends")
    if not name:
        return None
    if not NAME.fullmatch(name):
        reader.fault(("extends",), name, "the name of a rule set, such as irc-2021")
        return None
    try:
        return base_of(name)
    except NoBase as error:
        reader.fault(("extends",), error.read, error.accepted)
    except InputError as error:
        reader.problems += error.problems
    return None


@dataclass(frozen=True, slots=True)
class _Page:
    """One document of limits: what holds for all of them, and what it takes over."""

    reader: Reader
    name: str
    edition: str
    origin: Origin
    base: RuleSet | None
    extends: bool

    def limits(self, raw: object) -> dict[str, Limit]:
        """Limits by key, in the order of the file."""
        rows = self.reader.mapping(("limits",), raw, "limits by key")
        self.reader.unknown(("limits",), rows, LIMITS)
        limits: dict[str, Limit] = {}
        for key, row in rows.items():
            if key in LIMITS:
                limit = self._limit(("limits", key), row, LIMITS[key])
                if limit is not None:
                    limits[key] = limit
        return limits

    def _limit(self, path: Path, raw: object, row: Field) -> Limit | None:
        """One limit, or None and the faults that it has."""
        reader = self.reader
        values = reader.mapping(path, raw, "a mapping with value and clause")
        if not isinstance(raw, Mapping):
            return None
        reader.unknown(path, values, (*_LIMIT_KEYS, *ORIGIN_KEYS))
        origin = reader.origin(path, values, self.origin)
        if origin.invented or not origin.known:
            reader.fault(path, "no source", "a source: a limit cannot be invented")
        clause = reader.required_line(path, values, "clause", "the clause, or common practice")
        edition = reader.line(path, values, "edition") or self.edition
        note = reader.line(path, values, "note")
        replaces = self.base.limits.get(row.key) if self.base else None
        reason = self._reason(path, values, replaces)
        if "value" not in values:
            reader.missing((*path, "value"), row.wanted)
            return None
        try:
            value, text = parse_limit(row, values["value"])
        except FieldFault as fault:
            reader.refused((*path, "value"), values["value"], fault)
            return None
        source, verified = origin.source, origin.verified
        return Limit(
            row.key, value, _unit(row), text, clause, edition, source, verified, note,
            self.name, reason, replaces,
        )  # fmt: skip

    def _reason(self, path: Path, values: Mapping[str, object], replaces: Limit | None) -> str:
        """Why the limit that is taken over does not hold."""
        if replaces is not None:
            where = f"{replaces.text} of {replaces.stated_in}, {replaces.clause}"
            return self.reader.required_line(path, values, "reason", f"why not {where}")
        reason = self.reader.line(path, values, "reason")
        if reason and not (self.extends and self.base is None):
            read = "a reason, with nothing to put it in place of"
            accepted = "a reason beside a limit that the extended rule set states as well"
            self.reader.fault((*path, "reason"), read, accepted)
        return reason


def _relate(reader: Reader, limits: Mapping[str, Limit], name: str) -> None:
    """A fault where a least and a greatest limit stand the wrong way round, at the one stated here.

    Nothing is said where both were taken over: their own file is told of it.
    """
    for low, high in crossed(limits):
        if low.stated_in == name:
            reader.fault(
                ("limits", low.key), f"{low.text}, with {high.key} {high.text}", "at most that"
            )
        elif high.stated_in == name:
            reader.fault(
                ("limits", high.key), f"{high.text}, with {low.key} {low.text}", "at least that"
            )


def _no_limit(rules: RuleSet, field: Field) -> Limit:
    value, text = parse_limit(field, NONE)
    return Limit(field.key, value, _unit(field), text, "", rules.edition, _NOT_SAID, False, "")


def _unit(field: Field) -> str:
    """Base unit; a count or a number has none and is named as such."""
    return field.unit or field.dimension


def _made(
    name: str,
    description: str,
    file: str,
    edition: str,
    limits: Mapping[str, Limit],
    bases: tuple[str, ...],
) -> RuleSet:
    entries = tuple(_entry(limit) for limit in limits.values())
    return RuleSet(name, description, file, entries, edition, dict(limits), bases)


def _entry(limit: Limit) -> Entry:
    return Entry(
        limit.key, limit.text, limit.value, limit.unit, limit.source, False, limit.verified
    )
