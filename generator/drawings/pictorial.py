"""The whole job seen from outside and above, isometric, hidden lines removed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.project import Plane, hull
from generator.drawings.view import Line, View
from generator.frozen import dataclass
from generator.geometry import Vec2, Vec3, cosd, cross, dot, sind, sub
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Circle, Prism, Route

_SHOWN: dict[Kind, str] = {
    "deck": layers.OUTLINE,
    "floor": layers.OUTLINE,
    "tread": layers.STAIR,
    "riser": layers.STAIR,
    "stringer": layers.BEAM,
    "rim": layers.BEAM,
    "wall": layers.WALL,
    "obstacle": layers.OBSTACLE,
    "column": layers.COLUMN,
    "post": layers.POST,
    "base-plate": layers.HARDWARE,
    "side-plate": layers.HARDWARE,
    "rail": layers.RAIL,
    "handrail": layers.HANDRAIL,
    "spacer": layers.SPACER,
    "cable": layers.CABLE,
}
_TILT = math.degrees(math.asin(1 / math.sqrt(3)))  # of the eye in an isometric view
_NEARER = 0.5  # mm by which a face must lie before a line to hide it
_RING = 12
_MANY = 400  # parts beyond which plates and spacers are too small to be seen


@dataclass(frozen=True, slots=True)
class _Face:
    """A convex face on the picture; the depth of its plane at (x, y) is c + a x + b y."""

    corners: tuple[Vec2, ...]
    plane: Vec3
    sides: tuple[Vec3, ...]
    """Of each side a, b, c: a x + b y + c is how far a point lies inside it."""

    def depth(self, at: Vec2) -> float:
        a, b, c = self.plane
        return c + a * at[0] + b * at[1]


def pictorial(assembly: Assembly) -> View:
    """Every part larger than a fitting, in real mm of the picture plane."""
    eye = _eye(assembly)
    posts = sum(1 for _ in assembly.of_kind("post"))
    left_out = {"base-plate", "side-plate", "spacer", "riser"} if posts > _MANY else set()
    parts = [p for p in assembly.parts if p.kind in _SHOWN and p.kind not in left_out]
    cell = 600.0
    grid: dict[tuple[int, int], list[_Face]] = {}
    for part in parts:
        for face in _faces(part, eye):
            for key in _cells(face.corners, cell):
                grid.setdefault(key, []).append(face)
    items: list[Line] = []
    for part in parts:
        for a, b in _edges(part):
            items += _seen(eye, a, b, _SHOWN[part.kind], grid, cell)
    return View("pictorial", "PICTORIAL VIEW", tuple(items))


def _eye(assembly: Assembly) -> Plane:
    """The isometric plane, of four, from which most of the guard is seen from outside."""

    def seen(azimuth: float) -> float:
        total = 0.0
        for leg in assembly.legs:
            side = 1.0 if leg.deck == "left" else -1.0
            out = (side * sind(leg.bearing_deg), -side * cosd(leg.bearing_deg))
            facing = out[0] * cosd(azimuth) + out[1] * sind(azimuth)
            total += max(facing, 0.0) * math.dist(leg.edge_start, leg.edge_end)
        return round(total, 3)

    azimuth = max((-45.0, -135.0, 45.0, 135.0), key=seen)
    toward = (cosd(azimuth) * cosd(_TILT), sind(azimuth) * cosd(_TILT), sind(_TILT))
    right = (-sind(azimuth), cosd(azimuth), 0.0)
    return Plane((0.0, 0.0, 0.0), right, cross(toward, right))


def _rings(part: Part) -> tuple[list[Vec3], list[Vec3]]:
    prism = part.shape
    assert isinstance(prism, Prism)
    outer = prism.section.outer
    corners = outer.corners
    if isinstance(outer, Circle):
        r, turns = outer.diameter_mm / 2, (2 * math.pi * k / _RING for k in range(_RING))
        corners = tuple((r * math.cos(t), r * math.sin(t)) for t in turns)
    start = [part.place.point((x, y, prism.start.at(x, y))) for x, y in corners]
    end = [part.place.point((x, y, prism.end.at(x, y))) for x, y in corners]
    return start, end


def _edges(part: Part) -> Iterator[tuple[Vec3, Vec3]]:
    shape = part.shape
    if isinstance(shape, Route):
        yield from pairwise(part.place.point(point) for point in shape.points)
    if not isinstance(shape, Prism):
        return
    start, end = _rings(part)
    for ring in (start, end):
        yield from zip(ring, (*ring[1:], ring[0]), strict=True)
    if isinstance(shape.section.outer, Circle):
        start, end = start[:: _RING // 4], end[:: _RING // 4]
    yield from zip(start, end, strict=True)


def _faces(part: Part, eye: Plane) -> Iterator[_Face]:
    """The faces that hide: sides, and ends without a re-entrant corner."""
    if not isinstance(part.shape, Prism):
        return
    start, end = _rings(part)
    following = zip((*start[1:], start[0]), (*end[1:], end[0]), strict=True)
    sides = [(a, b, d, c) for a, c, (b, d) in zip(start, end, following, strict=True)]
    for ring in (*sides, start, end):
        face = _face(ring, eye)
        if face:
            yield face


def _face(ring: Sequence[Vec3], eye: Plane) -> _Face | None:
    normal = cross(sub(ring[1], ring[0]), sub(ring[2], ring[1]))
    facing = dot(normal, eye.toward)
    if abs(facing) < 1e-6 * math.sqrt(dot(normal, normal)) or facing == 0.0:
        return None
    flat = [eye.flat(point) for point in ring]
    corners = hull(flat)
    if len(corners) < len(set(flat)):
        return None
    a, b = (-dot(normal, way) / facing for way in (eye.right, eye.up))
    depth = dot(ring[0], eye.toward) - a * flat[0][0] - b * flat[0][1]
    return _Face(corners, (a, b, depth), _sides(corners))


def _sides(corners: Sequence[Vec2]) -> tuple[Vec3, ...]:
    found = []
    for (px, py), (qx, qy) in zip(corners, (*corners[1:], corners[0]), strict=True):
        length = math.hypot(qx - px, qy - py)
        if length > 0.0:
            a, b = (py - qy) / length, (qx - px) / length
            found.append((a, b, -a * px - b * py))
    return tuple(found)


def _within(sides: Sequence[Vec3], p: Vec2, way: Vec2) -> tuple[float, float] | None:
    """Parameters between which a line lies inside all sides (Cyrus-Beck)."""
    low, high = 0.0, 1.0
    (x, y), (dx, dy) = p, way
    for a, b, c in sides:
        depth, speed = a * x + b * y + c, a * dx + b * dy
        if -1e-12 < speed < 1e-12:
            if depth <= 1e-9:
                return None
        elif speed > 0.0:
            if depth < -speed * low:
                low = -depth / speed
        elif depth < -speed * high:
            high = -depth / speed
        if high - low <= 1e-12:
            return None
    return (low, high)


def _cells(points: Sequence[Vec2], cell: float) -> Iterator[tuple[int, int]]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    for x in range(math.floor(min(xs) / cell), math.floor(max(xs) / cell) + 1):
        for y in range(math.floor(min(ys) / cell), math.floor(max(ys) / cell) + 1):
            yield x, y


def _seen(
    eye: Plane,
    a: Vec3,
    b: Vec3,
    layer: str,
    grid: dict[tuple[int, int], list[_Face]],
    cell: float,
) -> Iterator[Line]:
    """The pieces of an edge before which no face lies."""
    p, q = eye.flat(a), eye.flat(b)
    if math.dist(p, q) < 1e-6:
        return
    near, far = dot(a, eye.toward), dot(b, eye.toward)
    near_faces = {id(face): face for key in _on_way(p, q, cell) for face in grid.get(key, ())}
    pieces = [(0.0, 1.0)]
    for face in near_faces.values():
        hidden = _hidden(face, p, q, near, far)
        if hidden:
            low, high = hidden
            pieces = [
                piece
                for s, e in pieces
                for piece in ((s, min(e, low)), (max(s, high), e))
                if piece[1] - piece[0] > 1e-9
            ]
    for s, e in pieces:
        start, end = ((p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t) for t in (s, e))
        yield Line(start, end, layer)


def _on_way(p: Vec2, q: Vec2, cell: float) -> set[tuple[int, int]]:
    """Cells that a line passes, told from points along it, a quarter of a cell apart."""
    steps = max(1, math.ceil(math.dist(p, q) / cell * 4))
    found = set()
    for k in range(steps + 1):
        t = k / steps
        x, y = p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t
        found.add((math.floor(x / cell), math.floor(y / cell)))
    return found


def _hidden(face: _Face, p: Vec2, q: Vec2, near: float, far: float) -> tuple[float, float] | None:
    """Between which parameters a face lies before a line; depths change evenly along both."""
    way = (q[0] - p[0], q[1] - p[1])
    a, b, _ = face.plane
    # How far the face lies before the line at its start, and how that changes on the way.
    at_start = face.depth(p) - near - _NEARER
    change = a * way[0] + b * way[1] - (far - near)
    if at_start <= 0.0 and at_start + change <= 0.0:
        return None
    span = _within(face.sides, p, way)
    if span is None:
        return None
    low, high = span
    first, last = at_start + change * low, at_start + change * high
    if first <= 0.0 and last <= 0.0:
        return None
    if first > 0.0 and last > 0.0:
        return span
    turn = low + (high - low) * first / (first - last)
    return (low, turn) if first > 0.0 else (turn, high)
