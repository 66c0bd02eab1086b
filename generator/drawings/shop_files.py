"""Writes the DXF files that a shop takes: one of each distinct part, one of each post laid flat."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from generator.parts.assembly import Assembly, PostDetail, detail_of
from generator.parts.patterns import pattern_letters
from generator.parts.shapes import Prism, Rectangle
from generator.products.flat import FlatPattern, flat_pattern
from generator.products.naming import marks_in_words
from generator.products.pieces import CutPiece, cut_pieces
from generator.products.tree import distinct_parts
from generator.units import format_inches, format_length_with_unit

_SAME_MM = 1e-3

Files = tuple[tuple[str, str], ...]


def write_part_files(assembly: Assembly, folder: Path) -> Files:
    """Writes `parts/*.dxf` and `shop/flat-*.dxf` into a folder; what they are, by name.

    A post's file is named after the first mark of those that are cut and drilled alike.

    Raises:
        OSError: a file cannot be written.
    """
    # The library of the file format takes a third of a second to load: only where it is needed.
    from generator.drawings.parts_dxf import Blank, flat_dxf, part_dxf

    metric = assembly.job.metric
    blank = Blank(metric=metric)
    written: list[tuple[str, str]] = []
    (folder / "parts").mkdir(exist_ok=True)
    for part in distinct_parts(assembly):
        name = f"parts/{part.file}.dxf"
        (folder / name).write_bytes(part_dxf(part, blank))
        written.append((name, "views of a distinct part at true size"))
    letters = pattern_letters(assembly)
    for piece in cut_pieces(assembly):
        prism = _laid_flat(piece)
        if prism is None:
            continue
        (folder / "shop").mkdir(exist_ok=True)
        name = f"shop/flat-{piece.part.mark}.dxf"
        letter = letters.get(piece.part.mark, "")
        flat = flat_pattern(prism)
        data = flat_dxf(flat, _title(piece, flat, letter, metric), blank)
        (folder / name).write_bytes(data)
        written.append((name, "the four faces of a post laid flat, with its holes"))
    return tuple(written)


def _laid_flat(piece: CutPiece) -> Prism | None:
    shape = piece.part.shape
    if piece.part.kind != "post" or not isinstance(shape, Prism):
        return None
    return shape if isinstance(shape.section.outer, Rectangle) else None


def _title(piece: CutPiece, flat: FlatPattern, letter: str, metric: bool) -> list[str]:
    length = format_length_with_unit(detail_of(piece.part, PostDetail).length_mm, metric)
    drilled = f", drilled to pattern {letter}" if letter else ""
    size = f"{piece.part.item}, {length} long point to long point"
    return [
        f"Post {marks_in_words(piece.marks)}: {size}{drilled}",
        "Faces seen from outside, long point of the lower end at y = 0; dashed: fold lines",
        *_edges(flat, metric),
    ]


def _edges(flat: FlatPattern, metric: bool) -> Iterator[str]:
    """Faces whose own lower edge, as it is drawn, lies above the long point."""
    for panel in flat.panels:
        held = [y for x, y in flat.lower if panel.left_mm <= x <= panel.right_mm]
        if max(held) - min(held) < _SAME_MM < min(held):
            up = f"{min(held):.2f} mm" if metric else format_inches(min(held))
            yield f"The lower edge of the {panel.name} lies {up} above the long point"
