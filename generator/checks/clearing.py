"""How far a part is moved along a way until all of it keeps clear of another part."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from generator.checks.apart import distances
from generator.checks.bodies import bodies_of
from generator.checks.clash_remedies import Clash, reach
from generator.geometry import along

_EPS_MM = 1e-6
_STEPS = 12


def clearing(clash: Clash) -> Clash:
    """The clash with the move that clears every body of both parts, such as a bolt and its head.

    What the worst pair of bodies lacks parts that pair alone. A distance grows by no more than the
    move, so a step by what is still lacking never goes past the first place that is clear. Where
    such steps creep, the place is closed in on between the last one and where the extents of the
    parts lie clear of each other.
    """
    limit, moved = clash.bound.value or 0.0, 0.0
    for _ in range(_STEPS):
        lacks = limit - _apart(clash, moved)
        if lacks <= _EPS_MM:
            return replace(clash, cleared_mm=moved)
        moved += lacks
    low, high = reach(clash.first, clash.way)[0], reach(clash.second, clash.way)[1]
    clear = high + limit - low
    while clear - moved > _EPS_MM:
        middle = (moved + clear) / 2
        if limit - _apart(clash, middle) > _EPS_MM:
            moved = middle
        else:
            clear = middle
    return replace(clash, cleared_mm=clear)


def _apart(clash: Clash, by: float) -> float:
    """Least signed distance of the two parts, the first one moved along the way."""
    place = clash.first.place
    first = replace(clash.first, place=replace(place, origin=along(place.origin, clash.way, by)))
    bodies = bodies_of((first, clash.second))
    own, other = np.flatnonzero(bodies.part == 0), np.flatnonzero(bodies.part == 1)
    i, j = np.repeat(own, len(other)), np.tile(other, len(own))
    return float(distances(bodies, i, j).distance.min())
