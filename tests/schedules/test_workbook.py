"""The workbook read back: by openpyxl as values, as a zip, and by LibreOffice where it is."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import time
import zipfile
from dataclasses import replace

import pytest
from openpyxl import load_workbook

from generator.schedules.all_schedules import schedules
from generator.schedules.table import to_csv
from generator.schedules.workbook import columns_of, workbook_bytes

INCH = 25.4
SHEETS = [
    "Order list", "Packing list", "Cut list", "Bars", "Drilling", "Cables", "Setting out",
    "Blocking", "Tension",
]  # fmt: skip


@pytest.fixture(scope="module", params=["lake-deck", "metric-terrace"])
def job(request, planned):
    return planned(request.param)


@pytest.fixture(scope="module")
def book(job):
    return load_workbook(io.BytesIO(workbook_bytes(job.assembly)))


def column(sheet, heading: str) -> list:
    heads = [str(cell.value).replace("\N{NO-BREAK SPACE}", " ") for cell in sheet[1]]
    n = heads.index(heading) + 1
    return [sheet.cell(r, n).value for r in range(2, sheet.max_row + 1)]


def test_one_sheet_a_schedule_with_all_its_rows(job, book):
    assert book.sheetnames == SHEETS
    for table in schedules(job.assembly):
        sheet = book[table.title]
        first = [sheet.cell(r, 1).value for r in range(2, len(table.rows) + 2)]
        shown = columns_of(table, metric=job.assembly.job.metric)
        assert first == [row[shown[0].index] for row in table.rows]
        notes = [sheet.cell(len(table.rows) + 3 + n, 1).value for n in range(len(table.notes))]
        assert tuple(notes) == table.notes


def test_numbers_are_those_of_the_csv_in_the_units_of_the_job(job, book):
    metric = job.assembly.job.metric
    for table in schedules(job.assembly):
        rows = list(csv.DictReader(io.StringIO(to_csv(table))))
        sheet = book[table.title]
        for c in table.columns:
            if not c.label or c.unit not in ("mm", "deg"):
                continue
            unit, factor = ("in", 1 / INCH) if c.unit == "mm" and not metric else (c.unit, 1.0)
            cells = column(sheet, f"{c.label} ({unit})")[: len(rows)]
            for cell, row in zip(cells, rows, strict=True):
                if row[c.key] == "":
                    assert cell is None
                else:
                    assert isinstance(cell, int | float)
                    assert cell == pytest.approx(float(row[c.key]) * factor, abs=1e-6)


def test_feet_and_inches_stand_beside_inches_and_not_beside_millimetres(job, book):
    heads = [str(cell.value).replace("\N{NO-BREAK SPACE}", " ") for cell in book["Cables"][1]]
    if job.assembly.job.metric:
        assert not any("(ft in)" in head or "(in)" in head for head in heads)
    else:
        # geometry.md I: the routes of leg 1 are 272.2500 in.
        assert heads.index("Route (ft in)") == heads.index("Route (in)") + 1
        assert column(book["Cables"], "Route (in)")[0] == pytest.approx(272.25)
        assert column(book["Cables"], "Route (ft in)")[0] == "22'-8 1/4\""


def test_sheets_are_ready_to_print(job, book):
    paper = 9 if job.assembly.job.metric else 1  # A4 and letter, as ECMA-376 counts papers
    for sheet in book:
        assert sheet.freeze_panes == "A2"
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.page_setup.paperSize == paper
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert job.assembly.job.title in sheet.oddHeader.left.text
        assert sheet.oddFooter.right.text == "Page &P of &N"
    assert book["Cables"].page_setup.orientation == "landscape"
    assert book["Drilling"].page_setup.orientation == "portrait"


def test_no_cell_is_wider_than_its_column(book):
    """One character of the widest digit is the unit of a column's width (ECMA-376, 18.3.1.13)."""
    from openpyxl.utils import get_column_letter

    for sheet in book:
        merged = {cell for area in sheet.merged_cells.ranges for cell in area.cells}
        for row in sheet.iter_rows(min_row=2):
            for cell in row:
                if cell.value is None or (cell.row, cell.column) in merged:
                    continue
                width = sheet.column_dimensions[get_column_letter(cell.column)].width
                if isinstance(cell.value, str):
                    lines = [cell.value]
                    if cell.alignment.wrap_text:
                        lines = cell.value.split(" ")
                else:
                    places = len(cell.number_format.partition(".")[2])
                    lines = [f"{cell.value:.{places}f}"]
                assert max(map(len, lines)) <= width, (sheet.title, cell.coordinate)


def test_same_job_same_bytes_whatever_the_clock_says(job):
    first = workbook_bytes(job.assembly)
    time.sleep(2.1)  # a zip tells time in steps of two seconds
    assert workbook_bytes(job.assembly) == first
    with zipfile.ZipFile(io.BytesIO(first)) as files:
        assert {entry.date_time for entry in files.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = files.read("docProps/core.xml").decode()
    assert core.count("1980-01-01T00:00:00Z") == 2


def test_text_is_never_a_formula(lake_deck):
    for title in ('=HYPERLINK("x")', "A & B <c>", "bell \x07"):
        strange = replace(lake_deck.assembly, job=replace(lake_deck.job, title=title))
        book = load_workbook(io.BytesIO(workbook_bytes(strange)))
        assert all(
            cell.data_type != "f" for sheet in book for row in sheet.iter_rows() for cell in row
        )
    parts = tuple(
        replace(part, item=f"=1+{part.item}") if part.kind == "rail" else part
        for part in lake_deck.assembly.parts
    )
    book = load_workbook(io.BytesIO(workbook_bytes(replace(lake_deck.assembly, parts=parts))))
    cell = next(c for c in book["Order list"]["A"] if str(c.value).startswith("=1+"))
    assert cell.data_type == "s"


def test_an_office_program_reads_it_as_well(job, tmp_path):
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    (tmp_path / "book.xlsx").write_bytes(workbook_bytes(job.assembly))
    # 44, 34, 76: commas, double quotes, UTF-8; the last -1 is a file a sheet.
    form = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
    home = f"-env:UserInstallation=file://{tmp_path}/office"
    call = [office, home, "--headless", "--convert-to", form, "--outdir", str(tmp_path)]
    call.append(str(tmp_path / "book.xlsx"))
    subprocess.run(call, check=True, capture_output=True, timeout=120)
    text = (tmp_path / "book-Cables.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(io.StringIO(text)))
    heads = [head.replace("\N{NO-BREAK SPACE}", " ") for head in rows[0]]
    cables = list(job.assembly.of_kind("cable"))
    assert [row[0] for row in rows[1 : len(cables) + 1]] == [part.mark for part in cables]
    unit = "mm" if job.assembly.job.metric else "in"
    order = heads.index(f"Order ({unit})")
    wanted = cables[0].detail.cut_length_mm / (1.0 if unit == "mm" else INCH)
    assert float(rows[1][order]) == pytest.approx(wanted, abs=0.05)
