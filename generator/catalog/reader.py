"""Walks through a profile's file: values with their sources, and every fault with its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from generator.catalog.fields import Field, FieldFault, Value, parse
from generator.catalog.tables import Entry
from generator.errors import InputError, Problem
from generator.textfile import Document, shown

Path = tuple[str | int, ...]

ORIGIN_KEYS = ("source", "verified", "invented")
_VALUE_KEYS = ("value", *ORIGIN_KEYS)
_NO_ORIGIN = "a source, or invented: true, beside the value or at the top of the file"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a value comes from; see `tables.Entry`."""

    source: str = ""
    verified: bool = False
    invented: bool = False

    @property
    def known(self) -> bool:
        """Whether it says anything at all."""
        return self.invented or bool(self.source)


@dataclass(slots=True)
class Reader:
    """Reads the parts of one document and gathers what is wrong with it."""

    document: Document
    problems: list[Problem] = field(default_factory=list)
    unsourced: list[Path] = field(default_factory=list)

    def fault(self, path: Path, read: str, accepted: str) -> None:
        """Note one fault at a place of the document."""
        self.problems.append(self.document.problem(path, read, accepted))

    def refused(self, path: Path, raw: object, fault: FieldFault) -> None:
        """Note a value that its field does not take, or the item of a list."""
        if fault.item is not None and isinstance(raw, (list, tuple)):
            path, raw = (*path, fault.item), raw[fault.item]
        self.fault(path, shown(raw), str(fault))

    def missing(self, path: Path, accepted: str) -> None:
        """Note that a key is not there."""
        self.fault(path, "nothing", accepted)

    def mapping(self, path: Path, raw: object, accepted: str) -> Mapping[str, object]:
        """`raw` if it is a mapping, else an empty one and a fault."""
        if isinstance(raw, Mapping):
            return raw
        self.fault(path, shown(raw), accepted)
        return {}

    def whole(self, accepted: str) -> Mapping[str, object]:
        """The document if it is a mapping.

        Raises:
            InputError: it is none; nothing else can be told about it.
        """
        raw = self.mapping((), self.document.data, accepted)
        if not isinstance(self.document.data, Mapping):
            raise InputError(self.problems)
        return raw

    def unknown(self, path: Path, raw: Mapping[str, object], known: Iterable[str]) -> None:
        """A fault for every key that is not known, with the nearest one that is."""
        names = tuple(known)
        for key in raw:
            if key not in names:
                near = nearest(str(key), names)
                accepted = f"{near}, the nearest key" if near else "one of " + ", ".join(names)
                problem = self.document.problem(
                    (*path, key), "an unknown key", accepted, at_key=True
                )
                self.problems.append(problem)

    def line(self, path: Path, raw: Mapping[str, object], key: str) -> str:
        """Text of a key on one line; empty where the key is missing."""
        if key not in raw:
            return ""
        value = raw[key]
        text = " ".join(value.split()) if isinstance(value, str) else ""
        if not text or not text.isprintable():
            number = isinstance(value, (int, float)) and not isinstance(value, bool)
            accepted = "plain text, in quotes where it is a number" if number else "plain text"
            self.fault((*path, key), shown(value), accepted)
            return ""
        return text

    def required_line(self, path: Path, raw: Mapping[str, object], key: str, what: str) -> str:
        """Like `line`, with a fault where the key is missing."""
        if key not in raw:
            self.missing((*path, key), what)
        return self.line(path, raw, key)

    def switch(self, path: Path, raw: Mapping[str, object], key: str) -> bool:
        """True or false of a key; false where it is missing."""
        value = raw.get(key, False)
        if isinstance(value, bool):
            return value
        self.fault((*path, key), shown(value), "true or false")
        return False

    def origin(self, path: Path, raw: Mapping[str, object], outer: Origin) -> Origin:
        """Origin that a mapping states, or the outer one where it states none."""
        source = self.line(path, raw, "source")
        verified = self.switch(path, raw, "verified")
        invented = self.switch(path, raw, "invented")
        if invented and source:
            self.fault((*path, "invented"), "invented: true beside a source", "one of the two")
        if "verified" in raw and not source:
            accepted = "verified only beside a source, which was then read"
            self.fault((*path, "verified"), "verified without a source", accepted)
        if invented:
            return Origin(invented=True)
        return Origin(source, verified) if source else outer

    def sources(self, raw: Mapping[str, object]) -> None:
        """A fault for each value without an origin; one for all where the file has none at all."""
        if "source" in raw or "invented" in raw:
            return  # what is wrong with those has been said
        many = len(self.unsourced) > 2
        for path in [()] if many else self.unsourced:
            read = f"{len(self.unsourced)} values without a source" if many else "no source"
            self.fault(path, read, _NO_ORIGIN)

    def entry(self, path: Path, raw: object, row: Field, outer: Origin) -> Entry | None:
        """One value, plain or as a mapping with its own source; None and a fault if unreadable."""
        origin, value_path = outer, path
        if isinstance(raw, Mapping):
            self.unknown(path, raw, _VALUE_KEYS)
            origin = self.origin(path, raw, outer)
            if "value" not in raw:
                self.missing((*path, "value"), row.wanted)
                return None
            raw, value_path = raw["value"], (*path, "value")
        if not origin.known:
            self.unsourced.append(path)
        try:
            value, text = parse(row, raw)
        except FieldFault as fault:
            self.refused(value_path, raw, fault)
            return None
        return made_entry(row, text, value, origin)


def made_entry(row: Field, text: str, value: Value, origin: Origin) -> Entry:
    """The entry of one value."""
    return Entry(row.key, text, value, row.unit, origin.source, origin.invented, origin.verified)


def nearest(word: str, known: Iterable[str]) -> str:
    """The known name most like `word`, or nothing."""
    from difflib import get_close_matches  # not cheap to load, and needed for a fault only

    return next(iter(get_close_matches(word, list(known), n=1)), "")
