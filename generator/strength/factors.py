"""Factors and strengths of codes and handbooks that the formulas use, each with its source.

What a job chooses among them stands in its spec; limits and loads stand in its rule set.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from generator.frozen import dataclass
from generator.strength.steps import Source, memory

KSI = 6.894757293168361
PSI = KSI / 1000.0
LBF = 4.4482216152605

Family = Literal["aluminium", "stainless", "steel", "other"]


@dataclass(frozen=True, slots=True)
class Factor:
    """One number: `symbol` as formulas name it, what it means, where it comes from."""

    symbol: str
    value: float
    unit: str
    meaning: str
    source: Source


@dataclass(frozen=True, slots=True)
class Safety:
    """Safety factors of a family of materials: on yielding and buckling, rupture, fasteners."""

    yielding: Factor
    rupture: Factor
    bolts: Factor
    screws: Factor


def _safety(yielding: float, rupture: float, bolts: float, screws: float, clause: str) -> Safety:
    source = memory(clause, "allowable strength design: yielding of the gross, rupture of the net")
    return Safety(
        Factor("Omega_y", yielding, "", "safety factor on yielding and buckling", source),
        Factor("Omega_u", rupture, "", "safety factor on rupture", source),
        Factor("Omega_b", bolts, "", "safety factor on bolts", source),
        Factor("Omega_s", screws, "", "safety factor on screws", source),
    )


SAFETY: Mapping[Family, Safety] = MappingProxyType(
    {
        "aluminium": _safety(1.65, 1.95, 2.34, 3.0, "Aluminum Design Manual 2015, B.3.2.2"),
        "stainless": _safety(1.67, 2.0, 2.0, 3.0, "AISC 370-21, B3"),
        "steel": _safety(1.67, 2.0, 2.0, 3.0, "AISC 360-16, B3.2"),
        # Of a family that is not told, the greatest of all.
        "other": _safety(1.67, 2.0, 2.34, 3.0, "the greatest of the families told"),
    }
)


@dataclass(frozen=True, slots=True)
class Wood:
    """A group of species: specific gravity, strength in bearing across the grain in MPa."""

    name: str
    gravity: float
    bearing_mpa: float
    source: Source


def _wood(name: str, gravity: float, bearing_psi: float) -> tuple[str, Wood]:
    source = memory("NDS 2018 Table 12.3.3A, NDS Supplement Table 4A", "G and F_c across the grain")
    return name, Wood(name, gravity, bearing_psi * PSI, source)


WOODS: Mapping[str, Wood] = MappingProxyType(
    dict(
        (
            _wood("southern-pine", 0.55, 565.0),
            _wood("douglas-fir-larch", 0.50, 625.0),
            _wood("douglas-fir", 0.46, 520.0),  # the least of its groups, Douglas fir-south
            _wood("larch", 0.46, 520.0),  # unnamed larch is taken as the weakest group with it
            _wood("hem-fir", 0.43, 405.0),
            _wood("spruce-pine-fir", 0.42, 425.0),
            _wood("spruce", 0.36, 335.0),  # unnamed spruce is taken as spruce-pine-fir (south)
            _wood("redwood", 0.37, 425.0),  # open grain
            _wood("western-cedar", 0.36, 425.0),
            _wood("cedar", 0.31, 370.0),  # unnamed cedar is taken as northern white cedar
        )
    )
)
"""Woods by the names that `structure.joists.species` knows; others have no strength here."""

WET_WITHDRAWAL = Factor(
    "C_M", 0.7, "", "wet service, fasteners",
    memory("NDS 2018 Table 11.3.3", "dowel-type fasteners above 19 % moisture in service"),
)  # fmt: skip
WET_BEARING = Factor(
    "C_Mb", 0.67, "", "wet service, bearing across the grain",
    memory("NDS Supplement 2018 Table 4A", "F_c across the grain, wet service"),
)  # fmt: skip
PERMANENT = Factor(
    "C_D", 0.9, "", "load duration, permanent",
    memory("NDS 2018 Table 2.3.2", "permanent load, as the tension of cables is"),
)  # fmt: skip
DRY = Factor("C_M", 1.0, "", "dry service", memory("NDS 2018 Table 11.3.3", "no reduction"))

EXPANSION: Mapping[str, Factor] = MappingProxyType(
    {
        "wood": Factor(
            "alpha_deck", 3.78e-6, "1/K", "thermal expansion of the deck, wood along the grain",
            memory("", "wood along the grain, 1.7e-6 to 2.5e-6 1/degF"),
        ),
        "concrete": Factor(
            "alpha_deck", 9.9e-6, "1/K", "thermal expansion of the deck, concrete",
            memory("", "concrete, 5.5e-6 1/degF"),
        ),
    }
)  # fmt: skip

ROOT_DIAMETER_IN: Mapping[float, float] = MappingProxyType(
    {0.25: 0.173, 0.3125: 0.227, 0.375: 0.265, 0.4375: 0.328, 0.5: 0.371, 0.625: 0.471, 0.75: 0.579}
)
"""Root diameter of lag screws by shank, in: NDS Appendix L2, from memory."""

TIP_IN: Mapping[float, float] = MappingProxyType(
    {
        0.25: 5 / 32, 0.3125: 3 / 16, 0.375: 7 / 32, 0.4375: 9 / 32, 0.5: 5 / 16,
        0.625: 13 / 32, 0.75: 1 / 2,
    }
)  # fmt: skip
"""Length of a lag screw's tapered tip, in: NDS Appendix L2, from memory."""

