"""All schedules as one workbook for people: a sheet each, numbers as numbers, ready to print."""
# The spreadsheet library tells types of little of what it takes.
# pyright: reportAttributeAccessIssue=false, reportOptionalMemberAccess=false
# pyright: reportArgumentType=false

from __future__ import annotations

import datetime
import io
import re
import textwrap
import zipfile
from collections.abc import Mapping, Sequence
from copy import copy
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generator import __version__
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.schedules.all_schedules import head_words, schedules
from generator.schedules.table import Cell, Table

if TYPE_CHECKING:
    from generator.schedules.prices import PriceList

# The first day that a zip can tell; no file here tells when it was made.
_DAY = (1980, 1, 1, 0, 0, 0)
_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
# A workbook is no place for these: XML 1.0 has no such characters.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_NUMBER = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,7})?")
_LETTER, _A4 = 1, 9  # paper sizes as the file format counts them
_WIDEST_UPRIGHT = 110  # characters that a sheet upright takes at a size that can be read
_WIDEST_CELL, _WIDEST_OF_MANY, _MANY = 54, 26, 14
_FACE, _SIZE = "Arial", 10
_NOTE_WIDTH = 100
_HEAD_LINES = 3
_ROW_PT = 15.0


_Styles = dict[tuple[str, bool], Any]


@dataclass(frozen=True, slots=True)
class _Unit:
    name: str
    factor: float
    form: str


_METRIC: Mapping[str, _Unit] = {
    "mm": _Unit("mm", 1.0, "0.0"),
    "deg": _Unit("deg", 1.0, "0.0"),
    "kg": _Unit("kg", 1.0, "0.00"),
    "N": _Unit("N", 1.0, "0"),
    "none": _Unit("", 1.0, "0"),
}
_IMPERIAL: Mapping[str, _Unit] = {
    **_METRIC,
    "mm": _Unit("in", 1 / 25.4, "0.000"),
    "kg": _Unit("lb", 1 / 0.45359237, "0.00"),
    "N": _Unit("lbf", 1 / 4.4482216152605, "0"),
}


@dataclass(frozen=True, slots=True)
class _Shown:
    """One column of a sheet: which of the table's, its heading, and how numbers are shown."""

    index: int
    heading: str
    right: bool
    unit: _Unit | None


def write_workbook(assembly: Assembly, path: Path, prices: PriceList | None = None) -> None:
    """Write the workbook; the same job gives the same bytes.

    Raises:
        OSError: `path` cannot be written.
        InputError: a price is for a measure in which its item is not ordered.
    """
    path.write_bytes(workbook_bytes(assembly, prices))


def workbook_bytes(assembly: Assembly, prices: PriceList | None = None) -> bytes:
    """The workbook as the bytes of its file."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    properties = book.properties
    properties.title = _clean(head_words(assembly))
    properties.creator = f"stringline {__version__}"
    properties.created = properties.modified = datetime.datetime(*_DAY)  # noqa: DTZ001 (the format has none)
    for table in schedules(assembly, prices):
        _sheet(book, assembly, table)
    raw = io.BytesIO()
    book.save(raw)
    return _dateless(raw.getvalue())


def _dateless(data: bytes) -> bytes:
    """The same zip with one date throughout: the library writes the time of the run."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            content = old.read(entry)
            if entry.filename == "docProps/core.xml":
                content = _MODIFIED.sub(rb"\g<1>1980-01-01T00:00:00Z\g<2>", content)
            plain = zipfile.ZipInfo(entry.filename, _DAY)
            plain.compress_type = zipfile.ZIP_DEFLATED
            plain.external_attr = 0o600 << 16
            new.writestr(plain, content, compresslevel=9)
    return out.getvalue()


def columns_of(table: Table, *, metric: bool) -> tuple[_Shown, ...]:
    """The columns of a sheet: a number, and beside it the feet and inches that spell it."""
    units = _METRIC if metric else _IMPERIAL
    spelt = {c.spells: i for i, c in enumerate(table.columns) if c.unit == "ft-in"}
    shown = []
    for i, column in enumerate(table.columns):
        if column.label and column.unit:
            unit = units[column.unit]
            shown.append(_Shown(i, _titled(column.label, unit.name), True, unit))
            beside = spelt.get(column.key)
            if beside is not None and not metric:
                shown.append(
                    _Shown(beside, _titled(column.label, "ft\N{NO-BREAK SPACE}in"), True, None)
                )
        elif not column.spells and (column.heading or column.label) and not table.idle(i):
            shown.append(_Shown(i, column.heading or column.label, column.right, None))
    return tuple(shown)


def _titled(label: str, unit: str) -> str:
    return f"{label} ({unit})" if unit else label


def _value(cell: Cell, shown: _Shown) -> tuple[Cell, str]:
    """What a cell holds, and the form of its number."""
    if cell is None or cell == "":
        return None, "General"
    if shown.unit and isinstance(cell, float):
        return round(cell * shown.unit.factor, 7) + 0.0, shown.unit.form
    if isinstance(cell, str) and shown.right and _NUMBER.fullmatch(cell):
        places = len(cell.partition(".")[2])
        return (float(cell) if places else int(cell)), f"0.{'0' * places}".rstrip(".")
    return cell, "0" if isinstance(cell, int) else "General"


