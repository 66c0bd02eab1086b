"""The catalogue on paper: what there is, and one profile with every value and its source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from textwrap import wrap

from generator.catalog.fields import Field
from generator.catalog.kinds import PARTS, WORDS
from generator.catalog.limits import LIMITS
from generator.catalog.load import Catalog
from generator.catalog.rules import missing
from generator.catalog.tables import Entry, Limit, Profile, RuleSet, WireTable, WireTables
from generator.catalog.wire_rows import KEYS, NOT_ALLOWED

_HEAD = ("value", "as written", "in base units", "standing", "source")
_LIMIT_HEAD = ("limit", "as written", "clause", "edition", "standing", "source")
_GUIDE_HEAD = ("key", "meaning", "accepted", "unless given")
_GOVERNS = "The locally adopted code and the authority that applies it govern."
_TABLE_TITLES = {
    "tension": "{clause}: least tension, N, by clear distance between posts, mm; x not allowed",
    "deflection": "{clause}: greatest deflection, mm, under 2 kg at mid-span; x not allowed",
}
_WIDEST = 44  # characters of a cell, beyond which it goes on in the next line

# How a source's text begins tells what kind of source it is; the rest of the text says which.
_STANDINGS = {
    "from memory, not read: ": "from memory",
    "of another edition, not read in this one: ": "other edition",
    "one reading, not confirmed: ": "one reading",
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
    elif isinstance(profile, WireTables):
        body = _tables(profile)
    else:
        body = _columns([_HEAD, *(_row(entry) for entry in profile.entries)])
    return "\n".join((*head, *body)) + "\n"


def guide(folder: str) -> str:
    """What a file of one kind holds: each key, its meaning, and what is accepted there.

    Raises:
        KeyError: no such kind.
    """
    if folder == "tables":
        cells = [(*row, "") for row in KEYS]
    else:
        rows = LIMITS.values() if folder == "rules" else PARTS[folder].fields
        cells = [(row.key, row.meaning, row.accepted, _unless_given(row)) for row in rows]
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


def _unless_given(row: Field) -> str:
    if row.none is not None:
        return "none"
    return (row.default or "").replace("=", "as ")


def _limits(rules: RuleSet) -> list[str]:
    """Limits of a rule set by where they come from, and the notes under them."""
    limits = tuple(rules.limits.values())
    lines: list[str] = []
    for title, group in _groups(rules):
        table = _columns([_LIMIT_HEAD, *(_limit_row(limit) for limit in group)])
        lines += [*(["", title] if lines else [title] if rules.bases else []), *table]
    reasons = [(f"  {limit.key}", _in_place(limit)) for limit in limits if limit.reason]
    if reasons:
        lines += ["", "Instead of what is taken over", *_columns(reasons, widest=76)]
    changes = [(f"  {c.code}", c.severity, c.clause, c.by, c.reason) for c in rules.severities]
    if changes:
        lines += ["", "Severities in place of the codes' own", *_columns(changes, widest=76)]
    notes = [(f"  {limit.key}", limit.note) for limit in limits if limit.note]
    if notes:
        lines += ["", "Notes", *_columns(notes, widest=76)]
    return [*lines, *_doubts(rules), "", _GOVERNS]


def _groups(rules: RuleSet) -> Iterator[tuple[str, list[Limit]]]:
    """Limits stated here, those put in place of others, and those taken over from each base."""
    stated: dict[str, list[Limit]] = {}
    for limit in rules.limits.values():
        own = limit.stated_in not in rules.bases
        title = f"Taken over from {limit.stated_in}"
        if own:
            title = "Stated here instead of what is taken over" if limit.replaces else "Stated here"
        stated.setdefault(title, []).append(limit)
    yield from sorted(stated.items(), key=lambda item: item[0].startswith("Taken over"))


def _in_place(limit: Limit) -> str:
    old = limit.replaces
    if old is None:
        return f"{limit.text}: {limit.reason}"
    return f"{limit.text} instead of {old.text} ({old.stated_in}, {old.clause}): {limit.reason}"


def _doubts(rules: RuleSet) -> list[str]:
    """How much of a rule set was not read at a source, and what it sets no limit for."""
    lines: list[str] = []
    doubtful = sum(not limit.verified for limit in rules.limits.values())
    if doubtful:
        lines += ["", f"{doubtful} of {len(rules.limits)} limits were not read at a source."]
    left_out = [key for key in LIMITS if key not in rules.limits]
    if missing(rules):
        return [*lines, "", "A base for other rule sets: no job goes by it alone."]
    if left_out:
        words = "Nothing is stated, and nothing checked, for " + ", ".join(left_out) + "."
        lines += ["", *wrap(words, 100, break_long_words=False, break_on_hyphens=False)]
    return lines


def _tables(tables: WireTables) -> list[str]:
    """Every table as it is printed, its source, and what its publisher asks to be said."""
    lines: list[str] = []
    for table in (tables.tension, tables.deflection):
        if table is not None:
            lines += [_TABLE_TITLES[table.holds].format(clause=table.clause), *_cells(table), ""]
    standing_ = "read" if tables.verified else "not verified"
    lines += [f"{tables.edition}, {standing_}: {tables.source}"]
    if tables.attribution:
        lines += [tables.attribution]
    return [line for text in lines for line in (wrap(text, 120) if len(text) > 120 else [text])]


def _cells(table: WireTable) -> list[str]:
    """Rows of a table in columns, numbers to the right."""
    head = ["wire mm", "lay", "spacing mm", *(f"{span:g}" for span in table.spans_mm)]
    rows = [
        [
            f"{row.diameter_mm:.1f}",
            row.lay,
            f"{row.spacing_mm:g}",
            *(NOT_ALLOWED if value is None else f"{value:g}" for value in row.values),
        ]
        for row in table.rows
    ]
    widths = [max(len(row[n]) for row in [head, *rows]) for n in range(len(head))]
    return [
        "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))
        for row in [head, *rows]
    ]


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
    if isinstance(profile, WireTables):
        return WORDS["tables"]
    return next(kind.word for kind in PARTS.values() if type(profile) is kind.table)
