"""Drill data a pattern: one row a hole to be drilled, in the order of the set-ups."""

from __future__ import annotations

from generator.parts.assembly import Assembly
from generator.parts.hole_table import HoleRow, hole_rows, hook
from generator.parts.patterns import FACE_NAMES, patterns
from generator.parts.setups import OPPOSITE, set_ups
from generator.schedules.table import Cell, Column, Table

_COLUMNS = tuple(
    Column(key)
    for key in (
        "set_up",
        "pattern",
        "handed",
        "piece",
        "marks",
        "face",
        "through",
        "hole",
        "for",
        "above_long_point_mm",
        "above_base_mm",
        "offset_right_mm",
        "fence_mm",
        "shape",
        "width_mm",
        "length_mm",
        "slot_deg",
        "tilt_along",
        "tilt_across",
        "depth_mm",
        "above_face_edge_mm",
    )
)


def drill_data(assembly: Assembly) -> Table:
    """Every hole that is drilled, once a pattern, sorted by set-up, pattern, face and height.

    Heights are told from the long point of the lower end, from the underside of the base, and from
    the face's own lower edge, where a tape on that face is hooked (the long corner of an edge that
    is not square across). Offsets are from the middle of the face to the right, seen from outside
    with the lower end down. `through` names the face where the bit comes out; `slot_deg` is 0 along
    the piece and 90 across. A hole that leans drifts by `tilt_*` along and across the piece for
    each unit of depth; `depth_mm` is that of a blind hole.
    """
    found = patterns(assembly)
    planned = set_ups(found)
    rows: list[tuple[Cell, ...]] = []
    for pattern in found:
        for row in hole_rows(pattern, planned):
            tool = row.tool
            rows.append(
                (
                    row.set_up,
                    pattern.letter,
                    pattern.handed,
                    pattern.kind,
                    " ".join(pattern.marks),
                    FACE_NAMES[row.face],
                    FACE_NAMES[OPPOSITE[row.face]] if row.through else "",
                    row.number,
                    row.what,
                    row.above_end_mm,
                    row.above_base_mm,
                    row.offset_mm + 0.0,
                    planned[row.set_up - 1].fence_mm,
                    tool.shape,
                    *_size(row),
                    tool.slot_deg if tool.slot else None,
                    tool.lean[1],
                    tool.lean[0],
                    row.blind_mm,
                    row.above_end_mm - hook(pattern.prism, row.face).above_mm,
                )
            )
    rows.sort(key=lambda row: int(row[0] or 0))
    return Table("Drill data", _COLUMNS, tuple(rows))


def _size(row: HoleRow) -> tuple[float, float]:
    """Width and length of a hole square to its axis, not rounded as a bit is."""
    hole = row.hole
    if any(hole.lean):
        return hole.bore_mm, hole.bore_mm
    return min(hole.width_mm, hole.height_mm), max(hole.width_mm, hole.height_mm)
