"""What has to be ordered: every part that is not there already, every consumable, and spares."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.frozen import dataclass
from generator.parts.assembly import Assembly, CableDetail, Part, PostDetail
from generator.parts.measure import rail_lengths
from generator.spec.job import Spare, Spares
from generator.units import format_length_with_unit


@dataclass(frozen=True, slots=True)
class Quantity:
    """One line of the order. `length_mm` is the sum over pieces where it is bought by length.

    `spare` counts pieces ordered beyond the need, `spare_length_mm` is length so ordered; neither
    is within `count` and `length_mm`. `of` is the item that a bar or spool is for, whose pieces are
    told on a line of their own.
    """

    item: str
    description: str
    count: int
    length_mm: float | None
    spare: int
    spare_length_mm: float = 0.0
    of: str = ""

    @property
    def nested(self) -> bool:
        """Whether this is stock that the pieces of another line are cut from."""
        return bool(self.of)


_DESCRIPTIONS = {
    "post": "tube, cut and drilled",
    "base-plate": "welded to the post",
    "anchor": "base plate to the structure",
    "bracket": "between post and rail",
    "rail": "pieces, by long point",
    "cable": "pieces, order length",
    "fitting": "swaged on a cable end",
    "seat": "squares the nut to a raked cable",
    "washer": "under the nut of a cable end",
    "nut": "at a cable end",
    "spacer": "drilled bar between posts",
    "side-plate": "welded to the post by its stand-off",
    "stand-off": "between side plate and post",
    "sleeve": "inside a square joint of the rail",
    "connector": "one arm, inside a mitered joint",
    "handrail": "pieces, by long point",
    "handrail-bracket": "handrail to post",
    "blocking": "solid, between joists",
}


# Whose spares a part has; what is made to measure has none.
_SPARES = {
    "fitting": "fittings",
    "seat": "fittings",
    "washer": "fittings",
    "nut": "fittings",
    "anchor": "fasteners",
    "bracket": "pieces",
    "sleeve": "pieces",
    "connector": "pieces",
    "handrail-bracket": "pieces",
}


def quantities(assembly: Assembly) -> tuple[Quantity, ...]:
    """Lines in the order in which the items first appear, stock bars and consumables last.

    Pieces are counted, lengths are summed for information only: a sum is not an order of bars.
    Spares are those that the job's settings ask for.

    Raises:
        InputError: a piece is longer than all stock, or bars in limited number are too few.
    """
    counts: dict[str, tuple[str, int, float | None]] = {}
    for part in assembly.parts:
        if part.reference:
            continue
        kind, count, length = counts.get(part.item, (part.kind, 0, None))
        own = ordered_length(part)
        total = length if own is None else (length or 0.0) + own
        counts[part.item] = (kind, count + 1, total)
    spares = assembly.job.order.spares
    lines = [_line(spares, item, *found) for item, found in counts.items()]
    lines += [
        Quantity(c.item, c.description, c.count, None, _pieces(getattr(spares, c.group), c.count))
        for c in assembly.consumables
    ]
    lines += _stock_lines(assembly)
    return tuple(lines)


def _stock_lines(assembly: Assembly) -> Iterator[Quantity]:
    """Bars and spools to order, one line a stock length; none where the job names no stock."""
    if assembly.job.stock is None:
        return
    from generator.parts.bars import stock_plans

    for plan in stock_plans(assembly):
        word, of = ("spool", "of") if plan.material == "cable" else ("bar", "for")
        for use in plan.lengths:
            if use.bars:
                length = format_length_with_unit(use.length_mm, assembly.job.metric)
                item = f"{word} {of} {plan.item}, {length}"
                total = use.length_mm * use.bars
                words = f"{word}s to order, pieces nested"
                yield Quantity(item, words, use.bars, total, 0, of=plan.item)


def _line(spares: Spares, item: str, kind: str, count: int, length: float | None) -> Quantity:
    spare = _pieces(getattr(spares, _SPARES[kind]), count) if kind in _SPARES else 0
    more = (length or 0.0) * spares.cable.share if kind == "cable" else 0.0
    return Quantity(item, _DESCRIPTIONS[kind], count, length, spare, more)


def _pieces(spare: Spare, count: int) -> int:
    """A share in whole pieces, rounded up; a millionth is taken off what floats add to it."""
    return spare.pieces + math.ceil(count * spare.share - 1e-6)


def ordered_length(part: Part) -> float | None:
    """What a piece takes of what it is cut from, mm; None for what is bought by the piece."""
    if isinstance(part.detail, CableDetail):
        return part.detail.cut_length_mm
    if isinstance(part.detail, PostDetail):
        return part.detail.length_mm
    if part.kind in ("rail", "spacer", "handrail", "blocking"):
        return rail_lengths(part)[0]
    return None
