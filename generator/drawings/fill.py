"""Views onto sheets: packed row by row, or cut at match lines where one is larger than a sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.lettering import text_width
from generator.drawings.sheets import Frame, PlacedView
from generator.drawings.view import Item, Line, LinearDimension, Scale, Text, View, extent
from generator.frozen import dataclass
from generator.geometry import Vec2

GAP = 12.0
"""Plotted mm between views."""
EDGE = 7.0  # kept free around a part for the words at its match lines
_FOOT = 16.0  # under a part for its title
_SLACK = 1e-6
_TRIES = 80  # places that are tried for a cut

Lettered = tuple[View, Scale]


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of a view that is larger than a sheet, by column and row, counted from upper left.

    `window` is in real mm: left, low, right, top.
    """

    column: int
    row: int
    window: Frame


def size(view: View, scale: Scale) -> Vec2:
    """Plotted width and height."""
    x0, y0, x1, y1 = view.bounds
    return ((x1 - x0) / scale.denominator, (y1 - y0) / scale.denominator)


def fits(view: View, scale: Scale, room: Frame) -> bool:
    """Whether a view has room on one sheet."""
    width, height = size(view, scale)
    return width <= room[2] - room[0] + _SLACK and height <= room[3] - room[1] + _SLACK


def packed(
    views: Sequence[Lettered], room: Frame, *, loose: bool = False
) -> list[list[PlacedView]]:
    """A list a sheet: rows from the top, each from the left; every view must fit on a sheet.

    Where that saves sheets each view goes to the highest free place on the last one instead or,
    where views are `loose`, in no order that matters, on the first sheet that has room.
    """
    rows, free = _rows(views, room), _free(views, room, loose=loose)
    return free if len(free) < len(rows) else rows


def _rows(views: Sequence[Lettered], room: Frame) -> list[list[PlacedView]]:
    sheets: list[list[PlacedView]] = [[]]
    x, top, low = room[0], room[3], room[3]
    for view, scale in views:
        width, height = size(view, scale)
        if x > room[0] and x + width > room[2] + _SLACK:
            x, top = room[0], low - GAP
        if sheets[-1] and top - height < room[1] - _SLACK:
            sheets.append([])
            x, top, low = room[0], room[3], room[3]
        sheets[-1].append(placed(view, scale, (x, top)))
        low = min(low, top - height)
        x += width + GAP
    return sheets


def _free(views: Sequence[Lettered], room: Frame, *, loose: bool) -> list[list[PlacedView]]:
    sheets: list[list[PlacedView]] = [[]]
    for view, scale in views:
        for sheet in sheets if loose else sheets[-1:]:
            corner = _corner(size(view, scale), [one.frame for one in sheet], room)
            if corner is not None:
                sheet.append(placed(view, scale, corner))
                break
        else:
            sheets.append([placed(view, scale, (room[0], room[3]))])
    return sheets


def _corner(wanted: Vec2, taken: Sequence[Frame], room: Frame) -> Vec2 | None:
    """The upper left corner of a free place."""
    width, height = wanted
    lefts = sorted({room[0], *(frame[2] + GAP for frame in taken)})
    tops = sorted({room[3], *(frame[1] - GAP for frame in taken)}, reverse=True)
    for top in tops:
        for left in lefts:
            right, low = left + width, top - height
            if low < room[1] - _SLACK or right > room[2] + _SLACK:
                continue
            near = GAP - _SLACK
            if all(
                right + near <= x0 or left - near >= x1 or top + near <= y0 or low - near >= y1
                for x0, y0, x1, y1 in taken
            ):
                return (left, top)
    return None


def placed(view: View, scale: Scale, corner: Vec2) -> PlacedView:
    """A view with its upper left corner there on the paper."""
    x0, y0, x1, y1 = view.bounds
    k = scale.denominator
    origin = (corner[0] - x0 / k, corner[1] - y1 / k)
    frame = (corner[0], corner[1] - (y1 - y0) / k, corner[0] + (x1 - x0) / k, corner[1])
    return PlacedView(view, scale, origin, frame, view.title)


