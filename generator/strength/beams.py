"""Closed forms of beams and posts, and continuous beams by the three-moment equation.

Units: N, mm, N mm, MPa; a flexibility in mm/N. Sources: statics, any handbook of beam tables.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Row = NDArray[np.float64]


def cantilever_give(a_mm: float, b_mm: float, stiffness: float) -> float:
    """Deflection at one height of a cantilever under a unit force at another; `stiffness` is E I.

    a**2 (3 b - a) / 6 E I, a the lower (reference.md section 6.4).
    """
    low, high = min(a_mm, b_mm), max(a_mm, b_mm)
    return low**2 * (3 * high - low) / (6 * stiffness)


def post_flexibility(
    heights_mm: Sequence[float],
    stiffness: float,
    base_rad: float = 0.0,
    prop: tuple[float, float] | None = None,
) -> Row:
    """Matrix of deflections (mm/N) at the heights of a post's cables, fixed at its base.

    `base_rad` is how far the base turns under 1 N mm. `prop` is the height of what props the top
    and how far that gives under 1 N, None for a free post. Square, symmetrical.
    """
    import numpy as np

    y = np.asarray(heights_mm, dtype=float)
    low, high = np.minimum.outer(y, y), np.maximum.outer(y, y)
    matrix = low**2 * (3 * high - low) / (6 * stiffness) + base_rad * np.outer(y, y)
    if prop is None:
        return matrix
    top, give = prop
    reach = y**2 * (3 * top - y) / (6 * stiffness) + base_rad * y * top
    own = top**3 / (3 * stiffness) + base_rad * top**2 + give
    return matrix - np.outer(reach, reach) / own


def prop_force(
    forces_n: Sequence[float],
    heights_mm: Sequence[float],
    top_mm: float,
    stiffness: float,
    *,
    base_rad: float = 0.0,
    give: float = 0.0,
) -> float:
    """Force of a prop at the top of a post that is fixed at its base (reference.md section 6.3)."""
    moved = sum(
        force * (y**2 * (3 * top_mm - y) / (6 * stiffness) + base_rad * y * top_mm)
        for force, y in zip(forces_n, heights_mm, strict=True)
    )
    return moved / (top_mm**3 / (3 * stiffness) + base_rad * top_mm**2 + give)


def moment_at(
    forces_n: Sequence[float],
    heights_mm: Sequence[float],
    prop_n: float,
    top_mm: float,
    z_mm: float,
) -> float:
    """Moment at a height of a post under its cables and the prop at its top."""
    cables = sum(
        force * (y - z_mm) for force, y in zip(forces_n, heights_mm, strict=True) if y > z_mm
    )
    return cables - prop_n * (top_mm - z_mm)


def support_moments(
    spans_mm: Sequence[float], loaded: int, at: float, force_n: float
) -> list[float]:
    """Moments over all supports of a continuous beam, its ends hinged, under one point load.

    The load stands at `at` (a share of its span) in the span `loaded`. Clapeyron's three-moment
    equation, equal stiffness; sagging positive.
    """
    import numpy as np

    count = len(spans_mm)
    if count < 2:
        return [0.0] * (count + 1)
    length = spans_mm[loaded]
    left, right = at * length, (1 - at) * length
    matrix = np.zeros((count - 1, count - 1))
    rest = np.zeros(count - 1)
    for k in range(1, count):
        before, after = spans_mm[k - 1], spans_mm[k]
        matrix[k - 1, k - 1] = 2 * (before + after)
        if k > 1:
            matrix[k - 1, k - 2] = before
        if k < count - 1:
            matrix[k - 1, k] = after
        if loaded == k - 1:
            rest[k - 1] -= force_n * left * right * (length + left) / length
        if loaded == k:
            rest[k - 1] -= force_n * left * right * (length + right) / length
    return [0.0, *(float(m) for m in np.linalg.solve(matrix, rest)), 0.0]


def point_moment(spans_mm: Sequence[float], loaded: int, at: float) -> float:
    """Greatest moment, per mm and unit force, of a continuous beam under one point load.

    Under the load or over a support, whichever is greater, as a share of P.
    """
    over = support_moments(spans_mm, loaded, at, 1.0)
    under = at * (1 - at) * spans_mm[loaded]
    under += over[loaded] * (1 - at) + over[loaded + 1] * at
    return max(under, *(abs(m) for m in over))


def worst_point(spans_mm: Sequence[float], places: int = 20) -> tuple[float, int, float]:
    """Where a load along a continuous beam bends it most: mm per unit force, span, share of it."""
    return max(
        (point_moment(spans_mm, span, k / places), span, k / places)
        for span in range(len(spans_mm))
        for k in range(1, places)
    )


def worst_point_moment(spans_mm: Sequence[float], places: int = 20) -> float:
    """Greatest moment per unit force for a load anywhere along a continuous beam, mm."""
    return worst_point(spans_mm, places)[0]
