"""Findings that a job accepts, and severities that a rule set or a job gives a code.

What these mean is the project's own (design.md section 6); there is no outside source for it.
"""

from __future__ import annotations

from typing import Any

import pytest

from generator.catalog.tables import SeverityChange
from generator.checks import run
from generator.checks.codes import CODES
from generator.checks.judgements import with_severity
from generator.errors import InputError
from generator.layout import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.parts.report import Finding, Report
from generator.results import results, to_json
from generator.schedules.summary import summary
from generator.spec import read_job

# The faulty lake deck: P10 on T3 and P11 on T6 stand too far behind their nosings.
FAULTY = "faulty/setback.stair"
BY = {"reason": "the treads were measured again", "role": "engineer of record"}


def judged(spec_values: Any, read_values: Any, **more: object) -> tuple[Assembly, Report]:
    assembly = assemble(layout(read_values({**spec_values(FAULTY), **more})))
    return assembly, run(assembly)


def accepting(spec_values: Any, read_values: Any, *entries: tuple[str, Any]) -> Report:
    accepted = [{"code": code, "where": where, **BY} for code, where in entries]
    return judged(spec_values, read_values, accepted=accepted)[1]


def taken(report: Report) -> set[tuple[str, tuple[str, ...]]]:
    return {(f.code, f.where) for f in report.findings if f.accepted}


P10, P11 = ("setback.stair", ("P10", "T3")), ("setback.stair", ("P11", "T6"))


@pytest.mark.parametrize(
    "where, expected",
    [
        ("P10", {P10}),
        (["P10"], {P10}),
        (["T3", "P10"], {P10}),
        ("run A, leg 3", {P10, P11}),
        ("A leg 3", {P10, P11}),
    ],
)
def test_marks_and_legs_name_the_findings_that_are_accepted(
    spec_values, read_values, where, expected
):
    report = accepting(spec_values, read_values, ("setback.stair", where))
    assert taken(report) == expected
    assert "acceptance.unused" not in {f.code for f in report.findings}
    assert report.status == ("pass" if len(expected) == 2 else "fail")
    first = next(f for f in report.findings if f.accepted)
    assert first.severity == "fail"  # as it is: only what it counts for is another
    assert first.accepted is not None
    assert (first.accepted.reason, first.accepted.role) == tuple(BY.values())


@pytest.mark.parametrize(
    "code, where",
    [
        ("setback.stair", "P9"),
        ("setback.stair", ["P10", "P11"]),  # no finding names both
        ("setback.stair", "run A, leg 2"),
        ("setback.stair", "run B, leg 3"),
        ("opening.end", "P10"),
    ],
)
def test_one_that_fits_no_finding_is_told_and_takes_nothing(spec_values, read_values, code, where):
    report = accepting(spec_values, read_values, (code, where))
    assert taken(report) == set()
    (told,) = [f for f in report.findings if f.code == "acceptance.unused"]
    assert told.severity == "warn"
    assert told.clause == "accepted[0] of the spec"
    assert code in told.message
    assert ("P10, T3" in told.message) == (code == "setback.stair")  # where it is found instead
    assert report.status == "fail"
    (measure,) = [m for m in report.measures if m.code == "acceptance.unused"]
    assert (measure.passed, measure.measured, measure.limit) == (False, 0, 1)


def test_one_that_fits_nothing_takes_a_severity_like_any_other(spec_values, read_values):
    more = {
        "accepted": [{"code": "opening.end", "where": "P1", **BY}],
        "severities": [{"code": "acceptance.unused", "severity": "fail", "reason": "our own"}],
    }
    _, report = judged(spec_values, read_values, **more)
    (told,) = [f for f in report.failures if f.code == "acceptance.unused"]
    assert told.was == "warn"


def test_a_wall_gap_that_is_opened_again_is_what_was_accepted(spec_values, read_values):
    values = spec_values("faulty/acceptance.unused")
    codes = []
    for gap in ("3 in", "5 in"):
        values["guard"]["wall_gap"] = gap
        report = run(assemble(layout(read_values(values))))
        codes.append({f.code: bool(f.accepted) for f in report.findings if f.severity != "note"})
        assert not report.failures
    assert codes == [{"acceptance.unused": False}, {"opening.end": True}]


