"""`opening.loaded` and `cable.tension`: which gap is the worst, and every criterion on and off."""

from __future__ import annotations

import re
from copy import deepcopy
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from changing import shifted
from generator.catalog.wire_tables import ncc_2022
from generator.checks import run
from generator.checks.gaps import gaps_of
from generator.checks.loaded_remedy import working_limit
from generator.checks.view import CableLine, Line, leg_views
from generator.checks.wires import check_wires
from generator.layout import layout
from generator.parts.build import assemble

INCH = 25.4
LBF = 4.4482216152605
CANADA, AUSTRALIA = "birch-landing", "wattle-veranda"


def set_to(assembly, rules=None, **guard):
    """The assembly with other measures in its job, its parts as they were."""
    job = replace(assembly.job, guard=replace(assembly.job.guard, **guard))
    return replace(assembly, job=replace(job, rules=rules) if rules else job)


def measures(assembly, *, clause=None, code="opening.loaded"):
    found = [m for m in run(assembly).measures if m.code == code]
    return [m for m in found if clause is None or m.clause == clause]


def findings(assembly, code="opening.loaded"):
    return [f for f in run(assembly).findings if f.code == code]


# --- the gaps ---


def test_every_leg_tells_one_force_the_least_of_its_gaps(planned, root):
    for path in sorted((root / "examples").glob("*.yaml")):
        assembly = planned(path.stem).assembly
        told = [m for m in measures(assembly) if m.sense == "none"]
        legs = leg_views(assembly)
        assert len(told) == len(legs), path.stem
        tension = assembly.job.guard.tension_n
        for view, measure in zip(legs, told, strict=True):
            gaps = gaps_of(assembly.job, view)
            kinds = {gap.kind for gap in gaps}
            assert {"cable", "rail"} <= kinds
            assert ("floor" in kinds) == (view.leg.kind != "stair")
            assert measure.measured == min(gap.push(tension) for gap in gaps)
            assert measure.measured > 0


def test_the_stair_is_measured_square_to_the_cables(lake_deck):
    # 7 risers in 48 in, treads of 11 in: 3 in plumb are 2.5459 in square; the sphere is 4-3/8 in.
    (pair,) = [
        g for g in gaps_of(lake_deck.job, leg_views(lake_deck.assembly)[2]) if g.kind == "cable"
    ]
    rise = 48 / 7
    cosine = 11 / (rise**2 + 11**2) ** 0.5
    assert pair.distance_mm / INCH == pytest.approx(3 * cosine)
    assert pair.sphere_mm / INCH == pytest.approx(4.375)
    # P9 to P10 are 34 in apart in plan, with one bar between.
    assert pair.span_mm / INCH == pytest.approx(34 / cosine / 2)


def test_a_rail_too_high_is_where_the_sphere_comes_through(planned):
    assembly = planned("straight-leg").assembly
    (rail,) = assembly.of_kind("rail")
    (before,) = findings(assembly)
    (after,) = findings(shifted(assembly, rail.mark, (0.0, 0.0, 50.0)))
    assert (after.measured or 0.0) < (before.measured or 0.0)
    view = leg_views(assembly)[0]
    top = max(view.cables, key=lambda cable: cable.axis.z_mm)
    assert after.where == (top.mark, rail.mark, *view.leg.posts[:2])


def test_cables_higher_over_the_floor_let_it_through_below(planned):
    assembly = planned("straight-leg").assembly
    deck = next(assembly.of_kind("deck"))
    (after,) = findings(shifted(assembly, deck.mark, (0.0, 0.0, -15.0)))
    assert after.where[0] == deck.mark
    assert "the floor" in after.message
    # Lower by more, the sphere passes at rest: no force is left, and opening.bottom says so.
    report = run(shifted(assembly, deck.mark, (0.0, 0.0, -40.0)))
    (loaded,) = [f for f in report.findings if f.code == "opening.loaded"]
    assert (loaded.measured, loaded.severity) == (0.0, "note")
    assert "opening.bottom" in {f.code for f in report.findings if f.severity == "fail"}


def test_cables_outside_the_edge_have_a_slanting_gap_to_it(planned):
    assembly = planned("fascia-balcony").assembly
    view = leg_views(assembly)[0]
    (floor,) = [gap for gap in gaps_of(assembly.job, view) if gap.kind == "floor"]
    assert floor.beside == "edge"
    assert floor.distance_mm > view.outside_mm > 0


