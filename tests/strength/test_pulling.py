"""Pulling cables that share posts: the worked example of reference.md 6.4, and the plan's own end.

The flexibility is that of textbook cantilevers; the figures of the example were computed apart from
this program and are in whole pounds.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from generator.strength.beams import cantilever_give, post_flexibility
from generator.strength.pulling import balance, best_plan, even_pulls, orders, planned, set_to

LBF = 4.4482216152605
INCH = 25.4
KSI = 6.894757293168361
# reference.md 6.3 and 6.4: aluminium 2.375 in square with 0.15 in wall, H 35 in, ten cables at
# 3.125 in, 1/8 in 1x19 strand, E A 175,800 lbf, 20 ft, 200 lbf, both end posts alike.
STIFFNESS = 10100 * KSI * 1.10652 * INCH**4
HEIGHTS = [3.125 * n * INCH for n in range(1, 11)]
TOP = 35 * INCH
CABLE = 175800 * LBF
LENGTH = 240 * INCH
TARGET = 200 * LBF


def matrix(propped: bool) -> np.ndarray:
    post = post_flexibility(HEIGHTS, STIFFNESS, prop=(TOP, 0.0) if propped else None)
    return np.eye(10) * LENGTH / CABLE + 2 * post


EXAMPLE = [
    (True, "bottom up", (170, 197, 200)),
    (True, "top down", (167, 197, 200)),
    (True, "from the middle", (155, 196, 200)),
    (False, "bottom up", (45, 120, 153)),
    (False, "top down", (0, 48, 109)),
    (False, "from the middle", (11, 114, 150)),
]


@pytest.mark.parametrize("propped,order,least", EXAMPLE)
def test_least_tension_after_each_pass(propped, order, least) -> None:
    # reference.md section 6.4 [C]; the middle of ten cables may be either, hence 3 lbf there.
    after = even_pulls(matrix(propped), orders(10)[order], TARGET, 3)
    room = 3.5 if order == "from the middle" else 0.6
    assert [min(t) / LBF for t in after] == pytest.approx(least, abs=room)


@pytest.mark.parametrize("propped", [True, False])
@pytest.mark.parametrize("passes", [1, 2, 3])
@pytest.mark.parametrize("order", orders(10))
def test_the_plan_ends_at_the_target(propped, passes, order) -> None:
    plan = planned(matrix(propped), orders(10)[order], TARGET, passes)
    assert plan.final_n == pytest.approx([TARGET] * 10, rel=1e-9)
    assert sorted(pull.cable for pull in plan.pulls) == sorted(list(range(10)) * passes)


@pytest.mark.parametrize("propped", [True, False])
def test_the_plan_followed_turn_by_turn(propped) -> None:
    # An installer who sets each cable to what the plan says ends where it says, by another way:
    # each turn is solved from what is wound up, slack cables left out.
    m = matrix(propped)
    plan = planned(m, orders(10)["bottom up"], TARGET, 2)
    wound = np.zeros(10)
    for pull in plan.pulls:
        wound = set_to(m, wound, pull.cable, pull.tension_n)
        assert balance(m, wound)[pull.cable] == pytest.approx(pull.tension_n, rel=1e-9)
    assert balance(m, wound) == pytest.approx([TARGET] * 10, rel=1e-6)


def test_a_slack_cable_does_not_push() -> None:
    m = matrix(False)
    wound = np.zeros(10)
    wound[0] = 0.1
    wound = set_to(m, wound, 9, 20 * TARGET)
    tensions = balance(m, wound)
    assert tensions[0] == 0.0
    assert tensions[9] == pytest.approx(20 * TARGET)


def test_balance_against_every_choice_of_slack_cables() -> None:
    # Brute force over which of five cables are slack: one choice alone keeps both conditions.
    m = matrix(False)[np.ix_(range(0, 10, 2), range(0, 10, 2))]
    wound = np.array([3.0, 0.5, 0.2, 4.0, 9.0])
    found = []
    for tight in itertools.product([False, True], repeat=5):
        keep = np.array(tight)
        t = np.zeros(5)
        if keep.any():
            t[keep] = np.linalg.solve(m[np.ix_(keep, keep)], wound[keep])
        gap = m @ t - wound  # a slack cable is wound up less than its posts have come together
        if (t >= 0).all() and (gap[~keep] >= -1e-9).all():
            found.append(t)
    assert len(found) == 1
    assert balance(m, wound) == pytest.approx(found[0], rel=1e-9, abs=1e-9)


def test_the_fewest_passes_that_stay_under_the_limit() -> None:
    m = matrix(False)
    _, passes, plan = best_plan(m, TARGET, 1e9)
    assert passes == 1
    _, more, gentle = best_plan(m, TARGET, TARGET)
    assert more > 1
    assert gentle.greatest_n < plan.greatest_n


def test_flexibility_is_maxwells() -> None:
    m = post_flexibility(HEIGHTS, STIFFNESS, 1e-9, (TOP, 1e-5))
    assert m == pytest.approx(m.T)
    free = post_flexibility(HEIGHTS, STIFFNESS)
    assert free[3, 7] == pytest.approx(cantilever_give(HEIGHTS[3], HEIGHTS[7], STIFFNESS))
