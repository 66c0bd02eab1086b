"""A handrail's pieces in the cut list. Worked values: by hand in inches, from the lake deck."""

from __future__ import annotations

from dataclasses import replace

from generator.layout import layout
from generator.parts.build import assemble
from generator.schedules.cuts import cut_list
from generator.spec.job import Handrail

INCH = 25.4


def test_a_handrail_and_its_returns_are_in_the_cut_list(lake_deck):
    handrail = Handrail(False, 36 * INCH, 1.5 * INCH, 1.5 * INCH, 48 * INCH)
    table = cut_list(assemble(layout(replace(lake_deck.job, handrail=handrail))))
    keys = [column.key for column in table.columns]
    rows = [dict(zip(keys, row, strict=True)) for row in table.rows]
    told = {row["mark"]: row for row in rows if row["piece"] == "handrail"}
    # Axis 82.4872 in and half a tube at either long point, in sixteenths.
    assert {mark: row["long_point"] for mark, row in told.items()} == {
        "HR1": "3\"", "HR2": "7'-0\"", "HR3": "4 1/4\""
    }  # fmt: skip
    assert told["HR1"]["start_cut"] == "square"
    # The deck lies left of the stair: the returns go right, so the tube's left side is the longer.
    assert told["HR2"]["start_cut"] == told["HR2"]["end_cut"] == "miter 45.0°, left longer"
    assert (told["HR1"]["start_on"], told["HR3"]["end_on"]) == ("rail side", "cap")
