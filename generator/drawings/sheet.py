"""The drawings of a job as DXF: the permit set with its layouts, and one plain sheet."""

from __future__ import annotations

from pathlib import Path

from generator.drawings.arrange import arrange
from generator.drawings.sheets import SheetSet
from generator.parts.assembly import Assembly
from generator.parts.report import Report


def write_dxf(assembly: Assembly, report: Report, path: Path) -> None:
    """Writes plan, elevations and title block on one sheet of model space, for simple viewers.

    DXF R2018 without blocks and layouts, every text as it reads; equal input gives equal bytes.

    Raises:
        OSError: the file cannot be written.
    """
    sheet = arrange(assembly, report)
    # The library of the file format takes a third of a second to load: only where it is needed.
    from generator.drawings.dxf import dxf_text

    path.write_bytes(dxf_text(sheet).encode("utf-8"))


def write_set_dxf(sheets: SheetSet, assembly: Assembly, path: Path) -> None:
    """Writes the permit set: views in model space, a layout a sheet; equal input, equal bytes.

    Raises:
        OSError: the file cannot be written.
    """
    from generator.drawings.layouts import layouts_text

    path.write_bytes(layouts_text(sheets, assembly).encode("utf-8"))
