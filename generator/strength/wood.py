"""Fasteners in wood after the NDS: withdrawal of lag screws, yield of dowels, washers on wood.

The NDS writes these formulas in inches, pounds and psi; here they take mm, N and MPa, and the
conversion stands in the formula.
"""

from __future__ import annotations

import math
from functools import lru_cache

from generator.strength.factors import Basis, LagSize, Wood
from generator.strength.steps import Sheet, Source, memory

_IN = 25.4
_PSI = "0.006894757293168361"  # MPa of one psi
_WITHDRAWAL = Source(
    "NDS 2018 12.2.1", "table 12.2A read in a permit record; the formula gives it within 0.5", True
)
_YIELD = memory("NDS 2018 Table 12.3.1A", "yield limit equations")
_BEARING = memory("NDS 2018 Table 12.3.3", "dowel bearing strength")
_ANGLE = memory("NDS 2018 12.4.1", "lag screws loaded at an angle to the face of the wood")
_WASHER = memory("NDS 2018 3.10.2, 3.10.4", "bearing across the grain, bearing area factor")
_ADJUST = memory("NDS 2018 Table 2.3.2", "load duration; practice is split between 1.0 and 1.6")


def tell_service(sheet: Sheet, duration: float, wet: bool) -> None:
    """Load duration C_D and moisture C_M of fasteners."""
    sheet.given(
        "C_D", duration, "", "load duration: permanent 0.9, else strength.load_duration", _ADJUST
    )
    sheet.tell(sheet.basis.factor("wet_fasteners" if wet else "dry_fasteners"))


def withdrawal_per_mm(gravity: float, diameter_mm: float) -> float:
    """Reference withdrawal of a lag screw in side grain, N per mm of thread.

    W = 1800 G**1.5 D**0.75 lb/in, D in inches (NDS 12.2.1); not adjusted.
    """
    pounds = 1800 * gravity**1.5 * (diameter_mm / _IN) ** 0.75
    return pounds * 4.4482216152605 / _IN


def tell_wood(sheet: Sheet, wood: Wood) -> None:
    """Specific gravity of a species."""
    gravity = wood.gravity
    meaning = f"{gravity.meaning}, {wood.name}"
    sheet.given(gravity.symbol, gravity.value, "", meaning, gravity.source)


def withdrawal(sheet: Sheet, diameter_mm: float, length_mm: float, outside_mm: float) -> str:
    """Symbol of what a lag screw holds in withdrawal from side grain, adjusted.

    `outside_mm` of its length do not count: washer, plate, and what lies over the framing. Thread
    is L/2 + 1/2 in, at most 6 in; the tip is left out.

    Raises:
        KeyError: no lag screw of the tables has that diameter.
    """
    size = sheet.basis.lag(diameter_mm)
    if size is None:
        raise KeyError(diameter_mm)
    sheet.given("D", diameter_mm, "mm", "diameter of the shank")
    sheet.given("L", length_mm, "mm", "length of the screw under its head")
    sheet.given("u", outside_mm, "mm", "of its length, what does not lie in the framing")
    sheet.given("e_t", size.tip_mm, "mm", "length of the tip", size.source)
    sheet.work(
        "l_t", "min(L / 2 + 12.7, 152.4)", "mm", "length of the thread, tip and all", size.source
    )
    sheet.work("p", "max(min(l_t, L - u) - e_t, 0)", "mm", "thread in the framing", _WITHDRAWAL)
    formula = "1800 * G**1.5 * (D / 25.4)**0.75 * 4.4482216152605 / 25.4"
    sheet.work("W", formula, "N/mm", "withdrawal per length of thread", _WITHDRAWAL)
    sheet.work("W_a", "W * p * C_D * C_M", "N", "withdrawal of one screw, adjusted", _WITHDRAWAL)
    return "W_a"


def root_mm(size: LagSize | None, diameter_mm: float) -> float:
    """Root diameter of a lag screw of the tables, mm; of others three quarters of the shank."""
    return 0.75 * diameter_mm if size is None else size.root_mm


def washer_bearing(sheet: Sheet, wood: Wood, washer_mm: float, bore_mm: float, wet: bool) -> str:
    """Symbol of what a washer carries on the side of a board, across the grain."""
    bearing = wood.bearing
    meaning = f"{bearing.meaning}, {wood.name}"
    sheet.given(bearing.symbol, bearing.value, "MPa", meaning, bearing.source)
    sheet.tell(sheet.basis.factor("wet_bearing"), None if wet else 1.0)
    sheet.given("d_w", washer_mm, "mm", "outer diameter of the washer")
    sheet.given("d_b", bore_mm, "mm", "bore in the wood")
    sheet.work("C_b", "(d_w + 9.525) / d_w", "",
               "bearing area factor", _WASHER)  # fmt: skip
    formula = "F_cp * C_Mb * C_b * pi / 4 * (d_w**2 - d_b**2)"
    sheet.work("B_w", formula, "N", "what a washer carries on the wood", _WASHER)
    return "B_w"


