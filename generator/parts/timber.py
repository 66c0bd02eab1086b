"""Boards below a guard: laid at their places, their plans, and which lie near a spot."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from generator.frozen import dataclass
from generator.geometry import UP, EndPlane, Frame, Vec2, Vec3, along, dot, lengthwise
from generator.parts.assembly import Kind, Part
from generator.parts.shapes import Prism, Rectangle, Section
from generator.spec.job import Job
from generator.units import INCH_MM

Plan = tuple[Vec2, ...]

_EPS_MM = 1e-6
# Boards nearer to each other than this lie tight.
_TIGHT_MM = 0.8
# Side of a field of ground, about the spacing of joists.
_FIELD_MM = 600.0
FROM_ABOVE = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), UP)

# Dressed sizes: thickness of a board on the flat, and widths. American Softwood Lumber Standard
# (PS 20) from memory, not read; the metric ones are common practice, no source.
_LUMBER: dict[bool, tuple[float, tuple[float, ...]]] = {
    False: (1.5 * INCH_MM, tuple(width * INCH_MM for width in (3.5, 5.5, 7.25, 9.25, 11.25))),
    True: (45.0, (95.0, 120.0, 145.0, 170.0, 195.0, 220.0)),
}


def tread_block(job: Job, need_mm: float) -> Vec2:
    """(thickness, width) of the narrowest board that is wide enough, or of the widest there is."""
    thickness, widths = _LUMBER[job.metric]
    return thickness, next((w for w in widths if w >= need_mm - _EPS_MM), widths[-1])


def size_text(job: Job, a_mm: float, b_mm: float) -> str:
    """A section as the trade writes it: 1-1/2 x 9-1/4 in, or 45 x 220 mm."""
    if job.metric:
        return f"{round(a_mm, 1):g} x {round(b_mm, 1):g} mm"
    return f"{_inches(a_mm)} x {_inches(b_mm)} in"


def _inches(mm: float) -> str:
    count = Fraction(round(mm / INCH_MM * 16), 16)
    whole, rest = divmod(count, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


@dataclass(frozen=True, slots=True)
class Laid:
    """Where a board is laid: the middle of its upper face at station 0, and how that runs.

    `slope` is its rise along the bearing, `cross_slope` that of what lies on it, to the left.
    """

    top: Vec3
    bearing_deg: float
    slope: float = 0.0
    cross_slope: float = 0.0


def laid(at: Laid, width_mm: float, depth_mm: float, start: Vec2, end: Vec2) -> tuple[Prism, Frame]:
    """A board with plumb ends, and its place: z along it, x to its left, y up.

    `start` and `end` are level stations on its left and right face. Under a floor that falls across
    it the board is lowered so far that its corner touches.
    """
    lean = math.hypot(1.0, at.slope)
    sine, cosine = at.slope / lean, 1.0 / lean
    flat = lengthwise(at.top, at.bearing_deg, 0.0)
    begin = (start[0] + start[1]) / 2
    x, y, z = along(at.top, flat.z, begin)
    z += begin * at.slope - abs(at.cross_slope) * width_mm / 2
    frame = lengthwise((x, y, z), at.bearing_deg, math.degrees(math.atan(at.slope)))
    place = Frame(along(frame.origin, frame.y, -depth_mm / 2), frame.x, frame.y, frame.z)

    def plumb(left: float, right: float) -> EndPlane:
        station = (left + right) / 2 - begin - depth_mm / 2 * sine
        return EndPlane(station / cosine, (left - right) / width_mm / cosine, sine / cosine)

    section = Section(Rectangle(width_mm, depth_mm))
    return Prism(section, plumb(*start), plumb(*end)), place


@dataclass(frozen=True, slots=True)
class Board:
    """A board as seen along some direction: its outline, counter-clockwise, and its extent."""

    mark: str
    kind: Kind
    plan: Plan
    low_mm: float
    high_mm: float

    def meets(self, low_mm: float, high_mm: float) -> bool:
        """Whether some of it lies between two heights."""
        return self.low_mm < high_mm - _EPS_MM and self.high_mm > low_mm + _EPS_MM


def structural(part: Part) -> bool:
    """Whether an anchor may be fastened into a part: framing or blocking, but no fascia."""
    if part.kind == "rim":
        return not part.item.startswith("fascia")
    return part.kind in ("joist", "stringer", "blocking")


def board(part: Part, view: Frame = FROM_ABOVE) -> Board:
    """A straight part seen along z of a frame, which looks from above unless told.

    Seen along its own axis it has its true outline, else the hull of its corners.
    """
    shape = part.shape
    assert isinstance(shape, Prism)
    outer = shape.section.outer.corners
    ends = [[part.place.point((x, y, cut.at(x, y))) for x, y in outer] for cut in _cuts(shape)]
    seen = [view.local(point) for end in ends for point in end]
    heights = [z for _, _, z in seen]
    square = abs(dot(part.place.z, view.z)) > 1.0 - 1e-9
    flat = [(x, y) for x, y, _ in (seen[: len(outer)] if square else seen)]
    plan = _counter_clockwise(tuple(flat)) if square else hull(flat)
    return Board(part.mark, part.kind, plan, min(heights), max(heights))


def _cuts(shape: Prism) -> tuple[EndPlane, EndPlane]:
    return shape.start, shape.end


def _counter_clockwise(plan: Plan) -> Plan:
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in sides(plan))
    return plan if area > 0 else plan[::-1]


def sides(plan: Sequence[Vec2]) -> Iterator[tuple[Vec2, Vec2]]:
    return zip(plan, (*plan[1:], plan[0]), strict=True)


def hull(points: Iterable[Vec2]) -> Plan:
    """The convex hull, counter-clockwise, without points that are there but for rounding."""
    left = sorted({(round(x, 7), round(y, 7)) for x, y in points})
    chains: list[list[Vec2]] = []
    for run in (left, left[::-1]):
        chain: list[Vec2] = []
        for point in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= _EPS_MM:
                chain.pop()
            chain.append(point)
        chains.append(chain[:-1])
    return (*chains[0], *chains[1])


def _turn(a: Vec2, b: Vec2, c: Vec2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def clipped(plan: Plan, normal: Vec2, least: float) -> Plan:
    """What of a convex plan lies where its points' measure along a normal is `least` or more."""
    found: list[Vec2] = []
    for a, b in sides(plan) if plan else ():
        over_a = a[0] * normal[0] + a[1] * normal[1] - least
        over_b = b[0] * normal[0] + b[1] * normal[1] - least
        if over_a >= 0.0:
            found.append(a)
        if over_a * over_b < 0.0:
            t = over_a / (over_a - over_b)
            found.append((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
    return tuple(found) if len(found) > 2 else ()


def line_span(plan: Plan, point: Vec2, direction: Vec2) -> Vec2 | None:
    """Where a line, from `point` along a unit `direction`, enters and leaves a convex plan."""
    enters, leaves = -math.inf, math.inf
    for a, b in sides(plan) if plan else ():
        normal = (a[1] - b[1], b[0] - a[0])
        size = math.hypot(*normal)
        if size < _EPS_MM:
            continue
        over = ((point[0] - a[0]) * normal[0] + (point[1] - a[1]) * normal[1]) / size
        rate = (direction[0] * normal[0] + direction[1] * normal[1]) / size
        if abs(rate) < 1e-9:
            if over < -_EPS_MM:
                return None
        elif rate > 0.0:
            enters = max(enters, -over / rate)
        else:
            leaves = min(leaves, -over / rate)
    return (enters, leaves) if plan and leaves - enters > _EPS_MM else None


def inside(plan: Plan, point: Vec2) -> bool:
    """Whether a point lies in a simple plan or on its outline."""
    x, y = point
    # Far from most plans: the box tells at once.
    if not (
        min(p[0] for p in plan) - _EPS_MM <= x <= max(p[0] for p in plan) + _EPS_MM
        and min(p[1] for p in plan) - _EPS_MM <= y <= max(p[1] for p in plan) + _EPS_MM
    ):
        return False
    odd = False
    for (x0, y0), (x1, y1) in sides(plan):
        if (y0 > y) != (y1 > y) and x < x0 + (x1 - x0) * (y - y0) / (y1 - y0):
            odd = not odd
    return odd or min(away for away, _, _ in _to_sides(plan, point)) < _EPS_MM


def _to_sides(plan: Plan, point: Vec2) -> Iterator[tuple[float, Vec2, Vec2]]:
    """(distance, nearest point, outward normal) of every side."""
    for a, b in sides(plan):
        ux, uy = b[0] - a[0], b[1] - a[1]
        size = math.hypot(ux, uy)
        if size < _EPS_MM:
            continue
        t = ((point[0] - a[0]) * ux + (point[1] - a[1]) * uy) / size**2
        t = min(max(t, 0.0), 1.0)
        foot = (a[0] + ux * t, a[1] + uy * t)
        yield math.dist(point, foot), foot, (uy / size, -ux / size)


@dataclass(frozen=True, slots=True)
class Hold:
    """How a bolt stands in a board: from its axis to the nearest free edge, and to a joint.

    An edge that another board lies tight against is a joint. `joined` is that board.
    """

    board: Board
    free_mm: float
    joint_mm: float
    joined: str = ""


def hold(point: Vec2, entered: Board, others: Iterable[Board]) -> Hold:
    """Measures a bolt's axis, inside a board's plan, against its edges."""
    beside = [b for b in others if b.mark != entered.mark]
    free, joint, joined = math.inf, math.inf, ""
    for away, foot, normal in _to_sides(entered.plan, point):
        probe = (foot[0] + normal[0] * _TIGHT_MM, foot[1] + normal[1] * _TIGHT_MM)
        tight = next((b.mark for b in beside if inside(b.plan, probe)), None)
        if tight is None:
            free = min(free, away)
        elif away < joint:
            joint, joined = away, tight
    return Hold(entered, free, joint, joined)


def held(point: Vec2, boards: Sequence[Board]) -> Hold | None:
    """The board that a bolt's axis goes into, the one that holds it best; None where none does."""
    found = [hold(point, b, boards) for b in boards if inside(b.plan, point)]
    return max(found, key=lambda h: min(h.free_mm, h.joint_mm), default=None)


class Ground:
    """Boards by the fields of ground that they lie over, so that those near a spot are few."""

    def __init__(self, boards: Iterable[Board] = ()) -> None:
        self._fields: dict[tuple[int, int], list[Board]] = {}
        for one in boards:
            self.add(one)

    def add(self, one: Board) -> None:
        for field in _fields(one.plan):
            self._fields.setdefault(field, []).append(one)

    def near(self, point: Vec2, reach_mm: float) -> list[Board]:
        """Boards within reach of a point, and some beyond, in the order in which they came."""
        west, east = (math.floor((point[0] + d) / _FIELD_MM) for d in (-reach_mm, reach_mm))
        south, north = (math.floor((point[1] + d) / _FIELD_MM) for d in (-reach_mm, reach_mm))
        found: dict[str, Board] = {}
        for i in range(west, east + 1):
            for j in range(south, north + 1):
                found.update((b.mark, b) for b in self._fields.get((i, j), ()))
        return list(found.values())


def _fields(plan: Plan) -> Iterator[tuple[int, int]]:
    """Squares that a convex plan touches: row by row, so that a long board touches few."""
    seen: set[tuple[int, int]] = set()
    ys = [y for _, y in plan]
    for j in range(math.floor(min(ys) / _FIELD_MM), math.floor(max(ys) / _FIELD_MM) + 1):
        strip = clipped(plan, (0.0, 1.0), j * _FIELD_MM)
        strip = clipped(strip, (0.0, -1.0), -(j + 1) * _FIELD_MM)
        xs = [x for x, _ in strip]
        if xs:
            seen |= {
                (i, j)
                for i in range(math.floor(min(xs) / _FIELD_MM), math.floor(max(xs) / _FIELD_MM) + 1)
            }
    return iter(sorted(seen))
