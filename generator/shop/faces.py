"""Draws the drilled faces of a piece side by side, with running dimensions from the lower end."""

from __future__ import annotations

from collections.abc import Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.paper.canvas import Page
from generator.parts.hole_table import HoleRow
from generator.parts.patterns import FACE_NAMES, Pattern, datum_mm
from generator.parts.setups import RIGHT, lower_edge_mm
from generator.parts.shapes import Face, Prism
from generator.products.flat import face_corners, mouth
from generator.shop.words import Fine, taped

TALL_MM = 112.0
_DIMENSIONS_MM = 22.0
_GAP_MM = 5.0
_TEXT_MM = 1.7
_PITCH_MM = 2.3
_OFF_MM = 1e-3
_ORDER: tuple[Face, ...] = ("x+", "y+", "x-", "y-")
_SCALES = (1, 2, 2.5, 4, 5, 6, 8, 10, 12, 15, 16, 20, 24, 30, 40, 50)


@dataclass(frozen=True, slots=True)
class FaceSheet:
    """The faces of one pattern that are drawn, at 1 to `scale`, and how wide the drawing is."""

    pattern: Pattern
    rows: tuple[HoleRow, ...]
    faces: tuple[Face, ...]
    scale: float

    @property
    def width_mm(self) -> float:
        """Room on paper, running dimensions and all."""
        prism = self.pattern.prism
        widths = (2 * face_corners(prism, face)[1][0] / self.scale for face in self.faces)
        return sum(width + _DIMENSIONS_MM + _GAP_MM for width in widths)


def face_sheet(pattern: Pattern, rows: Sequence[HoleRow], tall_mm: float = TALL_MM) -> FaceSheet:
    """Every face that is drilled or drilled through, at the largest scale that is no taller."""
    holes = pattern.prism.holes
    drilled = {hole.face for hole in holes}
    faces: tuple[Face, ...] = tuple(face for face in _ORDER if face in drilled)
    tall = max(_top(pattern.prism, face) for face in faces)
    scale = next((s for s in _SCALES if tall / s <= tall_mm), _SCALES[-1])
    return FaceSheet(pattern, tuple(rows), faces, scale)


def height_mm(sheet: FaceSheet) -> float:
    """Room on paper from the title of the faces to their top."""
    prism = sheet.pattern.prism
    return max(_top(prism, face) for face in sheet.faces) / sheet.scale + 14.0


def draw_faces(page: Page, sheet: FaceSheet, left: float, fine: Fine) -> None:
    """Draws the faces from `left` on, the long point of their lower end 9 mm above the foot."""
    x = left
    for face in sheet.faces:
        corners = face_corners(sheet.pattern.prism, face)
        half = corners[1][0] / sheet.scale
        _face(page, sheet, face, (x + half, 9.0), fine)
        x += 2 * half + _DIMENSIONS_MM + _GAP_MM


def _top(prism: Prism, face: Face) -> float:
    return max(y for _, y in face_corners(prism, face))


def _face(page: Page, sheet: FaceSheet, face: Face, foot: Vec2, fine: Fine) -> None:
    prism, scale = sheet.pattern.prism, sheet.scale
    corners = face_corners(prism, face)

    def at(point: Vec2) -> Vec2:
        return (foot[0] + point[0] / scale, foot[1] + point[1] / scale)

    page.pen(0.5)
    page.outline([at(corner) for corner in corners])
    page.pen(0.13, dashes=(3.0, 0.8, 0.8, 0.8))
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    page.line(at((0.0, low - 3.0 * scale)), at((0.0, high + 2.0 * scale)))
    page.text((foot[0], foot[1] - 6.0), FACE_NAMES[face], 2.2, anchor="centre", bold=True)
    datum = datum_mm(prism)
    heights: list[float] = []
    page.pen(0.3)
    for hole in prism.holes:
        if hole.face == face:
            centre = (RIGHT[face] * hole.across_mm, hole.along_mm - datum)
            page.outline([at(point) for point in mouth(hole, centre, 15.0)])
            heights.append(centre[1])
    edge = at(corners[1])[0]
    own = lower_edge_mm(prism, face)[1]
    if own > _OFF_MM:
        heights.append(own)
        page.pen(0.13, dashes=(2.0, 1.0))
        page.line((foot[0] - (edge - foot[0]), foot[1]), (edge, foot[1]))
    _running(page, (edge, foot[1]), heights, _Measure(scale, fine))
    corner = at(corners[2])
    page.text(
        (corner[0] + 1.5, corner[1] + 0.6), taped(corners[2][1], metric=fine.metric), _TEXT_MM
    )


@dataclass(frozen=True, slots=True)
class _Measure:
    """The scale of a row of dimensions and how finely they are told."""

    scale: float
    fine: Fine


def _running(page: Page, foot: Vec2, heights: Sequence[float], measure: _Measure) -> None:
    """Heights from the datum, each at a line of its own; texts that would touch are moved up."""
    page.pen(0.13)
    page.line(foot, (foot[0] + 5.0, foot[1]))
    page.text((foot[0] + 6.0, foot[1] - _TEXT_MM / 2), "0", _TEXT_MM)
    last = foot[1]
    for height in sorted(set(heights)):
        y = foot[1] + height / measure.scale
        text_y = max(y, last + _PITCH_MM)
        last = text_y
        page.line((foot[0] + 0.7, y), (foot[0] + 2.5, y))
        page.line((foot[0] + 2.5, y), (foot[0] + 5.0, text_y))
        text = measure.fine.words(height)
        page.text((foot[0] + 5.6, text_y - _TEXT_MM / 2), text, _TEXT_MM)
