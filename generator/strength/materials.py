"""Allowable stresses of a material in a section: tension, wall buckling, columns, beside welds."""

from __future__ import annotations

from typing import cast

from generator.catalog.tables import Material
from generator.strength.factors import Basis, Family, SafetyFactors
from generator.strength.sections import Values
from generator.strength.steps import GEOMETRY, Sheet, Source, memory

_ADM_WALL = memory(
    "Aluminum Design Manual 2015, B.5.4.2", "flat wall supported on both edges, tempers T5 and T6"
)
_ADM_COLUMN = memory("Aluminum Design Manual 2015, E.3", "member buckling, tempers T5 and T6")
_AISC_COLUMN = memory("AISC 360-16, E3", "flexural buckling")
_PLATE = Source("theory of plates", "simply supported plate, k = 4, Poisson's ratio 0.3", True)
_KSI = "6.894757293168361"


def family_of(material: Material) -> Family:
    """The family whose formulas hold."""
    return cast(Family, material.family)


def safety_of(basis: Basis, material: Material) -> SafetyFactors:
    """The safety factors that hold for a material."""
    return basis.safety(family_of(material))


def tell_material(sheet: Sheet, material: Material, mark: str = "") -> None:
    """Strengths and modulus of a material; `mark` ends the symbols: F_y, or F_yp for a plate."""
    sheet.given_all(sheet.basis.kept(material, mark, _told))


def _told(basis: Basis, material: Material, mark: str) -> Sheet:
    """What sheets tell of a material."""
    sheet = Sheet(basis)
    sources = {entry.field: entry for entry in material.entries}

    def given(symbol: str, field: str, value: float, meaning: str) -> None:
        entry = sources.get(field)
        text = entry.source if entry and entry.source else "invented"
        source = Source(material.name, text, bool(entry and entry.verified))
        sheet.given(f"{symbol}{mark}", value, "MPa", f"{meaning}, {material.name}", source)

    given("F_y", "yield", material.yield_mpa, "yield strength")
    given("F_u", "ultimate", material.ultimate_mpa, "ultimate strength")
    given("F_yw", "welded_yield", material.welded_yield_mpa, "yield strength beside a weld")
    given("F_uw", "welded_ultimate", material.welded_ultimate_mpa, "ultimate strength by a weld")
    given("E", "modulus", material.modulus_mpa, "modulus")
    safety = safety_of(basis, material)
    for factor in (safety.yielding, safety.rupture):
        sheet.given(f"{factor.symbol}{mark}", factor.value, "", factor.meaning, factor.source)
    return sheet


def strength_source(material: Material, field: str = "modulus") -> Source:
    """Where a strength of a material comes from, or its modulus."""
    entry = next(entry for entry in material.entries if entry.field == field)
    return Source(material.name, entry.source or "invented", entry.verified)


def tension_stress(sheet: Sheet, mark: str = "") -> str:
    """Symbol of the allowable stress in tension away from welds."""
    symbol = f"F_t{mark}"
    formula = f"min(F_y{mark} / Omega_y{mark}, F_u{mark} / Omega_u{mark})"
    source = sheet.source(f"Omega_y{mark}")
    sheet.work(symbol, formula, "MPa", "allowable stress in tension", source)
    return symbol


def weld_stress(sheet: Sheet, mark: str = "") -> str:
    """Symbol of the allowable stress within the reach of a weld's heat."""
    symbol = f"F_w{mark}"
    formula = f"min(F_yw{mark} / Omega_y{mark}, F_uw{mark} / Omega_u{mark})"
    source = sheet.source(f"Omega_y{mark}")
    sheet.work(symbol, formula, "MPa", "allowable stress beside a weld", source)
    return symbol


def bending_stress(sheet: Sheet, material: Material, flat_mm: float, wall_mm: float) -> str:
    """Symbol of the allowable stress of a tube in bending, the lesser of tension and compression.

    `flat_mm` is the clear width of the wall in compression. On the elastic section modulus: the
    shape factor is not used.
    """
    tension = tension_stress(sheet)
    compression = _wall_stress(sheet, material, flat_mm, wall_mm)
    lesser = tension if sheet[tension] <= sheet[compression] else compression
    formula, source = f"min({tension}, {compression})", sheet.source(lesser)
    sheet.work("F_b", formula, "MPa", "allowable stress in bending", source)
    return "F_b"


