"""The rail: where it runs, how its ends are cut, and into which pieces it is split.

Outside check: brute force over every choice of joints. Closed forms and worked values: by hand.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.errors import InputError
from generator.layout import layout
from generator.parts.assembly import RailDetail, detail_of
from generator.parts.build import assemble
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.shapes import Prism

INCH = 25.4
WIDTH, DEPTH = 2.5 * INCH, 1.5 * INCH
HALF_POST = 1.25 * INCH
RISE, TREADS, TREAD = 48 * INCH, 6, 11 * INCH
TAN = RISE / 7 / TREAD
PITCH = math.atan(TAN)
STAIR = {"stair": {"risers": 7, "rise": RISE, "tread": TREAD}}


def rails(job):
    return list(assemble(layout(job)).of_kind("rail"))


def prism_of(part):
    assert isinstance(part.shape, Prism)
    return part.shape


def face(part, end):
    """World corners of a cut face, in the order of the section's corners."""
    shape = prism_of(part)
    cut = shape.start if end == "start" else shape.end
    return [part.place.point((x, y, cut.at(x, y))) for x, y in shape.section.outer.corners]


def together(a, b):
    return all(math.dist(p, q) < 1e-6 for p, q in zip(sorted(a), sorted(b), strict=True))


def top_corners(part):
    """World corners of the piece's top, start and end."""
    shape = prism_of(part)
    half = DEPTH / 2
    return [
        part.place.point((x, half, cut.at(x, half)))
        for cut in (shape.start, shape.end)
        for x in (-WIDTH / 2, WIDTH / 2)
    ]


def test_a_level_rail_lies_over_the_guard_line_at_the_height(job_of):
    (rail,) = rails(job_of([{"level": 3000}], height=950, edge_inset=100, start={"z": 1000}))
    tops = top_corners(rail)
    assert {z for _, _, z in tops} == {1950.0}
    assert sorted({round(y, 9) for _, y, _ in tops}) == [100 - WIDTH / 2, 100 + WIDTH / 2]


def test_a_rail_runs_on_beyond_the_outer_faces_of_its_end_posts(job_of):
    measures = {"wall_gap": 60, "run_on": 20, "edge_inset": 100}
    (rail,) = rails(job_of([{"level": 3000}], start={"end": "wall"}, **measures))
    x = sorted({round(point[0], 9) for point in top_corners(rail)})
    assert x == [60 - 20, 3000 - 100 + HALF_POST + 20]
    assert cut_angles(rail, "start") == cut_angles(rail, "end") == (0.0, 0.0)


def test_a_pitched_rail_is_measured_plumb_over_the_nosing_line(job_of):
    (rail,) = rails(job_of([STAIR], stair_height=900, start={"z": 2000}))
    for x, _, z in top_corners(rail):
        assert z == pytest.approx(2000 - x * TAN + 900, abs=1e-6)
    bottom = rail.place.point((0.0, -DEPTH / 2, 0.0))
    # Its depth covers D / cos p vertically.
    assert 2900 - bottom[0] * TAN - bottom[2] == pytest.approx(DEPTH / math.cos(PITCH), abs=1e-6)


def test_a_pitched_rails_run_on_is_measured_level(job_of):
    measures = {"edge_inset": 100, "run_on": 20, "stair_setback": 80}
    (rail,) = rails(job_of([STAIR], **measures))
    start, end = (rail.place.point((0.0, 0.0, z)) for z in (0.0, prism_of(rail).end.z_mm))
    assert start[0] == pytest.approx(-100 - HALF_POST - 20, abs=1e-6)
    assert end[0] == pytest.approx(TREADS * TREAD - 80 + HALF_POST + 20, abs=1e-6)
    # Cut square to the rail for a cap.
    assert rail_lengths(rail)[0] == rail_lengths(rail)[1] == rail_lengths(rail)[2]


