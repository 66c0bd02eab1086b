"""What tests of the checks share: true distances and common volumes, by the CAD kernel."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from generator.geometry import Vec3
from generator.parts.assembly import Part
from generator.parts.shapes import Prism, Section, Step, Turned


def _solid(part: Part) -> Any:
    """A part as a solid in its place, tubes filled and without their holes."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf

    from generator.solids.model import solid_of

    place, move, shape = part.place, gp_Trsf(), part.shape
    rows = zip(place.x, place.y, place.z, place.origin, strict=True)
    move.SetValues(*(value for row in rows for value in row))
    if isinstance(shape, Prism):
        shape = Prism(Section(shape.section.outer), shape.start, shape.end)
    elif isinstance(shape, Turned):
        shape = Turned(tuple(Step(s.start_mm, s.end_mm, s.outer_mm) for s in shape.steps))
    return BRepBuilderAPI_Transform(solid_of(shape), move, True).Shape()


@pytest.fixture(scope="session")
def cad_distance() -> Callable[[Part, Part], float]:
    """Open CASCADE's distance of two parts as solids."""
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    def distance(first: Part, second: Part) -> float:
        extrema = BRepExtrema_DistShapeShape(_solid(first), _solid(second))
        assert extrema.IsDone()
        return extrema.Value()

    return distance


@pytest.fixture(scope="session")
def cad_common() -> Callable[[Part, Part], float]:
    """Open CASCADE's common volume of two parts as solids, mm3."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    def common(first: Part, second: Part) -> float:
        both = BRepAlgoAPI_Common(_solid(first), _solid(second))
        assert both.IsDone()
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(both.Shape(), props)
        return props.Mass()

    return common


@pytest.fixture(scope="session")
def cad_edges() -> Callable[[Vec3, Vec3, Vec3, Vec3], float]:
    """Open CASCADE's distance of the straight edges a-b and c-d."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.gp import gp_Pnt

    def distance(a: Vec3, b: Vec3, c: Vec3, d: Vec3) -> float:
        edges = [
            BRepBuilderAPI_MakeEdge(gp_Pnt(*p), gp_Pnt(*q)).Edge() for p, q in ((a, b), (c, d))
        ]
        extrema = BRepExtrema_DistShapeShape(*edges)
        assert extrema.IsDone()
        return extrema.Value()

    return distance
