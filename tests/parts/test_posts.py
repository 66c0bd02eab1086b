"""Posts with base plates, anchors and brackets: outlines and places, worked by hand in inches."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.layout import layout
from generator.parts.assembly import PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Rectangle, Turned

INCH = 25.4
TAN = 48 / 7 / 11  # of the lake deck's stair
SECANT = math.hypot(1.0, TAN)
PLATE, BRACKET, RAIL = 0.375, 0.25, 1.5


def prism_of(part):
    assert isinstance(part.shape, Prism)
    return part.shape


def outline_of(part):
    outline = prism_of(part).section.outer
    assert isinstance(outline, Rectangle)
    return outline


def part(light_lake_deck, mark):
    return light_lake_deck.assembly.by_mark[mark]


def test_tube_of_a_level_post(light_lake_deck):
    # 36 in less rail 1-1/2, bracket 1/4 and plate 3/8: 33-7/8 in, cut square
    post = part(light_lake_deck, "P2")
    shape = prism_of(post)
    assert shape.end.z_mm / INCH == pytest.approx(36 - RAIL - BRACKET - PLATE)
    assert shape.end.z_mm / INCH == pytest.approx(33.875)
    assert (shape.end.slope_x, shape.end.slope_y) == (0.0, 0.0)
    assert detail_of(post, PostDetail).length_mm == shape.end.z_mm
    # Walls 3/16 in: 2-1/2 in square outside, 2-1/8 in inside
    outer, inner = shape.section.outer, shape.section.inner
    assert isinstance(outer, Rectangle)
    assert isinstance(inner, Rectangle)
    assert (outer.width_mm / INCH, inner.width_mm / INCH) == pytest.approx((2.5, 2.125))


@pytest.mark.parametrize("mark, rail_top", [("P9", 38.4935), ("P10", 37.8701), ("P11", 37.8701)])
def test_tube_of_a_stair_post(light_lake_deck, mark, rail_top):
    # P10: 37.8701 less (1-1/2 + 1/4) / cos 31.938 = 2.0622, less 3/8: 35.4329 in on the axis; the
    # longest edge is 1-1/4 tan 31.938 = 0.7792 longer.
    post = part(light_lake_deck, mark)
    top = prism_of(post).end
    on_axis = rail_top - (RAIL + BRACKET) * SECANT - PLATE
    assert top.z_mm / INCH == pytest.approx(on_axis, abs=5e-5)
    assert top.slope_x == pytest.approx(-TAN)  # it falls with the travel
    detail = detail_of(post, PostDetail)
    assert detail.length_mm / INCH == pytest.approx(on_axis + 1.25 * TAN, abs=5e-5)
    assert detail.height_mm / INCH == pytest.approx(rail_top, abs=5e-5)


def test_base_plate_and_its_bolts(light_lake_deck):
    # 5 in square and 3/8 in thick, four 7/16 in holes 4 in apart
    plate, post = part(light_lake_deck, "BP10"), part(light_lake_deck, "P10")
    shape, outline = prism_of(plate), outline_of(plate)
    assert (outline.width_mm / INCH, outline.depth_mm / INCH) == (5.0, 5.0)
    assert shape.end.z_mm / INCH == pytest.approx(PLATE)
    spots = sorted((hole.across_mm / INCH, hole.along_mm / INCH) for hole in shape.holes)
    assert spots == [(-2.0, -2.0), (-2.0, 2.0), (2.0, -2.0), (2.0, 2.0)]
    assert [hole.width_mm / INCH for hole in shape.holes] == pytest.approx([0.4375] * 4)
    # The tube stands on it.
    assert post.place.origin[2] - plate.place.origin[2] == pytest.approx(PLATE * INCH)
    assert plate.place.origin[2] == pytest.approx(detail_of(post, PostDetail).base_z_mm)


@pytest.mark.parametrize("mark, length", [("A2-1", 3.5), ("A10-1", 4.0)])
def test_bolts_are_the_shortest_that_reach(light_lake_deck, mark, length):
    # washer 1/16 + plate 3/8 + wood + blocking 1-1/2 + washer 1/16 + nut 21/64 in: on 1 in of
    # decking 3.328, so 3-1/2 in; on a tread of 1-1/2 in 3.828, so 4 in
    bolt = part(light_lake_deck, mark)
    assert isinstance(bolt.shape, Turned)
    shank = bolt.shape.steps[0]
    assert (shank.end_mm - shank.start_mm) / INCH == pytest.approx(length)
    assert f"{length:g}".replace(".5", " 1/2") in bolt.item


def test_four_anchors_stand_over_the_holes_of_their_plate(light_lake_deck):
    for plate in light_lake_deck.assembly.of_kind("base-plate"):
        anchors = [
            a
            for a in light_lake_deck.assembly.of_kind("anchor")
            if a.belongs_to == plate.belongs_to
        ]
        holes = {
            tuple(round(c, 6) for c in plate.place.point((hole.across_mm, hole.along_mm, 0.0))[:2])
            for hole in prism_of(plate).holes
        }
        assert {tuple(round(c, 6) for c in a.place.origin[:2]) for a in anchors} == holes
        assert len(anchors) == 4


@pytest.mark.parametrize("mark", ["P1", "P5", "P8", "P9", "P10"])
def test_bracket_fills_the_gap_between_tube_and_rail(light_lake_deck, mark):
    post, bracket = part(light_lake_deck, mark), part(light_lake_deck, f"K{mark[1:]}")
    shape, outline = prism_of(bracket), outline_of(bracket)
    assert shape.end.z_mm / INCH == pytest.approx(2.5)
    assert outline.depth_mm / INCH == pytest.approx(BRACKET)
    middle = bracket.place.point((0.0, -outline.depth_mm / 2, shape.end.z_mm / 2))
    tube_top = post.place.point((0.0, 0.0, prism_of(post).end.z_mm))
    # Square to the rail, from the middle of the tube's top to the bracket's underside.
    assert bracket.place.local(tube_top)[1] == pytest.approx(-outline.depth_mm / 2, abs=1e-6)
    assert math.dist(middle[:2], tube_top[:2]) < 1.0 * INCH
    rail = next(
        rail
        for rail in light_lake_deck.assembly.of_kind("rail")
        if rail.leg == (3 if mark in ("P9", "P10") else post.leg)
    )
    underside = rail.place.local(bracket.place.point((0.0, outline.depth_mm / 2, 0.0)))[1]
    assert underside == pytest.approx(-RAIL / 2 * INCH, abs=1e-6)


@settings(max_examples=30)
@given(height=st.floats(860, 1200), gap=st.floats(50, 100), turn=st.floats(10, 150))
def test_every_hole_lies_between_base_plate_and_top_of_the_tube(job_of, height, gap, turn):
    legs = [
        {"level": 3000},
        {"turn": turn, "corner": "single"},
        {"level": 3000},
        {"turn": -90, "corner": "pair"},
        {"stair": {"risers": 6, "rise": 1020, "tread": 280}},
    ]
    assembly = assemble(layout(job_of(legs, height=height, stair_height=height, bottom_gap=gap)))
    for post in assembly.of_kind("post"):
        shape = prism_of(post)
        outside = {"x-": -1.25 * INCH, "x+": 1.25 * INCH, "y-": 0.0, "y+": 0.0}
        for hole in shape.holes:
            assert hole.along_mm - hole.height_mm / 2 > 0.0
            top = shape.end.at(outside[hole.face], 0.0)
            assert hole.along_mm + hole.height_mm / 2 < top
