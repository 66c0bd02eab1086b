"""Where rail lines are joined: on which posts, so that the pieces nest at the least cost."""

from __future__ import annotations

from collections.abc import Sequence

from generator.errors import InputError, Problem
from generator.layout.model import RailPiece, RailPlan
from generator.layout.rail import RailCut, Stretch
from generator.nesting import Cut, Kind, Line, Plan, Rules, TooLong, TooShort, nest_once
from generator.spec.job import Stock, StockLength


def joined(
    stock: Stock | None, bars: Sequence[StockLength], field: str, stretches: Sequence[Stretch]
) -> tuple[list[tuple[RailPiece, ...]], RailPlan | None]:
    """The pieces of every stretch, and the bars that they nest into; None without stock.

    Joints lie at the stops of the stretches alone. Of all ways to join and to nest, one at the
    least cost of stock is taken, of those one with the fewest joints. Without stock there are no
    joints but those that must be. `field` is the stock's place in the spec.

    Raises:
        InputError: a bay is longer than every bar, or bars in limited number are too few.
    """
    if stock is None or not bars or not stretches:
        return [stretch.pieces() for stretch in stretches], None
    try:
        lines = tuple(_line(stretch) for stretch in stretches)
        plan = nest_once(lines, tuple(kinds_of(bars)), rules_of(stock))
    except TooLong as error:
        raise _too_long(field, error, stretches[error.line].path) from None
    except TooShort as error:
        raise too_short(field, error) from None
    return _cut(plan, stretches)


def _cut(plan: Plan, stretches: Sequence[Stretch]) -> tuple[list[tuple[RailPiece, ...]], RailPlan]:
    """The stretches cut as planned; `RailPlan.pieces` says which piece lies where in the bars."""
    stops: list[set[int]] = [set() for _ in stretches]
    for bar in plan.bars:
        for placed in bar.pieces:
            stops[placed.line].add(placed.first)
    made = [
        stretch.pieces([stop for stop in own if stop])
        for stretch, own in zip(stretches, stops, strict=True)
    ]
    number: dict[tuple[int, int], int] = {}
    for line, own in enumerate(stops):
        for first in sorted(own):
            number[line, first] = len(number)
    pieces = tuple(
        tuple(number[placed.line, placed.first] for placed in bar.pieces) for bar in plan.bars
    )
    return made, RailPlan(plan, pieces)


def kinds_of(bars: Sequence[StockLength]) -> list[Kind]:
    """Stock lengths for the solver; what has no cost is taken at its length."""
    return [
        Kind(bar.length_mm, bar.length_mm if bar.cost is None else bar.cost, bar.count)
        for bar in bars
    ]


def rules_of(stock: Stock) -> Rules:
    """Kerf, trim and turning of bars."""
    return Rules(
        kerf_mm=stock.kerf_mm,
        trim_mm=stock.end_trim_mm,
        turn=stock.finish in ("any", "face"),
        roll=stock.finish in ("any", "length"),
    )


def _line(stretch: Stretch) -> Line:
    first = stretch.stops_mm[0]
    return Line(
        stops_mm=tuple(stop - first for stop in stretch.stops_mm),
        start=_saw_cut(stretch, stretch.start),
        end=_saw_cut(stretch, stretch.end),
        must=stretch.must,
    )


def _saw_cut(stretch: Stretch, cut: RailCut) -> Cut:
    """A cut with how far its long point stands beyond the centre line."""
    width, depth = stretch.half_mm
    tip = abs(cut.slope_x) * width + abs(cut.slope_y) * depth
    return Cut(cut.slope_x, cut.slope_y, tip)


def _too_long(field: str, error: TooLong, path: str) -> InputError:
    read = f"longest length {error.longest_mm:.0f} mm, shorter than a bay of {path}"
    accepted = "accepted: a stock length that spans every bay, or closer posts"
    return InputError([Problem("", 0, 0, field, read, accepted)])


def too_short(field: str, error: TooShort) -> InputError:
    """The problem of bars in limited number that do not hold all pieces."""
    read = "too few for the pieces" if error.sure else "no way found to cut all pieces from them"
    accepted = "accepted: a higher count, or one length without a count"
    return InputError([Problem("", 0, 0, field, read, accepted)])
