"""Parts by their leg, and by where they stand, found without looking at all of them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

from generator.geometry import Vec2, Vec3
from generator.parts.assembly import Assembly, Kind, LegLine, Part
from generator.parts.shapes import Prism

# Side of a field of ground: a post lies in one or a few, a rail in those along it.
_FIELD_MM = 1000.0

Field = tuple[int, int]


class Nearby:
    """An index over the straight parts of an assembly of some kinds; those found keep their order.

    `kinds` are the kinds that can be asked for by place; by leg any kind can.
    """

    def __init__(self, assembly: Assembly, kinds: tuple[Kind, ...]) -> None:
        self._by_leg: dict[tuple[str, int, Kind], list[Part]] = defaultdict(list)
        self._fields: dict[Field, list[int]] = defaultdict(list)
        self._parts = assembly.parts
        for n, part in enumerate(assembly.parts):
            self._by_leg[part.run, part.leg, part.kind].append(part)
            if part.kind in kinds:
                corners = prism_corners(part)
                low = min(c[0] for c in corners), min(c[1] for c in corners)
                high = max(c[0] for c in corners), max(c[1] for c in corners)
                for field in _fields(low, high):
                    self._fields[field].append(n)

    def of_leg(self, leg: LegLine, kind: Kind, step: int = 0) -> list[Part]:
        """Parts of a leg, or of the one `step` legs further on in its run."""
        return self._by_leg.get((leg.run, leg.number + step, kind), [])

    def around(self, a: Vec3, b: Vec3, reach_mm: float) -> list[Part]:
        """Parts whose fields touch the box about two points in plan, grown by the reach."""
        low = min(a[0], b[0]) - reach_mm, min(a[1], b[1]) - reach_mm
        high = max(a[0], b[0]) + reach_mm, max(a[1], b[1]) + reach_mm
        found = {n for field in _fields(low, high) for n in self._fields.get(field, ())}
        return [self._parts[n] for n in sorted(found)]


def field_of(point: Vec3) -> Field:
    """The field of ground that a point is over."""
    return (math.floor(point[0] / _FIELD_MM), math.floor(point[1] / _FIELD_MM))


def fields_about(points: Sequence[Vec3], reach_mm: float) -> Iterator[Field]:
    """The fields under the box about points, grown by a reach and by what a part is long."""
    reach = reach_mm + _FIELD_MM
    low = min(p[0] for p in points) - reach, min(p[1] for p in points) - reach
    high = max(p[0] for p in points) + reach, max(p[1] for p in points) + reach
    return _fields(low, high)


def _fields(low: Vec2, high: Vec2) -> Iterator[Field]:
    west, south = (math.floor(value / _FIELD_MM) for value in low)
    east, north = (math.floor(value / _FIELD_MM) for value in high)
    return ((i, j) for i in range(west, east + 1) for j in range(south, north + 1))


def prism_corners(part: Part) -> list[Vec3]:
    """World corners of both ends of a straight part."""
    shape = part.shape
    assert isinstance(shape, Prism)
    outline = shape.section.outer.corners
    cuts = (shape.start, shape.end)
    return [part.place.point((x, y, cut.at(x, y))) for cut in cuts for x, y in outline]
