"""Faces and solids built directly in the kernel: loops drawn from plane to plane.

Neighbouring faces share their edges from the start, so nothing has to be sewn or cut. Everything
is given in the coordinates of a frame, mm.
"""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from OCP.Geom import Geom_Plane, Geom_Surface
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape, TopoDS_Shell, TopoDS_Solid, TopoDS_Wire

from generator.frozen import dataclass
from generator.geometry import EndPlane, Frame, Vec3
from generator.products.loops import Flat, Loop
from generator.solids.edges import (
    BUILD,
    HERE,
    TOLERANCE_MM,
    Corner,
    Edge,
    corner,
    cut_round,
    cylinder_of,
    lay_cut,
    lay_rulings,
    straight,
)


@dataclass(frozen=True, slots=True)
class Ring:
    """A loop lying on a plane across it: one corner and one edge for each side, in its order."""

    corners: tuple[Corner, ...]
    edges: tuple[Edge, ...]

    @property
    def wire(self) -> TopoDS_Wire:
        """A new wire along the loop, counter-clockwise about the frame's z."""
        return _wire([one.edge for one in self.edges])


def ring(frame: Frame, loop: Loop, plane: EndPlane) -> Ring:
    """The edges in which a plane cuts the loop drawn along the frame's z."""
    starts = [side.start for side in loop]
    corners = tuple(corner(frame.point((x, y, plane.at(x, y)))) for x, y in starts)
    edges = tuple(
        straight(*ends) if isinstance(side, Flat) else cut_round(frame, side, plane, ends)
        for side, ends in zip(
            loop, zip(corners, corners[1:] + corners[:1], strict=True), strict=True
        )
    )
    return Ring(corners, edges)


def skin(
    frame: Frame,
    loop: Loop,
    lower: Ring,
    upper: Ring,
    openings: Mapping[int, Sequence[TopoDS_Wire]] | None = None,
) -> list[TopoDS_Shape]:
    """The faces of a loop drawn from one ring to another, facing out of the loop.

    `openings` are wires cut out of a flat side, by the side's index, clockwise seen from outside.
    """
    rulings = [straight(*ends) for ends in zip(lower.corners, upper.corners, strict=True)]
    faces: list[TopoDS_Shape] = []
    for k, side in enumerate(loop):
        before, after = rulings[k], rulings[(k + 1) % len(loop)]
        outline = _wire(
            [
                lower.edges[k].edge,
                after.edge,
                upper.edges[k].edge.Reversed(),
                before.edge.Reversed(),
            ]
        )
        if isinstance(side, Flat):
            surface = _plane_of(frame, side, before.origin)
        else:
            surface = cylinder_of(frame, side)
            for cut in (lower.edges[k], upper.edges[k]):
                lay_cut(surface, frame, cut, side)
            lay_rulings(surface, frame, before, after, side)
        faces.append(_face(surface, [outline, *(openings or {}).get(k, ())]))
    return faces


def cap(
    frame: Frame, plane: EndPlane, outer: Ring, inner: Iterable[Ring] = (), *, up: bool
) -> TopoDS_Shape:
    """The flat face inside a ring and outside others, facing along the frame's z or against it."""
    origin = frame.point((0.0, 0.0, plane.z_mm))
    normal = frame.vector((-plane.slope_x, -plane.slope_y, 1.0))
    level_x = frame.vector((1.0, 0.0, plane.slope_x))
    surface = Geom_Plane(gp_Ax3(gp_Pnt(*origin), gp_Dir(*normal), gp_Dir(*level_x)))
    face = _face(surface, [outer.wire, *(one.wire.Reversed() for one in inner)])
    return face if up else face.Reversed()


def turned_over(faces: Iterable[TopoDS_Shape]) -> list[TopoDS_Shape]:
    """The same faces, facing the other way: the wall of a hollow."""
    return [face.Reversed() for face in faces]


def solid(faces: Iterable[TopoDS_Shape]) -> TopoDS_Solid:
    """The solid bounded by faces that close and face outwards."""
    shell = TopoDS_Shell()
    BUILD.MakeShell(shell)
    for face in faces:
        BUILD.Add(shell, face)
    shell.Closed(True)
    made = TopoDS_Solid()
    BUILD.MakeSolid(made)
    BUILD.Add(made, shell)
    return made


def _plane_of(frame: Frame, side: Flat, origin: Vec3) -> Geom_Plane:
    run, rise = side.end[0] - side.start[0], side.end[1] - side.start[1]
    outward = gp_Dir(*frame.vector((rise, -run, 0.0)))
    return Geom_Plane(gp_Ax3(gp_Pnt(*origin), outward, gp_Dir(*frame.z)))


def _wire(edges: Iterable[TopoDS_Shape]) -> TopoDS_Wire:
    wire = TopoDS_Wire()
    BUILD.MakeWire(wire)
    for edge in edges:
        BUILD.Add(wire, edge)
    wire.Closed(True)
    return wire


def _face(surface: Geom_Surface, wires: Iterable[TopoDS_Shape]) -> TopoDS_Face:
    face = TopoDS_Face()
    BUILD.MakeFace(face, surface, HERE, TOLERANCE_MM)
    for wire in wires:
        BUILD.Add(face, wire)
    return face
