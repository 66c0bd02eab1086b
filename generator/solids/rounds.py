"""Round parts as solids: turned steps one after the other, and cables along their route."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise
from operator import attrgetter

from OCP.TopoDS import TopoDS_Shape

from generator.geometry import (
    UP,
    EndPlane,
    Frame,
    distance,
    dot,
    sub,
    unit,
)
from generator.parts.shapes import Circle, Route, Step, Turned
from generator.products.loops import loop_of
from generator.products.routes import carried_round, frame_along, miter_plane
from generator.solids.skins import Ring, cap, ring, skin, solid, turned_over

_OWN = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), UP)
_SAME_MM = 1e-9


class _Lathe:
    """Keeps the circles of a turned part, so that neighbouring faces share them."""

    def __init__(self) -> None:
        self.faces: list[TopoDS_Shape] = []
        self._rings: dict[tuple[float, float], Ring] = {}

    def ring(self, diameter_mm: float, z_mm: float) -> Ring:
        key = diameter_mm, z_mm
        if key not in self._rings:
            self._rings[key] = ring(_OWN, loop_of(Circle(diameter_mm)), EndPlane(z_mm))
        return self._rings[key]

    def cylinder(self, diameter_mm: float, low_mm: float, high_mm: float, *, hollow: bool) -> None:
        rings = self.ring(diameter_mm, low_mm), self.ring(diameter_mm, high_mm)
        made = skin(_OWN, loop_of(Circle(diameter_mm)), *rings)
        self.faces += turned_over(made) if hollow else made

    def shoulder(self, outer_mm: float, inner_mm: float, z_mm: float, *, up: bool) -> None:
        """A flat ring of the part, or a disc where there is no bore; nothing of no width."""
        if outer_mm - inner_mm <= _SAME_MM:
            return
        inner = [self.ring(inner_mm, z_mm)] if inner_mm > 0.0 else []
        self.faces.append(cap(_OWN, EndPlane(z_mm), self.ring(outer_mm, z_mm), inner, up=up))


def turned_solid(turned: Turned) -> TopoDS_Shape:
    """The solid of a turned part in its own coordinates.

    Raises:
        ValueError: a step has no material or does not stand on the one before.
    """
    steps = _without_noise(turned.steps)
    _refuse_loose_steps(steps)
    lathe = _Lathe()
    for diameter_of, hollow in ((attrgetter("outer_mm"), False), (attrgetter("inner_mm"), True)):
        for diameter, alike in groupby(steps, diameter_of):
            length = list(alike)
            if diameter > 0.0:
                low, high = length[0].start_mm, length[-1].end_mm
                lathe.cylinder(diameter, low, high, hollow=hollow)
    lathe.shoulder(steps[0].outer_mm, steps[0].inner_mm, steps[0].start_mm, up=False)
    for below, above in pairwise(steps):
        z = below.end_mm
        lathe.shoulder(below.outer_mm, above.outer_mm, z, up=True)
        lathe.shoulder(above.outer_mm, below.outer_mm, z, up=False)
        lathe.shoulder(above.inner_mm, below.inner_mm, z, up=True)
        lathe.shoulder(below.inner_mm, above.inner_mm, z, up=False)
    lathe.shoulder(steps[-1].outer_mm, steps[-1].inner_mm, steps[-1].end_mm, up=True)
    return solid(lathe.faces)


def _without_noise(steps: Sequence[Step]) -> list[Step]:
    """The steps with ends and diameters that differ from the step before by noise made equal."""
    cleaned: list[Step] = []
    for step in steps:
        before = cleaned[-1] if cleaned else step
        cleaned.append(
            Step(
                _snap(step.start_mm, before.end_mm if cleaned else step.start_mm),
                step.end_mm,
                _snap(step.outer_mm, before.outer_mm),
                _snap(step.inner_mm, before.inner_mm),
            )
        )
    return cleaned


def _snap(value: float, known: float) -> float:
    return known if abs(value - known) <= _SAME_MM else value


def _refuse_loose_steps(steps: Sequence[Step]) -> None:
    if any(s.end_mm <= s.start_mm or s.outer_mm <= s.inner_mm or s.inner_mm < 0.0 for s in steps):
        raise ValueError("a step of it has no material")
    for below, above in pairwise(steps):
        touching = below.inner_mm < above.outer_mm and above.inner_mm < below.outer_mm
        if above.start_mm != below.end_mm or not touching:
            raise ValueError("a step of it does not stand on the one before")


def route_solid(route: Route) -> TopoDS_Shape:
    """The solid of a cable in its own coordinates: cylinders mitered where the route bends.

    Raises:
        ValueError: a bend turns straight back, or is nearer than it can be mitered.
    """
    points = [p for p, q in pairwise(route.points) if distance(p, q) > _SAME_MM]
    points.append(route.points[-1])
    loop = loop_of(Circle(route.diameter_mm), quartered=len(points) > 2)
    frame = frame_along(points[0], unit(sub(points[1], points[0])))
    lower = ring(frame, loop, EndPlane(0.0))
    faces = [cap(frame, EndPlane(0.0), lower, up=False)]
    for k in range(1, len(points)):
        length = distance(points[k - 1], points[k])
        onward = unit(sub(points[k + 1], points[k])) if k + 1 < len(points) else frame.z
        end = miter_plane(frame, onward, length)
        upper = ring(frame, loop, end)
        _refuse_short_piece(frame, lower, upper)
        faces += skin(frame, loop, lower, upper)
        if k + 1 == len(points):
            faces.append(cap(frame, end, upper, up=True))
        frame, lower = carried_round(frame, points[k], onward), upper
    return solid(faces)


def _refuse_short_piece(frame: Frame, lower: Ring, upper: Ring) -> None:
    for low, high in zip(lower.corners, upper.corners, strict=True):
        if dot(frame.z, sub(high.point, low.point)) <= 0.0:
            raise ValueError("two bends of its route are nearer than they can be mitered")
