"""The packing list: what goes together in a bundle, a coil or a bag, leg by leg, spares apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from generator.frozen import dataclass
from generator.parts.assembly import Assembly, CableDetail, Consumable, Kind, Part
from generator.parts.consumables import consumables
from generator.parts.mass import Scales
from generator.parts.quantities import ordered_length, quantities
from generator.products.naming import marks_in_words
from generator.schedules.order import weight_text
from generator.schedules.table import Cell, Column, Table
from generator.units import format_length

_COLUMNS = (
    Column("pack", "Pack"),
    Column("run", label="Run"),
    Column("leg", label="Leg"),
    Column("item", "Item"),
    Column("count", "Count", right=True),
    Column("marks", "Marks"),
    Column("length_mm", label="Length in all", unit="mm"),
    Column("length", "Length in all", right=True, spells="length_mm", unit="ft-in"),
    Column("mass_kg", label="Weight", unit="kg"),
    Column("weight", "Weight", right=True, spells="mass_kg"),
)
_NAMES = (
    "One pack a line of the same name; write it on the bundle or bag. Base plates are welded to "
    "their posts. A fitting put on in the shop goes with its cable, one put on on site in a bag."
)
_SPARES = "Spares are in one bag for the whole job; spare cable is one length."

# Packs of a leg in the order in which they are needed on site.
_BLOCKING, _POSTS, _BASES = "blocking", "posts", "base bag"
_RAIL, _RAIL_BAG, _CABLES, _CABLE_BAG = "rail bundle", "rail bag", "cable coil", "cable bag"
_PACKS = (_BLOCKING, _POSTS, _BASES, _RAIL, _RAIL_BAG, _CABLES, _CABLE_BAG)
_PACK_OF: Mapping[Kind, str] = {
    "blocking": _BLOCKING,
    "post": _POSTS,
    "base-plate": _POSTS,
    "side-plate": _POSTS,
    "stand-off": _POSTS,
    "anchor": _BASES,
    "rail": _RAIL,
    "handrail": _RAIL,
    "spacer": _RAIL,
    "bracket": _RAIL_BAG,
    "handrail-bracket": _RAIL_BAG,
    "sleeve": _RAIL_BAG,
    "connector": _RAIL_BAG,
    "cable": _CABLES,
    "seat": _CABLE_BAG,
    "washer": _CABLE_BAG,
    "nut": _CABLE_BAG,
}
_GOES = {"rail": _RAIL_BAG, "base": _BASES, "cable": _CABLE_BAG}
# Marks of these are on the pieces themselves.
_MARKED: tuple[Kind, ...] = ("post", "rail", "spacer", "cable", "handrail", "blocking")

_Leg = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Packed:
    """One line of a pack; marks only where the pieces bear them."""

    pack: str
    run: str
    leg: int | None
    item: str
    count: int
    marks: tuple[str, ...]
    length_mm: float | None
    mass_kg: float | None


def packing_list(assembly: Assembly) -> Table:
    """A row an item of a pack; all packs together are the order list."""
    metric = assembly.job.metric
    rows: list[tuple[Cell, ...]] = [
        (
            one.pack,
            one.run,
            one.leg,
            one.item,
            one.count,
            marks_in_words(one.marks),
            one.length_mm,
            "" if one.length_mm is None else format_length(one.length_mm, metric),
            one.mass_kg,
            weight_text(one.mass_kg, metric),
        )
        for one in packs(assembly)
    ]
    return Table("Packing list", _COLUMNS, tuple(rows), (_NAMES, _SPARES))


def packs(assembly: Assembly) -> Iterator[Packed]:
    """What goes in each pack, leg by leg in the order of the job; spares last."""
    scales = Scales(assembly.job)
    order = list(dict.fromkeys((leg.run, leg.number) for leg in assembly.legs))
    parts: dict[_Leg, list[Part]] = {leg: [] for leg in order}
    for part in assembly.parts:
        if not part.reference:
            parts.setdefault((part.run, part.leg), []).append(part)
    counted = _counted(assembly, parts)
    shop = _shop_fittings(assembly)
    for (run, leg), held in parts.items():
        name = f"{run}-{leg}"
        by_pack: dict[str, dict[str, list[Part]]] = {pack: {} for pack in _PACKS}
        for part in held:
            by_pack[_pack_of(part, shop)].setdefault(part.item, []).append(part)
        for pack in _PACKS:
            title = f"{name} {pack}"
            for item, alike in by_pack[pack].items():
                yield _packed(scales, title, run, leg, item, alike)
            for one in counted[run, leg]:
                if _GOES[one.goes] == pack:
                    yield _loose(scales, title, run, leg, one.item, one.count)
    yield from _spares(assembly, scales)


def _pack_of(part: Part, shop: frozenset[str]) -> str:
    if part.kind == "fitting":
        return _CABLES if part.mark in shop else _CABLE_BAG
    return _PACK_OF[part.kind]


def _shop_fittings(assembly: Assembly) -> frozenset[str]:
    """Marks of the fittings that are put on their cables in the shop."""
    found = set()
    for part in assembly.of_kind("cable"):
        if isinstance(part.detail, CableDetail):
            for letter, where in zip("SE", part.detail.swage, strict=True):
                if where == "shop":
                    found.add(f"F{part.mark[1:]}{letter}")
    return frozenset(found)


def _packed(
    scales: Scales, pack: str, run: str, leg: int, item: str, alike: Sequence[Part]
) -> Packed:
    marks = tuple(part.mark for part in alike if part.kind in _MARKED)
    lengths = [length for part in alike if (length := ordered_length(part)) is not None]
    masses = [scales.part_kg(part) for part in alike]
    known = [mass for mass in masses if mass is not None]
    mass = sum(known) if len(known) == len(masses) else None
    return Packed(pack, run, leg, item, len(alike), marks, sum(lengths) if lengths else None, mass)


def _loose(scales: Scales, pack: str, run: str, leg: int | None, item: str, count: int) -> Packed:
    each = scales.consumable_kg(item)
    return Packed(pack, run, leg, item, count, (), None, None if each is None else each * count)


def _counted(
    assembly: Assembly, parts: Mapping[_Leg, Sequence[Part]]
) -> dict[_Leg, list[Consumable]]:
    """Consumables of each leg: what it adds to those of all legs before it.

    So the halves of a joint between two legs are counted once, with the later leg.
    """
    found: dict[_Leg, list[Consumable]] = {}
    # What hardware is on a standing post is told by that post.
    so_far = [part for part in assembly.parts if part.kind == "column"]
    before: Counter[str] = Counter()
    for leg, held in parts.items():
        so_far += _that_count(held)
        lines = consumables(assembly.job, so_far)
        found[leg] = [
            Consumable(one.item, one.description, more, one.group, one.goes)
            for one in lines
            if (more := one.count - before[one.item])
        ]
        before = Counter({one.item: one.count for one in lines})
    return found


def _that_count(parts: Iterable[Part]) -> list[Part]:
    """Those that consumables are counted by; nuts and washers of cables, most of all, are not."""
    return [part for part in parts if part.kind not in ("washer", "nut", "seat")]


def _spares(assembly: Assembly, scales: Scales) -> Iterator[Packed]:
    each: dict[str, float | None] = {}
    for part in assembly.parts:
        if not part.reference and part.kind != "cable":
            each.setdefault(part.item, scales.part_kg(part))
    per_mm = assembly.job.system.cable.mass_kg_m / 1000
    for line in quantities(assembly):
        if line.spare_length_mm:
            mass, length = line.spare_length_mm * per_mm, line.spare_length_mm
            yield Packed("spares", "", None, line.item, 1, (), length, mass)
        elif line.spare:
            one = each[line.item] if line.item in each else scales.consumable_kg(line.item)
            mass = None if one is None else one * line.spare
            yield Packed("spares", "", None, line.item, line.spare, (), None, mass)
