"""Posts and blocks from the measured edge, against the lake deck worked by hand (geometry.md I)."""

from __future__ import annotations

import math

import pytest

from generator.parts.setting_out import block_spots, guard_length_mm, post_spots, start_words

INCH = 25.4


def inches(*lengths: float | None) -> list[float]:
    return [length / INCH for length in lengths if length is not None]


def test_posts_of_the_lake_deck(lake_deck):
    first, second, stair = (post_spots(lake_deck.assembly, leg) for leg in lake_deck.assembly.legs)
    stations = [3.25, 71.9375, 140.625, 209.3125, 278.0]
    assert inches(*(spot.station_mm for spot in first)) == pytest.approx(stations)
    assert inches(*(spot.station_mm for spot in second)) == pytest.approx([4, 52.25, 100.5, 148.75])
    # geometry.md I tells x: the deck's edge, where the stair begins, is at 282 in.
    assert inches(*(spot.station_mm for spot in stair)) == pytest.approx([-4.0, 30.0, 63.0])
    assert inches(*(spot.offset_mm for spot in (*first, *second, *stair))) == pytest.approx(
        [4.0] * 12
    )
    levels = [48.0 - 48.0, 27.4286 - 48.0, 6.8571 - 48.0]
    assert inches(*(spot.level_mm for spot in stair)) == pytest.approx(levels, abs=1e-4)
    tops = [38.4935, 37.8701, 37.8701]
    assert inches(*(spot.rail_top_mm for spot in stair)) == pytest.approx(tops, abs=1e-4)
    assert inches(*(spot.setback_mm for spot in stair)) == pytest.approx([3.0, 3.0])


def test_strings_are_along_the_lowest_and_highest_cable(lake_deck):
    first, second, stair = (post_spots(lake_deck.assembly, leg) for leg in lake_deck.assembly.legs)
    # 3 in to the underside of a 1/8 in cable; leg 2 moved down 5/16; on the deck over the stair the
    # lowest axis is 3.68588 (geometry.md I). Eleven rows at 3 in.
    assert inches(first[0].string_low_mm, first[0].string_high_mm) == pytest.approx(
        [3.0625, 33.0625]
    )
    assert inches(second[0].string_low_mm, second[0].string_high_mm) == pytest.approx([2.75, 32.75])
    assert first[-1].mark == second[0].mark == "P5"  # one post, told from both of its edges
    assert inches(stair[0].string_low_mm) == pytest.approx([3.68588], abs=1e-5)


def test_a_post_that_moves_in_the_table_is_told_where_it_stands(lake_deck):
    from dataclasses import replace

    assembly = lake_deck.assembly
    x, y, z = assembly.by_mark["P3"].place.origin
    part = assembly.by_mark["P3"]
    moved = replace(part, place=replace(part.place, origin=(x + 10.0, y - 7.0, z)))
    changed = replace(assembly, parts=tuple(moved if p is part else p for p in assembly.parts))
    was, now = (post_spots(a, a.legs[0])[2] for a in (assembly, changed))
    assert now.station_mm - was.station_mm == pytest.approx(10.0)
    assert now.offset_mm - was.offset_mm == pytest.approx(-7.0)


def test_offsets_are_toward_the_walking_surface_on_either_side(job_of):
    from generator.layout import layout
    from generator.parts.build import assemble

    for deck in ("left", "right"):
        assembly = assemble(layout(job_of([{"level": 3000}], deck=deck, edge_inset=120)))
        spots = post_spots(assembly, assembly.legs[0])
        assert [spot.offset_mm for spot in spots] == pytest.approx([120.0] * len(spots))


def test_blocks_of_the_lake_deck_worked_by_hand(lake_deck):
    # Leg 1 crosses joists at 16 in, 1-1/2 in thick, the first over the start: its first block lies
    # between 3/4 in and 15-1/4 in, its top under 1 in of decking.
    spots = {spot.mark: (leg, spot) for leg, spot in block_spots(lake_deck.assembly)}
    assert set(spots) == {part.mark for part in lake_deck.assembly.of_kind("blocking")}
    leg, first = spots["BL1"]
    assert (leg.number, first.post) == (1, "P1")
    assert inches(*first.station_mm) == pytest.approx([0.75, 15.25])
    assert inches(first.length_mm, first.below_mm) == pytest.approx([14.5, 1.0])
    assert first.offset_mm[0] == pytest.approx(first.offset_mm[1])
    # Under tread 3, three risers down, below 1-1/2 in of tread: 3 x 48 / 7 + 1-1/2.
    _, tread = spots["BL10"]
    assert inches(tread.below_mm) == pytest.approx([3 * 48 / 7 + 1.5])


def test_every_block_is_under_a_post_that_there_is(planned):
    for name in ("switchback-stair", "fascia-balcony", "octagonal-bay", "porch-columns"):
        assembly = planned(name).assembly
        assert all(spot.post in assembly.by_mark for _, spot in block_spots(assembly))


def test_length_of_guard_for_a_price_by_length(lake_deck):
    # 23 ft 6 in, 12 ft 6 in, and six treads of 11 in that drop six risers of 48/7 in.
    stair = math.hypot(66.0, 6 * 48 / 7)
    assert guard_length_mm(lake_deck.assembly) / INCH == pytest.approx(282 + 150 + stair)


def test_what_running_dimensions_begin_at(lake_deck):
    words = [start_words(leg) for leg in lake_deck.assembly.legs]
    assert words == [
        "the face of the wall", "the corner of the deck edge", "the nosing of the upper floor",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["core-terrace", "fascia-balcony"])
def test_heights_are_over_the_walking_surface_however_a_post_is_held(planned, name):
    # A tape on site finds the deck, not the buried end of a post nor the foot of its side plate.
    assembly = planned(name).assembly
    leg = assembly.legs[0]
    height = assembly.job.guard.height_mm
    for spot in post_spots(assembly, leg):
        assert spot.rail_top_mm == pytest.approx(height, abs=1e-6)
        lowest = assembly.job.guard.bottom_gap_mm + assembly.job.system.cable.diameter_mm / 2
        assert spot.string_low_mm == pytest.approx(lowest, abs=1e-6)
        assert spot.level_mm < -50.0
