"""The sheet set as DXF R2018: views in model space in real units, a paper-space layout a sheet with
scaled viewports, posts and marks as blocks with attributes, true dimensions.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import ezdxf
from ezdxf.layouts import Paperspace

from generator.drawings import layers
from generator.drawings.dxf import STYLE, Writer, set_up, text_in
from generator.drawings.entities import file_text, fixed_metadata
from generator.drawings.project import PLAN, picture
from generator.drawings.sheets import PlacedView, SheetPage, SheetSet
from generator.drawings.view import Arc, Item, Outline, Scale, Text, View
from generator.geometry import Vec2
from generator.parts.assembly import Assembly, Part, PostDetail, detail_of
from generator.units import format_length

_GAP = 1.15  # views in model space stand apart by so much of their sizes
_MARK, _TITLE = "MARK", "TITLE-BLOCK"


def layouts_text(sheets: SheetSet, assembly: Assembly) -> str:
    """The whole file; equal input gives equal bytes."""
    with fixed_metadata():
        doc = ezdxf.new("R2018", setup=False)
        _SetWriter(doc, sheets, assembly).write()
    return file_text(doc)


class _SetWriter:
    """Model space first, then a layout a sheet."""

    def __init__(self, doc: Any, sheets: SheetSet, assembly: Assembly) -> None:
        self.doc, self.sheets, self.assembly = doc, sheets, assembly
        self.metric = any(p.scale.metric for s in sheets.sheets for p in s.views)
        self.unit = 1.0 if self.metric else 25.4
        self.offsets: dict[int, Vec2] = {}
        self.post_blocks: dict[tuple[Item, ...], str] = {}

    def write(self) -> None:
        set_up(self.doc, Scale(1.0, "", self.metric))
        self.doc.header["$PSLTSCALE"] = 1
        self.doc.layers.get(layers.FRAMES).dxf.plot = 0
        self._mark_block()
        self._model_space()
        names = [layout for layout in self.doc.layouts.names() if layout != "Model"]
        for page in self.sheets.sheets:
            self._layout(page)
        for name in names:
            self.doc.layouts.delete(name)
        self.doc.layouts.set_active_layout(self.sheets.sheets[0].number)

    def _mark_block(self) -> None:
        """A circle of radius 1 with the mark in it, and what the mark stands for."""
        block = self.doc.blocks.new(_MARK)
        block.add_circle((0.0, 0.0), 1.0, {"layer": "0"})
        block.add_attdef("MARK", (0.0, 0.0), dxfattribs={"layer": "0", "style": STYLE})
        for tag in ("KIND", "ITEM"):
            block.add_attdef(tag, (0.0, 0.0), dxfattribs={"flags": 1, "style": STYLE})

    def _model_space(self) -> None:
        """The plan at its true coordinates; other views to the right of it, column by column."""
        views = _views(self.sheets)
        plan = next(placed.view for placed in views if placed.view.name == "plan")
        x0, y0, x1, y1 = plan.bounds
        self.offsets[id(plan)] = (0.0, 0.0)
        left, top, low = x1 + (x1 - x0) * (_GAP - 1.0), y1, y0
        wide = 0.0
        for placed in views:
            if placed.view is plan:
                continue
            a, b, c, d = placed.view.bounds
            if top - (d - b) < low and top < y1:
                left, top, wide = left + wide * _GAP, y1, 0.0
            self.offsets[id(placed.view)] = (left - a, top - d)
            wide = max(wide, c - a)
            top -= (d - b) * _GAP
        spaces = {}
        for placed in views:
            k = placed.scale.denominator
            if k not in spaces:
                spaces[k] = Writer(self.doc, placed.scale, self.doc.modelspace())
            writer = spaces[k]
            writer.shift = self.offsets[id(placed.view)]
            self._view(writer, placed.view)
        self._extents(views)

    def _extents(self, views: Sequence[PlacedView]) -> None:
        corners = []
        for placed in views:
            dx, dy = self.offsets[id(placed.view)]
            a, b, c, d = placed.view.bounds
            corners += [(a + dx, b + dy), (c + dx, d + dy)]
        low = tuple(min(p[k] for p in corners) / self.unit for k in (0, 1))
        high = tuple(max(p[k] for p in corners) / self.unit for k in (0, 1))
        space, header = self.doc.modelspace(), self.doc.header
        header["$EXTMIN"], header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        header["$LIMMIN"], header["$LIMMAX"] = low, high
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        self.doc.set_modelspace_vport((high[1] - low[1]) * 1.05, middle)
        space.reset_extents((*low, 0.0), (*high, 0.0))
        space.reset_limits(low, high)

    def _view(self, writer: Writer, view: View) -> None:
        items: Sequence[Item] = view.items
        if view.name == "plan":
            items = self._posts(writer, view)
        skip = False
        for item, following in pairwise((*items, None)):
            if skip:
                skip = False
                continue
            if _is_bubble(item, following):
                self._bubble(writer, item, following)
                skip = True
            elif item is not None:
                writer.write(item)

    def _posts(self, writer: Writer, view: View) -> list[Item]:
        """Inserts every post that is seen whole; what is left of the view."""
        drawn, gone = set(view.items), set[Item]()
        for part in self.assembly.of_kind("post", "column"):
            layer = layers.POST if part.kind == "post" else layers.COLUMN
            own = picture(part, PLAN, layer)
            if not own or not all(item in drawn for item in own):
                continue
            self._post(writer, part, own, layer)
            gone.update(own)
        return [item for item in view.items if item not in gone]

    def _post(self, writer: Writer, part: Part, own: Sequence[Item], layer: str) -> None:
        """A block for each kind of post and bearing, drawn about the post's axis."""
        post, axis = detail_of(part, PostDetail), part.place.origin
        about = [_moved(item, axis) for item in own]
        name = self._post_block(writer, about, layer, part)
        insert = writer.space.add_blockref(name, writer.point(axis[:2]), {"layer": layer})
        metric = self.metric
        values = {
            "MARK": part.mark,
            "ITEM": part.item,
            "HEIGHT": format_length(post.height_mm, metric),
            "LENGTH": format_length(post.length_mm, metric),
            "BASE": format_length(post.base_z_mm, metric),
            "FIXED": post.mount,
        }
        for tag, value in values.items():
            attributes = {"layer": layer, "style": STYLE, "height": writer.scale.small / self.unit}
            text = insert.add_attrib(tag, text_in(value), writer.point(axis[:2]), attributes)
            text.is_invisible = True

    def _post_block(self, writer: Writer, about: Sequence[Item], layer: str, part: Part) -> str:
        key, made = tuple(about), self.post_blocks
        if key not in made:
            made[key] = f"{'POST' if part.kind == 'post' else 'COLUMN'}-{len(made) + 1}"
            block = self.doc.blocks.new(made[key])
            inner = Writer(self.doc, writer.scale, block)
            for item in about:
                inner.write(item)
            for tag in ("MARK", "ITEM", "HEIGHT", "LENGTH", "BASE", "FIXED"):
                block.add_attdef(
                    tag, (0.0, 0.0), dxfattribs={"flags": 1, "style": STYLE, "layer": layer}
                )
        return made[key]

    def _bubble(self, writer: Writer, circle: Any, text: Any) -> None:
        at, size = writer.point(circle.centre), circle.radius / self.unit
        scales = {"xscale": size, "yscale": size, "zscale": size, "layer": circle.layer}
        insert = writer.space.add_blockref(_MARK, at, scales)
        part = self.assembly.by_mark.get(text.text)
        attributes = {
            "layer": circle.layer,
            "style": STYLE,
            "height": text.height / self.unit,
        }
        writer.attribute(insert, "MARK", text)
        if part:
            for tag, value in (("KIND", part.kind), ("ITEM", part.item)):
                hidden = insert.add_attrib(tag, text_in(value), at, attributes)
                hidden.is_invisible = True

    def _layout(self, page: SheetPage) -> None:
        space: Paperspace = self.doc.layouts.new(page.number)
        paper, unit = page.paper, self.unit
        space.page_setup(
            size=(paper.width / unit, paper.height / unit),
            margins=(0, 0, 0, 0),
            units="mm" if self.metric else "inch",
            name=paper.name.replace(" ", "_"),
        )
        for port in list(space.viewports()):
            space.delete_entity(port)
        space.dxf.plot_layout_flags = space.dxf.plot_layout_flags | 128  # pens as they are
        writer = Writer(self.doc, Scale(1.0, "", self.metric), space)
        named = {text for _, text in page.fields}
        for item in page.paper_items:
            if item not in named:
                writer.write(item)
        self._title(writer, page)
        main = space.add_viewport(
            center=(paper.width / unit / 2, paper.height / unit / 2),
            size=(paper.width / unit, paper.height / unit),
            view_center_point=(paper.width / unit / 2, paper.height / unit / 2),
            view_height=paper.height / unit,
            status=1,
            dxfattribs={"layer": layers.FRAMES},
        )
        main.dxf.id = 1
        for k, placed in enumerate(page.views, start=2):
            self._viewport(space, placed, k)

    def _title(self, writer: Writer, page: SheetPage) -> None:
        """The values of the title block as attributes of one insert a sheet."""
        if _TITLE not in self.doc.blocks:
            block = self.doc.blocks.new(_TITLE)
            for tag, _ in page.fields:
                block.add_attdef(tag, (0.0, 0.0), dxfattribs={"style": STYLE})
        insert = writer.space.add_blockref(_TITLE, (0.0, 0.0), {"layer": layers.TITLE_BLOCK})
        for tag, text in page.fields:
            writer.attribute(insert, tag, text)

    def _viewport(self, space: Paperspace, placed: PlacedView, number: int) -> None:
        """Scaled: so much of model space as the frame is high, times the scale."""
        x0, y0, x1, y1 = placed.frame
        unit, k = self.unit, placed.scale.denominator
        dx, dy = self.offsets[id(placed.view)]
        middle = placed.in_view(((x0 + x1) / 2, (y0 + y1) / 2))
        port = space.add_viewport(
            center=((x0 + x1) / 2 / unit, (y0 + y1) / 2 / unit),
            size=((x1 - x0) / unit, (y1 - y0) / unit),
            view_center_point=((middle[0] + dx) / unit, (middle[1] + dy) / unit),
            view_height=(y1 - y0) / unit * k,
            status=number,
            dxfattribs={"layer": layers.FRAMES},
        )
        port.dxf.id = number
        port.dxf.flags = port.dxf.flags | 16384  # its scale is locked


def _views(sheets: SheetSet) -> list[PlacedView]:
    """Every view once, however many sheets it is cut over."""
    found: dict[int, PlacedView] = {}
    for page in sheets.sheets:
        for placed in page.views:
            found.setdefault(id(placed.view), placed)
    return list(found.values())


def _is_bubble(item: Item | None, following: Item | None) -> bool:
    """Whether a circle and a text are a mark."""
    return (
        isinstance(item, Arc)
        and isinstance(following, Text)
        and item.layer == following.layer == layers.SYMBOLS
        and item.centre == following.at
        and following.anchor == "centre"
        and following.turn_deg == 0.0
    )


def _moved(item: Item, axis: Sequence[float]) -> Item:
    """An item about a post's axis, without noise in the last digits."""

    def near(point: Vec2) -> Vec2:
        return (round(point[0] - axis[0], 6) + 0.0, round(point[1] - axis[1], 6) + 0.0)

    if isinstance(item, Outline):
        return Outline(tuple(near(p) for p in item.points), item.layer, item.closed)
    if isinstance(item, Arc):
        return Arc(near(item.centre), item.radius, item.layer, item.start_deg, item.end_deg)
    raise TypeError("a post's plan is outlines and circles")
