"""How rails of two legs meet: drops, easings, butts, returns, plumb butts; and one post for both.

Closed forms and worked values: by hand.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.checks import run
from generator.checks.joints import face_corners, face_gap
from generator.errors import InputError
from generator.layout import layout
from generator.parts.assembly import PostDetail, RailDetail, detail_of
from generator.parts.build import assemble
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.shapes import Prism

INCH = 25.4
WIDTH, DEPTH = 2.5 * INCH, 1.5 * INCH
HALF_POST = 1.25 * INCH
STUD = 0.25 * INCH
TAN = 48 / 7 / 11
PITCH = math.degrees(math.atan(TAN))
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}


def stair(direction="down"):
    return {"stair": {**STAIR, "direction": direction}}


def made(job):
    """(rails, what is told of corners and clashes)."""
    assembly = assemble(layout(job))
    told = {f.code for f in run(assembly).findings if f.severity != "note"}
    return list(assembly.of_kind("rail")), told - {"opening.loaded", "anchor.edge"}


def joints(rails):
    return [
        (detail_of(a, RailDetail).end_on, detail_of(b, RailDetail).start_on)
        for a, b in pairwise(rails)
    ]


def top(rail, end):
    """(x, z) of the top edge of a cut face of a rail that runs east."""
    shape = rail.shape
    assert isinstance(shape, Prism)
    cut = shape.start if end == "start" else shape.end
    x, _, z = rail.place.point((0.0, DEPTH / 2, cut.at(0.0, DEPTH / 2)))
    return x, z


def in_line(job_of, transition, direction="down", height="42 in", stair_height="36 in"):
    level = {"level": "10 ft"}
    legs = [level, stair()] if direction == "down" else [stair("up"), level]
    measures = {"height": height, "stair_height": stair_height, "transition": transition}
    return job_of(legs, start={"z": "48 in" if direction == "down" else 0}, **measures)


@pytest.mark.parametrize("direction", ["down", "up"])
def test_top_lines_of_an_easing_meet_and_run_on(job_of, direction):
    rails, told = made(in_line(job_of, "easing", direction))
    assert joints(rails) == [("miter", "miter")] * 2
    for before, after in pairwise(rails):
        assert top(before, "end") == pytest.approx(top(after, "start"), abs=1e-6)
        assert face_gap(before, after) < 1e-6
    # By hand: from the nosing at the level height, 12 in on, down to the stair's rail there.
    ends = [top(rails[1], "start"), top(rails[1], "end")]
    (high_x, high_z), (low_x, low_z) = ends if direction == "down" else ends[::-1]
    assert abs(low_x - high_x) / INCH == pytest.approx(12.0)
    assert high_z / INCH == pytest.approx(48 + 42)
    assert low_z / INCH == pytest.approx(48 - 12 * TAN + 36)
    assert "miter.gap" not in told


def test_miters_of_an_easing_halve_each_change_of_pitch(job_of):
    # By hand: it falls 6 in and 12 tan p over 12 in, 48.3254 deg; half of it at the level rail,
    # half of what is left to the stair's 31.9384 deg at the other.
    steep = math.degrees(math.atan((6 + 12 * TAN) / 12))
    assert steep == pytest.approx(48.3254, abs=1e-4)
    rails, _ = made(in_line(job_of, "easing"))
    for before, after, change in ((0, 1, steep), (1, 2, PITCH - steep)):
        cuts = (cut_angles(rails[before], "end"), cut_angles(rails[after], "start"))
        assert [abs(bevel) for _, bevel in cuts] == pytest.approx([abs(change) / 2] * 2)
        assert [miter for miter, _ in cuts] == [0.0, 0.0]


@pytest.mark.parametrize("direction", ["down", "up"])
def test_a_plumb_drop_holds_the_level_height_to_the_nosing(job_of, direction):
    rails, told = made(in_line(job_of, "plumb", direction))
    if direction == "up":
        rails = rails[::-1]
    level, *_, pitched = rails
    nosing = (120 if direction == "down" else 66) * INCH
    end = "end" if direction == "down" else "start"
    assert max(z for _, _, z in face_corners(level, end)) / INCH == pytest.approx(48 + 42)
    # What is seen of the stair's rail begins at the nosing, 36 in over it.
    reach = top(pitched, "start" if direction == "down" else "end")
    line = 48 * INCH + 36 * INCH - TAN * abs(reach[0] - nosing)
    assert reach[1] == pytest.approx(line, abs=1e-6)
    assert {"miter.gap", "height.level", "height.stair"} & told == set()


def test_one_common_height_is_the_greater_of_the_two(job_of):
    rails, told = made(in_line(job_of, "common"))
    assert joints(rails) == [("miter", "miter")]
    assert top(rails[0], "end")[1] / INCH == pytest.approx(48 + 42)
    assert top(rails[0], "end")[0] / INCH == pytest.approx(120)
    assert top(rails[1], "end")[1] - 48 * INCH - 42 * INCH == pytest.approx(
        -TAN * (top(rails[1], "end")[0] - 120 * INCH)
    )
    assert told == set()


def pair(job_of, rail, turn=90, **more):
    legs = [{"level": 3000}, {"turn": turn, "corner": "pair", "rail": rail}, {"level": 4000}]
    return job_of(legs, edge_inset=100, structure={"decking": "1 in"}, **more)


@pytest.mark.parametrize("turn", [90, -90])
def test_a_butt_leaves_the_gap_that_the_later_rail_grows_by(job_of, turn):
    # By hand: alpha L dT / 2 of aluminium. Leg 2's posts are 4000 less 100 at its free end, less
    # (turned toward the deck) or plus 100, less 5-1/4 in at the pair.
    job = pair(job_of, "butt", turn, temperature_range="60 K")
    material = next(m for m in job.system.materials if m.name == job.system.rail.material)
    assert material.expansion_per_k == pytest.approx(23.4e-6, rel=0.05)
    length = 4000 - 100 - math.copysign(100, turn) - 5.25 * INCH
    gap = material.expansion_per_k * length * 60 / 2
    rails, told = made(job)
    first, second = rails
    assert joints(rails) == [("butt", "butt")]
    side = 100 + math.copysign(WIDTH / 2, turn)
    assert second.place.origin[1] - side == pytest.approx(math.copysign(gap, turn), abs=1e-6)
    # The first runs on to the far side of the second.
    vertex = 3000 - math.copysign(100, turn)
    assert max(x for x, _, _ in face_corners(first, "end")) == pytest.approx(vertex + WIDTH / 2)
    assert told == set()


@settings(max_examples=20, derandomize=True)
@given(turn=st.floats(30, 150).flatmap(lambda t: st.sampled_from([t, -t])))
def test_a_butt_at_any_turn_ends_flat_against_the_others_side(job_of, turn):
    rails, _ = made(pair(job_of, "butt", turn, temperature_range="0 K"))
    first, second = rails
    sides = sorted(first.place.local(point)[0] for point in face_corners(second, "start"))
    # All four corners of the cut lie in the plane of one side of the first rail.
    near = math.copysign(WIDTH / 2, turn)
    assert sides == pytest.approx([near] * 4, abs=1e-6)


def test_a_return_is_mitered_and_ends_on_the_second_legs_first_post(job_of):
    rails, told = made(pair(job_of, "return"))
    assert joints(rails) == [("miter", "miter"), ("joint on post", "joint on post")]
    # By hand: 5-1/4 in from the vertex to the post, half the width more to the tip.
    long, short, centre = (length / INCH for length in rail_lengths(rails[1]))
    assert (long, short, centre) == pytest.approx((5.25 + 1.25, 5.25 - 1.25, 5.25))
    assert face_gap(rails[0], rails[1]) < 1e-6
    assert told == set()


def test_rails_of_a_pair_run_on_past_their_posts_where_nothing_else_is_asked(job_of):
    (first, second), told = made(pair(job_of, "run-on", run_on="1/2 in"))
    # By hand: vertex 2900, posts 5-1/4 in off it, half a post and 1/2 in beyond.
    reach = 5.25 * INCH - HALF_POST - 0.5 * INCH
    assert max(x for x, _, _ in face_corners(first, "end")) == pytest.approx(2900 - reach)
    assert second.place.origin[1] == pytest.approx(100 + reach)
    assert told == set()


@pytest.mark.parametrize("turn", [-90, -60])
def test_a_miter_that_would_twist_is_built_as_plumb_butts_and_told(job_of, turn):
    legs = [{"level": "10 ft"}, {"turn": turn, "corner": "single"}, stair()]
    assembly = assemble(layout(job_of(legs)))
    level, pitched = assembly.of_kind("rail")
    assert joints([level, pitched]) == [("plumb butt", "plumb butt")]
    # Plumb cuts: no corner of either face lies over another.
    for face in (face_corners(level, "end"), face_corners(pitched, "start")):
        assert len({(round(x, 6), round(y, 6)) for x, y, _ in face}) == 2
    (twist,) = [f for f in run(assembly).findings if f.code == "miter.twist"]
    assert twist.severity == "warn"
    # By hand, level into a flight: tan(twist / 2) = tan(turn / 2) tan(pitch / 2)
    half = math.tan(math.radians(-turn / 2)) * math.tan(math.radians(PITCH / 2))
    assert twist.measured == pytest.approx(2 * math.degrees(math.atan(half)), abs=1e-6)
    # The ways out are a change of the spec, and words.
    assert [(edit.path, edit.value) for edit in twist.edits] == [("runs[0].legs[1].corner", "pair")]
    assert "easing" in twist.remedy


def test_the_higher_rail_bears_on_the_post_and_the_other_ends_before_it(job_of):
    # By hand: over the vertex the stair's rail is inset tan p higher than the level one.
    legs = [{"level": "10 ft"}, {"turn": -90, "corner": "single"}, stair()]
    (level, pitched), _ = made(job_of(legs, edge_inset="4 in"))
    vertex = (124.0, 4.0)
    reach_level = max(x for x, _, _ in face_corners(level, "end")) / INCH - vertex[0]
    reach_pitched = max(y for _, y, _ in face_corners(pitched, "start")) / INCH - vertex[1]
    assert reach_pitched == pytest.approx(1.25)
    assert reach_level == pytest.approx(-1.25)


@pytest.mark.parametrize("cut, bevel", [("square", 0.0), ("plumb", PITCH)])
def test_free_ends_of_a_pitched_rail_are_cut_as_asked(job_of, cut, bevel):
    (rail,), _ = made(job_of([stair()], end_cut=cut, run_on="1 in"))
    for end in ("start", "end"):
        miter, found = cut_angles(rail, end)
        assert (miter, abs(found)) == pytest.approx((0.0, bevel))
    # The run-on is of the centre line, 1 in beyond the post's face, whichever the cut.
    x = rail.place.origin[0] / INCH
    assert x == pytest.approx(-4 - 1.25 - 1.0)


def test_one_post_at_the_foot_stands_on_the_tread_whichever_leg_comes_first(job_of):
    # By hand: turned toward the deck the vertex lies an inset behind the last nosing, on its tread.
    down = [stair(), {"turn": 90, "corner": "single"}, {"level": "10 ft"}]
    up = [{"level": "10 ft"}, {"turn": -90, "corner": "single"}, stair("up")]
    for legs, deck, z in ((down, "left", "48 in"), (up, "right", 0)):
        plan = layout(job_of(legs, deck=deck, start={"z": z}))
        (corner,) = [site for site in plan.posts if site.role == "corner"]
        assert (corner.place, corner.tread) == ("tread", 6)
        assert corner.base[2] / INCH == pytest.approx(48 / 7)


def studs_clear(before, after, reach):
    """Least distance in height of two legs' studs in line, from `reach` before the axis to after.

    In line, studs are straight in one upright plane; their distance is least at an end.
    """
    spans = (-reach, 0.0, reach)
    return min(
        abs((a - b) + (before.line.slope - after.line.slope) * s)
        for a, b in (
            (
                before.line.reference_z(before.stations_mm[-1]) + a,
                after.line.reference_z(after.stations_mm[0]) + b,
            )
            for a in before.rows_mm
            for b in after.rows_mm
        )
        for s in spans
    )


@pytest.mark.parametrize("direction", ["down", "up"])
@pytest.mark.parametrize("heights", [("36 in", "36 in"), ("42 in", "36 in")])
def test_one_post_in_line_holds_the_studs_of_both_legs(job_of, direction, heights):
    job = in_line(job_of, "plumb", direction, *heights)
    plan = layout(job)
    before, after = plan.runs[0].legs
    assert before.posts[-1] == after.posts[0]
    # Within the post, studs that run side by side keep a stud and 1/16 in.
    assert studs_clear(before, after, HALF_POST) >= STUD + INCH / 16 - 1e-6
    # Every hole lies within the tube.
    assembly = assemble(plan)
    post = assembly.by_mark[f"P{before.posts[-1] + 1}"]
    assert isinstance(post.shape, Prism)
    assert {hole.leg for hole in detail_of(post, PostDetail).drilling} == {1, 2}
    for hole in post.shape.holes:
        x = HALF_POST if hole.face == "x+" else -HALF_POST
        assert hole.along_mm + hole.height_mm / 2 <= post.shape.end.at(x, 0.0)
        assert hole.along_mm - hole.height_mm / 2 >= 0.0
    told = {f.code for f in run(assembly).findings if f.severity == "fail"}
    assert {"clash.fittings", "clash.cable-post"} & told == set()


def test_one_post_between_two_levels_in_line_moves_the_later_rows(job_of):
    # By hand: nut and washer of the leg before lie where the studs of the leg after come in: half
    # of a washer of 5/8 in, half a stud and 1/16 in.
    legs = [{"level": 3000}, {"level": 3000}]
    before, after = layout(job_of(legs)).runs[0].legs
    apart = min(abs(a - b) for a in before.rows_mm for b in after.rows_mm)
    assert apart / INCH >= 0.3125 + 0.125 + 0.0625 - 1e-6


def test_cables_that_pass_one_post_in_line_are_one_piece(job_of):
    legs = [{"level": 3000}, {"turn": 0, "corner": "single", "cables": "pass"}, {"level": 3000}]
    plan = layout(job_of(legs))
    before, after = plan.runs[0].legs
    assert before.rows_mm == after.rows_mm
    assembly = assemble(plan)
    assert {len(leg.cables) for leg in assembly.legs} == {len(before.rows_mm)}
    assert assembly.legs[0].cables == assembly.legs[1].cables


def test_cables_do_not_pass_one_post_between_a_floor_and_a_stair(job_of):
    legs = [{"level": 3000}, {"turn": 0, "corner": "single", "cables": "pass"}, stair()]
    with pytest.raises(InputError, match="between a floor and a stair"):
        layout(job_of(legs))


@pytest.mark.parametrize("rows", ["pitch", "even"])
def test_rows_of_legs_that_cables_pass_in_line_meet_on_the_post(job_of, rows):
    # Where the slope changes there, either wall is drilled for the leg on its side.
    legs = [{"level": 3000}, {"turn": 0, "corner": "single", "cables": "pass"}]
    legs.append({"ramp": {"length": 3000, "rise": -500}})
    plan = layout(job_of(legs, rows=rows))
    before, after = plan.runs[0].legs
    heights = [
        [leg.line.reference_z(leg.stations_mm[n]) + row for row in leg.rows_mm]
        for leg, n in ((before, -1), (after, 0))
    ]
    assert heights[0] == pytest.approx(heights[1], abs=1e-9)
    assembly = assemble(plan)
    post = assembly.by_mark[f"P{before.posts[-1] + 1}"]
    assert isinstance(post.shape, Prism)
    assert len(post.shape.holes) == 2 * len(before.rows_mm)
    faces = {1: set(), 2: set()}
    for hole in detail_of(post, PostDetail).drilling:
        faces[hole.leg] |= {post.shape.holes[k].face for k in hole.walls}
    assert faces == {1: {"x-"}, 2: {"x+"}}


@pytest.mark.parametrize("bearing", [0, 26.8, 63, 147, -99])
def test_a_post_under_a_ridge_is_the_same_whichever_way_the_job_lies(job_of, bearing):
    # Both rails are at one height over its axis; neither may be chosen by rounding.
    legs = [{"ramp": {"length": 1297, "rise": 43.06}}, {"turn": -100, "corner": "single"}]
    legs.append({"ramp": {"length": 1297, "rise": -43.06}})
    lengths = []
    for way in (0, bearing):
        assembly = assemble(layout(job_of(legs, start={"bearing": way}, edge_inset=100)))
        posts = [detail_of(p, PostDetail) for p in assembly.of_kind("post")]
        lengths.append([p.length_mm for p in posts])
    assert lengths[0] == pytest.approx(lengths[1], abs=1e-6)
