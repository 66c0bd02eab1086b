"""The packing list: all packs together are the order, counted anew from the parts."""

from __future__ import annotations

from collections import Counter, defaultdict

import pytest

from generator.parts.quantities import quantities
from generator.schedules.packing import packing_list, packs

NAMES = [
    "lake-deck", "metric-terrace", "fascia-balcony", "core-terrace", "porch-columns",
    "carried-corner", "switchback-stair", "high-guard-drop", "octagonal-bay", "mill-mezzanine",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_all_packs_together_are_the_order(light, name):
    assembly = light(name).assembly
    found, spare, lengths = Counter(), Counter(), defaultdict(float)
    for one in packs(assembly):
        assert one.count > 0
        if one.pack == "spares":
            spare[one.item] += 0 if one.length_mm else one.count
        else:
            found[one.item] += one.count
        lengths[one.item] += one.length_mm or 0.0
    parts = Counter(part.item for part in assembly.parts if not part.reference)
    parts.update({one.item: one.count for one in assembly.consumables})
    assert found == parts
    lines = {line.item: line for line in quantities(assembly) if not line.nested}
    assert +spare == Counter({item: line.spare for item, line in lines.items() if line.spare})
    for item, line in lines.items():
        ordered = (line.length_mm or 0.0) + line.spare_length_mm
        assert lengths[item] == pytest.approx(ordered)


@pytest.mark.parametrize("name", NAMES)
def test_every_marked_piece_is_in_one_pack(light, name):
    assembly = light(name).assembly
    marks = Counter(mark for one in packs(assembly) for mark in one.marks)
    wanted = assembly.of_kind("post", "rail", "spacer", "cable", "handrail", "blocking")
    assert marks == Counter(part.mark for part in wanted)


def test_first_leg_of_the_lake_deck_by_hand(light_lake_deck):
    # Five posts, 11 cables of two ends, each with nut and washer; the fittings of the dead ends are
    # put on in the shop and go with the cables. One splice in this leg, one arm of the miter; four
    # bolts a plate. Screws: 4 a bracket, 2 in the splice, 1 in the arm. One cap at the wall.
    found = {(one.pack, one.item): one for one in packs(light_lake_deck.assembly) if one.leg == 1}
    counts = {key: one.count for key, one in found.items()}
    assert counts["A-1 posts", "post al-square-2.5"] == 5
    assert counts["A-1 cable coil", "end fitting swage-stud-1_4"] == 11
    assert counts["A-1 cable bag", "end fitting swage-stud-1_4"] == 11
    assert counts["A-1 cable bag", "nut for swage-stud-1_4"] == 22
    assert counts["A-1 base bag", "washer for through-bolt-3_8"] == 40
    assert counts["A-1 rail bag", "screw stainless self-drilling screw, No. 12 x 3/4 in"] == 23
    assert counts["A-1 rail bag", "end cap for al-flat-2.5x1.5"] == 1
    assert found["A-1 posts", "post al-square-2.5"].marks == ("P1", "P2", "P3", "P4", "P5")


def test_fittings_that_are_put_on_on_site_are_all_in_the_bag(job_of):
    from generator.layout import layout
    from generator.parts.build import assemble

    swage = {"dead": "field", "pulled": "field"}
    assembly = assemble(layout(job_of([{"level": 3000}], swage=swage)))
    where = {one.pack for one in packs(assembly) if one.item.startswith("end fitting")}
    assert where == {"A-1 cable bag", "spares"}


def test_weight_of_all_packs_is_that_of_the_order(light_lake_deck):
    from generator.schedules.order import order_list

    order = order_list(light_lake_deck.assembly, weights=True)
    packed = packing_list(light_lake_deck.assembly)
    total, in_packs = (
        sum(cell for cell in table.cells(name) if isinstance(cell, float))
        for table, name in ((order, "mass_with_spares_kg"), (packed, "mass_kg"))
    )
    assert in_packs == pytest.approx(total, rel=1e-9)
