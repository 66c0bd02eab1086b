"""Meshes of shapes: closed, turned outward, and as large as the closed form but for chords."""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.geometry import EndPlane
from generator.parts.shapes import (
    Circle,
    Hole,
    Prism,
    Rectangle,
    Route,
    Section,
    Shape,
    Step,
    Turned,
    hexagon,
    tube,
)
from generator.products.product import Group, Product, Solid
from generator.products.tree import product_tree
from generator.viewer.mesh import Mesh, chords, mesh_of, shown_holes

EXAMPLES = sorted(p.stem for p in (Path(__file__).parents[2] / "examples").glob("*.yaml"))
SQUARE = EndPlane(0.0)


def open_edges(mesh: Mesh) -> list[tuple[int, int]]:
    """Edges that do not have one triangle on each side; corners at one place are one."""
    numbers: dict[tuple[float, ...], int] = {}
    corner = [
        numbers.setdefault(tuple(round(c, 6) for c in point), len(numbers)) for point in mesh.points
    ]
    edges = Counter(
        (corner[t[k]], corner[t[(k + 1) % 3]]) for t in mesh.triangles for k in range(3)
    )
    return [e for e in edges if edges[e] != 1 or edges[e[1], e[0]] != 1]


def polygon_share(diameter_mm: float) -> float:
    """Area of the regular polygon that stands for a circle, as a share of the circle's."""
    n = chords(diameter_mm / 2)
    return n * math.sin(2 * math.pi / n) / (2 * math.pi)


def solids(product: Product) -> dict[int, Solid]:
    if isinstance(product, Group):
        return {k: s for i in product.members for k, s in solids(i.product).items()}
    return {id(product): product}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_distinct_part_of_the_examples_is_closed(name: str, planned) -> None:
    for solid in solids(product_tree(planned(name).assembly)).values():
        mesh = mesh_of(solid.shape)
        assert open_edges(mesh) == [], solid.name
        # A polygon of 8 chords, the fewest, has 0.9003 of its circle's area.
        assert 0.9 < mesh.volume_mm3 / solid.shape.volume_mm3 < 1.03, solid.name


@pytest.mark.parametrize(
    "shape, volume",
    [
        (Prism(Section(Rectangle(40.0, 20.0)), SQUARE, EndPlane(100.0)), 80_000.0),
        # Centre length times section: a plane cut turns about the axis (Cavalieri).
        (
            Prism(tube(50.0, 30.0, 3.0), EndPlane(0.0, 0.4, 0.1), EndPlane(200.0, -1.0, 0.2)),
            (50 * 30 - 44 * 24) * 200.0,
        ),
        (Prism(Section(hexagon(10.0)), SQUARE, EndPlane(5.0)), 50 * math.sqrt(3) * 5.0),
    ],
)
def test_straight_sided_prisms_have_their_exact_volume(shape: Shape, volume: float) -> None:
    mesh = mesh_of(shape)
    assert open_edges(mesh) == []
    assert mesh.volume_mm3 == pytest.approx(volume, rel=1e-12)


def test_round_parts_lose_what_the_chords_cut_off() -> None:
    bar = mesh_of(Turned((Step(0.0, 10.0, 20.0), Step(10.0, 30.0, 8.0, 4.0))))
    area_20, area_8, area_4 = (math.pi * d * d / 4 * polygon_share(d) for d in (20.0, 8.0, 4.0))
    assert open_edges(bar) == []
    assert bar.volume_mm3 == pytest.approx(10 * area_20 + 20 * (area_8 - area_4), rel=1e-12)


def test_a_bent_cable_is_one_closed_tube_of_its_length() -> None:
    route = Route(
        6.0, ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (200.0, 60.0, 30.0), (250.0, 60.0, 0.0))
    )
    mesh = mesh_of(route)
    assert open_edges(mesh) == []
    assert mesh.volume_mm3 == pytest.approx(route.volume_mm3 * polygon_share(6.0), rel=1e-9)


def test_holes_go_through_their_walls_and_no_further() -> None:
    """A drilled tube: both walls, round and slotted, and a blind hole in a solid bar."""
    holes = (
        Hole("x-", 30.0, 0.0, 8.0, 8.0, 4.0),
        Hole("x+", 30.0, 0.0, 8.0, 8.0, 4.0),
        Hole("y-", 60.0, 2.0, 6.0, 14.0, 4.0),
    )
    post = Prism(tube(60.0, 60.0, 4.0, 5.0), SQUARE, EndPlane(100.0), holes)
    bare = Prism(tube(60.0, 60.0, 4.0, 5.0), SQUARE, EndPlane(100.0))
    mesh = mesh_of(post)
    assert open_edges(mesh) == []
    slot = polygon_share(6.0) * math.pi * 9.0 + 6.0 * 8.0
    taken = 4.0 * (2 * polygon_share(8.0) * math.pi * 16.0 + slot)
    assert mesh_of(bare).volume_mm3 - mesh.volume_mm3 == pytest.approx(taken, rel=1e-9)


@given(
    pitch=st.floats(-40.0, 40.0),
    across=st.floats(-15.0, 15.0),
    height=st.floats(20.0, 400.0),
    wide=st.floats(3.0, 20.0),
    face=st.sampled_from(["x-", "x+", "y-", "y+"]),
)
def test_any_drilled_bar_is_closed(pitch, across, height, wide, face) -> None:
    hole = Hole(face, height, across, wide, wide * 1.5, 60.0)
    slope = math.tan(math.radians(pitch))
    section = Section(Rectangle(60.0, 60.0, 3.0))
    bare = Prism(section, EndPlane(-80.0, slope), EndPlane(500.0))
    bar = Prism(section, bare.start, bare.end, (hole,))
    mesh = mesh_of(bar)
    assert open_edges(mesh) == []
    area = polygon_share(wide) * math.pi * wide**2 / 4 + wide * wide * 0.5
    taken = 60.0 * area if shown_holes(bar).holes else 0.0
    assert mesh_of(bare).volume_mm3 - mesh.volume_mm3 == pytest.approx(taken, abs=1e-3)


def test_a_hole_that_meets_another_is_left_out_and_the_rest_is_shown() -> None:
    holes = (
        Hole("x-", 50.0, 0.0, 8.0, 8.0, 60.0),
        Hole("y-", 50.0, 0.0, 8.0, 8.0, 60.0),  # crosses the first in the middle
        Hole("y-", 80.0, 0.0, 8.0, 8.0, 60.0),
    )
    bar = Prism(Section(Rectangle(60.0, 60.0)), SQUARE, EndPlane(100.0), holes)
    assert shown_holes(bar).holes == (holes[0], holes[2])
    assert open_edges(mesh_of(bar)) == []


@pytest.mark.parametrize("radius_mm", [0.5, 1.6, 4.0, 12.0, 30.0, 100.0, 1000.0])
def test_chords_lie_near_their_arc(radius_mm: float) -> None:
    n = chords(radius_mm)
    sag = radius_mm * (1 - math.cos(math.pi / n))
    assert n % 4 == 0
    assert sag <= 0.15 + 1e-9 or n == 32


def test_normals_of_a_round_part_are_those_of_the_circle() -> None:
    mesh = mesh_of(Prism(Section(Circle(40.0)), SQUARE, EndPlane(10.0)))
    for point, normal in zip(mesh.points, mesh.normals, strict=True):
        if abs(normal[2]) < 0.5:
            assert normal[0] == pytest.approx(point[0] / 20.0)
            assert normal[1] == pytest.approx(point[1] / 20.0)