def _sheet(book: Any, assembly: Assembly, table: Table) -> None:
    from openpyxl.utils import get_column_letter

    sheet = book.create_sheet(table.title)
    columns = columns_of(table, metric=assembly.job.metric)
    widest = _WIDEST_OF_MANY if len(columns) > _MANY else _WIDEST_CELL
    widths = [_head(sheet.cell(1, n), shown) for n, shown in enumerate(columns, start=1)]
    sheet.row_dimensions[1].height = _ROW_PT * _HEAD_LINES
    styles: _Styles = {}
    for r, row in enumerate(table.rows, start=2):
        lines = 1
        for n, shown in enumerate(columns, start=1):
            value, form = _value(row[shown.index], shown)
            if value is None:
                continue
            text = _fill(sheet.cell(r, n), value, form, styles, right=shown.right)
            widths[n - 1] = max(widths[n - 1], min(len(text), widest))
            if len(text) > widest:
                lines = max(lines, len(textwrap.wrap(text, widest - 1)))
        if lines > 1:
            _wrap(sheet, r)
            sheet.row_dimensions[r].height = _ROW_PT * lines
    widths = [width + 2 for width in widths]
    for n, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(n)].width = width
    _notes(sheet, table.notes, len(table.rows) + 3, widths)
    _print(sheet, assembly, sum(widths))


def _head(cell: Any, shown: _Shown) -> int:
    """A heading, and how wide it is broken between its words over its lines."""
    from openpyxl.styles import Alignment, Border, Font, Side

    cell.value = shown.heading
    cell.font, cell.border = Font(_FACE, _SIZE, bold=True), Border(bottom=Side(style="thin"))
    side, indent = ("right", 0) if shown.right else ("left", 1)
    cell.alignment = Alignment(horizontal=side, vertical="bottom", wrap_text=True, indent=indent)
    words = shown.heading.split(" ")
    width = max(map(len, words))
    while len(textwrap.wrap(shown.heading, width)) > _HEAD_LINES:
        width += 1
    return max(width + 2, 4)


def _fill(cell: Any, value: Cell, form: str, styles: _Styles, *, right: bool) -> str:
    """Puts a value in a cell, text never as a formula; gives what it shows."""
    _dress(cell, styles, form, right=right)
    if isinstance(value, str):
        text = _clean(value)
        cell.value = text
        cell.data_type = "s"
    else:
        cell.value = value
        text = f"{value:.{len(form.partition('.')[2])}f}"
    return text


def _dress(cell: Any, styles: _Styles, form: str, *, right: bool) -> None:
    """Face, side and form of a cell; worked out once a sheet and copied, which is much quicker."""
    key = (form, right)
    if key not in styles:
        from openpyxl.styles import Alignment, Font

        side, indent = ("right", 0) if right else ("left", 1)
        cell.font, cell.number_format = Font(_FACE, _SIZE), form
        cell.alignment = Alignment(horizontal=side, vertical="center", indent=indent)
        styles[key] = copy(cell._style)
    cell._style = copy(styles[key])


def _wrap(sheet: Any, row: int) -> None:
    """Lets the text of a row break in its cells."""
    for cell in sheet[row]:
        if cell.data_type == "s":
            plain = copy(cell.alignment)
            plain.wrap_text = True
            cell.alignment = plain


def _clean(text: str) -> str:
    return _NOT_XML.sub("?", text)


def _notes(sheet: Any, notes: Sequence[str], row: int, widths: Sequence[int]) -> None:
    """Under the table, each across the columns that make a line of some length."""
    from openpyxl.styles import Alignment, Font

    room, last = 0, 0
    while last < len(widths) and room < _NOTE_WIDTH:
        room += widths[last]
        last += 1
    for n, note in enumerate(notes):
        cell = sheet.cell(row + n, 1, _clean(note))
        cell.data_type = "s"
        cell.font = Font(_FACE, _SIZE)
        cell.alignment = Alignment(vertical="top", wrap_text=True)
        if last > 1:
            sheet.merge_cells(start_row=row + n, end_row=row + n, start_column=1, end_column=last)
        # Rows of merged cells do not grow by themselves.
        lines = len(textwrap.wrap(note, room))
        sheet.row_dimensions[row + n].height = _ROW_PT * lines


def _print(sheet: Any, assembly: Assembly, width: float) -> None:
    """Paper by the job's units, one sheet wide, heads repeated, title and page on every sheet."""
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"
    setup = sheet.page_setup
    setup.paperSize = _A4 if assembly.job.metric else _LETTER
    setup.orientation = "landscape" if width > _WIDEST_UPRIGHT else "portrait"
    setup.fitToWidth, setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    margins = sheet.page_margins
    margins.left = margins.right = 0.5
    margins.top = margins.bottom = 0.9
    margins.header = margins.footer = 0.4
    # An ampersand begins a code there; doubled it is one.
    title = _clean(head_words(assembly)).replace("&", "&&")
    sheet.oddHeader.left.text = title
    sheet.oddHeader.right.text = "&A"
    sheet.oddFooter.left.text = f"stringline {__version__}"
    sheet.oddFooter.right.text = "Page &P of &N"
