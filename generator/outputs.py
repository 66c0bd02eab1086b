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

Progress = Callable[[str], None]
Named = tuple[tuple[str, str], ...]
"""Names of files, each with a line of description."""


@dataclass(frozen=True)
class Product:
    """What every output is made from, and where to: `folder` takes the files."""

    assembly: Assembly
    report: Report
    folder: Path
    progress: Progress

    @cached_property
    def sheets(self) -> SheetSet:
        """The permit set, worked out once for every file kind that it is written in."""
        from generator.drawings.revised import permit_set

        return permit_set(self.assembly, self.report)


@dataclass(frozen=True, slots=True)
class Output:
    """One file kind. `files` names each file that `make` writes, with a line of description.

    Where there are more, as many as the job has sheets, `make` returns them likewise.
    """

    kind: str
    description: str
    files: Named
    make: Callable[[Product], Named | None]


def _step(product: Product) -> None:
    from generator.solids.step import write_step

    path = product.folder / "model.step"
    write_step(product.assembly, path, progress=product.progress)


def _glb(product: Product) -> None:
    from generator.viewer.glb import write_glb

    write_glb(product.assembly, product.folder / "model.glb")


def _dxf(product: Product) -> None:
    from generator.drawings.sheet import write_dxf, write_set_dxf

    assembly, folder = product.assembly, product.folder
    write_set_dxf(product.sheets, assembly, folder / "drawings.dxf")
    write_dxf(assembly, product.report, folder / "drawings-plain.dxf")


def _pdf(product: Product) -> Named:
    from generator.drawings.permit import write_set

    return write_set(product.sheets, product.assembly.job.title, product.folder)


def _csv(product: Product) -> None:
    from generator.schedules.cables import cable_list
    from generator.schedules.cuts import cut_list
    from generator.schedules.drilling import drilling_list
    from generator.schedules.order import order_list
    from generator.schedules.table import to_csv

    schedules = (
        ("cut-list.csv", cut_list),
        ("drilling.csv", drilling_list),
        ("cables.csv", cable_list),
        ("quantities.csv", order_list),
    )
    for name, schedule in schedules:
        _write(product.folder / name, to_csv(schedule(product.assembly)))


def _json(product: Product) -> None:
    from generator.results import results, to_json

    _write(product.folder / "results.json", to_json(results(product.assembly, product.report)))


def _html(product: Product) -> None:
    from generator.viewer.page import write_page

    write_page(product.assembly, product.report, product.folder / "page.html")


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


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
            "sheets to print to scale, with previews",
            (("permit-set.pdf", "every sheet, to be printed to scale"),),
            _pdf,
        ),
        Output(
            "csv",
            "schedules as tables",
            (
                ("cut-list.csv", "every rail piece, post and spacer with its saw settings"),
                ("drilling.csv", "every hole of posts and spacers, from the lower end up"),
                ("cables.csv", "every cable with its order length"),
                ("quantities.csv", "what has to be ordered"),
            ),
            _csv,
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
            (("page.html", "the model to turn round, with every number and finding"),),
            _html,
        ),
    )
}

# File kinds of the project that this version does not write.
LATER = ("xlsx",)


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
        Problem("--only", 0, 0, "", _unknown(name), accepted) for name in wanted - OUTPUTS.keys()
    ]
    if not wanted:
        problems.append(Problem("--only", 0, 0, "", "names no output", accepted))
    if problems:
        raise InputError(problems)
    return tuple(output for kind, output in OUTPUTS.items() if kind in wanted)


def _unknown(name: str) -> str:
    if name in LATER:
        return f"{name} is not written by this version"
    return f"unknown output {name!r}"