def test_spans_are_those_of_the_cables_own_supports(planned):
    # A column holds cables of two groups: each has its own bays.
    assembly = planned("porch-columns").assembly
    view = leg_views(assembly)[0]
    pairs = [gap for gap in gaps_of(assembly.job, view) if gap.kind == "cable"]
    assert len(pairs) == len(view.panels()) == 2
    for gap, panel in zip(pairs, view.panels(), strict=True):
        assert set(gap.where[2:]) <= {*panel[0].group, *view.leg.spacers}


# --- criteria ---


def test_without_a_criterion_it_is_a_note_or_a_warning_past_42_in(job_of):
    # Common practice, no source: 42 in.
    for longest in ("41 in", "43 in", "50 in"):
        job = job_of([{"level": "16 ft"}], max_post_spacing=longest, max_cable_span=None)
        spans = [
            gap.span_mm for view in leg_views(assemble(layout(job))) for gap in gaps_of(job, view)
        ]
        (finding,) = findings(assemble(layout(job)))
        assert finding.severity == ("warn" if max(spans) > 42 * INCH else "note")
        assert finding.limit is None
        assert "states no force" in finding.message


def test_warns_just_past_the_customary_span(job_of):
    for length, severity in ((42.0, "note"), (42.01, "warn")):
        # One bay: posts stand their inset of 4 in from either end.
        job = job_of([{"level": f"{length + 8} in"}], edge_inset="4 in")
        (view,) = leg_views(assemble(layout(job)))
        assert gaps_of(job, view)[0].span_mm / INCH == pytest.approx(length)
        (finding,) = findings(assemble(layout(job)))
        assert finding.severity == severity


def test_a_stated_force_is_kept_or_not(lake_deck):
    assembly = lake_deck.assembly
    least = min(m.measured for m in measures(assembly))
    assert findings(set_to(assembly, sphere_force_n=least - 1e-5)) != []
    for asked, failures in ((least - 1e-5, 0), (least + 1e-5, 1)):
        report = run(set_to(assembly, sphere_force_n=asked))
        found = [f for f in report.findings if f.code == "opening.loaded"]
        assert [f.severity for f in found].count("fail") == failures
        # The force is told of every leg all the same.
        assert len(found) == len(assembly.legs)
        if failures:
            assert found[0].limit == asked
            assert found[0].clause == "guard.sphere_force"


def test_with_a_criterion_a_long_span_alone_is_no_warning(job_of):
    job = job_of([{"level": "16 ft"}], max_post_spacing="6 ft", sphere_force="1 lbf")
    assert [f.severity for f in findings(assemble(layout(job)))] == ["note"]


def test_the_spreading_force_of_canada_at_its_limit(planned):
    # NBC 2020, 9.8.8.2.(2): 0.1 kN on each of two neighbours; the measure is linear in the tension.
    assembly = planned(CANADA).assembly
    tension = assembly.job.guard.tension_n
    (least, *_) = sorted(m.measured for m in measures(assembly, clause="9.8.8.2.(2)"))
    assert least > 100
    critical = tension * 100 / least
    for share, failures in ((1 + 1e-7, 0), (1 - 1e-7, 1)):
        found = findings(set_to(assembly, tension_n=critical * share, sphere_force_n=None))
        failed = [f for f in found if f.severity == "fail"]
        assert len(failed) == failures
        if failed:
            assert failed[0].limit == 100
            assert failed[0].clause == "9.8.8.2.(2)"


def test_the_spreading_force_by_hand(planned):
    # 4 T u / L with u = (100 + 4 - 60) / 2 mm, but for the length of the slanting cable.
    assembly = planned(CANADA).assembly
    span = max(g.span_mm for v in leg_views(assembly)[:1] for g in gaps_of(assembly.job, v))
    measure = measures(assembly, clause="9.8.8.2.(2)")[0]
    assert measure.measured == pytest.approx(4 * 380 * 22 / span, rel=2e-2)


