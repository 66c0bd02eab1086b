"""DXF files for the shop: views of a distinct part, and the faces of a drilled post laid flat."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any

import ezdxf
from ezdxf.document import Drawing

from generator.drawings.entities import Scribe, file_text, fixed_metadata
from generator.geometry import Vec2
from generator.parts.shapes import Prism, Route, Shape, Turned
from generator.products.distinct import DistinctPart
from generator.products.flat import FlatPattern, points_of
from generator.products.loops import Flat, Loop, Round
from generator.products.naming import marks_in_words
from generator.products.views import PieceView, end_view, side_view, turned_view

OUTLINE, HIDDEN, HOLES, FOLD, TEXT = "OUTLINE", "HIDDEN", "HOLES", "FOLD", "TEXT"
# Layer: colour index, line weight in 1/100 mm, linetype, what is on it.
_LAYERS: dict[str, tuple[int, int, str, str]] = {
    OUTLINE: (7, 35, "Continuous", "Edges that are seen; the contour of a flat pattern"),
    HIDDEN: (8, 18, "HIDDEN", "Edges and holes behind material"),
    HOLES: (1, 25, "Continuous", "Holes as they are on the face, true to size"),
    FOLD: (5, 18, "HIDDEN", "Where one face ends and the next, or a rounded corner, begins"),
    TEXT: (3, 18, "Continuous", "Names"),
}
_DASH_MM = (6.0, -3.0)
_INCH = 25.4
_SEED, _ENTITIES = "$HANDSEED\n  5\n", "  2\nENTITIES\n"
_MARKS = (-1001.25, -1002.25, 1003.25, 1004.25, 1005.25, 1006.25, 1007.25)
_QUARTERS = 4.0
_LONG_TEXT = 60  # the marks of hundreds of nuts are no help


def part_dxf(part: DistinctPart, blank: Blank) -> bytes:
    """A part from its side, from above and from its end, third-angle, at true size."""
    paper = _Paper(blank)
    _views(paper, part.solid.shape)
    low, _ = paper.extents
    text = max(2.5, min(12.0, (paper.extents[1][0] - low[0]) / 40))
    marks = marks_in_words(part.marks)
    count = f"{len(part.marks)} of these" if len(part.marks) > 1 else "one of these"
    if len(marks) <= _LONG_TEXT:
        count = f"{count}: {marks}"
    for k, line in enumerate((part.solid.name, count)):
        paper.text((low[0], low[1] - (2.0 + 1.8 * k) * text), line, text, left=True)
    return paper.data()


def flat_dxf(flat: FlatPattern, title: Sequence[str], blank: Blank) -> bytes:
    """The faces of a post laid flat, seen from outside, the lower end's long point at y = 0."""
    paper = _Paper(blank)
    paper.polyline([*flat.lower, *reversed(flat.upper)], OUTLINE, closed=True)
    for fold in flat.folds:
        paper.line((fold, _height(flat.lower, fold)), (fold, _height(flat.upper, fold)), FOLD)
    for hole in flat.holes:
        if hole.outline:
            paper.polyline(hole.outline, HOLES, closed=True)
        else:
            paper.loop(hole.loop, HOLES)
    size = max(3.0, min(flat.panels[0].width_mm, 60.0) / 10)
    for panel in flat.panels:
        paper.text((panel.middle_mm, -2.0 * size), panel.name, size)
    for k, line in enumerate(title):
        paper.text((0.0, (-4.5 - 1.8 * k) * size), line, size, left=True)
    return paper.data()


def _height(edge: Sequence[Vec2], x: float) -> float:
    """The height of a cut at a place across the flat."""
    for (x0, y0), (x1, y1) in pairwise(edge):
        if x0 <= x <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return edge[-1][1]


def _views(paper: _Paper, shape: Shape) -> None:
    if isinstance(shape, Prism):
        _prism(paper, shape)
    elif isinstance(shape, Turned):
        view = turned_view(shape)
        paper.view(view, (0.0, 0.0))
        _, _, right, top = view.bounds
        for diameter in dict.fromkeys(d for s in shape.steps for d in (s.outer_mm, s.inner_mm)):
            if diameter > 0.0:
                middle = (right + 2.0 * top + 5.0, 0.0)
                paper.loop((Round(middle, diameter / 2, 0.0, 360.0),), OUTLINE)
    else:
        _route(paper, shape)


