"""All schedules of a job in the order of work, and the lines that head them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from generator.parts.assembly import Assembly
from generator.schedules.bars import bar_list
from generator.schedules.cables import cable_list
from generator.schedules.cuts import cut_list
from generator.schedules.drilling import drilling_list
from generator.schedules.order import order_list
from generator.schedules.packing import packing_list
from generator.schedules.site_tables import blocking_list, setting_out, tension_list
from generator.schedules.table import Table

if TYPE_CHECKING:
    from generator.schedules.prices import PriceList


def schedules(assembly: Assembly, prices: PriceList | None = None) -> tuple[Table, ...]:
    """Every schedule that has a row, as the workbook and the bench's pages hold them.

    Raises:
        InputError: a price is for a measure in which its item is not ordered.
    """
    tables = (
        order_list(assembly, weights=True, prices=prices),
        packing_list(assembly),
        cut_list(assembly),
        bar_list(assembly, together=True),
        drilling_list(assembly),
        cable_list(assembly, notes=True),
        setting_out(assembly),
        blocking_list(assembly),
        tension_list(assembly),
    )
    return tuple(table for table in tables if table.rows)


def page_header(assembly: Assembly) -> str:
    """What stands at the top of every page: the job, and its unit where texts do not tell it."""
    unit = ". Lengths in millimetres" if assembly.job.metric else ""
    return f"{head_words(assembly)}{unit}"


def head_words(assembly: Assembly) -> str:
    """Title and number of the job, as pages are headed."""
    job = assembly.job
    return f"{job.title}, job {job.number}" if job.number else job.title
