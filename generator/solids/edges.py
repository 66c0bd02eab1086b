"""Vertices and edges built directly in the kernel, and how they lie on the cylinders they bound."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import math

from OCP.BRep import BRep_Builder
from OCP.Geom import Geom_Circle, Geom_Curve, Geom_CylindricalSurface, Geom_Ellipse, Geom_Line
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Curve, Geom2d_Line
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt2d
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Edge, TopoDS_Vertex

from generator.frozen import dataclass
from generator.geometry import EndPlane, Frame, Vec3, cosd, dot, sind, sub
from generator.products.loops import Round

TOLERANCE_MM = 1e-7
"""The distance at which the kernel takes two points for one."""

HERE = TopLoc_Location()
BUILD = BRep_Builder()

_FORWARD = TopAbs_Orientation.TopAbs_FORWARD
_REVERSED = TopAbs_Orientation.TopAbs_REVERSED
_SQUARE = 1e-12  # a slope below this is a square cut
# A cosine's series over a quarter turn is exact to 5e-13 of its amplitude at this degree.
_DEGREE = 17


@dataclass(frozen=True, slots=True)
class Corner:
    """A vertex and where it is."""

    point: Vec3
    vertex: TopoDS_Vertex


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge and where it starts."""

    edge: TopoDS_Edge
    origin: Vec3


@dataclass(frozen=True, slots=True)
class Arc:
    """An edge along `centre` + `first` cos t + `second` sin t, from t = `start` on."""

    edge: TopoDS_Edge
    start: float
    centre: Vec3
    first: Vec3
    second: Vec3


Edge = Line | Arc


def corner(point: Vec3) -> Corner:
    """A new vertex."""
    vertex = TopoDS_Vertex()
    BUILD.MakeVertex(vertex, gp_Pnt(*point), TOLERANCE_MM)
    return Corner(point, vertex)


def straight(a: Corner, b: Corner) -> Line:
    """The straight edge between two corners."""
    line = Geom_Line(gp_Pnt(*a.point), gp_Dir(*sub(b.point, a.point)))
    return Line(_edge(line, (a, b), 0.0, math.dist(a.point, b.point)), a.point)


def cut_round(frame: Frame, side: Round, plane: EndPlane, ends: tuple[Corner, Corner]) -> Arc:
    """The arc of a circle, or of the ellipse in which a slanted plane cuts the side's cylinder.

    The ellipse's major axis points up the slope; measured from there, the angle about the cylinder
    is the ellipse's own parameter.
    """
    x, y = side.centre
    r = side.radius_mm
    centre = frame.point((x, y, plane.at(x, y)))
    slope = math.hypot(plane.slope_x, plane.slope_y)
    sweep = math.radians(side.sweep_deg)
    if slope < _SQUARE:
        c, s, start, slope = cosd(side.from_deg), sind(side.from_deg), 0.0, 0.0
    else:
        c, s = plane.slope_x / slope, plane.slope_y / slope
        start = math.radians(side.from_deg) - math.atan2(s, c)
    first = frame.vector((r * c, r * s, r * slope))
    second = frame.vector((-r * s, r * c, 0.0))
    normal = frame.vector((-slope * c, -slope * s, 1.0))
    axes = gp_Ax2(gp_Pnt(*centre), gp_Dir(*normal), gp_Dir(*first))
    curve = Geom_Ellipse(axes, r * math.hypot(1.0, slope), r) if slope else Geom_Circle(axes, r)
    return Arc(_edge(curve, ends, start, start + sweep), start, centre, first, second)


def cylinder_of(frame: Frame, side: Round) -> Geom_CylindricalSurface:
    """The cylinder of an arc; its own angle is 0 where the arc starts, its height the frame's z."""
    first = frame.vector((cosd(side.from_deg), sind(side.from_deg), 0.0))
    foot = frame.point((*side.centre, 0.0))
    axes = gp_Ax3(gp_Pnt(*foot), gp_Dir(*frame.z), gp_Dir(*first))
    return Geom_CylindricalSurface(axes, side.radius_mm)


def lay_cut(cylinder: Geom_CylindricalSurface, frame: Frame, cut: Edge, side: Round) -> None:
    """Give a cut's edge its curve in the cylinder's angle and height."""
    assert isinstance(cut, Arc), "a round side is cut in an arc"
    height = frame.local(cut.centre)[2]
    wave = dot(cut.first, frame.z), dot(cut.second, frame.z)
    if math.hypot(*wave) < _SQUARE * side.radius_mm:
        level = Geom2d_Line(gp_Pnt2d(-cut.start, height), gp_Dir2d(1.0, 0.0))
        BUILD.UpdateEdge(cut.edge, level, cylinder, HERE, TOLERANCE_MM)
        return
    lean = _wave(height, wave, cut.start, math.radians(side.sweep_deg))
    BUILD.UpdateEdge(cut.edge, lean, cylinder, HERE, TOLERANCE_MM)


def lay_rulings(
    cylinder: Geom_CylindricalSurface, frame: Frame, before: Line, after: Line, side: Round
) -> None:
    """Give the two rulings that bound a cylinder's face, or its one seam, their curves in it."""
    start, end = (
        Geom2d_Line(gp_Pnt2d(angle, frame.local(ruling.origin)[2]), gp_Dir2d(0.0, 1.0))
        for angle, ruling in ((0.0, before), (math.radians(side.sweep_deg), after))
    )
    if before is after:
        BUILD.UpdateEdge(before.edge, end, start, cylinder, HERE, TOLERANCE_MM)
        return
    BUILD.UpdateEdge(before.edge, start, cylinder, HERE, TOLERANCE_MM)
    BUILD.UpdateEdge(after.edge, end, cylinder, HERE, TOLERANCE_MM)


def _edge(curve: Geom_Curve, ends: tuple[Corner, Corner], start: float, end: float) -> TopoDS_Edge:
    edge = TopoDS_Edge()
    BUILD.MakeEdge(edge, curve, TOLERANCE_MM)
    BUILD.Add(edge, ends[0].vertex.Oriented(_FORWARD))
    BUILD.Add(edge, ends[1].vertex.Oriented(_REVERSED))
    BUILD.Range(edge, start, end)
    return edge


def _wave(height: float, wave: tuple[float, float], start: float, sweep: float) -> Geom2d_Curve:
    """(t - start, height + wave[0] cos t + wave[1] sin t) from `start` through at most a quarter.

    The kernel's own projection is off by 1e-7 mm. Here the series about `start` is turned from
    powers into Bernstein form.
    """
    amplitude, phase = math.hypot(*wave), math.atan2(wave[1], wave[0])
    powers = [
        amplitude * math.cos(start - phase + k * math.pi / 2) * sweep**k / math.factorial(k)
        for k in range(_DEGREE + 1)
    ]
    powers[0] += height
    poles = TColgp_Array1OfPnt2d(1, _DEGREE + 1)
    for j in range(_DEGREE + 1):
        v = math.fsum(powers[k] * math.comb(j, k) / math.comb(_DEGREE, k) for k in range(j + 1))
        poles.SetValue(j + 1, gp_Pnt2d(sweep * j / _DEGREE, v))
    knots, times = TColStd_Array1OfReal(1, 2), TColStd_Array1OfInteger(1, 2)
    for k, knot in enumerate((start, start + sweep), start=1):
        knots.SetValue(k, knot)
        times.SetValue(k, _DEGREE + 1)
    return Geom2d_BSplineCurve(poles, knots, times, _DEGREE)
