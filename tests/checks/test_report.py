"""The report as a whole: its status, its order, and what it says of the examples."""

from __future__ import annotations

import pytest

from generator.checks import run
from generator.layout import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.parts.report import SEVERITIES, Finding, Report
from generator.spec.job import Acceptance, Job

TAKEN = Acceptance("accepted[0]", "span.posts", ("P1",), "seen and taken", "building official")


def finding(severity, accepted=None):
    return Finding("span.posts", severity, ("P1",), 2.0, 1.0, "mm", "", "", "", accepted=accepted)


@pytest.mark.parametrize(
    "severities, status",
    [
        ((), "pass"),
        (("note",), "pass"),
        (("note", "warn"), "warn"),
        (("warn", "fail", "note"), "fail"),
    ],
)
def test_status_is_the_worst_severity_and_notes_pass(severities, status):
    assert Report(tuple(finding(s) for s in severities), ()).status == status


def test_an_accepted_finding_does_not_count():
    accepted = finding("fail", accepted=TAKEN)
    assert Report((accepted,), ()).status == "pass"
    assert Report((accepted, finding("warn")), ()).status == "warn"


def test_findings_stand_in_order_of_severity_code_and_place(job_of):
    legs = [
        {"level": "12 ft"},
        {"turn": -90, "corner": "pair"},
        {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}},
    ]
    messy = {"bottom_gap": "4-1/2 in", "height": "34 in", "cable_spacing": "4-1/4 in"}
    findings = run(assemble(layout(job_of(legs, **messy)))).findings
    keys = [(-SEVERITIES.index(f.severity), f.code, f.where) for f in findings]
    assert keys == sorted(keys)
    assert {f.severity for f in findings} == {"fail", "warn", "note"}


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace", "straight-leg"])
def test_a_good_example_has_no_failure(planned, name):
    report = planned(name).report
    assert report.status == "pass"
    assert [f.code for f in report.findings if f.severity != "note"] == []


def test_the_faulty_setback_fails_by_its_setback_alone(planned):
    report = planned("faulty/setback.stair").report
    assert report.status == "fail"
    assert {f.code for f in report.findings if f.severity == "fail"} == {"setback.stair"}
    assert not [f for f in report.findings if f.severity == "warn"]
    # By hand: 5-1/2 in against 4.32203 in, on both posts that stand on treads
    setbacks = [f for f in report.findings if f.code == "setback.stair"]
    assert [f.where for f in setbacks] == [("P10", "T3"), ("P11", "T6")]
    for found in setbacks:
        assert found.measured is not None
        assert found.limit is not None
        assert found.measured / 25.4 == pytest.approx(5.5)
        assert found.limit / 25.4 == pytest.approx(4.32203, abs=5e-6)


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace", "faulty/setback.stair"])
def test_a_measure_passes_unless_a_finding_says_otherwise(planned, name):
    report = planned(name).report
    failed = {(m.code, m.where) for m in report.measures if not m.passed}
    said = {"opening.loaded", "guard.required"}  # they report and judge nothing
    told = {(f.code, f.where) for f in report.findings if f.code not in said}
    told -= {(m.code, m.where) for m in report.measures if m.sense == "none"}
    assert failed == told


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace", "faulty/setback.stair"])
def test_findings_name_parts_that_are_there_and_where_limits_come_from(planned, name):
    assembly, report = planned(name).assembly, planned(name).report
    for found in (*report.findings, *report.measures):
        assert found.where
        assert set(found.where) <= set(assembly.by_mark)
        assert found.clause
        assert found.edition
    for found in report.findings:
        assert found.unit in ("mm", "N", "count", "")
        assert "compliant" not in found.message.lower()


def test_a_passed_limit_of_the_code_names_its_clause(lake_deck):
    clauses = {m.code: m.clause for m in lake_deck.report.measures}
    # IRC 2021 R312.1.2 heights, R312.1.3 openings
    assert clauses["height.level"] == "R312.1.2"
    assert clauses["height.stair"] == "R312.1.2 exception 1"
    assert clauses["opening.level"] == clauses["opening.bottom"] == "R312.1.3"
    assert clauses["opening.triangle"] == "R312.1.3 exception 1"
    assert clauses["opening.stair"] == "R312.1.3 exception 2"


def test_one_report_is_the_same_twice(lake_deck):
    assert isinstance(lake_deck.assembly, Assembly)
    assert isinstance(lake_deck.job, Job)
    assert run(lake_deck.assembly) == run(assemble(layout(lake_deck.job)))
