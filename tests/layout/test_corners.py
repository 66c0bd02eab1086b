"""Corners: one post or two, how far a pair stands apart, how a shared post is turned.

Outside check: shapely, for the gap of two turned base plates. Worked values: by hand.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import box

from generator.layout import layout
from generator.parts.assembly import PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism

INCH = 25.4
PLATE = 5 * INCH
GAP = 0.25 * INCH
TURNS = st.floats(5, 150).flatmap(lambda t: st.sampled_from([t, -t]))


def corner_job(job_of, turn, corner, **changes):
    legs = [{"level": 4000}, {"turn": turn, "corner": corner}, {"level": 5000}]
    return job_of(legs, **changes)


def prism_of(part):
    assert isinstance(part.shape, Prism)
    return part.shape


def end_sites(job, k=0):
    """The last post of the k-th leg and the first of the next."""
    plan = layout(job)
    first, second = plan.runs[0].legs[k : k + 2]
    return plan.posts[first.posts[-1]], plan.posts[second.posts[0]]


def plate(site, side=PLATE):
    half = side / 2
    square = affinity.rotate(box(-half, -half, half, half), site.bearing_deg, origin=(0, 0))
    return affinity.translate(square, *site.base[:2])


def gap_along_edges(a, b):
    """Widest strip between two convex shapes that lies along an edge of either; negative: none."""
    widest = -math.inf
    for shape in (a, b):
        corners = list(shape.exterior.coords)
        for (x0, y0), (x1, y1) in pairwise(corners):
            angle = math.degrees(math.atan2(y1 - y0, x1 - x0))
            reach = [affinity.rotate(s, -angle, origin=(0, 0)).bounds for s in (a, b)]
            widest = max(widest, reach[0][1] - reach[1][3], reach[1][1] - reach[0][3])
    return widest


@pytest.mark.parametrize("bearing", [0, 30, -45])
@pytest.mark.parametrize("turn, beyond", [(90, 0), (-90, 0), (45, 22.5), (-60, -30), (135, 67.5)])
def test_one_post_is_square_to_both_legs_at_90_else_on_the_bisector(job_of, turn, beyond, bearing):
    last, first = end_sites(corner_job(job_of, turn, "single", start={"bearing": bearing}))
    assert last == first
    assert (last.bearing_deg - bearing - beyond) % 90 == pytest.approx(0.0, abs=1e-9)
    assert last.role == "corner"


def test_holes_of_a_turned_corner_post_are_slots_in_plan(job_of):
    # d / cos a + t tan a with d 1/4, t 3/16 and a 22-1/2 deg: 0.34827 in, 1/32 in clearance on top
    assembly = assemble(layout(corner_job(job_of, 45, "single")))
    post = next(p for p in assembly.of_kind("post") if detail_of(p, PostDetail).role == "corner")
    holes = detail_of(post, PostDetail).drilling
    assert {hole.leg for hole in holes} == {1, 2}
    for hole in holes:
        assert hole.shape == "slot"
        assert hole.width_mm / INCH == pytest.approx(0.34826 + 1 / 32, abs=1e-5)
        assert hole.height_mm / INCH == pytest.approx(0.25 + 1 / 32, abs=1e-9)


def test_holes_of_a_square_corner_post_are_round_on_both_legs_faces(job_of):
    assembly = assemble(layout(corner_job(job_of, 90, "single")))
    post = next(p for p in assembly.of_kind("post") if detail_of(p, PostDetail).role == "corner")
    drilling = detail_of(post, PostDetail).drilling
    assert {hole.shape for hole in drilling} == {"round"}
    faces = {leg: set() for leg in (1, 2)}
    for hole in drilling:
        faces[hole.leg] |= {prism_of(post).holes[k].face for k in hole.walls}
    assert faces == {1: {"x-", "x+"}, 2: {"y-", "y+"}}


@pytest.mark.parametrize("turn", [90, -90])
def test_a_pair_at_90_stands_plate_and_a_quarter_inch_off_the_vertex(job_of, turn):
    # common practice, no source: base plates 1/4 in apart; 5 in and 1/4 in by hand
    last, first = end_sites(corner_job(job_of, turn, "pair", edge_inset=100))
    offset = 5.25 * INCH
    vertex = (4000.0 - math.copysign(100.0, turn), 100.0)
    assert last.base[:2] == pytest.approx((vertex[0] - offset, vertex[1]), abs=1e-6)
    beyond = vertex[1] + math.copysign(offset, turn)
    assert first.base[:2] == pytest.approx((vertex[0], beyond), abs=1e-6)
    assert (last.bearing_deg, first.bearing_deg) == (0.0, turn)


def test_a_pair_in_line_keeps_its_plates_a_quarter_inch_apart(job_of):
    last, first = end_sites(corner_job(job_of, 0, "pair"))
    assert first.base[0] - last.base[0] == pytest.approx(5.25 * INCH, abs=1e-6)
    assert (first.base[0] + last.base[0]) / 2 == pytest.approx(4000.0, abs=1e-6)


@given(turn=TURNS, inset=st.floats(20, 200), deck=st.sampled_from(["left", "right"]))
def test_plates_of_a_pair_are_a_quarter_inch_apart_at_any_turn(job_of, turn, inset, deck):
    legs = [{"level": 9e3}, {"turn": turn, "corner": "pair"}, {"level": 9e3}]
    last, first = end_sites(job_of(legs, deck=deck, edge_inset=inset))
    assert gap_along_edges(plate(last), plate(first)) == pytest.approx(GAP, abs=1e-6)
    assert not plate(last).intersects(plate(first))


@settings(max_examples=30)
@given(turn=TURNS)
def test_no_smaller_offset_keeps_the_plates_apart(job_of, turn):
    legs = [{"level": 9e3}, {"turn": turn, "corner": "pair"}, {"level": 9e3}]
    away = math.dist(
        end_sites(job_of(legs))[0].base, end_sites(job_of(legs, pair_offset=1e-6))[0].base
    )
    for part in (0.999, 0.5):
        nearer = end_sites(job_of(legs, pair_offset=away * part))
        assert gap_along_edges(*map(plate, nearer)) < GAP


def test_a_pair_offset_of_the_job_is_kept(job_of):
    last, first = end_sites(corner_job(job_of, 90, "pair", edge_inset=100, pair_offset=200))
    assert last.base[:2] == pytest.approx((3700.0, 100.0), abs=1e-6)
    assert first.base[:2] == pytest.approx((3900.0, 300.0), abs=1e-6)


STAIR = {"risers": 7, "rise": 1219.2, "tread": 279.4}


@pytest.mark.parametrize("turn", [-90, -60, -30, -110, 0])
@pytest.mark.parametrize("deck", ["left", "right"])
def test_beside_a_stair_the_level_post_keeps_its_plate_off_the_stairs(job_of, turn, deck):
    # The stair turns away from the walking surface, or goes straight on.
    turn = turn if deck == "left" else -turn
    legs = [{"level": 4000}, {"turn": turn, "corner": "pair"}, {"stair": STAIR}]
    level, stair = end_sites(job_of(legs, deck=deck, edge_inset=100))
    assert gap_along_edges(plate(level), plate(stair)) == pytest.approx(GAP, abs=1e-6)
    # The level's own guard line, and the stair's 100 mm behind its nosing.
    side = 100.0 if deck == "left" else -100.0
    assert level.base[1] == pytest.approx(side, abs=1e-6)
    heading = math.radians(turn)
    behind = (4000.0 - stair.base[0]) * math.cos(heading) - stair.base[1] * math.sin(heading)
    assert behind == pytest.approx(100.0, abs=1e-6)
    assert level.base[2] == stair.base[2]


def test_level_post_before_a_stair_at_90_stands_on_the_stair_posts_line(lake_deck):
    # By hand: 154 in less plate and gap of 5-1/4 in is 148-3/4 in
    level, stair = end_sites(lake_deck.job, 1)
    assert [c / INCH for c in stair.base[:2]] == pytest.approx([278.0, 154.0], abs=1e-9)
    assert [c / INCH for c in level.base[:2]] == pytest.approx([278.0, 148.75], abs=1e-9)


def test_a_pair_shares_nothing(job_of):
    last, first = end_sites(corner_job(job_of, 90, "pair"))
    assert last != first
    assert (last.role, first.role) == ("end", "end")
    assert (last.leg, first.leg) == (1, 2)


def test_a_corner_post_belongs_to_the_earlier_leg(job_of):
    last, _ = end_sites(corner_job(job_of, 90, "single"))
    assert last.leg == 1
