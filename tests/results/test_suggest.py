"""Suggested changes clear what they say, when made in the file by hand of another library.

The property is the issue's own: the job that is written with the changes has no failure. There is
no outside source for which changes a job needs.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.build import plan_job, suggested
from generator.errors import InputError
from generator.parts.report import Edit, Finding, Report
from generator.results.edits import NoSuchPlace, edited, present
from generator.results.suggest import MAX_VARIANTS, Change, Suggestion, suggest
from generator.schedules.suggested import suggestion_text, yaml_lines
from generator.textfile import Document, Mark

EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTY = sorted((EXAMPLES / "faulty").glob("*.yaml"))
GOOD = sorted(EXAMPLES.glob("*.yaml"))
BROKEN = 20


def changed(values: Any, path: str, value: object) -> None:
    """Sets what stands at a path such as runs[0].legs[2].level; a word there becomes a mapping."""
    *steps, last = [int(n) if n else key for n, key in re.findall(r"\[(\d+)\]|([^.\[\]]+)", path)]
    for step in steps:
        if isinstance(values, dict) and not isinstance(values.get(step), dict | list):
            word = values.get(step)
            values[step] = {} if word is None else {"corner" if step == "closed" else "name": word}
        values = values[step]
    values[last] = value


def pasted(found: Suggestion) -> dict[str, str]:
    """The changes as another YAML library reads the lines that are printed, by their paths."""
    values: dict[str, str] = {}

    def walk(prefix: str, value: Any) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                walk(f"{prefix}.{key}" if prefix else key, inner)
        else:
            values[prefix] = value

    where, blocks = "", {"": ""}
    for line in yaml_lines(found.changes, "job.yaml"):
        if line.startswith("# in "):
            where = line.removeprefix("# in ").removesuffix(":")
        blocks[where] = blocks.get(where, "") + line + "\n"
    for place, block in blocks.items():
        walk(place, yaml.load(block, yaml.BaseLoader) or {})
    return values


def assert_keeps_its_word(path: Path, tmp_path: Path) -> Suggestion:
    """The suggestion for a file, its changes written into a copy and the copy checked."""
    report = plan_job(path)[2]
    text = path.read_text(encoding="utf-8")
    found = suggested(path, (), report)
    assert path.read_text(encoding="utf-8") == text
    assert pasted(found) == {change.path: change.value for change in found.changes}
    values = yaml.safe_load(text)
    for change in found.changes:
        changed(values, change.path, yaml.safe_load(change.value))
    if isinstance(values.get("profiles"), str):
        values["profiles"] = str((path.parent / values["profiles"]).resolve())
    mended = tmp_path / "mended.yaml"
    mended.write_text(yaml.safe_dump(values), encoding="utf-8")
    after = plan_job(mended)[2]
    assert found.failures == len(report.failures)
    assert found.cleared == (not after.failures)
    assert [(f.code, f.where) for f in found.left] == [(f.code, f.where) for f in after.failures]
    codes = [Counter(f.code for f in told.failures) for told in (report, after)]
    assert codes[1] <= codes[0]
    assert found.tried <= MAX_VARIANTS
    return found


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_suggestions_for_the_faulty_examples(path: Path, tmp_path: Path, planned: Any) -> None:
    found = assert_keeps_its_word(path, tmp_path)
    edits = [f.edits for f in planned(f"faulty/{path.stem}").report.failures]
    if not any(edits):
        assert found.changes == ()
    elif all(edits):
        # design.md section 6: applying the edit clears the finding and makes no new failure
        assert found.cleared


# What breaks a job: keys of guard, and values that are too much or too little of them.
FAULTS: Mapping[str, tuple[str, ...]] = {
    "bottom_gap": ("4-1/4 in", "5 in", "120 mm"),
    "cable_spacing": ("4-1/4 in", "4-1/2 in", "5 in"),
    "height": ("34 in", "32 in", "33 in"),
    "stair_height": ("32 in", "30 in", "33 in"),
    "stair_setback": ("5-1/2 in", "2 in", "6 in"),
    "wall_gap": ("5 in", "6 in", "5-1/2 in"),
    "max_post_spacing": ("16 in", "20 in", "14 in"),
    "post_top": ("square",),
    "swage": ({"dead": "shop", "pulled": "shop"},),  # pyright: ignore[reportAssignmentType]
}


def broken_jobs() -> list[Any]:
    """Examples with one to three faults each, the same ones every time; some may hold."""
    draw = random.Random(4)
    jobs = []
    for number in range(3 * BROKEN):
        path = draw.choice(GOOD)
        values = yaml.safe_load(path.read_text(encoding="utf-8"))
        keys = draw.sample(sorted(FAULTS), draw.choice((1, 1, 2, 3)))
        values.setdefault("guard", {}).update({key: draw.choice(FAULTS[key]) for key in keys})
        jobs.append((number, path, values))
    return jobs


@pytest.mark.slow
def test_suggestions_for_broken_examples(tmp_path: Path) -> None:
    cleared, tried = [], 0
    for number, source, values in broken_jobs():
        if isinstance(values.get("profiles"), str):
            values["profiles"] = str((source.parent / values["profiles"]).resolve())
        path = tmp_path / f"{number}-{source.stem}.yaml"
        path.write_text(yaml.safe_dump(values), encoding="utf-8")
        try:
            report = plan_job(path)[2]
        except InputError:
            continue  # what nobody can build is refused, not suggested upon
        if not report.failures:
            continue
        tried += 1
        found = assert_keeps_its_word(path, tmp_path)
        cleared.append(found.cleared)
        if tried == BROKEN:
            break
    assert tried == BROKEN
    assert sum(cleared) >= 15


# The search alone, on jobs made up of rules: a change that is made clears what it is said to.


def finding(code: str, *edits: tuple[str, str], severity: Any = "fail") -> Finding:
    made = tuple(Edit(path, value) for path, value in edits)
    return Finding(code, severity, ("P1",), 2.0, 1.0, "mm", "", "", code, edits=made)


def document(data: object) -> Document:
    return Document("job.yaml", data, {(): Mark(1, 1), ("guard", "a"): Mark(7, 6)}, {})


class Made:
    """A job whose findings are those of `rules` that do not hold for the edits."""

    def __init__(self, *rules: Any) -> None:
        self.rules = rules
        self.count = 0

    def __call__(self, edits: Mapping[str, str]) -> Report | None:
        self.count += 1
        return self.report(edits)

    def report(self, edits: Mapping[str, str]) -> Report:
        return Report(tuple(f for f, holds in self.rules if not holds(edits)), ())

    def suggest(self, data: object = None) -> Suggestion:
        return suggest(document(data or {"guard": {"a": "10 in"}}), self.report({}), self)


def test_one_change_that_clears_all_is_taken_before_two():
    # The finding x is cleared by its own change, and by that of y as well.
    job = Made(
        (finding("x", ("guard.a", "9 in")), lambda e: e.keys() & {"guard.a", "guard.b"}),
        (finding("y", ("guard.b", "1 in")), lambda e: "guard.b" in e),
    )
    found = job.suggest()
    assert [(c.path, c.value) for c in found.changes] == [("guard.b", "1 in")]
    assert found.cleared
    assert found.failures == 2


def test_of_as_many_changes_the_smaller_is_taken():
    job = Made(
        (finding("x", ("guard.a", "5 in")), lambda e: "guard.a" in e),
        (finding("y", ("guard.a", "9 in")), lambda e: "guard.a" in e),
    )
    (change,) = job.suggest().changes
    assert (change.value, change.present, change.line) == ("9 in", "10 in", 7)


def test_a_change_that_makes_a_failure_is_followed_by_what_clears_that():
    job = Made(
        (finding("x", ("guard.a", "9 in")), lambda e: "guard.a" in e),
        (finding("y", ("guard.b", "2 in")), lambda e: "guard.a" not in e or "guard.b" in e),
    )
    found = job.suggest()
    assert {c.path for c in found.changes} == {"guard.a", "guard.b"}
    assert found.cleared


def test_a_change_of_the_edit_that_is_not_needed_is_left_out_only_where_it_is_not():
    # Both edits of one finding belong together: the one without the other does not help.
    pair = finding("x", ("guard.a", "9 in"), ("guard.b", "1 in"))
    found = Made((pair, lambda e: {"guard.a", "guard.b"} <= e.keys())).suggest()
    assert len(found.changes) == 2
    found = Made((pair, lambda e: "guard.b" in e)).suggest()
    assert [c.path for c in found.changes] == ["guard.b"]


def test_where_not_all_is_cleared_the_best_part_is_told_and_nothing_made_worse():
    job = Made(
        (finding("x", ("guard.a", "9 in")), lambda e: "guard.a" in e),
        (finding("y"), lambda e: False),
        (finding("z", ("guard.b", "1 in")), lambda e: "guard.b" in e),
        (finding("w"), lambda e: "guard.b" not in e),
    )
    found = job.suggest()
    assert not found.cleared
    assert [c.path for c in found.changes] == ["guard.a"]  # guard.b brings w
    assert {f.code for f in found.left} == {"y", "z"}


def test_without_any_edit_nothing_is_tried():
    job = Made((finding("y"), lambda e: False))
    found = job.suggest()
    assert (found.changes, found.tried, job.count) == ((), 0, 0)
    assert [f.code for f in found.left] == ["y"]


def test_the_search_is_bounded_by_variants():
    hard = [
        (finding(f"x{k}", *[(f"guard.k{k}", f"{v} in")]), lambda e: False)
        for k in range(12)
        for v in range(3)
    ]
    job = Made(*hard)
    found = job.suggest()
    assert found.tried == job.count <= MAX_VARIANTS
    assert not found.cleared


def test_a_refused_variant_and_new_warnings_are_told():
    rules = Made(
        (finding("x", ("guard.a", "9 in")), lambda e: "guard.a" in e),
        (finding("w", severity="warn"), lambda e: "guard.a" not in e),
    )
    assert [f.code for f in rules.suggest().warned] == ["w"]
    none = suggest(document({}), rules.report({}), lambda edits: None)
    assert (none.changes, none.cleared) == ((), False)


def test_a_job_without_a_failure_needs_nothing():
    found = Made((finding("w", severity="warn"), lambda e: False)).suggest()
    assert (found.failures, found.changes, found.cleared, found.warned) == (0, (), True, ())


DATA = {
    "system": {"post": "al-square-2.5"},
    "handrail": "elsewhere",
    "runs": [{"closed": "pair", "legs": [{"level": "12 ft"}, {"turn": 90, "corner": "single"}]}],
}


@pytest.mark.parametrize(
    "path, value, where, expected",
    [
        ("guard.height", "42 in", ("guard",), {"height": "42 in"}),
        ("guard.tension", "10", ("guard",), {"tension": 10}),
        (
            "system.post.wall",
            "1/8 in",
            ("system", "post"),
            {"name": "al-square-2.5", "wall": "1/8 in"},
        ),
        ("handrail", "{height: 36 in}", ("handrail",), {"height": "36 in"}),
        (
            "runs[0].closed.rail",
            "miter",
            ("runs", 0, "closed"),
            {"corner": "pair", "rail": "miter"},
        ),
        ("runs[0].legs[1].corner", "pair", ("runs", 0, "legs", 1), {"turn": 90, "corner": "pair"}),
        ("runs[0].legs[0]", "", ("runs", 0, "legs"), [{"turn": 90, "corner": "single"}]),
        ("system.post", "", ("system",), {}),
    ],
)
def test_an_edit_is_made_in_a_copy(path, value, where, expected):
    made: Any = edited(document(DATA), {path: value}).data
    for step in where:
        made = made[step]
    assert made == expected
    assert DATA["runs"][0]["legs"][1] == {"turn": 90, "corner": "single"}
    assert DATA["system"] == {"post": "al-square-2.5"}


def test_new_items_go_in_before_the_items_named_as_they_stand_in_the_file():
    two = {"runs[0].legs[+0]": "{opening: 3 ft}", "runs[0].legs[+2]": "{turn: 0, corner: pair}"}
    made: Any = edited(document(DATA), {**two, "runs[0].legs[1].turn": "80"}).data
    first, level, turn, last = made["runs"][0]["legs"]
    assert (first, last) == ({"opening": "3 ft"}, {"turn": 0, "corner": "pair"})
    assert turn["turn"] == 80
    assert level == DATA["runs"][0]["legs"][0]


def test_a_new_item_is_printed_as_it_can_be_pasted():
    change = Change("runs[0].legs[+3]", "{turn: 0, corner: pair}", "nothing", 0)
    assert list(yaml_lines([change], "job.yaml")) == [
        "# a new item before runs[0].legs[3]:",
        "- {turn: 0, corner: pair}",
    ]


@pytest.mark.parametrize(
    "path",
    ["runs[4].legs[0].level", "handrail.height", "runs[0].legs[0].level.x", "runs[0].legs[+9]"],
)
def test_an_edit_that_leads_nowhere_is_refused(path):
    with pytest.raises(NoSuchPlace):
        edited(document(DATA), {path: "1 in"})


def test_what_stands_there_now_is_the_value_or_the_default():
    assert present(document({"guard": {"a": "10 in"}}), ("guard", "a")) == ("10 in", 7)
    assert present(document({}), ("guard", "wall_gap")) == ("2 in", 0)
    assert present(document({}), ("guard", "pair_offset")) == ("nothing", 0)


def test_changes_are_printed_under_the_mapping_or_item_that_they_are_in():
    changes = (
        Change("guard.height", "3'-0\"", "34 in", 9),
        Change("guard.swage.pulled", "field", "shop", 12),
        Change("guard.tension", "200 lbf", "150 lbf", 13),
        Change("runs[0].legs[2].stair.tread", "11 in", "10 in", 30),
        Change("runs[1].legs[0].level", "12 ft", "11 ft", 0),
        Change("stock", "", "a mapping", 4),
    )
    found = Suggestion(3, changes, (), (), 5)
    head, *lines = suggestion_text(found, "job.yaml").splitlines()
    assert head.startswith("Suggested changes: 6 changes of the job file clear all 3 failures (5 v")
    assert lines == [
        "  guard:",
        "    height: 3'-0\"    # job.yaml:9, now 34 in",
        "    swage:",
        "      pulled: field    # job.yaml:12, now shop",
        "    tension: 200 lbf    # job.yaml:13, now 150 lbf",
        "  # take out stock, job.yaml:4, now a mapping",
        "  # in runs[0].legs[2]:",
        "  stair:",
        "    tread: 11 in    # job.yaml:30, now 10 in",
        "  # in runs[1].legs[0]:",
        "  level: 12 ft    # not in job.yaml, now 11 ft",
    ]
