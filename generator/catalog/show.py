"""The catalogue on paper: what there is, and one profile with every value and its source."""

from __future__ import annotations

from collections.abc import Sequence

from generator.catalog.kinds import PARTS, WORDS
from generator.catalog.load import Catalog
from generator.catalog.tables import Entry, Limit, Profile, RuleSet

_HEAD = ("value", "as written", "in base units", "source")
_LIMIT_HEAD = ("limit", "as written", "clause", "edition", "source")


def listing(catalog: Catalog) -> str:
    """Every kind and name with its line of description, as plain text.

    Raises:
        InputError: a profile's file is faulty.
    """
    blocks = []
    for folder, word in WORDS.items():
        names = catalog.names(folder)
        if names:
            rows = [(f"  {name}", catalog.get(folder, name).description) for name in names]
            blocks.append("\n".join((f"{_plural(folder, word)}:", *_columns(rows))))
    return "\n\n".join(blocks) + "\n"


def page(profile: Profile) -> str:
    """One profile as a table: each value as written, in base units, and where it comes from."""
    lines = [f"{profile.name}: {profile.description}", f"{_word(profile)}, {profile.file}", ""]
    if isinstance(profile, RuleSet):
        lines += _limits(profile)
    else:
        rows = [_HEAD, *(_row(entry) for entry in profile.entries)]
        lines += _columns(rows)
    return "\n".join(lines) + "\n"


def _limits(rules: RuleSet) -> list[str]:
    """Limits of a rule set, and the notes under them."""
    limits = tuple(rules.limits.values())
    lines = _columns([_LIMIT_HEAD, *(_limit_row(limit) for limit in limits)])
    notes = [f"  {limit.key}: {limit.note}" for limit in limits if limit.note]
    if notes:
        lines += ["", "Notes:", *notes]
    doubtful = sum(not limit.verified for limit in limits)
    if doubtful:
        lines += ["", f"{doubtful} of {len(limits)} limits were not read at their source."]
    return [*lines, "", "Limits for checking a layout. The adopted local code governs."]


def _limit_row(limit: Limit) -> tuple[str, ...]:
    source = limit.source if limit.verified else _unverified(limit.source)
    return (limit.key, limit.text, limit.clause, limit.edition, source)


def _row(entry: Entry) -> tuple[str, ...]:
    return (entry.field, entry.text, _base(entry), _source(entry))


def _base(entry: Entry) -> str:
    """Value in base units, to six figures; a word or a name stays empty."""
    if isinstance(entry.value, (str, bool)):
        return ""
    values = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    return f"{', '.join(f'{value:.6g}' for value in values)} {entry.unit}".rstrip()


def _source(entry: Entry) -> str:
    """Where a value comes from, and whether that was read."""
    if entry.invented:
        return "invented" if not entry.source else f"{entry.source} (invented)"
    return entry.source if entry.verified else _unverified(entry.source)


def _unverified(source: str) -> str:
    """A source with its doubt, where its own words do not tell it already."""
    told = ("from memory", "common practice", "default", "as ", "job spec")
    return source if source.startswith(told) else f"{source} [not verified]"


def _columns(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Rows as lines, each column as wide as its widest cell."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def _word(profile: Profile) -> str:
    if isinstance(profile, RuleSet):
        return WORDS["rules"]
    return next(kind.word for kind in PARTS.values() if type(profile) is kind.table)


def _plural(folder: str, word: str) -> str:
    return f"{word}s" if folder == "rules" else folder
