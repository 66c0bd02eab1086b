"""Obstacles as parts at their places, and their solids. Worked values by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.quantities import quantities
from generator.spec.job import Obstacle

DOWNPIPE = Obstacle(
    "downpipe", 500.0, -50.0, 200.0, 3000.0, ((-40, -30), (40, -30), (40, 30), (-40, 30)), 90.0
)
HATCH = Obstacle("hatch", 10.0, 20.0, 0.0, 40.0, ((0, 0), (9, 0), (9, 7)))


@pytest.fixture(scope="module")
def assembly(job_of):
    job = replace(job_of([{"level": 3000}]), obstacles=(DOWNPIPE, HATCH))
    return assemble(layout(job))


def test_they_stand_after_all_other_parts_and_belong_to_themselves(assembly):
    pipe, hatch = assembly.parts[-2:]
    assert [(p.mark, p.kind, p.item, p.belongs_to) for p in (pipe, hatch)] == [
        ("OB1", "obstacle", "downpipe", "OB1"),
        ("OB2", "obstacle", "hatch", "OB2"),
    ]
    assert pipe.reference
    assert all(part.kind != "obstacle" for part in assembly.parts[:-2])


def test_a_box_is_turned_to_its_bearing(assembly):
    pipe = assembly.by_mark["OB1"]
    corners = [pipe.place.point((x, y, 0.0)) for x, y in pipe.shape.section.outer.corners]
    # Heading north its width of 80 lies along y.
    wanted = [(470, -90, 200), (470, -10, 200), (530, -90, 200), (530, -10, 200)]
    for corner, point in zip(sorted(corners), wanted, strict=True):
        assert corner == pytest.approx(point)
    assert pipe.shape.volume_mm3 == pytest.approx(80 * 60 * 3000)
    assert assembly.by_mark["OB2"].shape.volume_mm3 == pytest.approx(9 * 7 / 2 * 40)


def test_nobody_orders_them(assembly):
    assert all("downpipe" not in line.item for line in quantities(assembly))
