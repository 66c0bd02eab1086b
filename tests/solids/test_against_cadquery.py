"""The solids against the same parts modelled with cadquery by cutting, and against trimesh."""

from __future__ import annotations

import math
from types import ModuleType

import pytest

from generator.geometry import EndPlane
from generator.parts.shapes import (
    Circle,
    Face,
    Hole,
    Prism,
    Rectangle,
    Section,
    Shape,
    Step,
    Turned,
    hexagon,
    tube,
)
from generator.products.holes import clean
from generator.solids.model import solid_of

WALL = 4.7625
POST = tube(63.5, 63.5, WALL, 3.0)


def post(*holes: Hole, slope: float = 0.0) -> Prism:
    return Prism(POST, EndPlane(0.0), EndPlane(300.0, slope), holes)


def cut_out(cq: ModuleType, prism: Prism):
    """The prism by cutting alone: drawn beyond both ends, sawn off, drilled hole by hole."""
    made = bar(cq, prism.section.outer)
    if prism.section.inner:
        made = made.cut(bar(cq, prism.section.inner))
    for plane, side in ((prism.start, -1.0), (prism.end, 1.0)):
        off = (-plane.slope_x * side, -plane.slope_y * side, side)
        saw = cq.Plane((0.0, 0.0, plane.z_mm), (1.0, 0.0, plane.slope_x), off)
        made = made.cut(cq.Workplane(saw).rect(3000.0, 3000.0).extrude(1000.0))
    for hole in prism.holes:
        made = made.cut(drill(cq, prism, hole))
    return made.val()


def bar(cq: ModuleType, outline):
    flat = cq.Workplane("XY", origin=(0.0, 0.0, -300.0))
    if isinstance(outline, Circle):
        return flat.circle(outline.diameter_mm / 2).extrude(1000.0)
    if isinstance(outline, Rectangle):
        made = flat.rect(outline.width_mm, outline.depth_mm).extrude(1000.0)
        return made.edges("|Z").fillet(outline.corner_mm) if outline.corner_mm else made
    return flat.polyline(list(outline.corners)).close().extrude(1000.0)


def drill(cq: ModuleType, prism: Prism, hole: Hole):
    """The hole's own solid, from 50 mm before the face to its depth."""
    if hole.face == "z":
        face = cq.Plane((hole.across_mm, hole.along_mm, -300.0), (1.0, 0.0, 0.0))
        depth = 1000.0
    else:
        outer = prism.section.outer
        half = max(corner[0 if hole.face[0] == "x" else 1] for corner in outer.corners)
        sign = 1.0 if hole.face[1] == "+" else -1.0
        depth = 50.0 + hole.depth_mm
        if any(hole.lean):
            return drill_aslant(cq, hole, sign, half)
        if hole.face[0] == "x":
            at = (sign * (half + 50.0), hole.across_mm, hole.along_mm)
            face = cq.Plane(at, (0.0, 1.0, 0.0), (-sign, 0.0, 0.0))
        else:
            at = (hole.across_mm, sign * (half + 50.0), hole.along_mm)
            face = cq.Plane(at, (1.0, 0.0, 0.0), (0.0, -sign, 0.0))
    flat = cq.Workplane(face)
    if hole.width_mm == hole.height_mm:
        return flat.circle(hole.width_mm / 2).extrude(depth)
    short, long = sorted((hole.width_mm, hole.height_mm))
    return flat.slot2D(long, short, 0.0 if hole.width_mm > hole.height_mm else 90.0).extrude(depth)


def drill_aslant(cq: ModuleType, hole: Hole, sign: float, half: float):
    """A round bar along the hole's axis through the whole post; its diameter from the ellipse."""
    across, along = hole.lean
    by_x = hole.face[0] == "x"

    def point(deep: float) -> tuple[float, float, float]:
        a, z = hole.across_mm + across * deep, hole.along_mm + along * deep
        level = sign * (half - deep)
        return (level, a, z) if by_x else (a, level, z)

    first, last = point(-50.0), point(hole.depth_mm + 50.0)
    axis = tuple(b - a for a, b in zip(first, last, strict=True))
    bore = hole.height_mm / math.hypot(1.0, along)
    return (
        cq.Workplane(cq.Plane(first, normal=axis)).circle(bore / 2).extrude(math.dist(first, last))
    )


