"""How cables that share posts are pulled: each pull slackens the others, and what to set for it.

Linear: cable j, wound up by u_j, has T_j = k_j (u_j - sum_i F_ji T_i), F how far the posts give
(reference.md section 6.4). A cable does not push: one that would is slack.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from generator.frozen import dataclass
from generator.strength.result import Pull

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Row = NDArray[np.float64]

MOST_PASSES = 8
# A cable with less than this push is not taken for slack: rounding.
_SLACK_N = 1e-6


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
    if tight.all():
        found: Row = np.asarray(np.linalg.solve(matrix, wound), dtype=np.float64)
        if found.min(initial=0.0) >= 0.0:
            return found
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

    wound, found = np.zeros(len(matrix)), []
    state = _State(matrix)
    for turn in range(passes):
        first = _first_pass(matrix, order, None, target_n) if turn == 0 else None
        if first is not None:
            wound, _ = first
        else:
            for cable in order:
                wound = state.set_to(wound, cable, target_n)
        found.append(tuple(float(t) for t in state.tensions(wound)))
    return tuple(found)


def planned(matrix: Row, order: Sequence[int], target_n: float, passes: int) -> Plan:
    """Pulls after which every cable is at the target, however they slacken one another.

    In each pass every cable is wound up to where it belongs when all are at that pass's share of
    the target; what the gauge reads at that moment is what to set it to.
    """
    import numpy as np

    state, wound = _State(matrix), np.zeros(len(matrix))
    pulls: list[Pull] = []
    for turn in range(1, passes + 1):
        goal = matrix @ np.full(len(matrix), target_n * turn / passes)
        first = _first_pass(matrix, order, goal, target_n) if turn == 1 else None
        if first is not None:
            wound, read = first
            pulls += [Pull(cable, float(t)) for cable, t in zip(order, read, strict=True)]
            continue
        for cable in order:
            wound = wound.copy()
            wound[cable] = goal[cable]
            pulls.append(Pull(cable, float(state.tensions(wound)[cable])))
    final = tuple(float(t) for t in state.tensions(wound))
    return Plan(tuple(pulls), final, tuple(float(u) for u in wound))


class _State:
    """Tensions of cables as they are wound up, by the inverse where none of them is slack."""

    def __init__(self, matrix: Row) -> None:
        import numpy as np

        self.matrix, self.inverse = matrix, np.linalg.inv(matrix)

    def tensions(self, wound: Row) -> Row:
        found = self.inverse @ wound
        return found if found.min() >= -_SLACK_N else balance(self.matrix, wound)

    def set_to(self, wound: Row, cable: int, tension_n: float) -> Row:
        found = self.inverse @ wound
        change = (tension_n - found[cable]) / self.inverse[cable, cable]
        changed = wound.copy()
        changed[cable] += change
        if (found + self.inverse[:, cable] * change).min() >= -_SLACK_N:
            return changed
        return set_to(self.matrix, wound, cable, tension_n)


def _first_pass(
    matrix: Row, order: Sequence[int], goal: Row | None, target_n: float
) -> tuple[Row, Row] | None:
    """(wound up, what the gauge reads at each pull) of the first pass, all cables slack before.

    With matrix = C C' in the order of pulling, the cables pulled so far are a leading block of C:
    the k-th reads y_k / C_kk, y = C**-1 wound. To a `goal` of what is wound up or, without one, to
    the target each. None where a cable goes slack again meanwhile.
    """
    import numpy as np

    places = np.asarray(order)
    lower = np.linalg.cholesky(matrix[np.ix_(places, places)])
    back = np.linalg.inv(lower)
    diagonal = lower.diagonal()
    y = target_n * diagonal if goal is None else back @ goal[places]
    # Row k: tensions of all cables once k of them are pulled.
    stages = np.cumsum(back * y[:, None], axis=0)
    if stages.min() < -_SLACK_N:
        return None
    wound = np.zeros(len(matrix))
    wound[places] = lower @ y
    return wound, y / diagonal


def best_plan(matrix: Row, target_n: float, limit_n: float) -> tuple[str, int, Plan]:
    """Order, passes and plan: the fewest passes that set no cable above the limit, if any do.

    The order is the one that sets the least in a single pass. Without enough passes for the limit
    there are `MOST_PASSES`, and the greatest pull is past it.
    """
    found = orders(len(matrix))
    plans = {name: planned(matrix, order, target_n, 1) for name, order in found.items()}
    name = min(plans, key=lambda one: plans[one].greatest_n)
    best = plans[name]
    over, room = best.greatest_n - target_n, limit_n - target_n
    if best.greatest_n <= limit_n:
        return name, 1, best
    # What a pull stands over the target goes down with the number of passes.
    passes = min(max(math.ceil(over / room), 2), MOST_PASSES) if room > 0 else MOST_PASSES
    return name, passes, planned(matrix, found[name], target_n, passes)
