"""Profiles of parts and materials: a document, or values that a job overrides, into a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeVar, cast

from generator.catalog.fields import Field, parse
from generator.catalog.kinds import PARTS, Kind
from generator.catalog.reader import ORIGIN_KEYS, Origin, Path, Reader, made_entry
from generator.catalog.tables import Entry, Profile
from generator.errors import InputError
from generator.textfile import Document

JOB_SPEC = "job spec"
"""Source of a value that a job gives in place of the catalogue's."""

_P = TypeVar("_P", bound=Profile)


def read_profile(kind: Kind, name: str, reader: Reader) -> Profile:
    """The profile that a reader's document holds.

    Raises:
        InputError: everything that is wrong with the file.
    """
    raw = reader.whole(f"the values of a {kind.word}, each with its key")
    known = [field.key for field in kind.fields]
    reader.unknown((), raw, ("description", *ORIGIN_KEYS, *known))
    description = reader.required_line((), raw, "description", f"one line on this {kind.word}")
    origin = reader.origin((), raw, Origin())
    entries: dict[str, Entry] = {}
    for field in kind.fields:
        if field.key in raw:
            entry = reader.entry((field.key,), raw[field.key], field, origin)
            if entry is not None:
                entries[field.key] = entry
        elif field.default is None:
            reader.missing((field.key,), field.wanted)
    reader.sources(raw)
    _fill(kind, entries)
    _relate(reader, kind, entries, lambda keys: (keys[0],))
    if reader.problems:
        raise InputError(reader.problems)
    return _made(kind, name, description, reader.document.file, entries)


def override(profile: _P, values: Mapping[str, object], document: Document, path: Path) -> _P:
    """The profile with some values replaced by those of a job spec.

    `values` stands at `path` of the document; each is checked as in a profile's own file and its
    entry names the job spec as source. A value that had been left to its default follows anew.

    Raises:
        InputError: everything that is wrong with the values.
    """
    kind = next(kind for kind in PARTS.values() if type(profile) is kind.table)
    reader = Reader(document)
    reader.unknown(path, values, [field.key for field in kind.fields])
    entries = {entry.field: entry for entry in profile.entries if not _defaulted(kind, entry)}
    for field in kind.fields:
        if field.key in values:
            entries.pop(field.key, None)
            at = (*path, field.key)
            entry = reader.entry(at, values[field.key], field, Origin(JOB_SPEC))
            if entry is not None:
                entries[field.key] = _of_the_job(entry)
    _fill(kind, entries)
    _relate(
        reader,
        kind,
        entries,
        lambda keys: next(((*path, key) for key in keys if key in values), path),
    )
    if reader.problems:
        raise InputError(reader.problems)
    made = _made(kind, profile.name, profile.description, profile.file, entries)
    return cast(_P, made)


def _of_the_job(entry: Entry) -> Entry:
    """The entry with the job spec named before any source that the spec itself states."""
    if entry.source == JOB_SPEC:
        return entry
    said = entry.source or "invented"
    return replace(entry, source=f"{JOB_SPEC}: {said}", invented=False)


def _defaulted(kind: Kind, entry: Entry) -> bool:
    field = kind.field(entry.field)
    return field is not None and field.default is not None and entry.source == field.default_source


def _fill(kind: Kind, entries: dict[str, Entry]) -> None:
    """Add the entries of values that were left to their defaults."""
    for field in kind.fields:
        if field.key not in entries and field.default is not None:
            entry = _default(field, entries)
            if entry is not None:
                entries[field.key] = entry


def _default(field: Field, entries: Mapping[str, Entry]) -> Entry | None:
    default = field.default or ""
    if not default.startswith("="):
        value, text = parse(field, default)
        return made_entry(field, text, value, Origin(field.default_source))
    other = entries.get(default[1:])
    if other is None:
        return None
    return replace(other, field=field.key, source=field.default_source)


def _relate(
    reader: Reader,
    kind: Kind,
    entries: Mapping[str, Entry],
    place: Callable[[tuple[str, ...]], Path],
) -> None:
    """A fault for every relation between values that does not hold."""
    values = {key: entry.value for key, entry in entries.items()}
    for rule in kind.rules:
        if rule.kept(values):
            continue
        key, path = rule.keys[0], place(rule.keys)
        itself = entries[key].text
        others = " and ".join(f"{other} {entries[other].text}" for other in rule.keys[1:])
        read = f"{itself}, with {others}" if others else itself
        if path[-1:] == (key,):
            reader.fault(path, read, rule.accepted)
        else:
            reader.fault(path, f"{key} {read}", f"{key} {rule.accepted}")


def _made(
    kind: Kind, name: str, description: str, file: str, entries: Mapping[str, Entry]
) -> Profile:
    """The table of a profile whose entries are complete."""
    values: dict[str, object] = {}
    for field in kind.fields:
        value = entries[field.key].value
        values[field.attribute] = int(cast(float, value)) if field.dimension == "count" else value
    ordered = tuple(entries[field.key] for field in kind.fields)
    return kind.table(
        name=name, description=description, file=file, entries=ordered, **cast("dict", values)
    )