def both_walls(height: float, along: float, across: float = 0.0) -> tuple[Hole, ...]:
    faces: tuple[Face, ...] = ("x-", "x+")
    return tuple(Hole(face, along, across, 4.0, height, WALL) for face in faces)


def aslant(face: Face, along: float, depth: float, bore: float, lean: tuple[float, float]) -> Hole:
    width, height = (bore * math.hypot(1.0, drift) for drift in lean)
    return Hole(face, along, 0.0, width, height, depth, lean)


CLEAN: dict[str, Prism] = {
    "slots through both walls, raked top": post(
        *both_walls(9.0, 60.0), *both_walls(9.0, 130.0, 8.0), slope=0.62
    ),
    "a hole in each face": post(
        Hole("x-", 50.0, 7.0, 4.0, 9.0, WALL),
        Hole("x+", 60.0, -7.0, 9.0, 4.0, WALL),
        Hole("y-", 70.0, 5.0, 6.0, 6.0, WALL),
        Hole("y+", 80.0, -5.0, 4.0, 7.0, 2.5),
    ),
    "rail mitered both ways": Prism(
        tube(63.5, 38.1, 3.175, 4.7), EndPlane(-20.0, 1.0, 0.1), EndPlane(400.0, -0.3, 0.29)
    ),
    "bar drilled from both sides": Prism(
        Section(Rectangle(9.525, 25.4)),
        EndPlane(0.0),
        EndPlane(300.0),
        (Hole("x-", 40.0, 3.0, 4.0, 7.0, 9.525), Hole("y+", 90.0, 1.0, 3.0, 3.0, 25.4)),
    ),
    "plate": Prism(
        Section(Rectangle(127.0, 90.0, 6.35)),
        EndPlane(0.0),
        EndPlane(9.525),
        (Hole("z", 20.0, -44.0, 11.1, 16.0, 9.525), Hole("z", -20.0, 44.0, 11.1, 11.1, 9.525)),
    ),
    "timber bored aslant both ways": Prism(
        Section(Rectangle(90.0, 140.0, 3.0)),
        EndPlane(0.0),
        EndPlane(300.0),
        tuple(aslant("x+", z, 90.0, 6.0, (0.3, 0.9)) for z in (40.0, 75.0, 110.0)),
    ),
    "nut": Prism(Section(hexagon(11.1125), Circle(6.35)), EndPlane(0.0), EndPlane(5.5)),
}

# What a spec with failures brings: still a solid, as a drill would leave it.
CUT: dict[str, Prism] = {
    "slots that run into one another": post(
        *(Hole("x-", 60.0 + 6.0 * k, 0.0, 4.0, 9.0, WALL) for k in range(5))
    ),
    "a hole in a rounded corner": post(Hole("x+", 100.0, 29.0, 8.0, 4.0, WALL)),
    "a hole half into the next wall": post(Hole("x+", 100.0, 26.0, 4.0, 4.0, WALL)),
    "a hole deeper than its wall": post(Hole("x+", 100.0, 0.0, 4.0, 4.0, 10.0)),
    "a hole across the raked top": post(Hole("x-", 281.0, 0.0, 4.0, 9.0, WALL), slope=0.62),
    "a hole above the top": post(Hole("x-", 400.0, 0.0, 4.0, 4.0, WALL)),
    "holes that cross in a solid bar": Prism(
        Section(Rectangle(20.0, 20.0)),
        EndPlane(0.0),
        EndPlane(200.0),
        (Hole("x+", 100.0, 0.0, 8.0, 14.0, 20.0), Hole("y-", 103.0, 0.0, 8.0, 14.0, 20.0)),
    ),
    "holes aslant that cross in a timber post": Prism(
        Section(Rectangle(90.0, 140.0)),
        EndPlane(0.0),
        EndPlane(300.0),
        (
            aslant("x+", 60.0, 90.0, 6.0, (0.1, 0.9)),
            aslant("y-", 170.0, 140.0, 7.0, (0.0, -1.0)),
        ),
    ),
    "a drilled hexagon": Prism(
        Section(hexagon(30.0)),
        EndPlane(0.0),
        EndPlane(60.0),
        (Hole("z", 0.0, 0.0, 8.0, 8.0, 60.0), Hole("y+", 30.0, 2.0, 3.0, 3.0, 30.0)),
    ),
    "a hole along a plate with a slanted end": Prism(
        Section(Rectangle(100.0, 50.0)),
        EndPlane(0.0, 0.1),
        EndPlane(30.0),
        (Hole("z", 5.0, 10.0, 8.0, 8.0, 30.0),),
    ),
}