@settings(max_examples=50)
@given(turn=st.floats(5, 150).flatmap(lambda t: st.sampled_from([t, -t])))
def test_a_miter_is_half_the_turn_and_closes(job_of, turn):
    before, after = rails(job_of([{"level": 9e3}, {"turn": turn}, {"level": 9e3}]))
    assert cut_angles(before, "end") == pytest.approx((turn / 2, 0.0), abs=1e-9)
    assert cut_angles(after, "start") == pytest.approx((-turn / 2, 0.0), abs=1e-9)
    assert together(face(before, "end"), face(after, "start"))
    tip = WIDTH / 2 * abs(math.tan(math.radians(turn / 2)))
    for piece in (before, after):
        long_point, short_point, centre = rail_lengths(piece)
        assert long_point - centre == pytest.approx(tip, abs=1e-6)
        assert centre - short_point == pytest.approx(tip, abs=1e-6)


@pytest.mark.parametrize("turn", [0, 90, -45])
def test_legs_of_a_pair_end_their_rails_by_themselves(job_of, turn):
    legs = [{"level": 3000}, {"turn": turn, "corner": "pair"}, {"level": 3000}]
    before, after = rails(job_of(legs, run_on=20))
    assert cut_angles(before, "end") == cut_angles(after, "start") == (0.0, 0.0)
    posts = layout(job_of(legs, run_on=20)).posts
    ends = [prism_of(before).end.z_mm, 0.0]
    centres = [p.place.point((0, 0, z)) for p, z in zip((before, after), ends, strict=True)]
    corner = [site.base for site in posts if site.role == "end"][1:3]
    for centre, post in zip(centres, corner, strict=True):
        assert math.dist(centre[:2], post[:2]) == pytest.approx(HALF_POST + 20, abs=1e-6)


@settings(max_examples=40)
@given(rise=st.floats(110, 200), tread=st.floats(240, 360), deck=st.sampled_from(["left", "right"]))
def test_level_into_a_pitch_in_line_meets_over_the_nosing(job_of, rise, tread, deck):
    stair = {"stair": {"risers": 5, "rise": 5 * rise, "tread": tread}}
    heights = {"height": 950, "stair_height": 950}
    before, after = rails(job_of([{"level": 2000}, stair], deck=deck, **heights))
    half = math.degrees(math.atan(rise / tread)) / 2
    bevels = [abs(cut_angles(before, "end")[1]), abs(cut_angles(after, "start")[1])]
    assert bevels == pytest.approx([half, half], abs=1e-9)
    assert together(face(before, "end"), face(after, "start"))
    # The top lines meet over the nosing, not over the post behind it.
    assert max(x for x, _, _ in top_corners(before)) == pytest.approx(2000.0, abs=1e-6)
    long_point, short_point, _ = rail_lengths(before)
    assert long_point - short_point == pytest.approx(DEPTH * math.tan(math.radians(half)), abs=1e-6)


@pytest.mark.parametrize("height, stair_height", [(1067, 914), (914, 1067)])
def test_unequal_heights_change_plumb_at_the_nosing(job_of, height, stair_height):
    job = job_of([{"level": 2000}, STAIR], height=height, stair_height=stair_height)
    before, drop, after = rails(job)
    for first, second in ((before, drop), (drop, after)):
        assert together(face(first, "end"), face(second, "start"))
    # The level height is held to the nosing, and the side toward the stair stands plumb over it.
    assert max(x for x, _, _ in top_corners(before)) == pytest.approx(2000.0, abs=1e-6)
    toward = [p for end in ("start", "end") for p in face(drop, end)]
    plumb = max if height > stair_height else min
    assert plumb(x for x, _, _ in toward) == pytest.approx(2000.0, abs=1e-6)
    assert abs(cut_angles(before, "end")[1]) == pytest.approx(45.0)
    turn = 90.0 - math.degrees(PITCH) if height > stair_height else 90.0 + math.degrees(PITCH)
    assert abs(cut_angles(after, "start")[1]) == pytest.approx(turn / 2)


@pytest.mark.parametrize("stair_height", [900, 930])
def test_a_change_too_small_for_a_piece_leaves_two_plumb_ends(job_of, stair_height):
    job = job_of([{"level": 2000}, STAIR], height=914, stair_height=stair_height)
    before, after = rails(job)
    assert cut_angles(before, "end") == (0.0, 0.0)
    for x, _, _ in (*face(before, "end"), *face(after, "start")):
        assert x == pytest.approx(2000.0, abs=1e-6)
    # Rail to plumb post: the pitch off square.
    assert abs(cut_angles(after, "start")[1]) == pytest.approx(math.degrees(PITCH), abs=1e-9)
    level, pitched = (max(p[2] for p in face(r, e)) for r, e in ((before, "end"), (after, "start")))
    assert level - pitched == pytest.approx(914 - stair_height, abs=1e-6)