def test_a_cable_moved_turns_the_spreading_force_on(planned):
    assembly = planned(CANADA).assembly
    clause = "9.8.8.2.(2)"
    view = leg_views(assembly)[0]
    span = max(g.span_mm for g in gaps_of(assembly.job, view) if g.kind == "cable")
    # By hand: 100 N hold at u where 4 T u / sqrt(L^2 + 4 u^2) = 100, so the cables may be that far.
    give = 100 * span / (4 * 380)
    for _ in range(50):
        give = 100 * (span**2 + 4 * give**2) ** 0.5 / (4 * 380)
    wider = 104 - 2 * give - 60
    top = view.cables[-1].mark
    for more, failures in ((-1e-5, 0), (1e-5, 1)):
        found = measures(shifted(assembly, top, (0.0, 0.0, wider + more)), clause=clause)
        assert sum(not m.passed for m in found) == failures


def test_australia_goes_by_the_table_and_tells_the_force(planned):
    assembly = planned(AUSTRALIA).assembly
    (first, second) = measures(assembly, code="cable.tension")
    # Table 11.3.6a: 4 mm 7x7, 60 mm, clear up to 900 and to 800 mm.
    assert (first.limit, second.limit) == (97, 73)
    assert first.clause == "Table 11.3.6a"
    assert first.verified
    assert all(m.sense == "none" for m in measures(assembly))
    for tension, failures in ((97.0, 0), (96.99, 1), (72.99, 2)):
        found = findings(set_to(assembly, tension_n=tension), "cable.tension")
        assert [f.severity for f in found] == ["fail"] * failures


def fake_view(diameter, spacing, clear, kind="level"):
    """A level bay between two posts 60 mm wide, with two cables."""
    group = ("P1", "P2")
    cables = [
        CableLine(
            f"C{k + 1}", k + 1, group, diameter / 2, Line(100 + k * spacing, 0, 30, clear + 30)
        )
        for k in range(2)
    ]
    posts = [
        SimpleNamespace(mark=m, s_mm=s, half_mm=30.0)
        for m, s in zip(group, (0, clear + 60), strict=True)
    ]
    leg = SimpleNamespace(kind=kind)
    return SimpleNamespace(panels=lambda: [cables], posts=posts, leg=leg)


CELLS = [
    (row.diameter_mm, row.lay, row.spacing_mm, span, value)
    for row in ncc_2022().tension.rows
    for span, value in zip(ncc_2022().tension.spans_mm, row.values, strict=True)
]


@pytest.mark.parametrize("diameter, lay, spacing, span, value", CELLS)
def test_every_row_and_column_of_the_table(planned, diameter, lay, spacing, span, value):
    # ABCB Housing Provisions 2022, Table 11.3.6a, whose figures tests/reference compares.
    job = planned(AUSTRALIA).job
    cable = replace(job.system.cable, diameter_mm=diameter, construction=lay)
    job = replace(job, system=replace(job.system, cable=cable))

    def said(tension, wider=0.0):
        view: Any = fake_view(diameter, spacing + wider, span + wider)
        held = replace(job, guard=replace(job.guard, tension_n=tension))
        return list(check_wires(held, view))

    if value is None:
        (outcome,) = said(1e5)
        assert not outcome.passed
        assert outcome.bound.unit == "mm"
        assert outcome.measured == pytest.approx(span)
        assert outcome.bound.value < span
    else:
        (outcome,) = said(value)
        assert outcome.passed
        assert outcome.bound.value == value
        assert not said(value - 1e-3)[0].passed
    beyond = said(value or 1.0, wider=1e-3)
    # Beyond the last row or column the table has no answer.
    assert (beyond == []) == (spacing == 100 or span == 2500)


def test_outside_the_table_the_cone_is_what_counts(planned):
    # 3/16 in strand is in no row: NCC 2016 V2.5.1, 150 N, by statics.
    assembly = planned(AUSTRALIA).assembly
    cable = replace(assembly.job.system.cable, diameter_mm=4.7625)
    job = replace(assembly.job, system=replace(assembly.job.system, cable=cable))
    thick = replace(assembly, job=job)
    assert measures(thick, code="cable.tension") == []
    found = [m for m in measures(thick) if m.sense == "at least"]
    assert [(m.limit, m.clause, m.edition) for m in found] == [(150, "V2.5.1", "NCC 2016")] * 2
    failed = [f for f in findings(thick) if f.severity == "fail"]
    assert all("not validated" in f.message for f in failed)
    assert len(failed) == 2
    # Linear in the tension, and kept from there on.
    critical = 150 / min(m.measured for m in found) * job.guard.tension_n
    for share, failures in ((1 + 1e-7, 0), (1 - 1e-7, 1)):
        held = set_to(thick, tension_n=critical * share)
        assert sum(f.severity == "fail" for f in findings(held)) == failures


