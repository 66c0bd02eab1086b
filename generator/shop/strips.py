"""Which faces are drilled alike, as strips for templates, and how strips share pages."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.patterns import FACE_NAMES, Pattern, datum_mm
from generator.parts.setups import RIGHT, across_mm, lower_edge_mm, tool_of
from generator.parts.shapes import Face, Hole
from generator.products.flat import mouth
from generator.shop.words import tilt_words

_SAME_MM = 1e-3
BEYOND_MM = 8.0
"""How far a strip runs on beyond the middle of its highest hole."""


@dataclass(frozen=True, slots=True)
class StripHole:
    """A hole of a strip: its number from below, its centre and its outline on the face, mm."""

    number: int
    centre: Vec2
    outline: tuple[Vec2, ...]
    height_mm: float


@dataclass(frozen=True, slots=True)
class Strip:
    """A face as it is laid on the piece: x from its middle, y from the long point of the lower end.

    `edge_mm` is how far the face's own lower edge lies above that long point, left and right;
    `uses` are the faces that are drilled like it: pattern, face, marks. `number` counts from 1,
    `tilt` tells in words how its holes lean, empty where they are square to the face.
    """

    number: int
    width_mm: float
    holes: tuple[StripHole, ...]
    uses: tuple[tuple[str, str, tuple[str, ...]], ...]
    tilt: str = ""
    edge_mm: Vec2 = (0.0, 0.0)

    @property
    def sloped(self) -> bool:
        """Whether the face's edge lies off the long point, at one side at least."""
        return max(self.edge_mm) > _SAME_MM

    @property
    def length_mm(self) -> float:
        return max(hole.centre[1] for hole in self.holes) + BEYOND_MM


@dataclass(frozen=True, slots=True)
class Tile:
    """The stretch of a group of strips that one page holds: from `low_mm` to `high_mm`.

    The last `overlap_mm` of a page are the first of the next.
    """

    number: int
    count: int
    low_mm: float
    high_mm: float
    overlap_mm: float

    @property
    def joins_mm(self) -> tuple[float | None, float | None]:
        """The middles of the overlaps with the page before and the page after."""
        half = self.overlap_mm / 2
        before = self.low_mm + half if self.number > 1 else None
        return before, self.high_mm - half if self.number < self.count else None


def strips(found: Iterable[Pattern]) -> tuple[Strip, ...]:
    """The distinct strips of all patterns, wide ones first, in the order of the patterns."""
    alike: dict[tuple[object, ...], list[tuple[Pattern, Face]]] = {}
    for pattern in found:
        faces: set[Face] = {hole.face for hole in pattern.prism.holes if hole.face != "z"}
        for face in sorted(faces):
            alike.setdefault(_key(pattern, face), []).append((pattern, face))
    ordered = sorted(alike.values(), key=lambda held: -across_mm(held[0][0].prism, held[0][1]))
    return tuple(_strip(number, held) for number, held in enumerate(ordered, start=1))


def _holes(pattern: Pattern, face: Face) -> list[Hole]:
    held = [hole for hole in pattern.prism.holes if hole.face == face]
    return sorted(held, key=lambda hole: (hole.along_mm, RIGHT[face] * hole.across_mm))


def _centre(pattern: Pattern, hole: Hole) -> Vec2:
    return (RIGHT[hole.face] * hole.across_mm, hole.along_mm - datum_mm(pattern.prism))


def _key(pattern: Pattern, face: Face) -> tuple[object, ...]:
    holes = tuple(
        tuple(
            round(value, 3) + 0.0
            for value in (
                *_centre(pattern, hole),
                hole.width_mm,
                hole.height_mm,
                RIGHT[face] * hole.lean[0],
                hole.lean[1],
            )
        )
        for hole in _holes(pattern, face)
    )
    edge = tuple(round(end, 3) + 0.0 for end in lower_edge_mm(pattern.prism, face))
    return (round(across_mm(pattern.prism, face), 3), *edge, *holes)


def _strip(number: int, held: Sequence[tuple[Pattern, Face]]) -> Strip:
    pattern, face = held[0]
    holes = tuple(
        StripHole(k, _centre(pattern, hole), mouth(hole, _centre(pattern, hole)), hole.height_mm)
        for k, hole in enumerate(_holes(pattern, face), start=1)
    )
    uses = tuple((one.letter, FACE_NAMES[at], one.marks) for one, at in held)
    tilts = dict.fromkeys(tilt_words(tool_of(hole)) for hole in _holes(pattern, face))
    tilt = " or ".join(filter(None, tilts))
    edge = lower_edge_mm(pattern.prism, face)
    return Strip(number, across_mm(pattern.prism, face), holes, uses, tilt, edge)


def groups(found: Sequence[Strip], room_mm: float, gap_mm: float) -> list[list[Strip]]:
    """Strips side by side, each on the first page that is wide enough; a wider one goes alone."""
    rows: list[list[Strip]] = []
    used: list[float] = []
    for strip in found:
        need = gap_mm + strip.width_mm
        k = next((k for k, width in enumerate(used) if width + need <= room_mm), None)
        if k is None:
            rows.append([strip])
            used.append(strip.width_mm)
        else:
            rows[k].append(strip)
            used[k] += need
    return rows


def tiles(group: Sequence[Strip], tall_mm: float, overlap_mm: float) -> list[Tile]:
    """The stretches of a group from the lower end up; neighbours share an overlap.

    Every hole lies whole on one page at least: the overlap is taller than any hole.
    """
    length = max(strip.length_mm for strip in group)
    tallest = max(hole.height_mm for strip in group for hole in strip.holes)
    overlap = max(overlap_mm, tallest + 4.0)
    step = tall_mm - overlap
    count = max(1, math.ceil((length - tall_mm) / step) + 1)
    return [Tile(k + 1, count, k * step, k * step + tall_mm, overlap) for k in range(count)]
