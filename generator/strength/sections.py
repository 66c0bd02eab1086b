"""Section values of tubes and bars from their own outlines: A, I, S, Z and J, holes deducted.

Local axes as in `parts.shapes`: x along the width, y along the depth. `about_x` is bending that
moves the part along y. All closed forms in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from generator.frozen import dataclass
from generator.parts.shapes import Circle, Hole, Outline, Rectangle, Section


@dataclass(frozen=True, slots=True)
class Axis:
    """About one axis through the centroid: second moment mm4, elastic S and plastic Z mm3."""

    inertia: float
    elastic: float
    plastic: float


@dataclass(frozen=True, slots=True)
class Values:
    """Area mm2, both axes, torsion constant mm4; `wall_mm` of a tube, 0 for a solid bar."""

    area: float
    about_x: Axis
    about_y: Axis
    torsion: float
    wall_mm: float


@dataclass(frozen=True, slots=True)
class _Outline:
    """Area, second moments, first moments of half the outline, extents to either side."""

    area: float
    inertia_x: float
    inertia_y: float
    half_x: float
    half_y: float
    reach_x: float
    reach_y: float


def section_values(section: Section) -> Values:
    """Values of a section that is symmetrical about both axes.

    Raises:
        TypeError: its outline is a polygon.
    """
    outer = _outline(section.outer)
    inner = _outline(section.inner) if section.inner else _NOTHING
    inertia_x, inertia_y = outer.inertia_x - inner.inertia_x, outer.inertia_y - inner.inertia_y
    return Values(
        area=outer.area - inner.area,
        about_x=Axis(inertia_x, inertia_x / outer.reach_y, 2 * (outer.half_x - inner.half_x)),
        about_y=Axis(inertia_y, inertia_y / outer.reach_x, 2 * (outer.half_y - inner.half_y)),
        torsion=torsion_constant(section),
        wall_mm=outer.reach_x - inner.reach_x if section.inner else 0.0,
    )


def drilled_values(section: Section, holes: Iterable[Hole]) -> Values:
    """Values at a level where holes go through walls: their strips are taken away.

    A strip is as wide as the hole at its widest and as thick as the wall. Where the holes of two
    walls differ the centroid moves, and S is taken to the farther edge. J is that of the whole
    tube: a hole in each wall changes it little.
    """
    whole = section_values(section)
    outer = section.outer
    assert isinstance(outer, Rectangle)
    strips = [_strip(outer, hole) for hole in holes]
    if not strips:
        return whole
    area = whole.area - sum(strip.area for strip in strips)
    x0 = -sum(strip.area * strip.x for strip in strips) / area
    y0 = -sum(strip.area * strip.y for strip in strips) / area
    inertia_x = whole.about_x.inertia - area * y0**2
    inertia_y = whole.about_y.inertia - area * x0**2
    plastic_x, plastic_y = whole.about_x.plastic, whole.about_y.plastic
    for strip in strips:
        inertia_x -= strip.area * (strip.height**2 / 12 + strip.y**2)
        inertia_y -= strip.area * (strip.width**2 / 12 + strip.x**2)
        plastic_x -= strip.area * max(abs(strip.y), strip.height / 4)
        plastic_y -= strip.area * max(abs(strip.x), strip.width / 4)
    return Values(
        area=area,
        about_x=Axis(inertia_x, inertia_x / (outer.depth_mm / 2 + abs(y0)), plastic_x),
        about_y=Axis(inertia_y, inertia_y / (outer.width_mm / 2 + abs(x0)), plastic_y),
        torsion=whole.torsion,
        wall_mm=whole.wall_mm,
    )


@dataclass(frozen=True, slots=True)
class _Strip:
    """What a hole takes from a section: a rectangle `width` along x, `height` along y, at x, y."""

    x: float
    y: float
    width: float
    height: float

    @property
    def area(self) -> float:
        return self.width * self.height


def _strip(outer: Rectangle, hole: Hole) -> _Strip:
    inward = hole.depth_mm / 2
    side = -1.0 if hole.face.endswith("-") else 1.0
    if hole.face.startswith("x"):
        return _Strip(
            side * (outer.width_mm / 2 - inward), hole.across_mm, hole.depth_mm, hole.width_mm
        )
    return _Strip(
        hole.across_mm, side * (outer.depth_mm / 2 - inward), hole.width_mm, hole.depth_mm
    )


def torsion_constant(section: Section) -> float:
    """J in mm4: tubes by Bredt on the mean line of the wall, solid bars exactly.

    Bredt: 4 A_m**2 t / p_m (any textbook; 3 to 4 % under a field solution for walls of a sixteenth
    of the width, as in reference.md section 11). Solid rectangle: Saint-Venant's series.
    """
    outer, inner = section.outer, section.inner
    if isinstance(outer, Circle):
        bore = inner.diameter_mm if isinstance(inner, Circle) else 0.0
        return math.pi * (outer.diameter_mm**4 - bore**4) / 32
    if not isinstance(outer, Rectangle):
        raise TypeError("the torsion constant of a polygon is not known")
    if not isinstance(inner, Rectangle):
        return _solid(outer)
    wall = (outer.width_mm - inner.width_mm) / 2
    radius = (outer.corner_mm + inner.corner_mm) / 2
    width, depth = outer.width_mm - wall, outer.depth_mm - wall
    within = width * depth - (4 - math.pi) * radius**2
    along = 2 * (width + depth) - (8 - 2 * math.pi) * radius
    return 4 * within**2 * wall / along


def _solid(outer: Rectangle) -> float:
    """Saint-Venant's series for a rectangle with sharp corners; five terms are exact to 1e-9."""
    long, short = max(outer.width_mm, outer.depth_mm), min(outer.width_mm, outer.depth_mm)
    terms = sum(math.tanh(n * math.pi * long / (2 * short)) / n**5 for n in range(1, 26, 2))
    return long * short**3 / 3 * (1 - 192 / math.pi**5 * short / long * terms)


_NOTHING = _Outline(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def _outline(outline: Outline) -> _Outline:
    if isinstance(outline, Circle):
        d = outline.diameter_mm
        inertia = math.pi * d**4 / 64
        return _Outline(outline.area_mm2, inertia, inertia, d**3 / 12, d**3 / 12, d / 2, d / 2)
    if not isinstance(outline, Rectangle):
        raise TypeError("section values are known of rectangles and circles")
    b, d, r = outline.width_mm, outline.depth_mm, outline.corner_mm
    corner, edge, own = _corner(r)
    at_x, at_y = b / 2 - edge, d / 2 - edge
    return _Outline(
        area=outline.area_mm2,
        inertia_x=b * d**3 / 12 - 4 * (own + corner * at_y**2),
        inertia_y=d * b**3 / 12 - 4 * (own + corner * at_x**2),
        half_x=b * d**2 / 8 - 2 * corner * at_y,
        half_y=d * b**2 / 8 - 2 * corner * at_x,
        reach_x=b / 2,
        reach_y=d / 2,
    )


def _corner(radius: float) -> tuple[float, float, float]:
    """What rounding takes from a square corner: area, centroid from the edge, own inertia."""
    if radius <= 0.0:
        return 0.0, 0.0, 0.0
    quarter, middle = math.pi * radius**2 / 4, radius - 4 * radius / (3 * math.pi)
    area = radius**2 - quarter
    edge = (radius**3 / 2 - quarter * middle) / area
    quarter_own = radius**4 * (math.pi / 16 - 4 / (9 * math.pi))
    about_edge = radius**4 / 3 - (quarter_own + quarter * middle**2)
    return area, edge, about_edge - area * edge**2