# --- remedies ---


def edited(values, edits):
    changed = deepcopy(values)
    for edit in edits:
        assert re.fullmatch(r"guard\.\w+", edit.path)
        changed["guard"][edit.path.removeprefix("guard.")] = edit.value
    return changed


# (example, measures of its guard, code, paths that its remedy changes)
REMEDIES = [
    ("lake-deck", {"sphere_force": "12 lbf"}, "opening.loaded", {"max_cable_span"}),
    ("lake-deck", {"sphere_force": "28 lbf"}, "opening.loaded", {"tension"}),
    ("lake-deck", {"sphere_force": "34 lbf"}, "opening.loaded", {"max_cable_span", "tension"}),
    ("lake-deck", {"sphere_force": "42 lbf"}, "opening.loaded", {"cable_spacing", "bottom_gap"}),
    (CANADA, {"tension": "300 N"}, "opening.loaded", {"max_cable_span"}),
    (CANADA, {"cable_spacing": 75, "tension": "300 N"}, "opening.loaded", None),
    (CANADA, {"sphere_force": "150 N"}, "opening.loaded", None),
    (AUSTRALIA, {"tension": "90 N"}, "cable.tension", {"tension"}),
    (AUSTRALIA, {"max_post_spacing": 1700, "tension": "300 N"}, "cable.tension", {"tension"}),
    (AUSTRALIA, {"cable_spacing": 95}, "cable.tension", None),
    (AUSTRALIA, {"cable_spacing": 95, "max_post_spacing": 2500}, "cable.tension", None),
]


@pytest.mark.parametrize("example, guard, code, paths", REMEDIES)
def test_remedies_clear_their_finding_and_bring_no_new_failure(
    spec_values, read_values, example, guard, code, paths
):
    values = spec_values(example)
    values["guard"] |= guard
    before = run(assemble(layout(read_values(values)))).findings
    failures = [f for f in before if f.code == code and f.severity == "fail"]
    assert failures
    seen = set()
    for finding in failures:
        assert finding.edits, finding
        seen |= {edit.path.removeprefix("guard.") for edit in finding.edits}
        after = run(assemble(layout(read_values(edited(values, finding.edits))))).findings
        left = {(f.code, f.clause, f.where[:2]) for f in after if f.severity == "fail"}
        assert (code, finding.clause, finding.where[:2]) not in left
        assert {(c, k) for c, k, _ in left} <= {(f.code, f.clause) for f in failures}
    if paths:
        assert paths <= seen


def test_no_remedy_asks_for_more_than_the_working_limit(planned):
    job = planned(AUSTRALIA).job
    # Common practice, no source: a fifth of what cable and fitting break at, here 2000 lbf at 90 %.
    assert working_limit(job) == pytest.approx(2000 * LBF * 0.9 / 5)


def test_where_nothing_helps_the_words_say_so_without_an_edit(lake_deck):
    failed = [
        f
        for f in findings(set_to(lake_deck.assembly, sphere_force_n=5000.0))
        if f.severity == "fail"
    ]
    assert len(failed) == 3
    assert all(f.remedy and not f.edits for f in failed)


# --- faulty and good examples ---


@pytest.mark.parametrize("code", ["opening.loaded", "cable.tension"])
def test_a_faulty_example_fails_by_its_code_alone(planned, code):
    report = planned(f"faulty/{code}").report
    assert {f.code for f in report.findings if f.severity != "note"} == {code}
    assert {f.severity for f in report.findings if f.code == code} >= {"fail"}


def test_the_longest_span_of_the_leg_is_the_one_told(lake_deck):
    # Bays of one leg are equal, so the spans of its cables are told once.
    view = leg_views(lake_deck.assembly)[0]
    (pair,) = [gap for gap in gaps_of(lake_deck.job, view) if gap.kind == "cable"]
    stations = sorted([post.s_mm for post in view.posts] + view.spacers)
    assert pair.span_mm == pytest.approx(max(b - a for a, b in pairwise(stations)))
