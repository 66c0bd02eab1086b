"""Jobs that once went wrong: crashes, edits that did not help, studs and decks in each other."""

from __future__ import annotations

import math

import pytest

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.shapes import Prism

INCH = 25.4
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}
DOWN = {"stair": STAIR}


def plan(job):
    assembly = assemble(layout(job))
    return assembly, run(assembly)


def troubles(job):
    return {(f.code, f.where) for f in plan(job)[1].findings if f.severity != "note"}


@pytest.mark.parametrize("deck, turn", [("left", 90), ("left", 45), ("right", -90)])
def test_stair_turned_toward_the_walking_surface_does_not_crash(job_of, deck, turn):
    legs = [{"level": "100 in"}, {"turn": turn, "corner": "pair"}, DOWN]
    assert plan(job_of(legs, deck=deck))[1].measures


@pytest.mark.parametrize("gap", ["3-1/2 in", "4 in"])
def test_a_triangle_too_large_is_cleared_by_the_setback_behind_it(job_of, gap):
    findings = plan(job_of([DOWN], bottom_gap=gap))[1].findings
    triangle = next(f for f in findings if f.code == "opening.triangle")
    assert (triangle.severity, triangle.cause) == ("note", "setback.stair")
    setback = next(f for f in findings if f.code == "setback.stair")
    after = plan(job_of([DOWN], bottom_gap=gap, stair_setback=setback.edits[0].value))[1]
    codes = {f.code for f in after.findings}
    assert not codes & {"opening.triangle", "setback.stair"}


def test_level_into_a_stair_on_one_post_lays_out_without_failure(job_of):
    # the later leg's studs are moved down 2-1/8 in, the lowest cable goes 0.854 in into the nosings
    _, report = plan(job_of([{"level": "100 in"}, DOWN]))
    assert report.status != "fail"


def face(part, end):
    cut = part.shape.start if end == "start" else part.shape.end
    return sorted(
        part.place.point((x, y, cut.at(x, y))) for x, y in part.shape.section.outer.corners
    )


def test_miter_of_a_stair_up_into_a_level_leg_closes(job_of):
    # the two cut faces lie 6.8 mm apart in height; top lines meet 10.9 mm before the nosing
    legs = [{"stair": {**STAIR, "direction": "up"}}, {"level": "100 in"}]
    before, after = plan(job_of(legs))[0].of_kind("rail")
    for p, q in zip(face(before, "end"), face(after, "start"), strict=True):
        assert math.dist(p, q) < 1e-6


@pytest.mark.parametrize("gap", ["2 in", "3 in"])
@pytest.mark.parametrize("spacing", ["2-1/2 in", "3 in", "3-3/4 in"])
def test_even_rows_keep_studs_apart_in_a_shared_post(job_of, gap, spacing):
    legs = [{"level": 3000}, {"turn": 90, "corner": "single"}, {"level": 3000}]
    job = job_of(legs, rows="even", bottom_gap=gap, cable_spacing=spacing)
    first, second = layout(job).runs[0].legs
    apart = min(abs(a - b) for a in first.rows_mm for b in second.rows_mm)
    assert apart >= 5 / 16 * INCH - 1e-6


def test_edit_of_the_gap_under_the_rail_clears_it(job_of):
    # rows: even at a spacing of 5-1/2 in still leaves gaps over the limit
    measures = {"cable_spacing": "5-1/2 in"}
    finding = next(
        f for f in plan(job_of([DOWN], **measures))[1].findings if f.code == "opening.stair"
    )
    for edit in finding.edits:
        measures[edit.path.removeprefix("guard.")] = edit.value
    assert "opening.stair" not in {code for code, _ in troubles(job_of([DOWN], **measures))}


def test_deck_of_a_short_return_ends_at_its_edge(job_of):
    # a level leg shorter than the 600 mm of deck shown: its deck reaches past the stair's nosing
    legs = [
        {"level": "120 in"},
        {"turn": -90, "corner": "single"},
        {"level": "16 in"},
        {"turn": 0, "corner": "pair"},
        DOWN,
    ]
    job = job_of(legs, deck="right", edge_inset="3 in", stair_setback="3-3/4 in")
    assembly, _ = plan(job)
    deck = assembly.by_mark["D2"]
    nosing = assembly.legs[-1].edge_start
    assert isinstance(deck.shape, Prism)
    ys = [deck.place.point((x, y, 0.0))[1] for x, y in deck.shape.section.outer.corners]
    assert min(ys) >= nosing[1] - 1e-6
