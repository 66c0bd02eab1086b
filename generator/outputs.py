"""The outputs that a build can write, by file kind; what each needs is loaded when it is made."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.parts.report import Report

if TYPE_CHECKING:
    from generator.drawings.sheets import SheetSet
    from generator.schedules.prices import PriceList

Progress = Callable[[str], None]
Files = tuple[tuple[str, str], ...]
"""Names of files, each with a line of description."""


@dataclass(frozen=True)
class Product:
    """What every output is made from, and where to: `folder` takes the files.

    `prices` are those of the user's price list, where there is one.
    """

    assembly: Assembly
    report: Report
    folder: Path
    progress: Progress
    prices: PriceList | None = None
    strength: bool = True

    @cached_property
    def sheets(self) -> SheetSet:
        """The permit set, worked out once for every file kind that it is written in."""
        from generator.drawings.revised import permit_set

        return permit_set(self.assembly, self.report, strength=self.strength)

    @property
    def left_out(self) -> Mapping[str, str]:
        """Files that a job has no content for, with the reason."""
        return left_out(self.assembly, strength=self.strength)


@dataclass(frozen=True, slots=True)
class Output:
    """One file kind. `files` names each file that `make` writes, with a line of description.

    Files whose names depend on the job are not among them; `make` returns these in the same form.
    A file that is `left_out` is not written.
    """

    kind: str
    description: str
    files: Files
    make: Callable[[Product], Files | None]


def _step(product: Product) -> Files:
    from generator.solids.step import write_model_and_parts

    schema = {"ap214": "AP214IS", "ap242": "AP242DIS"}[product.assembly.job.outputs.step_schema]
    parts = write_model_and_parts(
        product.assembly, product.folder, schema=schema, progress=product.progress
    )
    return tuple((name, "solid of a distinct part, with its name and colour") for name, _ in parts)


def _glb(product: Product) -> None:
    from generator.viewer.glb import write_glb

    write_glb(product.assembly, product.folder / "model.glb")


def _dxf(product: Product) -> Files:
    from generator.drawings.sheet import write_dxf, write_set_dxf
    from generator.drawings.shop_files import write_part_files

    assembly, folder = product.assembly, product.folder
    write_set_dxf(product.sheets, assembly, folder / "drawings.dxf")
    write_dxf(assembly, product.report, folder / "drawings-plain.dxf")
    return write_part_files(assembly, folder)


def _pdf(product: Product) -> Files:
    from generator.drawings.permit import write_set
    from generator.schedules.pages import write_schedules
    from generator.schedules.site_sheets import write_site_sheets
    from generator.shop.drilling import drill_sheets
    from generator.shop.templates import drill_templates
    from generator.shop.tickets import cut_tickets

    for folder in ("shop", "site"):
        (product.folder / folder).mkdir(exist_ok=True)
    made = (
        ("cut-tickets.pdf", cut_tickets),
        ("drilling.pdf", drill_sheets),
        ("templates.pdf", drill_templates),
    )
    for name, make in made:
        (product.folder / "shop" / name).write_bytes(make(product.assembly))
    write_schedules(product.assembly, product.folder / "shop/schedules.pdf", product.prices)
    write_site_sheets(product.assembly, product.report, product.folder / "site/site-sheets.pdf")
    _calculations(product)
    return write_set(product.sheets, product.assembly.job.title, product.folder)


def _csv(product: Product) -> None:
    from generator.schedules.bars import bar_list
    from generator.schedules.cables import cable_list
    from generator.schedules.cuts import cut_list
    from generator.schedules.drill_data import drill_data
    from generator.schedules.drilling import drilling_list
    from generator.schedules.order import order_list
    from generator.schedules.packing import packing_list
    from generator.schedules.parts_index import parts_index
    from generator.schedules.site_tables import blocking_list, setting_out, tension_list
    from generator.schedules.table import to_csv

    schedules = (
        ("cut-list.csv", cut_list),
        ("drilling.csv", drilling_list),
        ("cables.csv", cable_list),
        ("bars.csv", bar_list),
        ("parts/index.csv", parts_index),
        ("shop/drilling.csv", drill_data),
        ("packing.csv", packing_list),
        ("setting-out.csv", setting_out),
        ("blocking.csv", blocking_list),
        ("tension.csv", tension_list),
    )
    for name in ("parts", "shop"):
        (product.folder / name).mkdir(exist_ok=True)
    for name, schedule in schedules:
        _write(product.folder / name, to_csv(schedule(product.assembly)))
    order = order_list(product.assembly, weights=True, prices=product.prices)
    _write(product.folder / "quantities.csv", to_csv(order))


def _xlsx(product: Product) -> None:
    from generator.schedules.workbook import write_workbook

    write_workbook(product.assembly, product.folder / "schedules.xlsx", product.prices)


def _json(product: Product) -> None:
    from generator.results import results, to_json

    _write(product.folder / "results.json", to_json(results(product.assembly, product.report)))


def _html(product: Product) -> None:
    from generator.viewer.page import write_page

    write_page(product.assembly, product.report, product.folder / "page.html")
    if SHEETS[0] not in product.left_out:
        from generator.calculations.contents import book
        from generator.calculations.html import page

        _write(product.folder / SHEETS[0], page(book(product.assembly)))


def _calculations(product: Product) -> None:
    """The calculation of strength on paper."""
    if SHEETS[1] not in product.left_out:
        from generator.calculations.contents import book
        from generator.calculations.pdf import paper

        sheets = paper(book(product.assembly), metric=product.assembly.job.metric)
        (product.folder / SHEETS[1]).write_bytes(sheets)


def left_out(assembly: Assembly, *, strength: bool = True) -> dict[str, str]:
    """Files that are not written for a job, and why: calculation sheets that others make.

    Without `strength` the run was asked to leave it out.
    """
    if not strength:
        return dict.fromkeys(SHEETS, "the strength was left out (--no-strength)")
    if assembly is not None and assembly.job.strength.elsewhere:
        return dict.fromkeys(SHEETS, "others calculate the strength (strength: elsewhere)")
    return {}


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


SHEETS = ("calculations.html", "calculations.pdf")
"""The calculation sheets, which need the strength to be worked out here."""

OUTPUTS: Mapping[str, Output] = {
    output.kind: output
    for output in (
        Output(
            "step",
            "solid model for any CAD program",
            (("model.step", "solid model: every part named and placed"),),
            _step,
        ),
        Output(
            "glb",
            "model in triangles for viewers",
            (("model.glb", "the same model in triangles, metres and y up"),),
            _glb,
        ),
        Output(
            "dxf",
            "permit set for any CAD program",
            (
                ("drawings.dxf", "permit set: plan, elevations, details, a layout a sheet"),
                ("drawings-plain.dxf", "plan and elevations on one sheet, for simple viewers"),
            ),
            _dxf,
        ),
        Output(
            "pdf",
            "sheets to print: the permit set to scale, pages for bench and site",
            (
                (SHEETS[1], "the calculation of strength on paper"),
                ("permit-set.pdf", "every sheet of the permit set, to be printed to scale"),
                ("shop/cut-tickets.pdf", "a page for each piece that is cut, with saw settings"),
                ("shop/drilling.pdf", "set-ups, hole tables and check marks of drilled pieces"),
                ("shop/templates.pdf", "drill templates at true size, over several pages"),
                ("shop/schedules.pdf", "all schedules for the bench"),
                ("site/site-sheets.pdf", "setting out, blocking, tension, checks, for the pocket"),
            ),
            _pdf,
        ),
        Output(
            "csv",
            "schedules as tables",
            (
                ("cut-list.csv", "every rail piece, post and spacer with its saw settings"),
                ("drilling.csv", "every hole of posts and spacers, from the long point up"),
                ("cables.csv", "every cable with its order length and its turn to be pulled"),
                ("quantities.csv", "what has to be ordered, with spares, weights and prices"),
                ("packing.csv", "what goes in which bundle or bag"),
                ("setting-out.csv", "every post from the edge that a tape finds"),
                ("blocking.csv", "every block from the same edge"),
                ("tension.csv", "every cable's tension, turns of the nut and threads"),
                ("bars.csv", "every stock bar and spool: its pieces in order, and what is left"),
                ("parts/index.csv", "which marks each distinct part is, and its volume"),
                ("shop/drilling.csv", "every hole to be drilled, once a pattern, by set-ups"),
            ),
            _csv,
        ),
        Output(
            "xlsx",
            "schedules as a workbook",
            (("schedules.xlsx", "all schedules, a sheet each, ready to print"),),
            _xlsx,
        ),
        Output(
            "json",
            "everything laid out, checked and counted, for programs",
            (("results.json", "everything laid out, checked and counted"),),
            _json,
        ),
        Output(
            "html",
            "page that shows the model on a phone, tablet or desk, without network",
            (
                ("page.html", "the model to turn round, with every number and finding"),
                (SHEETS[0], "calculation of strength line by line, for an engineer's review"),
            ),
            _html,
        ),
    )
}


def chosen(names: Iterable[str] | None) -> tuple[Output, ...]:
    """Outputs of these kinds in the order of the registry; all of them for None.

    Raises:
        InputError: a name is no file kind that this version writes.
    """
    if names is None:
        return tuple(OUTPUTS.values())
    wanted = set(names)
    accepted = "accepted " + ", ".join(OUTPUTS)
    problems = [
        Problem("--only", 0, 0, "", f"unknown output {name!r}", accepted)
        for name in wanted - OUTPUTS.keys()
    ]
    if not wanted:
        problems.append(Problem("--only", 0, 0, "", "names no output", accepted))
    if problems:
        raise InputError(problems)
    return tuple(output for kind, output in OUTPUTS.items() if kind in wanted)
