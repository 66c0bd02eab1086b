"""Tension of a cable: string and temperature against reference.md 6.1 and 6.5."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from generator.catalog import Catalog
from generator.strength.loads import loads_of
from generator.strength.steps import Sheet
from generator.strength.tension import pushed, tell_infill, tell_seasons

LBF, INCH = 4.4482216152605, 25.4
EA = 175800 * LBF  # 1/8 in 1x19, reference.md section 4


@pytest.mark.parametrize(
    "span,fixed,sliding",
    [(36, 0.98, 1.44), (48, 1.31, 1.92), (60, 1.63, 2.41), (72, 1.96, 2.89)],
)
def test_fifty_pounds_at_mid_span(span, fixed, sliding) -> None:
    # reference.md section 6.1: T 200 lbf; held at the span's ends, or sliding over five bays.
    length = span * INCH
    held = pushed(200 * LBF, EA, length, length, 50 * LBF)
    slid = pushed(200 * LBF, EA, length, 5 * length, 50 * LBF)
    assert held / INCH == pytest.approx(fixed, abs=0.006)
    assert slid / INCH == pytest.approx(sliding, abs=0.006)
    s = math.hypot(length / 2, held)
    assert (200 * LBF + EA * (2 * s - length) / length) / LBF == pytest.approx(460, abs=1)


def test_string_against_a_numeric_minimiser() -> None:
    # Least potential energy over the deflection, by scipy (BSD).
    optimize = pytest.importorskip("scipy.optimize")
    length, tension, force = 48 * INCH, 200 * LBF, 30 * LBF

    def energy(d: float) -> float:
        stretch = 2 * math.hypot(length / 2, d) - length
        return tension * stretch + EA * stretch**2 / (2 * length) - force * d

    found = optimize.minimize_scalar(energy, bounds=(0, 100), method="bounded",
                                     options={"xatol": 1e-9})  # fmt: skip
    assert pushed(tension, EA, length, length, force) == pytest.approx(found.x, rel=1e-5)


def test_half_inch_takes_ten_pounds() -> None:
    # reference.md section 6.1: L 48, T 200, d 0.5: 9.9207 lbf.
    d = pushed(200 * LBF, EA, 48 * INCH, 48 * INCH, 9.9207 * LBF)
    assert d / INCH == pytest.approx(0.5, abs=1e-5)


# reference.md section 6.5, lbf for +50 degF on 1/8 and 3/16 in 1x19, rounded there to 1 lbf.
ROWS = [
    ("ss-304", "al-6063-t6", None, 30, 67),
    ("ss-316", "al-6063-t6", None, 36, 81),
    ("ss-304", "steel-a500-b", None, 27, 61),
    ("ss-304", "ss-304", "wood", 66, 148),
    ("ss-316", "ss-316", "wood", 60, 135),
]


@pytest.mark.parametrize("cable,rail,deck,eighth,three", ROWS)
def test_temperature(job_of, cable, rail, deck, eighth, three) -> None:
    for profile, pounds in (("ss316-1x19-1_8", eighth), ("ss316-1x19-3_16", three)):
        fitting = "swage-stud-1_4" if profile.endswith("1_8") else "swage-stud-5_16"
        job = job_of([{"level": 6000}], system={
            "cable": {"name": profile, "material": cable},
            "rail": {"name": "al-flat-2.5x1.5", "material": rail}, "fitting": fitting,
        }, temperature_range="100 degF")  # fmt: skip
        sheet = Sheet()
        tell_seasons(sheet, job)
        frame = sheet["alpha_r"] if deck is None else sheet["alpha_deck"]
        change = sheet["EA"] * abs(frame - sheet["alpha_c"]) * sheet["theta"] / 2
        assert change / LBF == pytest.approx(pounds, abs=1.0)
        # Whichever frame is worse is taken, and both ways.
        assert sheet["dT"] >= change - 1e-9
        assert sheet["T_max"] == pytest.approx(sheet["T_0"] + sheet["dT"])


@pytest.mark.parametrize(
    "cable,fitting,pounds",
    [("ss316-1x19-1_8", "swage-stud-1_4", 36), ("ss316-1x19-3_16", "swage-stud-5_16", 81)],
)
def test_concrete_deck(job_of, cable, fitting, pounds) -> None:
    # reference.md section 6.5: concrete -36 and -81 lbf, 304, 1/8 and 3/16 in, 50 degF.
    system = {"cable": {"name": cable, "material": "ss-304"}, "fitting": fitting}
    concrete = {"concrete": True}
    job = job_of([{"level": 6000}], structure=concrete, system=system, temperature_range="100 degF")
    sheet = Sheet()
    tell_seasons(sheet, job)
    change = sheet["EA"] * abs(sheet["alpha_deck"] - sheet["alpha_c"]) * sheet["theta"] / 2
    assert change / LBF == pytest.approx(pounds, abs=1.0)


def test_relaxed_and_slackest(job_of) -> None:
    job = job_of([{"level": 6000}])
    job = replace(job, strength=replace(job.strength, relaxation=0.9))
    sheet = Sheet()
    tell_seasons(sheet, job)
    assert sheet["T_min"] == 0.0


def test_infill_is_shared_by_the_cables_it_covers(job_of) -> None:
    job = job_of([{"level": 6000}])
    sheet = Sheet()
    tell_seasons(sheet, job)
    tell_infill(sheet, loads_of(job), 3 * INCH, 36 * INCH)
    assert sheet["n_i"] == 4
    assert sheet["P_e"] == pytest.approx(50 * LBF / 4, rel=1e-6)
    assert sheet["T_i"] > sheet["T_max"]


# FAA AC 43.13-1B Table 7-3, composition B (read, reference.md section 4): 7x19, lb; and EN 12385's
# F = K d**2 R / 1000, K 0.525 estimated for 1x19. What is shipped must not claim more.
def test_published_strengths() -> None:
    catalog = Catalog.standard()
    most = {3.175: 2100 * LBF, 4.7625: 4700 * LBF, 4.0: 13200.0}
    flexible = {3.175: 1760, 4.0: 2400}
    for name in catalog.names("cables"):
        cable = catalog.get("cables", name)
        if cable.construction == "1x19":
            assert cable.breaking_n <= most[round(cable.diameter_mm, 4)]
        else:
            assert cable.breaking_n <= flexible[round(cable.diameter_mm, 3)] * LBF * 1.01
    # Its column of non-magnetic steel, read there but aligned by hand: 1/8 and 5/32 in.
    for name, pounds in (("ss316-7x7-1_8", 1300), ("ss316-7x7-4", 2000)):
        assert catalog.get("cables", name).breaking_n == pytest.approx(pounds * LBF)
