"""Openings that a sphere could be pushed through: two cables, cable and rail, cable and floor."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from generator.checks.view import CableLine, LegView, RailLine
from generator.frozen import dataclass
from generator.parts.assembly import CableDetail, detail_of
from generator.spec.job import Job
from generator.strength.sphere import (
    Beside,
    TautCable,
    closed_force,
    opened_by,
    span_beside_rigid,
    sphere_force,
)


@dataclass(frozen=True, slots=True)
class Bay:
    """From post to post along the cable; `span_mm` is the longest that its bars leave.

    `start` and `end` are the marks of that span's supports, `posts` those of the bay, at `s_mm`.
    """

    length_mm: float
    posts: tuple[str, str]
    s_mm: tuple[float, float]
    span_mm: float
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Gap:
    """The opening of its kind in one group of cables that gives way to the least force.

    `where` names its two sides, then the supports between which the cable is free.
    `distance_mm` is square to the cable: from its axis to the other axis, the face or the edge.
    Bars hold `cables` alike; `free_mm` is from end fitting to end fitting; `lowers` is how much of
    a lower bottom gap shows in the distance.
    """

    kind: Literal["cable", "rail", "floor"]
    beside: Beside
    where: tuple[str, str, str, str]
    distance_mm: float
    sphere_mm: float
    cable_mm: float
    span_mm: float
    bay_mm: float
    cables: int
    free_mm: float
    lowers: float = 0.0

    @property
    def open_at_rest(self) -> bool:
        """Whether the sphere passes with no force at all."""
        cables = 2 if self.kind == "cable" else 1
        return self.distance_mm >= self.sphere_mm + cables * self.cable_mm / 2

    @property
    def seems_mm(self) -> float:
        """The span that the cable seems to have: bars give way with it beside a rail or floor."""
        if self.kind == "cable":
            return self.span_mm
        return span_beside_rigid(self.span_mm, self.bay_mm, self.cables)

    def push(self, tension_n: float) -> float:
        """Force, N, that pushes the sphere through, the tension held."""
        return closed_force(
            self.beside, tension_n, self.seems_mm, self.sphere_mm, self.cable_mm, self.distance_mm
        )

    def push_stretched(self, tension_n: float, stiffness_n: float) -> float:
        """The same with cables that tighten as they are pushed aside."""
        # Legs of one job are often alike but for noise: what is equal is worked out once.
        cable = TautCable(tension_n, round(self.seems_mm, 6), stiffness_n, round(self.free_mm, 3))
        distance = round(self.distance_mm, 6)
        return sphere_force(self.beside, cable, self.sphere_mm, self.cable_mm, distance)

    def spread(self, tension_n: float, stiffness_n: float = 0.0) -> float:
        """Force, N, on each neighbour, away from the other, that lets the sphere through."""
        cable = TautCable(tension_n, self.seems_mm, stiffness_n, self.free_mm)
        return opened_by(self.beside, cable, self.sphere_mm, self.cable_mm, self.distance_mm)

    def with_span(self, most_mm: float) -> Gap:
        """As it is where no cable spans more than this."""
        return replace(self, span_mm=min(self.span_mm, most_mm))

    def with_spacing(self, square_mm: float) -> Gap:
        """As it is, at the worst, with cables so far apart, square to them.

        Rows go on upward until the rail is no farther from the last than the cables lie apart.
        """
        if self.kind == "cable":
            return replace(self, distance_mm=min(self.distance_mm, square_mm))
        if self.kind == "rail":
            least = square_mm - self.cable_mm / 2
            return replace(self, distance_mm=min(self.distance_mm, least))
        return self

    def with_bottom(self, lower_mm: float) -> Gap:
        """As it is with all cables so much nearer to the floor."""
        return replace(self, distance_mm=self.distance_mm - self.lowers * lower_mm)


def bays_of(view: LegView, cable: CableLine) -> list[Bay]:
    """The bays of one leg that a cable goes through, in order."""
    held, cosine = set(cable.group), cable.axis.cosine
    posts = sorted((post.s_mm, post.mark) for post in view.posts if post.mark in held)
    bars = sorted(zip(view.spacers, view.leg.spacers, strict=True))
    found: list[Bay] = []
    k = 0
    for (s, start), (s_end, end) in pairwise(posts):
        inside = [(s, start)]
        while k < len(bars) and bars[k][0] < s_end:
            if bars[k][0] > s:
                inside.append(bars[k])
            k += 1
        inside.append((s_end, end))
        a, b = max(pairwise(inside), key=lambda pair: round(pair[1][0] - pair[0][0], 6))
        length, span = (s_end - s) / cosine, (b[0] - a[0]) / cosine
        found.append(Bay(length, (start, end), (s, s_end), span, a[1], b[1]))
    return found


def gaps_of(job: Job, view: LegView) -> list[Gap]:
    """The gaps of every group of cables in a leg."""
    found: list[Gap] = []
    for panel in view.panels():
        bays = bays_of(view, panel[0])
        if bays:
            group = _Group(job, view, panel, bays)
            found += group.between()
            found += group.under_rail()
            found += group.over_floor()
    return found


class _Group:
    """Cables held by the same posts, in one leg."""

    def __init__(self, job: Job, view: LegView, panel: list[CableLine], bays: list[Bay]) -> None:
        self.view, self.panel, self.bays = view, panel, bays
        stair = view.leg.kind == "stair"
        self.sphere = job.rules.limit("opening.stair" if stair else "opening.level").value
        self.bottom_sphere = job.rules.limit("opening.bottom").value
        self.cosine = panel[0].axis.cosine
        part = view.assembly.by_mark[panel[0].mark]
        self.free = detail_of(part, CableDetail).support_length_mm
        # Beside a rail or floor bars give way: the bay counts there as well as the span.
        self.softest = max(bays, key=self._seems)

    def _seems(self, bay: Bay) -> float:
        return round(span_beside_rigid(bay.span_mm, bay.length_mm, len(self.panel)), 6)

    def between(self) -> Iterator[Gap]:
        if len(self.panel) < 2:
            return
        bay = max(self.bays, key=lambda bay: round(bay.span_mm, 6))
        spacing, low, high = max(
            (round((b.axis.z_mm - a.axis.z_mm) * self.cosine, 9), a.mark, b.mark)
            for a, b in pairwise(self.panel)
        )
        yield Gap(
            "cable",
            "cable",
            (low, high, bay.start, bay.end),
            spacing,
            self.sphere,
            2 * self.panel[0].radius_mm,
            bay.span_mm,
            bay.length_mm,
            len(self.panel),
            self.free,
        )

    def under_rail(self) -> Iterator[Gap]:
        """The worst of those under a rail; over a bay whose rail is not parallel, its widest."""
        top = self.panel[-1]
        found = [
            self._rigid("rail", "flat", top.mark, rail.mark, distance, bay)
            for rail in self.view.rails
            for distance, bay in self._under(top, rail)
        ]
        yield from sorted(found, key=lambda gap: gap.push(1.0))[:1]

    def _under(self, top: CableLine, rail: RailLine) -> Iterator[tuple[float, Bay]]:
        under, axis = rail.underside, top.axis
        if abs(under.slope - axis.slope) < 1e-9:
            if min(under.end_mm, axis.end_mm) > max(under.start_mm, axis.start_mm):
                yield (under.z_mm - axis.z_mm) * self.cosine, self.softest
            return
        for bay in self.bays:
            start = max(under.start_mm, axis.start_mm, bay.s_mm[0])
            end = min(under.end_mm, axis.end_mm, bay.s_mm[1])
            if end > start:
                over = max(under.at(s) - axis.at(s) for s in (start, end))
                yield over * self.cosine, bay

    def over_floor(self) -> Iterator[Gap]:
        """On a stair the triangle of riser and tread counts instead, at rest."""
        low, out = self.panel[0], self.view.outside_mm
        if self.view.leg.kind == "stair":
            return
        held = set(low.group)
        found: list[tuple[float, float, float]] = []
        for post in self.view.posts:
            if post.mark not in held:
                continue
            floor = self.view.floor_at(post.s_mm)
            if floor is not None:
                over = (low.axis.at(post.s_mm) - floor) * self.cosine
                found.append((over, post.s_mm, floor))
        if found:
            over, s, floor = max(found, key=lambda place: round(place[0], 6))
            mark = self._floor_mark(s, floor)
            # Cables that hang outside the edge leave a slanting gap to it.
            beside = "edge" if out > 0.0 else "flat"
            distance = math.hypot(over, out)
            yield self._rigid("floor", beside, mark, low.mark, distance, self.softest)

    def _floor_mark(self, s_mm: float, floor: float) -> str:
        return next(
            surface.mark
            for surface in self.view.surfaces
            if surface.start_mm - 1e-6 <= s_mm <= surface.end_mm + 1e-6
            and surface.top_at(s_mm) == floor
        )

    def _rigid(
        self,
        kind: Literal["rail", "floor"],
        beside: Beside,
        low: str,
        high: str,
        distance: float,
        bay: Bay,
    ) -> Gap:
        return Gap(
            kind,
            beside,
            (low, high, *bay.posts),
            distance,
            self.sphere if kind == "rail" else self.bottom_sphere,
            2 * self.panel[0].radius_mm,
            bay.span_mm,
            bay.length_mm,
            len(self.panel),
            self.free,
            self.cosine if kind == "floor" and beside == "flat" else 0.0,
        )
