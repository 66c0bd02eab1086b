"""Jobs that are odd or wrong are still worked out, or leave out what is not there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from generator.layout.lay_out import layout
from generator.parts.build import assemble
from generator.strength.summary import assess

ODD: dict[str, dict[str, Any]] = {
    "too short for its posts": {"legs": [{"level": "12 in"}], "edge_inset": "4 in"},
    "one bay": {"legs": [{"level": "5 ft"}]},
    "no spacers": {"legs": [{"level": "20 ft"}], "max_cable_span": None},
    "one cable": {"legs": [{"level": "10 ft"}], "cable_spacing": "30 in"},
    "acute turn": {"legs": [{"level": "10 ft"}, {"turn": 130, "corner": "pair"},
                            {"level": "10 ft"}]},
    "slight turn": {"legs": [{"level": "10 ft"}, {"turn": 20, "corner": "single"},
                             {"level": "10 ft"}]},
    "passing on a slope": {"legs": [{"level": "10 ft"}, {"turn": 0, "cables": "pass"},
                                    {"ramp": {"length": "10 ft", "rise": "-10 in"}}]},
    "up a stair": {"legs": [{"level": "6 ft"}, {"turn": 0, "corner": "single"},
                            {"stair": {"risers": 7, "rise": "4 ft", "tread": "11 in",
                                       "direction": "up"}}]},
    "a column": {"legs": [{"level": "20 ft", "fixed": [
        {"at": "10 ft", "width": "5-1/2 in", "material": "timber", "cables": "anchor"}]}]},
    "a loop": {"legs": [{"level": "9 ft"}, {"turn": 90}, {"level": "9 ft"}, {"turn": 90},
                        {"level": "9 ft"}, {"turn": 90}, {"level": "9 ft"}], "closed": "single"},
    "all but no tension": {"legs": [{"level": "20 ft"}], "tension": "0.001 lbf"},
    "ten tons": {"legs": [{"level": "20 ft"}], "tension": "20000 lbf"},
    "steel": {"legs": [{"level": "20 ft"}], "system": {"post": "steel-square-2"}},
    "lag screws": {"legs": [{"level": "20 ft"}], "system": {"anchor": "lag-3_8"}},
    "a lag of no table": {"legs": [{"level": "20 ft"}], "system": {
        "anchor": {"name": "lag-3_8", "diameter": "9 mm"}}},
    "no screws": {"legs": [{"level": "20 ft"}], "system": {
        "bracket": {"name": "al-saddle", "screws": 0}}},
    "a screw of no size": {"legs": [{"level": "20 ft"}], "system": {
        "bracket": {"name": "al-saddle", "screw": "a good one"}}},
    "thin walls": {"legs": [{"level": "20 ft"}], "system": {
        "post": {"name": "al-square-2.5", "wall": "0.03 in"}}},
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize(
    "inputs", [{}, {"propping": "rail"}, {"propping": "rail", "base": "gives"}]
)
def test_it_is_worked_out(job_of: Callable[..., Any], name: str, inputs: dict[str, Any]) -> None:
    odd = dict(ODD[name])
    job = job_of(odd.pop("legs"), units="in", **odd)
    job = replace(job, strength=replace(job.strength, **inputs))
    assembly = assemble(layout(job))
    found = assess(assembly)
    posts = {p.mark for p in assembly.of_kind("post")}
    told = {mark for member in found.members for mark in member.marks}
    assert posts <= told
    for _, check in found.checks():
        assert check.demand >= 0.0
        assert check.stated_only or check.utilisation >= 0.0
    for schedule in found.schedules:
        assert schedule.final_n == pytest.approx(
            [job.guard.tension_n] * len(schedule.marks), rel=1e-6
        )


def test_a_column_that_stands_there_is_named(job_of: Callable[..., Any]) -> None:
    odd = ODD["a column"]
    found = assess(assemble(layout(job_of(odd["legs"], units="in"))))
    assert any("stand there already" in line for line in found.unproved)


def test_jobs_without_structure_state_their_anchors(job_of: Callable[..., Any]) -> None:
    job = replace(job_of([{"level": "20 ft"}], units="in"), structure=None)
    found = assess(assemble(layout(job)))
    assert any("not told" in line for line in found.unproved)
    pulls = [c for _, c in found.checks() if c.name == "pull on an anchor"]
    assert pulls
    assert all(c.stated_only for c in pulls)
