"""The made-up guard modelled the plain way: every part by itself, though many are equal.

What a good script on the CAD kernel's Python library does: each tube is drawn, hollowed, sawn off
and drilled, all holes of a part in one cut, which is far quicker than a cut for every hole; all
solids go into one assembly, each with its colour and place, and that into a STEP file.

    python tests/bench/part_by_part.py POSTS FILE
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import cadquery as cq
from synthetic import assembly

from generator.geometry import EndPlane
from generator.parts.assembly import Part
from generator.parts.shapes import Circle, Hole, Outline, Prism, Rectangle, Route, Turned
from generator.products.colours import COLOURS

_BEYOND_MM = 100.0


def modelled(part: Part) -> Any:
    """The solid of a part in its own coordinates."""
    shape = part.shape
    if isinstance(shape, Route):
        (start, end) = shape.points
        return cq.Workplane("XY").circle(shape.diameter_mm / 2).extrude(end[2] - start[2]).val()
    if isinstance(shape, Turned):
        return _turned(shape)
    assert isinstance(shape, Prism)
    return _drawn(shape)


def _turned(shape: Turned) -> Any:
    made = None
    for step in shape.steps:
        flat = cq.Workplane("XY", origin=(0.0, 0.0, step.start_mm)).circle(step.outer_mm / 2)
        if step.inner_mm:
            flat = flat.circle(step.inner_mm / 2)
        one = flat.extrude(step.end_mm - step.start_mm)
        made = one if made is None else made.union(one)
    assert made is not None
    return made.val()


def _drawn(prism: Prism) -> Any:
    corners = prism.section.outer.corners
    low = min(prism.start.at(x, y) for x, y in corners)
    high = max(prism.end.at(x, y) for x, y in corners)
    made = _bar(prism.section.outer, low, high)
    if prism.section.inner:
        made = made.cut(_bar(prism.section.inner, low, high))
    for plane, side in ((prism.start, -1.0), (prism.end, 1.0)):
        if plane.slope_x or plane.slope_y:
            made = made.cut(_saw(plane, side))
    solid: Any = made.val()
    drills = [_drill(prism, hole, low, high).val() for hole in prism.holes]
    return solid.cut(*drills) if drills else solid


def _bar(outline: Outline, low: float, high: float) -> Any:
    flat = cq.Workplane("XY", origin=(0.0, 0.0, low))
    if isinstance(outline, Circle):
        return flat.circle(outline.diameter_mm / 2).extrude(high - low)
    if isinstance(outline, Rectangle):
        made = flat.rect(outline.width_mm, outline.depth_mm).extrude(high - low)
        return made.edges("|Z").fillet(outline.corner_mm) if outline.corner_mm else made
    return flat.polyline(list(outline.corners)).close().extrude(high - low)


def _saw(plane: EndPlane, side: float) -> Any:
    normal = (-plane.slope_x * side, -plane.slope_y * side, side)
    at = cq.Plane((0.0, 0.0, plane.z_mm), (1.0, 0.0, plane.slope_x), normal)
    return cq.Workplane(at).rect(1000.0, 1000.0).extrude(1000.0)


def _drill(prism: Prism, hole: Hole, low: float, high: float) -> Any:
    if hole.face == "z":
        plane = cq.Plane((hole.across_mm, hole.along_mm, low - 1.0), (1.0, 0.0, 0.0))
        depth = high - low + 2.0
    else:
        sign = 1.0 if hole.face[1] == "+" else -1.0
        half = max(
            corner[0 if hole.face[0] == "x" else 1] for corner in prism.section.outer.corners
        )
        out = sign * (half + 1.0)
        if hole.face[0] == "x":
            plane = cq.Plane((out, hole.across_mm, hole.along_mm), (0.0, 1.0, 0.0), (-sign, 0, 0))
        else:
            plane = cq.Plane((hole.across_mm, out, hole.along_mm), (1.0, 0.0, 0.0), (0, -sign, 0))
        depth = hole.depth_mm + 1.0
    flat = cq.Workplane(plane)
    if hole.width_mm == hole.height_mm:
        return flat.circle(hole.width_mm / 2).extrude(depth)
    short, long = sorted((hole.width_mm, hole.height_mm))
    turn = 0.0 if hole.width_mm > hole.height_mm else 90.0
    return flat.slot2D(long, short, turn).extrude(depth)


def main(posts: int, path: Path) -> None:
    """Model every part and write the assembly."""
    whole = cq.Assembly(name="guard")
    for part in assembly(posts).parts:
        place = part.place
        at = cq.Location(cq.Plane(place.origin, place.x, place.z))
        colour = cq.Color(*COLOURS[part.kind])
        whole.add(modelled(part), name=part.mark, loc=at, color=colour)
    whole.export(str(path))


if __name__ == "__main__":
    main(int(sys.argv[1]), Path(sys.argv[2]))
