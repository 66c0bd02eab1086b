"""Order of pulling, take-up, turns and threads, worked by hand for the lake deck."""

from __future__ import annotations

import pytest

from generator.parts.assembly import CableDetail, detail_of
from generator.parts.steps import order_of_work
from generator.parts.tensioning import middle_first, panels, pullings

INCH = 25.4


def test_the_middle_row_first_then_up_and_down(light_lake_deck):
    # Common practice, no source. Eleven rows: C6 is the middle of leg 1.
    found = list(middle_first(light_lake_deck.assembly))[:11]
    assert [mark for _, mark in found] == [
        "C6", "C7", "C5", "C8", "C4", "C9", "C3", "C10", "C2", "C11", "C1",
    ]  # fmt: skip
    assert [order for order, _ in found] == list(range(1, 12))


def test_every_cable_is_pulled_once(light):
    for name in ("lake-deck", "switchback-stair", "carried-corner", "porch-columns"):
        assembly = light(name).assembly
        marks = [part.mark for part in assembly.of_kind("cable")]
        assert sorted(mark for _, mark in middle_first(assembly)) == sorted(marks)
        assert [one.mark for one in pullings(assembly)] == marks
        for parts in panels(assembly).values():
            rows = [detail_of(part, CableDetail).row for part in parts]
            assert rows == sorted(rows)


def test_take_up_of_the_longest_leg_by_hand(light_lake_deck):
    # Finished 272.25 - 2 x 1.5 = 269.25 in. 200 lbf on 19/25 of a 1/8 in circle, 130 GPa, stretches
    # it by 200 x 4.44822 / (130000 x 6.01715) = 0.0011373; a new strand beds in by 0.1 %. A thread
    # of 20 to the inch draws 1/20 in a turn.
    one = pullings(light_lake_deck.assembly)[0]
    strain = 200 * 4.4482216 / (130_000 * 6.01715) + 0.001
    assert one.takeup_mm / INCH == pytest.approx(269.25 * strain, rel=1e-6)
    assert one.turns == pytest.approx(269.25 * strain * 20, rel=1e-6)
    assert one.pulled_at == "P5"
    assert one.tension_n == pytest.approx(889.644, abs=1e-3)


def test_room_to_take_up_by_hand(light_lake_deck):
    # The profile tells it: the sleeve's stud end stands 1-1/4 in off the inner face of a post
    # 2-1/2 in through; the thread of 2-1/4 in less a nut of 7/32 in would leave 2-1/32 in. On the
    # stair the studs of two posts lie in a seat and go through the post at the pitch: less room.
    level, stair = pullings(light_lake_deck.assembly)[0], pullings(light_lake_deck.assembly)[-1]
    assert level.room_mm / INCH == pytest.approx(1.25)
    assert 0 < stair.room_mm < level.room_mm


def test_what_pulls_at_the_start_is_told_there(job_of):
    from generator.layout import layout
    from generator.parts.build import assemble

    assembly = assemble(layout(job_of([{"level": 3000}], pull="start")))
    assert {one.pulled_at for one in pullings(assembly)} == {"P1"}
    assert all(one.room_mm / INCH == pytest.approx(1.25) for one in pullings(assembly))


def test_the_order_of_work_names_each_thing_once(light_lake_deck):
    steps = order_of_work(light_lake_deck.assembly)
    tension = next(step for step in steps if step.title == "Tension the cables")
    assert tension.marks[:3] == ("C6", "C7", "C5")
    assert len(tension.marks) == 33
