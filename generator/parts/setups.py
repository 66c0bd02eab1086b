"""Drilling as a shop does it: operations of every pattern, gathered into the fewest set-ups."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.patterns import Pattern, datum_mm
from generator.parts.shapes import Face, Hole, Prism

SQUARE: Vec2 = (0.0, 0.0)
_SAME_MM = 1e-4

OPPOSITE: dict[Face, Face] = {"x-": "x+", "x+": "x-", "y-": "y+", "y+": "y-"}

# Seen from outside, what lies to the right of a face's middle: +1 where across counts that way.
RIGHT: dict[Face, float] = {"x+": 1.0, "y+": -1.0, "x-": -1.0, "y-": 1.0}


@dataclass(frozen=True, slots=True, order=True)
class Tool:
    """What makes a hole: a bit, or a mill that runs on to a slot; `lean` tilts the work piece.

    `slot_deg` is the slot's long way against the piece: 0 along it, 90 across. A bit has no slot;
    `width_mm` is its diameter and that of the mill, `length_mm` the slot's from end to end.
    """

    slot: bool
    width_mm: float
    length_mm: float
    slot_deg: float
    lean: Vec2 = SQUARE

    @property
    def shape(self) -> str:
        return "slot" if self.slot else "round"


@dataclass(frozen=True, slots=True)
class Use:
    """Where a set-up is used: a pattern, the face that is up, whether both walls are drilled."""

    letter: str
    face: Face
    through: bool
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SetUp:
    """One bit, one fence, one row of stops; `stops_mm` from the long point of the lower end.

    `fence_mm` is from the fence to the middle of the holes, and the fence lies along the edge that
    is on the right of the face where `fence_right`, seen with the lower end toward the reader; in
    the `middle` of the face it is the same from both edges.
    """

    tool: Tool
    fence_mm: float
    fence_right: bool
    stops_mm: tuple[float, ...]
    uses: tuple[Use, ...]
    middle: bool = True


@dataclass(frozen=True, slots=True)
class _Operation:
    """Holes of one face that one tool makes at one fence."""

    tool: Tool
    offset_mm: float
    stops_mm: tuple[float, ...]
    use: Use
    across_mm: float


def set_ups(found: Iterable[Pattern]) -> tuple[SetUp, ...]:
    """The set-ups of all patterns, bit by bit, then fence by fence.

    What has the same bit, fence and stops is done in one set-up, whatever post and face it is;
    two set-ups always differ in one of these, so that there cannot be fewer, and every bit is put
    in once. Opposite holes that are alike are drilled through both walls at once. Set-ups that
    mirror each other, such as those of handed posts, follow one another: only the fence changes
    sides.
    """
    alike: dict[tuple[object, ...], list[_Operation]] = {}
    for pattern in found:
        for operation in operations(pattern):
            key = (
                operation.tool,
                round(operation.offset_mm, 4) + 0.0,
                operation.across_mm,
                tuple(round(stop, 4) + 0.0 for stop in operation.stops_mm),
            )
            alike.setdefault(key, []).append(operation)
    made = [_set_up(held) for held in alike.values()]
    return tuple(sorted(made, key=_in_order))


def _in_order(one: SetUp) -> tuple[object, ...]:
    stops = tuple(round(stop, 4) for stop in one.stops_mm)
    return (one.tool, round(one.fence_mm, 4), stops, one.fence_right)


def _set_up(held: list[_Operation]) -> SetUp:
    first = held[0]
    right = first.offset_mm > _SAME_MM
    fence = first.across_mm / 2 - abs(first.offset_mm)
    middle = abs(first.offset_mm) <= _SAME_MM
    return SetUp(first.tool, fence, right, first.stops_mm, tuple(one.use for one in held), middle)


def operations(pattern: Pattern) -> Iterator[_Operation]:
    """What is drilled into a pattern's piece: face by face, tool by tool, fence by fence."""
    prism = pattern.prism
    datum = datum_mm(prism)
    done: dict[tuple[Face, bool, Tool, float], list[float]] = {}
    for hole, through in drilled_from(prism):
        offset = round(RIGHT[hole.face] * hole.across_mm, 4) + 0.0
        key = (hole.face, through, tool_of(hole), offset)
        done.setdefault(key, []).append(hole.along_mm - datum)
    for (face, through, tool, offset), stops in done.items():
        use = Use(pattern.letter, face, through, pattern.marks)
        yield _Operation(tool, offset, tuple(sorted(stops)), use, across_mm(prism, face))


def drilled_from(prism: Prism) -> Iterator[tuple[Hole, bool]]:
    """The holes that have to be drilled, each with whether it goes through the other wall too."""
    taken: set[Hole] = set()
    for hole in prism.holes:
        if hole.face == "z" or hole in taken:
            continue
        if prism.section.inner is None:
            yield hole, _all_through(prism, hole)
            continue
        twin = next((one for one in prism.holes if _through(hole, one)), None)
        if twin is not None:
            taken.add(twin)
        yield hole, twin is not None


def _through(hole: Hole, other: Hole) -> bool:
    """Whether the other hole is this one gone on through the opposite wall of a tube."""
    if hole.face == "z" or other.face != OPPOSITE[hole.face] or any(hole.lean) or any(other.lean):
        return False
    pairs = (
        (hole.along_mm, other.along_mm),
        (hole.across_mm, other.across_mm),
        (hole.width_mm, other.width_mm),
        (hole.height_mm, other.height_mm),
    )
    return all(abs(a - b) <= _SAME_MM for a, b in pairs)


def _all_through(prism: Prism, hole: Hole) -> bool:
    """Whether a hole goes all through a solid piece."""
    corners = prism.section.outer.corners
    axis = 0 if hole.face[0] == "x" else 1
    thickness = max(c[axis] for c in corners) - min(c[axis] for c in corners)
    return hole.depth_mm >= thickness - _SAME_MM


def tool_of(hole: Hole) -> Tool:
    """The bit or mill of a hole; one that leans is bored round, square to its own axis."""
    lean = (round(hole.lean[0], 6) + 0.0, round(hole.lean[1], 6) + 0.0)
    if any(hole.lean):
        bore = round(hole.bore_mm, 4)
        return Tool(False, bore, bore, 0.0, lean)
    width, height = round(hole.width_mm, 4), round(hole.height_mm, 4)
    if math.isclose(width, height, abs_tol=_SAME_MM):
        return Tool(False, width, width, 0.0)
    return Tool(True, min(width, height), max(width, height), 0.0 if height > width else 90.0)


def lower_edge_mm(prism: Prism, face: Face) -> Vec2:
    """How far a face's own lower edge lies above the long point, at its left and at its right.

    Seen from outside with the lower end down; both are the same where the edge is square across.
    """
    outer = prism.section.outer.corners
    axis, sign = (0 if face[0] == "x" else 1), (1.0 if face[1] == "+" else -1.0)
    reach = sign * max(corner[axis] for corner in outer)
    half = max(corner[1 - axis] for corner in outer)
    datum = datum_mm(prism)
    left, right = (
        prism.start.at(*((reach, x) if axis == 0 else (x, reach))) - datum
        for x in (-half * RIGHT[face], half * RIGHT[face])
    )
    return left, right


def across_mm(prism: Prism, face: Face) -> float:
    """How wide a side face of a prism is, corner to corner."""
    axis = 1 if face[0] == "x" else 0
    values = [corner[axis] for corner in prism.section.outer.corners]
    return max(values) - min(values)
