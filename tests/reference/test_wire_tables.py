"""Tables for tensioned wire of the ABCB Housing Provisions Standard 2022, row by row.

© Commonwealth of Australia and the States and Territories 2022, published by the Australian
Building Codes Board (CC BY-ND 4.0). The rows below were copied from a text copy of Tables 11.3.6a
and b, apart from the data file.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.catalog import Catalog
from generator.catalog.tables import WireTable, WireTables
from generator.catalog.wire_tables import allowed_deflection, ncc_2022, required_tension
from generator.errors import InputError

TENSION_SPANS = (600, 800, 900, 1000, 1200, 1500, 1800, 2000, 2500)
TENSION = """
2.5  7x7    60     55   190   263   415   478   823  1080  1139     x
2.5  7x7    80    382   630   730   824  1025  1288     x     x     x
2.5  7x7   100    869  1218  1368     x     x     x     x     x     x
2.5  1x19   60     35   218   310   402   585   810  1125  1325     x
2.5  1x19   80    420   630   735   840  1050  1400  1750     x     x
2.5  1x19  100   1140  1565     x     x     x     x     x     x     x
3.0  7x7    60     15   178   270   314   506   660   965  1168  1491
3.0  7x7    80    250   413   500   741   818  1083  1370  1565     x
3.0  7x7   100    865  1278  1390  1639     x     x     x     x     x
3.0  1x19   60     25   183   261   340   520   790  1025  1180     x
3.0  1x19   80    325   555   670   785  1025  1330  1725  1980     x
3.0  1x19  100   1090  1500  1705  1910     x     x     x     x     x
4.0  7x7    60      5    73    97   122   235   440   664   813  1178
4.0  7x7    80    196   422   480   524   760  1100  1358  1530  2130
4.0  7x7   100    835  1182  1360  1528  1837  2381  2811  3098     x
4.0  1x19   60      5     5    10    15    20   147   593   890  1280
4.0  1x19   80     30   192   300   415   593  1105  1303  1435  1844
4.0  1x19  100    853  1308  1487  1610  2048  2608  3094  3418  3849
4.0  7x19   60    155   290   358   425   599   860  1080  1285  1540
4.0  7x19   80    394   654   785   915  1143  1485  1860  2105  2615
4.0  7x19  100   1038  1412  1598  1785  2165  2735     x     x     x
"""
DEFLECTION_SPANS = (600, 900, 1200, 1500, 1800, 2000)
DEFLECTION = """
2.5    60       17    11     9     8     8     8
2.5    80        7     5     5     5     x     x
3.0    60       19    13     8     7     7     7
3.0    80        8     6     6     5     5     5
4.0    60       18    12     8     8     7     7
4.0    80        8     6     4     4     4     4
"""


def cell(text: str) -> float | None:
    return None if text == "x" else float(text)


TENSIONS = [
    (float(line[0]), line[1], float(line[2]), span, cell(value))
    for line in map(str.split, TENSION.strip().splitlines())
    for span, value in zip(TENSION_SPANS, line[3:], strict=True)
]
DEFLECTIONS = [
    (float(line[0]), float(line[1]), span, cell(value))
    for line in map(str.split, DEFLECTION.strip().splitlines())
    for span, value in zip(DEFLECTION_SPANS, line[2:], strict=True)
]


@pytest.mark.parametrize("diameter,lay,spacing,span,newtons", TENSIONS)
def test_tension_of_every_cell(
    diameter: float, lay: str, spacing: float, span: float, newtons: float | None
) -> None:
    found = required_tension(diameter, lay, spacing, span)
    assert found is not None
    assert found.value == newtons
    assert (found.row.diameter_mm, found.row.lay, found.row.spacing_mm) == (diameter, lay, spacing)
    assert (found.span_mm, found.clause, found.edition) == (span, "Table 11.3.6a", "NCC 2022")
    assert found.verified


@pytest.mark.parametrize("diameter,spacing,span,mm", DEFLECTIONS)
def test_deflection_of_every_cell(
    diameter: float, spacing: float, span: float, mm: float | None
) -> None:
    found = allowed_deflection(diameter, spacing, span)
    assert found is not None
    assert found.value == mm
    assert (found.span_mm, found.clause) == (span, "Table 11.3.6b")


def test_tables_hold_nothing_else() -> None:
    tables = ncc_2022()
    assert tables.tension.spans_mm == TENSION_SPANS
    assert len(tables.tension.rows) * len(TENSION_SPANS) == len(TENSIONS) == 21 * 9
    assert tables.deflection is not None
    assert tables.deflection.spans_mm == DEFLECTION_SPANS
    assert len(tables.deflection.rows) * len(DEFLECTION_SPANS) == len(DEFLECTIONS) == 6 * 6
    assert "Commonwealth of Australia and the States and Territories 2022" in tables.attribution


def value(found: object) -> float:
    """A value that can be compared: what is not allowed is more than any tension."""
    number = getattr(found, "value", None)
    return float("inf") if number is None else number


def test_tension_never_falls_with_span_or_spacing() -> None:
    # So that the next larger column and row are the safe ones.
    rows = ncc_2022().tension.rows
    for row in rows:
        assert all(a <= b for a, b in pairwise(map(number, row.values)))
    for a, b in pairwise(rows):
        if (a.diameter_mm, a.lay) == (b.diameter_mm, b.lay):
            assert a.spacing_mm < b.spacing_mm
            assert all(x <= y for x, y in zip(a.values, b.values, strict=True) if x and y)
            assert all(y is None for x, y in zip(a.values, b.values, strict=True) if x is None)


def number(cell_value: float | None) -> float:
    return float("inf") if cell_value is None else cell_value


def test_deflection_never_grows_with_span_or_spacing() -> None:
    table = ncc_2022().deflection
    assert table is not None
    for row in table.rows:
        stated = [mm for mm in row.values if mm is not None]
        assert all(a >= b for a, b in pairwise(stated))
        assert row.values[: len(stated)] == tuple(stated)  # once barred, barred for longer spans


def newtons(diameter: float, lay: str, spacing: float, span: float) -> float | None:
    found = required_tension(diameter, lay, spacing, span)
    assert found is not None
    return found.value


# Lookup rules of the table's notes and of reference.md section 1.5.


def test_between_two_spans_the_longer_counts() -> None:
    assert newtons(3.0, "1x19", 80, 1000.1) == 1025
    assert newtons(3.0, "1x19", 80, 1199.9) == 1025
    assert newtons(3.0, "1x19", 80, 1200) == 1025
    assert newtons(3.0, "1x19", 80, 1200.1) == 1330


def test_below_600_the_first_column_counts() -> None:
    for span in (1, 300, 599.9, 600):
        assert newtons(3.0, "7x7", 100, span) == 865


def test_between_two_spacings_the_wider_counts() -> None:
    assert newtons(4.0, "7x19", 60.1, 1500) == 1485
    assert newtons(4.0, "7x19", 76.2, 1500) == 1485  # 3 in
    assert newtons(4.0, "7x19", 80, 1500) == 1485
    assert newtons(4.0, "7x19", 80.1, 1500) == 2735
    assert newtons(4.0, "7x19", 30, 1500) == 860


def test_wire_of_3_2_mm_goes_by_the_rows_of_3_mm() -> None:
    for diameter in (3.2, 3.175):  # 1/8 in
        assert newtons(diameter, "1x19", 80, 1800) == 1725
    assert newtons(3.96875, "1x19", 80, 1800) == 1303  # 5/32 in is sold as 4 mm


def test_what_is_barred_is_found_with_no_value() -> None:
    found = required_tension(2.5, "7x7", 100, 1000)
    assert found is not None
    assert found.value is None
    assert found.words == ("Table 11.3.6a: wire 2.5 mm 7x7, spacing 100 mm, clear span 1000 mm")
    # The wider spacing counts even where the narrower one would be allowed.
    assert newtons(2.5, "7x7", 81, 1000) is None


@pytest.mark.parametrize(
    "diameter,lay,spacing,span",
    [
        (3.0, "1x19", 80, 2500.1),
        (3.0, "1x19", 100.1, 600),
        (3.5, "1x19", 80, 600),
        (4.7625, "1x19", 80, 600),
        (3.0, "7x19", 80, 600),
        (2.0, "7x7", 60, 600),
    ],
)
def test_outside_the_table_there_is_no_answer(
    diameter: float, lay: str, spacing: float, span: float
) -> None:
    assert required_tension(diameter, lay, spacing, span) is None


def test_deflection_is_looked_up_alike() -> None:
    found = allowed_deflection(3.2, 76.2, 1000)
    assert found is not None
    assert (found.value, found.span_mm, found.row.spacing_mm) == (6, 1200, 80)
    assert found.words == "Table 11.3.6b: wire 3 mm, spacing 80 mm, clear span 1200 mm"
    assert allowed_deflection(3.2, 81, 1000) is None
    assert allowed_deflection(3.2, 80, 2001) is None


@given(
    wire=st.sampled_from(sorted({(row[0], row[1]) for row in TENSIONS})),
    spacing=st.floats(1, 100),
    span=st.floats(1, 2500),
    more=st.floats(0, 1),
)
def test_a_longer_span_or_a_wider_spacing_never_asks_for_less(
    wire: tuple[float, str], spacing: float, span: float, more: float
) -> None:
    least = value(required_tension(*wire, spacing, span))
    assert value(required_tension(*wire, spacing, span + more * (2500 - span))) >= least
    assert value(required_tension(*wire, spacing + more * (100 - spacing), span)) >= least
    # Never fitted: every answer is a number of the table.
    assert least == float("inf") or least in {row[4] for row in TENSIONS}


# A file of tables


WHOLE = """\
description: A table
edition: Code 1
source: a sheet
attribution: said by its publisher
tension:
  clause: Table 1
  spans: [600 mm, 900 mm]
  rows:
    - {diameter: 3 mm, lay: 1x19, spacing: 60 mm, values: [10, 20]}
    - {diameter: 3 mm, lay: 1x19, spacing: 80 mm, values: [30, x]}
