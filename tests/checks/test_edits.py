"""The edits that a finding carries, made in the spec: they clear it and bring no new failure."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

import pytest
import yaml

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble

LEVEL = [{"level": "14 ft"}]
STAIR = [{"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}]
LONG_TREADS = [{"stair": {"risers": 5, "rise": "30 in", "tread": "16 in"}}]
DECK_AND_STAIR = [*LEVEL, {"turn": -90, "corner": "pair"}, *STAIR]

# (code, legs, measures of the guard that bring it about)
CASES = [
    ("span.posts", LONG_TREADS, {"max_post_spacing": "15 in"}),
    ("span.posts", DECK_AND_STAIR, {"max_post_spacing": "12 in"}),
    ("span.short", [{"level": "15-1/2 in"}], {}),
    ("span.short", [*LEVEL, {"turn": 90, "corner": "pair"}, {"level": "17 in"}], {}),
    ("span.short", LEVEL, {"max_post_spacing": "5 in"}),
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

SINGLE, PAIR = {"turn": -90, "corner": "single"}, {"turn": 90, "corner": "pair"}
FLEXIBLE = {"cable": "ss316-7x7-1_8"}


def round_corners(*turns, length="6 ft"):
    """Level legs with a pair at every turn, round which the cables go on."""
    legs = [{"level": length}]
    for turn in turns:
        legs += [{"turn": turn, "corner": "pair-through"}, {"level": length}]
    return legs


ROUND = {"turn": 90, "corner": "pair-through", "cables": "pass"}
COLUMNS = [
    {"level": "120 ft", "fixed": [{"at": f"{n} ft", "width": "6 in"} for n in (20, 50, 100)]}
]
NEWEL = [{"stair": {**STAIR[0]["stair"], "foot": "newel"}}]
STEEP = [{"stair": {"risers": 8, "rise": "62 in", "tread": "10 in"}}]
ON_STRINGER = {"stair": {**STAIR[0]["stair"], "posts": "stringer"}}


def pipe(y):
    """A downpipe of 2 in beside the first bay, north of the path by its middle."""
    place = {"x": "30 in", "y": y, "z": "4 ft", "width": "2 in", "depth": "2 in", "height": "8 ft"}
    return {"name": "downpipe", "box": place}


# The same with what else the job has: profiles, what the run begins at, no joists to miss.
CORNERS = [
    ("miter.twist", [*LEVEL, SINGLE, *STAIR], {}, {}),
    ("miter.twist", [*LEVEL, {**SINGLE, "corner": "pair", "rail": "miter"}, *STAIR], {}, {}),
    ("miter.gap", [*LEVEL, {"turn": 0, "corner": "pair", "rail": "miter"}, *STAIR], {}, {}),
    ("cable.turns", round_corners(90, 45), {}, {"system": FLEXIBLE}),
    ("cable.turns", round_corners(45, 45, 45), {}, {"system": FLEXIBLE}),
    ("cable.length", round_corners(90, length="16 ft"), {}, {"system": FLEXIBLE}),
    ("cable.turns", round_corners(90, 90, 45, 45), {}, {"system": FLEXIBLE}),
    ("cable.length", round_corners(30, 30, length="18 ft"), {}, {"system": FLEXIBLE}),
    ("cable.length", COLUMNS, {}, {}),
    ("cable.bend", round_corners(60), {}, {}),
    ("cable.bend", round_corners(60, 30), {}, {}),
    ("cable.bend", [*LEVEL, ROUND, *LEVEL], {"pair_offset": "6-1/2 in"}, {}),
    ("miter.saw-limit", [*LEVEL, {"turn": 125, "corner": "single"}, *LEVEL], {}, {}),
    ("opening.bottom", NEWEL, {"edge_inset": "5-1/2 in"}, {}),
    ("opening.stair", [*LEVEL, {**ROUND, "turn": 0}, *STAIR], {"stair_height": "39 in"}, {}),
    ("clash.fittings", LEVEL, {"swage": {"dead": "shop", "pulled": "shop"}}, {}),
    ("clash.parts", LEVEL, {"wall_gap": "2 in", "run_on": "2 in"}, {"start": "wall"}),
    ("clash.cable-post", STAIR, {"stair_height": "37 in", "post_top": "square"}, {}),
    ("anchor.access", LEVEL, {"wall_gap": "1 in", "run_on": "1/2 in"}, {"start": "wall"}),
    ("opening.end", LEVEL, {"wall_gap": "5 in"}, {"start": "wall"}),
    ("opening.end", [*LEVEL, PAIR, *LEVEL], {"pair_offset": "7 in"}, {}),
    ("opening.end", [*LEVEL, {**PAIR, "turn": 135}, *LEVEL], {"pair_offset": "10 in"}, {}),
    ("opening.end", [*LEVEL, {**PAIR, "turn": -90}, *STAIR], {"pair_offset": "8 in"}, {}),
    ("opening.stair", [*LEVEL, *STAIR], {"height": "42 in", "transition": "easing"}, {}),
    # One post at the head of a steep stair, in line: no item stands between the legs.
    ("clash.fittings", [*LEVEL, *STEEP], {}, {}),
    ("clash.cable-post", [*LEVEL, *STEEP], {}, {}),
    ("clash.fittings", [*LEVEL, {"turn": 0, "corner": "single"}, *STEEP], {}, {}),
    ("clash.post-wall", LEVEL, {"wall_gap": "1 in", "run_on": "1/4 in"}, {"start": "wall"}),
    ("clash.cable-tread", [ON_STRINGER], {"bottom_gap": "1 in"}, {}),
    ("clash.parts", LEVEL, {}, {"obstacles": [pipe("2-3/4 in")]}),
    ("clash.parts", LEVEL, {}, {"obstacles": [pipe("5-1/2 in")]}),
]
# Codes whose edits are made in tests of their own.
ELSEWHERE = {"anchor.edge", "handrail.required", "cable.tension"}


def spec(
    spec_values, legs, measures, units, *, system=None, start="free", bare=False, obstacles=()
):
    values = spec_values("lake-deck")
    values["job"]["units"] = units
    del values["stock"]
    values["guard"] = {key: value for key, value in measures.items() if value is not None}
    values["system"] |= system or {}
    if obstacles:
        values["obstacles"] = list(obstacles)
    if bare:
        values["structure"] = {"decking": "1 in"}
    run_of = {**values["runs"][0], "legs": legs, "end": "free"}
    run_of["start"] = {**run_of["start"], "end": start}
    return {**values, "runs": [run_of]}


def checked(read_values, values):
    return run(assemble(layout(read_values(values)))).findings


def edited(values, path, text):
    """A copy of a spec's values with the field at a path such as runs[0].legs[2].level set.

    A last step of legs[+2] puts a new item before that one.
    """
    changed = deepcopy(values)
    steps = [n or key for n, key in re.findall(r"\[(\+?\d+)\]|([^.\[\]]+)", path)]
    holder: Any = changed
    for step in steps[:-1]:
        holder = holder[int(step) if step.isdigit() else step]
    last = steps[-1]
    if last.startswith("+"):
        holder.insert(int(last), yaml.safe_load(text))
    else:
        holder[int(last) if last.isdigit() else last] = text
    return changed


def troubles(findings):
    return {(f.code, f.severity) for f in findings if f.severity != "note"}


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("code, legs, measures", CASES)
def test_edits_clear_their_finding_and_bring_no_new_failure(
    spec_values, read_values, code, legs, measures, units
):
    assert_cleared(read_values, code, spec(spec_values, legs, measures, units))


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("code, legs, measures, other", CORNERS)
def test_edits_of_corners_and_ends_clear_theirs(
    spec_values, read_values, code, legs, measures, other, units
):
    spans = {"max_cable_span": "36 in", **measures}
    assert_cleared(read_values, code, spec(spec_values, legs, spans, units, bare=True, **other))


def assert_cleared(read_values, code, values):
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


def test_every_code_with_edits_is_among_the_cases(planned, root):
    # Edits of other codes than these would go untested.
    names = [path.stem for path in (root / "examples").glob("*.yaml")] + ["faulty/setback.stair"]
    told = {f.code for name in names for f in planned(name).report.findings if f.edits}
    tried = {case[0] for case in (*CASES, *CORNERS)}
    assert told <= tried | ELSEWHERE
    assert not tried & ELSEWHERE


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
