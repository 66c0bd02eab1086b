"""The drawing of a job on one sheet, written as DXF."""

from __future__ import annotations

from pathlib import Path

from generator.drawings.arrange import arrange
from generator.parts.assembly import Assembly
from generator.parts.report import Report


def write_dxf(assembly: Assembly, report: Report, path: Path) -> None:
    """Writes plan, elevations and title block as one DXF R2018; equal input gives equal bytes.

    Raises:
        OSError: the file cannot be written.
    """
    sheet = arrange(assembly, report)
    # The library of the file format takes a third of a second to load: only where it is needed.
    from generator.drawings.dxf import dxf_text

    path.write_bytes(dxf_text(sheet).encode("utf-8"))