"""


def tables(folder: Path, text: str) -> WireTables:
    (folder / "tables").mkdir(exist_ok=True)
    (folder / "tables" / "mine.yaml").write_text(text, encoding="utf-8")
    return Catalog((folder,)).get("tables", "mine")


def test_tables_of_ones_own(tmp_path: Path) -> None:
    mine = tables(tmp_path, WHOLE)
    assert isinstance(mine.tension, WireTable)
    assert (mine.edition, mine.source, mine.verified) == ("Code 1", "a sheet", False)
    found = required_tension(3, "1x19", 70, 900, mine)
    assert found is not None
    assert (found.value, found.clause, found.verified) == (None, "Table 1", False)
    assert allowed_deflection(3, 70, 900, mine) is None


@pytest.mark.parametrize(
    "old,new,line",
    [
        ("[30, x]", "[30]", "10:59: tension.rows[1].values: read 1 values; accepted a list of 2"),
        ("[30, x]", "[30, -1]", "10:64: tension.rows[1].values[1]: read -1; accepted a number"),
        ("80 mm", "60 mm", "9:5: tension.rows: read two rows for 3 mm 1x19 at 60 mm; accepted one"),
        (
            "lay: 1x19, spacing: 80",
            "lay: 9x9, spacing: 80",
            "10:29: tension.rows[1].lay: read 9x9;",
        ),
        ("lay: 1x19, spacing: 80", "spacing: 80", "10:7: tension.rows[1].lay: read nothing; accep"),
        ("3 mm, lay: 1x19, spacing: 80", "3, lay: 1x19, spacing: 80", "10:18: tension.rows[1].dia"),
        ("[600 mm, 900 mm]", "[900 mm, 600 mm]", "7:19: tension.spans[1]: read 600 mm; accepted m"),
        ("  clause: Table 1\n", "", "6:3: tension.clause: read nothing; accepted the number of th"),
        ("source: a sheet\n", "", "1:1: read no source; accepted a source: a code's table cannot"),
        ("source: a sheet", "invented: true", "1:1: read no source; accepted a source: a code's t"),
        ("tension:", "tensoin:", "1:1: tension: read nothing; accepted a table of least tension,"),
    ],
)
def test_faulty_tables(tmp_path: Path, old: str, new: str, line: str) -> None:
    assert WHOLE.count(old) == 1
    with pytest.raises(InputError) as caught:
        tables(tmp_path, WHOLE.replace(old, new))
    told = str(caught.value).replace(f"{tmp_path.as_posix()}/tables/mine.yaml:", "")
    assert told.startswith(line)


def test_tables_without_rows(tmp_path: Path) -> None:
    text = WHOLE[: WHOLE.index("  rows:")]
    with pytest.raises(InputError, match=r"tension\.rows: read no rows; accepted a list of rows"):
        tables(tmp_path, text)
    with pytest.raises(InputError, match="accepted tables for wire"):
        tables(tmp_path, "- a\n")
