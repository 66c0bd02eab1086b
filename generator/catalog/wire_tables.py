"""Looks up the tension that a code's table asks of a wire, and the deflection that it allows.

Between two columns, or two spacings, the next larger one counts; below the first column the first
does. The tables are of tests and are never fitted: outside of them there is no answer.
"""

from __future__ import annotations

from functools import cache

from generator.catalog.load import Catalog
from generator.catalog.tables import WireRow, WireTable, WireTables
from generator.frozen import dataclass

_SAME_MM = 1e-6
# Diameters this near are one: 1/8 in is sold as 3.2 mm, 5/32 in as 4 mm.
_SAME_WIRE_MM = 0.05
# The table's note: wire of 3.2 mm goes by the rows of 3.0 mm.
_BY_OTHER_ROWS_MM = {3.2: 3.0}


@dataclass(frozen=True, slots=True)
class Found:
    """What a table says: the row and the column that count, and their value.

    `value` is in N or mm, None where the table allows no such wire at that span.
    """

    clause: str
    edition: str
    verified: bool
    row: WireRow
    span_mm: float
    value: float | None

    @property
    def words(self) -> str:
        """The row and column, for a message."""
        row = self.row
        lay = "" if row.lay == "any" else f" {row.lay}"
        return (
            f"{self.clause}: wire {row.diameter_mm:g} mm{lay}, spacing {row.spacing_mm:g} mm, "
            f"clear span {self.span_mm:g} mm"
        )


def required_tension(
    diameter_mm: float,
    lay: str,
    spacing_mm: float,
    clear_span_mm: float,
    tables: WireTables | None = None,
) -> Found | None:
    """Least tension, N, of a level wire between posts `clear_span_mm` apart in the clear.

    None where no row and column hold: another diameter or lay, a spacing or a span beyond the
    table. A `value` of None means that the table bars the wire there. `lay` is 1x19, 7x7 or 7x19;
    without `tables` those of the ABCB Housing Provisions 2022, Table 11.3.6a, count.
    """
    tables = tables or ncc_2022()
    return _look_up(tables, tables.tension, diameter_mm, lay, spacing_mm, clear_span_mm)


def allowed_deflection(
    diameter_mm: float,
    spacing_mm: float,
    clear_span_mm: float,
    tables: WireTables | None = None,
) -> Found | None:
    """Greatest deflection, mm, of a continuous wire under 2 kg hung at mid-span.

    Like `required_tension`; ABCB Housing Provisions 2022, Table 11.3.6b.
    """
    tables = tables or ncc_2022()
    if tables.deflection is None:
        return None
    return _look_up(tables, tables.deflection, diameter_mm, "any", spacing_mm, clear_span_mm)


@cache
def ncc_2022() -> WireTables:
    """The tables that come with the program.

    Raises:
        InputError: their file is faulty.
    """
    return Catalog.standard().get("tables", "ncc-2022-wire")


def _look_up(
    tables: WireTables,
    table: WireTable,
    diameter_mm: float,
    lay: str,
    spacing_mm: float,
    span_mm: float,
) -> Found | None:
    row = _row(table, _row_diameter(diameter_mm), lay, spacing_mm)
    column = next((n for n, at in enumerate(table.spans_mm) if span_mm <= at + _SAME_MM), None)
    if row is None or column is None:
        return None
    at, value = table.spans_mm[column], row.values[column]
    return Found(table.clause, tables.edition, tables.verified, row, at, value)


def _row_diameter(diameter_mm: float) -> float:
    for sold_as, rows in _BY_OTHER_ROWS_MM.items():
        if abs(diameter_mm - sold_as) <= _SAME_WIRE_MM:
            return rows
    return diameter_mm


def _row(table: WireTable, diameter_mm: float, lay: str, spacing_mm: float) -> WireRow | None:
    """The row of this wire at the next larger spacing."""
    rows = [
        row
        for row in table.rows
        if abs(row.diameter_mm - diameter_mm) <= _SAME_WIRE_MM
        and row.lay == lay
        and spacing_mm <= row.spacing_mm + _SAME_MM
    ]
    return min(rows, key=lambda row: row.spacing_mm, default=None)
