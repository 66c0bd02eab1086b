"""Which bar or spool every piece is cut from: rail, posts, handrail and cable of the table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.geometry import EndPlane
from generator.layout.joints import kinds_of, rules_of, too_short
from generator.layout.model import RailPlan
from generator.nesting import (
    Cut,
    Line,
    Placed,
    Plan,
    Rules,
    TooLong,
    TooShort,
    nest_once,
    straight,
)
from generator.parts.assembly import Assembly, CableDetail, Kind, Part, detail_of
from generator.parts.measure import rail_lengths
from generator.parts.shapes import Prism
from generator.spec.job import Stock, StockLength

_SAME_MM = 1e-5
_CABLE = Rules()


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece in its bar: long point to long point, from the bar's first end.

    `turned` end for end and `rolled` upside down, against how it is measured in the cut list;
    `shared` where it begins on the cut that the piece before it ends on.
    """

    mark: str
    from_mm: float
    to_mm: float
    turned: bool
    rolled: bool
    shared: bool


@dataclass(frozen=True, slots=True)
class CutBar:
    """One bar or spool: its name, its pieces in order and what is left of it after the last cut.

    The offcut lies from `left_from_mm` on; `kept` where it is long enough to be used again.
    """

    name: str
    stock_mm: float
    pieces: tuple[CutPiece, ...]
    left_from_mm: float
    offcut_mm: float
    kept: bool


@dataclass(frozen=True, slots=True)
class StockUse:
    """How many of a stock length are to be ordered, of how many on offer (None: enough)."""

    length_mm: float
    cost: float | None
    available: int | None
    bars: int


@dataclass(frozen=True, slots=True)
class StockPlan:
    """All bars of one material.

    `cost` is in the spec's costs, or the length of stock in mm where it has none (`priced` false);
    no plan costs less than `bound`. `joints` counts the free joints of its lines; `proven`: no plan
    costs less, nor as little with fewer joints. `gap` is what may be saved, as a part of the cost.
    """

    material: Kind
    item: str
    lengths: tuple[StockUse, ...]
    priced: bool
    cost: float
    bound: float
    gap: float
    proven: bool
    joints: int
    bars: tuple[CutBar, ...]


def stock_plans(assembly: Assembly) -> tuple[StockPlan, ...]:
    """The bars of every material that the job names stock for, worked out once for an assembly.

    Raises:
        InputError: a piece is longer than every bar, or bars in limited number are too few.
    """
    kept = assembly.worked_out
    if "stock" not in kept:
        kept["stock"] = tuple(_plans(assembly))
    return kept["stock"]


def _plans(assembly: Assembly) -> Iterable[StockPlan]:
    stock = assembly.job.stock
    if stock is None:
        return
    handrail = stock.handrail or tuple(StockLength(bar.length_mm) for bar in stock.rail)
    offers: tuple[tuple[Kind, tuple[StockLength, ...], RailPlan | None], ...] = (
        ("rail", stock.rail, assembly.rail_plan),
        ("post", stock.post, None),
        ("handrail", handrail, assembly.handrail_plan),
        ("cable", stock.cable, None),
    )
    for material, bars, known in offers:
        parts = list(assembly.of_kind(material))
        if bars and parts:
            yield _of_material(stock, material, parts, bars, known)


def _of_material(
    stock: Stock,
    material: Kind,
    parts: Sequence[Part],
    bars: Sequence[StockLength],
    known: RailPlan | None,
) -> StockPlan:
    plan, marks = _as_laid_out(parts, known) or _nested(stock, material, parts, bars)
    word = "spool" if material == "cable" else f"{material} bar"
    trim = 0.0 if material == "cable" else stock.end_trim_mm
    made = []
    for number, (bar, own) in enumerate(zip(plan.bars, marks, strict=True), start=1):
        pieces = tuple(
            CutPiece(mark, p.at_mm, p.to_mm, p.turned, p.rolled, p.shared)
            for mark, p in zip(own, bar.pieces, strict=True)
        )
        kept = bar.offcut_mm > stock.keep_over_mm
        length = bars[bar.kind].length_mm
        left_from = length - trim - bar.offcut_mm
        made.append(CutBar(f"{word} {number}", length, pieces, left_from, bar.offcut_mm, kept))
    used = [bar.kind for bar in plan.bars]
    return StockPlan(
        material=material,
        item=parts[0].item,
        lengths=tuple(
            StockUse(bar.length_mm, bar.cost, bar.count, used.count(k))
            for k, bar in enumerate(bars)
        ),
        priced=bars[0].cost is not None,
        cost=plan.cost,
        bound=plan.bound,
        gap=plan.gap,
        proven=plan.proven,
        joints=plan.joints,
        bars=tuple(made),
    )


def _as_laid_out(
    parts: Sequence[Part], known: RailPlan | None
) -> tuple[Plan, list[tuple[str, ...]]] | None:
    """The plan that the joints were chosen with, where its pieces are those of the table."""
    if known is None or sum(len(own) for own in known.pieces) != len(parts):
        return None
    for bar, own in zip(known.plan.bars, known.pieces, strict=True):
        for placed, number in zip(bar.pieces, own, strict=True):
            if abs(rail_lengths(parts[number])[0] - (placed.to_mm - placed.at_mm)) > _SAME_MM:
                return None
    return known.plan, [tuple(parts[number].mark for number in own) for own in known.pieces]


def _nested(
    stock: Stock, material: Kind, parts: Sequence[Part], bars: Sequence[StockLength]
) -> tuple[Plan, list[tuple[str, ...]]]:
    field = f"stock.{material if material != 'handrail' or stock.handrail else 'rail'}"
    rules = _CABLE if material == "cable" else rules_of(stock)
    try:
        plan = nest_once(tuple(_line(part) for part in parts), tuple(kinds_of(bars)), rules)
    except TooLong as error:
        mark = parts[error.line].mark
        read = f"longest length {error.longest_mm:.0f} mm, shorter than {mark}"
        accepted = "accepted: a stock length that every piece can be cut from"
        raise InputError([Problem("", 0, 0, field, read, accepted)]) from None
    except TooShort as error:
        raise too_short(field, error) from None

    def named(pieces: Iterable[Placed]) -> tuple[str, ...]:
        return tuple(parts[placed.line].mark for placed in pieces)

    return plan, [named(bar.pieces) for bar in plan.bars]


def _line(part: Part) -> Line:
    """A part as a piece to be cut: a cable by its length to order, a bar with its two cuts."""
    if part.kind == "cable":
        return straight(detail_of(part, CableDetail).cut_length_mm)
    if not isinstance(part.shape, Prism):
        raise TypeError(f"{part.mark} is no straight piece")
    shape = part.shape
    length = shape.end.z_mm - shape.start.z_mm
    return straight(length, _cut(shape, shape.start), _cut(shape, shape.end))


def _cut(shape: Prism, plane: EndPlane) -> Cut:
    """A cut and how far its long point stands beyond the centre line."""
    tip = max(abs(plane.at(x, y) - plane.z_mm) for x, y in shape.section.outer.corners)
    return Cut(plane.slope_x, plane.slope_y, tip)
