"""Posts, rails and whole legs against PyNite frames (finite elements, MIT)."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from generator.geometry import distance
from generator.layout.lay_out import layout
from generator.parts.build import assemble
from generator.spec.job import StrengthInputs
from generator.strength.beams import (
    moment_at,
    post_flexibility,
    prop_force,
    support_moments,
    worst_point_moment,
)
from generator.strength.summary import assess

pytest.importorskip("Pynite")

LBF, INCH, KSI = 4.4482216152605, 25.4, 6.894757293168361
E = 10100 * KSI
# reference.md 6.3: 2.375 in square with 0.15 in wall, H 35 in, ten cables at 3.125 in, 200 lbf.
I = 1.10652 * INCH**4  # noqa: E741 - the letter of every handbook
AREA = 1.335 * INCH**2
TOP = 35 * INCH
HEIGHTS = [3.125 * n * INCH for n in range(1, 11)]
FORCES = [200 * LBF] * 10


def model() -> Any:
    from Pynite import FEModel3D

    frame = FEModel3D()
    frame.add_material("al", E, 3800 * KSI, 0.33, 1e-9)
    frame.add_section("post", AREA, I, I, 2 * I)
    frame.add_section("rail", 600.0, 4e5, 4e5, 6e5)
    return frame


def post(frame: Any, name: str, x: float, top: float = TOP) -> None:
    """A post of the plane x, y, fixed at its base, its top kept in the plane."""
    frame.add_node(f"{name}0", x, 0.0, 0.0)
    frame.add_node(f"{name}1", x, top, 0.0)
    frame.add_member(name, f"{name}0", f"{name}1", "al", "post")
    frame.def_support(f"{name}0", True, True, True, True, True, True)
    frame.def_support(f"{name}1", False, False, True, True, True, False)


def test_cantilever() -> None:
    # reference.md section 11: 200 lb at 42 in: 0.441953 in, 8,400 lb in.
    frame = model()
    post(frame, "P", 0.0, 42 * INCH)
    frame.add_node_load("P1", "FX", 200 * LBF)
    frame.analyze()
    moved = frame.nodes["P1"].DX["Combo 1"]
    assert moved / INCH == pytest.approx(0.441953, abs=2e-5)
    give = post_flexibility([42 * INCH], E * I)[0, 0]
    assert 200 * LBF * give == pytest.approx(moved, rel=1e-6)
    assert moment_at([200 * LBF], [42 * INCH], 0.0, 42 * INCH, 0.0) == pytest.approx(
        abs(frame.nodes["P0"].RxnMZ["Combo 1"]), rel=1e-6
    )


def test_propped_post() -> None:
    frame = model()
    post(frame, "P", 0.0)
    frame.def_support("P1", True, False, True, True, True, False)
    for y, force in zip(HEIGHTS, FORCES, strict=True):
        # Local y of an upright member points along -x.
        frame.add_member_pt_load("P", "FX", force, y)
    frame.analyze()
    thrust = prop_force(FORCES, HEIGHTS, TOP, E * I)
    assert thrust == pytest.approx(abs(frame.nodes["P1"].RxnFX["Combo 1"]), rel=1e-4)
    base = moment_at(FORCES, HEIGHTS, thrust, TOP, 0.0)
    assert base == pytest.approx(abs(frame.nodes["P0"].RxnMZ["Combo 1"]), rel=1e-4)
    # reference.md section 6.3: R 705 lbf, base 9,684 lb in.
    assert thrust / LBF == pytest.approx(705, abs=0.5)
    assert base / (LBF * INCH) == pytest.approx(9684, abs=5)


def test_propped_post_on_a_base_that_gives() -> None:
    # The base turns 1 degree under 200 lbf at the top.
    turn = math.radians(1.0) / (200 * LBF * TOP)
    frame = model()
    post(frame, "P", 0.0)
    frame.def_support("P0", True, True, True, True, True, False)
    frame.def_support_spring("P0", "RZ", 1.0 / turn)
    frame.def_support("P1", True, False, True, True, True, False)
    for y, force in zip(HEIGHTS, FORCES, strict=True):
        frame.add_member_pt_load("P", "FX", force, y)
    frame.analyze()
    thrust = prop_force(FORCES, HEIGHTS, TOP, E * I, base_rad=turn)
    assert thrust == pytest.approx(abs(frame.nodes["P1"].RxnFX["Combo 1"]), rel=1e-4)
    base = moment_at(FORCES, HEIGHTS, thrust, TOP, 0.0)
    turned = abs(frame.nodes["P0"].RZ["Combo 1"])
    assert base * turn == pytest.approx(turned, rel=1e-3)
    # It lies between the hinged base, with none, and the fixed one.
    fixed = prop_force(FORCES, HEIGHTS, TOP, E * I)
    hinged = sum(f * y for f, y in zip(FORCES, HEIGHTS, strict=True)) / TOP
    assert fixed < thrust < hinged


def test_free_end_post_of_the_worked_example() -> None:
    # reference.md section 6.3: 34,375 lb in, tip 0.90 in; 12 cables and H 41 in: 48,750 and, with
    # the rail, R 863 lbf and 13,349 lb in.
    base = moment_at(FORCES, HEIGHTS, 0.0, TOP, 0.0)
    assert base / (LBF * INCH) == pytest.approx(34375)
    tip = sum(f * y**2 * (3 * TOP - y) / (6 * E * I) for f, y in zip(FORCES, HEIGHTS, strict=True))
    assert tip / INCH == pytest.approx(0.90, abs=0.005)
    heights = [3.125 * n * INCH for n in range(1, 13)]
    forces = [200 * LBF] * 12
    thrust = prop_force(forces, heights, 41 * INCH, E * I)
    assert thrust / LBF == pytest.approx(863, abs=0.5)
    assert moment_at(forces, heights, 0.0, 41 * INCH, 0.0) / (LBF * INCH) == pytest.approx(48750)
    base = moment_at(forces, heights, thrust, 41 * INCH, 0.0)
    assert base / (LBF * INCH) == pytest.approx(13349, abs=20)


SPANS = [(1700.0, 1700.0), (1800.0, 1500.0, 1200.0), (1000.0, 2000.0, 1500.0, 1500.0)]


@pytest.mark.parametrize("spans", SPANS)
@pytest.mark.parametrize("at", [0.25, 0.5, 0.7])
def test_rail_over_supports(spans, at) -> None:
    frame = model()
    x = [0.0]
    for span in spans:
        x.append(x[-1] + span)
    for k, place in enumerate(x):
        frame.add_node(f"N{k}", place, 0.0, 0.0)
        frame.def_support(f"N{k}", k == 0, True, True, True, False, False)
    for k in range(len(spans)):
        frame.add_member(f"R{k}", f"N{k}", f"N{k + 1}", "al", "rail")
    frame.add_member_pt_load("R1", "FY", -1000.0, at * spans[1])
    frame.analyze()
    over = support_moments(spans, 1, at, 1000.0)
    for k in range(1, len(spans)):
        # Hogging is negative here.
        member = frame.members[f"R{k}"]
        assert -abs(member.moment("Mz", 0.0)) == pytest.approx(-abs(over[k]), rel=1e-6, abs=1.0)
    under = at * (1 - at) * spans[1] * 1000.0 + over[1] * (1 - at) + over[2] * at
    found = abs(frame.members["R1"].moment("Mz", at * spans[1]))
    assert found == pytest.approx(abs(under), rel=1e-4)


def test_continuous_spans_of_the_beam_tables() -> None:
    # Beam tables (AISC Manual Table 3-23, from memory): two equal spans, one loaded at its middle:
    # 3/32 P L over the support; anywhere, 0.207 P L at most, a little off the middle.
    assert support_moments((1.0, 1.0), 0, 0.5, 1.0)[1] == pytest.approx(-3 / 32)
    assert worst_point_moment((1.0, 1.0)) == pytest.approx(0.2074, abs=5e-4)
    assert worst_point_moment((1.0,)) == pytest.approx(0.25)


def leg(loads: dict[float, float]) -> Any:
    """Six posts 1,700 mm apart under a rail hinged on them; level loads on both end posts."""
    frame = model()
    for k in range(6):
        post(frame, f"P{k}", 1700.0 * k)
    for k in range(5):
        frame.add_member(f"R{k}", f"P{k}1", f"P{k + 1}1", "al", "rail")
        frame.def_releases(f"R{k}", Rzi=True, Rzj=True)
    for y, force in loads.items():
        frame.add_member_pt_load("P0", "FX", force, y)
        frame.add_member_pt_load("P5", "FX", -force, y)
    frame.analyze()
    return frame


def test_whole_leg_under_its_cables() -> None:
    frame = leg(dict(zip(HEIGHTS, FORCES, strict=True)))
    give = 5 * 1700.0 / (2 * E * 600.0)
    thrust = prop_force(FORCES, HEIGHTS, TOP, E * I, give=give)
    axial = [frame.members[f"R{k}"].max_axial("Combo 1") for k in range(5)]
    # The posts between take a little, which counting on the rail alone leaves out.
    assert axial[0] == pytest.approx(thrust, rel=2e-3)
    assert max(axial) <= thrust * 1.002
    base = moment_at(FORCES, HEIGHTS, thrust, TOP, 0.0)
    assert base == pytest.approx(abs(frame.nodes["P00"].RxnMZ["Combo 1"]), rel=2e-3)


def test_flexibility_of_a_whole_leg() -> None:
    # What both end posts come together at each cable when one cable is pulled by 1 kN.
    give = 5 * 1700.0 / (2 * E * 600.0)
    matrix = 2 * post_flexibility(HEIGHTS, E * I, prop=(TOP, give))
    frame = leg({HEIGHTS[6]: 1000.0})
    # The deflection of a member is read across it, whatever sense its local axes have.
    came = [2 * abs(frame.members["P0"].deflection("dy", y, "Combo 1")) for y in HEIGHTS]
    assert came == pytest.approx(list(1000.0 * matrix[6]), rel=5e-3)
    assert np.all(np.linalg.eigvalsh(matrix) > 0)


def test_an_assembled_leg_of_six_posts(job_of) -> None:
    # What `assess` writes for the end post of a leg of 25 ft, against the same leg as a frame.
    job = job_of([{"level": "26 ft"}], units="in")
    job = replace(job, strength=StrengthInputs(propping="rail", base="fixed"))
    assembly = assemble(layout(job))
    posts = list(assembly.of_kind("post"))
    assert len(posts) == 6
    steps: dict[str, Any] = {s.symbol: s.value for s in assess(assembly).members[0].checks[0].steps}
    frame, height = model(), steps["H_r"]
    frame.add_section("tube", 1118.95, steps["I_p"], steps["I_p"], 1e6)
    frame.add_section("top", steps["A_r"], 4e5, 4e5, 6e5)
    along = [distance(posts[0].place.origin, one.place.origin) for one in posts]
    assert along[-1] == pytest.approx(steps["l_1"])
    for k, x in enumerate(along):
        post(frame, f"P{k}", x, height)
        frame.members[f"P{k}"].section = frame.sections["tube"]
    for k in range(5):
        frame.add_member(f"R{k}", f"P{k}1", f"P{k + 1}1", "al", "top")
        frame.def_releases(f"R{k}", Rzi=True, Rzj=True)
    for pull, y in zip(steps["Q_1"], steps["h_1"], strict=True):
        frame.add_member_pt_load("P0", "FX", abs(pull), y)
        frame.add_member_pt_load("P5", "FX", -abs(pull), y)
    frame.analyze()
    thrust = max(frame.members[f"R{k}"].max_axial("Combo 1") for k in range(5))
    assert abs(steps["R_1"]) == pytest.approx(thrust, rel=5e-3)
    level = steps["z"]
    found = abs(frame.members["P0"].moment("Mz", level, "Combo 1"))
    assert abs(steps["M_1"]) == pytest.approx(found, rel=1e-2)
