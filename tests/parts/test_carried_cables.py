"""Cables carried on round two posts off a corner: where they bend, how long they are.

Closed forms and worked values: by hand. Outside check: shapely for the length of an arc.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString

from generator.checks import run
from generator.geometry import dot, sub, unit
from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.cables import CableBuilder
from generator.parts.shapes import Prism, Rectangle, Route

INCH = 25.4
HALF_POST = 1.25 * INCH
FLEXIBLE = {"cable": "ss316-7x7-1_8"}
RADIUS = 2.0 * INCH  # least of this cable, in its profile
FREE = {"structure": {"decking": "1 in"}, "max_post_spacing": 1500}
TURNS = st.floats(10, 120).flatmap(lambda turn: st.sampled_from([turn, -turn]))


def carried(job_of, turn, *more, offset=150, **changes):
    legs = [{"level": 4000}, {"turn": turn, "corner": "pair-through"}, {"level": 3000}, *more]
    measures = {"system": FLEXIBLE, "edge_inset": 100, "pair_offset": offset, **FREE, **changes}
    return job_of(legs, **measures)


def line_of(part):
    assert isinstance(part.shape, Route)
    return [part.place.point(point) for point in part.shape.points]


def bend(a, b, c):
    """Degrees by which the way turns at b."""
    return math.degrees(math.acos(min(1.0, dot(unit(sub(b, a)), unit(sub(c, b))))))


@settings(max_examples=25, derandomize=True)
@given(turn=TURNS, offset=st.floats(120, 400), deck=st.sampled_from(["left", "right"]))
def test_half_the_turn_at_each_post_at_the_faces_toward_the_corner(job_of, turn, offset, deck):
    assembly = assemble(layout(carried(job_of, turn, offset=offset, deck=deck)))
    first, second = assembly.legs
    posts = [assembly.by_mark[m] for m in (first.posts[-1], second.posts[0])]
    for part in assembly.of_kind("cable"):
        points = line_of(part)
        assert len(points) == 4
        for k, post in zip((1, 2), posts, strict=True):
            assert bend(*points[k - 1 : k + 2]) == pytest.approx(abs(turn) / 2, abs=1e-6)
            x, y, _ = post.place.local(points[k])
            # On the leg's own line, at the exit face of the first and the entry face of the next.
            assert y == pytest.approx(0.0, abs=1e-6)
            assert x == pytest.approx(HALF_POST if k == 1 else -HALF_POST, abs=1e-6)
        detail = detail_of(part, CableDetail)
        assert detail.turn_deg == pytest.approx(abs(turn))
        assert detail.legs == (1, 2)
        assert detail.posts == first.posts + second.posts


def rounded(points, radius, turn):
    """Length of a way with its corners rounded, by shapely: moved to the inside and back."""
    inside = math.copysign(radius, turn)
    line = LineString([(x, y) for x, y, _ in points])
    centres = line.offset_curve(inside, join_style="mitre", mitre_limit=100)
    assert isinstance(centres, LineString)
    return centres.offset_curve(-inside, join_style="round", quad_segs=2000).length


@settings(max_examples=25, derandomize=True)
@given(turn=TURNS, offset=st.floats(150, 400))
def test_lengths_take_the_sleeves_that_a_cable_bends_over(job_of, turn, offset):
    # By hand: at each bend 2 r tan(b / 2) of the corner gives way to r b of arc.
    for part in assemble(layout(carried(job_of, turn, offset=offset))).of_kind("cable"):
        detail = detail_of(part, CableDetail)
        points = line_of(part)
        half = math.radians(abs(turn)) / 2
        saved = 2 * RADIUS * (2 * math.tan(half / 2) - half)
        straight = sum(math.dist(a, b) for a, b in pairwise(points))
        assert detail.finished_mm == pytest.approx(straight - saved, abs=1e-6)
        assert detail.finished_mm == pytest.approx(rounded(points, RADIUS, turn), abs=1e-4)
        # Beyond its ends the cable reaches past the inner faces by the catalogue's setback.
        assert detail.support_length_mm == pytest.approx(detail.finished_mm + 2 * 1.5 * INCH)
        assert detail.cut_length_mm == pytest.approx(detail.finished_mm + 1.0 * INCH)


def test_length_of_a_cable_round_a_right_angle_by_hand(job_of):
    # The vertex is at 3900, 100. From the inner face at 131.75 to the exit face at 3781.75; from
    # face to face 118.25 sqrt 2; from 218.25 north to the inner face at 2868.25; less what the
    # sleeves of 50.8 save at two bends of 45 deg, 4.3717.
    (cable, *_) = assemble(layout(carried(job_of, 90))).of_kind("cable")
    by_hand = 3650.0 + 118.25 * math.sqrt(2) + 2650.0 - 4.3717
    assert detail_of(cable, CableDetail).support_length_mm == pytest.approx(by_hand, abs=1e-3)


def test_posts_off_the_corner_are_drilled_for_the_cable_and_hold_no_fitting(job_of):
    assembly = assemble(layout(carried(job_of, 90)))
    first, second = assembly.legs
    held = {part.belongs_to for part in assembly.of_kind("fitting")}
    assert held == {first.posts[0], second.posts[-1]}
    for mark in (first.posts[-1], second.posts[0]):
        drilling = detail_of(assembly.by_mark[mark], PostDetail).drilling
        assert {hole.purpose for hole in drilling} == {"cable"}
        assert {hole.shape for hole in drilling} == {"round"}


def test_rows_go_on_at_one_height(job_of):
    plan = layout(carried(job_of, 90))
    first, second = plan.runs[0].legs
    assert first.rows_mm == second.rows_mm
    assembly = assemble(plan)
    for part in assembly.of_kind("cable"):
        assert len({round(z, 6) for _, _, z in line_of(part)}) == 1


def test_a_cable_of_no_stated_radius_bends_by_the_usual_factor(job_of):
    # common practice, no source: ten diameters
    job = carried(job_of, 90, system={"cable": "ss316-1x19-1_8"})
    assert job.system.cable.min_bend_mm == 0.0
    assert CableBuilder(job, ()).bend_radius_mm == pytest.approx(10 * 0.125 * INCH)
    assert CableBuilder(carried(job_of, 90), ()).bend_radius_mm == pytest.approx(RADIUS)


def test_two_corners_of_45_deg_are_one_cable(job_of):
    more = [{"turn": 45, "corner": "pair-through"}, {"level": 1800}]
    assembly = assemble(layout(carried(job_of, 45, *more)))
    cables = [detail_of(part, CableDetail) for part in assembly.of_kind("cable")]
    assert {cable.legs for cable in cables} == {(1, 2, 3)}
    assert {cable.turn_deg for cable in cables} == {90.0}
    # Two 45 deg corners, one right angle: as much as is usual, and no finding.
    told = {f.code for f in run(assembly).findings if f.severity != "note"}
    assert {"cable.turns", "cable.bend", "cable.length"} & told == set()


def test_a_carried_cable_round_a_change_of_pitch_bends_at_the_faces_too(job_of):
    legs = [{"level": 4000}, {"turn": -60, "corner": "pair-through"}]
    legs.append({"ramp": {"length": 3000, "rise": -400}})
    job = job_of(legs, system=FLEXIBLE, edge_inset=100, pair_offset=150, **FREE)
    assembly = assemble(layout(job))
    first, second = assembly.legs
    a, b = (assembly.by_mark[m] for m in (first.posts[-1], second.posts[0]))
    assert isinstance(a.shape, Prism)
    assert isinstance(a.shape.section.outer, Rectangle)
    for part in assembly.of_kind("cable"):
        points = line_of(part)
        assert a.place.local(points[1])[0] == pytest.approx(HALF_POST)
        assert b.place.local(points[2])[0] == pytest.approx(-HALF_POST)
        # Level to the first bend, at the ramp's slope from the second.
        assert points[0][2] == pytest.approx(points[1][2])
        way = sub(points[3], points[2])
        assert way[2] / math.hypot(way[0], way[1]) == pytest.approx(-400 / 3000)


@pytest.mark.parametrize(
    "pull, ends, swage",
    [
        ("end", ("dead", "pulling"), ("shop", "field")),
        ("start", ("pulling", "dead"), ("field", "shop")),
    ],
)
def test_which_end_is_pulled_and_where_its_fitting_is_put_on(job_of, pull, ends, swage):
    words = {"pull": pull, "swage": {"dead": "shop", "pulled": "field"}}
    for part in assemble(layout(carried(job_of, 90, **words))).of_kind("cable"):
        detail = detail_of(part, CableDetail)
        assert (detail.ends, detail.swage) == (ends, swage)


def ring(job_of, corners, closing):
    """A square loop of level legs with these corners, the last of them closing it."""
    legs = [{"level": 3000}]
    for kind in corners:
        legs += [{"turn": 90, "corner": kind}, {"level": 3000}]
    return job_of(legs, closed=closing, system=FLEXIBLE, **FREE)


def test_cables_carried_all_round_a_loop_begin_and_end_at_its_first_corner(job_of):
    # A ring of cable has no ends to pull: it is held at both posts where the loop closes.
    assembly = assemble(layout(ring(job_of, ["pair-through"] * 3, "pair-through")))
    first, *_, last = assembly.legs
    cables = [detail_of(part, CableDetail) for part in assembly.of_kind("cable")]
    assert {cable.legs for cable in cables} == {(1, 2, 3, 4)}
    held = {part.belongs_to for part in assembly.of_kind("fitting")}
    assert held == {first.posts[0], last.posts[-1]}
    assert {cable.turn_deg for cable in cables} == {270.0}


def test_cables_carried_round_the_closing_corner_go_on_into_the_first_leg(job_of):
    corners = ["single", "pair-through", "pair-through"]
    assembly = assemble(layout(ring(job_of, corners, "pair-through")))
    cables = [detail_of(part, CableDetail) for part in assembly.of_kind("cable")]
    assert {cable.legs for cable in cables} == {(2, 3, 4, 1)}
    # They begin and end at the one post that is single.
    assert {(cable.posts[0], cable.posts[-1]) for cable in cables} == {
        (assembly.legs[1].posts[0], assembly.legs[0].posts[-1])
    }
