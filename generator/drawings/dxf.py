"""A sheet of placed views as DXF R2018 text: model space in inches or millimetres, true dimensions.

The pictures of dimensions are drawn here and not by the library, whose text layout depends on the
fonts that a machine happens to have.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import Insert
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import BaseLayout

from generator.drawings.arrange import Sheet
from generator.drawings.dimensions import EXTENSION_GAP, OVERSHOOT, beyond_line
from generator.drawings.entities import Scribe, angular, file_text, fixed_metadata, linear
from generator.drawings.layers import DIMENSIONS, LAYERS, LINETYPES
from generator.drawings.view import (
    AngleDimension,
    Arc,
    Fill,
    Hatch,
    Item,
    Line,
    LinearDimension,
    Outline,
    Scale,
    Text,
)
from generator.geometry import Vec2

STYLE = "STRINGLINE"
_FONT = "arial.ttf"  # found, or replaced by one of equal widths, on every desktop system
_INCH = 25.4
_ANCHORS = {
    "left": TextEntityAlignment.MIDDLE_LEFT,
    "centre": TextEntityAlignment.MIDDLE_CENTER,
    "right": TextEntityAlignment.MIDDLE_RIGHT,
}
_TICK = 1.2  # half of one, as plotted mm
_TICK_PEN = 35
# Of a dimension's type: measures an angle by three points; its block is its own, its text moved.
_ANGULAR, _UNIQUE_BLOCK, _MOVED_TEXT = 5, 32, 128


def dxf_text(sheet: Sheet) -> str:
    """The whole file."""
    with fixed_metadata():
        doc = ezdxf.new("R2018", setup=False)
        set_up(doc, sheet.scale)
        writer = Writer(doc, sheet.scale, doc.modelspace())
        writer.header(sheet)
        for placed in sheet.placed:
            writer.shift = placed.offset
            for item in placed.view.items:
                writer.write(item)
    return file_text(doc)


def _unit(scale: Scale) -> float:
    """Millimetres in the file's unit."""
    return 1.0 if scale.metric else _INCH


def set_up(doc: Drawing, scale: Scale) -> None:
    """Units, linetypes, layers and the text style."""
    metric, unit, header = scale.metric, _unit(scale), doc.header
    header["$INSUNITS"] = 4 if metric else 1
    header["$MEASUREMENT"] = 1 if metric else 0
    header["$LUNITS"] = 2 if metric else 4
    header["$LUPREC"] = 1 if metric else 4
    header["$LWDISPLAY"] = 1
    for name, (about, dashes) in LINETYPES.items():
        lengths = [dash / unit for dash in dashes]
        total = sum(abs(length) for length in lengths)
        doc.linetypes.add(name, [total, *lengths], description=about)
    for layer in LAYERS:
        entry = doc.layers.add(
            layer.name,
            color=layer.colour,
            linetype=layer.linetype,
            lineweight=layer.pen,
        )
        entry.description = layer.about
    doc.styles.add(STYLE, font=_FONT)


def _dimension_style(doc: Drawing, scale: Scale) -> str:
    """For those who add dimensions by hand: plotted sizes, which DIMSCALE makes real."""
    unit, name = _unit(scale), f"{STYLE}-{scale.denominator:g}"
    if name in doc.dimstyles:
        return name
    style = doc.dimstyles.add(name)
    values = {
        "dimtxsty": STYLE,
        "dimscale": scale.denominator,
        "dimtxt": scale.text / scale.denominator / unit,
        "dimexo": EXTENSION_GAP / unit,
        "dimexe": OVERSHOOT / unit,
        "dimgap": 0.9 / unit,
        "dimtsz": _TICK / unit,
        "dimasz": 2 * _TICK / unit,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimdli": 6.0 / unit,
        "dimlunit": 2 if scale.metric else 4,
        "dimdec": 0 if scale.metric else 4,
        "dimfrac": 2,
        "dimrnd": 1.0 if scale.metric else 1 / 16,
        "dimadec": 2,
    }
    for key, value in values.items():
        style.set_dxf_attrib(key, value)
    return name


