"""A view in the making: what is drawn so far, and where lettering still finds room."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Protocol, TypeVar

from generator.drawings import layers
from generator.drawings.lettering import Box, text_width, turned_box
from generator.drawings.project import uncovered
from generator.drawings.view import Arc, Item, Lettered, Line, Outline, Scale, Text, View
from generator.frozen import dataclass
from generator.geometry import Vec2, cosd, sind

_BROKEN = frozenset(
    (
        layers.OUTLINE,
        layers.STAIR,
        layers.NOSING,
        layers.BELOW,
        layers.BEAM,
        layers.BEAM_HIDDEN,
        layers.CENTRE,
        layers.CABLE,
        layers.HIDDEN,
        layers.UNSEEN,
        layers.HARDWARE,
        layers.SPACER,
        layers.HANDRAIL,
        layers.OBSTACLE,
    )
)
_UNDER_MARKS = frozenset((layers.EDGE, layers.RAIL))
_MASK = 0.4  # as plotted: room around lettering in a line that it interrupts
_ROUND = 16  # sides that stand for the circle of a mark
_CROSSING = 5  # a leader across another is as bad as lettering on so many lines


GUARD = 8
"""Lettering on rails and posts is as bad as on so many lines."""
_LETTERING = 20  # lettering on lettering is as bad as lettering on so many lines


class _Boxed(Protocol):
    """Whatever takes room."""

    @property
    def box(self) -> Box: ...


_Placed = TypeVar("_Placed", bound=_Boxed)


@dataclass(frozen=True, slots=True)
class _Spot:
    """A place for a mark in a circle."""

    at: Vec2
    radius: float

    @property
    def box(self) -> Box:
        return turned_box(self.at, 2 * self.radius, 2 * self.radius, 0.0)


class Draft:
    """Collects the items of one view. Lettering never lands on other lettering or in a keep-out."""

    def __init__(self, scale: Scale) -> None:
        self.scale = scale
        self.items: list[Item] = []
        self._cell = scale.plotted(30.0)
        self._taken: dict[tuple[int, int], list[tuple[Box, int]]] = {}
        self._circles: list[Box] = []
        self._leaders: list[tuple[Vec2, Vec2]] = []

    def draw(self, *items: Item) -> None:
        """Adds items as they are; their lettering takes its room."""
        for item in items:
            self.items.append(item)
            if isinstance(item, Lettered):
                self.keep_out(item.box, _LETTERING)

    def keep_out(self, box: Box, weight: int = 1) -> None:
        """Lettering shall not land here; the weight says how bad it is where there is no room."""
        for cell in self._cells(box):
            self._taken.setdefault(cell, []).append((box, weight))

    def _cells(self, box: Box) -> Iterator[tuple[int, int]]:
        """Fields of a coarse grid that the box reaches into, so that few others are looked at."""
        x0, y0, x1, y1 = (math.floor(value / self._cell) for value in box.bounds)
        for x in range(x0, x1 + 1):
            for y in range(y0, y1 + 1):
                yield x, y

    def keep_line(self, a: Vec2, b: Vec2, weight: int = 1) -> None:
        """Lettering shall not stand on this line."""
        self.keep_out(self._line_box(a, b), weight)

    def keep_leader(self, a: Vec2, b: Vec2) -> None:
        """Neither lettering nor the line of a mark shall cross this line."""
        self.keep_line(a, b)
        self._leaders.append((a, b))

    def keep_sides(self, body: Box) -> None:
        """Lettering shall not stand on the outline of a body."""
        for a, b in zip(body.corners, (*body.corners[1:], body.corners[0]), strict=True):
            self.keep_line(a, b)

    def _line_box(self, a: Vec2, b: Vec2) -> Box:
        turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        return turned_box(middle, math.dist(a, b), self.scale.plotted(0.2), turn)

    def free(self, box: Box) -> bool:
        """Whether no lettering and no keep-out touches the box."""
        return not any(
            box.touches(other)
            for cell in self._cells(box)
            for other, _ in self._taken.get(cell, ())
        )

    def lettered(self, a: Vec2, b: Vec2) -> bool:
        """Whether a line would cross lettering."""
        box = self._line_box(a, b)
        return any(
            weight >= _LETTERING and box.touches(other)
            for cell in self._cells(box)
            for other, weight in self._taken.get(cell, ())
        )

    def _crowding(self, box: Box) -> int:
        """Weight of all that a box would touch."""
        touched = {
            id(other): weight
            for cell in self._cells(box)
            for other, weight in self._taken.get(cell, ())
            if box.touches(other)
        }
        return sum(touched.values())

    def pick(
        self,
        candidates: Iterable[_Placed],
        lines: Callable[[_Placed], Iterable[tuple[Vec2, Vec2]]] | None = None,
    ) -> _Placed:
        """The first candidate that finds room, or else the one that is least in the way.

        `lines` are those that come with a candidate; they shall cross no lettering.

        Raises:
            ValueError: there is no candidate.
        """
        best: tuple[int, _Placed] | None = None
        for candidate in candidates:
            crowding = self._crowding(candidate.box)
            if lines is not None:
                crowding += _LETTERING * sum(self.lettered(a, b) for a, b in lines(candidate))
            if not crowding:
                return candidate
            if best is None or crowding < best[0]:
                best = (crowding, candidate)
        if best is None:
            raise ValueError("no place was offered")
        return best[1]

    def letter(self, candidates: Iterable[Text]) -> Text:
        """Writes a text at the best of the places offered.

        Raises:
            ValueError: there is no candidate.
        """
        chosen = self.pick(candidates)
        self.draw(chosen)
        return chosen

    def bubble(self, candidates: Sequence[Vec2], text: str, foot: Vec2 | None = None) -> Vec2:
        """A mark in a circle at the first free place, with a line to `foot`. Returns its centre."""
        radius = self.bubble_radius(text)
        free = (place for place in candidates if self._bubble_free(place, radius, foot))
        centre = next(free, None) or self._least(candidates, radius, foot)
        self.keep_out(_Spot(centre, radius).box, _LETTERING)
        self.items.append(Arc(centre, radius, layers.SYMBOLS))
        self.items.append(Text(centre, text, self.scale.small, layers.SYMBOLS))
        turns = [math.radians(360.0 * k / _ROUND) for k in range(_ROUND)]
        x, y = centre
        self._circles.append(
            Box(tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns))
        )
        if foot is not None:
            reach = math.dist(centre, foot)
            if reach > radius:
                dx, dy = (foot[0] - centre[0]) / reach, (foot[1] - centre[1]) / reach
                near = (centre[0] + dx * radius, centre[1] + dy * radius)
                self.items.append(Line(near, foot, layers.SYMBOLS))
                self.keep_leader(near, foot)
        return centre

    def _bubble_free(self, place: Vec2, radius: float, foot: Vec2 | None) -> bool:
        """Whether a circle has room, and its line up to halfway to what it marks; whether that
        line crosses no other.
        """
        if not self.free(_Spot(place, radius).box):
            return False
        if foot is None:
            return True
        half = ((place[0] + foot[0]) / 2, (place[1] + foot[1]) / 2)
        free = self.free(self._line_box(place, half)) and not self.lettered(place, foot)
        return free and not self._crossed(place, foot)

    def _crossed(self, place: Vec2, foot: Vec2) -> int:
        """How many lines of other marks a mark's line would cross."""
        return sum(crosses(place, foot, *other) for other in self._leaders)

    def _least(self, candidates: Sequence[Vec2], radius: float, foot: Vec2 | None) -> Vec2:
        """The place that is least in the way: on lettering last, across other lines before that."""

        def badness(place: Vec2) -> int:
            found = self._crowding(_Spot(place, radius).box)
            if foot is None:
                return found
            found += _LETTERING * self.lettered(place, foot)
            return found + _CROSSING * self._crossed(place, foot)

        return min(candidates, key=badness)

    def bubble_radius(self, text: str) -> float:
        half = text_width(text, self.scale.small) / 2
        return max(self.scale.plotted(3.5), half + self.scale.plotted(0.6))

    def break_around_text(self) -> None:
        """Interrupts thin lines of what stands there wherever lettering lies on them."""
        room = self.scale.plotted(_MASK)
        masks = [item.box.grown(room) for item in self.items if isinstance(item, Lettered)]
        circles = self._by_cell(self._circles)
        cells = self._by_cell([*masks, *self._circles])
        self.items = [left for item in self.items for left in self._broken(item, cells, circles)]

    def _by_cell(self, masks: Iterable[Box]) -> dict[tuple[int, int], list[Box]]:
        cells: dict[tuple[int, int], list[Box]] = {}
        for mask in masks:
            for cell in self._cells(mask):
                cells.setdefault(cell, []).append(mask)
        return cells

    def _broken(
        self,
        item: Item,
        cells: dict[tuple[int, int], list[Box]],
        circles: dict[tuple[int, int], list[Box]],
    ) -> list[Item]:
        """What is left of an item; the circle of a mark also hides the edge and the rail."""
        if not isinstance(item, Line | Outline):
            return [item]
        if item.layer in _UNDER_MARKS:
            cells = circles
        elif item.layer not in _BROKEN:
            return [item]
        sides = [(item.a, item.b)] if isinstance(item, Line) else list(item.sides)
        left: list[Item] = []
        for a, b in sides:
            field = Box((a, b))
            masks = {id(m): m for cell in self._cells(field) for m in cells.get(cell, ())}
            near = [mask for mask in masks.values() if mask.touches(field)]
            left += [Line(p, q, item.layer) for p, q in uncovered(a, b, near)] if near else []
            if not near:
                left.append(Line(a, b, item.layer))
        whole = len(left) == len(sides) and all(
            isinstance(line, Line) and (line.a, line.b) == side
            for line, side in zip(left, sides, strict=True)
        )
        return [item] if whole else left

    def lower_edge(self) -> float:
        """Least y drawn so far."""
        return self.view("", "").bounds[1]

    def view(self, name: str, title: str) -> View:
        return View(name, title, tuple(self.items))


def crosses(a: Vec2, b: Vec2, c: Vec2, d: Vec2) -> bool:
    """Whether two lines cross between their ends."""

    def side(p: Vec2, q: Vec2, r: Vec2) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0.0 and side(c, d, a) * side(c, d, b) < 0.0


def readable(turn_deg: float) -> float:
    """The turn, or its opposite, that reads from the bottom or the right of the sheet."""
    turn = turn_deg % 360.0
    if turn > 180.0:
        turn -= 360.0
    if turn > 90.0 + 1e-6:
        turn -= 180.0
    elif turn <= -90.0 + 1e-6:
        turn += 180.0
    return turn


def direction(turn_deg: float) -> Vec2:
    """Unit vector at an angle, exact on the axes."""
    return (cosd(turn_deg), sind(turn_deg))
