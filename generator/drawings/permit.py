"""The permit set of a job as files: one PDF to print, and a preview of every sheet."""

from __future__ import annotations

from pathlib import Path

from generator.drawings.pdf import pdf_data
from generator.drawings.sheets import SheetSet
from generator.drawings.svg import svg_text

PDF = "permit-set.pdf"


def write_set(sheets: SheetSet, title: str, folder: Path) -> tuple[tuple[str, str], ...]:
    """Writes the PDF and a preview a sheet; returns the previews' names, each with words about it.

    Raises:
        OSError: a file cannot be written.
    """
    (folder / PDF).write_bytes(pdf_data(title, sheets.sheets))
    (folder / "sheets").mkdir(exist_ok=True)
    previews = []
    for sheet in sheets.sheets:
        name = f"sheets/{sheet.number}.svg"
        (folder / name).write_text(svg_text(sheet), encoding="utf-8", newline="\n")
        previews.append((name, f"preview of sheet {sheet.number}, {sheet.title.lower()}"))
    return tuple(previews)
