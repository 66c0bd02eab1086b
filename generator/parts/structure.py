"""What carries deck and stairs: joists, rims and fascias under the decking, stringers.

All of it stands there already; posts are fastened to it, or to blocking between it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product

from generator.geometry import UP, EndPlane, Frame, Vec2, along, cross, dot, heading, left_of, scale
from generator.layout.model import Flight, LegLayout, PathLeg, RunLayout
from generator.layout.path import turn_between
from generator.parts.assembly import Kind, Part
from generator.parts.shapes import Polygon, Prism, Section
from generator.parts.timber import Laid, Plan, board, clipped, laid, line_span, sides, size_text
from generator.spec.job import Job, Joists, Structure

_EPS_MM = 1e-6
# A joist's end is cut along what it meets up to this slant, beyond it square.
_MAX_SLANT = 4.0
# Square depth of the board that a stringer is cut from, a 2x12: common practice, no source.
_STRINGER_MM = 285.75

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Body:
    """A deck with its plan in the world, the plane of its underside and its framed sides.

    `sides` run counter-clockwise along the plan; a rim lies behind each.
    """

    run: str
    leg: int
    plan: Plan
    z_mm: float
    fall: Vec2
    sides: tuple[tuple[Vec2, Vec2], ...]

    def under(self, x: float, y: float) -> float:
        return self.z_mm + self.fall[0] * x + self.fall[1] * y

    @property
    def plane(self) -> tuple[float, float, float]:
        """Equal for decks that go on as one."""
        return (round(self.z_mm, 6), round(self.fall[0], 9), round(self.fall[1], 9))


class StructureBuilder:
    """Makes the framing under the decks of a run and the stringers of its stairs."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._counts: dict[str, int] = {}

    def parts(self, run: RunLayout, surfaces: Sequence[Part]) -> Iterator[Part]:
        """Framing under those of a run's bodies that are decks, stringers under its treads."""
        structure = self.job.structure
        if structure is None:
            return
        if structure.joists:
            yield from self._framing(structure, structure.joists, _bodies(run, surfaces))
        if structure.stringer_mm and not structure.concrete:
            for leg in run.legs:
                own = [part for part in surfaces if part.leg == leg.line.number]
                yield from self._stringers(structure, leg.line, own)

    def _framing(
        self, structure: Structure, joists: Joists, bodies: Sequence[_Body]
    ) -> Iterator[Part]:
        lines = _JoistLines(self.job, joists)
        for body in bodies:
            inner = body.plan
            for a, b in body.sides:
                boards, inner = self._rims(structure, joists, body, (a, b), inner)
                yield from boards
            lines.add(body, inner)
        item = f"joist {size_text(self.job, joists.width_mm, joists.depth_mm)}"
        for body, at, start, end in lines.laid():
            shape, place = laid(at, joists.width_mm, joists.depth_mm, start, end)
            yield self._part("J", "joist", item, (body.run, body.leg), shape, place)

    def _rims(
        self,
        structure: Structure,
        joists: Joists,
        body: _Body,
        side: tuple[Vec2, Vec2],
        plan: Plan,
    ) -> tuple[list[Part], Plan]:
        """Fascia and rim behind one side of a deck, and what is left of the plan within them."""
        (x0, y0), (x1, y1) = side
        bearing = math.degrees(math.atan2(y1 - y0, x1 - x0))
        travel, inward = heading(bearing), left_of(bearing)
        edge = x0 * inward[0] + y0 * inward[1]
        found: list[Part] = []
        near = structure.overhang_mm
        for name, thickness in (("fascia", structure.fascia_mm), ("rim", structure.rim_mm)):
            faces = [
                line_span(plan, (x0 + inward[0] * n, y0 + inward[1] * n), travel[:2])
                for n in (near + thickness, near)
            ]
            middle = near + thickness / 2
            near += thickness
            left, right = faces
            if thickness <= 0.0 or left is None or right is None:
                continue
            x, y = x0 + inward[0] * middle, y0 + inward[1] * middle
            at = _under(body, x, y, bearing)
            start, end = zip(left, right, strict=True)
            shape, place = laid(at, thickness, joists.depth_mm, start, end)
            item = f"{name} {size_text(self.job, thickness, joists.depth_mm)}"
            found.append(self._part("RM", "rim", item, (body.run, body.leg), shape, place))
        return found, clipped(plan, inward[:2], edge + near)

    def _stringers(self, structure: Structure, line: PathLeg, own: list[Part]) -> Iterator[Part]:
        """Two boards cut to the treads, the outer one flush with the side that is measured."""
        flight = line.flight
        treads = [part for part in own if part.kind == "tread"]
        if flight is None or not treads:
            return
        edge, far = _across(treads[0], line)
        riser = max((_depth(part, line) for part in own if part.kind == "riser"), default=0.0)
        back = 0.0 - structure.overhang_mm if structure.joists else 0.0
        outline = stringer_outline(flight, back, riser)
        thickness = structure.stringer_mm
        shape = Prism(Section(Polygon(outline)), EndPlane(0.0), EndPlane(thickness))
        item = f"stringer {size_text(self.job, thickness, _STRINGER_MM)}"
        downhill = scale(line.travel, float(flight.sense))
        out = cross(downhill, UP)
        inward = math.copysign(thickness, far - edge)
        x, y, _ = line.edge(flight.top_station_mm)
        for face in (edge, far - inward):
            first = min(n * dot(line.left, out) for n in (face, face + inward))
            place = Frame(along((x, y, flight.floor_z_mm), out, first), downhill, UP, out)
            yield self._part("ST", "stringer", item, (line.run, line.number), shape, place)

    def _part(
        self, prefix: str, kind: Kind, item: str, of: tuple[str, int], shape: Prism, place: Frame
    ) -> Part:
        self._counts[prefix] = self._counts.get(prefix, 0) + 1
        mark = f"{prefix}{self._counts[prefix]}"
        return Part(mark, kind, item, *of, shape, place, mark)


