"""Jobs with corners that no example has, laid out and modelled: every part at its place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from generator.layout.lay_out import layout
from generator.parts.build import assemble
from generator.solids import write_step

Leg = dict[str, Any]

LEGS: dict[str, list[Leg]] = {
    "pairs with rails mitered, butted and returned": [
        {"level": "4 ft"},
        {"turn": 45, "corner": "pair", "rail": "miter"},
        {"level": "4 ft"},
        {"turn": 90, "corner": "pair", "rail": "butt"},
        {"level": "4 ft"},
        {"turn": -45, "corner": "pair", "rail": "return"},
        {"level": "4 ft"},
    ],
    "ramps up and round": [
        {"ramp": {"length": "12 ft", "rise": "1 ft"}},
        {"turn": 90},
        {"ramp": {"length": "6 ft", "rise": "6 in"}},
    ],
    "a stair up to a landing": [
        {"level": "5 ft"},
        {"turn": 0, "corner": "pair"},
        {"stair": {"risers": 7, "rise": "4 ft", "tread": "11 in", "direction": "up"}},
        {"level": "5 ft"},
    ],
}


@pytest.mark.parametrize("name", LEGS)
def test_every_part_is_at_its_place(
    name: str, job_of: Callable[..., Any], tmp_path: Path, reading: ModuleType
) -> None:
    assembly = assemble(layout(job_of(LEGS[name], units="in")))
    write_step(assembly, tmp_path / "job.step")
    leaves = reading.read_step(tmp_path / "job.step")
    assert len(leaves) == len(assembly.parts)
    assert reading.unlike(reading.measured(leaves), reading.told(assembly)) == []
    distinct = {leaf.product: leaf.shape for leaf in leaves}
    assert [one for one, shape in distinct.items() if not reading.is_valid(shape)] == []


def test_a_corner_too_sharp_for_its_connector_is_modelled_without_it(
    job_of: Callable[..., Any], tmp_path: Path, reading: ModuleType
) -> None:
    # Rails mitered at 75 deg: worked by hand, the cut is 2.5 in x tan 75 = 9.3 in long.
    legs = [{"level": "10 ft"}, {"turn": 150}, {"level": "10 ft"}]
    assembly = assemble(layout(job_of(legs, units="in")))
    said: list[str] = []
    write_step(assembly, tmp_path / "job.step", progress=said.append)
    arms = [words for words in said if "connector" in words]
    assert all("end cuts cross" in words for words in arms)
    leaves = reading.read_step(tmp_path / "job.step")
    missed = reading.unlike(reading.measured(leaves), reading.told(assembly))
    assert len(leaves) == len(assembly.parts) - len(missed)
    assert {assembly.parts[k].kind for k in missed} <= {"connector"}
    assert len(arms) == len(missed)
