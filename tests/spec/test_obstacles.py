"""Obstacles of a spec: boxes and outlines into plans, and outlines that enclose nothing.

Worked values by hand.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.errors import InputError
from generator.spec.job import Obstacle

HEAD = {
    "job": {"title": "Plover Way porch", "rules": "irc-2021", "units": "mm"},
    "system": {},
    "runs": [{"legs": [{"level": 3000}]}],
}


@pytest.fixture(scope="module")
def obstacles(read_values: Any) -> Any:
    def read(*items: dict[str, Any]) -> tuple[Obstacle, ...]:
        return read_values({**HEAD, "obstacles": list(items)}).obstacles

    return read


def test_none_are_none(read_values: Any) -> None:
    assert read_values(HEAD).obstacles == ()


def test_a_box_is_told_by_its_middle(obstacles: Any) -> None:
    box = {"x": 100, "y": -50, "width": 80, "depth": "6 cm", "height": "3 m", "bearing": 30}
    (found,) = obstacles({"name": "downpipe", "box": box})
    corners = ((-40, -30), (40, -30), (40, 30), (-40, 30))
    assert found == Obstacle("downpipe", 100, -50, 0, 3000, corners, 30)


@pytest.mark.parametrize("points", [[[0, 0], [9, 0], [9, 7]], [[0, 0], [9, 7], [9, 0]]])
def test_an_outline_runs_counter_clockwise_from_its_first_corner(
    obstacles: Any, points: list[list[float]]
) -> None:
    moved = [[x + 5, y - 3] for x, y in points]
    (found,) = obstacles({"name": "hatch", "prism": {"points": moved, "z": -20, "height": 40}})
    assert (found.x_mm, found.y_mm, found.z_mm, found.height_mm) == (5, -3, -20, 40)
    assert sorted(found.corners) == [(0, 0), (9, 0), (9, 7)]
    a, b, c = found.corners
    assert (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])


@pytest.mark.parametrize(
    "points, where",
    [
        # A bow, a spike that turns back on itself, a corner that lies on another side.
        ([[0, 0], [4, 4], [4, 0], [0, 4]], "points[2]"),
        ([[0, 0], [4, 0], [2, 0], [2, 3]], "points"),
        ([[0, 0], [6, 0], [6, 4], [3, 0], [0, 4]], "points"),
        ([[0, 0], [1, 0]], "points"),
        ([[0, 0], [1, 0], [2, 0]], "points"),
    ],
)
def test_an_outline_that_is_none_is_refused(
    obstacles: Any, points: list[list[float]], where: str
) -> None:
    with pytest.raises(InputError) as refused:
        obstacles({"name": "hatch", "prism": {"points": points, "height": 40}})
    (problem,) = refused.value.problems
    assert problem.field.startswith(f"obstacles[0].prism.{where}")


# Stars about the origin: simple by their making, since turns grow and every radius is positive.
star = st.lists(st.floats(1, 100), min_size=5, max_size=12)


@given(star)
def test_every_star_is_an_outline(obstacles: Any, radii: list[float]) -> None:
    count = len(radii)
    turns = [2 * math.pi * k / count for k in range(count)]
    points = [
        [1000 + r * math.cos(t), 1000 + r * math.sin(t)] for r, t in zip(radii, turns, strict=True)
    ]
    (found,) = obstacles({"name": "shrub", "prism": {"points": points, "height": 40}})
    assert len(found.corners) == count
