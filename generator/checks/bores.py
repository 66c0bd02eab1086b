"""Whether studs pass the holes drilled for them in posts, and cables those of their spacers.

On either side of a drilled wall a round bar shows as an ellipse. Its room there is what is left
between it and the edge of the hole, the least over all directions. Cables in posts: `holes.py`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise

import numpy as np

from generator.checks.contacts import at_end, cable_number
from generator.checks.kernel import Floats, Ints
from generator.checks.neighbours import segment_distance
from generator.checks.outcome import Bound, Outcome, fine, round_up, shop
from generator.geometry import Vec3, along, sub, unit
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    DrilledHole,
    Part,
    PostDetail,
    SpacerDetail,
    detail_of,
)
from generator.parts.shapes import Hole, Prism, Route, Turned

_EPS_MM = 1e-6
_IN_HOLE = Bound(0.0, "at least", "mm", "bars pass their holes", "geometry", True)
# Directions on a face, every 5 degrees: level, plumb and askew are among them.
_TURNS = np.radians(np.arange(0.0, 360.0, 5.0))
_SIDES = {"x-": (0, -1.0), "x+": (0, 1.0), "y-": (1, -1.0), "y+": (1, 1.0)}


def check_bores(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the worst hole of each bar that several do not pass, and of each other body."""
    met = _Met()
    _studs(assembly, met)
    _strung(assembly, met)
    if not met.pairs:
        return
    room, point = met.rooms()
    past = np.flatnonzero(room < -_EPS_MM)
    past = past[np.argsort(room[past], kind="stable")].tolist()
    # A bar that cuts into several bodies is moved itself; else the body is.
    cut: dict[str, set[int]] = {}
    for n in past:
        bar, body, _ = met.pairs[n]
        cut.setdefault(met.bars[bar][0].mark, set()).add(body)
    worst: dict[str, int] = {}
    for n in past:
        mark = met.bars[met.pairs[n][0]][0].mark
        worst.setdefault(mark if len(cut[mark]) > 1 else met.bodies[met.pairs[n][1]].mark, n)
    for n in worst.values():
        bar, body = met.bars[met.pairs[n][0]][0], met.bodies[met.pairs[n][1]]
        x, y, z = point[:, n].tolist()
        yield _outcome(assembly, bar, body, float(room[n]), (x, y, z))


def _outcome(assembly: Assembly, bar: Part, body: Part, room: float, point: Vec3) -> Outcome:
    job = assembly.job
    shift = shop(job, round_up(job, max(-room, 0.0)))
    return Outcome(
        "clash.fittings" if bar.kind == "fitting" else "clash.cable-post",
        (bar.mark, body.mark),
        room,
        _IN_HOLE,
        f"{bar.mark} cuts {fine(job, -room)} into the edge of its hole in {body.mark}",
        f"drill {body.mark} where {bar.mark} crosses it, {shift} further, or a larger hole",
        point=point,
    )


def _studs(assembly: Assembly, met: _Met) -> None:
    """Fittings in the holes of their posts."""
    cables = {cable_number(part): part for part in assembly.of_kind("cable")}
    for part in assembly.of_kind("fitting"):
        cable, post = cables.get(cable_number(part)), assembly.by_mark.get(part.belongs_to)
        if cable is None or post is None or not isinstance(post.detail, PostDetail):
            continue
        detail, shape = detail_of(cable, CableDetail), part.shape
        assert isinstance(shape, Turned)
        rows = met.rows(post, post.detail.drilling)
        drilled = rows.get((detail.legs[-at_end(part)], detail.row), ())
        for step in shape.steps if drilled else ():
            span = (step.start_mm, step.end_mm, step.outer_mm / 2)
            met.add((part, part.place.origin, part.place.z, *span), post, drilled)


def _strung(assembly: Assembly, met: _Met) -> None:
    """Cables in the holes of the spacers of their legs."""
    for leg in assembly.legs:
        if not leg.spacers:
            continue
        spacers = [assembly.by_mark[mark] for mark in leg.spacers]
        for cable in (assembly.by_mark[mark] for mark in leg.cables):
            row = detail_of(cable, CableDetail).row
            bars = _stretches(cable)
            for spacer in spacers:
                rows = met.rows(spacer, detail_of(spacer, SpacerDetail).drilling)
                bar = bars[0] if len(bars) == 1 else min(bars, key=partial(_apart, spacer))
                met.add(bar, spacer, rows.get((leg.number, row), ()))


def _stretches(cable: Part) -> list[_Bar]:
    """The straight stretches of a cable."""
    shape = cable.shape
    assert isinstance(shape, Route)
    found = []
    for a, b in pairwise(cable.place.point(point) for point in shape.points):
        found.append((cable, a, unit(sub(b, a)), 0.0, math.dist(a, b), shape.diameter_mm / 2))
    return found


def _apart(spacer: Part, bar: _Bar) -> float:
    """From the axis of a spacer to that of a bar: a cable goes on round corners to other legs."""
    shape = spacer.shape
    assert isinstance(shape, Prism)
    low, high = (spacer.place.point((0.0, 0.0, cut.z_mm)) for cut in (shape.start, shape.end))
    _, start, way, _, length, _ = bar
    return segment_distance(low, high, start, along(start, way, length))


_Bar = tuple[Part, Vec3, Vec3, float, float, float]
_Rows = dict[tuple[int, int], tuple[Hole, ...]]


