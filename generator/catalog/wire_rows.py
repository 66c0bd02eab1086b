"""Tables of a code for tensioned wire: a document of rows into frozen tables, as they are printed.

A table is read, never fitted: its values come from tests, and between two columns nothing is known.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from generator.catalog.fields import Field, FieldFault, parse
from generator.catalog.reader import ORIGIN_KEYS, Origin, Path, Reader
from generator.catalog.tables import Entry, WireRow, WireTable, WireTables
from generator.errors import InputError

NOT_ALLOWED = "x"
"""How a table writes that no tension is enough."""

_SPANS = Field("spans", "clear distances between posts, one a column", "lengths")
_DIAMETER = Field("diameter", "diameter of the wire")
_SPACING = Field("spacing", "wires centre to centre")
_LAY = Field(
    "lay", "strands by wires; any where the table does not ask", "text",
    choices=("any", "1x19", "7x7", "7x19"),
)  # fmt: skip
_TABLES = {"tension": "least tension, N", "deflection": "greatest deflection, mm"}
_TABLE_KEYS = ("clause", "spans", "rows")
_ROW_FIELDS = (_DIAMETER, _LAY, _SPACING)

KEYS: tuple[tuple[str, str, str], ...] = (
    ("attribution", "what the publisher asks to be printed with the table", "text on one line"),
    *((key, f"the table of {what}", "a mapping") for key, what in _TABLES.items()),
    ("clause", "its number, in each table", "text on one line"),
    ("spans", _SPANS.meaning, _SPANS.accepted),
    *((field.key, f"{field.meaning}, in each row", field.accepted) for field in _ROW_FIELDS),
    ("values", "its values, one a column", "a list of numbers above zero, x where none is allowed"),
)
"""Key, meaning and what is accepted, for each key of a file of tables."""


def read_tables(name: str, reader: Reader) -> WireTables:
    """The tables that a reader's document holds.

    Raises:
        InputError: everything that is wrong with the file.
    """
    raw = reader.whole("tables for wire: description, edition, attribution, source, tension")
    known = ("description", "edition", "attribution", *_TABLES, *ORIGIN_KEYS)
    reader.unknown((), raw, known)
    description = reader.required_line((), raw, "description", "one line on these tables")
    edition = reader.required_line((), raw, "edition", "the code and its year")
    attribution = reader.line((), raw, "attribution")
    origin = reader.origin((), raw, Origin())
    if origin.invented or not origin.known:
        reader.fault((), "no source", "a source: a code's table cannot be invented")
    found = {key: _table(reader, (key,), raw[key], key) for key in _TABLES if key in raw}
    if "tension" not in raw:
        reader.missing(("tension",), f"a table of {_TABLES['tension']}")
    if reader.problems:
        raise InputError(reader.problems)
    entries = tuple(_entry(key, table, origin) for key, table in found.items())
    return WireTables(
        name, description, reader.document.file, entries, edition, attribution, origin.source,
        origin.verified, found["tension"], found.get("deflection"),
    )  # fmt: skip


def _table(reader: Reader, path: Path, raw: object, key: str) -> WireTable:
    """One table; an empty one where it cannot be read."""
    values = reader.mapping(path, raw, f"a mapping with {', '.join(_TABLE_KEYS)}")
    reader.unknown(path, values, _TABLE_KEYS)
    clause = reader.required_line(path, values, "clause", "the number of the table")
    spans = _spans(reader, path, values)
    rows: list[WireRow] = []
    lines = values.get("rows")
    if not isinstance(lines, list) or not lines:
        reader.fault((*path, "rows"), "no rows", "a list of rows, each with its values")
        lines = []
    for index, line in enumerate(lines):
        row = _row(reader, (*path, "rows", index), line, len(spans))
        if row is not None:
            rows.append(row)
    _no_row_twice(reader, (*path, "rows"), rows)
    return WireTable(key, clause, spans, tuple(rows))


def _spans(reader: Reader, path: Path, values: Mapping[str, object]) -> tuple[float, ...]:
    if "spans" not in values:
        reader.missing((*path, "spans"), _SPANS.wanted)
        return ()
    try:
        value, _ = parse(_SPANS, values["spans"])
    except FieldFault as fault:
        reader.refused((*path, "spans"), values["spans"], fault)
        return ()
    assert isinstance(value, tuple)
    return value


def _row(reader: Reader, path: Path, raw: object, columns: int) -> WireRow | None:
    """One row, or None and what is wrong with it."""
    line = reader.mapping(path, raw, "a row: diameter, lay, spacing and values")
    reader.unknown(path, line, (*(field.key for field in _ROW_FIELDS), "values"))
    found: dict[str, object] = {}
    for field in _ROW_FIELDS:
        if field.key not in line:
            reader.missing((*path, field.key), field.wanted)
            continue
        try:
            found[field.key], _ = parse(field, line[field.key])
        except FieldFault as fault:
            reader.refused((*path, field.key), line[field.key], fault)
    values = _values(reader, (*path, "values"), line.get("values"), columns)
    if values is None or len(found) < len(_ROW_FIELDS):
        return None
    diameter, lay, spacing = (found[field.key] for field in _ROW_FIELDS)
    assert isinstance(diameter, float)
    assert isinstance(spacing, float)
    return WireRow(diameter, str(lay), spacing, values)


def _values(
    reader: Reader, path: Path, raw: object, columns: int
) -> tuple[float | None, ...] | None:
    accepted = f"a list of {columns} numbers above zero, {NOT_ALLOWED} where none is allowed"
    if not isinstance(raw, list) or len(raw) != columns:
        reader.fault(path, f"{len(raw) if isinstance(raw, list) else 'no'} values", accepted)
        return None
    values: list[float | None] = []
    for index, cell in enumerate(raw):
        number = isinstance(cell, (int, float)) and not isinstance(cell, bool)
        if cell != NOT_ALLOWED and not (number and 0 < cell < 1e6):
            reader.fault((*path, index), f"{cell}", f"a number above zero, or {NOT_ALLOWED}")
            return None
        values.append(None if cell == NOT_ALLOWED else float(cell))
    return tuple(values)


def _no_row_twice(reader: Reader, path: Path, rows: list[WireRow]) -> None:
    keys = sorted((row.diameter_mm, row.lay, row.spacing_mm) for row in rows)
    for key, other in pairwise(keys):
        if key == other:
            diameter, lay, spacing = key
            read = f"two rows for {diameter:g} mm {lay} at {spacing:g} mm"
            reader.fault(path, read, "one row for each diameter, lay and spacing")


def _entry(key: str, table: WireTable, origin: Origin) -> Entry:
    text = f"{table.clause}, {len(table.rows)} rows of {len(table.spans_mm)}"
    return Entry(key, text, table.clause, "", origin.source, False, origin.verified)
