"""Outlines of sections as convex ones: rounds as the figure around them, concave ones in pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.geometry import EndPlane, Vec2
from generator.parts.shapes import Circle, Outline, Polygon, Rectangle

# A round is taken as the figure of so many sides about it.
SIDES = 24
Ring = tuple[Vec2, ...]

_EPS = 1e-9
_EPS_MM = 1e-9


def rough(outline: Outline) -> tuple[Ring, ...]:
    """Convex pieces that hold the outline: sharp corners, the square about a circle."""
    if isinstance(outline, Polygon):
        return convex_pieces(outline.corners)
    return (outline.corners,)


def fine(outline: Outline) -> tuple[Ring, ...]:
    """As `rough`, but a round of radius r is larger by at most r (1 / cos 7.5 deg - 1): 0.86 %."""
    if isinstance(outline, Circle):
        return (tuple(_about((0.0, 0.0), outline.diameter_mm / 2, 0, SIDES)),)
    if isinstance(outline, Rectangle) and outline.corner_mm > 0.0:
        return (_rounded(outline),)
    return rough(outline)


def has_rounds(outline: Outline) -> bool:
    """Whether `fine` fits it better than `rough`."""
    return isinstance(outline, Circle) or (
        isinstance(outline, Rectangle) and outline.corner_mm > 0.0
    )


def _rounded(outline: Rectangle) -> Ring:
    """A rectangle whose corners are arcs, each a quarter of the figure about its circle."""
    corner = outline.corner_mm
    x, y = outline.width_mm / 2 - corner, outline.depth_mm / 2 - corner
    centres = ((x, y), (-x, y), (-x, -y), (x, -y))
    quarter = SIDES // 4
    return tuple(
        point
        for k, centre in enumerate(centres)
        for point in _about(centre, corner, k * quarter, quarter)
    )


def _about(centre: Vec2, radius_mm: float, first: int, count: int) -> Iterator[Vec2]:
    reach = radius_mm / math.cos(math.pi / SIDES)
    for k in range(first, first + count):
        turn = 2.0 * math.pi * (k + 0.5) / SIDES
        yield centre[0] + reach * math.cos(turn), centre[1] + reach * math.sin(turn)


def between_cuts(ring: Ring, start: EndPlane, end: EndPlane) -> Ring:
    """What of a convex ring lies where the end cut is beyond the start cut."""

    height = end.z_mm - start.z_mm
    slope_x, slope_y = end.slope_x - start.slope_x, end.slope_y - start.slope_y
    rooms = [height + slope_x * x + slope_y * y for x, y in ring]
    if min(rooms) > 0.0:
        return ring
    found: list[Vec2] = []
    for k, b in enumerate(ring):
        a, over_a, over_b = ring[k - 1], rooms[k - 1], rooms[k]
        if over_a >= 0.0:
            found.append(a)
        if over_a * over_b < 0.0:
            t = over_a / (over_a - over_b)
            found.append((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
    return tuple(found)


def convex_pieces(corners: Sequence[Vec2]) -> tuple[Ring, ...]:
    """A simple polygon, counter-clockwise, as convex pieces that share sides.

    Ears are cut off and joined again while the piece stays convex (Hertel-Mehlhorn): at most four
    times as many pieces as the fewest there are.
    """
    ring = _without_flats(corners)
    if _convex(ring):
        return (ring,)
    pieces = list(_ears(list(ring)))
    merged = True
    while merged:
        merged = False
        for i in range(len(pieces)):
            for j in range(i + 1, len(pieces)):
                joined = _joined(pieces[i], pieces[j])
                if joined:
                    pieces[i] = joined
                    del pieces[j]
                    merged = True
                    break
            if merged:
                break
    return tuple(pieces)


def _without_flats(corners: Sequence[Vec2]) -> Ring:
    """Corners that turn; those on a straight side are no corners."""
    ring = [p for k, p in enumerate(corners) if math.dist(p, corners[k - 1]) > _EPS_MM]
    count = len(ring)
    turning = tuple(
        ring[k]
        for k in range(count)
        if abs(_sine(ring[k - 1], ring[k], ring[(k + 1) % count])) > _EPS
    )
    return turning if len(turning) >= 3 else tuple(ring)


def _sine(a: Vec2, b: Vec2, c: Vec2) -> float:
    """Of the turn at b, left positive."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    size = math.hypot(ux, uy) * math.hypot(vx, vy)
    return (ux * vy - uy * vx) / size if size else 0.0


def _convex(ring: Sequence[Vec2]) -> bool:
    count = len(ring)
    return all(_sine(ring[k - 1], ring[k], ring[(k + 1) % count]) > -_EPS for k in range(count))


def _ears(ring: list[Vec2]) -> Iterator[Ring]:
    """Triangles of a simple polygon."""
    while len(ring) > 3:
        count = len(ring)
        # Of the ears the one with the best angle, so that pieces are no slivers.
        best = max(
            (k for k in range(count) if _is_ear(ring, k)),
            key=lambda k: _sine(ring[k - 1], ring[k], ring[(k + 1) % count]),
            default=None,
        )
        if best is None:
            # Corners that lie on one another: what is left has no area worth a piece.
            return
        yield (ring[best - 1], ring[best], ring[(best + 1) % count])
        del ring[best]
    yield tuple(ring)


def _is_ear(ring: Sequence[Vec2], k: int) -> bool:
    a, b, c = ring[k - 1], ring[k], ring[(k + 1) % len(ring)]
    if _sine(a, b, c) <= _EPS:
        return False
    return not any(_within(p, (a, b, c)) for p in ring if p not in (a, b, c))


def _within(p: Vec2, triangle: Ring) -> bool:
    return all(
        _sine(a, b, p) >= 0.0 for a, b in zip(triangle, triangle[1:] + triangle[:1], strict=True)
    )


def _joined(first: Ring, second: Ring) -> Ring | None:
    """Two pieces across a side that they share, if that makes a convex one."""
    for k, a in enumerate(first):
        b = first[(k + 1) % len(first)]
        if b in second:
            m = second.index(b)
            if second[(m + 1) % len(second)] == a:
                ours = first[(k + 1) % len(first) :] + first[: (k + 1) % len(first)]
                theirs = second[(m + 1) % len(second) :] + second[: (m + 1) % len(second)]
                ring = ours[:-1] + theirs[:-1]
                return _without_flats(ring) if _convex(ring) else None
    return None
