"""Reads STEP files and solids back for the tests, and works out centroids in closed form."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Quantity import Quantity_Color
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from generator.geometry import Frame, Vec3
from generator.parts.assembly import Assembly
from generator.parts.shapes import (
    Circle,
    Hole,
    Outline,
    Polygon,
    Prism,
    Rectangle,
    Route,
    Shape,
    Turned,
)


@dataclass(frozen=True)
class Leaf:
    """One solid at its place in the file: names of the instances above it, product, colour."""

    path: tuple[str, ...]
    product: str
    shape: TopoDS_Shape
    colour: tuple[float, float, float] | None


def read_step(path: Path) -> list[Leaf]:
    """Every solid that the kernel's own reader finds, placed, depth first."""
    document = TDocStd_Document(TCollection_ExtendedString("read"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise ValueError(f"{path} is not read")
    if not reader.Transfer(document):
        raise ValueError(f"{path} is not turned into shapes")
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    roots = TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    leaves: list[Leaf] = []

    def walk(label: TDF_Label, names: tuple[str, ...], place: TopLoc_Location) -> None:
        product = label
        if XCAFDoc_ShapeTool.IsReference_s(label):
            product = TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(label, product)
            place = place.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(label))
        names = (*names, name_of(label))
        if XCAFDoc_ShapeTool.IsAssembly_s(product):
            members = TDF_LabelSequence()
            XCAFDoc_ShapeTool.GetComponents_s(product, members)
            for k in range(1, members.Length() + 1):
                walk(members.Value(k), names, place)
            return
        shape = XCAFDoc_ShapeTool.GetShape_s(product).Located(place)
        colour = Quantity_Color()
        seen = any(
            colours.GetColor_s(product, kind, colour)
            for kind in (XCAFDoc_ColorType.XCAFDoc_ColorGen, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
        )
        rgb = (colour.Red(), colour.Green(), colour.Blue()) if seen else None
        leaves.append(Leaf(names, name_of(product), shape, rgb))

    for k in range(1, roots.Length() + 1):
        walk(roots.Value(k), (), TopLoc_Location())
    return leaves


def name_of(label: TDF_Label) -> str:
    name = TDataStd_Name()
    return name.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""


def volume_and_centre(shape: TopoDS_Shape) -> tuple[float, Vec3]:
    """Volume in mm3 and centre of mass as the kernel integrates them."""
    mass = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, mass)
    centre = mass.CentreOfMass()
    return mass.Mass(), (centre.X(), centre.Y(), centre.Z())


def is_valid(shape: TopoDS_Shape) -> bool:
    """What the kernel's checker says of geometry and topology."""
    return BRepCheck_Analyzer(shape).IsValid()


def pieces(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    found = TopExp_Explorer(shape, kind)
    while found.More():
        yield found.Current()
        found.Next()


def is_one_closed_solid(shape: TopoDS_Shape) -> bool:
    """Whether it is a single solid of one closed shell."""
    shells = list(pieces(shape, TopAbs_ShapeEnum.TopAbs_SHELL))
    solid = shape.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID
    return solid and len(shells) == 1 and BRep_Tool.IsClosed_s(shells[0])


VOLUME_REL = 1e-9
PLACE_MM = 1e-6


def told(assembly: Assembly) -> np.ndarray:
    """Volume and centre of every part, from the table alone, in closed form."""
    return np.array(
        [
            (part.shape.volume_mm3, *place_centroid(part.place, part.shape))
            for part in assembly.parts
        ]
    )


def measured(leaves: list[Leaf]) -> np.ndarray:
    """Volume and centre of every solid, as the kernel integrates them."""
    found = [volume_and_centre(leaf.shape) for leaf in leaves]
    return np.array([(volume, *centre) for volume, centre in found])


def unlike(found: np.ndarray, table: np.ndarray) -> list[int]:
    """Rows of the table that the solids found do not hold as often as the table does."""
    return [k for k, row in enumerate(table) if _alike(found, row) != _alike(table, row)]


def _alike(bodies: np.ndarray, row: np.ndarray) -> int:
    near = np.linalg.norm(bodies[:, 1:] - row[1:], axis=1) < PLACE_MM
    return int((near & (np.abs(bodies[:, 0] / row[0] - 1.0) < VOLUME_REL)).sum())


def place_centroid(place: Frame, shape: Shape) -> Vec3:
    """The centre of mass in the world, from the table alone."""
    return place.point(centroid(shape))


def centroid(shape: Shape) -> Vec3:
    """Centre of mass in closed form (first moments of sections and cylinders, worked by hand)."""
    if isinstance(shape, Route):
        return _route_centroid(shape)
    if isinstance(shape, Turned):
        parts = [
            (math.pi / 4 * (s.outer_mm**2 - s.inner_mm**2) * (s.end_mm - s.start_mm), s)
            for s in shape.steps
        ]
        moment = sum(v * (s.start_mm + s.end_mm) / 2 for v, s in parts)
        return (0.0, 0.0, moment / sum(v for v, _ in parts))
    return _prism_centroid(shape)


def _route_centroid(route: Route) -> Vec3:
    """Straight pieces mitered where they meet, each with the moments of its two slanted cuts.

    A miter between unit directions u and v cuts the piece before it on the slope
    -(v - (u.v) u) / (1 + u.v), a vector square to u; with I the section's second moment the cut
    adds I x slope across the piece and I x slope^2 / 2 along it.
    """
    points = [np.array(point) for point in route.points]
    area, second = math.pi / 4 * route.diameter_mm**2, math.pi / 64 * route.diameter_mm**4
    moment, volume = np.zeros(3), 0.0
    for a, b in pairwise(points):
        moment += area * math.dist(a, b) * (a + b) / 2
        volume += area * math.dist(a, b)
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        before, after = (b - a) / math.dist(a, b), (c - b) / math.dist(b, c)
        for u, v, sign in ((before, after, 1.0), (after, before, -1.0)):
            slope = -(v - (u @ v) * u) / (1.0 + u @ v)
            # The moments are about the bend: the volume that the slope adds there is none.
            moment += sign * second * (slope + (slope @ slope) / 2 * u)
    x, y, z = moment / volume
    return (float(x), float(y), float(z))


def _prism_centroid(prism: Prism) -> Vec3:
    """Integrals of x, y and z over the section between its two planes, less the holes."""
    x = y = z = 0.0
    for outline, sign in ((prism.section.outer, 1.0), (prism.section.inner, -1.0)):
        if outline is not None:
            mx, my, mz = _moments(prism, outline)
            x, y, z = x + sign * mx, y + sign * my, z + sign * mz
    for hole in prism.holes:
        cx, cy, cz = _hole_centre(prism, hole)
        v = hole.volume_mm3
        x, y, z = x - v * cx, y - v * cy, z - v * cz
    total = prism.volume_mm3
    return (x / total, y / total, z / total)


def _moments(prism: Prism, outline: Outline) -> Vec3:
    """Integrals of x, y and z between the two planes a + b x + c y."""
    area = outline.area_mm2
    cx, cy = outline.centroid
    ixx, iyy, ixy = _second_moments(outline)
    x = y = z = 0.0
    for plane, sign in ((prism.end, 1.0), (prism.start, -1.0)):
        a, b, c = plane.z_mm, plane.slope_x, plane.slope_y
        x += sign * (a * cx * area + b * ixx + c * ixy)
        y += sign * (a * cy * area + b * ixy + c * iyy)
        squares = a * a * area + b * b * ixx + c * c * iyy
        z += sign * (squares + 2 * (a * b * cx * area + a * c * cy * area + b * c * ixy)) / 2
    return (x, y, z)


def _second_moments(outline: Outline) -> Vec3:
    """Integrals of x2, y2 and xy over the outline."""
    if isinstance(outline, Circle):
        both = math.pi * outline.diameter_mm**4 / 64
        return (both, both, 0.0)
    if isinstance(outline, Polygon):
        return _polygon_moments(outline)
    w, d, r = outline.width_mm, outline.depth_mm, outline.corner_mm
    return (_rounded(w, d, r), _rounded(d, w, r), 0.0)


def _polygon_moments(outline: Polygon) -> Vec3:
    """Of triangles from the origin to each side: area / 12 times the sum over pairs of corners."""
    xx = yy = xy = 0.0
    for (ax, ay), (bx, by) in pairwise((*outline.corners, outline.corners[0])):
        twice = ax * by - bx * ay
        xx += twice * (ax * ax + ax * bx + bx * bx) / 12
        yy += twice * (ay * ay + ay * by + by * by) / 12
        xy += twice * (2 * ax * ay + ax * by + bx * ay + 2 * bx * by) / 24
    return (xx, yy, xy)


def _rounded(width: float, depth: float, r: float) -> float:
    """Integral of x2: the rectangle less four corner squares plus four quarter circles."""
    a = width / 2 - r
    square = r * ((width / 2) ** 3 - a**3) / 3
    quarter = a**2 * math.pi * r**2 / 4 + 2 * a * r**3 / 3 + math.pi * r**4 / 16
    return width**3 * depth / 12 - 4 * (square - quarter)


def _hole_centre(prism: Prism, hole: Hole) -> Vec3:
    if hole.face == "z":
        middle = (prism.start.z_mm + prism.end.z_mm) / 2
        return (hole.across_mm, hole.along_mm, middle)
    outer = prism.section.outer
    assert isinstance(outer, Rectangle)
    sign = 1.0 if hole.face[1] == "+" else -1.0
    # A leaning hole's centre has drifted half way.
    across = hole.across_mm + hole.lean[0] * hole.depth_mm / 2
    along = hole.along_mm + hole.lean[1] * hole.depth_mm / 2
    if hole.face[0] == "x":
        return (sign * (outer.width_mm - hole.depth_mm) / 2, across, along)
    return (across, sign * (outer.depth_mm - hole.depth_mm) / 2, along)
