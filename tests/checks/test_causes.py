"""Clashes that another finding brings about are notes that name it, and keep their distances.

Worked by hand in inches, from the lake deck's parts.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble
from generator.spec.job import Obstacle

INCH = 25.4
STAIR = [{"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}]


def inches(value):
    assert value is not None
    return value / INCH


def checked(job):
    assembly = assemble(layout(job))
    return assembly, run(assembly).findings


def test_ends_of_a_leg_without_room_are_brought_about_by_it(job_of):
    # Posts 12 - 8 = 4 in apart: half a plate each and 1/4 in between them is 5-1/4 in.
    _, findings = checked(job_of([{"level": "12 in"}], edge_inset="4 in"))
    short = [f for f in findings if f.code == "span.short"]
    assert [inches(f.measured) for f in short] == pytest.approx([4.0])
    met = [f for f in findings if f.code == "clash.fittings"]
    assert met
    assert {(f.severity, f.cause) for f in met} == {("note", "span.short")}
    assert all(f.measured is not None and f.measured < 0.0 for f in met)


def test_a_leg_needs_room_for_the_fittings_of_its_cables(job_of):
    assembly, findings = checked(job_of([{"level": "14 in"}], edge_inset="4 in"))
    (short,) = (f for f in findings if f.code == "span.short")
    # By hand: the stud's tip is flush with its nut, 2-1/2 + washer + nut behind the inner face; the
    # fitting reaches from there to its mouth. Two of them and 1/16 in lie between the posts' axes.
    fitting, post = assembly.job.system.fitting, assembly.job.system.post
    behind = post.width_mm / 2 + fitting.washer_thickness_mm + fitting.nut_height_mm
    need = 2 * (fitting.overall_mm - behind) + INCH / 16
    assert short.limit == pytest.approx(need)
    assert short.measured == pytest.approx(6 * INCH)
    assert "fittings need" in short.message


@pytest.mark.parametrize("setback, past", [("2-15/16 in", False), ("2-7/8 in", True)])
def test_bolts_of_a_post_clear_the_riser_below_its_nosing(job_of, setback, past):
    # By hand: the board is 3/4 in thick (19 mm), bolts stand 2 in before the post's axis, 3/16 in
    # their radius: 19 mm + 2-3/16 in is 2.9356 in.
    _, findings = checked(job_of(STAIR, stair_setback=setback))
    posts = [f for f in findings if f.code == "setback.stair"]
    assert bool(posts) is past
    met = [f for f in findings if f.code == "clash.parts"]
    assert bool(met) is past
    if past:
        assert [inches(f.limit) for f in posts] == pytest.approx([19 / INCH + 2.1875] * 2)
        assert {(f.severity, f.cause) for f in met} == {("note", "setback.stair")}
        assert {tuple(m.rstrip("0123456789-") for m in f.where) for f in met} == {("A", "RB")}


def test_open_risers_ask_for_no_more(job_of):
    stair = [{"stair": {**STAIR[0]["stair"], "open_risers": True}}]
    _, findings = checked(job_of(stair, stair_setback="2-3/4 in"))
    assert [f for f in findings if f.code in ("setback.stair", "clash.parts")] == []


def test_an_obstacle_is_brought_about_by_nothing(job_of):
    corners = ((-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0))
    job = job_of([{"level": "12 in"}], edge_inset="4 in")
    box = Obstacle("pipe", 6 * INCH, 4 * INCH, 0.0, 3000.0, corners)
    _, findings = checked(replace(job, obstacles=(box,)))
    met = [f for f in findings if "OB1" in f.where]
    assert met
    assert all(f.severity == "fail" and not f.cause for f in met)
