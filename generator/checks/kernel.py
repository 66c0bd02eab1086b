"""Exact distances of many pairs at once: segments and convex prisms, negative where they overlap.

All arrays hold components first and pairs last, (3, N), so that each operation runs over memory in
order. Distances are mm; those of overlapping solids are minus the least shift that parts them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from generator.frozen import dataclass

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

# Pairs that are worked on at once: what they need stays in the processor's cache.
_AT_ONCE = 1024
# Square of the sine at which segments are parallel but for rounding.
_PARALLEL = 1e-28
# Below it the cross product of two unit vectors is rounding.
_NO_LENGTH = 1e-9
# How far outside a face a foot may lie for rounding; what it adds to a distance is of second order.
_ON_FACE_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Solids:
    """T convex prisms of n corners each, in their own coordinates, z along them.

    `corners` (3, 2n, T): the ring of the start, then that of the end; `normals` (3, n + 2, T) point
    outward and lie `offsets` (n + 2, T) from the origin; `tails`, `ways` (3, 3n, T) are the edges;
    `grains` (3, D, T) their directions, each once; `cosines` (F, F, T) are between normals.
    """

    corners: Floats
    normals: Floats
    offsets: Floats
    tails: Floats
    ways: Floats
    grains: Floats
    cosines: Floats

    @property
    def edges(self) -> int:
        return self.tails.shape[1]


@dataclass(frozen=True, slots=True)
class Places:
    """N frames: `origin` (3, N), and `axes` (3, 3, N), the first index that of the axis."""

    origin: Floats
    axes: Floats

    def take(self, which: Ints | slice) -> Places:
        if isinstance(which, slice):
            return Places(self.origin[:, which], self.axes[:, :, which])
        return Places(self.origin.take(which, 1), self.axes.take(which, 2))

    def vector(self, local: Floats) -> Floats:
        """World components of directions (3, N) or (3, K, N)."""
        axes = self.axes if local.ndim == 2 else self.axes[:, :, None]
        return local[0] * axes[0] + local[1] * axes[1] + local[2] * axes[2]

    def point(self, local: Floats) -> Floats:
        return self.vector(local) + _like(self.origin, local)

    def local_vector(self, world: Floats) -> Floats:
        axes = self.axes if world.ndim == 2 else self.axes[:, :, None]
        return np.stack([dot(axis, world) for axis in axes])

    def local(self, world: Floats) -> Floats:
        return self.local_vector(world - _like(self.origin, world))


def _like(vectors: Floats, points: Floats) -> Floats:
    return vectors if points.ndim == 2 else vectors[:, None]


@dataclass(frozen=True, slots=True)
class Near:
    """What N segments are from N prisms.

    `distance` is 0 where one `crosses` the other; `at` is where along the segment the nearest point
    lies, 0 to 1, or the middle of what is inside; `way` (3, N) points from there to the segment.
    """

    distance: Floats
    at: Floats
    way: Floats
    crosses: Bools


@dataclass(frozen=True, slots=True)
class Apart:
    """Signed distances of N pairs of solids: where to look, and the way from second to first."""

    distance: Floats
    point: Floats
    way: Floats


def prisms(rings: Floats, starts: Floats, ends: Floats) -> Solids:
    """Prisms over convex rings (2, n, T), counter-clockwise.

    `starts` and `ends` (3, T) are the cuts z = c + p x + q y as (c, p, q).
    """
    _, n, count = rings.shape
    x, y = rings
    corners = np.empty((3, 2 * n, count))
    corners[:2, :n] = corners[:2, n:] = rings
    for ring, cut in ((corners[2, :n], starts), (corners[2, n:], ends)):
        ring[:] = cut[0] + cut[1] * x + cut[2] * y
    following = np.roll(np.arange(n), -1)
    tails = np.concatenate((corners, corners[:, :n]), axis=1)
    heads = np.concatenate(
        (corners[:, following], corners[:, n + following], corners[:, n:]), axis=1
    )
    normals = np.zeros((3, n + 2, count))
    normals[0, :n], normals[1, :n] = y[following] - y, x - x[following]
    normals[:, n] = np.stack((starts[1], starts[2], np.full(count, -1.0)))
    normals[:, n + 1] = np.stack((-ends[1], -ends[2], np.ones(count)))
    normals = unit(normals)
    feet = np.concatenate((corners[:, :n], corners[:, :1], corners[:, n : n + 1]), axis=1)
    ways = heads - tails
    # The edges from end to end all run along z.
    along = np.zeros((3, 1, count))
    along[2] = 1.0
    grains = _distinct(np.concatenate((unit(ways[:, : 2 * n]), along), axis=1))
    return Solids(
        corners=corners,
        normals=normals,
        offsets=dot(normals, feet),
        tails=tails,
        ways=ways,
        grains=grains,
        cosines=dot(normals[:, :, None], normals[:, None]),
    )


def _distinct(directions: Floats) -> Floats:
    """Directions (3, D, T) without those that repeat one of the same prism in all T."""
    parallel = np.abs(dot(directions[:, :, None], directions[:, None])) > 1.0 - 1e-14
    count = directions.shape[1]
    before = np.arange(count) < np.arange(count)[:, None]
    seen = (parallel & before[:, :, None]).any(axis=1)
    seen |= dot(directions, directions) < 0.5
    return directions[:, ~seen.all(axis=1)]


def dot(a: Floats, b: Floats) -> Floats:
    """Products of vectors whose components come first."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Floats, b: Floats) -> Floats:
    first = a[1] * b[2] - a[2] * b[1]
    c = np.empty((3, *first.shape))
    c[0] = first
    c[1] = a[2] * b[0] - a[0] * b[2]
    c[2] = a[0] * b[1] - a[1] * b[0]
    return c


