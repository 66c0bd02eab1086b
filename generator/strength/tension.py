"""Tension of a cable through the seasons and under a load: set, cold, hot, slack, pushed aside."""

from __future__ import annotations

import math

from generator.catalog.tables import Cable, Material
from generator.spec.job import Job
from generator.strength.loads import Loads
from generator.strength.steps import PROFILE, Sheet, Source

_SPEC = Source("job spec", "job spec", True)
_STRING = Source("statics", "elastic string", True)
_ROOT = Source("statics", "root of the equilibrium below, found by halving", True)
_BAND_MM = 1e-9


def pushed(
    tension_n: float, stiffness_n: float, span_mm: float, free_mm: float, force_n: float
) -> float:
    """Deflection in mm of a tensioned cable under a force at mid-span.

    s = sqrt((L/2)**2 + d**2), T = T_0 + E A (2 s - L) / L_t, P = 2 T d / s; `free_mm` is L_t, the
    length that stretches: the span where the cable is held, all of it where it slides.
    """

    def force(d: float) -> float:
        s = math.hypot(span_mm / 2, d)
        return 2 * (tension_n + stiffness_n * (2 * s - span_mm) / free_mm) * d / s

    low, high = 0.0, 1.0
    while force(high) < force_n:
        high *= 2
    while high - low > _BAND_MM * max(1.0, high):
        middle = (low + high) / 2
        low, high = (middle, high) if force(middle) < force_n else (low, middle)
    return (low + high) / 2


def material_of(job: Job, name: str) -> Material:
    """The material of that name, which a part of the job names."""
    return next(one for one in job.system.materials if one.name == name)


def tell_cable(sheet: Sheet, job: Job) -> None:
    """Stiffness and set tension of the job's cable."""
    cable = job.system.cable
    _tell(sheet, cable, "E_c", "modulus", cable.modulus_mpa, "MPa", "modulus on the metallic area")
    _tell(sheet, cable, "A_c", "area", cable.area_mm2, "mm2", "metallic area of the cable")
    sheet.given("T_0", job.guard.tension_n, "N", "set tension of a cable, guard.tension", _SPEC)
    sheet.work("EA", "E_c * A_c", "N", "stiffness of the cable", Source("mechanics", "E A", True))


def _tell(
    sheet: Sheet, cable: Cable, symbol: str, field: str, value: float, unit: str, meaning: str
) -> None:
    entry = next((entry for entry in cable.entries if entry.field == field), None)
    source = Source(cable.name, entry.source, entry.verified) if entry else PROFILE
    sheet.given(symbol, value, unit, meaning, source)


def tell_seasons(sheet: Sheet, job: Job) -> None:
    """Greatest and least tension over the year, T_max and T_min.

    dT = E A (a_frame - a_cable) dtheta with a rigid frame (reference.md section 6.5). Whether the
    rail or the deck holds the posts apart is not told, so the greater difference counts, and it is
    taken once as tightening and once as slackening.
    """
    tell_cable(sheet, job)
    system, inputs = job.system, job.strength
    for symbol, owner, what in (
        ("alpha_c", system.cable, "cable"),
        ("alpha_r", system.rail, "rail"),
    ):
        material = material_of(job, owner.material)
        entry = next((e for e in material.entries if e.field == "expansion"), None)
        source = Source(material.name, entry.source, entry.verified) if entry else PROFILE
        meaning = f"thermal expansion of the {what}"
        sheet.given(symbol, material.expansion_per_k, "1/K", meaning, source)
    concrete = job.structure and job.structure.concrete
    sheet.tell(sheet.basis.factor("heat_concrete" if concrete else "heat_wood"))
    sheet.given("theta", job.guard.temperature_k, "K", "range of temperature, coldest to hottest",
                _SPEC)  # fmt: skip
    sheet.work(
        "dT",
        "EA * max(abs(alpha_r - alpha_c), abs(alpha_deck - alpha_c)) * theta / 2",
        "N",
        "change of tension from the mean to either end of the range",
        Source("mechanics", "E A times the difference of expansion, rigid frame", True),
    )
    sheet.work("T_max", "T_0 + dT", "N", "tension when it is tightest")
    share = Source("job spec", "strength.relaxation; 0.2 is common practice, no source", False)
    sheet.given("r_x", inputs.relaxation, "", "share lost after the last pull", share)
    sheet.work("T_min", "max(T_0 * (1 - r_x) - dT, 0)", "N", "tension when it is slackest")


def tell_infill(sheet: Sheet, loads: Loads, spacing_mm: float, span_mm: float) -> None:
    """Tension T_i of the cables that the load on the infill pushes aside.

    The load is shared by as many cables as its area covers, each at mid-span and held at both
    ends of the span, which gives the greatest tension; it does not depend on the span.
    """
    loads.tell(sheet, "load.infill")
    sheet.given("a_i", loads.side_mm, "mm", "side of the area that the infill load is spread over")
    sheet.given("s_c", spacing_mm, "mm", "widest spacing of the cables")
    sheet.given("L_s", span_mm, "mm", "free span of a cable")
    sheet.work("n_i", "max(floor(a_i / s_c), 1)", "", "cables that share it")
    d = pushed(sheet["T_max"], sheet["EA"], span_mm, span_mm, sheet["P_i"] / sheet["n_i"])
    sheet.given("d_i", d, "mm", "deflection of each", _ROOT)
    sheet.work("l_i", "sqrt((L_s / 2)**2 + d_i**2)", "mm", "half of the cable as pushed", _STRING)
    sheet.work("T_i", "T_max + EA * (2 * l_i - L_s) / L_s", "N", "tension when pushed", _STRING)
    sheet.work(
        "P_e", "2 * T_i * d_i / l_i", "N", "force that holds it there: the load on each", _STRING
    )
