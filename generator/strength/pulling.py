"""How cables that share posts are pulled: each pull slackens the others, and what to set for it.

Linear: cable j, wound up by u_j, has T_j = k_j (u_j - sum_i F_ji T_i), F how far the posts give
(reference.md section 6.4). A cable does not push: one that would is slack.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from generator.strength.result import Pull

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Row = NDArray[np.float64]

MOST_PASSES = 4


@dataclass(frozen=True, slots=True)
class Plan:
    """Pulls in order, tension of each cable when all are done, and how far each was wound up."""

    pulls: tuple[Pull, ...]
    final_n: tuple[float, ...]
    wound_mm: tuple[float, ...]

    @property
    def greatest_n(self) -> float:
        """The greatest tension that any cable is set to."""
        return max(pull.tension_n for pull in self.pulls)


def balance(matrix: Row, wound: Row) -> Row:
    """Tensions of cables wound up by `wound`: matrix T = wound, none below zero."""
    import numpy as np

    tight = wound > 0.0
    result = np.zeros(len(wound))
    for _ in range(len(wound) + 1):
        if not tight.any():
            break
        result[:] = 0.0
        result[tight] = np.linalg.solve(matrix[np.ix_(tight, tight)], wound[tight])
        if (result >= 0.0).all():
            break
        tight &= result > 0.0
    return result


def set_to(matrix: Row, wound: Row, cable: int, tension_n: float) -> Row:
    """What is wound up in all once one cable is turned until it has a tension, the others left."""
    import numpy as np

    others = np.arange(len(wound)) != cable
    rest = wound[others] - matrix[others, cable] * tension_n
    held = np.zeros(len(wound))
    held[others] = balance(matrix[np.ix_(others, others)], rest)
    held[cable] = tension_n
    changed = wound.copy()
    changed[cable] = matrix[cable] @ held
    return changed


def orders(count: int) -> dict[str, tuple[int, ...]]:
    """Orders in which cables are pulled: bottom up, top down, from the middle outwards."""
    middle = sorted(range(count), key=lambda n: (abs(n - (count - 1) / 2), n))
    return {
        "bottom up": tuple(range(count)),
        "top down": tuple(range(count - 1, -1, -1)),
        "from the middle": tuple(middle),
    }


def even_pulls(
    matrix: Row, order: Sequence[int], target_n: float, passes: int
) -> tuple[tuple[float, ...], ...]:
    """Tensions after each pass in which every cable is simply set to the target."""
    import numpy as np

    wound = np.zeros(len(matrix))
    found: list[tuple[float, ...]] = []
    for _ in range(passes):
        for cable in order:
            wound = set_to(matrix, wound, cable, target_n)
        found.append(tuple(float(t) for t in balance(matrix, wound)))
    return tuple(found)


def planned(matrix: Row, order: Sequence[int], target_n: float, passes: int) -> Plan:
    """Pulls after which every cable is at the target, however they slacken one another.

    In each pass every cable is wound up to where it belongs when all are at that pass's share of
    the target; what the gauge reads at that moment is what to set it to.
    """
    import numpy as np

    count = len(matrix)
    wound, pulls = np.zeros(count), []
    for turn in range(1, passes + 1):
        goal = matrix @ np.full(count, target_n * turn / passes)
        for cable in order:
            wound = wound.copy()
            wound[cable] = goal[cable]
            tension = float(balance(matrix, wound)[cable])
            pulls.append(Pull(cable, tension))
    final = tuple(float(t) for t in balance(matrix, wound))
    return Plan(tuple(pulls), final, tuple(float(u) for u in wound))


def best_plan(matrix: Row, target_n: float, limit_n: float) -> tuple[str, int, Plan]:
    """Order, passes and plan: the fewest passes that set no cable above the limit, if any do."""
    best: tuple[str, int, Plan] | None = None
    for passes in range(1, MOST_PASSES + 1):
        plans = {
            name: planned(matrix, order, target_n, passes)
            for name, order in orders(len(matrix)).items()
        }
        name = min(plans, key=lambda one: plans[one].greatest_n)
        if best is None or plans[name].greatest_n < best[2].greatest_n - 1e-9:
            best = (name, passes, plans[name])
        if best[2].greatest_n <= limit_n:
            break
    assert best is not None
    return best
