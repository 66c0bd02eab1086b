"""The four faces of a drilled piece laid flat, side by side, with fold lines and true holes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from generator.frozen import dataclass
from generator.geometry import EndPlane, Vec2, cosd, sind
from generator.parts.patterns import FACE_NAMES, datum_mm
from generator.parts.setups import RIGHT
from generator.parts.shapes import Face, Hole, Prism, Rectangle
from generator.products.loops import Flat, Loop, Round, loop_of, opening
from generator.products.same import Key, hole_key

# As they follow each other to the right, seen from outside with the lower end down.
_FACES: tuple[Face, ...] = ("x+", "y+", "x-", "y-")
_STEP_DEG = 2.0  # a slanted cut over a rounded corner, within 1e-3 mm
_NOTHING_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Panel:
    """One face in the flat: its straight part from `left_mm`, the rounded corner after it."""

    face: Face
    left_mm: float
    width_mm: float
    corner_mm: float

    @property
    def name(self) -> str:
        return FACE_NAMES[self.face]

    @property
    def right_mm(self) -> float:
        return self.left_mm + self.width_mm

    @property
    def middle_mm(self) -> float:
        return self.left_mm + self.width_mm / 2


@dataclass(frozen=True, slots=True)
class FlatHole:
    """A hole as it shows on the outside of its face; `index` is its place in the prism.

    `outline` are points where the hole reaches over a rounded corner, else `loop` holds.
    """

    index: int
    face: Face
    centre: Vec2
    width_mm: float
    height_mm: float
    loop: Loop
    outline: tuple[Vec2, ...] = ()


@dataclass(frozen=True, slots=True)
class FlatPattern:
    """The outside of a tube or bar, unrolled; y is from the long point of the lower end, mm.

    `folds` are where faces end and corners begin, the two ends of the sheet not among them; the
    `lower` and `upper` edges are the cuts, from left to right.
    """

    panels: tuple[Panel, ...]
    folds: tuple[float, ...]
    width_mm: float
    lower: tuple[Vec2, ...]
    upper: tuple[Vec2, ...]
    holes: tuple[FlatHole, ...]

    @property
    def height_mm(self) -> float:
        return max(y for _, y in self.upper)

    def panel(self, face: Face) -> Panel:
        return next(panel for panel in self.panels if panel.face == face)


def flat_pattern(prism: Prism) -> FlatPattern:
    """Lays the faces of a piece of rectangular section flat: front, left, back, right.

    Raises:
        TypeError: the section is not rectangular.
    """
    outer = prism.section.outer
    if not isinstance(outer, Rectangle):
        raise TypeError("only a rectangular section has four faces")
    panels = tuple(_panels(outer))
    datum = datum_mm(prism)
    edges = [
        edge for panel in panels for edge in (panel.right_mm, panel.right_mm + panel.corner_mm)
    ]
    width = edges[-1]
    folds = dict.fromkeys(edge for edge in edges if edge < width - _NOTHING_MM)
    return FlatPattern(
        panels,
        tuple(folds),
        width,
        tuple(_edge(outer, panels, prism.start, datum)),
        tuple(_edge(outer, panels, prism.end, datum)),
        tuple(
            _hole(k, prism.holes[k], panels, outer, datum)
            for k in _once(prism.holes)
            if prism.holes[k].face != "z"
        ),
    )


def _once(holes: tuple[Hole, ...]) -> Iterator[int]:
    """Places of the holes, one that is told twice, of two legs whose cable passes, only once."""
    known: set[Key] = set()
    for k, hole in enumerate(holes):
        key = hole_key(hole)
        if key not in known:
            known.add(key)
            yield k


def face_corners(prism: Prism, face: Face) -> tuple[Vec2, Vec2, Vec2, Vec2]:
    """A face corner to corner, seen from outside: lower left, lower right, upper right, upper left.

    x is from the middle of the face, y from the long point of the lower end.
    """
    corners = prism.section.outer.corners
    axis, sign = (0, face[1]) if face[0] == "x" else (1, face[1])
    reach = max(corner[axis] for corner in corners) * (1.0 if sign == "+" else -1.0)
    half = max(corner[1 - axis] for corner in corners)
    datum = datum_mm(prism)
    points: list[tuple[float, float, float]] = []
    for x in (-half, half):
        across = RIGHT[face] * x
        at = (reach, across) if axis == 0 else (across, reach)
        points.append((x, prism.start.at(*at) - datum, prism.end.at(*at) - datum))
    (left, low_left, high_left), (right, low_right, high_right) = points
    return (left, low_left), (right, low_right), (right, high_right), (left, high_left)


def _panels(outer: Rectangle) -> Iterator[Panel]:
    left = 0.0
    corner = math.pi / 2 * outer.corner_mm
    for face in _FACES:
        across = outer.depth_mm if face[0] == "x" else outer.width_mm
        panel = Panel(face, left, across - 2 * outer.corner_mm, corner)
        left = panel.right_mm + corner
        yield panel


def _edge(
    outer: Rectangle, panels: tuple[Panel, ...], cut: EndPlane, datum: float
) -> Iterator[Vec2]:
    """A cut over all faces and corners, from left to right; straight on flats."""
    for panel in panels:
        for side in _sides(outer, panel.face):
            if isinstance(side, Flat):
                yield (panel.left_mm, cut.at(*side.start) - datum)
                yield (panel.right_mm, cut.at(*side.end) - datum)
            else:
                yield from _rounded(side, panel, cut, datum)


def _rounded(side: Round, panel: Panel, cut: EndPlane, datum: float) -> Iterator[Vec2]:
    straight = not (cut.slope_x or cut.slope_y)
    steps = 1 if straight else math.ceil(side.sweep_deg / _STEP_DEG)
    for k in range(1, steps + 1):
        turn = side.from_deg + side.sweep_deg * k / steps
        x = side.centre[0] + side.radius_mm * cosd(turn)
        y = side.centre[1] + side.radius_mm * sind(turn)
        yield (panel.right_mm + panel.corner_mm * k / steps, cut.at(x, y) - datum)


def _sides(outer: Rectangle, face: Face) -> tuple[Flat | Round, ...]:
    """The straight side of a face, and the corner that follows it, both counter-clockwise."""
    loop = loop_of(outer)
    k = next(k for k, side in enumerate(loop) if isinstance(side, Flat) and side.face == face)
    after = loop[(k + 1) % len(loop)]
    return (loop[k], after) if isinstance(after, Round) else (loop[k],)


def _hole(
    index: int, hole: Hole, panels: tuple[Panel, ...], outer: Rectangle, datum: float
) -> FlatHole:
    panel = next(one for one in panels if one.face == hole.face)
    centre = (panel.middle_mm + RIGHT[hole.face] * hole.across_mm, hole.along_mm - datum)
    loop = opening(centre, hole.width_mm, hole.height_mm)
    over = abs(centre[0] - panel.middle_mm) + hole.width_mm / 2 - panel.width_mm / 2
    points: tuple[Vec2, ...] = ()
    if over > _NOTHING_MM and outer.corner_mm > 0.0:
        points = tuple(_rolled(point, panel, outer.corner_mm) for point in points_of(loop))
    return FlatHole(index, hole.face, centre, hole.width_mm, hole.height_mm, loop, points)


def _rolled(point: Vec2, panel: Panel, radius_mm: float) -> Vec2:
    """A point drilled square to the face, where it meets the rounded corner, rolled flat."""
    from_middle = point[0] - panel.middle_mm
    over = abs(from_middle) - panel.width_mm / 2
    if over <= 0.0:
        return point
    rolled = radius_mm * math.asin(min(over / radius_mm, 1.0))
    return (panel.middle_mm + math.copysign(panel.width_mm / 2 + rolled, from_middle), point[1])


def mouth(hole: Hole, centre: Vec2, step_deg: float = 3.0) -> tuple[Vec2, ...]:
    """A hole as it shows on its face, seen from outside, as points about a centre.

    One that leans shows as an ellipse, long the way it leans.
    """
    if not any(hole.lean):
        return tuple(points_of(opening(centre, hole.width_mm, hole.height_mm), step_deg))
    across, along = RIGHT[hole.face] * hole.lean[0], hole.lean[1]
    reach = math.hypot(across, along)
    x, y = across / reach, along / reach
    short = hole.bore_mm / 2
    long = short * math.hypot(1.0, reach)
    points: list[Vec2] = []
    for k in range(round(360.0 / step_deg)):
        p, q = long * cosd(k * step_deg), short * sind(k * step_deg)
        points.append((centre[0] + p * x - q * y, centre[1] + p * y + q * x))
    return tuple(points)


def points_of(loop: Loop, step_deg: float = _STEP_DEG) -> Iterator[Vec2]:
    """Points along a closed loop, close enough together to be drawn as straight lines."""
    for side in loop:
        if isinstance(side, Flat):
            yield side.start
            continue
        steps = max(1, math.ceil(abs(side.sweep_deg) / step_deg))
        (x, y), radius = side.centre, side.radius_mm
        for c, s in _turns(side.from_deg, side.sweep_deg, steps):
            yield (x + radius * c, y + radius * s)


@lru_cache(maxsize=512)
def _turns(start_deg: float, sweep_deg: float, steps: int) -> tuple[Vec2, ...]:
    """Unit vectors along an arc; most arcs of a job are alike but for place and size."""
    turns = (start_deg + sweep_deg * k / steps for k in range(steps))
    return tuple((cosd(turn), sind(turn)) for turn in turns)
