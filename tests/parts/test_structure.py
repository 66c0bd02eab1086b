"""Joists, rims, fascias and stringers: places worked by hand in inches, plans against shapely."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

from boards import extent, overlap, plan
from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.measure import rail_lengths
from generator.parts.shapes import Prism
from generator.parts.timber import Board, board, clipped, held, hold, hull, line_span, size_text

INCH = 25.4
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}


def joists(bearing=90, **changes):
    told = {"spacing": "16 in", "width": "1-1/2 in", "depth": "9-1/4 in", "species": "spruce"}
    return {"bearing": bearing, **told, **changes}


def structure(bearing=90, offset="0 in", **changes):
    return {"joists": joists(bearing, offset=offset), "decking": "1 in", **changes}


def inches(part):
    """Plan of a part from above, inches, rounded to a ten-thousandth."""
    return [tuple(round(c / INCH, 4) + 0.0 for c in point) for point in board(part).plan]


# The lake deck: joists 16 in apart from x = 0, running north; decking 1 in on a floor at 48 in.


def test_joists_beside_a_post_of_the_lake_deck(lake_deck):
    # By hand: P2 stands at 71.9375 in, between the joists at 64 and 80 in, behind a rim of 1-1/2 in
    assert lake_deck.assembly.by_mark["P2"].place.origin[0] / INCH == pytest.approx(71.9375)
    for mark, x in (("J5", 64), ("J6", 80)):
        joist = lake_deck.assembly.by_mark[mark]
        assert joist.item == "joist 1-1/2 x 9-1/4 in"
        west, south, east, _, bottom, top = extent(joist)
        assert (west, south, east) == pytest.approx((x - 0.75, 1.5, x + 0.75))
        assert (bottom, top) == pytest.approx((48 - 1 - 9.25, 47))


def test_a_joist_that_two_legs_share_is_one_piece(lake_deck):
    # By hand: the joist at 272 in runs under both legs and the landing, from the rim at 1-1/2 in
    # to the far side of the stair, 150 + 36 in
    joists = list(lake_deck.assembly.of_kind("joist"))
    assert [part.mark for part in joists] == [f"J{n}" for n in range(1, 19)]
    assert extent(joists[-1])[:4] == pytest.approx((271.25, 1.5, 272.75, 186))


def test_rims_lie_along_the_edges_and_behind_the_head_of_the_stair(lake_deck):
    rims = [inches(part) for part in lake_deck.assembly.of_kind("rim")]
    assert [set(rim) for rim in rims] == [
        {(0, 0), (282, 0), (280.5, 1.5), (0, 1.5)},  # mitered with the next at the corner
        {(282, 0), (282, 150), (280.5, 150), (280.5, 1.5)},
        {(282, 150), (282, 186), (280.5, 186), (280.5, 150)},
    ]


def test_stringers_are_flush_with_the_sides_of_the_stair(lake_deck):
    outer, inner = lake_deck.assembly.of_kind("stringer")
    # By hand: the stair's side is y = 150 in, its width 36 in, a stringer 1-1/2 in thick
    assert extent(outer)[1::2][:2] == pytest.approx((150, 151.5))
    assert extent(inner)[1::2][:2] == pytest.approx((184.5, 186))
    assert outer.shape == inner.shape
    # From the edge of the deck to 3/4 in (the riser board) before the nosing of the last tread
    assert [extent(outer)[k] for k in (0, 2)] == pytest.approx((282, 282 + 66 - 19 / INCH))
    # From the floor to the underside of the first tread: 48 in less a riser and 1-1/2 in
    assert extent(outer)[4:] == pytest.approx((0, 48 - 48 / 7 - 1.5))


def test_a_stringer_carries_every_tread_and_runs_through_none(lake_deck):
    # shapely, seen from the side: x east, z up
    outer = next(lake_deck.assembly.of_kind("stringer"))
    assert isinstance(outer.shape, Prism)
    corners = outer.shape.section.outer.corners
    side = Polygon([outer.place.point((x, y, 0.0))[::2] for x, y in corners])
    assert side.is_valid
    for tread in lake_deck.assembly.of_kind("tread"):
        west, _, east, _, bottom, top = (c * INCH for c in extent(tread))
        body = box(west, bottom, east, top)
        assert side.intersection(body).area == pytest.approx(0.0, abs=1e-3)
        # A tread lies on it over its whole depth but the riser's board.
        underside = LineString([(west, bottom), (east, bottom)])
        bears = side.buffer(1e-6).intersection(underside).length
        assert bears == pytest.approx(11 * INCH - 19.0, abs=1e-3)
    for riser in lake_deck.assembly.of_kind("riser"):
        west, _, east, _, bottom, top = (c * INCH for c in extent(riser))
        assert side.intersection(box(west, bottom, east, top)).area == pytest.approx(0, abs=1e-3)
    # A 2x12, notched by 6.8571 in x cos 31.938: 5.4309 in are left under an inner corner
    inner_corner = Point((282 + 11 - 19 / INCH) * INCH, (48 - 2 * 48 / 7 - 1.5) * INCH)
    assert side.exterior.distance(inner_corner) == pytest.approx(0.0, abs=1e-6)
    under = LineString(side.exterior.coords[:2])
    assert under.distance(inner_corner) / INCH == pytest.approx(5.4309, abs=5e-5)


def test_without_a_structure_nothing_is_told_of_it(planned):
    kinds = {part.kind for part in planned("straight-leg").assembly.parts}
    assert not kinds & {"joist", "rim", "stringer", "blocking"}


# Edges of framing and decking


def test_the_rim_stands_back_by_overhang_and_fascia(job_of):
    told = structure(overhang="1 in", fascia="3/4 in", rim="1-1/2 in")
    job = job_of([{"level": "96 in"}], units="in", structure=told)
    assembly = assemble(layout(job))
    fascia, rim = assembly.of_kind("rim")
    assert (fascia.item, rim.item) == ("fascia 3/4 x 9-1/4 in", "rim 1-1/2 x 9-1/4 in")
    assert extent(fascia)[1::2][:2] == pytest.approx((1, 1.75))
    assert extent(rim)[1::2][:2] == pytest.approx((1.75, 3.25))
    south = [extent(joist)[1] for joist in assembly.of_kind("joist")]
    assert south == pytest.approx([3.25] * 7)


def test_the_offset_moves_every_joist(job_of):
    told = structure(offset="3/4 in")
    assembly = assemble(layout(job_of([{"level": "40 in"}], structure=told)))
    west = [extent(joist)[0] for joist in assembly.of_kind("joist")]
    assert west == pytest.approx([0, 16, 32])


def test_joists_along_the_leg_keep_off_the_rim(job_of):
    # By hand: joists along the leg at 1, 17 in inward; the first would stand in the rim
    told = structure(0, offset="-1 in")
    assembly = assemble(layout(job_of([{"level": "96 in"}], structure=told)))
    (joist,) = assembly.of_kind("joist")
    assert extent(joist)[1::2][:2] == pytest.approx((16.25, 17.75))


def test_a_stair_straight_on_leaves_a_deck_with_a_rim_at_its_end(job_of):
    legs = [{"level": "96 in"}, {"stair": STAIR}]
    rims = list(assemble(layout(job_of(legs))).of_kind("rim"))
    assert [set(inches(part)) for part in rims] == [
        {(0, 0), (96, 0), (96, 1.5), (0, 1.5)},
        {(96, 1.5), (96, 23.622), (94.5, 23.622), (94.5, 1.5)},
    ]


def test_under_a_deck_that_falls_every_board_touches_and_none_is_in_it(job_of):
    # 6 in over 96: boards along and across the fall; the decking's underside by hand
    legs = [{"level": "96 in", "fall": "6 in"}]
    for bearing in (0, 90):
        told = structure(bearing, offset="8 in" if bearing else "-8 in")
        assembly = assemble(layout(job_of(legs, structure=told)))
        boards = [*assembly.of_kind("joist"), *assembly.of_kind("rim")]
        assert boards
        for part in boards:
            shape, tops = part.shape, []
            assert isinstance(shape, Prism)
            for x, y in shape.section.outer.corners:
                for cut in (shape.start, shape.end):
                    a, _, z = part.place.point((x, y, cut.at(x, y)))
                    tops.append(47 * INCH - a / 16 - z)
            assert min(tops) == pytest.approx(0.0, abs=1e-6)


@settings(max_examples=60)
@given(
    turn=st.one_of(st.sampled_from([90, -90, 45, -45]), st.floats(5, 120), st.floats(-120, -5)),
    bearing=st.one_of(st.sampled_from([0, 90, 45]), st.floats(0, 180)),
    offset=st.floats(0, 400),
    deck=st.sampled_from(["left", "right"]),
)
@example(turn=5.0, bearing=45, offset=174.0, deck="right")
def test_framing_lies_under_the_deck_and_boards_do_not_overlap(job_of, turn, bearing, offset, deck):
    legs = [{"level": "12 ft"}, {"turn": turn, "corner": "pair"}, {"level": "10 ft"}]
    told = structure(bearing, offset=offset)
    assembly = assemble(layout(job_of(legs, deck=deck, structure=told)))
    decks = unary_union([plan(part).buffer(1e-6) for part in assembly.of_kind("deck")])
    boards = [*assembly.of_kind("joist"), *assembly.of_kind("rim")]
    for part in boards:
        # The last joist at the end of a deck may stand out by half its thickness.
        assert plan(part).difference(decks.buffer(0.75 * INCH, join_style="mitre")).area < 1.0
    for a, b in combinations(boards, 2):
        if a.kind == b.kind:
            assert overlap(a, b) < 1.0, (a.mark, b.mark)
        # Where a rim turns away, the end of a joist aslant meets its corner: cut to fit.
        assert overlap(a, b) < 2 * INCH**2, (a.mark, b.mark)


@settings(max_examples=40)
@given(bearing=st.floats(0, 180), length=st.floats(1000, 9000))
def test_joists_stand_at_their_spacing(job_of, bearing, length):
    told = structure(bearing)
    assembly = assemble(layout(job_of([{"level": length}], structure=told)))
    across = math.radians(bearing - 90)
    for joist in assembly.of_kind("joist"):
        centre = plan(joist).centroid
        place = centre.x * math.cos(across) + centre.y * math.sin(across)
        assert place / (16 * INCH) == pytest.approx(round(place / (16 * INCH)), abs=0.02)
        assert rail_lengths(joist)[0] > 1.0


# Plans against shapely

POINTS = st.tuples(st.integers(-100, 100), st.integers(-100, 100))


@given(points=st.lists(POINTS, min_size=4, max_size=12))
def test_hulls_and_what_a_line_leaves_of_them(points):
    shape = Polygon(hull(points)) if len(hull(points)) > 2 else None
    if shape is None or shape.area < 1.0:
        return
    corners = hull(points)
    assert shape.exterior.is_ccw
    assert all(shape.buffer(1e-3).contains(Point(p)) for p in points)
    half = clipped(corners, (0.6, 0.8), 10.0)
    far = 1e4
    # All that lies 10 and more along (3, 4) / 5, as a large square.
    middle = (6.0 + 0.6 * far, 8.0 + 0.8 * far)
    square = Polygon(
        [
            (middle[0] + a * 0.6 * far - b * 0.8 * far, middle[1] + a * 0.8 * far + b * 0.6 * far)
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
    )
    left = shape.intersection(square).area
    assert (Polygon(half).area if half else 0.0) == pytest.approx(left, abs=1e-4)
    span = line_span(corners, (0.0, 0.0), (1.0, 0.0))
    cut = shape.intersection(LineString([(-200, 0), (200, 0)]))
    if span and cut.length > 1e-3:
        west, _, east, _ = cut.bounds
        assert span == pytest.approx((west, east), abs=1e-3)


@given(point=st.tuples(st.floats(1, 99), st.floats(1, 37)))
def test_the_hold_of_a_bolt_is_its_distance_to_the_outline(point):
    one = box_board("a", 0, 0, 100, 38)
    found = held(point, [one])
    assert found is not None
    assert found.free_mm == pytest.approx(Polygon(one.plan).exterior.distance(Point(point)))
    assert math.isinf(found.joint_mm)


def test_a_tight_neighbour_makes_a_joint_of_an_edge():
    one, other = box_board("a", 0, 0, 100, 38), box_board("b", 0, 38, 100, 76)
    found = hold((50.0, 30.0), one, [one, other])
    # By hand: 8 from the joint, 30 from the free edge
    assert (found.joint_mm, found.joined, found.free_mm) == (8.0, "b", 30.0)


def box_board(mark, west, south, east, north):
    corners = ((west, south), (east, south), (east, north), (west, north))
    return Board(mark, "joist", tuple((float(x), float(y)) for x, y in corners), 0.0, 100.0)


def test_sections_are_written_as_the_trade_does(lake_deck, planned):
    assert size_text(lake_deck.job, 1.5 * INCH, 9.25 * INCH) == "1-1/2 x 9-1/4 in"
    assert size_text(lake_deck.job, 0.75 * INCH, 12 * INCH) == "3/4 x 12 in"
    assert size_text(planned("metric-terrace").job, 45.0, 220.0) == "45 x 220 mm"