LAG_TABLE = memory("NDS 2018 Appendix L2", "root diameter, thread and tip of lag screws")

FILLERS: Mapping[str, Factor] = MappingProxyType(
    {
        "4043": Factor(
            "F_sw", 11.5 * KSI, "MPa", "shear strength of filler 4043, along the weld",
            memory("Aluminum Design Manual, shear strength of fillet welds", "4043, 11.5 ksi"),
        ),
        "5356": Factor(
            "F_sw", 17.0 * KSI, "MPa", "shear strength of filler 5356, along the weld",
            memory("Aluminum Design Manual, shear strength of fillet welds", "5356, 17 ksi"),
        ),
        "E70": Factor(
            "F_sw", 0.6 * 70.0 * KSI, "MPa", "shear strength of weld metal E70",
            memory("AISC 360-16 Table J2.5", "0.6 of 70 ksi"),
        ),
    }
)  # fmt: skip

DEFLECTION_POST = Factor(
    "n_h", 12.0, "", "height over deflection allowed at the top of a post",
    memory("ASTM E985 (withdrawn 2015), AC273", "post h/12 at the design load"),
)  # fmt: skip
DEFLECTION_RAIL = (
    Factor(
        "n_r", 24.0, "", "height over deflection allowed of a rail, part of the post",
        memory("ASTM E985 (withdrawn 2015), AC273", "rail h/24 + L/96 at the design load"),
    ),
    Factor(
        "n_L", 96.0, "", "span over deflection allowed of a rail, part of the span",
        memory("ASTM E985 (withdrawn 2015), AC273", "rail h/24 + L/96 at the design load"),
    ),
)  # fmt: skip
CONTINUITY = Factor(
    "k_c", 1.25, "", "share of a post in the middle under a rail that runs on",
    Source("beam tables", "two equal spans: middle support 10/8 of the load of a span", True),
)  # fmt: skip
HAZ_MM = Factor(
    "z_h", 25.4, "mm", "reach of a weld's heat",
    memory("Aluminum Design Manual 2015", "weld-affected zone 1 in each side"),
)  # fmt: skip
CABLE_SAFETY = Factor(
    "n_c", 5.0, "", "breaking force over working force of a cable",
    Source("common practice", "common practice, no source: rigging", False),
)  # fmt: skip
