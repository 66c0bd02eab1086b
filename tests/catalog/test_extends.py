"""Rule sets that take over others: what is put in place needs a reason, and circles are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.catalog import Catalog
from generator.catalog.limits import LIMITS
from generator.catalog.rules import Amendment, amended, completed, crossed, missing
from generator.catalog.tables import RuleSet
from generator.errors import InputError

BASE = """\
description: A code
edition: Code 1
source: a sheet
verified: true
limits:
  guard.height.level: {value: 36 in, clause: C1, note: At least.}
  handrail.height.min: {value: 34 in, clause: C2}
  handrail.height.max: {value: 38 in, clause: C2}
"""
TOWN = """\
description: A town
edition: Town 2
extends: code
source: its ordinance
verified: true
limits:
  guard.height.level: {value: 42 in, clause: T1, reason: the council wants more}
  opening.level: {value: 4 in, clause: T2}
"""


def rule_set(folder: Path, texts: dict[str, str], name: str) -> RuleSet:
    """A rule set out of a folder that holds these, each by its name."""
    (folder / "rules").mkdir(exist_ok=True)
    for stem, text in texts.items():
        (folder / "rules" / f"{stem}.yaml").write_text(text, encoding="utf-8")
    return Catalog((folder,)).rules(name)


def told(folder: Path, texts: dict[str, str], name: str = "town") -> list[str]:
    """What is said against it, file names without their folder."""
    with pytest.raises(InputError) as caught:
        rule_set(folder, texts, name)
    return str(caught.value).replace(f"{folder.as_posix()}/rules/", "").splitlines()


def test_limits_are_taken_over_and_single_ones_put_in_place(tmp_path: Path) -> None:
    town = rule_set(tmp_path, {"code": BASE, "town": TOWN}, "town")
    code = Catalog((tmp_path,)).rules("code")
    assert (town.bases, code.bases) == (("code",), ())
    assert list(town.limits) == [
        "guard.height.level", "opening.level", "handrail.height.min", "handrail.height.max"
    ]  # fmt: skip
    height = town.limit("guard.height.level")
    assert (height.value, height.clause, height.edition) == (pytest.approx(1066.8), "T1", "Town 2")
    assert (height.source, height.stated_in) == ("its ordinance", "town")
    assert (height.reason, height.replaces) == (
        "the council wants more",
        code.limit("guard.height.level"),
    )
    assert town.limit("handrail.height.max") is not None
    assert town.limit("handrail.height.max") == code.limit("handrail.height.max")
    assert town.limit("opening.level").reason == ""
    assert [entry.field for entry in town.entries] == list(town.limits)
    assert code.limit("guard.height.level").value == pytest.approx(914.4)


def test_the_nearest_of_a_chain_wins(tmp_path: Path) -> None:
    village = TOWN.replace("extends: code", "extends: town").replace("42 in", "43 in")
    village = village.replace("T2}", "T2, reason: the same again}")
    rules = rule_set(tmp_path, {"code": BASE, "town": TOWN, "village": village}, "village")
    assert rules.bases == ("town", "code")
    height = rules.limit("guard.height.level")
    assert height.text == "43 in"
    assert height.replaces is not None
    assert (height.replaces.text, height.replaces.stated_in) == ("42 in", "town")
    assert rules.limit("handrail.height.min").stated_in == "code"


def test_none_takes_a_limit_away_and_keeps_where_it_stood(tmp_path: Path) -> None:
    text = TOWN.replace("guard.height.level: {value: 42 in", "handrail.height.max: {value: none")
    limit = rule_set(tmp_path, {"code": BASE, "town": text}, "town").limit("handrail.height.max")
    assert (limit.text, limit.stated) == ("none", False)
    assert limit.value > 1e6
    assert limit.replaces is not None
    assert limit.replaces.text == "38 in"


def test_a_limit_put_in_place_needs_a_reason(tmp_path: Path) -> None:
    text = TOWN.replace(", reason: the council wants more", "")
    (line,) = told(tmp_path, {"code": BASE, "town": text})
    assert line == (
        "town.yaml:7:23: limits.guard.height.level.reason: read nothing; accepted why not 36 in of "
        "code, C1"
    )


def test_a_reason_needs_something_to_put_in_place(tmp_path: Path) -> None:
    text = TOWN.replace("T2}", "T2, reason: no such thing}")
    accepted = "accepted a reason beside a limit that the extended rule set states as well"
    read = "read a reason, with nothing to put it in place of"
    assert told(tmp_path, {"code": BASE, "town": text}) == [
        f"town.yaml:8:52: limits.opening.level.reason: {read}; {accepted}"
    ]
    alone = BASE.replace("C1, note: At least.", "C1, reason: none")
    (line,) = told(tmp_path, {"code": alone}, "code")
    assert line.startswith("code.yaml:6:58: limits.guard.height.level.reason: ")


def test_unknown_base(tmp_path: Path) -> None:
    text = TOWN.replace("extends: code", "extends: coda")
    (line,) = told(tmp_path, {"code": BASE, "town": text})
    assert line == (
        "town.yaml:3:10: extends: read coda; accepted code, the nearest name, or another one of "
        "code, town"
    )


@pytest.mark.parametrize("name", ["../code", "[code]", "Code", "7", "''"])
def test_base_that_is_no_name(tmp_path: Path, name: str) -> None:
    text = TOWN.replace("extends: code", f"extends: {name}")
    (line,) = told(tmp_path, {"code": BASE, "town": text})
    assert line.startswith("town.yaml:3:10: extends: read ")


def test_rule_set_that_extends_itself(tmp_path: Path) -> None:
    text = TOWN.replace("extends: code", "extends: town")
    (line,) = told(tmp_path, {"town": text})
    assert line == (
        "town.yaml:3:10: extends: read town extends town; accepted a rule set that does not come "
        "back to this one"
    )


def test_circle_is_told_where_it_closes(tmp_path: Path) -> None:
    texts = {
        "town": TOWN.replace("extends: code", "extends: county"),
        "county": TOWN.replace("extends: code", "extends: state"),
        "state": TOWN.replace("extends: code", "extends: town"),
    }
    (line,) = told(tmp_path, texts)
    assert line == (
        "state.yaml:3:10: extends: read town extends county extends state extends town; accepted "
        "a rule set that does not come back to this one"
    )
    # And the catalogue is as good as new afterwards.
    county = TOWN.replace("extends: code", "extends: state")
    town = TOWN.replace("extends: code", "extends: county").replace("T2}", "T2, reason: new}")
    texts = {"town": town, "county": county, "state": BASE}
    assert rule_set(tmp_path, texts, "town").bases == ("county", "state")


def test_chain_without_end(tmp_path: Path) -> None:
    texts = {f"r{n}": TOWN.replace("extends: code", f"extends: r{n + 1}") for n in range(40)}
    (line,) = told(tmp_path, texts, "r0")
    accepted = "at most 8 rule sets that extend one another"
    assert line == f"r8.yaml:3:10: extends: read r9; accepted {accepted}"


def test_faults_of_base_and_own_are_told_together_each_in_its_file(tmp_path: Path) -> None:
    texts = {"code": BASE.replace("36 in", "36"), "town": TOWN.replace("4 in, clause", "4, clause")}
    lines = told(tmp_path, texts)
    assert [line.split(": read")[0] for line in lines] == [
        "code.yaml:6:31: limits.guard.height.level.value",
        "town.yaml:8:26: limits.opening.level.value",
    ]


def test_own_limit_that_crosses_one_taken_over(tmp_path: Path) -> None:
    low = TOWN.replace("guard.height.level: {value: 42 in", "handrail.height.min: {value: 40 in")
    (line,) = told(tmp_path, {"code": BASE, "town": low})
    read = "read 40 in, with handrail.height.max 38 in; accepted at most that"
    assert line == f"town.yaml:7:24: limits.handrail.height.min: {read}"
    high = TOWN.replace("guard.height.level: {value: 42 in", "handrail.height.max: {value: 30 in")
    (line,) = told(tmp_path, {"code": BASE, "town": high})
    read = "read 30 in, with handrail.height.min 34 in; accepted at least that"
    assert line == f"town.yaml:7:24: limits.handrail.height.max: {read}"


def test_what_helps_to_climb_is_told_by_three_numbers(tmp_path: Path) -> None:
    text = TOWN.replace("opening.level: {value: 4 in", "climb.horizontal: {value: 3")
    (line,) = told(tmp_path, {"code": BASE, "town": text})
    assert "read 3; accepted at most 2: what the rule set says to horizontal infill" in line


@pytest.mark.parametrize("key", [key for key, field in LIMITS.items() if field.none is None])
def test_what_a_guard_is_checked_by_is_never_none(tmp_path: Path, key: str) -> None:
    text = f"description: A\nedition: B\nsource: c\nlimits:\n  {key}: {{value: none, clause: C}}\n"
    (line,) = told(tmp_path, {"town": text})
    place = f"town.yaml:5:{len(key) + 13}: limits.{key}.value"
    assert line.startswith(f"{place}: read none; accepted a")


@pytest.mark.parametrize("key", [key for key, field in LIMITS.items() if field.none is not None])
def test_none_is_a_number_that_nothing_breaks(tmp_path: Path, key: str) -> None:
    text = f"description: A\nedition: B\nsource: c\nlimits:\n  {key}: {{value: none, clause: C}}\n"
    limit = rule_set(tmp_path, {"town": text}, "town").limit(key)
    greatest = key.endswith((".max", "variation", "variation.adjacent", "return-gap", "zone.high"))
    sphere = key.startswith("opening.") and not key.endswith(("force", "fall"))
    assert (limit.value >= 1e4) == (greatest or sphere)
    assert limit.value in (0.0, 1.0) or limit.value >= 1e4
    assert not limit.stated


# amended by a job


def whole() -> RuleSet:
    return Catalog.standard().rules("irc-2021")


def test_amendment_names_the_job_spec_and_keeps_what_it_replaces() -> None:
    rules = whole()
    amendment = Amendment("guard.height.level", "42 in", "town ordinance 12-3", "12-3 (a)")
    new = amended(rules, {amendment.key: amendment})
    limit = new.limit("guard.height.level")
    assert (limit.value, limit.text, limit.clause) == (pytest.approx(1066.8), "42 in", "12-3 (a)")
    assert (limit.edition, limit.source) == ("job spec", "job spec: town ordinance 12-3")
    assert (limit.verified, limit.stated_in) == (False, "job spec")
    assert limit.replaces == rules.limit("guard.height.level")
    assert (new.name, new.edition) == ("irc-2021", "IRC 2021, amended")
    rest = {key: limit for key, limit in new.limits.items() if key != amendment.key}
    assert rest == {key: limit for key, limit in rules.limits.items() if key != amendment.key}
    entry = next(entry for entry in new.entries if entry.field == amendment.key)
    assert (entry.text, entry.source) == ("42 in", "job spec: town ordinance 12-3")
    assert amended(rules, {}) is rules


def test_amendment_of_what_the_rule_set_does_not_state() -> None:
    amendment = Amendment("opening.fascia", "2 in", "plan reviewer")
    limit = amended(whole(), {amendment.key: amendment}).limit("opening.fascia")
    assert (limit.replaces, limit.clause) == (None, "amendment of the job")


def test_completed_states_none_for_the_rest_and_says_so() -> None:
    rules = whole()
    new = completed(rules)
    assert missing(rules) == ()
    assert "opening.fascia" not in rules.limits
    limit = new.limit("opening.fascia")
    assert (limit.text, limit.source, limit.stated) == ("none", "left out of the rule set", False)
    assert completed(new) is new


def test_pairs_that_cross_are_found() -> None:
    amendment = Amendment("handrail.height.min", "1 m", "a")
    new = amended(whole(), {amendment.key: amendment})
    assert [(low.key, high.text) for low, high in crossed(new.limits)] == [
        ("handrail.height.min", "38 in")
    ]
    assert not list(crossed(whole().limits))