def _prism(paper: _Paper, prism: Prism) -> None:
    side = side_view(prism, "x-")
    above = side_view(prism, "y+")
    _, low, right, top = side.bounds
    gap = max(20.0, 0.5 * (top - low))
    _, above_low, _, above_top = above.bounds
    paper.view(side, (0.0, 0.0))
    paper.view(above, (0.0, top + gap - above_low))
    across = (above_top - above_low) / 2
    for loop in end_view(prism):
        paper.loop(_moved(loop, (right + gap + across, 0.0)), OUTLINE)


def _route(paper: _Paper, route: Route) -> None:
    """The line of a cable from above and from the side, and its section."""
    points = route.points
    side = [(math.hypot(x, y), z) for x, y, z in points]
    above = [(x, y) for x, y, _ in points]
    straight = len(points) == 2
    if straight:
        half, length = route.diameter_mm / 2, route.length_mm
        corners = [(0.0, -half), (length, -half), (length, half), (0.0, half)]
        paper.polyline(corners, OUTLINE, closed=True)
        end = (length + 10.0 + half, 0.0)
    else:
        paper.polyline(above, OUTLINE)
        drop = min(y for _, y in above) - 50.0 - max(z for _, z in side)
        paper.polyline([(x, z + drop) for x, z in side], OUTLINE)
        end = (max(x for x, _ in above) + 10.0 + route.diameter_mm, 0.0)
    paper.loop((Round(end, route.diameter_mm / 2, 0.0, 360.0),), OUTLINE)


def _moved(loop: Loop, by: Vec2) -> Loop:
    def at(point: Vec2) -> Vec2:
        return (point[0] + by[0], point[1] + by[1])

    return tuple(
        Flat(at(side.start), at(side.end), side.face)
        if isinstance(side, Flat)
        else Round(at(side.centre), side.radius_mm, side.from_deg, side.sweep_deg)
        for side in loop
    )


class Blank:
    """An empty file for a part, written once by the library; what differs is put in its place.

    The numbers of `_MARKS` stand where a file tells how far its drawing reaches.
    """

    def __init__(self, *, metric: bool) -> None:
        self.unit = 1.0 if metric else _INCH
        with fixed_metadata():
            self.doc = ezdxf.new("R2018", setup=False)
        _set_up(self.doc, metric=metric, unit=self.unit)
        self.space = self.doc.modelspace()
        low, high = (*_MARKS[0:2], 0.0), (*_MARKS[2:4], 0.0)
        self.doc.header["$EXTMIN"], self.doc.header["$EXTMAX"] = low, high
        self.space.reset_extents(low, high)
        self.doc.set_modelspace_vport(_MARKS[4], (_MARKS[5], _MARKS[6]))
        before, self._after = file_text(self.doc).split(_ENTITIES)
        self._first = str(self.doc.entitydb.handles)
        self._before, self._rest = before.split(f"{_SEED}{self._first}\n")

    def begin(self) -> Scribe:
        """For the entities of the next file."""
        self.doc.entitydb.handles.reset(self._first)
        self._entities = self.space.entity_space.entities = list[Any]()
        return Scribe(self.doc, self.space)

    def text(self, low: Vec2, high: Vec2, height: float, middle: Vec2) -> str:
        """The file of what was written since."""
        parts = [f"{self._before}{_SEED}{self.doc.entitydb.handles}\n{self._rest}", self._after]
        for mark, value in zip(_MARKS, (*low, *high, height, *middle), strict=True):
            parts = [part.replace(f"\n{mark}\n", f"\n{value}\n") for part in parts]
        entities = "".join(entity.text for entity in self._entities)
        return f"{parts[0]}{_ENTITIES}{entities}{parts[1]}"


