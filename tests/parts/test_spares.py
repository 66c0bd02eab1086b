"""Spares by the job's settings, counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.parts.quantities import quantities
from generator.spec.job import Order, Spare, Spares


def lines(assembly, spares: Spares | None = None):
    if spares is not None:
        assembly = replace(assembly, job=replace(assembly.job, order=Order(spares)))
    return {line.item: line for line in quantities(assembly)}


def test_the_defaults_are_a_tenth_of_the_cable_and_a_few_fittings(light_lake_deck):
    # Common practice, no source: cable about 10 % over, and some spare end fittings with it.
    found = lines(light_lake_deck.assembly)
    cable = found["cable ss316-1x19-1_8"]
    assert cable.length_mm is not None
    assert cable.spare_length_mm == pytest.approx(cable.length_mm / 10)
    assert cable.spare == 0
    spare = {item: line.spare for item, line in found.items() if line.spare}
    # By hand, 5 % rounded up: of 66 ends 3.3, of 22 seats 1.1, of 36 and 8 bolts 1.8 and 0.4, of 48
    # screws 2.4, of 88 washers 4.4 and 44 nuts 2.2.
    assert spare == {
        'anchor through-bolt-3_8, 3 1/2" long': 2,
        'anchor through-bolt-3_8, 4" long': 1,
        "end fitting swage-stud-1_4": 4,
        "washer for swage-stud-1_4": 4,
        "nut for swage-stud-1_4": 4,
        "bevelled seat 31.9 deg for swage-stud-1_4": 2,
        "screw stainless self-drilling screw, No. 12 x 3/4 in": 3,
        "structural screw for blocking": 3,
        "washer for through-bolt-3_8": 5,
        "nut for through-bolt-3_8": 3,
    }


def test_pieces_and_shares_of_the_spec(light_lake_deck):
    spares = Spares(Spare(0.0), Spare(pieces=3), Spare(0.5), Spare(0.25))
    found = lines(light_lake_deck.assembly, spares)
    assert found["cable ss316-1x19-1_8"].spare_length_mm == 0.0
    assert found["end fitting swage-stud-1_4"].spare == 3
    assert found["nut for through-bolt-3_8"].spare == 22
    assert found["bracket al-saddle"].spare == 3  # a quarter of 11 is 2.75
    assert found["end cap for al-flat-2.5x1.5"].spare == 1  # of 4, and no more by rounding
    assert found["post al-square-2.5"].spare == 0  # what is cut to measure has none


@pytest.mark.parametrize("count, share, spare", [(20, 0.05, 1), (21, 0.05, 2), (100, 0.07, 7)])
def test_a_share_that_is_whole_is_not_rounded_up(count, share, spare):
    from generator.parts.quantities import _pieces

    assert _pieces(Spare(share), count) == spare


def test_settings_are_read_from_the_spec(read_values, light_values):
    values = light_values("lake-deck")
    values["order"] = {"spares": {"cable": "15 %", "fittings": 4}}
    job = read_values(values)
    assert job.order.spares.cable == Spare(0.15)
    assert job.order.spares.fittings == Spare(pieces=4)
    assert job.order.spares.fasteners == Spare(0.05)
    del values["order"]
    assert read_values(values).order == Order()
