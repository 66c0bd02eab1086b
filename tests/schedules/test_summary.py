"""What a check and a build say in the terminal, and `explain`."""

from __future__ import annotations

import pytest

from generator.catalog import Catalog
from generator.checks.codes import CODES
from generator.parts.report import Finding, Measure, Report
from generator.schedules.explained import code_list, code_page
from generator.schedules.summary import build_summary, findings_text, passed, summary
from generator.spec.job import Acceptance


def measure(clause: str, edition: str, *, ok: bool = True, verified: bool = True) -> Measure:
    return Measure(
        "height.level", ("P1",), 914.4, 914.4, "mm", "at least", clause, edition, verified, ok
    )


def test_summary_shows_job_legs_quantities_findings_and_the_caution(lake_deck):
    text = summary(lake_deck.assembly, lake_deck.report)
    assert text.startswith("Tern Cottage lake deck, job 0412. Rules: irc-2021")
    assert "run A, leg 1  level  23'-6\"   level  P1 to P5     11  4 at 5'-8 11/16\"" in text
    assert "Order list" in text
    assert "licensed engineer" in text
    assert "Cut list" not in text


def test_schedules_are_shown_when_asked_for(lake_deck):
    text = summary(lake_deck.assembly, lake_deck.report, schedules=True)
    assert text.index("Cut list") < text.index("Cables") < text.index("Order list")
    assert all(part.mark in text for part in lake_deck.assembly.of_kind("cable", "rail", "spacer"))


@pytest.mark.parametrize(
    "name", ["lake-deck", "metric-terrace", "straight-leg", "faulty/setback.stair"]
)
def test_no_report_claims_that_a_guard_is_compliant(planned, name):
    job = planned(name)
    text = summary(job.assembly, job.report, schedules=True)
    assert "complian" not in text.lower()
    assert "not an approval" in text


def test_finding_shows_place_measure_source_and_remedy():
    finding = Finding(
        "setback.stair",
        "fail",
        ("P9", "T3"),
        127.0,
        109.8,
        "mm",
        "clause 7",
        "edition 2",
        "The post stands too far back.",
        remedy="move P9 11/16 in toward the nosing",
        cause="span.posts",
        accepted=Acceptance("accepted[0]", "x.y", ("P1",), "agreed on site", "building official"),
    )
    lines = [line.strip() for line in findings_text((finding,), metric=False).splitlines()]
    assert lines == [
        "Findings: 1 accepted",
        "fail (accepted)  setback.stair  P9, T3",
        "The post stands too far back.",
        'measured 5", limit 4 5/16"; clause 7, edition 2',
        "Remedy: move P9 11/16 in toward the nosing",
        "Comes from: span.posts",
        "Accepted by building official: agreed on site",
    ]


def test_a_length_is_not_torn_apart_at_the_end_of_a_line():
    for padding in range(60, 100):
        message = "x" * padding + ' 4 5/16" and 12 more words that fill the next line'
        text = findings_text(
            (Finding("a.b", "note", (), None, None, "", "", "", message),), metric=False
        )
        assert '4 5/16"' in text


def test_findings_are_counted_by_severity():
    def finding(severity):
        return Finding("a.b", severity, (), None, None, "", "", "", "m")

    text = findings_text([finding(s) for s in ("fail", "warn", "warn", "note")], metric=True)
    assert text.splitlines()[0] == "Findings: 1 failure, 2 warnings, 1 note"
    assert findings_text((), metric=True) == "Findings: none\n"


def test_passed_checks_name_clause_and_edition_and_what_was_not_read():
    text = passed(
        [
            measure("R312.1.2", "IRC 2021"),
            measure("R312.1.2", "IRC 2021"),
            measure("common practice", "no source", verified=False),
            measure("R312.1.3", "IRC 2021", ok=False),
        ]
    )
    assert text.splitlines() == [
        "Checks passed: 3",
        "  2 against clause R312.1.2, IRC 2021",
        "  1 against common practice, no source",
    ]
    assert passed([]) == ""


def test_build_summary_lists_files_and_failures(lake_deck):
    bad = Finding("span.posts", "fail", ("P1", "P2"), 2.0, 1.0, "mm", "", "", "Too far apart.")
    written = [("out/model.step", "solid model"), ("out/cut-list.csv", "pieces")]
    text = build_summary(lake_deck.assembly, Report((bad,), ()), written, "job.yaml")
    assert "out/model.step    solid model" in text
    assert "Findings: 1 failure (stringline check job.yaml shows them)" in text
    assert "Too far apart." in text
    good = build_summary(lake_deck.assembly, Report((), ()), written, "job.yaml")
    assert "Findings: none" in good


def test_every_code_has_a_page_with_formula_and_limit():
    catalog = Catalog.standard()
    rule_sets = [catalog.rules(name) for name in catalog.names("rules")]
    for code in CODES.values():
        page = code_page(code, rule_sets)
        assert code.code in page
        assert "How it is measured:" in page
        assert "Limit:" in page
    assert len(code_list(CODES.values()).splitlines()) == len(CODES)


def test_page_of_a_code_names_the_clause_of_the_rule_set():
    # IRC 2021 R312.1.2: guard height 36 in (reference: International Residential Code)
    catalog = Catalog.standard()
    page = code_page(CODES["height.level"], [catalog.rules("irc-2021")])
    assert "irc-2021, guard.height.level: 36 in, R312.1.2, IRC 2021" in page
