"""The order list: one row an item with spares, and where asked for its weight and its price."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from generator.parts.assembly import Assembly
from generator.parts.assumed import assumed_notes
from generator.parts.quantities import Quantity, quantities
from generator.schedules.table import Cell, Column, Table
from generator.spec.job import Job, Spare
from generator.units import format_length, format_length_with_unit

if TYPE_CHECKING:
    from generator.schedules.prices import Cost, PriceList

_LB_KG = 0.45359237
_FOOT_MM = 304.8

_COLUMNS = (
    Column("item", "Item"),
    Column("description", "Description"),
    Column("count", "Count", right=True),
    Column("spare", label="Spare pieces", unit="none"),
    Column("length_mm", label="Length in all", unit="mm"),
    Column("spare_length_mm", label="Spare length", unit="mm"),
    Column("length", "Length in all", right=True, spells="length_mm", unit="ft-in"),
    Column("spares", "Spare", right=True, spells="spare"),
)
_PRACTICE = (
    "Screws of blocking, of splices, arms and end brackets, and barrier tape are counted by common "
    "practice, no source."
)
_WEIGHT = (
    Column("mass_kg", label="Weight without spares", unit="kg"),
    Column("mass_with_spares_kg", label="Weight with spares", unit="kg"),
    Column("weight", "Weight with spares", right=True, spells="mass_with_spares_kg"),
)
_PRICE = (
    Column("price", "Price", right=True),
    Column("per", "Per"),
    Column("units", label="Units", unit="none"),
    Column("cost", "Cost", right=True),
)


def order_list(
    assembly: Assembly, *, weights: bool = False, prices: PriceList | None = None
) -> Table:
    """Every item with its count; the length is the sum of the pieces, bars to buy come last.

    Spares are apart from count, length and `mass_kg`; with them are what is printed as the weight,
    and costs. What is cut from stock that the job names is paid as the bars and spools bought.

    Raises:
        InputError: a price is for a measure in which its item is not ordered.
    """
    lines = quantities(assembly)
    # Bars and spools weigh what is cut from them, which is told line by line.
    needed = [line for line in lines if not line.nested]
    job = assembly.job
    columns, rows = _COLUMNS, [_row(job, line) for line in lines]
    notes = [*assumed_notes(assembly), spare_words(job), _PRACTICE, *_short_spools(job, lines)]
    masses: Mapping[str, float | None] = {}
    if weights or prices:
        from generator.parts.mass import item_masses

        masses = item_masses(assembly)
    if weights:
        columns += _WEIGHT
        loads = [ordered_mass(line, masses.get(line.item)) for line in lines]
        rows = [
            (*row, masses.get(line.item), load, weight_text(load, job.metric))
            for row, line, load in zip(rows, lines, loads, strict=True)
        ]
        told = [load for line, load in zip(lines, loads, strict=True) if not line.nested]
        notes += _weight_notes(job, needed, told)
    if prices:
        from generator.schedules.prices import costs

        found = costs(lines, masses, prices)
        columns += _PRICE
        rows = [
            (*row, *_price(found.get(line.item))) for row, line in zip(rows, lines, strict=True)
        ]
        notes += _price_words(assembly, lines, found, prices)
    return Table("Order list", columns, tuple(rows), tuple(notes))


def _short_spools(job: Job, lines: Sequence[Quantity]) -> Iterator[str]:
    """That spools hold what is needed, but not the spare length beside it."""
    for line in lines:
        spools = [one.length_mm or 0.0 for one in lines if one.of == line.item]
        if spools and line.spare_length_mm and line.length_mm is not None:
            left = sum(spools) - line.length_mm
            if left < line.spare_length_mm - 1e-6:
                held, due = (
                    format_length_with_unit(length, job.metric)
                    for length in (left, line.spare_length_mm)
                )
                yield f"The spools leave {held} of {line.item} for spares, less than {due}."


def _row(job: Job, line: Quantity) -> tuple[Cell, ...]:
    spares = [str(line.spare)] if line.spare else []
    if line.spare_length_mm:
        spares.append(format_length(line.spare_length_mm, job.metric))
    return (
        line.item,
        line.description,
        line.count,
        line.spare,
        line.length_mm,
        line.spare_length_mm or None,
        "" if line.length_mm is None else format_length(line.length_mm, job.metric),
        ", ".join(spares),
    )


def spare_words(job: Job) -> str:
    """What is ordered beyond the need, by which settings."""
    spares = job.order.spares
    settings = (
        f"cable {_spare(spares.cable)} of its length",
        f"end fittings with nuts, washers and seats {_spare(spares.fittings)}",
        f"anchors and screws {_spare(spares.fasteners)}",
        f"caps, sleeves, brackets and the like {_spare(spares.pieces)}",
    )
    return (
        f"Spares, apart from the count: {'; '.join(settings)}; what is cut to measure none "
        "(order.spares; a share is rounded up; common practice, no source)."
    )


def _spare(spare: Spare) -> str:
    if spare.pieces:
        return f"{spare.pieces} each"
    return f"{spare.share * 100:.3f}".rstrip("0").rstrip(".") + "%"


def ordered_mass(line: Quantity, mass: float | None) -> float | None:
    """Mass in kg of a line with its spares, from that of what is needed."""
    if mass is None or not line.count:
        return None
    share = 1 + line.spare / line.count
    if line.length_mm:
        share += line.spare_length_mm / line.length_mm
    return mass * share


def weight_text(mass_kg: float | None, metric: bool) -> str:
    """A weight in lb or kg with its unit, such as 63.9 lb; nothing where it is not known."""
    if mass_kg is None:
        return ""
    value = mass_kg if metric else mass_kg / _LB_KG
    unit = "kg" if metric else "lb"
    return f"{value:.1f} {unit}" if value >= 0.05 else f"{value:.3f} {unit}"


def _weight_notes(
    job: Job, lines: Sequence[Quantity], loads: Sequence[float | None]
) -> Iterator[str]:
    from generator.parts.mass import weight_notes

    total = sum(load for load in loads if load is not None)
    left = [line.item for line, load in zip(lines, loads, strict=True) if load is None]
    without = f", without {'; '.join(left)}" if left else ""
    yield f"Weight in all, spares included: {weight_text(total, job.metric)}{without}."
    yield (
        "Weights are volume as drawn times density; what is cut off a bar is not in them. "
        f"Densities: {'; '.join(weight_notes(job))}."
    )


def _price(cost: Cost | None) -> tuple[Cell, ...]:
    from generator.schedules.prices import money

    if cost is None:
        return ("", "", None, "")
    price = cost.price
    fine = (price.amount * 100).denominator != 1
    shown = f"{float(price.amount):.4f}" if fine else money(price.amount)
    return (shown, price.per, float(cost.units), money(cost.total))


def price_notes(assembly: Assembly, prices: PriceList) -> tuple[str, ...]:
    """What an order costs in all and by the length of guard, and what has no price.

    Raises:
        InputError: a price is for a measure in which its item is not ordered.
    """
    from generator.parts.mass import item_masses
    from generator.schedules.prices import costs

    lines = quantities(assembly)
    found = costs(lines, item_masses(assembly), prices)
    return tuple(_price_words(assembly, lines, found, prices))


def _price_words(
    assembly: Assembly,
    lines: Sequence[Quantity],
    found: Mapping[str, Cost],
    prices: PriceList,
) -> Iterator[str]:
    """Total, total per length of guard, and what has no price."""
    from generator.parts.setting_out import guard_length_mm
    from generator.schedules.prices import bought, money, unpaid

    total = sum((cost.total for cost in found.values()), Fraction(0))
    length = guard_length_mm(assembly)
    metric = assembly.job.metric
    each = 1000.0 if metric else _FOOT_MM
    share = Fraction(round(float(total) * each / length * 1_000_000), 1_000_000)
    unit, lone = ("m", "metre") if metric else ("ft", "foot")
    yield (
        f"Total of what has a price, spares included: {money(total)}, or {money(share)} a {lone} "
        f"of guard ({length / each:.2f} {unit} of legs, along their pitch, openings left out)."
    )
    cut = sorted(bought(lines, prices))
    if cut:
        yield (f"Paid as the bars and spools to be bought, offcuts included: {'; '.join(cut)}.")
    left = unpaid(lines, found, prices)
    if left:
        yield f"Without a price: {'; '.join(left)}."
    known = {line.item for line in lines}
    yield from _near_misses(left, known, prices)


def _near_misses(left: Sequence[str], known: set[str], prices: PriceList) -> Iterator[str]:
    """Prices that no item took, but that are spelt nearly as one."""
    from difflib import get_close_matches

    for name, price in prices.prices.items():
        near = [] if name in known else get_close_matches(name, left, n=1, cutoff=0.8)
        if near:
            yield f"{prices.file}:{price.line}: no item is called {name}; did you mean {near[0]}?"
