"""A part's analytic shape as a solid of the CAD kernel."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

from OCP.TopoDS import TopoDS_Shape

from generator.parts.shapes import Prism, Shape, Turned
from generator.solids.prisms import prism_solid
from generator.solids.rounds import route_solid, turned_solid


def solid_of(shape: Shape) -> TopoDS_Shape:
    """The closed solid of a shape, in the shape's own coordinates, mm.

    Raises:
        ValueError: the shape bounds no solid; the message continues the part's name.
    """
    if isinstance(shape, Prism):
        return prism_solid(shape)
    if isinstance(shape, Turned):
        return turned_solid(shape)
    return route_solid(shape)