def _wall_stress(sheet: Sheet, material: Material, flat_mm: float, wall_mm: float) -> str:
    """Allowable stress of a flat wall in compression.

    Aluminium: ADM, B_p = F_y (1 + (F_y / 1500 ksi)**(1/3)), D_p = B_p / 10 (B_p / E)**(1/2);
    k1 = 0.35, k2 = 2.27 (reference.md section 3). Others: the elastic buckling of the wall.
    """
    sheet.given("b", flat_mm, "mm", "clear width of the wall")
    sheet.given("t", wall_mm, "mm", "thickness of the wall")
    sheet.work("lambda_w", "b / t", "", "slenderness of the wall")
    if family_of(material) != "aluminium":
        formula = "min(F_y, 4 * pi**2 * E / (12 * (1 - 0.3**2) * lambda_w**2)) / Omega_y"
        sheet.work("F_c", formula, "MPa", "allowable stress of the wall in compression", _PLATE)
        return "F_c"
    formula = f"F_y * (1 + (F_y / (1500 * {_KSI}))**(1/3))"
    sheet.work("B_p", formula, "MPa", "buckling constant, intercept", _ADM_WALL)
    sheet.work("D_p", "B_p / 10 * sqrt(B_p / E)", "MPa", "buckling constant, slope", _ADM_WALL)
    sheet.work("S_1", "(B_p - F_y) / (1.6 * D_p)", "", "slenderness up to which it yields",
               _ADM_WALL)  # fmt: skip
    sheet.work("S_2", "0.35 * B_p / (1.6 * D_p)", "", "slenderness beyond which it buckles",
               _ADM_WALL)  # fmt: skip
    if sheet["lambda_w"] <= sheet["S_1"]:
        formula = "F_y / Omega_y"
    elif sheet["lambda_w"] <= sheet["S_2"]:
        formula = "(B_p - 1.6 * D_p * lambda_w) / Omega_y"
    else:
        formula = "2.27 * sqrt(B_p * E) / (1.6 * lambda_w) / Omega_y"
    sheet.work("F_c", formula, "MPa", "allowable stress of the wall in compression", _ADM_WALL)
    return "F_c"


def column_stress(sheet: Sheet, material: Material, values: Values, length_mm: float) -> str:
    """Symbol of the allowable stress of a strut of this length, hinged at both ends.

    Aluminium: ADM E.3, B_c = F_y (1 + (F_y / 2250 ksi)**(1/2)), D_c = B_c / 10 (B_c / E)**(1/2),
    C_c = 0.41 B_c / D_c; 0.85 of it for the bow of the member. Steel: AISC 360 E3.
    """
    inertia = min(values.about_x.inertia, values.about_y.inertia)
    sheet.given("I_min", inertia, "mm4", "least I of the rail", GEOMETRY)
    sheet.given("A", values.area, "mm2", "area of the rail", GEOMETRY)
    sheet.given("L_b", length_mm, "mm", "length between what holds it sideways")
    sheet.work("r_min", "sqrt(I_min / A)", "mm", "radius of gyration")
    sheet.work("lambda_c", "L_b / r_min", "", "slenderness of the strut, K = 1")
    sheet.work("F_e", "pi**2 * E / lambda_c**2", "MPa", "Euler's stress")
    if family_of(material) != "aluminium":
        ratio = "0.658**(F_y / F_e) * F_y" if sheet["F_y"] <= 2.25 * sheet["F_e"] else "0.877 * F_e"
        sheet.work("F_a", f"{ratio} / Omega_y", "MPa", "allowable stress of the strut",
                   _AISC_COLUMN)  # fmt: skip
        return "F_a"
    formula = f"F_y * (1 + sqrt(F_y / (2250 * {_KSI})))"
    sheet.work("B_c", formula, "MPa", "buckling constant, intercept", _ADM_COLUMN)
    sheet.work("D_c", "B_c / 10 * sqrt(B_c / E)", "MPa", "buckling constant, slope", _ADM_COLUMN)
    sheet.work("C_c", "0.41 * B_c / D_c", "", "slenderness beyond which Euler holds", _ADM_COLUMN)
    if sheet["lambda_c"] <= sheet["C_c"]:
        formula = "min(0.85 * (B_c - D_c * lambda_c), F_y) / Omega_y"
    else:
        formula = "0.85 * F_e / Omega_y"
    sheet.work("F_a", formula, "MPa", "allowable stress of the strut", _ADM_COLUMN)
    return "F_a"