def _under(body: _Body, x: float, y: float, bearing_deg: float) -> Laid:
    """A board's upper face at the underside of a deck, at the board's station 0."""
    travel, left = heading(bearing_deg), left_of(bearing_deg)
    (gx, gy) = body.fall
    return Laid(
        (x, y, body.under(x, y)),
        bearing_deg,
        gx * travel[0] + gy * travel[1],
        gx * left[0] + gy * left[1],
    )


def _bodies(run: RunLayout, surfaces: Sequence[Part]) -> list[_Body]:
    """Decks of level legs, of thresholds and behind stair heads; ramps are framed by themselves."""
    return [
        _body(run, part)
        for part in surfaces
        if part.kind == "deck" and part.item in ("deck", "landing")
    ]


def _body(run: RunLayout, part: Part) -> _Body:
    shape, place = part.shape, part.place
    assert isinstance(shape, Prism)
    plan = tuple(place.point((a, b, 0.0))[:2] for a, b in shape.section.outer.corners)
    gradient = place.vector((shape.start.slope_x, shape.start.slope_y, 0.0))
    x, y, z = place.origin
    leg = run.legs[part.leg - 1]
    return _Body(
        run=part.run,
        leg=part.leg,
        plan=plan,
        z_mm=z + shape.start.z_mm - gradient[0] * x - gradient[1] * y,
        fall=(gradient[0], gradient[1]),
        sides=tuple(s for s in sides(plan) if math.dist(*s) > 1.0 and _framed(run, leg, s)),
    )


def _framed(run: RunLayout, leg: LegLayout, side: tuple[Vec2, Vec2]) -> bool:
    """Whether a side of a leg's deck is an edge: measured by the path, or the head of a stair."""
    (x0, y0), (x1, y1) = (_beside(leg.line, point) for point in side)
    if leg.line.flight:
        head = leg.line.flight.top_station_mm
        return abs(x0 - head) < _EPS_MM and abs(x1 - head) < _EPS_MM
    if abs(y0) < _EPS_MM and abs(y1) < _EPS_MM:
        return True
    if abs(x0 - x1) > _EPS_MM:
        return False
    beyond = x0 > leg.line.length_mm + _EPS_MM
    at_end = beyond or abs(x0 - leg.line.length_mm) < _EPS_MM
    opens = leg.end_joint if at_end else leg.start_joint
    if (opens == "opening") != beyond:
        return False
    return _stair_goes_down(run, leg, at_end)


def _stair_goes_down(run: RunLayout, leg: LegLayout, at_end: bool) -> bool:
    """Whether a stair leaves the deck of a leg straight on at its end, or comes up to its start."""
    last = len(run.legs) - 1
    k = leg.line.number - 1 + (1 if at_end else -1)
    if not 0 <= k <= last:
        return False
    other = run.legs[k].line
    straight = abs(turn_between(leg.line, other)) < 1e-9
    return other.flight is not None and straight and other.flight.sense == (1 if at_end else -1)


def _beside(line: PathLeg, point: Vec2) -> Vec2:
    """Station of a point along a leg, and its offset to the left of the edge."""
    away = (point[0] - line.origin[0], point[1] - line.origin[1], 0.0)
    return dot(away, line.travel), dot(away, line.left)


@dataclass(frozen=True, slots=True)
class _Face:
    """One face of a joist line: where decks cover it, and where it lies past the end of one.

    At the end of a deck the last joist stays whole, half of it past the end.
    """

    covered: list[Span] = field(default_factory=list)
    past_end: list[Span] = field(default_factory=list)

    def spans(self) -> list[Span]:
        found = _merged(self.covered)
        free = [a for a in self.past_end if all(a[1] <= b[0] or b[1] <= a[0] for b in found)]
        return _merged([*found, *free])


@dataclass(frozen=True, slots=True)
class _Line:
    """A joist line in one plane, with the body that it was first met in."""

    body: _Body
    left: _Face
    right: _Face


