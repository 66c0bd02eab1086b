"""A slack cable hangs by its own weight onto a nosing: the finding, worked by hand as a parabola.

The mechanics are those of a taut cable, w L^2 / 8 T at the middle of a level span (reference works
on cables; from memory). The load on the infill is level and takes nothing from the height.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.checks import run
from generator.checks.clash import check_sagging
from generator.checks.view import leg_views
from generator.parts.assembly import Assembly

GRAVITY = 9.80665


def with_tension(assembly: Assembly, newtons: float) -> Assembly:
    job = assembly.job
    return replace(assembly, job=replace(job, guard=replace(job.guard, tension_n=newtons)))


def hanging(assembly):
    return [
        outcome for view in leg_views(assembly) for outcome in check_sagging(assembly.job, view)
    ]


def test_taut_cables_hang_onto_nothing(lake_deck):
    assert hanging(lake_deck.assembly) == []


def test_a_cable_so_slack_that_it_lies_on_what_it_passes(lake_deck):
    assembly = lake_deck.assembly
    weight = assembly.job.system.cable.mass_kg_m * GRAVITY / 1000.0
    # Level: 3 in of bottom gap, and spans of 34.34 in between posts and spacers.
    span, gap = 68.6875 / 2 * 25.4, 3.0 * 25.4
    slack = weight * span**2 / 8.0 / gap
    found = hanging(with_tension(assembly, slack * 0.5))
    legs = {assembly.by_mark[outcome.where[0]].leg: outcome for outcome in found}
    level = legs[1]
    # Half the tension hangs twice as far: as deep below the deck as the gap is above it.
    assert level.measured == pytest.approx(-gap, rel=1e-6)
    assert level.code == "clash.cable-tread"
    assert level.severity == "warn"
    assert level.where[0] == "C1"
    assert level.point is not None
    assert 1 not in {
        assembly.by_mark[outcome.where[0]].leg
        for outcome in hanging(with_tension(assembly, slack * 1.01))
    }


def test_it_is_among_the_findings(lake_deck):
    slack = with_tension(lake_deck.assembly, 1e-3)
    found = [f for f in run(slack).findings if f.code == "clash.cable-tread"]
    assert found
    assert {f.severity for f in found} == {"warn"}
