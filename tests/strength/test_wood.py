"""Fasteners in wood against the tables of the NDS; those not read are said to be from memory."""

from __future__ import annotations

import pytest

from generator.strength.factors import PSI, Wood, basis_of
from generator.strength.steps import Sheet
from generator.strength.wood import (
    bearing_stress,
    tell_dowel,
    tell_service,
    tell_wood,
    washer_bearing,
    withdrawal,
    withdrawal_per_mm,
    yield_limit,
)

LBF, INCH = 4.4482216152605, 25.4
# NDS 2018 Table 12.2A, page 77, read in a permit record (reference.md section 5): lb per in of
# thread, by specific gravity, for 1/4, 5/16, 3/8, 7/16, 1/2, 5/8 and 3/4 in.
SIZES = (1 / 4, 5 / 16, 3 / 8, 7 / 16, 1 / 2, 5 / 8, 3 / 4)
TABLE = {
    0.55: (260, 307, 352, 395, 437, 516, 592),
    0.50: (225, 266, 305, 342, 378, 447, 513),
    0.42: (173, 205, 235, 264, 291, 344, 395),
}


def wood(name: str) -> Wood:
    found = basis_of().wood(name)
    assert found is not None
    return found


ROWS = [(g, d, w) for g, row in TABLE.items() for d, w in zip(SIZES, row, strict=True)]


@pytest.mark.parametrize("gravity,size,pounds", ROWS)
def test_withdrawal_is_the_tables(gravity, size, pounds) -> None:
    per_inch = withdrawal_per_mm(gravity, size * INCH) * INCH / LBF
    assert per_inch == pytest.approx(pounds, abs=1.0)


def test_the_sheet_withdraws_alike() -> None:
    # 3/8 x 6 in lag, 1-7/16 in outside, G 0.55: thread 3-1/2 in less tip 7/32 in, 352 lb/in, wet.
    sheet = Sheet()
    tell_service(sheet, 1.0, wet=True)
    tell_wood(sheet, wood("southern-pine"))
    withdrawal(sheet, 3 / 8 * INCH, 6 * INCH, 1.4375 * INCH)
    assert sheet["W"] == pytest.approx(withdrawal_per_mm(0.55, 3 / 8 * INCH), rel=1e-12)
    assert sheet["p"] / INCH == pytest.approx(3.5 - 7 / 32)
    assert sheet["W_a"] / LBF == pytest.approx(352 * 3.28125 * 0.7, rel=2e-3)


# reference.md section 5, yield limit equations worked apart from this program: DF-L, in, lb.
# (diameter, side, main, along in side, along in main, reference value)
BOLTS = [
    (0.5, 1.5, 1.5, True, True, 483),
    (0.5, 1.5, 1.5, False, True, 298),
    (0.5, 1.5, 1.5, True, False, 298),
    (0.5, 1.5, 1.5, False, False, 217),
    (0.625, 1.5, 1.5, True, True, 604),
    (0.625, 1.5, 1.5, False, True, 356),
    (0.625, 1.5, 1.5, False, False, 242),
    (0.5, 1.5, 3.5, True, True, 615),
]


@pytest.mark.parametrize("size,side,main,side_along,main_along,pounds", BOLTS)
def test_bolts_in_single_shear(size, side, main, side_along, main_along, pounds) -> None:
    d, sheet = size * INCH, Sheet()
    along, across = bearing_stress(0.50, d, 0.0), bearing_stress(0.50, d, 90.0)
    tell_dowel(
        sheet,
        d,
        (main * INCH, along if main_along else across),
        (side * INCH, along if side_along else across),
        0.0 if side_along and main_along else 90.0,
    )
    yield_limit(sheet)
    # The NDS rounds bearing strengths to 50 psi before it uses them.
    assert sheet["Z"] / LBF == pytest.approx(pounds, abs=2.0)


def test_nds_table_12a_from_memory() -> None:
    # NDS 2018 Table 12A, from memory: 1/2 in bolt, DF-L, 1-1/2 in both: 480 and 300 lb.
    d = 0.5 * INCH
    sheet = Sheet()
    along = bearing_stress(0.50, d, 0.0)
    tell_dowel(sheet, d, (1.5 * INCH, along), (1.5 * INCH, along), 0.0)
    yield_limit(sheet)
    assert sheet["Z"] / LBF == pytest.approx(480, rel=0.01)


def test_dowel_bearing_strength() -> None:
    # NDS Table 12.3.3 from memory: G 0.50: 5,600 psi along, 1/2 in across 3,150 psi.
    assert bearing_stress(0.50, 12.7, 0.0) / PSI == pytest.approx(5600, rel=1e-3)
    assert bearing_stress(0.50, 12.7, 90.0) / PSI == pytest.approx(3150, rel=0.01)
    between = bearing_stress(0.50, 12.7, 45.0) / PSI
    assert 3150 < between < 5600


def test_washer_by_hand() -> None:
    # 2 in washer, 7/16 in bore, southern pine 565 psi dry: 2.991 in2 x 1.1875 x 565 = 2,007 lb.
    sheet = Sheet()
    washer_bearing(sheet, wood("southern-pine"), 2 * INCH, 7 / 16 * INCH, wet=False)
    assert sheet["B_w"] / LBF == pytest.approx(2007, abs=2)


def test_a_lag_of_no_known_size_is_refused() -> None:
    sheet = Sheet()
    tell_service(sheet, 1.0, wet=True)
    tell_wood(sheet, wood("southern-pine"))
    with pytest.raises(KeyError):
        withdrawal(sheet, 9.0, 150.0, 30.0)