def test_an_acceptance_is_shown_in_every_report(spec_values, read_values):
    accepted = [{"code": "setback.stair", "where": "run A, leg 3", **BY}]
    assembly, report = judged(spec_values, read_values, accepted=accepted)
    text = summary(assembly, report)
    assert text.count("fail (accepted)  setback.stair") == 2
    assert f"Accepted by {BY['role']}: {BY['reason']}" in text
    assert "2 accepted" in text
    document = results(assembly, report)
    assert document.status == "pass"
    shown = [f.accepted.model_dump() for f in document.findings if f.accepted]
    assert shown == [BY, BY]
    assert '"accepted": {"reason": "the treads were measured again"' in to_json(document)


def test_severity_of_the_job_is_shown_with_what_it_was(spec_values, read_values):
    change = {"code": "setback.stair", "severity": "warn", "reason": "ordinance", "clause": "7-2"}
    assembly, report = judged(spec_values, read_values, severities=[change])
    assert report.status == "warn"
    found = [f for f in report.findings if f.code == "setback.stair"]
    assert [(f.severity, f.was) for f in found] == [("warn", "fail")] * 2
    # What the setback brings about is a note as before.
    assert {f.severity for f in report.findings if f.cause} == {"note"}
    text = summary(assembly, report)
    assert "Severity of setback.stair: warn (7-2, job spec): ordinance" in text
    assert text.count("Severity: warn instead of fail, by 7-2, job spec: ordinance") == 2
    document = results(assembly, report)
    expected = {**change, "by": "job spec"}
    assert [s.model_dump() for s in document.job.severities] == [expected]
    amended = [f.amended.model_dump() for f in document.findings if f.amended]
    assert amended == [expected] * 2


CHANGES = [
    # code, its own severity in CODES, new, of a finding that is: what it becomes
    ("setback.stair", "warn", {"fail": "warn", "warn": "warn", "note": "note"}),
    ("clash.parts", "note", {"fail": "note", "warn": "note", "note": "note"}),
    ("anchor.edge", "fail", {"warn": "fail", "note": "note"}),
    ("anchor.edge", "note", {"warn": "note", "note": "note"}),
    ("opening.loaded", "fail", {"warn": "fail", "note": "fail"}),
    ("opening.loaded", "warn", {"fail": "fail", "warn": "warn", "note": "warn"}),
    ("opening.loaded", "note", {"warn": "warn", "note": "note"}),
]


@pytest.mark.parametrize("code, new, becomes", CHANGES)
def test_a_change_moves_what_the_code_is_and_not_what_is_milder_or_worse(code, new, becomes):
    change = SeverityChange(code, new, "a reason", "", "job spec")
    for now, expected in becomes.items():
        finding = Finding(code, now, ("P1",), 1.0, 2.0, "mm", "", "", "")
        got = with_severity(finding, change)
        assert got.severity == expected
        assert (got.was, got.amended) == ((now, change) if now != expected else (None, None))


RULES = """\
description: Plover County, which asks for more
edition: Plover County code
extends: {base}
source: an invented ordinance
severities:
  setback.stair: {{severity: {severity}, reason: the county's own, clause: 9.1}}
limits: {{}}
"""


@pytest.fixture
def county(tmp_path, spec_values):
    """A job of a rule set of one's own that changes a severity; `severity` and code as given."""
    import json

    rules = tmp_path / "profiles" / "rules"
    rules.mkdir(parents=True)
    values = spec_values(FAULTY)
    values["job"]["rules"] = "plover-code"
    path = tmp_path / "job.yaml"

    def read(text: str, **more: object):
        (rules / "plover.yaml").write_text(text, encoding="utf-8")
        own = RULES.format(base="plover", severity="warn").replace("9.1", '"9.2"')
        own = own.replace("setback.stair", "opening.end")
        (rules / "plover-code.yaml").write_text(own, encoding="utf-8")
        path.write_text(json.dumps({**values, "profiles": "profiles", **more}), encoding="utf-8")
        return read_job(path, codes=CODES)

    return read


