"""A set of sheets as plain values: views at their scales in frames on paper, and what is drawn
straight on the paper; nothing here knows what kind of file it ends up in.

Paper coordinates are plotted millimetres from the lower left corner of the sheet.
"""

from __future__ import annotations

from generator.drawings.lettering import Box
from generator.drawings.title_block import Paper
from generator.drawings.view import Item, Lettered, Scale, Text, View
from generator.frozen import dataclass
from generator.geometry import Vec2

Frame = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y on paper, mm."""


@dataclass(frozen=True, slots=True)
class PlacedView:
    """A view on a sheet. Its real point (x, y) is drawn at origin + (x, y) / scale.denominator.

    Only what lies inside `frame` is drawn, which matters where a long view goes on over several
    sheets; `title` tells the part of it (PLAN, PART 2 OF 3).
    """

    view: View
    scale: Scale
    origin: Vec2
    frame: Frame
    title: str

    def on_paper(self, point: Vec2) -> Vec2:
        """Where a real point of the view is plotted, mm."""
        k = self.scale.denominator
        return (self.origin[0] + point[0] / k, self.origin[1] + point[1] / k)

    def in_view(self, point: Vec2) -> Vec2:
        """The real point of the view that is plotted at a point of the paper."""
        k = self.scale.denominator
        return ((point[0] - self.origin[0]) * k, (point[1] - self.origin[1]) * k)

    @property
    def whole(self) -> bool:
        """Whether nothing of the view lies outside its frame."""
        x0, y0, x1, y1 = self.view.bounds
        (left, low), (right, top) = self.on_paper((x0, y0)), self.on_paper((x1, y1))
        a, b, c, d = self.frame
        return left >= a - 0.01 and low >= b - 0.01 and right <= c + 0.01 and top <= d + 0.01


@dataclass(frozen=True, slots=True)
class SheetPage:
    """One sheet of the set. `paper_items` are in plotted mm, their text heights too.

    `fields` names the texts among them that are values of the title block.
    """

    number: str
    title: str
    paper: Paper
    views: tuple[PlacedView, ...]
    paper_items: tuple[Item, ...]
    fields: tuple[tuple[str, Text], ...] = ()

    @property
    def boxes(self) -> tuple[Box, ...]:
        """The room of every line of text that stands on the sheet, plotted mm."""
        own = [item.box for item in self.paper_items if isinstance(item, Lettered)]
        return (*own, *(box for placed in self.views for box in text_boxes(placed)))


@dataclass(frozen=True, slots=True)
class SheetSet:
    """The sheets in order; `fields` are the fields of the title block that all of them share."""

    sheets: tuple[SheetPage, ...]
    title_fields: tuple[tuple[str, str], ...]
    paper: Paper


def text_boxes(placed: PlacedView) -> list[Box]:
    """The room of a view's text inside its frame, plotted mm."""
    x0, y0, x1, y1 = placed.frame
    found = []
    for box in placed.view.boxes:
        on_paper = Box(tuple(placed.on_paper(corner) for corner in box.corners))
        a, b, c, d = on_paper.bounds
        if c > x0 and a < x1 and d > y0 and b < y1:
            found.append(on_paper)
    return found