class _Paper:
    """Model space of one file, filled in millimetres and written in the unit of the job."""

    def __init__(self, blank: Blank) -> None:
        self._blank, self._unit = blank, blank.unit
        self._scribe = blank.begin()
        self._xs: list[float] = []
        self._ys: list[float] = []

    @property
    def extents(self) -> tuple[Vec2, Vec2]:
        """Lower left and upper right of what is drawn so far, mm."""
        return (min(self._xs), min(self._ys)), (max(self._xs), max(self._ys))

    def line(self, a: Vec2, b: Vec2, layer: str) -> None:
        self._scribe.line(self._point(a), self._point(b), layer)

    def polyline(self, points: Iterable[Vec2], layer: str, *, closed: bool = False) -> None:
        kept = list(dict.fromkeys(self._point(point) for point in points))
        self._scribe.polyline(kept, layer, closed=closed)

    def loop(self, loop: Loop, layer: str) -> None:
        """A closed outline: a circle, or a polyline whose round sides are true arcs."""
        first = loop[0]
        if isinstance(first, Round) and first.closed:
            self._seen(points_of(loop))
            centre = self._point(first.centre, seen=False)
            self._scribe.circle(centre, first.radius_mm / self._unit, layer)
            return
        self._seen(points_of(loop))
        corners = [self._point(side.start, seen=False) for side in loop]
        bulges = [0.0 if isinstance(side, Flat) else _bulge(side) for side in loop]
        self._scribe.polyline(corners, layer, closed=True, bulges=bulges)

    def view(self, view: PieceView, at: Vec2) -> None:
        """A side view, moved."""
        for lines, layer in ((view.visible, OUTLINE), (view.hidden, HIDDEN)):
            for a, b in lines:
                self.line((a[0] + at[0], a[1] + at[1]), (b[0] + at[0], b[1] + at[1]), layer)
        for hole in view.holes:
            self.loop(_moved(hole.loop, at), HIDDEN if hole.hidden else HOLES)

    def text(self, at: Vec2, text: str, height: float, *, left: bool = False) -> None:
        size, anchor = round(height / self._unit, 9), "left" if left else "centre"
        self._scribe.text(self._point(at), _plain(text), size, TEXT, anchor=anchor, middle=False)

    def data(self) -> bytes:
        """The finished file, the same for the same drawing."""
        low, high = ((x / self._unit, y / self._unit) for x, y in self.extents)
        size = max(high[1] - low[1], (high[0] - low[0]) / 1.5, 1e-3)
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        return self._blank.text(low, high, size * 1.1, middle).encode("utf-8")

    def _seen(self, points: Iterable[Vec2]) -> None:
        for x, y in points:
            self._xs.append(x)
            self._ys.append(y)

    def _point(self, point: Vec2, *, seen: bool = True) -> Vec2:
        # 1e-9 of a unit: floats of different origin then write the same digits.
        if seen:
            self._seen([point])
        x, y = point
        return (round(x / self._unit, 9) + 0.0, round(y / self._unit, 9) + 0.0)


def _bulge(side: Round) -> float:
    """Of a polyline's arc: the tangent of a quarter of its sweep."""
    return math.tan(math.radians(side.sweep_deg / _QUARTERS))


def _plain(text: str) -> str:
    """One line of text; ^ and %% begin a sign code in a DXF text."""
    text = "".join(sign if sign.isprintable() else " " for sign in text)
    return text.replace("^", "^ ").replace("%%", "% %").replace("\u00b0", "%%d")


def _set_up(doc: Drawing, *, metric: bool, unit: float) -> None:
    """Units, layers and the one linetype, its dashes as long as in `_DASH_MM`."""
    doc.header["$INSUNITS"] = 4 if metric else 1
    doc.header["$MEASUREMENT"] = 1 if metric else 0
    doc.header["$LUNITS"] = 2
    doc.header["$LUPREC"] = 2 if metric else 4
    dashes = [dash / unit for dash in _DASH_MM]
    pattern = [sum(map(abs, dashes)), *dashes]
    doc.linetypes.add("HIDDEN", pattern, description="Hidden __ __ __ __")
    for name, (colour, pen, linetype, about) in _LAYERS.items():
        layer = doc.layers.add(name, color=colour, linetype=linetype, lineweight=pen)
        layer.description = about