def parts(view: View, scale: Scale, room: Frame) -> list[Part]:
    """The pieces of a view that is too large, cut where no lettering stands if there is such a
    place; pieces in which nothing is drawn are left out."""
    k = scale.denominator
    x0, y0, x1, y1 = view.bounds
    boxes = [box.bounds for box in view.boxes]
    across = _cuts(x0, x1, (room[2] - room[0] - 2 * EDGE) * k, [(b[0], b[2]) for b in boxes])
    # Rows are counted from above.
    flipped = [(-b[3], -b[1]) for b in boxes]
    down = _cuts(-y1, -y0, (room[3] - room[1] - 2 * EDGE - _FOOT) * k, flipped)
    extents = [_bounds(item) for item in view.items]
    found = []
    for row, (top, low) in enumerate(pairwise(down)):
        for column, (left, right) in enumerate(pairwise(across)):
            window = (left, -low, right, -top)
            if any(_meets(window, e) for e in extents):
                found.append(Part(column, row, window))
    return found


def _bounds(item: Item) -> Frame:
    xs, ys = zip(*extent(item), strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def _meets(a: Frame, b: Frame) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _cuts(low: float, high: float, most: float, texts: Sequence[Vec2]) -> list[float]:
    """Ends of pieces no longer than `most`, cut through as few texts as can be."""
    found = [low]
    while high - found[-1] > most + _SLACK:
        start = found[-1]
        # No last piece that is only a sliver.
        far = start + min(most, max(0.55 * most, high - start - 0.3 * most))
        near = start + 0.5 * most
        offers = [far - (far - near) * k / _TRIES for k in range(_TRIES + 1)]
        best = min(offers, key=lambda at: (sum(a < at < b for a, b in texts), -at))
        found.append(best)
    return [*found, high]


def stacked(found: Sequence[Part], scale: Scale, room: Frame) -> list[list[tuple[Part, float]]]:
    """A list a sheet: pieces one under another, each with the height of its upper edge."""
    sheets: list[list[tuple[Part, float]]] = []
    top = room[1]
    for part in found:
        need = (part.window[3] - part.window[1]) / scale.denominator + 2 * EDGE + _FOOT
        if not sheets or top - need < room[1] - _SLACK:
            sheets.append([])
            top = room[3]
        sheets[-1].append((part, top - EDGE))
        top -= need
    return sheets


def part_on_sheet(
    view: View, scale: Scale, part: Part, corner: Vec2, title: str
) -> tuple[PlacedView, float]:
    """One piece with its upper left corner there; with the height of its title."""
    k = scale.denominator
    left, low, right, top = part.window
    origin = (corner[0] - left / k, corner[1] - top / k)
    frame = (corner[0], corner[1] - (top - low) / k, corner[0] + (right - left) / k, corner[1])
    return PlacedView(view, scale, origin, frame, title), frame[1] - EDGE - 5.0


def match_lines(
    part: Part, numbers: dict[tuple[int, int], str], frame: Frame, small: float
) -> Iterator[Item]:
    """The lines at which a piece goes on, and the sheets on which it does."""
    left, low, right, top = frame
    beside = (
        ((-1, 0), (left, low), (left, top)),
        ((1, 0), (right, low), (right, top)),
        ((0, -1), (left, top), (right, top)),
        ((0, 1), (left, low), (right, low)),
    )
    for (across, down), a, b in beside:
        number = numbers.get((part.column + across, part.row + down))
        if number is None:
            continue
        yield Line(a, b, layers.MATCH)
        words = f"MATCH LINE - SEE {number}"
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        off = 2.0 + small / 2
        at = (middle[0] + across * off, middle[1] - down * off)
        yield Text(at, words, small, layers.TEXT, turn_deg=90.0 if across else 0.0)


def part_title(at: Vec2, words: str, scale: Scale) -> Iterator[Item]:
    """The title under a piece, with its scale."""
    height = scale.title / scale.denominator
    yield Text(at, words, height, layers.TEXT, "left")
    beside = at[0] + text_width(words, height) + 6.0
    label = f"SCALE {scale.label}"
    yield Text((beside, at[1]), label, scale.text / scale.denominator, layers.TEXT, "left")


def texts_moved(view: View) -> int:
    """Dimensions of a view whose texts have no place at their own lines."""
    return sum(isinstance(item, LinearDimension) and item.leader is not None for item in view.items)