def segment_to_segment(a: Floats, b: Floats, c: Floats, d: Floats) -> tuple[Floats, Floats, Floats]:
    """(distance, s, t) of the segments a-b and c-d, s and t the places of the nearest points."""
    u, v, r = b - a, d - c, a - c
    s, t = _feet(u, v, r)
    return _length(r + s * u - t * v), s, t


def segment_to_prism(a: Floats, b: Floats, solids: Solids, which: Ints) -> Near:
    """Distance of the segments a-b (3, N), in the prisms' own coordinates, to the prisms `which`.

    Exact: the least over the prism's edges, and over the ends of the segment that lie square off
    one of its faces.
    """
    count = a.shape[1]
    found = Near(
        np.empty(count), np.empty(count), np.empty((3, count)), np.empty(count, dtype=np.bool_)
    )
    for k in range(0, count, _AT_ONCE):
        some = slice(k, k + _AT_ONCE)
        near = _segment_to_prism(a[:, some], b[:, some], solids, which[some])
        found.distance[some], found.at[some] = near.distance, near.at
        found.way[:, some], found.crosses[some] = near.way, near.crosses
    return found


def _segment_to_prism(a: Floats, b: Floats, solids: Solids, which: Ints) -> Near:
    u = b - a
    normals, offsets = solids.normals.take(which, 2), solids.offsets.take(which, 1)
    over_a = dot(normals, a[:, None]) - offsets
    over_b = dot(normals, b[:, None]) - offsets
    enters, leaves = inside(over_a, over_b)
    crosses = enters <= leaves
    tails, ways = solids.tails.take(which, 2), solids.ways.take(which, 2)
    r = a[:, None] - tails
    s, t = _feet(u[:, None], ways, r)
    off = r + s * u[:, None] - t * ways
    squared = dot(off, off)
    k, pairs = squared.argmin(axis=0), np.arange(a.shape[1])
    distance, at, way = np.sqrt(squared[k, pairs]), s[k, pairs], off[:, k, pairs]
    # An end of the segment square off a face: it can only be the face that it is farthest over.
    for place, over in ((0.0, over_a), (1.0, over_b)):
        face = over.argmax(axis=0)
        height = over[face, pairs]
        foot = over - height * solids.cosines[face, :, which].T
        nearer = (height < distance) & (height >= 0.0) & (foot.max(axis=0) <= _ON_FACE_MM)
        distance, at = np.where(nearer, height, distance), np.where(nearer, place, at)
        way = np.where(nearer, normals[:, face, pairs], way)
    distance = np.where(crosses, 0.0, distance)
    at = np.where(crosses, (enters + leaves) / 2, at)
    return Near(distance, at, way, crosses)


