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
    with _fixed_metadata():
        doc = ezdxf.new("R2018", setup=False)
        writer = _Writer(doc, sheet.scale)
        writer.set_up(sheet)
        for placed in sheet.placed:
            writer.shift = placed.offset
            for item in placed.view.items:
                writer.write(item)
        stream = io.StringIO()
        doc.write(stream)
    return stream.getvalue()


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """No clock and no chance in the file; the library keeps this setting for the whole process."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


class _Writer:
    """Turns items of views into entities of model space."""

    def __init__(self, doc: Drawing, scale: Scale) -> None:
        self.doc = doc
        self.space = doc.modelspace()
        self.scale = scale
        self.unit = 1.0 if scale.metric else _INCH
        self.shift: Vec2 = (0.0, 0.0)

    def set_up(self, sheet: Sheet) -> None:
        self._header(sheet)
        for name, (about, dashes) in LINETYPES.items():
            lengths = [dash / self.unit for dash in dashes]
            total = sum(abs(length) for length in lengths)
            self.doc.linetypes.add(name, [total, *lengths], description=about)
        for layer in LAYERS:
            entry = self.doc.layers.add(
                layer.name,
                color=layer.colour,
                linetype=layer.linetype,
                lineweight=layer.pen,
            )
            entry.description = layer.about
        self.doc.styles.add(STYLE, font=_FONT)
        self._dimension_style()

    def _header(self, sheet: Sheet) -> None:
        metric, scale, header = self.scale.metric, self.scale, self.doc.header
        header["$INSUNITS"] = 4 if metric else 1
        header["$MEASUREMENT"] = 1 if metric else 0
        header["$LUNITS"] = 2 if metric else 4
        header["$LUPREC"] = 1 if metric else 4
        header["$LTSCALE"] = scale.denominator
        header["$DIMSCALE"] = scale.denominator
        header["$TEXTSIZE"] = scale.text / self.unit
        header["$LWDISPLAY"] = 1
        width, height = scale.plotted(sheet.paper.width), scale.plotted(sheet.paper.height)
        low = self._point(sheet.corner)
        high = self._point((sheet.corner[0] + width, sheet.corner[1] + height))
        header["$EXTMIN"], header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        header["$LIMMIN"], header["$LIMMAX"] = low, high
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        self.doc.set_modelspace_vport(height / self.unit * 1.05, middle)
        self.space.reset_extents((*low, 0.0), (*high, 0.0))
        self.space.reset_limits(low, high)

    def _dimension_style(self) -> None:
        """For those who add dimensions by hand: plotted sizes, which DIMSCALE makes real."""
        scale, unit = self.scale, self.unit
        style = self.doc.dimstyles.add(STYLE)
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
        for name, value in values.items():
            style.set_dxf_attrib(name, value)
        self.doc.header["$DIMSTYLE"] = STYLE

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
                space.add_line(self._point(a), self._point(b), attributes)
            case Outline(points, _, closed):
                corners = [self._point(point) for point in points]
                space.add_lwpolyline(corners, close=closed, dxfattribs=attributes)
            case Arc(centre, radius, _, start, end) if end - start >= 360.0:
                space.add_circle(self._point(centre), radius / self.unit, attributes)
            case Arc(centre, radius, _, start, end):
                middle = self._point(centre)
                space.add_arc(middle, radius / self.unit, start, end, dxfattribs=attributes)
            case Fill(points, _):
                space.add_solid([self._point(p) for p in _solid_order(points)], attributes)
            case Hatch():
                self._hatch(space, item)
            case Text():
                self._text(space, item, attributes)

    def _hatch(self, space: BaseLayout, item: Hatch) -> None:
        """A true hatch with its own pattern: parallel lines."""
        spacing, turn = item.spacing / self.unit, math.radians(item.turn_deg)
        off = (-math.sin(turn) * spacing, math.cos(turn) * spacing)
        base = self._point((off[0] * self.unit / 2, off[1] * self.unit / 2))
        hatch = space.add_hatch(dxfattribs={"layer": item.layer})
        hatch.set_pattern_definition([[item.turn_deg, base, off, []]])
        hatch.dxf.hatch_style = 0  # rings in rings are holes
        for k, ring in enumerate(item.rings):
            corners = [self._point(point) for point in ring]
            hatch.paths.add_polyline_path(corners, is_closed=True, flags=1 if k == 0 else 16)

    def _text(self, space: BaseLayout, item: Text, attributes: dict[str, str]) -> None:
        entity = space.add_text(
            _plain_signs(item.text),
            height=item.height / self.unit,
            rotation=item.turn_deg,
            dxfattribs={**attributes, "style": STYLE},
        )
        entity.set_placement(self._point(item.at), align=_ANCHORS[item.anchor])

    def _point(self, point: Vec2) -> Vec2:
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
            defpoint=self._point(feet[1]),
            defpoint2=self._point(item.a),
            defpoint3=self._point(item.b),
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
                "dimstyle": STYLE,
                "geometry": block,
                "dimtype": kind | _UNIQUE_BLOCK | (_MOVED_TEXT if moved else 0),
                "text": _plain_signs(item.text),
                "text_midpoint": self._point(item.text_at),
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
            self._point((foot[0] - dx, foot[1] - dy)),
            self._point((foot[0] + dx, foot[1] + dy)),
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
            defpoint=self._point(_polar(item.vertex, item.radius, middle)),
            defpoint2=self._point(_polar(item.vertex, item.radius, item.start_deg)),
            defpoint3=self._point(_polar(item.vertex, item.radius, end)),
            defpoint4=self._point(item.vertex),
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


def _plain_signs(text: str) -> str:
    """One line, with the degree sign as every viewer reads it, whatever its font."""
    text = "".join(character if character.isprintable() else " " for character in text)
    # ^ and %% begin a sign code in a DXF text. "^ " is the sign itself; viewers do not agree on
    # one for a percent sign, so two of them are parted.
    text = text.replace("^", "^ ").replace("%%", "% %")
    return text.replace("\u00b0", "%%d")
