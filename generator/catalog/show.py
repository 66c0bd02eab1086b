"""The catalogue on paper: what there is, and one profile with every value and its source."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from textwrap import wrap

from generator.catalog.kinds import PARTS, WORDS
from generator.catalog.load import Catalog
from generator.catalog.rules import LIMITS
from generator.catalog.tables import Entry, Limit, Profile, RuleSet

_HEAD = ("value", "as written", "in base units", "standing", "source")
_LIMIT_HEAD = ("limit", "as written", "clause", "edition", "standing", "source")
_GUIDE_HEAD = ("key", "meaning", "accepted", "unless given")
_WIDEST = 44  # characters of a cell, beyond which it goes on in the next line

# How a source's text begins tells what kind of source it is; the rest of the text says which.
_STANDINGS = {
    "from memory, not read: ": "from memory",
    "common practice, no source: ": "common practice",
    "common practice, no source": "common practice",
    "closed form: ": "closed form",
    "job spec: ": "job spec",
    "job spec": "job spec",
    "default, unless given": "default",
}


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
            title = f"{word}s" if folder == "rules" else folder
            blocks.append("\n".join((f"{title}:", *_columns(rows, widest=100))))
    return "\n\n".join(blocks) + "\n"


def page(profile: Profile) -> str:
    """One profile as a table: each value as written, in base units, and where it comes from."""
    head = [f"{profile.name}: {profile.description}", f"{_word(profile)}, {profile.file}", ""]
    if isinstance(profile, RuleSet):
        body = _limits(profile)
    else:
        body = _columns([_HEAD, *(_row(entry) for entry in profile.entries)])
    return "\n".join((*head, *body)) + "\n"


def guide(folder: str) -> str:
    """What a file of one kind holds: each key, its meaning, and what is accepted there.

    Raises:
        KeyError: no such kind.
    """
    rows = LIMITS.values() if folder == "rules" else PARTS[folder].fields
    cells = [
        (row.key, row.meaning, row.accepted, (row.default or "").replace("=", "as "))
        for row in rows
    ]
    head = [f"Keys of a {WORDS[folder]}, a file in {folder}/", ""]
    return "\n".join((*head, *_columns([_GUIDE_HEAD, *cells]))) + "\n"


def standing(entry: Entry | Limit) -> str:
    """How far a value can be relied on: read, closed form, from memory, invented and so on."""
    if isinstance(entry, Entry) and entry.invented:
        return "invented"
    kind = next((word for start, word in _STANDINGS.items() if entry.source.startswith(start)), "")
    if kind:
        return kind
    return "read" if entry.verified else "not verified"


def _limits(rules: RuleSet) -> list[str]:
    """Limits of a rule set, and the notes under them."""
    limits = tuple(rules.limits.values())
    lines = _columns([_LIMIT_HEAD, *(_limit_row(limit) for limit in limits)])
    notes = [(f"  {limit.key}", limit.note) for limit in limits if limit.note]
    if notes:
        lines += ["", "Notes", *_columns(notes, widest=76)]
    doubtful = sum(not limit.verified for limit in limits)
    if doubtful:
        lines += ["", f"{doubtful} of {len(limits)} limits were not read at a source."]
    return [*lines, "", "The locally adopted code and the authority that applies it govern."]


def _limit_row(limit: Limit) -> tuple[str, ...]:
    return (limit.key, limit.text, limit.clause, limit.edition, standing(limit), _rest(limit))


def _row(entry: Entry) -> tuple[str, ...]:
    return (entry.field, entry.text, _base(entry), standing(entry), _rest(entry))


def _base(entry: Entry) -> str:
    """Value in base units, to six figures; empty for a word or a name."""
    if isinstance(entry.value, (str, bool)):
        return ""
    values = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    return f"{', '.join(f'{value:.6g}' for value in values)} {entry.unit}".rstrip()


def _rest(entry: Entry | Limit) -> str:
    """The source without the words that its standing repeats."""
    for start in _STANDINGS:
        if entry.source.startswith(start):
            return entry.source.removeprefix(start)
    return entry.source


def _columns(rows: Sequence[tuple[str, ...]], widest: int = _WIDEST) -> list[str]:
    """Rows as lines, each column as wide as its widest cell, long cells on several lines."""
    cells = [[_lines(cell, widest) for cell in row] for row in rows]
    widths = [max(len(line) for row in cells for line in row[i]) for i in range(len(rows[0]))]
    return [
        "  ".join(part.ljust(width) for part, width in zip(line, widths, strict=True)).rstrip()
        for row in cells
        for line in zip_longest(*row, fillvalue="")
    ]


def _lines(cell: str, widest: int) -> list[str]:
    """A cell in lines; a measure such as 2-1/2 in is not broken at its hyphen."""
    return wrap(cell, widest, break_long_words=False, break_on_hyphens=False) or [""]


def _word(profile: Profile) -> str:
    if isinstance(profile, RuleSet):
        return WORDS["rules"]
    return next(kind.word for kind in PARTS.values() if type(profile) is kind.table)
