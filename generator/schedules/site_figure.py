"""A leg drawn as a strip with its running dimensions, for a pocket page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from generator.paper.canvas import Page
from generator.parts.assembly import LegLine
from generator.parts.setting_out import PostSpot
from generator.units import format_length

STRIP_MM = 37.0
"""Height of the drawing."""

_SIDE = 4.0  # room left at either end
_EDGE = 24.0  # height of the edge's line over the foot of the drawing
_NEAREST = 3.2  # turned texts side by side need so much
_TEXT = 1.9  # height of a capital
_POST = 2.2  # side of a post's square
_OFF = 3.6  # how far off the edge posts are drawn, for their offset is told in the table


def strip(
    leg: LegLine, length_mm: float, spots: Sequence[PostSpot], width_mm: float, *, metric: bool
) -> Callable[[Page], None] | None:
    """Draws the edge, its start, the posts and how far they run; None where they stand too close.

    The walking surface is above the line whichever side it is on; the travel is to the right, or to
    the left where it lies to the right of the travel.
    """
    stations = [spot.station_mm for spot in spots]
    low, high = min(0.0, *stations), max(length_mm, *stations)
    scale = (width_mm - 2 * _SIDE) / (high - low)
    flip = leg.deck == "right"

    def at(station: float) -> float:
        x = _SIDE + (station - low) * scale
        return width_mm - x if flip else x

    if any(abs(at(b) - at(a)) < _NEAREST for a, b in pairwise(stations)):
        return None

    def draw(page: Page) -> None:
        _edge(page, at(0.0), at(length_mm))
        for spot in spots:
            _post(page, at(spot.station_mm), spot, metric=metric)

    return draw


def _edge(page: Page, start: float, end: float) -> None:
    page.pen(0.5)
    page.line((start, _EDGE), (end, _EDGE))
    page.pen(0.25)
    page.line((start, _EDGE - 2.0), (start, _EDGE + 1.0))
    page.line((start, _EDGE + 8.0), (start, _EDGE + 10.0))
    way = 1.0 if end > start else -1.0
    tip = start + way * 7.0
    page.line((start, _EDGE + 9.0), (tip, _EDGE + 9.0))
    page.outline(
        [(tip, _EDGE + 9.0), (tip - way * 1.6, _EDGE + 9.5), (tip - way * 1.6, _EDGE + 8.5)],
        fill=(0.0, 0.0, 0.0),
        stroke=False,
    )
    page.text(
        (tip + way * 1.0, _EDGE + 8.2),
        "runs from here",
        _TEXT,
        anchor="left" if way > 0 else "right",
    )


def _post(page: Page, x: float, spot: PostSpot, *, metric: bool) -> None:
    y = _EDGE + (_OFF if spot.offset_mm >= 0 else -_OFF)
    half = _POST / 2
    page.pen(0.35)
    corners = [
        (x - half, y - half),
        (x + half, y - half),
        (x + half, y + half),
        (x - half, y + half),
    ]
    page.outline(corners, fill=(0.85, 0.85, 0.85))
    page.text((x, _EDGE + _OFF + 1.8), spot.mark, _TEXT, anchor="centre", bold=True)
    page.pen(0.18)
    foot = _EDGE - (1.0 if spot.offset_mm >= 0 else _OFF + half + 0.6)
    page.line((x, foot), (x, _EDGE - 6.2))
    text = format_length(spot.station_mm, metric)
    page.text((x + _TEXT / 2, _EDGE - 6.8), text, _TEXT, anchor="right", turn_deg=90.0)
