"""Corners whose parts once stood in each other, by the exact clash check: all must find room.

The check measures shapes of parts only; worked values are by hand, in the comments.
"""

from __future__ import annotations

import pytest

from generator.checks import run
from generator.checks.bores import check_bores
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


@pytest.mark.parametrize("rise", [-300, 300, -60])
def test_posts_at_an_opening_beside_a_ramp_lie_on_both_floors(job_of, rise):
    legs = [ramp(rise), {"opening": 900}, LEVEL]
    assert met(assembled(job_of, legs)) == set()
    assert met(assembled(job_of, [LEVEL, {"opening": 900}, ramp(rise)])) == set()


@pytest.mark.parametrize("angle", [-90, -45, -30])
@pytest.mark.parametrize("mounts", [("fascia", "fascia"), ("deck", "fascia"), ("fascia", "deck")])
def test_rails_and_posts_of_a_hollow_corner_keep_apart(job_of, angle, mounts):
    # Turned away from the walking side; the rails run on toward each other.
    one, other = ({"level": 4000, "mount": mount} for mount in mounts)
    assembly = assembled(job_of, [one, turn(angle, "pair"), other])
    assert met(assembly) == set()


def test_a_side_plate_on_a_ramp_stays_under_its_decking(job_of):
    told = {"decking": "1 in", "overhang": "1/2 in", "fascia": "3/4 in"}
    assembly = assembled(job_of, [ramp(300)], mount="fascia", structure=told)
    assert met(assembly) == set()


def test_a_tube_turned_to_the_bisector_leaves_its_stand_off_room(job_of):
    assembly = assembled(job_of, [LEVEL, turn(60), LEVEL], mount="fascia")
    tubes = {p.mark for p in assembly.of_kind("post")}
    assert not [where for where in met(assembly) if where[0][:2] == "SO" and where[1] in tubes]


@pytest.mark.parametrize("angle", [5, 20])
def test_a_sleeve_in_a_short_return_leaves_the_arm_of_its_miter_room(job_of, angle):
    legs = [LEVEL, turn(angle, "pair", rail="return"), LEVEL]
    assembly = assembled(job_of, legs)
    assert list(assembly.of_kind("sleeve"))
    assert met(assembly) == set()


def test_a_post_back_from_a_stair_on_a_ramp_lies_in_its_slope(job_of):
    # By hand: 90 mm in 1 m down to the stair's foot, the post's own inset of 4 in behind it
    legs = [ramp(-270), stair(5, 850, direction="up"), LEVEL]
    assembly = assembled(job_of, legs, edge_inset="4 in")
    bases = {p.mark for p in assembly.of_kind("base-plate", "post")}
    assert [where for where in met(assembly) if bases & set(where)] == []


@pytest.mark.parametrize("bearing", [0, 90])
def test_blocks_keep_off_the_fascia(job_of, bearing):
    joists = {"spacing": "16 in", "width": "1-1/2 in", "depth": "9-1/4 in", "bearing": bearing}
    told = {
        "joists": {**joists, "species": "southern-pine"},
        "decking": "1 in",
        "overhang": "1/2 in",
        "fascia": "3/4 in",
        "rim": "1-1/2 in",
    }
    assembly = assembled(job_of, [{"level": 3000}], structure=told, edge_inset=85)
    kinds = {frozenset(assembly.by_mark[m].kind for m in where) for where in met(assembly)}
    assert frozenset(("blocking", "rim")) not in kinds


@pytest.mark.parametrize("angle", [-100, -89.41, -60, 20, 70])
@pytest.mark.parametrize("leg", [ramp(-600), stair()])
def test_a_stud_that_leans_both_ways_passes_its_slot(job_of, angle, leg):
    assembly = assembled(job_of, [LEVEL, turn(angle), leg], edge_inset="4 in")
    assert [o.where for o in check_bores(assembly) if not o.passed] == []
