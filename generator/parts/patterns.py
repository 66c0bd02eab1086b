"""Which drilled pieces are drilled alike, turned about their axis or mirrored: their patterns."""

from __future__ import annotations

import string
from collections.abc import Callable, Sequence
from dataclasses import replace

from generator.frozen import dataclass
from generator.geometry import EndPlane
from generator.parts.assembly import Assembly, Kind, Part, PostDetail, SpacerDetail
from generator.parts.shapes import Face, Hole, Prism, Rectangle

DRILLED: tuple[Kind, ...] = ("post", "column", "spacer")

FACE_NAMES: dict[Face, str] = {
    "x-": "back",
    "x+": "front",
    "y-": "right",
    "y+": "left",
    "z": "end",
}
"""What the faces are called: a post's frame has x along its bearing and y to the left of it."""

# Each face, seen from above, comes to lie where the next one was after a quarter turn to the left.
_AROUND: tuple[Face, ...] = ("x+", "y+", "x-", "y-")

_Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class DrilledPiece:
    """One piece of a pattern. Turned by `turn_deg` about its axis it is drilled as the first is.

    A piece that was turned has its front where the first one has its left (90), its back (180) or
    its right (270).
    """

    part: Part
    turn_deg: int = 0


@dataclass(frozen=True, slots=True)
class Pattern:
    """Pieces drilled alike, whatever their length; the first is the one that is drawn.

    `handed` is the letter of the pattern that is this one mirrored, empty for none or where a
    piece is its own mirror image.
    """

    letter: str
    kind: Kind
    pieces: tuple[DrilledPiece, ...]
    handed: str = ""

    @property
    def part(self) -> Part:
        """The piece that is drawn."""
        return self.pieces[0].part

    @property
    def prism(self) -> Prism:
        """The shape of the piece that is drawn, every hole told once."""
        shape = self.part.shape
        assert isinstance(shape, Prism)
        return replace(shape, holes=tuple(dict.fromkeys(shape.holes)))

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(piece.part.mark for piece in self.pieces)


def patterns(assembly: Assembly) -> tuple[Pattern, ...]:
    """The patterns of all drilled posts, standing posts and spacers, lettered as they appear.

    Tickets, drill sheets, templates and schedules ask for them: they are found once.
    """
    if "patterns" not in assembly.worked_out:
        assembly.worked_out["patterns"] = _found(assembly)
    return assembly.worked_out["patterns"]


def _found(assembly: Assembly) -> tuple[Pattern, ...]:
    found: dict[_Key, list[DrilledPiece]] = {}
    mirrors: dict[_Key, _Key] = {}
    for part in assembly.of_kind(*DRILLED):
        shape = part.shape
        if not isinstance(shape, Prism) or not shape.holes:
            continue
        head = (part.kind, shape.section)
        turns = _turned_keys(shape)
        own = (head, min(turns))
        if own not in found:
            mirrors[own] = (head, min(_turned_keys(_mirrored(shape))))
        alike = found.setdefault(own, [])
        first = _turned_keys(alike[0].part.shape)[0] if alike else turns[0]
        step = 360 // len(turns)
        alike.append(DrilledPiece(part, turns.index(first) * step))
    letters = {key: _letters(number) for number, key in enumerate(found)}
    return tuple(
        Pattern(
            letters[key],
            pieces[0].part.kind,
            tuple(pieces),
            letters.get(mirrors[key], "") if mirrors[key] != key else "",
        )
        for key, pieces in found.items()
    )


def pattern_letters(assembly: Assembly) -> dict[str, str]:
    """The letter of each drilled piece's pattern, by mark."""
    return {mark: pattern.letter for pattern in patterns(assembly) for mark in pattern.marks}


def base_lift_mm(part: Part) -> float:
    """From the underside of a post's base up to where its own coordinates begin; 0 of a spacer."""
    if isinstance(part.detail, PostDetail):
        return part.place.origin[2] - part.detail.base_z_mm
    return 0.0


def datum_mm(prism: Prism) -> float:
    """What a stop touches: the long point of the lower end, in the piece's own coordinates."""
    return min(prism.start.at(x, y) for x, y in prism.section.outer.corners)


def rows_at(part: Part) -> dict[int, str]:
    """What goes through each hole, by its place in the prism: row 3, cable."""
    detail = part.detail
    told: dict[int, str] = {}
    for drilled in detail.drilling if isinstance(detail, PostDetail | SpacerDetail) else ():
        for index in drilled.walls:
            told[index] = f"row {drilled.row}, {drilled.purpose}"
    return told


def _turned_keys(shape: object) -> list[tuple[object, ...]]:
    """Sortable keys of a drilled prism as it is and after each turn that its section allows."""
    assert isinstance(shape, Prism)
    outer = shape.section.outer
    square = not isinstance(outer, Rectangle) or outer.width_mm == outer.depth_mm
    keys = [_key(shape)]
    for _ in range(3):
        shape = _quarter_turned(shape)
        keys.append(_key(shape))
    return keys if square else keys[::2]


def _key(shape: Prism) -> tuple[object, ...]:
    holes = sorted({_rounded(hole) for hole in shape.holes})
    return (round(shape.start.slope_x, 7) + 0.0, round(shape.start.slope_y, 7) + 0.0, *holes)


def _rounded(hole: Hole) -> tuple[str | float, ...]:
    """Equal up to rounding noise, from face to drift."""
    sizes = (hole.along_mm, hole.across_mm, hole.width_mm, hole.height_mm, hole.depth_mm)
    lean = (round(drift, 7) + 0.0 for drift in hole.lean)
    return (hole.face, *(round(size, 4) + 0.0 for size in sizes), *lean)


def _quarter_turned(shape: Prism) -> Prism:
    """A quarter turn to the left seen from above: x becomes y, and y becomes -x."""

    def turned(hole: Hole) -> Hole:
        if hole.face == "z":
            return replace(hole, across_mm=-hole.along_mm, along_mm=hole.across_mm)
        face = _AROUND[(_AROUND.index(hole.face) + 1) % 4]
        sign = -1.0 if hole.face[0] == "x" else 1.0
        lean = (sign * hole.lean[0], hole.lean[1])
        return replace(hole, face=face, across_mm=sign * hole.across_mm, lean=lean)

    return _with(shape, turned, lambda cut: EndPlane(cut.z_mm, -cut.slope_y, cut.slope_x))


def _mirrored(shape: Prism) -> Prism:
    """The other hand: left and right change places."""
    other: dict[Face, Face] = {"y-": "y+", "y+": "y-"}

    def mirrored(hole: Hole) -> Hole:
        if hole.face == "z":
            return replace(hole, along_mm=-hole.along_mm)
        sign = -1.0 if hole.face[0] == "x" else 1.0
        lean = (sign * hole.lean[0], hole.lean[1])
        face = other.get(hole.face, hole.face)
        return replace(hole, face=face, across_mm=sign * hole.across_mm, lean=lean)

    return _with(shape, mirrored, lambda cut: EndPlane(cut.z_mm, cut.slope_x, -cut.slope_y))


def _with(
    shape: Prism, moved: Callable[[Hole], Hole], cut: Callable[[EndPlane], EndPlane]
) -> Prism:
    holes: Sequence[Hole] = [moved(hole) for hole in shape.holes]
    return Prism(shape.section, cut(shape.start), cut(shape.end), tuple(holes))


def _letters(number: int) -> str:
    """A, B, ... Z, AA, AB and so on."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = string.ascii_uppercase[rest] + name
    return name
