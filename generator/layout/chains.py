"""Which legs a cable goes on through, and the route of every cable."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from generator.layout.model import CableRoute, CableStretch
from generator.layout.path import Path, turn_between
from generator.layout.spots import LegSpots


def chains(path: Path) -> list[list[int]]:
    """Legs grouped so that cables pass from one to the next within a group, in order of travel.

    A loop whose cables pass at every corner still has to begin somewhere: they are held at the
    first post of the first leg.
    """
    groups: list[list[int]] = [[0]]
    for k in range(1, len(path.legs)):
        if path.corners[k - 1].passing:
            groups[-1].append(k)
        else:
            groups.append([k])
    if path.closed and len(groups) > 1 and path.corners[-1].passing:
        groups[0] = [*groups.pop(), *groups[0]]
    return groups


def routes(
    run: str,
    path: Path,
    spots: Sequence[LegSpots],
    rows: Sequence[Sequence[float]],
) -> tuple[CableRoute, ...]:
    """Cables of a run, chain by chain, from the bottom up.

    A chain is cut at every standing post that cables are anchored to.
    """
    found: list[CableRoute] = []
    for chain in chains(path):
        # Cables that go on need a row in every leg, on either side of an anchor alike.
        count = min(len(rows[leg]) for leg in chain)
        for stretches in _cut_at_anchors(chain, spots):
            turn = sum(
                abs(turn_between(spots[a.leg].line, spots[b.leg].line))
                for a, b in pairwise(stretches)
            )
            found += [CableRoute(run, row, tuple(stretches), turn) for row in range(1, count + 1)]
    return tuple(found)


def _cut_at_anchors(chain: Sequence[int], spots: Sequence[LegSpots]) -> list[list[CableStretch]]:
    pieces: list[list[CableStretch]] = [[]]
    for leg in chain:
        last = len(spots[leg].stations) - 1
        first = 0
        for n in range(1, last):
            post = spots[leg].fixed[n]
            if post and post.cables == "anchor":
                pieces[-1].append(CableStretch(leg, first, n))
                pieces.append([])
                first = n
        pieces[-1].append(CableStretch(leg, first, last))
    return pieces
