"""A whole job assessed: every line can be worked anew, and the worst is found where it is."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from formulas import worked
from generator.catalog import Catalog
from generator.catalog.rules import completed
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.results.edits import edited
from generator.spec import job_of, read_job
from generator.spec.job import Level, StrengthInputs, Turn
from generator.strength.loads import loads_of
from generator.strength.pulling import orders
from generator.strength.result import Strength
from generator.strength.rows import summary_rows
from generator.strength.steps import Step
from generator.strength.summary import assess
from generator.textfile import read_yaml

LBF, INCH, KSI = 4.4482216152605, 25.4, 6.894757293168361
EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


# The lake deck of aluminium, with the tension that is the default: what is worked out by hand here.
LIGHT = {
    "system.post": "al-square-2.5",
    "system.bracket": "al-saddle",
    "system.anchor": "through-bolt-3_8",
    "guard.tension": "200 lbf",
    "strength.propping": "none",
    "strength.base": "worse",
}


def assembled(path: Path, **inputs: Any) -> Assembly:
    job = read_job(path)
    return assemble(layout(replace(job, strength=replace(job.strength, **inputs))))


def light(**inputs: Any) -> Assembly:
    job = job_of(edited(read_yaml(EXAMPLES[0].with_name("lake-deck.yaml")), LIGHT))
    return assemble(layout(replace(job, strength=replace(job.strength, **inputs))))


def lake(**inputs: Any) -> Strength:
    return assess(light(**inputs))


@pytest.fixture(scope="module")
def free() -> Strength:
    return lake()


@pytest.fixture(scope="module")
def propped() -> Strength:
    return lake(propping="rail")


def recomputed(steps: Sequence[Step]) -> None:
    """Every line from what the page shows: the numbers put in are those of the lines above."""
    seen: dict[str, Any] = {}
    for step in steps:
        assert step.symbol not in seen
        assert step.meaning
        if step.formula:
            values = {term.symbol: term.value for term in step.terms}
            for term in step.terms:
                assert seen[term.symbol] == (term.value, term.unit)
            found = worked(step.formula, values)
            assert found == pytest.approx(step.value, rel=1e-12, abs=1e-12)
        seen[step.symbol] = (step.value, step.unit)
        assert step.source.clause or step.source.text


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("propping", ["none", "rail"])
def test_every_line_can_be_worked_anew(path: Path, propping: str) -> None:
    found = assess(assembled(path, propping=propping))
    assert found.members
    for _, check in found.checks():
        assert math.isfinite(check.demand)
        assert check.demand >= 0
        assert check.stated_only or (check.capacity or 0) > 0
        recomputed(check.steps)
        values = [step.value for step in check.steps]
        assert check.demand in values
        assert check.stated_only or check.capacity in values


def test_members_are_told_once_and_all_are_there(free: Strength) -> None:
    marks = [mark for member in free.members for mark in member.marks]
    assert len(marks) == len(set(marks))
    assert {m for m in marks if m[0] == "P"} == {f"P{n}" for n in range(1, 12)}
    assert {m for m in marks if m[0] == "C"} == {f"C{n}" for n in range(1, 34)}
    kinds = {member.kind for member in free.members}
    assert kinds == {"end post", "intermediate post", "corner post", "rail", "cables"}


def check(found: Strength, mark: str, name: str):
    member = next(m for m in found.members if mark in m.marks)
    return next(c for c in member.checks if c.name == name)


def step(found: Strength, mark: str, name: str, symbol: str) -> Step:
    return next(s for s in check(found, mark, name).steps if s.symbol == symbol)


def test_intermediate_post_by_hand(free: Strength) -> None:
    # P2: 200 lb at 36 in over the deck, root at the top of a 3/8 in plate: 7,125 lb in; gross
    # S = (2.5**4 - 2.125**4) / 15 = 1.2448 in3: 5.72 ksi against 15 / 1.65 = 9.09 beside the weld.
    found = check(free, "P2", "bending")
    assert found.demand / KSI * 1000 == pytest.approx(7125 / 1.2448, rel=2e-3)
    assert (found.capacity or 0) / KSI == pytest.approx(15 / 1.65, rel=1e-6)
    # Deflection P H**3 / 3 E I and 1 degree of give: E 10,100 ksi, I 1.556 in4, H 35.625 in.
    moved = check(free, "P2", "deflection").demand / INCH
    by_hand = 200 * 35.625**3 / (3 * 10.1e6 * 1.55599) + math.radians(1.0) * 35.625
    assert moved == pytest.approx(by_hand, rel=1e-4)


def test_couple_of_the_anchors(free: Strength) -> None:
    # reference.md section 5: 7,200 lb in at 36 in, arm 4 in: 1,800 lb, on two bolts.
    pull = step(free, "P2", "washer on the wood", "T_b").value
    assert isinstance(pull, float)
    assert 2 * pull / LBF == pytest.approx(1800, rel=1e-6)


def test_free_end_post_by_hand(free: Strength) -> None:
    # All cables of P1 at their tightest, rows 3 in apart from 3 in over the deck; no prop.
    case = check(free, "P1", "bending")
    steps = {s.symbol: s for s in case.steps}
    pulls, heights = steps["Q_1"].value, steps["y_1"].value
    assert isinstance(pulls, tuple)
    assert isinstance(heights, tuple)
    assert len(pulls) == 11
    assert heights[1] - heights[0] == pytest.approx(3 * INCH)
    moment = abs(sum(q * y for q, y in zip(pulls, heights, strict=True)))
    assert abs(steps["M_1"].value) == pytest.approx(moment)  # type: ignore[arg-type]


def test_a_prop_relieves_the_post_and_loads_the_rail(free: Strength, propped: Strength) -> None:
    assert (
        check(propped, "P1", "bending").utilisation < check(free, "P1", "bending").utilisation / 2
    )
    assert "rail.strut" in propped.worst
    assert "rail.strut" not in free.worst
    assert propped.worst["rail.splice"][1].demand > free.worst["rail.splice"][1].demand


def test_the_adverse_default_is_the_worst(propped: Strength) -> None:
    kind = lake(propping="rail", base="fixed", base_give_deg=0.0, rail="continuous", duration=1.6,
                moisture="dry", filler="5356", relaxation=0.0)  # fmt: skip
    for code, (_, found) in kind.worst.items():
        assert found.utilisation <= propped.worst[code][1].utilisation + 1e-9, code


@pytest.mark.parametrize("field", ["base", "rail", "moisture", "filler"])
def test_each_input_has_its_adverse_default(field: str) -> None:
    other = {"base": "fixed", "rail": "continuous", "moisture": "dry", "filler": "5356"}[field]
    told = {a.key: a for a in lake(**{field: other}).assumptions}
    assert not told[field].adverse
    assert {a.key for a in lake().assumptions if a.adverse} >= {field, "friction"}
    assert set(told) == {*StrengthInputs.__slots__, "friction"} - {"elsewhere"}


def test_all_cables_end_at_the_target(free: Strength, propped: Strength) -> None:
    for found in (free, propped):
        for one in found.schedules:
            assert one.final_n == pytest.approx([200 * LBF] * len(one.marks), rel=1e-9)
            assert len(one.pulls) == one.passes * len(one.marks)
            first = [pull.cable for pull in one.pulls[: len(one.marks)]]
            assert tuple(first) == orders(len(one.marks))[one.order]
    # Pulled to the gauge once, free posts leave some slack; propped ones most of it.
    assert free.schedules[0].even_n[0] < propped.schedules[0].even_n[0]


def test_threads_that_stand_out(propped: Strength) -> None:
    # Common practice, no source: flush before, five to six threads after on a leg of 20 ft or so.
    # Stretch of 23 ft at 200 lbf is 0.31 in, six threads of 1/20 in; what new strand stretches for
    # good, 0.1 %, is as much again, and is taken up by later pulls.
    long = propped.schedules[0]
    assert long.threads_start == 0.0
    takeup = {s.symbol: s.value for s in check(propped, "C1", "take-up").steps}
    stretch = takeup["T_0"] * takeup["L_c"] / takeup["EA"] / (INCH / 20)  # type: ignore[operator]
    assert 5.0 <= stretch <= 6.5
    assert max(long.threads_end) * INCH / 20 == pytest.approx(takeup["u_c"], rel=1e-6)
    assert long.threads_end[0] > propped.schedules[-1].threads_end[0]


def test_equal_cases_are_worked_out_once(free: Strength) -> None:
    two = next(m for m in free.members if "P2" in m.marks)
    assert set(two.marks) >= {"P2", "P3"}


def test_moved_and_changed_parts_are_seen() -> None:
    # The assembly is read, not the layout: a cable moved up pulls harder.
    assembly = light()
    before = check(assess(assembly), "P1", "bending").demand
    cable = assembly.by_mark["C11"]
    x, y, z = cable.place.origin
    place = replace(cable.place, origin=(x, y, z + 20.0))
    parts = tuple(replace(p, place=place) if p is cable else p for p in assembly.parts)
    after = check(assess(replace(assembly, parts=parts)), "P1", "bending").demand
    assert after > before


def test_what_is_not_known_is_said(job_of: Callable[..., Any]) -> None:
    # A spec cannot say so; a job that is put together otherwise can.
    structure = {"joists": {"spacing": 400, "width": 45, "depth": 200, "bearing": 90,
                            "species": "spruce"}}  # fmt: skip
    job = job_of([{"level": 6000}], structure=structure)
    other = replace(job.structure.joists, species="bamboo")
    job = replace(job, structure=replace(job.structure, joists=other))
    found = assess(assemble(layout(job)))
    assert any("bamboo" in line for line in found.unproved)
    names = {c.name for _, c in found.checks() if c.stated_only}
    assert {"pull on an anchor", "shear on an anchor"} <= names


def test_what_is_left_out_is_said(free: Strength) -> None:
    assert any("bracket" in line for line in free.unproved)
    assert any("spacers" in line for line in free.unproved)


def test_a_long_job_is_worked_out_by_its_kinds() -> None:
    # Issue 5: equal cases once. 400 posts in four like sides have no more kinds than one side.
    job = read_job(EXAMPLES[0].with_name("straight-leg.yaml"))
    legs = []
    for k in range(4):
        if k:
            legs.append(Turn(f"turn {k}", 90.0, "pair"))
        legs.append(Level(f"leg {k}", 100 * 6 * 12 * INCH))
    run = replace(job.runs[0], legs=tuple(legs), end="free")
    assembly = assemble(layout(replace(job, runs=(run,))))
    assert sum(1 for _ in assembly.of_kind("post")) > 400
    assert len(assess(assembly).members) < 40


def test_shear_is_told_by_the_grain_of_the_blocks(free: Strength) -> None:
    # Joists of the lake deck run across leg 1: blocks, and so the grain, along it; along leg 2 the
    # blocks lie across. Two bolts of P4 come down on a joist: taken as across.
    angles = {
        mark: step(free, mark, "shear in the wood", "a_g").value for mark in ("P1", "P4", "P8")
    }
    assert angles == {"P1": 0.0, "P4": 90.0, "P8": 90.0}


def test_twice_the_same(free: Strength) -> None:
    assert lake() == free


RULES = sorted(path.stem for path in (EXAMPLES[0].parents[1] / "profiles" / "rules").glob("*.yaml"))


@pytest.mark.parametrize("name", [name for name in RULES if name != "practice"])
def test_loads_are_those_of_the_rule_set(name: str) -> None:
    assembly = assembled(EXAMPLES[0].with_name("straight-leg.yaml"), propping="rail")
    rules = completed(Catalog.standard().rules(name))
    found = assess(replace(assembly, job=replace(assembly.job, rules=rules)))
    loads = loads_of(replace(assembly.job, rules=rules))
    assert loads.top_n == rules.limit("load.top").value
    stated = [key for key in ("load.line", "load.vertical") if rules.limit(key).stated]
    assert any("line load" in c.case for _, c in found.checks()) <= bool(stated)
    assert {case.way for case in loads.cases()} >= {"none", "across", "along", "down", "infill"}
    for _, check in found.checks():
        recomputed(check.steps)


def test_fascia_couple_by_hand() -> None:
    # fascia-balcony: 200 lb at 36 in; the plate of 6-1/2 in lies under 1 in of decking, its rows of
    # bolts 4-1/2 in apart: arm 36 + 1 + 3.25 = 40.25 in, two bolts in the upper row, and each of
    # four a fourth of the load itself (statics).
    found = assess(assembled(EXAMPLES[0].with_name("fascia-balcony.yaml")))
    member = next(m for m in found.members if m.kind == "intermediate post")
    check_ = next(c for c in member.checks if c.name == "anchor's steel")
    pull = next(s.value for s in check_.steps if s.symbol == "T_b")
    assert isinstance(pull, float)
    assert pull / LBF == pytest.approx(200 * 40.25 / (2 * 4.5) + 200 / 4, rel=1e-3)


def test_concrete_is_stated_only() -> None:
    found = assess(assembled(EXAMPLES[0].with_name("core-terrace.yaml")))
    anchors = [c for _, c in found.checks() if c.code == "anchor.withdrawal"]
    assert anchors
    assert all(c.stated_only for c in anchors)
    assert any("concrete" in line for line in found.unproved)
    # 200 lb at 42 in or 36 in: moment at the top of the concrete, by hand from the rail's height.
    posts = [m for m in found.members if m.kind == "intermediate post"]
    for member in posts:
        moment = next(c for c in member.checks if c.name == "moment on the core")
        height = next(s.value for s in moment.steps if s.symbol == "H")
        assert moment.demand == pytest.approx(200 * LBF * height)  # type: ignore[operator]


def test_tension_alone_lasts_for_good(job_of: Callable[..., Any]) -> None:
    # NDS Table 2.3.2 (from memory): permanent 0.9, whatever the load at the top is given.
    job = job_of([{"level": "23 ft 6 in"}], units="in")
    short = replace(job, strength=replace(job.strength, duration=1.6))
    shear = check(assess(assemble(layout(short))), "P1", "shear in the wood")
    duration = next(s.value for s in shear.steps if s.symbol == "C_D")
    assert duration == 0.9
    assert "alone" in shear.case


def test_summary_rows_are_the_worst_of_each_code(free: Strength) -> None:
    rows = {row.code: row for row in summary_rows(free)}
    assert set(rows) == set(free.worst)
    for code, (member, found) in free.worst.items():
        assert rows[code].utilisation == found.utilisation
        assert rows[code].passed == (found.utilisation <= 1.0 + 1e-9)
        assert member.mark in rows[code].line
        assert rows[code].clause


def test_side_plate_and_its_weld_by_hand() -> None:
    # fascia-balcony, a post between the ends: T = 200 x 40.25 / 9 + 50 = 944.4 lb on a bolt that
    # stands (3-3/8 - 2-1/2) / 2 = 0.4375 in beside the stand-off, on a strip of 6.5 / 2 = 3.25 in
    # of plate 3/8 in thick: 6 x 944.4 x 0.4375 / (3.25 x 0.375**2) = 5,424 psi (statics).
    # Its weld of 3/16 in round 2-1/2 x 6-1/2 in: S = (2.5 x 6.5 + 6.5**2 / 3) x 0.1326 = 4.022 in3,
    # 8,050 / 4.022 + 200 / (18 x 0.1326) = 2,085 psi.
    found = assess(assembled(EXAMPLES[0].with_name("fascia-balcony.yaml")))
    member = next(m for m in found.members if m.kind == "intermediate post")
    checks = {check.name: check for check in member.checks}
    psi = KSI / 1000
    assert checks["side plate"].demand / psi == pytest.approx(5424, abs=2)
    assert checks["stand-off weld"].demand / psi == pytest.approx(2085, abs=1)
    assert not {"base weld", "base plate"} & set(checks)


def test_what_brackets_hand_on_is_stated() -> None:
    # both-sides-stair: IRC Table R301.5, 200 lb at the handrail, whose axis stands 1-1/2 in and
    # half of its 1-1/2 in off the rail, as wide as the post: 450 lb in on the flange of a bracket.
    found = assess(assembled(EXAMPLES[0].with_name("both-sides-stair.yaml")))
    member = next(m for m in found.members if m.kind == "handrail")
    checks = {check.name: check for check in member.checks}
    assert all(check.stated_only for check in checks.values())
    assert checks["handrail bracket, force"].demand == pytest.approx(200 * LBF)
    assert checks["handrail bracket, moment"].demand == pytest.approx(200 * 2.25 * LBF * INCH)
    span = next(s.value for s in checks["handrail, moment"].steps if s.symbol == "L_h")
    assert isinstance(span, float)
    assert checks["handrail, moment"].demand == pytest.approx(200 * LBF * span / 4)
    rail = next(m for m in found.members if m.kind == "rail")
    across = next(c for c in rail.checks if c.name == "bracket on its post, across the rail")
    assert across.stated_only
    assert across.demand == pytest.approx(200 * LBF)
    along = next(c for c in rail.checks if c.name == "bracket on its post, along the rail")
    screws = next(c for c in rail.checks if c.name == "screws of the joint")
    assert along.demand == pytest.approx(next(s.value for s in screws.steps if s.symbol == "F_j"))


def test_moment_of_a_continuous_rail_is_told_from_its_supports() -> None:
    # Four bays of 63-3/4 in: a load in an end span governs, 0.2042 of the span (beam tables: two
    # spans 0.2031, three 0.2040, many 0.2042).
    found = assess(assembled(EXAMPLES[0].with_name("straight-leg.yaml"), rail="continuous"))
    member = next(m for m in found.members if m.kind == "rail")
    check = next(c for c in member.checks if c.name == "bending")
    recomputed(check.steps)
    told = {step.symbol: step.value for step in check.steps}
    assert told["k_M"] == pytest.approx(0.2042 * 63.75 * INCH, rel=1e-3)
    assert {"a_s", "L_2", "L_3", "m_3c", "m_0"} <= set(told)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_what_people_read_names_no_file_of_the_developers(path: Path) -> None:
    found = assess(assembled(path))
    for _, check in found.checks():
        assert "reference.md" not in check.source.text
        for step in check.steps:
            assert "reference.md" not in f"{step.meaning} {step.source.clause} {step.source.text}"
            assert step.source.text.count("from memory") <= 1


def test_a_rail_that_is_lifted_by_hand() -> None:
    # lake-deck: 200 lb up on one end of a piece, 4 of 8 screws No. 14 (0.242 in) in 1/8 in of
    # 6061-T6: 50 lb each against 1.2 x 0.242 x 0.125 x 35,000 / 3 = 423.5 lb (ADM J.5.5, memory).
    found = assess(assembled(EXAMPLES[0].with_name("lake-deck.yaml")))
    member = next(m for m in found.members if m.kind == "rail")
    check = next(c for c in member.checks if c.name == "screws, rail lifted")
    assert check.demand / LBF == pytest.approx(50)
    assert check.capacity is not None
    assert check.capacity / LBF == pytest.approx(423.5, abs=0.5)


def test_what_is_left_to_take_up_is_told() -> None:
    found = assess(assembled(EXAMPLES[0].with_name("lake-deck.yaml")))
    takeup = next(c for _, c in found.checks() if c.code == "cable.takeup")
    told = {step.symbol: step.value for step in takeup.steps}
    assert takeup.capacity is not None
    assert told["u_l"] == pytest.approx(takeup.capacity - takeup.demand)
