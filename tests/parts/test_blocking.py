"""Blocking: sizes, lengths and places worked by hand in inches, overlaps by shapely."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from boards import extent, overlap, plan
from generator.layout import layout
from generator.parts.assembly import PostDetail, detail_of
from generator.parts.blocks import Stock, bands
from generator.parts.build import assemble
from generator.parts.measure import rail_lengths
from generator.parts.quantities import quantities
from generator.parts.timber import board

INCH = 25.4
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}
LAG = {"anchor": "lag-3_8"}
WOOD = ("joist", "rim", "stringer", "blocking")


def structure(bearing=90, offset="0 in", **changes):
    joists = {"spacing": "16 in", "width": "1-1/2 in", "depth": "9-1/4 in", "species": "spruce"}
    joists |= {"bearing": bearing, "offset": offset}
    return {"joists": joists, "decking": "1 in", **changes}


def blocks(assembly, number):
    """Blocks of one post, by mark."""
    own = (f"BL{number}", f"BL{number}-")
    return [
        part
        for part in assembly.of_kind("blocking")
        if part.mark == own[0] or part.mark.startswith(own[1])
    ]


def bolts(assembly, number):
    return [part for part in assembly.of_kind("anchor") if part.belongs_to == f"P{number}"]


# The lake deck: through bolts 4 in apart both ways, joists 16 in apart, a rim of 1-1/2 in


def test_a_block_between_the_joists_beside_a_post(light_lake_deck):
    # By hand: P2 stands at 71.9375 in, between the joists at 64 and 80 in: 16 less 1-1/2 in are
    # 14-1/2 in, from 64-3/4 to 79-1/4 in
    (block,) = blocks(light_lake_deck.assembly, 2)
    assert (block.mark, block.item) == ("BL2", "blocking 1-1/2 x 9-1/4 in")
    assert rail_lengths(block)[0] / INCH == pytest.approx(14.5)
    assert not block.reference
    # Flat under decking of 1 in on a floor at 48 in, tight against the rim
    assert extent(block) == pytest.approx([64.75, 1.5, 79.25, 10.75, 45.5, 47])


def test_where_a_joist_stands_between_the_bolts_there_is_a_block_on_either_side(light_lake_deck):
    # By hand: the bolts of P4 at 207.3125 and 211.3125 in, the joist from 207.25 to 208.75 in
    left, right = blocks(light_lake_deck.assembly, 4)
    assert [part.mark for part in (left, right)] == ["BL4-1", "BL4-2"]
    assert extent(left)[:4:2] == pytest.approx([192.75, 207.25])
    assert extent(right)[:4:2] == pytest.approx([208.75, 223.25])


def test_at_a_corner_a_block_ends_at_the_rim_of_the_next_leg(light_lake_deck):
    # By hand: from the joist at 272 in to the rim at 280-1/2 in: 7-3/4 in
    (block,) = blocks(light_lake_deck.assembly, 5)
    assert extent(block)[:4:2] == pytest.approx([272.75, 280.5])


def test_along_the_joists_a_block_lies_across_from_the_rim_to_the_first_joist(light_lake_deck):
    # By hand: leg 2 runs with the joists; P6 at 52-1/4 in, its block 9-1/4 in wide about it
    (block,) = blocks(light_lake_deck.assembly, 6)
    assert extent(block)[:4] == pytest.approx([272.75, 52.25 - 4.625, 280.5, 52.25 + 4.625])
    assert rail_lengths(block)[0] / INCH == pytest.approx(7.75)


def test_a_post_near_another_uses_what_is_there_and_adds_what_it_lacks(light_lake_deck):
    # By hand: the block of P8 (148-3/4 in) ends at 153-3/8 in, that of P9 (154 in) goes on there
    (before,), (after,) = blocks(light_lake_deck.assembly, 8), blocks(light_lake_deck.assembly, 9)
    assert extent(before)[1::2][:2] == pytest.approx([144.125, 153.375])
    assert extent(after)[1::2][:2] == pytest.approx([153.375, 162.625])


@pytest.mark.parametrize("number, nosing, z", [(10, 315, 48 - 3 * 48 / 7), (11, 348, 48 / 7)])
def test_a_block_under_a_tread_from_stringer_to_stringer(light_lake_deck, number, nosing, z):
    # By hand: 36 in less two stringers of 1-1/2 in; 5-1/8 in are needed (4 in and 9/16 in beside
    # each bolt), so a 2x6, against the riser board of 19 mm below the nosing
    (block,) = blocks(light_lake_deck.assembly, number)
    assert block.item == "blocking 1-1/2 x 5-1/2 in"
    assert rail_lengths(block)[0] / INCH == pytest.approx(33)
    front, under = nosing - 19 / INCH, z - 1.5
    assert extent(block) == pytest.approx(
        [front - 5.5, 151.5, front, 184.5, under - 1.5, under], abs=1e-6
    )


def test_every_bolt_of_the_lake_deck_comes_down_on_wood(light_lake_deck):
    # shapely
    wood = [plan(part) for part in light_lake_deck.assembly.of_kind(*WOOD)]
    anchors = list(light_lake_deck.assembly.of_kind("anchor"))
    assert len(anchors) == 44
    for anchor in anchors:
        spot = Point(anchor.place.origin[:2])
        assert any(one.covers(spot) for one in wood), anchor.mark


def test_blocking_is_ordered_by_length(light_lake_deck):
    line = next(
        q for q in quantities(light_lake_deck.assembly) if q.item == "blocking 1-1/2 x 9-1/4 in"
    )
    # By hand: 14-1/2 in for P1, P2, P3 and twice for P4; 7-3/4 in for P5 to P9
    assert line.count == 10
    assert line.length_mm is not None
    assert line.length_mm / INCH == pytest.approx(5 * 14.5 + 5 * 7.75)


def test_blocks_of_a_metric_job_are_in_its_units(light):
    items = {part.item for part in light("metric-terrace").assembly.of_kind("blocking")}
    # By hand: bolts 100 mm apart and 15 mm beside each need 130 mm, so a board of 145 mm under a
    # tread; P10's is ripped to fit between P9's, to 3483.7 mm, and the rim at 3600 - 38.1 mm
    assert items == {"blocking 45 x 220 mm", "blocking 45 x 145 mm", "blocking 45 x 78.2 mm"}


# Other jobs


def test_lag_screws_stand_in_deep_blocks_one_under_each_row(job_of):
    legs = [{"level": "14 ft"}]
    assembly = assemble(layout(job_of(legs, system=LAG, edge_inset="4 in", structure=structure())))
    # By hand: posts at 4 and 57-1/3 in; P2's bolts at 55-1/3 and 59-1/3 in come down between the
    # joists at 48 and 64 in; rows 2 and 6 in from the edge, the first block against the rim
    first, second = blocks(assembly, 2)
    assert extent(first) == pytest.approx([48.75, 1.5, 63.25, 3, 47 - 9.25, 47])
    assert extent(second) == pytest.approx([48.75, 5.25, 63.25, 6.75, 47 - 9.25, 47])
    assert rail_lengths(first)[0] / INCH == pytest.approx(14.5)


def test_a_bolt_in_the_middle_of_a_joist_needs_no_block(job_of):
    # By hand: P1 at 18 in has its bolts at 16 and 20 in, the first in the middle of a joist
    legs = [{"level": "10 ft"}]
    assembly = assemble(layout(job_of(legs, edge_inset="18 in", structure=structure())))
    (block,) = blocks(assembly, 1)
    assert extent(block)[:4:2] == pytest.approx([16.75, 31.25])


def test_behind_a_rim_a_block_stands_upright_between_the_joists(job_of):
    told = structure(overhang="1 in", fascia="3/4 in", offset="0 in")
    legs = [{"level": "8 ft"}]
    job = job_of(legs, mount="fascia", system=LAG, structure=told, units="in")
    assembly = assemble(layout(job))
    number, post = next(
        (int(p.mark[1:]), p)
        for p in assembly.of_kind("post")
        if detail_of(p, PostDetail).role == "intermediate"
    )
    found = blocks(assembly, number)
    assert found
    # By hand: overhang 1 in, fascia 3/4 in, rim 1-1/2 in: the block from 3-1/4 to 4-3/4 in
    for block in found:
        west, south, east, north, bottom, top = extent(block)
        assert (south, north) == pytest.approx((3.25, 4.75))
        assert (bottom, top) == pytest.approx((47 - 9.25, 47))
        assert ((west - 0.75) / 16, (east + 0.75) / 16) == pytest.approx(
            (round(west / 16), round(east / 16))
        )
    spots = [Point(a.place.origin[0], 4 * INCH) for a in bolts(assembly, number)]
    assert len(spots) == 4
    assert all(any(plan(block).covers(spot) for block in found) for spot in spots)
    assert post.mark == f"P{number}"


def test_a_block_ends_where_the_deck_does(job_of):
    # By hand: a deck of 84 in, joists at 0 to 80 in, the last post at 80-1/2 in: no joist beyond
    legs = [{"level": "84 in"}]
    assembly = assemble(layout(job_of(legs, edge_inset="3-1/2 in", structure=structure())))
    last = max(int(p.mark[1:]) for p in assembly.of_kind("post"))
    east = [extent(block)[2] for block in blocks(assembly, last)]
    assert max(east) == pytest.approx(84)


def test_concrete_and_cores_need_no_blocking(light):
    assembly = light("core-terrace").assembly
    assert assembly.job.structure.concrete
    assert not list(assembly.of_kind("blocking", "joist", "anchor"))


@settings(max_examples=80)
@given(
    turn=st.one_of(st.sampled_from([90, -90, 45, -45]), st.floats(5, 120), st.floats(-120, -5)),
    corner=st.sampled_from(["single", "pair"]),
    bearing=st.one_of(st.sampled_from([0, 90, 45]), st.floats(0, 180)),
    offset=st.floats(0, 400),
    deck=st.sampled_from(["left", "right"]),
    anchor=st.sampled_from(["lag-3_8", "through-bolt-3_8"]),
)
def test_blocks_lie_clear_of_the_framing_and_of_each_other(
    job_of, turn, corner, bearing, offset, deck, anchor
):
    legs = [{"level": "9 ft"}, {"turn": turn, "corner": corner}, {"level": "7 ft"}]
    told = structure(bearing, offset)
    job = job_of(legs, deck=deck, structure=told, system={"anchor": anchor})
    parts = list(assemble(layout(job)).of_kind(*WOOD))
    for a, b in combinations(parts, 2):
        if "blocking" in (a.kind, b.kind):
            assert overlap(a, b) < 1.0, (a.mark, b.mark)
    for block in parts:
        if block.kind == "blocking":
            assert rail_lengths(block)[1] > 0.0
            assert plan(block).is_valid


@settings(max_examples=40)
@given(length=st.floats(1500, 9000), offset=st.floats(0, 400), bearing=st.sampled_from([0, 90]))
def test_every_bolt_of_a_straight_deck_has_wood_below(job_of, length, offset, bearing):
    told = structure(bearing, offset)
    assembly = assemble(layout(job_of([{"level": length}], structure=told)))
    wood = [plan(part).buffer(1e-6) for part in assembly.of_kind(*WOOD)]
    for anchor in assembly.of_kind("anchor"):
        spot = Point(anchor.place.origin[:2])
        assert any(one.covers(spot) for one in wood), anchor.mark


def test_strips_lie_in_the_middle_of_what_they_hold_or_against_what_bounds_them():
    stock = Stock(width_mm=40.0, depth_mm=200.0, edge_mm=15.0, end_mm=40.0)
    open_ = (-1e3, 1e3)
    # By hand: one strip holds places up to 10 apart, 15 from its sides
    assert list(bands([100.0, 106.0], open_, stock)) == [(83.0, 123.0)]
    assert list(bands([100.0, 111.0], open_, stock)) == [(80.0, 120.0), (120.0, 160.0)]
    assert list(bands([100.0, 200.0], open_, stock)) == [(80.0, 120.0), (180.0, 220.0)]
    # Against a bound, and ripped where there is no room for the whole width
    assert list(bands([100.0], (90.0, 1e3), stock)) == [(90.0, 130.0)]
    assert list(bands([100.0], (90.0, 125.0), stock)) == [(90.0, 125.0)]


def in_space(part):
    """Plan by shapely, and extent plumb, mm."""
    seen = board(part)
    return Polygon(seen.plan), seen.low_mm, seen.high_mm


@pytest.mark.parametrize("name", ["fascia-balcony", "two-level-deck"])
def test_blocks_of_an_example_lie_clear_of_all_wood(light, name):
    # shapely: at an outside corner of the fascia, and beside the framing of another run
    parts = list(light(name).assembly.of_kind(*WOOD))
    for a, b in combinations(parts, 2):
        if "blocking" not in (a.kind, b.kind):
            continue
        (_, low_a, high_a), (_, low_b, high_b) = in_space(a), in_space(b)
        if min(high_a, high_b) - max(low_a, low_b) > 0.1:
            assert overlap(a, b) < 1.0, (a.mark, b.mark)


def test_blocks_of_the_balcony_lie_under_its_floor(light):
    # By hand: the floor reaches from x = 0 to 192 in, and from y = -60 in to the house
    for block in light("fascia-balcony").assembly.of_kind("blocking"):
        west, south, east, _, _, top = extent(block)
        assert min(west, 192 - east, south + 60) > 0, block.mark
        assert top <= 132 - 1 + 1e-9, block.mark


def test_blocks_under_a_drained_deck_are_let_down_under_the_level_one_beside(light):
    # By hand: leg 1 falls 3 in over 144 in to the level front at 108 - 3 in; the decking's
    # underside is 1 in lower, and no block that reaches under the front stands over that
    assembly = light("drained-deck").assembly
    front = plan(assembly.by_mark["D2"]).buffer(-0.01)
    reach = [block for block in assembly.of_kind("blocking") if plan(block).intersects(front)]
    assert {"BL4-1", "BL4-2"} <= {block.mark for block in reach}
    for block in reach:
        place, shape = block.place, block.shape
        top = shape.section.outer.corners[2][1]
        for cut in (shape.start, shape.end):
            for x in (shape.section.outer.corners[0][0], shape.section.outer.corners[2][0]):
                point = place.point((x, top, cut.at(x, top)))
                if front.covers(Point(point[:2])):
                    assert point[2] / INCH <= 104 + 1e-6, block.mark