def test_a_rule_set_changes_severities_and_those_that_extend_it_take_them_over(county):
    text = RULES.format(base="irc-2021", severity="warn").replace("9.1", '"9.1"')
    job = county(text)
    assert {c.code: (c.severity, c.clause) for c in job.rules.severities} == {
        "setback.stair": ("warn", "9.1"),
        "opening.end": ("warn", "9.2"),
    }
    report = run(assemble(layout(job)))
    found = [f for f in report.findings if f.code == "setback.stair"]
    assert {(f.severity, f.was) for f in found} == {("warn", "fail")}
    assert {f.amended.by for f in found if f.amended} == {"Plover County code"}


def test_the_jobs_own_severity_holds_over_that_of_its_rule_set(county):
    text = RULES.format(base="irc-2021", severity="warn").replace("9.1", '"9.1"')
    own = [{"code": "setback.stair", "severity": "note", "reason": "agreed"}]
    report = run(assemble(layout(county(text, severities=own))))
    assert {f.severity for f in report.findings if f.code == "setback.stair"} == {"note"}


@pytest.mark.parametrize(
    "old, new, told",
    [
        ("warn", "off", "severities.setback.stair.severity: read off; accepted fail, warn or note"),
        (", reason: the county's own", "", "severities.setback.stair.reason: read nothing;"),
        ("clause: 9.1", 'clause: "9.1", until: 3', "until: read an unknown key;"),
        ("setback.stair", "setback.stairs", "setback.stair, the nearest code;"),
    ],
)
def test_a_rule_set_with_a_faulty_severity_is_refused(county, old, new, told):
    text = RULES.format(base="irc-2021", severity="warn").replace(old, new)
    with pytest.raises(InputError, match=r".") as refused:
        county(text.replace("clause: 9.1}", 'clause: "9.1"}'))
    assert told in str(refused.value)


def test_unknown_codes_of_a_job_are_told_with_the_nearest(tmp_path):
    path = tmp_path / "job.yaml"
    path.write_text(
        "job: {title: a deck, rules: irc-2021}\nsystem: {}\nruns: [{legs: [{level: 12 ft}]}]\n"
        "severities:\n  - {code: opening.ends, severity: warn, reason: a}\n"
        "  - {code: opening.end, severity: warn, reason: a}\n"
        "  - {code: opening.end, severity: note, reason: a}\n"
        "accepted:\n  - {code: setback.stares, where: P1, reason: a, role: b}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as refused:
        read_job(path, codes=CODES)
    lines = str(refused.value).replace(f"{path}", "job.yaml").splitlines()
    twice = "each once; severities[1] has it"

    def near(code: str) -> str:
        return f"accepted {code}, the nearest code; `stringline explain` lists the codes"

    assert lines == [
        f"job.yaml:5:12: severities[0].code: read opening.ends; {near('opening.end')}",
        f"job.yaml:7:12: severities[2].code: read opening.end; accepted {twice}",
        f"job.yaml:9:12: accepted[0].code: read setback.stares; {near('setback.stair')}",
    ]


def test_a_limit_that_was_not_read_is_told_as_such(spec_values, read_values):
    values = spec_values(FAULTY)
    values["amendments"] = [
        {"limit": "guard.height.level", "value": "42 in", "reason": "ordinance", "clause": "12-3"}
    ]
    assembly = assemble(layout(read_values(values)))
    report = run(assembly)
    found = [f for f in report.findings if f.code == "height.level"]
    assert found
    assert not any(f.verified for f in found)
    assert "12-3, job spec (value not read at source)" in summary(assembly, report)
    document = results(assembly, report)
    assert {f.verified for f in document.findings if f.code == "height.level"} == {False}
    (amended,) = document.job.amendments
    assert amended.model_dump() == {
        "limit": "guard.height.level",
        "value": "42 in",
        "instead_of": "36 in",
        "reason": "ordinance",
        "clause": "12-3",
        "verified": False,
    }
    # IRC 2021 R312.1.3 was read (reference.md, tag R)
    sure = [c for c in document.checks if c.clause == "R312.1.3"]
    assert sure
    assert all(c.verified for c in sure)
