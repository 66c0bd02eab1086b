"""Where handrails are asked for, what serves as one, and what a spec may say of them.

IRC R311.7.8 (2021): four risers, one side. IBC 1011.11: every flight, both sides. NCC 11.3.5: a
rise of 1 m. Ramps: IRC R311.8.3, steeper than 1 in 12; IBC 1012.8, more than 6 in: from memory.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Rectangle, Section

INCH = 25.4
STAIR = {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}
GRASPABLE = {"name": "al-flat-2.5x1.5", "width": "1-1/2 in", "corner": "1/8 in"}
NARROW = {"name": "al-saddle", "width": "1-1/4 in"}


@pytest.fixture
def told(spec_values, read_values):
    """Findings of one run of legs by a handrail as the spec writes it."""

    def found(legs, handrail=None, rules="irc-2021", grasp=False, **guard):
        values = spec_values("lake-deck")
        values["job"]["rules"] = rules
        values["runs"] = [
            {"id": "A", "start": {"z": "9 ft", "end": "free"}, "legs": legs, "end": "free"}
        ]
        values["guard"] |= guard
        if grasp:
            values["system"] |= {"rail": GRASPABLE, "bracket": NARROW}
        if handrail is not None:
            values["handrail"] = handrail
        return run(assemble(layout(read_values(values)))).findings

    return found


def of(findings, code):
    return [finding for finding in findings if finding.code == code]


def test_a_spec_that_says_nothing_gets_a_note_with_its_reason(told):
    (finding,) = of(told([STAIR]), "handrail.required")
    assert (finding.severity, finding.measured, finding.limit) == ("note", 0.0, 1.0)
    # 2-1/2 by 1-1/2 in: perimeter 8 in, over 6-1/4 in.
    assert '8"' in finding.message
    assert "no failure, for one on the other side, by others, would serve" in finding.message
    assert [(edit.path, edit.value) for edit in finding.edits] == [("handrail", "round")]


def test_the_edit_of_the_note_clears_it_and_brings_no_failure(told):
    findings = told([STAIR], "round")
    assert not of(findings, "handrail.required")
    assert not [f for f in findings if f.severity == "fail"]


def test_elsewhere_serves(told):
    assert not of(told([STAIR], "elsewhere"), "handrail.required")


def test_a_guard_that_is_said_to_serve_and_does(told):
    findings = told([STAIR], "guard", grasp=True, run_on="2 in")
    assert not [f for f in findings if f.code.startswith("handrail.")]


def test_a_guard_that_is_said_to_serve_and_is_too_thick_fails(told):
    findings = told([STAIR], "guard", run_on="2 in")
    assert not of(findings, "handrail.required")
    broken = of(findings, "handrail.grip")
    # Perimeter 8 in against 6-1/4; across, the root of 2.5^2 + 1.5^2 against 2-1/4; sharp edges.
    assert {f.severity for f in broken} == {"fail"}
    assert sorted(round(f.measured / INCH, 4) for f in broken) == [0, 2.9155, 8]
    assert all(edit.path == "handrail" for f in broken for edit in f.edits)
    assert not [f for f in told([STAIR], "round", run_on="2 in") if f.severity == "fail"]


@pytest.mark.parametrize("height, fails", [("34 in", False), ("38 in", False), ("38.1 in", True)])
def test_a_guard_that_is_said_to_serve_keeps_to_the_heights_of_a_handrail(told, height, fails):
    # IRC R312.1.2 exception 2, R311.7.8.1: 34 to 38 in
    findings = told([STAIR], "guard", grasp=True, run_on="3 in", stair_height=height)
    found = [f for f in of(findings, "height.stair") if f.limit == pytest.approx(38 * INCH)]
    assert bool(found) is fails
    assert all(f.severity == "fail" and f.edits[0].path == "guard.stair_height" for f in found)


def test_a_guard_that_is_said_to_serve_and_ends_short_fails(told):
    (finding,) = of(told([STAIR], "guard", grasp=True, run_on="1 in"), "handrail.required")
    assert finding.severity == "fail"
    assert "does not reach over the nosing" in finding.message
    assert finding.edits[0].value == "round"


@pytest.mark.parametrize("risers, asked", [(3, False), (4, True)])
def test_the_irc_asks_from_four_risers_on(told, risers, asked):
    stair = {"stair": {"risers": risers, "rise": f"{7 * risers} in", "tread": "11 in"}}
    assert bool(of(told([stair]), "handrail.required")) is asked


@pytest.mark.parametrize("rise, asked", [("0.999 m", False), ("1 m", True)])
def test_the_ncc_asks_from_a_rise_of_a_metre_on(told, rise, asked):
    stair = {"stair": {"risers": 6, "rise": rise, "tread": "280 mm"}}
    assert bool(of(told([stair], rules="ncc-2022"), "handrail.required")) is asked


def test_the_ibc_asks_for_both_sides(told):
    stair = {"stair": {"risers": 3, "rise": "20 in", "tread": "11 in"}}
    (none,) = of(told([stair], rules="ibc-2021"), "handrail.required")
    assert (none.measured, none.limit, none.severity) == (0.0, 2.0, "note")
    (one,) = of(told([stair], "round", "ibc-2021"), "handrail.required")
    assert (one.measured, one.severity, one.clause) == (1.0, "note", "1011.11")
    assert not of(told([stair], {"other_side": True}, "ibc-2021"), "handrail.required")
    assert not of(told([stair], "elsewhere", "ibc-2021"), "handrail.required")


def test_a_second_guard_with_a_handrail_is_the_other_side(planned):
    assembly = planned("both-sides-stair").assembly
    rules = assembly.job.rules
    sides = replace(rules.limits["handrail.sides"], value=2.0, text="2")
    both = replace(rules, limits={**rules.limits, "handrail.sides": sides})
    there = replace(assembly, job=replace(assembly.job, rules=both))
    assert not of(run(there).findings, "handrail.required")
    lost = tuple(p for p in there.parts if not (p.kind == "handrail" and p.run == "B"))
    found = of(run(replace(there, parts=lost)).findings, "handrail.required")
    assert [f.measured for f in found] == [1.0, 1.0]


@pytest.mark.parametrize("rise, asked", [("12 in", False), ("12.1 in", True)])
def test_a_ramp_steeper_than_one_in_twelve(told, rise, asked):
    # 12 ft level
    legs = [{"ramp": {"length": "12 ft", "rise": rise}}]
    found = of(told(legs), "handrail.required")
    assert bool(found) is asked
    assert all(f.clause == "R311.8.3" and f.severity == "note" for f in found)
    assert not of(told(legs, "round"), "handrail.required")


@pytest.mark.parametrize("rise, asked", [("6 in", False), ("6.1 in", True)])
def test_a_ramp_that_rises_more_than_six_inches(told, rise, asked):
    legs = [{"ramp": {"length": "12 ft", "rise": rise}}]
    assert bool(of(told(legs, rules="ibc-2021"), "handrail.required")) is asked


def test_extensions_of_the_ibc(told):
    # 1014.6: 12 in past the top riser, one tread past the bottom one; from memory. What is laid out
    # begins and ends over the first and the last nosing.
    found = of(told([STAIR], "round", "ibc-2021"), "handrail.extension")
    assert {f.severity for f in found} == {"fail"}
    assert sorted(f.limit / INCH for f in found) == pytest.approx([11, 12])
    assert not of(told([STAIR], "round", "ibc-2021-dwelling"), "handrail.extension")
    deep = {"stair": {**STAIR["stair"], "tread": "13 in"}}
    found = of(told([deep], "round", "ibc-2021"), "handrail.extension")
    assert sorted(f.limit / INCH for f in found) == pytest.approx([12, 13])


@pytest.mark.parametrize("clearance, told_of", [("3 in", False), ("3-1/16 in", True)])
def test_projection_from_the_guard(told, clearance, told_of):
    # IRC R311.7.8.2: 4-1/2 in; the tube is 1-1/2 in thick
    findings = told([STAIR], {"clearance": clearance, "other_side": True})
    found = of(findings, "handrail.projection")
    assert bool(found) is told_of
    for finding in found:
        assert finding.measured / INCH == pytest.approx(4.5625)
        assert [(e.path, e.value) for e in finding.edits] == [("handrail.clearance", '3"')]


def test_a_tube_moved_away_from_the_guard_projects_too_far(planned):
    assembly = planned("both-sides-stair").assembly
    (bar, *_) = [p for p in assembly.parts if p.kind == "handrail" and abs(p.place.z[2]) > 0.1]
    x, y, z = bar.place.origin
    # Run A's stair goes east, its walking side is north.
    moved = replace(bar, place=replace(bar.place, origin=(x, y + 2 * INCH, z)))
    parts = tuple(moved if p is bar else p for p in assembly.parts)
    (finding,) = of(run(replace(assembly, parts=parts)).findings, "handrail.projection")
    assert finding.where[0] == bar.mark
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(5.0)


def test_a_break_in_the_handrail_is_told(spec_values, read_values):
    values = spec_values("lake-deck")
    values["handrail"] = "round"
    values["stock"] = {"rail": [{"length": "5 ft"}]}
    values["guard"]["max_post_spacing"] = "40 in"
    assembly = assemble(layout(read_values(values)))
    bars = [p for p in assembly.parts if p.kind == "handrail" and abs(p.place.z[2]) > 0.1]
    assert len(bars) > 1
    assert not of(run(assembly).findings, "handrail.short")
    last = bars[-1]
    shape = last.shape
    assert isinstance(shape, Prism)
    # Cut 2 in shorter along the pitch where it meets the piece before.
    shorter = replace(shape, start=replace(shape.start, z_mm=shape.start.z_mm + 2 * INCH))
    cut = replace(last, shape=shorter)
    parts = tuple(cut if p is last else p for p in assembly.parts)
    (finding,) = of(run(replace(assembly, parts=parts)).findings, "handrail.short")
    assert finding.where == (bars[-2].mark, last.mark)
    assert finding.measured is not None
    assert finding.measured == pytest.approx(2 * INCH / (1 + (48 / 77) ** 2) ** 0.5)


def test_a_rail_resized_is_no_handrail_any_more(planned):
    assembly = planned("cottage-steps").assembly
    assert not of(run(assembly).findings, "handrail.grip")
    mark = assembly.legs[0].rails[0]
    rail = assembly.by_mark[mark]
    assert isinstance(rail.shape, Prism)
    thick = replace(rail.shape, section=Section(Rectangle(2 * INCH, 2 * INCH, 3.0)))
    parts = tuple(replace(p, shape=thick) if p is rail else p for p in assembly.parts)
    found = of(run(replace(assembly, parts=parts)).findings, "handrail.grip")
    assert {f.where for f in found} == {(mark,)}
    assert {f.severity for f in found} == {"fail"}
