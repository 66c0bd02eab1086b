"""The permit set of a job: plan and elevations, then its details on as many sheets as they need."""

from __future__ import annotations

from pathlib import Path

from generator.drawings import layers
from generator.drawings.arrange import arrange
from generator.drawings.detail_site import Detail
from generator.drawings.details import details
from generator.drawings.lettering import text_width
from generator.drawings.sheets import Paper, PlacedView, SheetPage, SheetSet
from generator.drawings.title_block import BORDER
from generator.drawings.view import Outline, Text
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.parts.report import Report

_GAP = 14.0  # plotted mm between details
_STRIP = 16.0  # for the sheet's own title, along the lower border


def permit_set(assembly: Assembly, report: Report) -> SheetSet:
    """All sheets in order."""
    sheet = arrange(assembly, report)
    paper = Paper(sheet.paper.name, sheet.paper.width, sheet.paper.height)
    k = sheet.scale.denominator
    frame = (0.0, 0.0, paper.width, paper.height)
    views = tuple(
        PlacedView(
            placed.view,
            sheet.scale,
            tuple((placed.offset[n] - sheet.corner[n]) / k for n in (0, 1)),  # type: ignore[arg-type]
            frame,
            placed.view.title,
        )
        for placed in sheet.placed
    )
    first = SheetPage("A-101", "PLAN AND ELEVATIONS", paper, views, ())
    title = assembly.job.title.upper()
    sheets = (first, *detail_sheets(details(assembly), paper, title))
    return SheetSet(sheets, (("TITLE", title),), paper)


@dataclass(frozen=True, slots=True)
class _Shelf:
    """Details that stand beside one another with their tops in line."""

    made: tuple[tuple[Detail, float], ...]
    height: float


def detail_sheets(made: tuple[Detail, ...], paper: Paper, title: str) -> tuple[SheetPage, ...]:
    """Details in rows from the upper left, read as a page is."""
    left, right = BORDER + _GAP, paper.width - BORDER - _GAP
    top, bottom = paper.height - BORDER - _GAP / 2, BORDER + _STRIP
    pages: list[list[PlacedView]] = []
    y = -1.0
    for shelf in _shelves(made, right - left):
        if not pages or y - shelf.height < bottom:
            pages.append([])
            y = top
        pages[-1] += [_placed(detail, left + x, y) for detail, x in shelf.made]
        y -= shelf.height + _GAP
    x, y = paper.width - BORDER, paper.height - BORDER
    border = ((BORDER, BORDER), (x, BORDER), (x, y), (BORDER, y))
    found = []
    for n, views in enumerate(pages, start=1):
        number = f"A-{500 + n}"
        words = f"{number}  DETAILS  -  {title}"
        at = (paper.width - BORDER - 5.0 - text_width(words, 3.5), BORDER + 6.0)
        items = (Outline(border, layers.TITLE_BLOCK), Text(at, words, 3.5, layers.TEXT, "left"))
        found.append(SheetPage(number, "DETAILS", paper, tuple(views), items))
    return tuple(found)


def _shelves(made: tuple[Detail, ...], room: float) -> list[_Shelf]:
    shelves: list[_Shelf] = []
    row: list[tuple[Detail, float]] = []
    x = height = 0.0
    for detail in made:
        width, tall = _size(detail)
        if row and x + width > room:
            shelves.append(_Shelf(tuple(row), height))
            row, x, height = [], 0.0, 0.0
        row.append((detail, x))
        x, height = x + width + _GAP, max(height, tall)
    return [*shelves, _Shelf(tuple(row), height)] if row else shelves


def _size(detail: Detail) -> tuple[float, float]:
    x0, y0, x1, y1 = detail.view.bounds
    k = detail.scale.denominator
    return ((x1 - x0) / k, (y1 - y0) / k)


def _placed(detail: Detail, left: float, top: float) -> PlacedView:
    """A detail with the upper left of all it draws at a point of the paper."""
    x0, _, _, y1 = detail.view.bounds
    k = detail.scale.denominator
    width, height = _size(detail)
    origin = (left - x0 / k, top - y1 / k)
    frame = (left - 1.0, top - height - 1.0, left + width + 1.0, top + 1.0)
    return PlacedView(detail.view, detail.scale, origin, frame, detail.view.title)


def write_set(assembly: Assembly, report: Report, folder: Path) -> tuple[tuple[str, str], ...]:
    """Writes `permit-set.pdf` and a preview a sheet; returns the previews' names and words.

    Raises:
        OSError: a file cannot be written.
    """
    from generator.drawings.pdf import pdf_data
    from generator.drawings.svg import svg_text

    made = permit_set(assembly, report)
    (folder / "permit-set.pdf").write_bytes(pdf_data(assembly.job.title, made.sheets))
    (folder / "sheets").mkdir(exist_ok=True)
    previews = []
    for sheet in made.sheets:
        name = f"sheets/{sheet.number}.svg"
        (folder / name).write_text(svg_text(sheet), encoding="utf-8", newline="\n")
        previews.append((name, f"preview of sheet {sheet.number}, {sheet.title.lower()}"))
    return tuple(previews)
