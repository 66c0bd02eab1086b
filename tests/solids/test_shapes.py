"""Each shape of the parts table as one closed solid, its volume and centre in closed form."""

from __future__ import annotations

import math
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.geometry import EndPlane
from generator.parts.shapes import (
    Circle,
    Face,
    Hole,
    Polygon,
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
from generator.solids.model import solid_of

TIMBER = Section(Rectangle(139.7, 139.7))
POST = tube(63.5, 63.5, 4.7625, 3.0)
RAIL = tube(63.5, 38.1, 3.175, 4.7)


def drilled(width: float, height: float) -> Prism:
    """A post with 22 rows through both walls, its top cut to a pitch."""
    walls: tuple[tuple[Face, float], ...] = (("x-", 0.0), ("x+", 20.0))
    holes = tuple(
        Hole(face, 60.0 + 36.0 * row + drop, 0.0, width, height, 4.7625)
        for row in range(22)
        for face, drop in walls
    )
    return Prism(POST, EndPlane(0.0), EndPlane(914.4, 0.62, 0.0), holes)


def bored(face: Face, across: float, along: float, rows: int = 11) -> Prism:
    """A timber post bored along cables that drift so far a unit of its depth."""
    bore, deep = 4.0, 139.7
    holes = tuple(
        Hole(
            face,
            300.0 + 76.2 * row - along * deep / 2,
            -across * deep / 2,
            bore * math.hypot(1.0, across),
            bore * math.hypot(1.0, along),
            deep,
            (across, along),
        )
        for row in range(rows)
    )
    return Prism(TIMBER, EndPlane(0.0), EndPlane(1400.0), holes)


SHAPES: dict[str, Shape] = {
    "timber bored at the pitch": bored("x-", 0.0, -0.62),
    "timber bored aslant both ways": bored("y+", 0.35, 0.62),
    "timber bored level and askew": bored("x+", -0.4, 0.0),
    "timber bored blind": Prism(
        TIMBER,
        EndPlane(0.0),
        EndPlane(400.0),
        (
            Hole(
                "y-",
                150.0,
                10.0,
                20.0 * math.hypot(1, 0.2),
                20.0 * math.hypot(1, 0.5),
                90.0,
                (0.2, 0.5),
            ),
        ),
    ),
    "tube on a sloped deck": Prism(POST, EndPlane(0.0, -0.08, 0.02), EndPlane(850.0, 0.62, -0.1)),
    "rail mitered at 80 deg": Prism(
        RAIL, EndPlane(0.0, math.tan(math.radians(80.0))), EndPlane(2400.0, -5.6, 0.4)
    ),
    "handrail mitered at 80 deg": Prism(
        Section(Circle(38.1), Circle(31.8)), EndPlane(0.0, 4.0, -4.0), EndPlane(900.0, -5.6, 0.4)
    ),
    "deck of a ramp": Prism(
        Section(Polygon(((0.0, 0.0), (3600.0, 0.0), (3000.0, 600.0), (0.0, 600.0)))),
        EndPlane(0.0, -1 / 12, 0.02),
        EndPlane(25.4, -1 / 12, 0.02),
    ),
    "threshold cut to a turned edge": Prism(
        Section(Polygon(((0.0, 0.0), (900.0, 0.0), (1100.0, 300.0), (-100.0, 400.0)))),
        EndPlane(-90.0, 0.03, -0.05),
        EndPlane(0.0, -0.02, 0.04),
    ),
    "post with round holes": drilled(3.4, 3.4),
    "post with upright slots": drilled(3.4, 5.5),
    "post with sharp corners": Prism(
        tube(63.5, 63.5, 4.7625),
        EndPlane(0.0),
        EndPlane(914.4),
        (Hole("y+", 100.0, 0.0, 9.0, 4.0, 4.7625), Hole("y-", 100.0, 5.0, 4.0, 4.0, 4.7625)),
    ),
    "post with level slots and a blind hole": Prism(
        POST,
        EndPlane(0.0),
        EndPlane(500.0),
        (
            Hole("x+", 100.0, -4.0, 9.0, 4.0, 4.7625),
            Hole("y+", 100.0, 4.0, 4.0, 9.0, 4.7625),
            Hole("y-", 100.0, 0.0, 5.0, 5.0, 2.0),
        ),
    ),
    "spacer drilled through": Prism(
        Section(Rectangle(9.525, 25.4)),
        EndPlane(0.0),
        EndPlane(812.8),
        tuple(Hole("x-", 25.4 + 76.2 * k, 0.0, 4.0, 5.0, 9.525) for k in range(11)),
    ),
    "rail mitered both ways": Prism(RAIL, EndPlane(-20.0, 1.0, 0.1), EndPlane(900.0, -0.3, 0.29)),
    "rail with sharp corners mitered": Prism(
        tube(63.5, 38.1, 3.175), EndPlane(-20.0, -1.0, 0.0), EndPlane(900.0, 1.0, 0.0)
    ),
    "short rail mitered": Prism(RAIL, EndPlane(0.0, 1.0, 0.0), EndPlane(70.0, -1.0, 0.0)),
    "base plate": Prism(
        Section(Rectangle(127.0, 127.0, 6.35)),
        EndPlane(0.0),
        EndPlane(9.525),
        tuple(Hole("z", y, x, 11.1, 14.0, 9.525) for x in (-44.0, 44.0) for y in (-44.0, 44.0)),
    ),
    "hexagon nut": Prism(Section(hexagon(11.1125), Circle(6.35)), EndPlane(0.0), EndPlane(5.5)),
    "bevelled seat": Prism(
        Section(Circle(15.875), Circle(7.1)), EndPlane(0.0, 0.62, 0.1), EndPlane(6.0)
    ),
    "bevelled seat, thin at one edge": Prism(
        Section(Circle(16.0), Circle(7.1)), EndPlane(0.0, 0.4, 0.4), EndPlane(5.0)
    ),
    "round tube": Prism(Section(Circle(42.0), Circle(36.0)), EndPlane(0.0), EndPlane(600.0)),
    "bar with round edges": Prism(
        Section(Rectangle(50.0, 20.0, 10.0)), EndPlane(0.0), EndPlane(6.0, 0.1, 0.05)
    ),
    "deck": Prism(
        Section(
            Polygon(
                (
                    (0.0, 0.0),
                    (5000.0, 0.0),
                    (5000.0, 2000.0),
                    (3000.0, 2000.0),
                    (3000.0, 4000.0),
                    (0.0, 4000.0),
                )
            )
        ),
        EndPlane(-25.4),
        EndPlane(0.0),
    ),
    "bolt": Turned((Step(-150.0, 0.0, 9.525), Step(0.0, 6.0, 16.0))),
    "washer": Turned((Step(0.0, 1.6, 15.875, 7.1),)),
    "fitting": Turned(
        (Step(0.0, 80.0, 6.35), Step(80.0, 85.0, 7.9), Step(85.0, 120.0, 7.9, 3.175))
    ),
    "turned with stepped bores": Turned(
        (
            Step(0.0, 10.0, 20.0, 5.0),
            Step(10.0, 20.0, 30.0, 5.0),
            Step(20.0, 30.0, 30.0, 8.0),
            Step(30.0, 40.0, 15.0, 3.0),
            Step(40.0, 41.0, 15.0),
        )
    ),
    "turned with rounding noise": Turned(
        (Step(0.0, 10.0, 8.0, 3.0), Step(10.0 + 2e-15, 20.0, 8.0 + 1e-15, 3.0 - 1e-15))
    ),
    "cable": Route(3.175, ((0.0, 0.0, 0.0), (0.0, 0.0, 6915.15))),
    "cable askew": Route(3.175, ((0.0, 0.0, 0.0), (1200.0, -700.0, 300.0))),
}


@pytest.mark.parametrize("name", SHAPES)
def test_one_closed_solid_of_the_volume_and_centre_in_closed_form(
    name: str, reading: ModuleType
) -> None:
    shape = SHAPES[name]
    solid = solid_of(shape)
    assert reading.is_one_closed_solid(solid)
    assert reading.is_valid(solid)
    volume, centre = reading.volume_and_centre(solid)
    assert volume == pytest.approx(shape.volume_mm3, rel=1e-9)
    assert centre == pytest.approx(reading.centroid(shape), abs=1e-6)


def test_volume_of_a_drilled_tube_worked_by_hand(reading: ModuleType) -> None:
    # Worked by hand: (63.5^2 - 53.975^2) x 900 less two round holes of 4 mm through 4.7625 mm.
    tube_mm3 = 1118.949375 * 900.0
    holes_mm3 = 2 * math.pi * 4.0 * 4.7625
    holes = (Hole("x-", 100.0, 0.0, 4.0, 4.0, 4.7625), Hole("x+", 100.0, 0.0, 4.0, 4.0, 4.7625))
    post = Prism(tube(63.5, 63.5, 4.7625), EndPlane(0.0), EndPlane(900.0), holes)
    volume, _ = reading.volume_and_centre(solid_of(post))
    assert volume == pytest.approx(tube_mm3 - holes_mm3, rel=1e-12)


def test_a_miter_takes_what_it_gives(reading: ModuleType) -> None:
    # A cut through the middle of a symmetrical section keeps the volume of the centre line.
    square = Prism(RAIL, EndPlane(0.0), EndPlane(500.0))
    mitered = Prism(RAIL, EndPlane(0.0, 1.0, 0.0), EndPlane(500.0, 0.0, -0.7))
    volumes = [reading.volume_and_centre(solid_of(shape))[0] for shape in (square, mitered)]
    assert volumes[0] == pytest.approx(volumes[1], rel=1e-12)


def test_bent_cable_is_mitered_at_its_bends(reading: ModuleType) -> None:
    points = (
        (0.0, 0.0, 0.0),
        (3000.0, 0.0, 0.0),
        (3000.0, 2000.0, -50.0),
        (3000.0, 2000.0, 1000.0),
        (6000.0, 7000.0, 1000.0),
        (6600.0, 8000.0, 1000.0),
    )
    route = Route(3.175, points)
    solid = solid_of(route)
    assert reading.is_one_closed_solid(solid)
    assert reading.is_valid(solid)
    # A miter through the axis takes as much as it gives: the section times the axis.
    volume, centre = reading.volume_and_centre(solid)
    assert volume == pytest.approx(route.volume_mm3, rel=1e-9)
    assert centre == pytest.approx(reading.centroid(route), abs=1e-6)


slope = st.floats(-1.0, 1.0).map(lambda value: round(value, 3))


@settings(max_examples=40, deadline=None)
@given(
    width=st.floats(20.0, 120.0),
    depth=st.floats(20.0, 120.0),
    wall=st.floats(1.5, 6.0),
    corner=st.floats(0.0, 8.0),
    start=st.tuples(slope, slope),
    end=st.tuples(slope, slope),
)
def test_any_mitered_tube_keeps_its_closed_form(
    width: float,
    depth: float,
    wall: float,
    corner: float,
    start: tuple[float, float],
    end: tuple[float, float],
    reading: ModuleType,
) -> None:
    corner = 0.0 if corner < 0.5 else corner
    shape = Prism(tube(width, depth, wall, corner), EndPlane(-40.0, *start), EndPlane(400.0, *end))
    solid = solid_of(shape)
    assert reading.is_valid(solid)
    volume, centre = reading.volume_and_centre(solid)
    assert volume == pytest.approx(shape.volume_mm3, rel=1e-9)
    assert centre == pytest.approx(reading.centroid(shape), abs=1e-6)


@pytest.mark.parametrize(
    "shape, fault",
    [
        (Prism(RAIL, EndPlane(0.0, 1.0, 0.0), EndPlane(10.0, -1.0, 0.0)), "end cuts cross"),
        (Prism(RAIL, EndPlane(0.0), EndPlane(20.0, 0.7, 0.0)), "end cuts cross"),
        (
            Prism(Section(Circle(16.0)), EndPlane(0.0, 0.4, 0.4), EndPlane(4.5)),
            "end cuts cross",
        ),
        (Prism(Section(hexagon(20.0)), EndPlane(0.0, 0.6), EndPlane(5.0)), "end cuts cross"),
        (Turned((Step(0.0, 10.0, 5.0), Step(11.0, 20.0, 5.0))), "does not stand on"),
        (Turned((Step(0.0, 10.0, 5.0), Step(10.0, 20.0, 15.0, 5.0))), "does not stand on"),
        (Turned((Step(0.0, 10.0, 5.0, 5.0),)), "no material"),
        (Route(3.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 9.0), (0.0, 0.0, 5.0))), "straight back"),
        (
            Route(8.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 9.0), (0.0, 5.0, 9.0), (0.0, 5.0, 0.0))),
            "nearer than they can be mitered",
        ),
    ],
)
def test_what_bounds_no_solid_is_refused(shape: Shape, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        solid_of(shape)
