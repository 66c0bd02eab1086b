"""How far a tensioned cable gives, and the force that pushes a sphere or a cone past it.

Statics of a string: supports are rigid, nothing rubs, and the cable slides through its supports,
so that its stretch spreads over the length between its end fittings (reference.md, 6.1 and 6.2).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Literal

from generator.frozen import dataclass

Beside = Literal["cable", "flat", "edge"]
"""What else the sphere touches: a cable alike, a flat face (rail, floor), a sharp edge (deck)."""

# Near a peak the value is flat: places this near to it, in radians, differ by far less.
_NEAR = 1e-7
_STEPS = 80
_NEWTON_STEPS = 60
# Golden section: the share of a bracket that is kept at each step.
_KEPT = (math.sqrt(5.0) - 1.0) / 2.0


@dataclass(frozen=True, slots=True)
class TautCable:
    """A cable as it is pushed aside: `tension_n` at rest, between supports `span_mm` apart.

    `stiffness_n` is EA, 0 for a tension that holds; `free_mm` is its length between end fittings.
    `at` is where it is pushed, as a share of the span.
    """

    tension_n: float
    span_mm: float
    stiffness_n: float = 0.0
    free_mm: float = math.inf
    at: float = 0.5

    def tension_at(self, aside_mm: float) -> float:
        """Tension, N, when it is pushed aside by so much."""
        near, far = self._sides(aside_mm)
        longer = near + far - self.span_mm
        return self.tension_n + self.stiffness_n * longer / max(self.free_mm, self.span_mm)

    def force_at(self, aside_mm: float) -> float:
        """Force, N, that holds it aside by so much: T u (1/a + 1/b), a and b the two sides."""
        near, far = self._sides(aside_mm)
        return self.tension_at(aside_mm) * aside_mm * (1.0 / near + 1.0 / far)

    def aside_at(self, force_n: float) -> float:
        """How far, mm, a force pushes it aside: `force_at` turned round, by Newton and halving.

        The force must be one that it can hold: with a tension that holds, less than 2 T.

        Raises:
            ValueError: no deflection holds such a force.
        """
        if force_n <= 0.0:
            return 0.0
        high = self.span_mm
        while self.force_at(high) < force_n:
            high *= 2.0
            if high > 1e6 * self.span_mm:
                raise ValueError(f"{force_n} N is more than the cable holds at any deflection")
        return _root(lambda aside: self.force_at(aside) - force_n, 0.0, high)

    def _sides(self, aside_mm: float) -> tuple[float, float]:
        near = self.span_mm * self.at
        return math.hypot(near, aside_mm), math.hypot(self.span_mm - near, aside_mm)


def push_through_force(
    tension_n: float, span_mm: float, sphere_mm: float, cable_mm: float, spacing_mm: float
) -> float:
    """Force in N that pushes a sphere between two cables at mid-span; 0 where it passes at rest.

    (4 T / L)(D + d)(1 - (s / (D + d))^(2/3))^(3/2): rigid sphere, no friction, tension held, small
    deflections (reference.md section 6.2).
    """
    reach = sphere_mm + cable_mm
    if spacing_mm >= reach:
        return 0.0
    give = 1.0 - (spacing_mm / reach) ** (2.0 / 3.0)
    return 4.0 * tension_n / span_mm * reach * give**1.5


def push_under_force(
    tension_n: float, span_mm: float, sphere_mm: float, cable_mm: float, distance_mm: float
) -> float:
    """The same past one cable and along a flat face, `distance_mm` from face to axis, N.

    The face holds the sphere's centre at r = D / 2, so that the cable alone gives way: with
    R = (D + d) / 2 and a = (h - r) / R the push (4 T / L)(R cos f - a R) tan f is greatest at
    cos f = a^(1/3), which leaves (4 T / L) R (1 - a^(2/3))^(3/2). Infinite where the axis lies no
    farther out than the sphere's centre: then pushing does not open the gap.
    """
    reach = (sphere_mm + cable_mm) / 2
    beyond = (distance_mm - sphere_mm / 2) / reach
    if beyond >= 1.0:
        return 0.0
    if beyond <= 0.0:
        return math.inf
    return 4.0 * tension_n / span_mm * reach * (1.0 - beyond ** (2.0 / 3.0)) ** 1.5


def closed_force(
    beside: Beside,
    tension_n: float,
    span_mm: float,
    sphere_mm: float,
    cable_mm: float,
    distance_mm: float,
) -> float:
    """Force in N that pushes a sphere through at mid-span, the tension held.

    In closed form between two cables and under a flat face, else by `sphere_force`.
    """
    if beside == "cable":
        return push_through_force(tension_n, span_mm, sphere_mm, cable_mm, distance_mm)
    if beside == "flat":
        return push_under_force(tension_n, span_mm, sphere_mm, cable_mm, distance_mm)
    cable = TautCable(tension_n, span_mm)
    return sphere_force(beside, cable, sphere_mm, cable_mm, distance_mm)


@lru_cache(maxsize=4096)
def sphere_force(
    beside: Beside, cable: TautCable, sphere_mm: float, cable_mm: float, distance_mm: float
) -> float:
    """Greatest push, N, on a rigid sphere on its way past a cable that stretches; numeric.

    `distance_mm` is from the cable's axis to the other cable's axis, to the flat face or to the
    edge. At every place of the way the cable yields along the line from the sphere's centre to its
    axis, out of the plane of the guard too. 0 where the sphere passes at rest, infinite where no
    push opens the gap.
    """
    r, reach = sphere_mm / 2, (sphere_mm + cable_mm) / 2
    if beside == "edge":
        return _past_edge(cable, r, reach, distance_mm)
    # Level distance of the cable's axis from the sphere's centre, at rest and seen square.
    out = distance_mm / 2 if beside == "cable" else distance_mm - r
    if out >= reach:
        return 0.0
    if out <= 0.0:
        return math.inf
    cables = 2.0 if beside == "cable" else 1.0

    def push(angle: float) -> float:
        aside = reach - out / math.cos(angle)
        return cables * cable.force_at(aside) * math.sin(angle)

    return _greatest(push, 0.0, math.acos(out / reach))


def _past_edge(cable: TautCable, r: float, reach: float, distance_mm: float) -> float:
    """The sphere's centre swings round the edge and pushes the cable along the line to its axis.

    With w the angle of the swing, q the distance from the centre to the cable at rest, the work in
    the cable grows by P dq, and the centre moves on by r cos w dw: the push is P h tan w / q.
    """
    if distance_mm >= r + reach:
        return 0.0
    if distance_mm <= reach - r:
        return math.inf

    def apart(swing: float) -> float:
        return math.sqrt(distance_mm**2 + r**2 - 2.0 * distance_mm * r * math.cos(swing))

    def push(swing: float) -> float:
        q = apart(swing)
        return cable.force_at(reach - q) * distance_mm * math.tan(swing) / q

    touches = (distance_mm**2 + r**2 - reach**2) / (2.0 * distance_mm * r)
    if touches <= 0.0:
        return math.inf  # it still holds at a right angle, where no push turns it further
    return _greatest(push, 0.0, math.acos(min(touches, 1.0)))


def cone_force(
    cable: TautCable,
    base_mm: float,
    length_mm: float,
    nose_mm: float,
    cable_mm: float,
    gap_mm: float,
) -> float:
    """Push, N, at which a cone's shoulder comes between two cables `gap_mm` apart, axis to axis.

    The flank rises from the nose to the base over its length; the cables yield square to it. The
    push is greatest at the shoulder: 2 P sin a, a half the cone's angle. Without friction, and not
    validated against any test of wires.
    """
    flank = math.atan((base_mm - nose_mm) / 2 / length_mm)
    give = base_mm / 2 + cable_mm / 2 * math.cos(flank) - gap_mm / 2
    if give <= 0.0:
        return 0.0
    return 2.0 * cable.force_at(give / math.cos(flank)) * math.sin(flank)


def opened_by(
    beside: Beside, cable: TautCable, sphere_mm: float, cable_mm: float, distance_mm: float
) -> float:
    """Force, N, on each of two neighbours, apart and in their plane, that lets a sphere through.

    Two cables share the opening; beside a rail, a floor or an edge the cable gives all of it.
    """
    if beside == "cable":
        aside = (sphere_mm + cable_mm - distance_mm) / 2
    else:
        aside = sphere_mm + cable_mm / 2 - distance_mm
    return cable.force_at(max(aside, 0.0))


def span_beside_rigid(span_mm: float, bay_mm: float, cables: int) -> float:
    """The span, mm, that one cable seems to have when it is pushed away from a rail or a floor.

    Bars between posts hold cables apart but stand on nothing: pushed away from the rail, the cable
    takes the bar and with it all `cables` along, so that the bar gives like a support on a spring.
    l + (L - l) / n bounds the compliance from above for bars that part a bay L evenly into spans l;
    it is exact for the middle span and with one cable. Between two cables bars do not move: what
    pushes one up pushes the other down.
    """
    return span_mm + (bay_mm - span_mm) / cables


def _greatest(value: Callable[[float], float], low: float, high: float) -> float:
    """The greatest value between two places, of a function with one peak; golden section."""
    a, b = high - _KEPT * (high - low), low + _KEPT * (high - low)
    at_a, at_b = value(a), value(b)
    for _ in range(_STEPS):
        if at_a < at_b:
            low, a, at_a = a, b, at_b
            b = low + _KEPT * (high - low)
            at_b = value(b)
        else:
            high, b, at_b = b, a, at_a
            a = high - _KEPT * (high - low)
            at_a = value(a)
        if high - low < _NEAR:
            break
    return max(at_a, at_b)


def _root(value: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function is 0 between two places; Newton, and halving where that strays."""
    x = (low + high) / 2
    for _ in range(_NEWTON_STEPS):
        found = value(x)
        if found > 0.0:
            high = x
        else:
            low = x
        step = max(abs(x), 1e-3) * 1e-6
        slope = (value(x + step) - value(x - step)) / (2.0 * step)
        following = x - found / slope if slope > 0.0 else low
        if not low < following < high:
            following = (low + high) / 2
        if abs(following - x) <= 1e-12 * max(abs(x), 1.0):
            return following
        x = following
    return x