class _JoistLines:
    """Joists line by line: what several decks of one plane cover of a line is one joist."""

    def __init__(self, job: Job, joists: Joists) -> None:
        self.joists = joists
        self._across = heading(joists.bearing_deg - 90.0)[:2]
        self._travel = heading(joists.bearing_deg)[:2]
        start = job.runs[0].start
        self._zero = start.x_mm * self._across[0] + start.y_mm * self._across[1] + joists.offset_mm
        self._lines: dict[tuple[float, float, float], dict[int, _Line]] = {}

    def add(self, body: _Body, inner: Plan) -> None:
        """The lines that cross a deck, within its rims."""
        spacing, half = self.joists.spacing_mm, self.joists.width_mm / 2
        places = [x * self._across[0] + y * self._across[1] - self._zero for x, y in inner]
        if not places:
            return
        first, last = min(places) - half, max(places) + half
        group = self._lines.setdefault(body.plane, {})
        for k in range(math.ceil(first / spacing), math.floor(last / spacing) + 1):
            middle = self._span(inner, k * spacing)
            line = group.setdefault(k, _Line(body, _Face(), _Face()))
            for face, d in ((line.left, -half), (line.right, half)):
                span = self._span(inner, k * spacing + d)
                if span:
                    face.covered.append(span)
                elif middle and self._span(body.plan, k * spacing + d) is None:
                    face.past_end.append(middle)

    def laid(self) -> Iterator[tuple[_Body, Laid, Vec2, Vec2]]:
        """(body, place, start, end) of every joist."""
        for lines in self._lines.values():
            for k in sorted(lines):
                body = lines[k].body
                x, y = self._point(k * self.joists.spacing_mm)
                at = _under(body, x, y, self.joists.bearing_deg)
                for start, end in self._pieces(lines[k].left.spans(), lines[k].right.spans()):
                    yield body, at, start, end

    def _pieces(self, left: list[Span], right: list[Span]) -> Iterator[tuple[Vec2, Vec2]]:
        """Pieces of which both faces are there; their ends run from face to face."""
        slant = _MAX_SLANT * self.joists.width_mm
        taken = -math.inf
        for a, b in product(left, right):
            start, end = (a[0], b[0]), (a[1], b[1])
            if abs(start[0] - start[1]) > slant or min(start) < taken:
                start = (max(*start, taken), max(*start, taken))
            if abs(end[0] - end[1]) > slant:
                end = (min(end), min(end))
            if min(end) - max(start) > 1.0:
                taken = max(end)
                yield start, end

    def _span(self, plan: Plan, place: float) -> Span | None:
        return line_span(plan, self._point(place), self._travel)

    def _point(self, place: float) -> Vec2:
        reach = place + self._zero
        return (self._across[0] * reach, self._across[1] * reach)


def _merged(spans: list[Span]) -> list[Span]:
    """Spans that touch are one."""
    found: list[Span] = []
    for span in sorted(spans):
        if found and span[0] <= found[-1][1] + 1e-3:
            found[-1] = (found[-1][0], max(found[-1][1], span[1]))
        else:
            found.append(span)
    return found


def stringer_outline(flight: Flight, back_mm: float, riser_mm: float) -> Plan:
    """Outline of a stringer cut to the treads' undersides, counter-clockwise.

    In t and in height over the lower floor. `back_mm` is t of its upper end, at the framing;
    `riser_mm` the riser boards before its plumb
    cuts. Below, it is as deep as the board it is cut from, square to the nosing line.
    """
    fronts = [flight.nosing_t(k) - flight.overhang_mm - riser_mm for k in range(flight.treads + 1)]
    levels = [flight.tread_z(k) - flight.thickness_mm for k in range(flight.treads + 1)]
    top: list[Vec2] = [(back_mm, levels[1])]
    for k in range(1, flight.treads + 1):
        lower = levels[k + 1] if k < flight.treads else flight.floor_z_mm
        top += [(fronts[k], levels[k]), (fronts[k], lower)]
    highest = max(z + flight.slope * t for t, z in zip(fronts[1:], levels[1:], strict=True))
    under = highest - _STRINGER_MM * math.hypot(1.0, flight.slope)
    foot = (under - flight.floor_z_mm) / flight.slope
    upper = max(under - flight.slope * back_mm, flight.floor_z_mm)
    bottom: list[Vec2] = [(back_mm, upper)]
    if back_mm + 1.0 < foot < fronts[-1]:
        bottom.append((foot, flight.floor_z_mm))
    floor = flight.floor_z_mm
    return tuple((round(t, 9), round(z - floor, 9)) for t, z in (*bottom, *reversed(top)))


def _across(tread: Part, line: PathLeg) -> Vec2:
    """Offsets to the left of the leg of a tread's measured side and of its far side."""
    offsets = [_beside(line, point)[1] for point in board(tread).plan]
    return min(offsets, key=abs), max(offsets, key=abs)


def _depth(part: Part, line: PathLeg) -> float:
    """Extent of an upright body along a leg."""
    stations = [_beside(line, point)[0] for point in board(part).plan]
    return max(stations) - min(stations)
