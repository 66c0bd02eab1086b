"""DXF files for the shop: views of a distinct part, and the faces of a drilled post laid flat."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

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
_QUARTERS = 4.0
_LONG_TEXT = 60  # the marks of hundreds of nuts are no help


def part_dxf(part: DistinctPart, *, metric: bool) -> bytes:
    """A part from its side, from above and from its end, third-angle, at true size."""
    paper = _Paper(metric=metric)
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


def flat_dxf(flat: FlatPattern, title: Sequence[str], *, metric: bool) -> bytes:
    """The faces of a post laid flat, seen from outside, the lower end at y = 0."""
    paper = _Paper(metric=metric)
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


class _Paper:
    """Model space of one file, filled in millimetres and written in the unit of the job."""

    def __init__(self, *, metric: bool) -> None:
        self._unit = 1.0 if metric else _INCH
        with _fixed_metadata():
            self._doc = ezdxf.new("R2018", setup=False)
        _set_up(self._doc, metric=metric, unit=self._unit)
        self._space = self._doc.modelspace()
        self._xs: list[float] = []
        self._ys: list[float] = []

    @property
    def extents(self) -> tuple[Vec2, Vec2]:
        """Lower left and upper right of what is drawn so far, mm."""
        return (min(self._xs), min(self._ys)), (max(self._xs), max(self._ys))

    def line(self, a: Vec2, b: Vec2, layer: str) -> None:
        self._space.add_line(self._point(a), self._point(b), {"layer": layer})

    def polyline(self, points: Iterable[Vec2], layer: str, *, closed: bool = False) -> None:
        kept = list(dict.fromkeys(self._point(point) for point in points))
        self._space.add_lwpolyline(kept, close=closed, dxfattribs={"layer": layer})

    def loop(self, loop: Loop, layer: str) -> None:
        """A closed outline: a circle, or a polyline whose round sides are true arcs."""
        first = loop[0]
        if isinstance(first, Round) and first.closed:
            self._seen(points_of(loop))
            centre = self._point(first.centre, seen=False)
            self._space.add_circle(centre, first.radius_mm / self._unit, {"layer": layer})
            return
        self._seen(points_of(loop))
        corners = [
            (*self._point(side.start, seen=False), 0.0 if isinstance(side, Flat) else _bulge(side))
            for side in loop
        ]
        self._space.add_lwpolyline(corners, "xyb", close=True, dxfattribs={"layer": layer})

    def view(self, view: PieceView, at: Vec2) -> None:
        """A side view, moved."""
        for lines, layer in ((view.visible, OUTLINE), (view.hidden, HIDDEN)):
            for a, b in lines:
                self.line((a[0] + at[0], a[1] + at[1]), (b[0] + at[0], b[1] + at[1]), layer)
        for hole in view.holes:
            self.loop(_moved(hole.loop, at), HIDDEN if hole.hidden else HOLES)

    def text(self, at: Vec2, text: str, height: float, *, left: bool = False) -> None:
        entity = self._space.add_text(
            _plain(text), height=round(height / self._unit, 9), dxfattribs={"layer": TEXT}
        )
        align = TextEntityAlignment.LEFT if left else TextEntityAlignment.CENTER
        entity.set_placement(self._point(at), align=align)

    def data(self) -> bytes:
        """The finished file, the same for the same drawing."""
        low, high = (tuple(value / self._unit for value in point) for point in self.extents)
        self._doc.header["$EXTMIN"], self._doc.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        self._space.reset_extents((*low, 0.0), (*high, 0.0))
        size = max(high[1] - low[1], (high[0] - low[0]) / 1.5, 1e-3)
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        self._doc.set_modelspace_vport(size * 1.1, middle)
        stream = io.StringIO()
        with _fixed_metadata():
            self._doc.write(stream)
        return stream.getvalue().encode("utf-8")

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


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """No clock and no chance in the file; the library keeps this setting for the whole process."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