@pytest.mark.parametrize("name", [*CLEAN, *CUT])
def test_same_body_as_cut_with_cadquery(name: str, cq: ModuleType, reading: ModuleType) -> None:
    prism = {**CLEAN, **CUT}[name]
    solid = solid_of(prism)
    mine, other = cq.Shape.cast(solid), cut_out(cq, prism)
    assert reading.is_one_closed_solid(solid)
    assert reading.is_valid(solid)
    # Equal volume and nothing of the one outside the other: the same body.
    assert mine.Volume() == pytest.approx(other.Volume(), rel=1e-7)
    assert mine.cut(other).Volume() == pytest.approx(0.0, abs=1e-6 * other.Volume())
    assert mine.Center().toTuple() == pytest.approx(other.Center().toTuple(), abs=1e-4)


@pytest.mark.parametrize("name", CLEAN)
def test_ordinary_parts_are_built_from_their_faces(name: str) -> None:
    assert clean(CLEAN[name])


@pytest.mark.parametrize("name", CUT)
def test_parts_whose_holes_meet_something_are_cut(name: str) -> None:
    assert not clean(CUT[name])


def test_a_hole_wider_than_its_bar_leaves_two_pieces(reading: ModuleType) -> None:
    bar_mm2 = 400.0
    section = Section(Rectangle(20.0, 20.0))
    severed = Prism(
        section, EndPlane(0.0), EndPlane(300.0), (Hole("x+", 100.0, 0.0, 30.0, 30.0, 20.0),)
    )
    volume, _ = reading.volume_and_centre(solid_of(severed))
    # Worked by hand: the circle of 30 mm between two parallels 20 mm apart.
    within = 2 * (10.0 * math.sqrt(125.0) + 225.0 * math.asin(10.0 / 15.0))
    assert volume == pytest.approx(300.0 * bar_mm2 - 20.0 * within, rel=1e-9)


def test_turned_part_against_revolving_with_cadquery(cq: ModuleType) -> None:
    fitting = Turned((Step(0.0, 80.0, 6.35), Step(80.0, 85.0, 7.9), Step(85.0, 120.0, 7.9, 3.175)))
    profile = [(0.0, 0.0), (3.175, 0.0), (3.175, 80.0), (3.95, 80.0), (3.95, 120.0)]
    profile += [(1.5875, 120.0), (1.5875, 85.0), (0.0, 85.0)]
    other = cq.Workplane("XZ").polyline(profile).close().revolve(360.0, (0, 0), (0, 1)).val()
    mine = cq.Shape.cast(solid_of(fitting))
    assert mine.Volume() == pytest.approx(other.Volume(), rel=1e-9)
    assert mine.Center().toTuple() == pytest.approx(other.Center().toTuple(), abs=1e-6)


@pytest.mark.parametrize(
    "shape", [CLEAN["a hole in each face"], CLEAN["rail mitered both ways"], CLEAN["nut"]]
)
def test_trimesh_finds_a_closed_skin_of_nearly_that_volume(shape: Shape, cq: ModuleType) -> None:
    import trimesh

    points, triangles = cq.Shape.cast(solid_of(shape)).tessellate(0.01, 0.1)
    mesh = trimesh.Trimesh([point.toTuple() for point in points], triangles)
    assert mesh.is_watertight
    # Chords of the round corners: the mesh is a little smaller or larger, not exact.
    assert mesh.volume == pytest.approx(shape.volume_mm3, rel=2e-3)
