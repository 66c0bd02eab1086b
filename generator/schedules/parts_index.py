"""Which marks each distinct part is: one row a part that has files of its own."""

from __future__ import annotations

from generator.parts.assembly import Assembly
from generator.products.tree import distinct_parts
from generator.schedules.table import Column, Table

_COLUMNS = tuple(Column(key) for key in ("file", "name", "kind", "count", "volume_mm3", "marks"))


def parts_index(assembly: Assembly) -> Table:
    """Distinct parts of the guard by the stem of their files, with all marks that are equal."""
    rows = tuple(
        (
            part.file,
            part.solid.name,
            part.solid.kind,
            len(part.marks),
            part.solid.shape.volume_mm3,
            " ".join(part.marks),
        )
        for part in distinct_parts(assembly)
    )
    return Table("Distinct parts", _COLUMNS, rows)
