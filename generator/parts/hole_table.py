"""The holes of a pattern as a table for the drill: face, height, offset, size, set-up."""

from __future__ import annotations

from generator.frozen import dataclass
from generator.parts.patterns import FACE_NAMES, Pattern, base_lift_mm, datum_mm, rows_at
from generator.parts.setups import (
    OPPOSITE,
    RIGHT,
    SetUp,
    Tool,
    drilled_from,
    lower_edge_mm,
    tool_of,
)
from generator.parts.shapes import Face, Hole, Prism

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One hole to be drilled, through both walls at once where `through`.

    `above_end_mm` is the centre's height above the long point of the lower end, `above_base_mm`
    above the underside of the base, None where the pieces of the pattern differ in it. `offset_mm`
    is from the middle of the face, to the right seen from outside with the lower end down.
    `set_up` counts from 1; `hole` is as it is told of the piece that is drawn. `blind_mm` is how
    deep it goes into solid material that it does not leave.
    """

    number: int
    face: Face
    through: bool
    hole: Hole
    tool: Tool
    above_end_mm: float
    above_base_mm: float | None
    offset_mm: float
    what: str
    set_up: int
    blind_mm: float | None = None

    @property
    def faces(self) -> str:
        """The face that it is drilled from, and the one where it comes out."""
        name = FACE_NAMES[self.face]
        return f"{name}, through {FACE_NAMES[OPPOSITE[self.face]]}" if self.through else name

    @property
    def mouths(self) -> tuple[Face, ...]:
        """The faces on which it shows."""
        return (self.face, OPPOSITE[self.face]) if self.through else (self.face,)

    def lowest_mm(self, face: Face) -> float:
        """The hole's lowest point on a face that it shows on, above the same long point.

        A hole that leans comes out as much higher or lower as it drifts on its way.
        """
        drift = 0.0 if face == self.face else self.hole.lean[1] * self.hole.depth_mm
        return self.above_end_mm + drift - self.hole.height_mm / 2


@dataclass(frozen=True, slots=True)
class Hook:
    """Where a tape is hooked to measure on a face: `above_mm` over the long point of the piece.

    On the face's own lower edge where that is `square` across; else on the long corner of it.
    """

    above_mm: float
    square: bool


def hook(prism: Prism, face: Face) -> Hook:
    """Where a tape that lies on a face is hooked on the face's own edge."""
    left, right = lower_edge_mm(prism, face)
    return Hook(min(left, right), abs(left - right) < _SAME_MM)


def hole_rows(pattern: Pattern, found: tuple[SetUp, ...]) -> tuple[HoleRow, ...]:
    """The holes of a pattern face by face from the lower end up, numbered on each face."""
    prism = pattern.prism
    datum = datum_mm(prism)
    lift = _common_lift(pattern)
    shape = pattern.part.shape
    assert isinstance(shape, Prism)
    what = rows_at(pattern.part)
    told = {hole: what.get(k, "") for k, hole in enumerate(shape.holes)}
    drilled = sorted(
        drilled_from(prism), key=lambda pair: (pair[0].face, pair[0].along_mm, pair[0].across_mm)
    )
    rows: list[HoleRow] = []
    for hole, through in drilled:
        number = 1 + sum(row.face == hole.face for row in rows)
        above = hole.along_mm - datum
        rows.append(
            HoleRow(
                number,
                hole.face,
                through,
                hole,
                tool_of(hole),
                above,
                None if lift is None else hole.along_mm + lift,
                RIGHT[hole.face] * hole.across_mm,
                told[hole],
                _set_up_of(pattern, hole, through, above, found),
                None if through or prism.section.inner else hole.depth_mm,
            )
        )
    return tuple(rows)


def _common_lift(pattern: Pattern) -> float | None:
    if pattern.kind == "spacer":
        return None
    lifts = [base_lift_mm(piece.part) for piece in pattern.pieces]
    return lifts[0] if max(lifts) - min(lifts) < _SAME_MM else None


def _set_up_of(
    pattern: Pattern, hole: Hole, through: bool, above: float, found: tuple[SetUp, ...]
) -> int:
    """The number of the set-up that makes a hole.

    Raises:
        ValueError: none of them does.
    """
    for number, one in enumerate(found, start=1):
        right = RIGHT[hole.face] * hole.across_mm > _SAME_MM
        used = any(
            use.letter == pattern.letter and use.face == hole.face and use.through == through
            for use in one.uses
        )
        stopped = any(abs(stop - above) < _SAME_MM for stop in one.stops_mm)
        if used and stopped and one.tool == tool_of(hole) and one.fence_right == right:
            return number
    raise ValueError(f"no set-up drills a hole of pattern {pattern.letter}")
