"""A sheet of placed views as DXF R2018 text: model space in inches or millimetres, true dimensions.

The pictures of dimensions are drawn here and not by the library, whose text layout depends on the
fonts that a machine happens to have.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import Insert
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import BaseLayout

from generator.drawings.arrange import Sheet
from generator.drawings.dimensions import EXTENSION_GAP, OVERSHOOT, beyond_line
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
_UNIQUE_BLOCK, _MOVED_TEXT = 32, 128  # bits of a dimension's type


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
        stream = io.StringIO()
        doc.write(stream)
    return stream.getvalue()


@contextmanager
def fixed_metadata() -> Iterator[None]:
    """No clock and no chance in the file; the library keeps this setting for the whole process."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


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
        self.scale = scale
        self.unit = _unit(scale)
        self.shift: Vec2 = (0.0, 0.0)
        self.style = _dimension_style(doc, scale)

    def header(self, sheet: Sheet) -> None:
        """What the file says of its one sheet: its scale, and where it lies."""
        scale, header, space = self.scale, self.doc.header, self.doc.modelspace()
        header["$LTSCALE"] = scale.denominator
        header["$DIMSCALE"] = scale.denominator
        header["$DIMSTYLE"] = self.style
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
            self._plain(self.space, item)

    def _plain(self, space: BaseLayout, item: Item) -> None:
        attributes = {"layer": getattr(item, "layer", DIMENSIONS)}
        match item:
            case Line(a, b, _):
                space.add_line(self.point(a), self.point(b), attributes)
            case Outline(points, _, closed):
                corners = [self.point(point) for point in points]
                space.add_lwpolyline(corners, close=closed, dxfattribs=attributes)
            case Arc(centre, radius, _, start, end) if end - start >= 360.0:
                space.add_circle(self.point(centre), radius / self.unit, attributes)
            case Arc(centre, radius, _, start, end):
                middle = self.point(centre)
                space.add_arc(middle, radius / self.unit, start, end, dxfattribs=attributes)
            case Fill(points, _):
                space.add_solid([self.point(p) for p in _solid_order(points)], attributes)
            case Hatch():
                self._hatch(space, item)
            case Text():
                self._text(space, item, attributes)

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

    def _text(self, space: BaseLayout, item: Text, attributes: dict[str, str]) -> None:
        entity = space.add_text(
            text_in(item.text),
            height=item.height / self.unit,
            rotation=item.turn_deg,
            dxfattribs={**attributes, "style": STYLE},
        )
        entity.set_placement(self.point(item.at), align=_ANCHORS[item.anchor])

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
        feet = item.line
        for start, end in ((item.a, feet[0]), (item.b, feet[1])):
            for line in self._extension(start, end):
                self._plain(block, line)
        self._plain(block, Line(*item.reach, DIMENSIONS))
        for foot in feet:
            self._tick(block, foot, item.turn_deg)
        if item.leader:
            self._plain(block, Line(*item.leader, DIMENSIONS))
        text = Text(item.text_at, item.text, item.height, DIMENSIONS, turn_deg=item.turn_deg)
        self._plain(block, text)
        angle = math.degrees(math.atan2(feet[1][1] - feet[0][1], feet[1][0] - feet[0][0]))
        self._dimension(
            block.name,
            item,
            0,
            defpoint=self.point(feet[1]),
            defpoint2=self.point(item.a),
            defpoint3=self.point(item.b),
            angle=round(angle, 9) + 0.0,
            actual_measurement=item.measured_mm / self.unit,
        )

    def _dimension(
        self, block: str, item: LinearDimension | AngleDimension, kind: int, **values: object
    ) -> None:
        moved = not isinstance(item, LinearDimension) or item.moved
        self.space.new_entity(
            "DIMENSION",
            {
                "layer": DIMENSIONS,
                "dimstyle": self.style,
                "geometry": block,
                "dimtype": kind | _UNIQUE_BLOCK | (_MOVED_TEXT if moved else 0),
                "text": text_in(item.text),
                "text_midpoint": self.point(item.text_at),
                "attachment_point": 5,
                **values,
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

    def _tick(self, block: BaseLayout, foot: Vec2, turn_deg: float) -> None:
        turn = math.radians(turn_deg + 45.0)
        half = self.scale.plotted(_TICK)
        dx, dy = half * math.cos(turn), half * math.sin(turn)
        block.add_line(
            self.point((foot[0] - dx, foot[1] - dy)),
            self.point((foot[0] + dx, foot[1] + dy)),
            {"layer": DIMENSIONS, "lineweight": _TICK_PEN},
        )

    def _angle(self, item: AngleDimension) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        end = item.start_deg + item.measured_deg
        gap, over = self.scale.plotted(EXTENSION_GAP), self.scale.plotted(OVERSHOOT)
        for turn in (item.start_deg, end):
            near, far = (_polar(item.vertex, r, turn) for r in (gap, item.radius + over))
            self._plain(block, Line(near, far, DIMENSIONS))
            self._tick(block, _polar(item.vertex, item.radius, turn), turn + 90.0)
        arc = Arc(item.vertex, item.radius, DIMENSIONS, item.start_deg, end)
        self._plain(block, arc)
        self._plain(block, Text(item.text_at, item.text, item.height, DIMENSIONS))
        middle = item.start_deg + item.measured_deg / 2
        self._dimension(
            block.name,
            item,
            5,
            defpoint=self.point(_polar(item.vertex, item.radius, middle)),
            defpoint2=self.point(_polar(item.vertex, item.radius, item.start_deg)),
            defpoint3=self.point(_polar(item.vertex, item.radius, end)),
            defpoint4=self.point(item.vertex),
            actual_measurement=math.radians(item.measured_deg),
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