def bearing_stress(gravity: float, diameter_mm: float, angle_deg: float) -> float:
    """Dowel bearing strength in MPa: 11200 G along the grain, 6100 G**1.45 / D**0.5 psi across.

    Between them Hankinson's formula (NDS 12.3.4).
    """
    along = 11200 * gravity
    across = 6100 * gravity**1.45 / math.sqrt(diameter_mm / _IN)
    sine, cosine = math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))
    return along * across / (along * sine**2 + across * cosine**2) * float(_PSI)


def tell_dowel(
    sheet: Sheet,
    diameter_mm: float,
    main: tuple[float, float],
    side: tuple[float, float],
    angle_deg: float,
) -> None:
    """Dowel in single shear: (length, bearing strength) of the main and of the side member."""
    sheet.given("D_y", diameter_mm, "mm", "diameter of the dowel; at the root of a screw")
    sheet.given("l_m", main[0], "mm", "length in the main member")
    sheet.given("F_em", main[1], "MPa", "dowel bearing strength of the main member", _BEARING)
    sheet.given("l_s", side[0], "mm", "length in the side member")
    sheet.given("F_es", side[1], "MPa", "dowel bearing strength of the side member", _BEARING)
    sheet.tell(sheet.basis.factor("dowel_yield"))
    sheet.given("a_g", angle_deg, "deg", "greatest angle of load to grain in either member")


def dowel(
    sheet: Sheet,
    diameter_mm: float,
    main: tuple[float, float],
    side: tuple[float, float],
    angle_deg: float,
) -> str:
    """Symbol of the lateral strength of a dowel, all told that leads to it; see `tell_dowel`."""
    sheet.given_all(_dowel(sheet.basis, diameter_mm, main, side, angle_deg))
    return "Z"


@lru_cache(maxsize=1024)
def _dowel(
    basis: Basis,
    diameter_mm: float,
    main: tuple[float, float],
    side: tuple[float, float],
    angle_deg: float,
) -> Sheet:
    sheet = Sheet(basis)
    tell_dowel(sheet, diameter_mm, main, side, angle_deg)
    yield_limit(sheet)
    return sheet


def yield_limit(sheet: Sheet) -> str:
    """Symbol of the lateral strength of a dowel in single shear, not adjusted, N."""
    work = sheet.work
    work("K_g", "1 + 0.25 * a_g / 90", "", "angle of load to grain", _YIELD)
    work("R_e", "F_em / F_es", "", "ratio of bearing strengths", _YIELD)
    work("R_t", "l_m / l_s", "", "ratio of lengths", _YIELD)
    work("k_1", "(sqrt(R_e + 2 * R_e**2 * (1 + R_t + R_t**2) + R_t**2 * R_e**3)"
         " - R_e * (1 + R_t)) / (1 + R_e)", "", "mode II", _YIELD)  # fmt: skip
    work("k_2", "-1 + sqrt(2 * (1 + R_e) + 2 * F_yb * (1 + 2 * R_e) * D_y**2"
         " / (3 * F_em * l_m**2))", "", "mode III, main member", _YIELD)  # fmt: skip
    work("k_3", "-1 + sqrt(2 * (1 + R_e) / R_e + 2 * F_yb * (2 + R_e) * D_y**2"
         " / (3 * F_em * l_s**2))", "", "mode III, side member", _YIELD)  # fmt: skip
    modes = {
        "Z_Im": "D_y * l_m * F_em / (4 * K_g)",
        "Z_Is": "D_y * l_s * F_es / (4 * K_g)",
        "Z_II": "k_1 * D_y * l_s * F_es / (3.6 * K_g)",
        "Z_IIIm": "k_2 * D_y * l_m * F_em / ((1 + 2 * R_e) * 3.2 * K_g)",
        "Z_IIIs": "k_3 * D_y * l_s * F_em / ((2 + R_e) * 3.2 * K_g)",
        "Z_IV": "D_y**2 / (3.2 * K_g) * sqrt(2 * F_em * F_yb / (3 * (1 + R_e)))",
    }
    for symbol, formula in modes.items():
        work(symbol, formula, "N", f"yield mode {symbol[2:]}", _YIELD)
    work("Z", f"min({', '.join(modes)})", "N", "lateral strength of one fastener", _YIELD)
    return "Z"


def at_angle(sheet: Sheet, pull: str, shear: str) -> str:
    """Symbol of the ratio of a lag screw pulled and sheared at once, by Hankinson's formula."""
    sheet.work("P_r", f"sqrt({pull}**2 + {shear}**2)", "N", "resultant on the worst screw")
    formula = f"W_a * Z_a / (W_a * ({shear} / P_r)**2 + Z_a * ({pull} / P_r)**2)"
    sheet.work("Z_r", formula, "N", "strength at the angle of the resultant", _ANGLE)
    return "Z_r"
