"""Schedules on pages: columns as wide as what they hold, then one after the other in a PDF."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from generator import __version__
from generator.paper.canvas import POINTS
from generator.paper.flow import A4, LETTER, Align, Flow
from generator.paper.lettering import CAPITAL, text_width_mm
from generator.parts.assembly import Assembly
from generator.schedules.all_schedules import head_words, page_header, schedules
from generator.schedules.table import Column, Table, plain, printed

if TYPE_CHECKING:
    from generator.schedules.prices import PriceList

_SMALL_MM = 7.5 * CAPITAL / POINTS  # height of a capital of small type
_PADDING_MM = 2.6
_LEAST_MM = 16.0  # no column of words is made narrower than this
CAUTION = (
    "Check measures on site before cutting or drilling. This is an aid to layout, no engineering "
    "and no approval."
)


def write_schedules(assembly: Assembly, path: Path, prices: PriceList | None = None) -> None:
    """All schedules as a PDF for the bench; the same job gives the same bytes.

    Raises:
        OSError: `path` cannot be written.
        InputError: a price is for a measure in which its item is not ordered.
    """
    path.write_bytes(schedule_pages(assembly, prices))


def schedule_pages(assembly: Assembly, prices: PriceList | None = None) -> bytes:
    """The PDF's bytes: a schedule begins on a page of its own, on paper by the job's units.

    Holes are not among them: the drill sheets have every one with its pattern.
    """
    width, height = A4 if assembly.job.metric else LETTER
    head = head_words(assembly)
    flow = Flow(
        f"{head}: schedules",
        header=page_header(assembly),
        footer=f"stringline {__version__}. {CAUTION}",
        size=(height, width),
    )
    tables = [one for one in schedules(assembly, prices) if one.title != "Drilling"]
    for n, table in enumerate(tables):
        if n:
            flow.new_page()
        flow.heading(table.title, 0)
        add_table(flow, printed(table))
    return flow.data()


def add_table(flow: Flow, table: Table) -> None:
    """A printed table with its notes, in the room that there is."""
    rows = [[plain(cell) for cell in row] for row in table.rows]
    heads = [column.heading for column in table.columns]
    align: list[Align] = ["right" if column.right else "left" for column in table.columns]
    flow.table(
        heads, rows, widths=_widths(table.columns, rows, flow.width_mm), align=align, small=True
    )
    flow.space(2.0)
    for note in table.notes:
        flow.paragraph(note, small=True)


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], room: float) -> list[float]:
    """Widths in mm that fill at most the room: the widest columns give way, and break their lines.

    Numbers are not broken; heads are broken between their words.
    """
    wanted, least = [], []
    for n, column in enumerate(columns):
        cells = {row[n] for row in rows}
        body = max((text_width_mm(text, _SMALL_MM) for text in cells), default=0.0)
        head = max(text_width_mm(word, _SMALL_MM, bold=True) for word in column.heading.split())
        word = max(
            (text_width_mm(part, _SMALL_MM) for text in cells for part in text.split()), default=0.0
        )
        fixed = body if column.right else max(word, min(body, _LEAST_MM))
        wanted.append(max(body, head) + _PADDING_MM)
        least.append(max(fixed, head) + _PADDING_MM)
    over = sum(wanted) - room
    give = sum(wanted) - sum(least)
    if over <= 0 or give <= 0:
        # What is left over goes after the last column: narrow tables stay easy to read across.
        return [*wanted] if over > 0 else _padded(wanted, room)
    share = min(over / give, 1.0)
    return [want - (want - low) * share for want, low in zip(wanted, least, strict=True)]


def _padded(wanted: Sequence[float], room: float) -> list[float]:
    """A third wider at most, where there is room."""
    grow = min(1.35, room / sum(wanted))
    return [want * grow for want in wanted]
