"""What tests of the checks share: the true distance of two parts, by the CAD kernel."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

from collections.abc import Callable

import pytest

from generator.parts.assembly import Part
from generator.parts.shapes import Prism, Section


@pytest.fixture(scope="session")
def cad_distance() -> Callable[[Part, Part], float]:
    """Open CASCADE's distance of two parts as solids, tubes filled and without their holes."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.gp import gp_Trsf
    from OCP.TopoDS import TopoDS_Shape

    from generator.solids.model import solid_of

    def solid(part: Part) -> TopoDS_Shape:
        place, move, shape = part.place, gp_Trsf(), part.shape
        rows = zip(place.x, place.y, place.z, place.origin, strict=True)
        move.SetValues(*(value for row in rows for value in row))
        if isinstance(shape, Prism):
            shape = Prism(Section(shape.section.outer), shape.start, shape.end)
        return BRepBuilderAPI_Transform(solid_of(shape), move, True).Shape()

    def distance(first: Part, second: Part) -> float:
        extrema = BRepExtrema_DistShapeShape(solid(first), solid(second))
        assert extrema.IsDone()
        return extrema.Value()

    return distance