def inside(over_a: Floats, over_b: Floats) -> tuple[Floats, Floats]:
    """Where segments enter and leave solids (Cyrus-Beck clipping); enters > leaves: nowhere."""
    fall = over_a - over_b
    with np.errstate(divide="ignore", invalid="ignore"):
        at = over_a / fall
    enters = np.where(fall > 0.0, at, 0.0).max(axis=0)
    leaves = np.where(fall < 0.0, at, 1.0).min(axis=0)
    beside = ((fall == 0.0) & (over_a > 0.0)).any(axis=0)
    return np.maximum(enters, 0.0), np.where(beside, -1.0, np.minimum(leaves, 1.0))


def _feet(u: Floats, v: Floats, r: Floats) -> tuple[Floats, Floats]:
    """Places of the nearest points on two segments along u and v, r from the second's start.

    The nearest point of one line to the other, clamped, then the best answer of each in turn
    (Ericson, Real-Time Collision Detection, 5.1.9, from memory). That point is taken from cross
    products, which keep their digits where the segments are all but parallel.
    """
    w = cross(u, v)
    across, uu, vv, uv = dot(w, w), dot(u, u), dot(v, v), dot(u, v)
    with np.errstate(divide="ignore", invalid="ignore"):
        s = np.where(across > _PARALLEL * uu * vv, -dot(cross(r, v), w) / across, 0.0)
        s = np.minimum(np.maximum(s, 0.0), 1.0)
        t = np.where(vv > 0.0, (uv * s + dot(v, r)) / vv, 0.0)
        t = np.minimum(np.maximum(t, 0.0), 1.0)
        s = np.where(uu > 0.0, (uv * t - dot(u, r)) / uu, 0.0)
        s = np.minimum(np.maximum(s, 0.0), 1.0)
    return s, t


def _length(a: Floats) -> Floats:
    return np.sqrt(dot(a, a))


def segment_depth(a: Floats, b: Floats, solids: Solids, which: Ints) -> tuple[Floats, Floats]:
    """(depth, way) of segments that cross prisms: the least shift along `way` that frees them.

    By separating axes: the normals of the faces, and those of every edge and the segment.
    """
    grains = solids.grains.take(which, 2)
    crossed = unit(cross(unit(b - a)[:, None], grains))
    axes = np.concatenate((solids.normals.take(which, 2), crossed), axis=1)
    gap, way = separation(axes, np.stack((a, b), axis=1), solids.corners.take(which, 2))
    return -gap, way


def separation(axes: Floats, first: Floats, second: Floats) -> tuple[Floats, Floats]:
    """(gap, way) of two sets of corners: the largest over axes (3, A, N), negative in overlap.

    An axis without length takes no part.
    """
    low, high = _reach(axes, first)
    other_low, other_high = _reach(axes, second)
    ahead, behind = low - other_high, other_low - high
    gap = np.where(dot(axes, axes) > 0.5, np.maximum(ahead, behind), -np.inf)
    k, pairs = gap.argmax(axis=0), np.arange(gap.shape[1])
    sign = np.where(ahead[k, pairs] >= behind[k, pairs], 1.0, -1.0)
    return gap[k, pairs], axes[:, k, pairs] * sign


def _reach(axes: Floats, corners: Floats) -> tuple[Floats, Floats]:
    """Least and greatest measure of corners (3, V, N) along axes (3, A, N)."""
    low = high = dot(axes, corners[:, 0, None])
    for k in range(1, corners.shape[1]):
        along = dot(axes, corners[:, k, None])
        low, high = np.minimum(low, along), np.maximum(high, along)
    return low, high


def unit(vectors: Floats) -> Floats:
    """Vectors at length 1; those that have next to none at 0."""
    size = np.sqrt(dot(vectors, vectors))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(size > _NO_LENGTH, vectors / size, 0.0)
