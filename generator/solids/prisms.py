"""Drawn sections as solids: tubes, bars and plates with cut ends and holes."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shape, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from generator.geometry import UP, EndPlane, Frame
from generator.parts.shapes import Circle, Face, Hole, Polygon, Prism
from generator.products.holes import OPPOSITE, Bore, bore, clean, plate_loop
from generator.products.loops import Flat, Loop, loop_of
from generator.solids.skins import Ring, cap, ring, skin, solid, turned_over

_OWN = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), UP)
_OVER_MM = 1.0  # how far a cutting tool stands proud of the face it cuts

Wires = dict[Face, list[TopoDS_Wire]]


def prism_solid(prism: Prism) -> TopoDS_Shape:
    """The solid of a prism in its own coordinates.

    Raises:
        ValueError: its two ends cross inside the section.
    """
    _refuse_crossing_ends(prism)
    # Told twice, of two legs whose cable passes, a hole is still one.
    prism = replace(prism, holes=tuple(dict.fromkeys(prism.holes)))
    if clean(prism):
        return _built(prism)
    bare = _built(Prism(prism.section, prism.start, prism.end))
    return _cut(bare, [_tool(prism, hole) for hole in prism.holes])


def _refuse_crossing_ends(prism: Prism) -> None:
    if _shortest_mm(prism) <= 0.0:
        raise ValueError("its two end cuts cross")


def _shortest_mm(prism: Prism) -> float:
    """The shortest line along the axis from cut to cut, anywhere on the outline."""
    outer, start, end = prism.section.outer, prism.start, prism.end
    if isinstance(outer, Polygon):
        return min(end.at(x, y) - start.at(x, y) for x, y in outer.corners)
    x, y = end.slope_x - start.slope_x, end.slope_y - start.slope_y
    if isinstance(outer, Circle):
        half_x, half_y, r = 0.0, 0.0, outer.diameter_mm / 2
    else:
        r = outer.corner_mm
        half_x, half_y = outer.width_mm / 2 - r, outer.depth_mm / 2 - r
    middle = end.z_mm - start.z_mm
    return middle - abs(x) * half_x - abs(y) * half_y - r * math.hypot(x, y)


def _built(prism: Prism) -> TopoDS_Shape:
    """Built from its faces: the outer skin, the skins of hollow and holes, two caps."""
    outside: Wires = defaultdict(list)
    inside: Wires = defaultdict(list)
    faces: list[TopoDS_Shape] = []
    for hole in prism.holes:
        if hole.face != "z":
            faces += _drilled(prism, bore(prism, hole), outside, inside)
    slanted = any((prism.start.slope_x, prism.start.slope_y, prism.end.slope_x, prism.end.slope_y))
    outer = loop_of(prism.section.outer, quartered=slanted)
    outer_rings = _rings(prism, outer)
    faces += skin(_OWN, outer, *outer_rings, _openings(outer, outside))
    hollows = [plate_loop(hole) for hole in prism.holes if hole.face == "z"]
    if prism.section.inner:
        hollows.append(loop_of(prism.section.inner, quartered=slanted))
    hollow_rings = [_rings(prism, loop) for loop in hollows]
    for loop, rings in zip(hollows, hollow_rings, strict=True):
        faces += turned_over(skin(_OWN, loop, *rings, _openings(loop, inside)))
    starts, ends = zip(*hollow_rings, strict=True) if hollow_rings else ((), ())
    faces.append(cap(_OWN, prism.start, outer_rings[0], starts, up=False))
    faces.append(cap(_OWN, prism.end, outer_rings[1], ends, up=True))
    return solid(faces)


def _rings(prism: Prism, loop: Loop) -> tuple[Ring, Ring]:
    return ring(_OWN, loop, prism.start), ring(_OWN, loop, prism.end)


def _openings(loop: Loop, wires: Wires) -> dict[int, list[TopoDS_Wire]]:
    """The wires to be cut out of a loop's sides, by side."""
    return {
        k: wires[side.face]
        for k, side in enumerate(loop)
        if isinstance(side, Flat) and side.face in wires
    }


def _drilled(prism: Prism, hole: Bore, outside: Wires, inside: Wires) -> list[TopoDS_Shape]:
    """The wall of a side hole; its mouths are added to the wires of the faces that it breaks."""
    near, far = (ring(hole.frame, hole.loop, plane) for plane in (hole.mouth, hole.floor))
    faces = turned_over(skin(hole.frame, hole.loop, near, far))
    outside[hole.face].append(near.wire)
    if hole.blind:
        faces.append(cap(hole.frame, hole.floor, far, up=False))
    elif prism.section.inner:
        inside[hole.face].append(far.wire)
    else:
        outside[OPPOSITE[hole.face]].append(far.wire.Reversed())
    return faces


def _tool(prism: Prism, hole: Hole) -> TopoDS_Shape:
    """The solid that a hole takes away, standing proud of the face that it is drilled from."""
    if hole.face == "z":
        corners = prism.section.outer.corners
        low = min(prism.start.at(x, y) for x, y in corners) - _OVER_MM
        high = max(prism.end.at(x, y) for x, y in corners) + _OVER_MM
        return _bar(_OWN, plate_loop(hole), EndPlane(low), EndPlane(high))
    drilled = bore(prism, hole)
    proud = replace(drilled.mouth, z_mm=drilled.mouth.z_mm - _OVER_MM)
    return _bar(drilled.frame, drilled.loop, proud, drilled.floor)


def _bar(frame: Frame, loop: Loop, low: EndPlane, high: EndPlane) -> TopoDS_Shape:
    lower, upper = (ring(frame, loop, plane) for plane in (low, high))
    sides = skin(frame, loop, lower, upper)
    caps = cap(frame, low, lower, up=False), cap(frame, high, upper, up=True)
    return solid([*sides, *caps])


def _cut(bare: TopoDS_Shape, tools: list[TopoDS_Shape]) -> TopoDS_Shape:
    """What is left of a solid after all cuts at once; one solid where it stays in one piece."""
    arguments, cutters = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(bare)
    for tool in tools:
        cutters.Append(tool)
    operation = BRepAlgoAPI_Cut()
    operation.SetArguments(arguments)
    operation.SetTools(cutters)
    operation.Build()
    left = operation.Shape()
    found = TopExp_Explorer(left, TopAbs_ShapeEnum.TopAbs_SOLID)
    if not found.More():
        raise ValueError("its holes leave nothing of it")
    only = found.Current()
    found.Next()
    return left if found.More() else only
