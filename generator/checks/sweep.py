"""Which of many boxes overlap: a sweep along x in strips of y and z, so that most are never met."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from generator.checks.kernel import Bools, Floats, Ints

# Width of the strips across y and z: about a bay's end hardware, and three rows of cables.
_STRIPS_MM = (800.0, 250.0)
# Candidates that are looked at together, to bound the memory.
_AT_ONCE = 500_000
_EPS_MM = 1e-3


def overlapping(
    low: Floats,
    high: Floats,
    owner: Ints,
    wanted: Callable[[Ints, Ints], Bools] = lambda i, j: i != j,
) -> tuple[Ints, Ints]:
    """Pairs of owners, lower first, whose boxes (3, N) overlap or touch; in order, each once.

    `wanted` tells of arrays of such pairs which are of interest, so that the rest is dropped early.
    """
    if not len(owner):
        return owner, owner
    box, last = _ordered(low, high)
    counts = last - np.arange(len(box)) - 1
    found = [np.empty((2, 0), dtype=np.intp)]
    for some in _portions(counts):
        own = counts[some]
        first = np.repeat(np.arange(some.start, some.stop), own)
        step = np.arange(len(first)) - np.repeat(np.cumsum(own) - own, own)
        i, j = box[first], box[first + 1 + step]
        # Along x they overlap already.
        hit = (low[1, i] <= high[1, j]) & (low[1, j] <= high[1, i])
        hit &= (low[2, i] <= high[2, j]) & (low[2, j] <= high[2, i])
        a, b = owner[i[hit]], owner[j[hit]]
        kept = wanted(a, b)
        found.append(np.stack((np.minimum(a[kept], b[kept]), np.maximum(a[kept], b[kept]))))
    first, second = np.concatenate(found, axis=1)
    size = int(owner.max()) + 1
    pairs = np.sort(first * size + second)
    pairs = pairs[_changes(pairs)]
    return pairs // size, pairs % size


def _ordered(low: Floats, high: Floats) -> tuple[Ints, Ints]:
    """(box, last): boxes strip by strip from west to east, a box in every strip that it touches.

    Those that begin before the k-th ends, in its strip, are the ones from k + 1 up to `last`.
    """
    box, strip = np.arange(low.shape[1]), np.zeros(low.shape[1], dtype=np.int64)
    for axis, width in enumerate(_STRIPS_MM, 1):
        first, final = (np.floor(edge[axis] / width).astype(np.int64)[box] for edge in (low, high))
        number = int(final.max() - first.min()) + 1
        share = final - first + 1
        step = np.arange(share.sum()) - np.repeat(np.cumsum(share) - share, share)
        strip = np.repeat(strip * number + first - first.min(), share) + step
        box = np.repeat(box, share)
    order = np.lexsort((low[0, box], strip))
    box, strip = box[order], strip[order]
    # One number line for all strips, one after the other.
    west = float(low[0].min())
    before = (np.cumsum(_changes(strip)) - 1) * (float(high[0].max()) - west + 1.0) - west
    last = np.searchsorted(before + low[0, box], before + high[0, box] + _EPS_MM, side="right")
    return box, last


def _changes(numbers: Ints) -> Bools:
    """Where sorted numbers are not the one before. (`np.unique` is slow to begin with.)"""
    return np.diff(numbers, prepend=numbers[:1] - 1) != 0


def _portions(counts: Ints) -> Iterator[slice]:
    """Runs of boxes that have no more candidates together than are looked at at once."""
    total = np.cumsum(counts)
    start = 0
    while start < len(counts):
        before = total[start - 1] if start else 0
        stop = int(np.searchsorted(total, before + _AT_ONCE, side="right"))
        stop = max(stop, start + 1)
        yield slice(start, stop)
        start = stop
