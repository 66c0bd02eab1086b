"""The drilling list: one row a wall of a hole, measured from the lower end of the piece."""

from __future__ import annotations

import string
from collections.abc import Iterator

from generator.parts.assembly import Assembly, DrilledHole, Part, PostDetail, SpacerDetail
from generator.parts.shapes import Face, Hole, Prism
from generator.schedules.table import Cell, Column, Table
from generator.units import format_inches

_COLUMNS = (
    Column("mark", "Mark"),
    Column("pattern", "Pattern"),
    Column("run", "Run"),
    Column("leg", "Leg"),
    Column("row", "Row", right=True),
    Column("for", "For"),
    Column("face", "Face"),
    Column("shape", "Shape"),
    Column("width_mm", label="Width", unit="mm"),
    Column("height_mm", label="Height", unit="mm"),
    Column("above_end_mm", label="Above end", unit="mm"),
    Column("offset_mm", label="Offset", unit="mm"),
    Column("width", "Width", right=True, spells="width_mm"),
    Column("height", "Height", right=True, spells="height_mm"),
    Column("above_end", "Above end", right=True, spells="above_end_mm"),
    Column("offset", "Offset", right=True, spells="offset_mm"),
)

# A post's frame has x along its bearing and y to the left of it.
_FACES: dict[Face, str] = {"x-": "back", "x+": "front", "y-": "right", "y+": "left", "z": "end"}


def drilling_list(assembly: Assembly) -> Table:
    """Holes of posts and spacers: centre above the lower end of the tube or bar, and size.

    Pieces of one `pattern` are drilled alike, whatever their length. Faces are those seen in the
    post's bearing, the travel of its leg; the offset is to the left of the face's middle on front
    and back, along the travel on the sides.
    """
    names: dict[tuple[Hole, ...], str] = {}
    rows: list[tuple[Cell, ...]] = []
    for part in assembly.of_kind("post", "column", "spacer"):
        shape, detail = part.shape, part.detail
        if not isinstance(shape, Prism) or not isinstance(detail, PostDetail | SpacerDetail):
            continue
        pattern = names.setdefault(tuple(_rounded(h) for h in shape.holes), _letters(len(names)))
        for drilled in detail.drilling:
            rows.extend(_rows(assembly, part, shape, drilled, pattern))
    return Table("Drilling", _COLUMNS, tuple(rows))


def _rows(
    assembly: Assembly, part: Part, shape: Prism, drilled: DrilledHole, pattern: str
) -> Iterator[tuple[Cell, ...]]:
    for index in drilled.walls:
        hole = shape.holes[index]
        measures = (hole.width_mm, hole.height_mm, hole.along_mm, hole.across_mm)
        yield (
            part.mark,
            pattern,
            drilled.run or part.run,
            drilled.leg,
            drilled.row,
            drilled.purpose,
            _FACES[hole.face],
            drilled.shape,
            *measures,
            *(_fine(assembly, measure) for measure in measures),
        )


def _fine(assembly: Assembly, mm: float) -> str:
    """A drill's measure: thousandths of an inch, or tenths of a millimetre.

    A millionth is given on top, so that a half which floats hold a little short still goes up.
    """
    mm += 1e-6
    return f"{mm:z.1f}" if assembly.job.metric else format_inches(mm)


def _rounded(hole: Hole) -> Hole:
    """Equal up to rounding noise."""
    return Hole(
        hole.face,
        round(hole.along_mm, 4),
        round(hole.across_mm, 4) + 0.0,
        round(hole.width_mm, 4),
        round(hole.height_mm, 4),
        round(hole.depth_mm, 4),
    )


def _letters(number: int) -> str:
    """A, B, ... Z, AA, AB and so on."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = string.ascii_uppercase[rest] + name
    return name
