"""What is to be cut and from what: stock on offer, lines of pieces with their cuts, the plan."""

from __future__ import annotations

from generator.frozen import dataclass

EPS_MM = 1e-6
"""A piece this much too long still fits."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One length of stock on offer, its cost in any unit, and how many there are (None: enough)."""

    length_mm: float
    cost: float
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Rules:
    """How bars are cut.

    `kerf_mm` is the width of a square saw cut, `trim_mm` what is cut off each end of a bar, kerf
    included. `turn`: a piece may be turned end for end, `roll`: upside down.
    """

    kerf_mm: float = 0.0
    trim_mm: float = 0.0
    turn: bool = True
    roll: bool = True

    def usable_mm(self, kind: Kind) -> float:
        """What of a bar goes into pieces and the cuts between them."""
        return kind.length_mm - 2.0 * self.trim_mm


@dataclass(frozen=True, slots=True)
class Cut:
    """One end of a piece: the cut is the plane z = slope_x x + slope_y y about the centre line.

    `tip_mm` is how far its long point stands beyond the centre line's end.
    """

    slope_x: float = 0.0
    slope_y: float = 0.0
    tip_mm: float = 0.0


SQUARE = Cut()


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line to be made of pieces end to end: from stop to stop of `stops_mm`.

    A square joint may lie at every inner stop, and must at those that `must` indexes.
    """

    stops_mm: tuple[float, ...]
    start: Cut = SQUARE
    end: Cut = SQUARE
    must: tuple[int, ...] = ()


def straight(length_mm: float, start: Cut = SQUARE, end: Cut = SQUARE) -> Line:
    """A line of one piece, of that length along its centre."""
    return Line((0.0, length_mm), start, end)


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece in its bar: of a line by its index, between two stops.

    It takes the bar from `at_mm` to `to_mm`, long point to long point. `turned` end for end,
    `rolled` upside down; `shared` where it begins on the cut that the piece before it ends on.
    """

    line: int
    first: int
    last: int
    at_mm: float
    to_mm: float
    turned: bool = False
    rolled: bool = False
    shared: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: its kind by index, its pieces in order, and what is left of it at its end."""

    kind: int
    pieces: tuple[Placed, ...]
    offcut_mm: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The bars, what they cost in all, and what no plan can cost less than.

    `proven`: no other plan costs less, nor as little with fewer joints; `joints` counts those that
    are free to lie elsewhere, not those that must be.
    """

    bars: tuple[Bar, ...]
    cost: float
    bound: float
    proven: bool
    joints: int

    @property
    def gap(self) -> float:
        """How much more it costs than the bound, as a part of its cost; 0 where proven."""
        return 0.0 if self.proven or not self.cost else max(self.cost - self.bound, 0.0) / self.cost


class TooLong(Exception):
    """No stock length takes a piece; `line` is the index of its line."""

    def __init__(self, line: int, longest_mm: float) -> None:
        self.line, self.longest_mm = line, longest_mm
        super().__init__(f"line {line} has a piece longer than {longest_mm:.3f} mm")


class TooShort(Exception):
    """The bars on offer, as many as there are, hold not all pieces; `sure` where it is proven."""

    def __init__(self, *, sure: bool) -> None:
        self.sure = sure
        super().__init__("not enough stock")
