"""Signed distances of many pairs of convex prisms at once: separating axes, and their edges."""

from __future__ import annotations

import numpy as np

from generator.checks.kernel import (
    Apart,
    Floats,
    Ints,
    Places,
    Solids,
    cross,
    dot,
    inside,
    segment_to_prism,
    separation,
    unit,
)
from generator.frozen import dataclass

# Axes, and pairs of an edge and a prism, that are worked on at once.
_AXES_AT_ONCE = 20_000
_EDGES_AT_ONCE = 60_000


@dataclass(frozen=True, slots=True)
class Placed:
    """N prisms, those numbered `which` of `solids`, at their places."""

    solids: Solids
    which: Ints
    places: Places

    def take(self, some: Ints | slice) -> Placed:
        return Placed(self.solids, self.which[some], self.places.take(some))

    def edges(self) -> tuple[Floats, Floats]:
        """Ends of their edges, each (3, E, N), in the world."""
        tails = self.places.point(self.solids.tails.take(self.which, 2))
        return tails, tails + self.places.vector(self.solids.ways.take(self.which, 2))


def prism_gap(first: Placed, second: Placed) -> tuple[Floats, Floats]:
    """(gap, way) of prisms, pair by pair, `way` (3, N) from the second to the first.

    The largest separation along an axis, the depth negative where they overlap: both's normals, and
    those of each pair of their edges. Apart they are at least so far from each other.
    """
    count = len(first.which)
    gap, way = np.empty(count), np.empty((3, count))
    axes = first.solids.normals.shape[1] + second.solids.normals.shape[1]
    axes += first.solids.grains.shape[1] * second.solids.grains.shape[1]
    step = max(_AXES_AT_ONCE // axes, 1)
    for k in range(0, count, step):
        some = slice(k, k + step)
        gap[some], way[:, some] = _gap(first.take(some), second.take(some))
    return gap, way


def face_gap(first: Placed, second: Placed) -> Floats:
    """As `prism_gap`, along the normals of faces only: no more than that, and much quicker."""
    at, beside = first.places, second.places
    i, j = first.which, second.which
    seen = at.local(beside.point(second.solids.corners.take(j, 2)))
    normals = at.local_vector(beside.vector(second.solids.normals.take(j, 2)))
    axes = np.concatenate((first.solids.normals.take(i, 2), normals), axis=1)
    gap, _ = separation(axes, first.solids.corners.take(i, 2), seen)
    return gap


def _gap(first: Placed, second: Placed) -> tuple[Floats, Floats]:
    """All in the coordinates of the first, so that numbers stay small."""
    at, beside = first.places, second.places
    ours, theirs = first.solids, second.solids
    i, j = first.which, second.which
    seen = at.local(beside.point(theirs.corners.take(j, 2)))
    normals = at.local_vector(beside.vector(theirs.normals.take(j, 2)))
    own, grains = ours.grains.take(i, 2), at.local_vector(beside.vector(theirs.grains.take(j, 2)))
    crossed = [unit(cross(own[:, k, None], grains)) for k in range(own.shape[1])]
    axes = np.concatenate((ours.normals.take(i, 2), normals, *crossed), axis=1)
    gap, way = separation(axes, ours.corners.take(i, 2), seen)
    return gap, at.vector(way)


def prism_to_prism(first: Placed, second: Placed) -> Apart:
    """Signed distances of prisms, pair by pair.

    Overlap as by `prism_gap`. Apart, the least over the edges of either and the other: one of the
    nearest points lies on an edge.
    """
    gap, way = prism_gap(first, second)
    found = Apart(gap, np.empty((3, len(gap))), way)
    step = max(_EDGES_AT_ONCE // (first.solids.edges + second.solids.edges), 1)
    for k in range(0, len(gap), step):
        some = np.arange(len(gap))[k : k + step]
        over, apart = some[gap[some] < 0.0], some[gap[some] >= 0.0]
        found.point[:, over] = _shared_point(first.take(over), second.take(over))
        between = _between(first.take(apart), second.take(apart))
        found.distance[apart], found.point[:, apart] = between.distance, between.point
        # Where they touch, the axis that parts them stays.
        free = between.distance > 0.0
        found.way[:, apart[free]] = between.way[:, free]
    return found


def _shared_point(first: Placed, second: Placed) -> Floats:
    """A point in both prisms: the middle of the middles of their edges' stretches in the other.

    Where rounding finds no such stretch, the middle of their origins.
    """
    total, count = np.zeros((3, len(first.which))), np.zeros(len(first.which))
    for one, other in ((first, second), (second, first)):
        a, b = (other.places.local(points) for points in one.edges())
        normals = other.solids.normals.take(other.which, 2)[:, :, None]
        offsets = other.solids.offsets.take(other.which, 1)[:, None]
        enters, leaves = inside(*(dot(normals, p[:, None]) - offsets for p in (a, b)))
        within = enters <= leaves
        middle = other.places.point(a + (enters + leaves) / 2 * (b - a))
        total += np.where(within, middle, 0.0).sum(axis=1)
        count += within.sum(axis=0)
    between = (first.places.origin + second.places.origin) / 2
    return np.where(count > 0, total / np.maximum(count, 1), between)


def _between(first: Placed, second: Placed) -> Apart:
    """The nearest of the edges of either and the other."""
    ours, theirs = _edges_to_prisms(first, second), _edges_to_prisms(second, first)
    nearer = ours.distance <= theirs.distance
    return Apart(
        np.where(nearer, ours.distance, theirs.distance),
        np.where(nearer, ours.point, theirs.point),
        unit(np.where(nearer, ours.way, -theirs.way)),
    )


def _edges_to_prisms(first: Placed, second: Placed) -> Apart:
    """The nearest of the edges of the first to the second."""
    edges, count = first.solids.edges, len(first.which)
    a, b = (second.places.local(points).reshape(3, -1) for points in first.edges())
    near = segment_to_prism(a, b, second.solids, np.tile(second.which, edges))
    distance = near.distance.reshape(edges, count)
    k, pairs = distance.argmin(axis=0), np.arange(count)
    points = (a + near.at * (b - a)).reshape(3, edges, count)[:, k, pairs]
    way = near.way.reshape(3, edges, count)[:, k, pairs]
    return Apart(distance[k, pairs], second.places.point(points), second.places.vector(way))
