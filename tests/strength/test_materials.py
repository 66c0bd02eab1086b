"""Allowable stresses against reference.md section 3 and the bounds of Euler and yielding."""

from __future__ import annotations

import math

import pytest

from generator.catalog import Catalog
from generator.parts.shapes import tube
from generator.strength.factors import KSI
from generator.strength.materials import (
    bending_stress,
    column_stress,
    tell_material,
    tension_stress,
    weld_stress,
)
from generator.strength.sections import section_values
from generator.strength.steps import Sheet

# reference.md section 3, ksi: tension, S1, intercept, slope, S2, beyond, from the formulas of the
# Aluminum Design Manual, which are from memory there.
TABLE = [
    ("al-6063-t5", 9.7, 25.6, 11.8, 0.083, 49.8, 382),
    ("al-6063-t6", 15.2, 22.8, 19.0, 0.170, 39.2, 484),
    ("al-6061-t6", 19.5, 20.8, 27.3, 0.291, 32.8, 580),
    ("al-6005a-t61", 19.5, 20.8, 27.3, 0.291, 32.8, 580),
]


def told(name: str):
    sheet, material = Sheet(), Catalog.standard().get("materials", name)
    tell_material(sheet, material)
    return sheet, material


@pytest.mark.parametrize("name,tension,s1,intercept,slope,s2,beyond", TABLE)
def test_walls_of_aluminium(name, tension, s1, intercept, slope, s2, beyond) -> None:
    sheet, material = told(name)
    assert sheet[tension_stress(sheet)] / KSI == pytest.approx(tension, abs=0.06)
    bending_stress(sheet, material, 10.0, 1.0)
    assert sheet["S_1"] == pytest.approx(s1, abs=0.06)
    assert sheet["S_2"] == pytest.approx(s2, abs=0.06)
    assert sheet["F_c"] / KSI == pytest.approx(material.yield_mpa / KSI / 1.65)
    for slender, stress in (
        ((s1 + s2) / 2, intercept - slope * (s1 + s2) / 2),
        (60.0, beyond / 60.0),
    ):
        sheet, material = told(name)
        bending_stress(sheet, material, slender, 1.0)
        assert sheet["F_c"] / KSI == pytest.approx(stress, abs=0.06)


def test_beside_a_weld() -> None:
    # reference.md section 6.3: welded 6063 base 8 / 1.65 = 4.8 ksi.
    sheet, _ = told("al-6063-t5")
    assert sheet[weld_stress(sheet)] / KSI == pytest.approx(4.85, abs=0.01)


@pytest.mark.parametrize("name", ["al-6061-t6", "al-6063-t5", "steel-a500-b", "ss-316"])
@pytest.mark.parametrize("length", [100.0, 600.0, 1200.0, 1800.0, 3000.0])
def test_struts_lie_under_euler_and_yielding(name, length) -> None:
    sheet, material = told(name)
    values = section_values(tube(63.5, 38.1, 3.175))
    stress = sheet[column_stress(sheet, material, values, length)] * sheet["Omega_y"]
    slender = length / math.sqrt(values.about_x.inertia / values.area)
    assert stress <= material.yield_mpa + 1e-9
    assert stress <= math.pi**2 * material.modulus_mpa / slender**2
    # Johnson's parabola is no more than a third above it.
    johnson = material.yield_mpa * (
        1 - material.yield_mpa * slender**2 / (4 * math.pi**2 * material.modulus_mpa)
    )
    if johnson > material.yield_mpa / 2:
        assert stress >= johnson * 0.66


def test_struts_of_aluminium_by_hand() -> None:
    # 6061-T6: B_c = 35 (1 + (35/2250)**0.5) = 39.37 ksi, D_c = 3.937 (39.37/10100)**0.5 = 0.2458,
    # C_c = 65.7; at slenderness 100 0.85 pi**2 E / 100**2 / 1.65 = 5.135 ksi.
    sheet, material = told("al-6061-t6")
    values = section_values(tube(63.5, 38.1, 3.175))
    radius = math.sqrt(values.about_x.inertia / values.area)
    stress = sheet[column_stress(sheet, material, values, 100 * radius)]
    assert sheet["B_c"] / KSI == pytest.approx(39.37, abs=0.01)
    assert sheet["C_c"] == pytest.approx(65.7, abs=0.1)
    assert stress / KSI == pytest.approx(5.135, abs=0.005)


def test_every_shipped_material_has_a_family() -> None:
    catalog = Catalog.standard()
    for name in catalog.names("materials"):
        assert catalog.get("materials", name).family != "other"