KERF = 3.175  # the default, 1/8 in


def least_cost(pieces, stock):
    """Least length of stock for the pieces: each one, the longest first, in every bar."""
    best = math.inf

    def place(k, rooms, cost):
        nonlocal best
        if cost >= best:
            return
        if k == len(pieces):
            best = cost
            return
        for n, room in enumerate(rooms):
            if pieces[k] <= room + 1e-6 and room not in rooms[:n]:
                place(k + 1, [*rooms[:n], room - pieces[k] - KERF, *rooms[n + 1 :]], cost)
        for bar in stock:
            if pieces[k] <= bar + 1e-6:
                place(k + 1, [*rooms, bar - pieces[k] - KERF], cost + bar)

    pieces = sorted(pieces, reverse=True)
    place(0, [], 0.0)
    return best


def best_by_brute_force(ends, stock):
    """(length of stock, pieces) over every choice of joints, in plain lengths along the rail."""
    joints = range(1, len(ends) - 1)
    best = (math.inf, 0)
    for count in range(len(ends) - 1):
        for chosen in combinations(joints, count):
            stops = [ends[k] for k in (0, *chosen, len(ends) - 1)]
            cost = least_cost([b - a for a, b in pairwise(stops)], stock)
            if cost < best[0] - 1e-6:
                best = (cost, count + 1)
    return best


@settings(max_examples=60)
@given(
    length=st.floats(2500, 7_500),
    spacing=st.floats(900, 1800),
    stock=st.floats(1200, 6500),
)
def test_joints_over_posts_at_the_least_stock(job_of, length, spacing, stock):
    measures = {"edge_inset": 100, "run_on": 20, "max_post_spacing": spacing}
    job = job_of([{"level": length}], stock=[2000, stock], **measures)
    guard = length - 200
    bays = math.ceil(guard / spacing - 1e-9)
    joints = [100 + guard * k / bays for k in range(1, bays)]
    ends = [100 - HALF_POST - 20, *joints, length - 100 + HALF_POST + 20]
    cost, count = best_by_brute_force(ends, [2000, stock])
    if cost == math.inf:
        with pytest.raises(InputError, match="stock"):
            rails(job)
        return
    plan = layout(job).rail_plan
    assert plan is not None
    assert plan.plan.proven
    assert plan.plan.cost == pytest.approx(cost, abs=1e-3)
    pieces = rails(job)
    lengths = [rail_lengths(piece)[0] for piece in pieces]
    assert len(pieces) == count
    assert max(lengths) <= max(2000, stock) + 1e-6
    assert sum(lengths) == pytest.approx(ends[-1] - ends[0], abs=1e-6)
    for before, after in pairwise(pieces):
        assert together(face(before, "end"), face(after, "start"))
        joint = face(after, "start")[0][0]
        assert min(abs(joint - station) for station in joints) < 1e-6


@pytest.mark.parametrize("short_by, count", [(0.0, 1), (1.0, 2)])
def test_tip_of_a_miter_is_taken_from_the_bar_too(job_of, short_by, count):
    # By hand: the inset is lost at either end, half a post and the run-on are won at the free one;
    # a miter of 45 deg has its tip half the width beyond the centre.
    legs = [{"level": 3000}, {"turn": 90}, {"level": 3000}]
    measures = {"edge_inset": 100, "run_on": 20, "max_post_spacing": 1500}
    long_point = 3000 - 100 - 100 + HALF_POST + 20 + WIDTH / 2
    pieces = rails(job_of(legs, stock=[long_point - short_by], **measures))
    assert [piece.leg for piece in pieces] == [1] * count + [2] * count


def test_a_bay_longer_than_every_bar_is_refused(job_of):
    job = job_of([{"level": 4000}], stock=[1200], max_post_spacing=1800)
    with pytest.raises(InputError, match="stock"):
        layout(job)


def test_without_stock_a_leg_is_one_piece(job_of):
    (rail,) = rails(job_of([{"level": 30_000}]))
    ends = detail_of(rail, RailDetail)
    assert (ends.start_on, ends.end_on) == ("free", "free")
