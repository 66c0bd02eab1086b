"""How far bodies are apart: quick lower bounds for many pairs, true signed distances for few.

A body lies within its rod, where it is one, and within its prisms. So the larger of what these say
is the better bound; it is exact where a rod is met on its side, and between bodies without rounds.
Elsewhere at most 0.86 % of the radii of rounds is missing, at a slanted end as much more as the cut
is longer than the section.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generator.checks.bodies import Bodies, Prisms, Rod, gathered
from generator.checks.kernel import (
    Apart,
    Bools,
    Floats,
    Ints,
    Solids,
    cross,
    segment_depth,
    segment_to_prism,
    segment_to_segment,
    unit,
)
from generator.checks.overlap import Placed, face_gap, prism_gap, prism_to_prism

# Axes nearer than this cross: the way between them is square to both.
_CROSS_MM = 1e-9


def lower_bounds(bodies: Bodies, i: Ints, j: Ints, enough: Floats | None = None) -> Floats:
    """For pairs of bodies, no more than their true distance; below 0 where they may overlap.

    What is known to be `enough` for a pair is not made better.
    """
    found = np.empty(len(i))
    rod_i, rod_j = bodies.radius[i] > 0.0, bodies.radius[j] > 0.0
    both = np.flatnonzero(rod_i & rod_j)
    found[both] = _rods(bodies, i[both], j[both]).distance
    for some, rods, others in (
        (np.flatnonzero(rod_i & ~rod_j), i, j),
        (np.flatnonzero(~rod_i & rod_j), j, i),
    ):
        found[some] = _axes_over(bodies, rods[some], others[some])
    plain = np.flatnonzero(~rod_i & ~rod_j)
    if enough is None:
        found[plain] = _prism_gaps(bodies, i[plain], j[plain])
        return found
    for some, first, second in _in_batches(bodies, i[plain], j[plain], bodies.rough):
        found[plain[some]] = face_gap(first, second)
    plain = plain[found[plain] < enough[plain]]
    found[plain] = _prism_gaps(bodies, i[plain], j[plain])
    return found


def distances(bodies: Bodies, i: Ints, j: Ints) -> Apart:
    """Signed distances of pairs of bodies, with a point between and the way from j to i."""
    found = Apart(np.empty(len(i)), np.empty((3, len(i))), np.empty((3, len(i))))
    exact = _side_by_side(bodies, i, j, found)
    rest = np.flatnonzero(~exact)
    if len(rest):
        apart = _fitted(bodies, i[rest], j[rest])
        found.distance[rest] = apart.distance
        found.point[:, rest], found.way[:, rest] = apart.point, apart.way
    return found


def _side_by_side(bodies: Bodies, i: Ints, j: Ints, found: Apart) -> Bools:
    """Which pairs are rods apart that are nearest between their ends; puts in what they measure.

    Nothing fits these better: their sides are round there.
    """
    exact = (bodies.radius[i] > 0.0) & (bodies.radius[j] > 0.0)
    exact &= _flat(bodies, i) & _flat(bodies, j)
    some = np.flatnonzero(exact)
    (a, b), (c, d) = (bodies.tips[:, :, k[some]].transpose(1, 0, 2) for k in (i, j))
    distance, s, t = segment_to_segment(a, b, c, d)
    between = (s > 0.0) & (s < 1.0) & (t > 0.0) & (t < 1.0)
    between &= distance > bodies.radius[i[some]] + bodies.radius[j[some]]
    exact[some[~between]] = False
    some = some[between]
    apart = _rods(bodies, i[some], j[some])
    found.distance[some] = apart.distance
    found.point[:, some], found.way[:, some] = apart.point, apart.way
    return exact


def _flat(bodies: Bodies, which: Ints) -> Bools:
    """Whether bodies are rods that are cut square at both ends, or bend there."""
    rods = [figure.rough for figure in bodies.figures]
    square = [
        isinstance(r, Rod) and (r.from_mm, r.to_mm) == (r.full_from_mm, r.full_to_mm) for r in rods
    ]
    return np.array(square, dtype=np.bool_)[bodies.figure[which]]


def _fitted(bodies: Bodies, i: Ints, j: Ints) -> Apart:
    figures = sorted(set(bodies.figure[np.concatenate((i, j))].tolist()))
    fitted = gathered({k: bodies.figures[k].fine() for k in figures}, bodies.figure)
    found = _prisms(bodies, i, j, fitted)
    rod_i, rod_j = bodies.radius[i] > 0.0, bodies.radius[j] > 0.0
    for some, first, second, sign in (
        (np.flatnonzero(rod_i), i, j, 1.0),
        (np.flatnonzero(rod_j), j, i, -1.0),
    ):
        if not len(some):
            continue
        rods, others = first[some], second[some]
        _better(found, some, _over(bodies, rods, others, fitted), sign)
    both = np.flatnonzero(rod_i & rod_j)
    _better(found, both, _rods(bodies, i[both], j[both]), 1.0)
    return found


def _better(found: Apart, some: Ints, other: Apart, sign: float) -> None:
    """Puts in what says more."""
    more = other.distance > found.distance[some]
    at = some[more]
    found.distance[at] = other.distance[more]
    found.point[:, at], found.way[:, at] = other.point[:, more], sign * other.way[:, more]


def _rods(bodies: Bodies, i: Ints, j: Ints) -> Apart:
    """Rods from rods, with half balls at their ends."""
    (a, b), (c, d) = (bodies.tips[:, :, k].transpose(1, 0, 2) for k in (i, j))
    distance, s, t = segment_to_segment(a, b, c, d)
    p, q = a + s * (b - a), c + t * (d - c)
    way = unit(np.where(distance < _CROSS_MM, _square_to(unit(b - a), unit(d - c)), p - q))
    # From the skin of one to the skin of the other, in the middle.
    inset = (distance + bodies.radius[j] - bodies.radius[i]) / 2
    return Apart(distance - bodies.radius[i] - bodies.radius[j], q + way * inset, way)


def _square_to(u: Floats, v: Floats) -> Floats:
    """Directions square to two each; any that is square to both where they are one."""
    both = cross(u, v)
    aside = np.zeros(u.shape)
    # The axis that is least along u.
    aside[np.abs(u).argmin(axis=0), np.arange(u.shape[1])] = 1.0
    return np.where(np.abs(both).max(axis=0) > _CROSS_MM, both, cross(u, aside))


def _over(bodies: Bodies, rods: Ints, others: Ints, prisms: Prisms) -> Apart:
    """Rods, with half balls at their ends, from the prisms of other bodies."""
    count = len(rods)
    found = Apart(np.empty(count), np.empty((3, count)), np.empty((3, count)))
    for some, a, b, solids, which in _axes(bodies, rods, others, prisms):
        near, radius = segment_to_prism(a, b, solids, which), bodies.radius[rods[some]]
        distance, way = near.distance, unit(near.way)
        inside = np.flatnonzero(near.crosses)
        if len(inside):
            depth, way[:, inside] = segment_depth(
                a.take(inside, 1), b.take(inside, 1), solids, which[inside]
            )
            distance[inside] = -depth
        point = a + near.at * (b - a)
        point -= way * np.where(near.crosses, 0.0, (distance + radius) / 2)
        places = bodies.places.take(others[some])
        found.distance[some] = distance - radius
        found.point[:, some], found.way[:, some] = places.point(point), places.vector(way)
    return found


def _axes_over(bodies: Bodies, rods: Ints, others: Ints) -> Floats:
    """From rods to rough prisms; without end where the axis goes into the prism."""
    found = np.empty(len(rods))
    for some, a, b, solids, which in _axes(bodies, rods, others, bodies.rough):
        near = segment_to_prism(a, b, solids, which)
        found[some] = np.where(near.crosses, -np.inf, near.distance)
    return found - bodies.radius[rods]


def _axes(
    bodies: Bodies, rods: Ints, others: Ints, prisms: Prisms
) -> Iterator[tuple[Ints, Floats, Floats, Solids, Ints]]:
    """(which, ends of the rods' axes as the prisms see them, prisms and their numbers) by batch."""
    for some, batch in _batches(prisms.batch[others]):
        own, places = rods[some], bodies.places.take(others[some])
        a, b = (places.local(bodies.tips[:, k].take(own, 1)) for k in (0, 1))
        yield some, a, b, prisms.batches[batch], prisms.place[others[some]]


def _prism_gaps(bodies: Bodies, i: Ints, j: Ints) -> Floats:
    found = np.empty(len(i))
    for some, first, second in _in_batches(bodies, i, j, bodies.rough):
        found[some], _ = prism_gap(first, second)
    return found


def _prisms(bodies: Bodies, i: Ints, j: Ints, prisms: Prisms) -> Apart:
    count = len(i)
    found = Apart(np.empty(count), np.empty((3, count)), np.empty((3, count)))
    for some, first, second in _in_batches(bodies, i, j, prisms):
        apart = prism_to_prism(first, second)
        found.distance[some] = apart.distance
        found.point[:, some], found.way[:, some] = apart.point, apart.way
    return found


def _batches(batch: Ints) -> Iterator[tuple[Ints, int]]:
    """(which, batch) for each batch that there is."""
    for k in np.flatnonzero(np.bincount(batch)):
        yield np.flatnonzero(batch == k), int(k)


def _in_batches(
    bodies: Bodies, i: Ints, j: Ints, prisms: Prisms
) -> Iterator[tuple[Ints, Placed, Placed]]:
    """(which, prisms of i, prisms of j) for each pair of batches."""
    size = len(prisms.batches)
    for some, both in _batches(prisms.batch[i] * size + prisms.batch[j]):
        first, second = (
            Placed(prisms.batches[batch], prisms.place[own], bodies.places.take(own))
            for batch, own in ((both // size, i[some]), (both % size, j[some]))
        )
        yield some, first, second
