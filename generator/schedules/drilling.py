"""The drilling list: one row a wall of a hole, measured from the long point of the lower end."""

from __future__ import annotations

from collections.abc import Iterator

from generator.parts.assembly import Assembly, DrilledHole, Part, PostDetail, SpacerDetail
from generator.parts.hole_table import hook
from generator.parts.patterns import DRILLED, FACE_NAMES, datum_mm, pattern_letters
from generator.parts.shapes import Prism
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
    Column("above_long_point_mm", label="Above long point", unit="mm"),
    Column("offset_mm", label="Offset", unit="mm"),
    Column("width", "Width", right=True, spells="width_mm"),
    Column("height", "Height", right=True, spells="height_mm"),
    Column("above_long_point", "Above long point", right=True, spells="above_long_point_mm"),
    Column("offset", "Offset", right=True, spells="offset_mm"),
    Column("above_face_edge_mm"),
)
_DATUM = (
    "Above long point: from the long point of the lower end, which a stop across the end touches, "
    "to the hole's centre; an end cut square is all long point. Where an end is cut at a slope, a "
    "tape hooked on the edge of another face reads less: the drill sheets tell how much."
)


def drilling_list(assembly: Assembly) -> Table:
    """Holes of posts and spacers: centre above the long point of the lower end, and size.

    Pieces of one `pattern` are drilled alike, whatever their length and whichever way they face.
    Faces are those seen in the post's bearing, the travel of its leg; the offset is to the left of
    the face's middle on front and back, along the travel on the sides. `above_face_edge_mm` is
    what a tape hooked on the face's own lower edge reads, on the long corner of one that is not
    square across.
    """
    letters = pattern_letters(assembly)
    rows: list[tuple[Cell, ...]] = []
    for part in assembly.of_kind(*DRILLED):
        shape, detail = part.shape, part.detail
        if not isinstance(shape, Prism) or not isinstance(detail, PostDetail | SpacerDetail):
            continue
        for drilled in detail.drilling:
            rows.extend(_rows(assembly, part, shape, drilled, letters[part.mark]))
    return Table("Drilling", _COLUMNS, tuple(rows), (_DATUM,) if rows else ())


def _rows(
    assembly: Assembly, part: Part, shape: Prism, drilled: DrilledHole, pattern: str
) -> Iterator[tuple[Cell, ...]]:
    datum = datum_mm(shape)
    for index in drilled.walls:
        hole = shape.holes[index]
        above = hole.along_mm - datum
        measures = (hole.width_mm, hole.height_mm, above, hole.across_mm)
        yield (
            part.mark,
            pattern,
            drilled.run or part.run,
            drilled.leg,
            drilled.row,
            drilled.purpose,
            FACE_NAMES[hole.face],
            drilled.shape,
            *measures,
            *(_fine(assembly, measure) for measure in measures),
            above - hook(shape, hole.face).above_mm,
        )


def _fine(assembly: Assembly, mm: float) -> str:
    """A drill's measure: thousandths of an inch, or tenths of a millimetre.

    A millionth is given on top, so that a half which floats hold a little short still goes up.
    """
    mm += 1e-6
    return f"{mm:z.1f}" if assembly.job.metric else format_inches(mm)