class _Met:
    """Bars (part, point of the axis, direction, from, to, radius) with the holes they belong in."""

    def __init__(self) -> None:
        self.bars: list[_Bar] = []
        self.bodies: list[Part] = []
        self.holes: list[Hole] = []
        self.pairs: list[tuple[int, int, int]] = []
        self._body: dict[str, int] = {}
        self._hole: dict[int, int] = {}
        self._rows: dict[tuple[int, int], _Rows] = {}

    def rows(self, body: Part, drilling: Sequence[DrilledHole]) -> _Rows:
        """Holes of a body by leg and row; bodies that are drilled alike share them."""
        shape = body.shape
        assert isinstance(shape, Prism)
        key = (id(shape), id(drilling))
        if key not in self._rows:
            self._rows[key] = {
                (hole.leg, hole.row): tuple(shape.holes[wall] for wall in hole.walls)
                for hole in drilling
            }
        return self._rows[key]

    def add(self, bar: _Bar, body: Part, holes: Sequence[Hole]) -> None:
        if not self.bars or self.bars[-1] is not bar:
            self.bars.append(bar)
        if body.mark not in self._body:
            self._body[body.mark] = len(self.bodies)
            self.bodies.append(body)
        for hole in holes:
            if id(hole) not in self._hole:
                self._hole[id(hole)] = len(self.holes)
                self.holes.append(hole)
            self.pairs.append((len(self.bars) - 1, self._body[body.mark], self._hole[id(hole)]))

    def rooms(self) -> tuple[Floats, Floats]:
        """(room, point) of every pair, the smaller of the two sides of the wall."""
        bar, body, hole = np.array(self.pairs, dtype=np.intp).T
        frames = np.array([(p.place.origin, p.place.x, p.place.y, p.place.z) for p in self.bodies])
        starts = np.array([b[1] for b in self.bars])[bar]
        ways = np.array([b[2] for b in self.bars])[bar]
        low, high, radius = np.array([b[3:] for b in self.bars]).T[:, bar]
        origin, axes = frames[body, 0], frames[body, 1:]
        start = np.einsum("nij,nj->ni", axes, starts - origin)
        way = np.einsum("nij,nj->ni", axes, ways)
        normal, face, across, centre, slope = self._faces(body, hole)
        found, where = np.full(len(bar), np.inf), np.zeros((3, len(bar)))
        pick = np.arange(len(bar))
        for depth in (np.zeros(len(bar)), np.array([h.depth_mm for h in self.holes])[hole]):
            plane = face - np.sign(face) * depth
            with np.errstate(divide="ignore", invalid="ignore"):
                at = (plane - start[pick, normal]) / way[pick, normal]
            there = (at >= low) & (at <= high)
            at = np.where(there, at, 0.0)
            point = start + at[:, None] * way
            off = np.stack((point[pick, across], point[:, 2])) - centre - slope * depth
            lean = np.stack((way[pick, across], way[:, 2])) / np.where(
                there, way[pick, normal], 1.0
            )
            room = self._room(hole, off, lean, np.where(there, radius, -np.inf))
            nearer = room < found
            found = np.where(nearer, room, found)
            world = origin.T + np.einsum("nij,ni->jn", axes, point)
            where = np.where(nearer, world, where)
        return found, where

    def _faces(self, body: Ints, hole: Ints) -> tuple[Ints, Floats, Ints, Floats, Floats]:
        """(axis across the wall, its outer face, axis along it, the hole's centre and lean)."""
        sides = [_SIDES[h.face] for h in self.holes]
        normal = np.array([axis for axis, _ in sides])[hole]
        sign = np.array([side for _, side in sides])[hole]
        halves = np.array([_halves(part) for part in self.bodies])[body]
        face = sign * halves[np.arange(len(hole)), normal]
        centre = np.array([(h.across_mm, h.along_mm) for h in self.holes])[hole].T
        lean = np.array([h.lean for h in self.holes])[hole].T
        return normal, face, 1 - normal, centre, lean

    def _room(self, hole: Ints, off: Floats, lean: Floats, radius: Floats) -> Floats:
        """Between bars and the edges of their holes on one face.

        `off` and `lean` (2, N): where an axis is from the hole's middle, and its slopes there.
        Where a circle in the hole about its middle has room for the bar, that room or more.
        """
        sizes = np.array([(h.width_mm, h.height_mm, h.bore_mm, *h.lean) for h in self.holes])
        short = np.minimum(sizes[:, 0], sizes[:, 1])[hole] / 2
        found = short - np.hypot(*off) - radius * np.hypot(1.0, np.hypot(*lean))
        tight = np.flatnonzero(found < _EPS_MM)
        found[tight] = _least_room(
            sizes[hole[tight]].T, off[:, tight], lean[:, tight], radius[tight]
        )
        return found


def _least_room(sizes: Floats, off: Floats, lean: Floats, radius: Floats) -> Floats:
    """Least over all directions on the face; a hole is a stadium, or leans and is an ellipse."""
    width, height, bore, *leans = sizes
    bored = (leans[0] != 0.0) | (leans[1] != 0.0)
    short = np.minimum(width, height) / 2
    least = np.full(len(radius), np.inf)
    for turn in _TURNS:
        c, s = float(np.cos(turn)), float(np.sin(turn))
        stadium = short + (width / 2 - short) * abs(c) + (height / 2 - short) * abs(s)
        ellipse = bore / 2 * np.hypot(1.0, leans[0] * c + leans[1] * s)
        bar = off[0] * c + off[1] * s + radius * np.hypot(1.0, lean[0] * c + lean[1] * s)
        least = np.minimum(least, np.where(bored, ellipse, stadium) - bar)
    return least


def _halves(part: Part) -> tuple[float, float]:
    """Half the extents of an upright body along its own x and y."""
    shape = part.shape
    assert isinstance(shape, Prism)
    corners = shape.section.outer.corners
    return max(x for x, _ in corners), max(y for _, y in corners)
