"""The drilling list, against the table of parts and worked by hand on the lake deck."""

from __future__ import annotations

import pytest

from generator.parts.assembly import PostDetail, detail_of
from generator.schedules.drilling import drilling_list

INCH = 25.4


@pytest.fixture(scope="module")
def rows(lake_deck):
    table = drilling_list(lake_deck.assembly)
    keys = [column.key for column in table.columns]
    return [dict(zip(keys, row, strict=True)) for row in table.rows]


def of(rows, mark):
    return [row for row in rows if row["mark"] == mark]


def test_heights_are_told_from_the_end_of_the_tube(rows):
    # By hand: lowest axis 3-1/16 in over the deck, the tube stands on a plate of 3/8 in.
    lowest = min(row["above_long_point_mm"] for row in of(rows, "P2"))
    assert lowest / INCH == pytest.approx(3.0625 - 0.375)


def test_slots_of_a_raked_cable_are_lower_in_front_than_behind(rows):
    back, front = (row for row in of(rows, "P10") if row["row"] == 1)
    assert (back["face"], front["face"]) == ("back", "front")
    # By hand: 2-5/16 in between the middles of the walls, times 48/77 (geometry.md section I).
    assert (back["above_long_point_mm"] - front["above_long_point_mm"]) / INCH == pytest.approx(
        1.44156, abs=5e-6
    )
    assert back["height_mm"] > back["width_mm"]


def test_posts_drilled_alike_have_one_pattern(rows):
    pattern = {row["mark"]: row["pattern"] for row in rows}
    assert pattern["P2"] == pattern["P3"] == pattern["P4"]
    assert pattern["P6"] == pattern["P7"] != pattern["P2"]
    assert pattern["P5"] not in (pattern["P4"], pattern["P6"])
    assert pattern["P1"] != pattern["P2"]


def test_every_wall_of_every_hole_is_told_once(rows, lake_deck):
    assembly = lake_deck.assembly
    for post in assembly.of_kind("post"):
        walls = sum(len(hole.walls) for hole in detail_of(post, PostDetail).drilling)
        assert len(of(rows, post.mark)) == walls
