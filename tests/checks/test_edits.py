"""The edits that a finding carries, made in the spec: they clear it and bring no new failure."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

import pytest

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble

LEVEL = [{"level": "14 ft"}]
SHORT = [{"level": "12 in"}]
STAIR = [{"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}]
LONG_TREADS = [{"stair": {"risers": 5, "rise": "30 in", "tread": "16 in"}}]
DECK_AND_STAIR = [*LEVEL, {"turn": -90, "corner": "pair"}, *STAIR]

# (code, legs, measures of the guard that bring it about)
CASES = [
    ("span.posts", LONG_TREADS, {"max_post_spacing": "15 in"}),
    ("span.posts", DECK_AND_STAIR, {"max_post_spacing": "12 in"}),
    ("span.short", SHORT, {}),
    ("span.short", [*SHORT, {"turn": 90, "corner": "single"}, *LEVEL], {}),
    ("span.short", [*LEVEL, {"turn": 90, "corner": "pair"}, *SHORT], {}),
    ("height.level", LEVEL, {"height": "34 in"}),
    ("height.level", DECK_AND_STAIR, {"height": "35-1/2 in"}),
    ("height.stair", STAIR, {"stair_height": "33 in"}),
    ("height.stair", DECK_AND_STAIR, {"stair_height": "30 in"}),
    ("opening.level", LEVEL, {"cable_spacing": "4-1/4 in"}),
    ("opening.level", LEVEL, {"cable_spacing": "3.9 in", "height": "36-1/8 in"}),
    ("opening.stair", STAIR, {"cable_spacing": "5-1/2 in", "stair_height": "37-1/2 in"}),
    ("opening.bottom", LEVEL, {"bottom_gap": "4-1/2 in"}),
    ("opening.bottom", DECK_AND_STAIR, {"edge_inset": "4-3/4 in"}),
    ("opening.loaded", LEVEL, {"max_cable_span": None}),
    ("opening.loaded", LEVEL, {"max_cable_span": "5 ft"}),
    ("setback.stair", STAIR, {"stair_setback": "5-1/2 in"}),
    ("setback.stair", STAIR, {"stair_setback": "2-1/2 in"}),
    ("setback.stair", DECK_AND_STAIR, {"stair_setback": "4-3/8 in"}),
]


def spec(spec_values, legs, measures, units):
    values = spec_values("lake-deck")
    values["job"]["units"] = units
    del values["stock"]
    values["guard"] = {key: value for key, value in measures.items() if value is not None}
    run_of = {**values["runs"][0], "legs": legs, "end": "free"}
    run_of["start"] = {**run_of["start"], "end": "free"}
    return {**values, "runs": [run_of]}


def checked(read_values, values):
    return run(assemble(layout(read_values(values)))).findings


def edited(values, path, text):
    """A copy of a spec's values with the field at a path such as runs[0].legs[2].level set."""
    changed = deepcopy(values)
    steps = [int(n) if n else key for n, key in re.findall(r"\[(\d+)\]|([^.\[\]]+)", path)]
    holder: Any = changed
    for step in steps[:-1]:
        holder = holder[step]
    holder[steps[-1]] = text
    return changed


def troubles(findings):
    return {(f.code, f.severity) for f in findings if f.severity != "note"}


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("code, legs, measures", CASES)
def test_edits_clear_their_finding_and_bring_no_new_failure(
    spec_values, read_values, code, legs, measures, units
):
    values = spec(spec_values, legs, measures, units)
    before = checked(read_values, values)
    findings = [f for f in before if f.code == code and f.severity != "note"]
    assert findings
    for finding in findings:
        assert finding.edits, finding
        mended = values
        for edit in finding.edits:
            mended = edited(mended, edit.path, edit.value)
        after = checked(read_values, mended)
        assert (code, finding.where) not in {
            (f.code, f.where) for f in after if f.severity != "note"
        }
        assert {c for c, s in troubles(after) if s == "fail"} <= {c for c, _ in troubles(before)}


def test_every_code_with_edits_is_among_the_cases(planned):
    # Edits of other codes than these would go untested.
    names = ("lake-deck", "metric-terrace", "faulty/setback.stair")
    told = {f.code for name in names for f in planned(name).report.findings if f.edits}
    assert told <= {code for code, _, _ in CASES}


def test_words_of_a_remedy_are_in_the_units_of_the_job(spec_values, read_values):
    measures = {"stair_setback": "5-1/2 in"}
    words = {}
    for units in ("in", "mm"):
        findings = checked(read_values, spec(spec_values, STAIR, measures, units))
        words[units] = next(f for f in findings if f.code == "setback.stair")
    # By hand: 4.32203 in, so 4-5/16 in or 109 mm; from 5-1/2 in it is 1-3/16 in or 30.7 mm away
    assert words["in"].remedy == 'move P2 1 3/16" toward the nosing, to a setback of 4 5/16"'
    assert words["mm"].remedy == "move P2 30.7 mm toward the nosing, to a setback of 109 mm"
    assert [f.edits[0].value for f in words.values()] == ['4 5/16"', "109 mm"]
