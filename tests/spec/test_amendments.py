"""Limits that a job puts in place of its rule set's: read and used; `bad/` has those refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.checks import run
from generator.errors import InputError
from generator.layout import layout
from generator.parts.build import assemble
from generator.spec import read_job
from generator.spec.job import Job

HEAD = "job: {title: Plover Way porch, rules: irc-2021, units: in}\nsystem: {}\n"
RUNS = "runs: [{legs: [{level: 12 ft}]}]\n"
INCH = 25.4


def read(folder: Path, amendments: str, head: str = HEAD) -> Job:
    path = folder / "job.yaml"
    path.write_text(f"{head}{RUNS}amendments:\n{amendments}", encoding="utf-8")
    return read_job(path)


def told(folder: Path, amendments: str, head: str = HEAD) -> list[str]:
    with pytest.raises(InputError) as refused:
        read(folder, amendments, head)
    return str(refused.value).replace(f"{folder}/", "").splitlines()


def test_amended_limit_holds_and_is_told_as_the_jobs(tmp_path: Path) -> None:
    job = read(
        tmp_path,
        "  - {limit: guard.height.level, value: 42 in, reason: town ordinance 12-3, clause: 12-3}\n"
        "  - limit: climb.horizontal\n    value: 1\n    reason: the reviewer flags it\n",
    )
    rules = job.rules
    height = rules.limit("guard.height.level")
    assert (height.value, height.text) == (pytest.approx(42 * INCH), "42 in")
    assert (height.clause, height.edition) == ("12-3", "job spec")
    assert (height.source, height.verified) == ("job spec: town ordinance 12-3", False)
    assert height.replaces is not None
    assert (height.replaces.text, height.replaces.clause) == ("36 in", "R312.1.2")
    climb = rules.limit("climb.horizontal")
    assert (climb.value, climb.clause) == (1, "amendment of the job")
    assert (rules.name, rules.edition) == ("irc-2021", "IRC 2021, amended")
    assert rules.limit("guard.height.stair").edition == "IRC 2021"


def test_bare_length_is_in_the_units_of_the_job(tmp_path: Path) -> None:
    head = HEAD.replace("units: in", "units: mm")
    for value in ("1100", '"1100"', "1.1e3"):
        job = read(
            tmp_path, f"  - {{limit: guard.height.level, value: {value}, reason: a}}\n", head
        )
        assert job.rules.limit("guard.height.level").value == pytest.approx(1100)
    text = "  - {limit: load.top, value: 890, reason: a}\n"
    (line,) = told(tmp_path, text)
    assert line.startswith("job.yaml:5:30: amendments[0].value: read 890; accepted a force such as")


def test_none_takes_a_limit_away_where_it_can_be_done_without(tmp_path: Path) -> None:
    text = "  - {limit: handrail.return-gap, value: none, reason: safety terminals}\n"
    limit = read(tmp_path, text).rules.limit("handrail.return-gap")
    assert (limit.stated, limit.text) == (False, "none")
    (line,) = told(tmp_path, "  - {limit: guard.height.level, value: none, reason: a}\n")
    assert line == (
        "job.yaml:5:40: amendments[0].value: read none; accepted a length such as 24' 3-1/2\", "
        "47 3/8 in, 4 ft 7-1/8 in, 1440 mm or 1.44 m, or a bare number of in"
    )


def test_rule_set_that_is_only_a_base_is_no_rule_set_of_a_job(tmp_path: Path) -> None:
    head = HEAD.replace("irc-2021", "practice")
    (line,) = told(tmp_path, "  - {limit: guard.height.level, value: 1 m, reason: a}\n", head)
    assert line == (
        "job.yaml:1:39: job.rules: read practice, which does not state guard.required.fall, "
        "guard.height.stair, opening.level, ...; accepted a rule set that states them, or extends "
        "one that does"
    )


def test_job_has_every_limit_stated_or_none(tmp_path: Path) -> None:
    rules = read(tmp_path, "  - {limit: handrail.sides, value: 2, reason: a}\n").rules
    assert rules.limit("opening.fascia").text == "none"
    assert rules.limit("opening.level").text == "4 in"


def finding_codes(job: Job) -> dict[str, str]:
    report = run(assemble(layout(job)))
    return {finding.code: f"{finding.clause}, {finding.edition}" for finding in report.findings}


def test_amendment_reaches_the_checks(spec_values, read_values) -> None:
    values = spec_values("lake-deck")
    assert "height.level" not in finding_codes(read_values(values))
    values["amendments"] = [
        {"limit": "guard.height.level", "value": "42 in", "reason": "ordinance", "clause": "12-3"}
    ]
    found = finding_codes(read_values(values))
    assert found["height.level"] == "12-3, job spec"


@pytest.mark.parametrize(
    "name",
    [
        *(f"irc-{year}" for year in (2018, 2021, 2024)),
        *(f"ibc-{year}{kind}" for year in (2018, 2021, 2024) for kind in ("", "-dwelling")),
        *("california-2022", "nbc-2020", "nbc-2020-low", "ncc-2022", "osha-1910.29"),
    ],
)
def test_a_job_can_be_checked_by_every_shipped_rule_set(spec_values, read_values, name) -> None:
    values = spec_values("lake-deck")
    values["job"]["rules"] = name
    report = run(assemble(layout(read_values(values))))
    assert {measure.edition for measure in report.measures} - {"job spec"}
    # Where nothing is stated nothing is measured against: no number stands in for it in a report.
    assert all((measure.limit or 0) < 1e6 for measure in report.measures)
    found = {finding.code for finding in report.findings if finding.severity == "fail"}
    # The demo guard is 36 in high everywhere: what asks for more says so, nothing else does.
    low = {"height.level", "height.stair"}
    expected = {
        "california-2022": {"height.level"},
        **{f"ibc-{year}": low for year in (2018, 2021, 2024)},
        "nbc-2020": low,
        "ncc-2022": {"height.level"},
        "osha-1910.29": low,
    }
    assert found & low == expected.get(name, set())
