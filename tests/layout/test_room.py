"""Corners whose parts once stood in each other, by the exact clash check: all must find room.

The check measures shapes of parts only; worked values are by hand, in the comments.
"""

from __future__ import annotations

import pytest

from generator.checks import run
from generator.checks.clashes import check_clashes
from generator.layout import layout
from generator.layout.rows import shifts
from generator.parts.assembly import PostDetail, detail_of
from generator.parts.build import assemble

INCH = 25.4
FLEXIBLE = {"cable": "ss316-7x7-1_8"}
NO_JOISTS = {"decking": "1 in"}
LEVEL = {"level": 3000}


def stair(risers=7, rise=1219.2, **more):
    return {"stair": {"risers": risers, "rise": rise, "tread": 279.4, **more}}


def ramp(rise, length=3000):
    return {"ramp": {"length": length, "rise": rise}}


def turn(angle, corner="single", **more):
    return {"turn": angle, "corner": corner, **more}


def met(assembly):
    return {outcome.where for outcome in check_clashes(assembly) if not outcome.passed}


def assembled(job_of, legs, deck="left", **more):
    measures = {"max_cable_span": 914.4, "structure": NO_JOISTS, **more}
    return assemble(layout(job_of(legs, deck=deck, system=FLEXIBLE, **measures)))


@pytest.mark.parametrize("angle", [-89, -90, -45, 45, 90])
@pytest.mark.parametrize("corner", ["single", "pair"])
@pytest.mark.parametrize("first, second", [(0, -400), (-400, 0), (300, 0), (300, 300), (300, -300)])
def test_a_post_where_a_ramp_turns_stands_on_no_slope_it_sinks_into(
    job_of, angle, corner, first, second
):
    one, other = (ramp(rise) if rise else LEVEL for rise in (first, second))
    assembly = assembled(job_of, [one, turn(angle, corner), other], edge_inset="4 in")
    assert met(assembly) == set()
    told = {f.code for f in run(assembly).findings if f.severity == "fail"}
    assert told == set()


def test_round_the_end_of_a_ramp_the_floor_is_level(job_of):
    # By hand: turned away, the corner post stands 4 in beyond both ends, on the floor at 48 in
    assembly = assembled(job_of, [LEVEL, turn(-90), ramp(-400)], edge_inset="4 in")
    (corner,) = [
        detail_of(p, PostDetail)
        for p in assembly.of_kind("post")
        if detail_of(p, PostDetail).role == "corner"
    ]
    assert corner.base_z_mm == pytest.approx(48 * INCH)


@pytest.mark.parametrize("falls", [(40, -40), (40, 0), (-40, 40)])
@pytest.mark.parametrize("angle", [0, 45, 90, -90])
def test_a_post_on_a_drained_corner_stands_on_both_falls(job_of, falls, angle):
    first, second = ({"level": 4000, "fall": fall} for fall in falls)
    assembly = assembled(job_of, [first, turn(angle), second], edge_inset="4 in")
    assert met(assembly) == set()


@pytest.mark.parametrize("rises", [(300, 30), (30, 300), (-300, -30)])
def test_a_post_on_the_flatter_of_two_ramps_lies_in_its_slope(job_of, rises):
    first, second = (ramp(rise) for rise in rises)
    assembly = assembled(job_of, [first, second])
    assert met(assembly) == set()
    corner = next(p for p in assembly.of_kind("post") if detail_of(p, PostDetail).role == "corner")
    plate = next(p for p in assembly.of_kind("base-plate") if p.belongs_to == corner.mark)
    # By hand: 30 mm in 3 m is 1 %
    assert abs(plate.place.x[2] / plate.place.x[0]) == pytest.approx(0.01)


@pytest.mark.parametrize("legs", [[ramp(300), turn(90), ramp(-300)], [LEVEL, turn(0), ramp(-300)]])
def test_a_bracket_under_two_pitches_clears_both_rails(job_of, legs):
    legs = [{**leg, "cables": "pass"} if leg.get("turn") == 0 else leg for leg in legs]
    assert met(assembled(job_of, legs)) == set()


@pytest.mark.parametrize("angle", [10, 15, 30, -15, -30])
@pytest.mark.parametrize("direction", ["down", "up"])
def test_a_post_before_a_stair_is_clear_of_its_last_riser(job_of, angle, direction):
    steps = stair(direction=direction)
    legs = (
        [steps, turn(angle, "pair"), LEVEL]
        if direction == "down"
        else [LEVEL, turn(angle, "pair"), steps]
    )
    assert met(assembled(job_of, legs)) == set()


@pytest.mark.parametrize("risers", [1, 2])
def test_studs_keep_clear_of_nuts_on_the_rake(job_of, risers):
    legs = [LEVEL, stair(risers, risers * 170), LEVEL]
    assert met(assembled(job_of, legs)) == set()


@pytest.mark.parametrize("inset", ["3-1/2 in", "4 in", "4-1/4 in", "4-1/2 in"])
@pytest.mark.parametrize("direction", ["down", "up"])
def test_rows_of_three_legs_in_line_find_a_place(job_of, inset, direction):
    legs = [LEVEL, stair(direction=direction), LEVEL]
    assembly = assembled(job_of, legs, edge_inset=inset)
    assert met(assembly) == set()
    told = {f.code for f in run(assembly).findings if f.severity in ("fail", "warn")}
    assert {code for code in told if code.startswith("clash.")} == set()


def test_small_moves_of_the_rows_are_tried_last(job_of):
    # By hand: a stud of 1/4 in and 1/16 in between: less than 5/16 in are 1/16, 1/8, 3/16, 1/4 in
    moves = [move / INCH * 16 for move in shifts(job_of([LEVEL]))]
    assert moves[0] == 0.0
    assert moves[-8:] == pytest.approx([-1, 1, -2, 2, -3, 3, -4, 4])
    assert all(abs(move) >= 5 - 1e-9 for move in moves[1:-8])
