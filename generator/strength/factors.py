"""Factors and strengths of codes and handbooks that the formulas use, read from the catalogue.

They stand in profiles/factors, profiles/safety and profiles/woods, each with its source. What a job
chooses among them stands in its spec; limits and loads stand in its rule set.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import Literal

from generator.catalog.load import Catalog
from generator.catalog.tables import Factors, Material, Profile
from generator.catalog.tables import Wood as WoodProfile
from generator.frozen import dataclass
from generator.strength.steps import MEMORY, Sheet, Source

KSI = 6.894757293168361
PSI = KSI / 1000.0
LBF = 4.4482216152605

Family = Literal["aluminium", "stainless", "steel", "other"]

_CLOSED = "closed form: "
_PRACTICE = "common practice, no source"
_SAME_SIZE_MM = 0.3


@dataclass(frozen=True, slots=True)
class Factor:
    """One number: `symbol` as formulas name it, what it means, where it comes from."""

    symbol: str
    value: float
    unit: str
    meaning: str
    source: Source


@dataclass(frozen=True, slots=True)
class SafetyFactors:
    """Of a family of materials: on yielding and buckling, rupture, bolts, screws."""

    yielding: Factor
    rupture: Factor
    bolts: Factor
    screws: Factor


@dataclass(frozen=True, slots=True)
class Wood:
    """A group of species: specific gravity, strength in bearing across the grain in MPa."""

    name: str
    gravity: Factor
    bearing: Factor


@dataclass(frozen=True, slots=True)
class LagSize:
    """A lag screw of the tables: shank, root and tip in mm."""

    shank_mm: float
    root_mm: float
    tip_mm: float
    source: Source


# Fields of profiles/factors by the symbol that formulas know them by.
_SYMBOLS = {
    "duration": "C_D",
    "wet_fasteners": "C_M",
    "dry_fasteners": "C_M",
    "wet_bearing": "C_Mb",
    "dowel_yield": "F_yb",
    "heat_wood": "alpha_deck",
    "heat_concrete": "alpha_deck",
    "filler_4043": "F_sw",
    "filler_5356": "F_sw",
    "electrode_70": "F_sw",
    "weld_heat": "z_h",
    "give_post": "n_h",
    "give_rail_h": "n_r",
    "give_rail_l": "n_L",
    "post_continuity": "k_c",
    "screw_ultimate": "F_us",
    "cable_safety": "n_c",
}


class Basis:
    """The factors of one catalogue; what a job does not need is not read."""

    def __init__(self, catalog: Catalog) -> None:
        self.catalog = catalog
        self._factors: dict[str, Factor] = {}
        self._safety: dict[str, SafetyFactors] = {}
        self._woods: dict[str, Wood | None] = {}
        self._lines: dict[tuple[int, str], tuple[Material, Sheet]] = {}

    @cached_property
    def table(self) -> Factors:
        """The factors beside safety factors and woods."""
        return self.catalog.get("factors", "allowable")

    def factor(self, key: str) -> Factor:
        """The factor of that key of profiles/factors.

        Raises:
            KeyError: there is none, or it is a row of numbers.
        """
        if key not in self._factors:
            self._factors[key] = _factor(self.table, key, _SYMBOLS[key])
        return self._factors[key]

    def safety(self, family: str) -> SafetyFactors:
        """The safety factors of a family of materials."""
        if family not in self._safety:
            found = self.catalog.get("safety", family)
            self._safety[family] = SafetyFactors(
                _factor(found, "yielding", "Omega_y"),
                _factor(found, "rupture", "Omega_u"),
                _factor(found, "bolts", "Omega_b"),
                _factor(found, "screws", "Omega_s"),
            )
        return self._safety[family]

    def wood(self, name: str) -> Wood | None:
        """The wood of that name; None where the catalogue has none."""
        if name not in self._woods:
            known = name in self.catalog.names("woods")
            self._woods[name] = _wood(self.catalog.get("woods", name)) if known else None
        return self._woods[name]

    def kept(
        self, material: Material, mark: str, told: Callable[[Basis, Material, str], Sheet]
    ) -> Sheet:
        """What sheets tell of a material, worked out once."""
        found = self._lines.get((id(material), mark))
        if found is None:
            # The material is kept beside them, so that no other takes its place in memory.
            found = (material, told(self, material, mark))
            self._lines[id(material), mark] = found
        return found[1]

    @property
    def woods(self) -> tuple[str, ...]:
        """Names of all woods that the catalogue has."""
        return self.catalog.names("woods")

    def lag(self, diameter_mm: float) -> LagSize | None:
        """The lag screw of the tables of that diameter; None where they have none."""
        table = self.table
        rows = zip(table.lag_sizes_mm, table.lag_roots_mm, table.lag_tips_mm, strict=True)
        for shank, root, tip in rows:
            if abs(shank - diameter_mm) < _SAME_SIZE_MM:
                return LagSize(shank, root, tip, source_of(table, "lag_roots"))
        return None


@lru_cache(maxsize=16)
def basis_of(folders: tuple[Path, ...] = ()) -> Basis:
    """The factors of a job's own folders of profiles, which win over those shipped."""
    return Basis(Catalog.standard(folders))


def source_of(profile: Profile, field: str) -> Source:
    """Where a profile's value comes from: what stands before the first colon is the clause."""
    entry = next(entry for entry in profile.entries if entry.field == field)
    if entry.invented:
        return Source(profile.name, "invented", False)
    text = entry.source.removeprefix(_CLOSED)
    if text.startswith(_PRACTICE):
        return Source("common practice", text.removeprefix(_PRACTICE).lstrip(": "), False)
    before = f"{MEMORY}: " if text.startswith(f"{MEMORY}: ") else ""
    clause, _, words = text.removeprefix(before).partition(": ")
    return Source(clause, f"{before}{words or clause}", entry.verified)


def _factor(profile: Profile, key: str, symbol: str) -> Factor:
    entry = next(entry for entry in profile.entries if entry.field == key)
    assert isinstance(entry.value, float)
    return Factor(symbol, entry.value, entry.unit, _meanings()[key], source_of(profile, key))


@cache
def _meanings() -> dict[str, str]:
    """Words of each key, as the catalogue tells them."""
    from generator.catalog.strength_kinds import FACTOR_FIELDS, SAFETY_FIELDS, WOOD_FIELDS

    return {field.key: field.meaning for field in (*FACTOR_FIELDS, *SAFETY_FIELDS, *WOOD_FIELDS)}


def _wood(profile: WoodProfile) -> Wood:
    return Wood(profile.name, _factor(profile, "gravity", "G"), _factor(profile, "bearing", "F_cp"))
