"""What is ordered to hold a post down, worked anew from sizes and not by the product's formulas."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from generator.parts.assembly import Assembly
from generator.parts.mass import item_masses
from generator.parts.quantities import quantities
from generator.schedules.order import order_list
from generator.schedules.site_tables import blocking_list

STAINLESS = 8.0e-6  # kg/mm3: ss-316 as its profile tells


def counts(assembly: Assembly) -> dict[str, int]:
    return {line.item: line.count for line in quantities(assembly)}


def test_the_washer_that_is_calculated_is_ordered_and_weighed(planned):
    # 11 posts with 4 bolts: one washer 1-1/16 in under each head, one of 3 in under each nut,
    # both 3/32 in thick with a bore as the bolt, 1/2 in.
    job = planned("lake-deck")
    found, masses = counts(job.assembly), item_masses(job.assembly)
    for item, inches in (
        ("washer for through-bolt-1_2", 1.0625),
        ('large washer for through-bolt-1_2, 3" across', 3.0),
    ):
        assert found[item] == 44
        each = math.pi / 4 * (inches**2 - 0.25) * 3 / 32 * 25.4**3 * STAINLESS
        assert masses[item] == pytest.approx(44 * each, rel=0.02), item


def test_washers_without_room_are_told(planned):
    # All posts of the first leg: the rim is 1/2 in
    # from their outer bolts, the washer reaches 1-1/2 in.
    report = planned("lake-deck").report
    told = [f for f in report.findings if f.code == "anchor.edge" and "washer" in f.message]
    first = told[0]
    assert first.measured == pytest.approx(12.7)
    assert first.limit == pytest.approx(38.1)
    for mark in ("P1", "P2", "P3", "P4", "P5"):
        assert mark in (*first.where, *first.message.replace(",", " ").split())


@pytest.mark.parametrize(
    "wood, length",
    # Thickness of decking or tread and block, inches; ASME B1.1: 1/2-13, from memory.
    [("1 1.5", 4.0), ("1.5 1.5", 4.5)],
)
def test_two_threads_stand_out_of_the_nut(planned, wood, length):
    stack = sum(map(float, wood.split())) + Fraction(3, 8) + 2 * Fraction(3, 32) + Fraction(7, 16)
    assert float(stack) + 2 / 13 <= length < float(stack) + 2 / 13 + 0.5
    lengths = {
        -min(step.start_mm for step in part.shape.steps) / 25.4
        for part in planned("lake-deck").assembly.of_kind("anchor")
    }
    assert any(one == pytest.approx(length) for one in lengths)


def test_a_stair_of_untold_width_says_so_in_order_and_blocking_list(planned):
    assembly = planned("lake-deck").assembly
    for table in (order_list(assembly), blocking_list(assembly)):
        (note,) = [note for note in table.notes if "MEASURE BEFORE CUTTING" in note]
        for words in ("BL10", "BL11", "3'-0\""):
            assert words in note


def test_bolts_through_what_is_not_told_are_to_be_confirmed(planned):
    # Ten of the ramp's sixteen posts stand on what is not told: 40 of 64 bolts.
    assembly = planned("garden-ramp").assembly
    (note,) = [n for n in order_list(assembly).notes if "CONFIRM BEFORE ORDERING" in n]
    assert "40 of anchor" in note


def test_weights_without_and_with_spares_are_told_apart(planned):
    table = order_list(planned("lake-deck").assembly, weights=True)
    masses = item_masses(planned("lake-deck").assembly)
    for item, bare, full, count, spare in zip(
        *(table.cells(n) for n in ("item", "mass_kg", "mass_with_spares_kg", "count", "spare")),
        strict=True,
    ):
        if str(item).startswith("anchor"):
            assert bare == pytest.approx(masses[item])
            assert full == pytest.approx(bare * (1 + spare / count))