class Writer:
    """Turns items of views into entities of model space."""

    def __init__(self, doc: Drawing, scale: Scale, space: BaseLayout) -> None:
        self.doc = doc
        self.space = space
        self.scribe = Scribe(doc, space)
        self.scale = scale
        self.unit = _unit(scale)
        self.shift: Vec2 = (0.0, 0.0)
        self.style = _dimension_style(doc, scale)

    def as_current(self) -> None:
        """The file's own dimension variables, which some readers take in place of any style."""
        style, header = self.doc.dimstyles.get(self.style), self.doc.header
        header["$DIMSTYLE"] = self.style
        for key, value in style.dxfattribs().items():
            name = f"${key.upper()}"
            if name in header.varnames() and isinstance(value, int | float):
                header[name] = value

    def header(self, sheet: Sheet) -> None:
        """What the file says of its one sheet: its scale, and where it lies."""
        scale, header, space = self.scale, self.doc.header, self.doc.modelspace()
        header["$LTSCALE"] = scale.denominator
        self.as_current()
        header["$TEXTSIZE"] = scale.text / self.unit
        width, height = scale.plotted(sheet.paper.width), scale.plotted(sheet.paper.height)
        low = self.point(sheet.corner)
        high = self.point((sheet.corner[0] + width, sheet.corner[1] + height))
        header["$EXTMIN"], header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        header["$LIMMIN"], header["$LIMMAX"] = low, high
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        self.doc.set_modelspace_vport(height / self.unit * 1.05, middle)
        space.reset_extents((*low, 0.0), (*high, 0.0))
        space.reset_limits(low, high)

    def write(self, item: Item) -> None:
        """One item, in the file's unit and at its place."""
        if isinstance(item, LinearDimension):
            self._linear(item)
        elif isinstance(item, AngleDimension):
            self._angle(item)
        else:
            self._plain(self.scribe, item)

    def _plain(self, scribe: Scribe, item: Item) -> None:
        match item:
            case Line(a, b, layer):
                scribe.line(self.point(a), self.point(b), layer)
            case Outline(points, layer, closed):
                scribe.polyline([self.point(point) for point in points], layer, closed=closed)
            case Arc(centre, radius, layer, start, end) if end - start >= 360.0:
                scribe.circle(self.point(centre), radius / self.unit, layer)
            case Arc(centre, radius, layer, start, end):
                scribe.arc(self.point(centre), radius / self.unit, start, end, layer)
            case Fill(points, layer):
                scribe.solid([self.point(p) for p in _solid_order(points)], layer)
            case Hatch():
                self._hatch(self.space, item)
            case Text(at, text, height, layer, anchor, turn):
                scribe.text(
                    self.point(at),
                    text_in(text),
                    height / self.unit,
                    layer,
                    anchor=anchor,
                    turn_deg=turn,
                    style=STYLE,
                )
            case _:
                raise TypeError(f"{type(item).__name__} is drawn as a dimension")

    def _hatch(self, space: BaseLayout, item: Hatch) -> None:
        """A true hatch with its own pattern: parallel lines."""
        spacing, turn = item.spacing / self.unit, math.radians(item.turn_deg)
        off = (-math.sin(turn) * spacing, math.cos(turn) * spacing)
        base = self.point((off[0] * self.unit / 2, off[1] * self.unit / 2))
        hatch = space.add_hatch(dxfattribs={"layer": item.layer})
        hatch.set_pattern_definition([[item.turn_deg, base, off, []]])
        hatch.dxf.hatch_style = 0  # rings in rings are holes
        for k, ring in enumerate(item.rings):
            corners = [self.point(point) for point in ring]
            hatch.paths.add_polyline_path(corners, is_closed=True, flags=1 if k == 0 else 16)

    def attribute(self, insert: Insert, tag: str, item: Text) -> None:
        """A text as the value of a block's attribute."""
        made = insert.add_attrib(
            tag,
            text_in(item.text),
            self.point(item.at),
            {
                "layer": item.layer,
                "style": STYLE,
                "height": item.height / self.unit,
                "rotation": item.turn_deg,
            },
        )
        made.set_placement(self.point(item.at), align=_ANCHORS[item.anchor])

    def point(self, point: Vec2) -> Vec2:
        # 1e-9 of a unit: floats of different origin then write the same digits.
        return (
            round((point[0] + self.shift[0]) / self.unit, 9) + 0.0,
            round((point[1] + self.shift[1]) / self.unit, 9) + 0.0,
        )

    def _linear(self, item: LinearDimension) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        scribe = Scribe(self.doc, block)
        feet = item.line
        for start, end in ((item.a, feet[0]), (item.b, feet[1])):
            for line in self._extension(start, end):
                self._plain(scribe, line)
        self._plain(scribe, Line(*item.reach, DIMENSIONS))
        for foot in feet:
            self._tick(scribe, foot, item.turn_deg)
        if item.leader:
            self._plain(scribe, Line(*item.leader, DIMENSIONS))
        text = Text(item.text_at, item.text, item.height, DIMENSIONS, turn_deg=item.turn_deg)
        self._plain(scribe, text)
        angle = math.degrees(math.atan2(feet[1][1] - feet[0][1], feet[1][0] - feet[0][0]))
        self._dimension(
            block.name,
            item,
            _UNIQUE_BLOCK | (_MOVED_TEXT if item.moved else 0),
            feet[1],
            item.measured_mm / self.unit,
            linear(self.point(item.a), self.point(item.b), round(angle, 9) + 0.0),
        )

    def _dimension(
        self,
        block: str,
        item: LinearDimension | AngleDimension,
        kind: int,
        at: Vec2,
        measured: float,
        rest: str,
    ) -> None:
        self.scribe.dimension(
            DIMENSIONS,
            {
                2: block,
                3: self.style,
                10: self.point(at),
                11: self.point(item.text_at),
                70: kind,
                71: 5,
                42: measured,
                1: text_in(item.text),
                100: rest,
            },
        )

    def _extension(self, start: Vec2, end: Vec2) -> Iterator[Line]:
        """From a gap off the object to a little beyond the dimension line."""
        reach = math.dist(start, end)
        gap, over = self.scale.plotted(EXTENSION_GAP), self.scale.plotted(OVERSHOOT)
        if reach <= gap:
            return
        near = beyond_line(end, start, -gap)
        yield Line(near, beyond_line(start, end, over), DIMENSIONS)

    def _tick(self, scribe: Scribe, foot: Vec2, turn_deg: float) -> None:
        turn = math.radians(turn_deg + 45.0)
        half = self.scale.plotted(_TICK)
        dx, dy = half * math.cos(turn), half * math.sin(turn)
        scribe.line(
            self.point((foot[0] - dx, foot[1] - dy)),
            self.point((foot[0] + dx, foot[1] + dy)),
            DIMENSIONS,
            _TICK_PEN,
        )

    def _angle(self, item: AngleDimension) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        scribe = Scribe(self.doc, block)
        end = item.start_deg + item.measured_deg
        gap, over = self.scale.plotted(EXTENSION_GAP), self.scale.plotted(OVERSHOOT)
        for turn in (item.start_deg, end):
            near, far = (_polar(item.vertex, r, turn) for r in (gap, item.radius + over))
            self._plain(scribe, Line(near, far, DIMENSIONS))
            self._tick(scribe, _polar(item.vertex, item.radius, turn), turn + 90.0)
        arc = Arc(item.vertex, item.radius, DIMENSIONS, item.start_deg, end)
        self._plain(scribe, arc)
        self._plain(scribe, Text(item.text_at, item.text, item.height, DIMENSIONS))
        middle = item.start_deg + item.measured_deg / 2
        a, b = (
            self.point(_polar(item.vertex, item.radius, turn)) for turn in (item.start_deg, end)
        )
        self._dimension(
            block.name,
            item,
            _ANGULAR | _UNIQUE_BLOCK | _MOVED_TEXT,
            _polar(item.vertex, item.radius, middle),
            math.radians(item.measured_deg),
            angular(a, b, self.point(item.vertex)),
        )


def _polar(centre: Vec2, radius: float, turn_deg: float) -> Vec2:
    turn = math.radians(turn_deg)
    return (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))


def _solid_order(points: tuple[Vec2, ...]) -> tuple[Vec2, ...]:
    """A SOLID names its third and fourth corner crosswise."""
    if len(points) == 4:
        return (points[0], points[1], points[3], points[2])
    return points


def text_in(text: str) -> str:
    """One line, with the degree sign as every viewer reads it, whatever its font."""
    text = "".join(character if character.isprintable() else " " for character in text)
    # ^ and %% begin a sign code in a DXF text. "^ " is the sign itself; viewers do not agree on
    # one for a percent sign, so two of them are parted.
    text = text.replace("^", "^ ").replace("%%", "% %")
    return text.replace("\u00b0", "%%d")
