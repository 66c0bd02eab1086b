"""`anchor.access` at nuts, bolt heads and lag screws: room for a socket, or to swing a wrench.

A socket is a round body about the axis, from the bearing face out. Where it has no room, a wrench
in the plane of the nut may still turn, tried all round the axis: two jaws and a handle, or a ring
that goes over the nut and its handle. The nut of a dead end is run on by hand and held.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from generator.checks.bodies import Bodies, boxes
from generator.checks.clash_remedies import Clash, Reaches, name, remedy
from generator.checks.contacts import (
    BASE_KINDS,
    FRAMING,
    SURFACES,
    at_end,
    cable_number,
)
from generator.checks.corners import shared_posts
from generator.checks.kernel import (
    Bools,
    Floats,
    Ints,
    segment_depth,
    segment_to_prism,
    segment_to_segment,
    unit,
)
from generator.checks.outcome import Bound, Outcome, fine, rule_bound
from generator.checks.sweep import overlapping
from generator.frozen import dataclass
from generator.geometry import Frame, along, scale
from generator.parts.assembly import Assembly, CableDetail, Kind, Part, detail_of
from generator.parts.report import Severity
from generator.parts.shapes import Prism, Turned
from generator.spec.job import Job

_EPS_MM = 1e-6
# Ways in which a wrench is tried, every 15 degrees, and half its thickness.
_WAYS, _PIECES = 24, 3
_HALF_THICK_MM = 3.0
# What a wrench lies on as it turns, and a socket is set down on.
_UNDER: frozenset[Kind] = frozenset((*BASE_KINDS, *SURFACES, *FRAMING, "riser"))
_WOOD: frozenset[Kind] = frozenset((*FRAMING, *SURFACES, "riser"))


@dataclass(frozen=True, slots=True)
class Tool:
    """A nut or head to be turned: `place.z` points out from what it bears on, at its origin."""

    part: Part
    place: Frame
    flats_mm: float
    height_mm: float
    beyond_mm: float


@dataclass(frozen=True, slots=True)
class _Rods:
    """Round bars from `a` to `b` (3, N), and which tool each is of."""

    tool: Ints
    a: Floats
    b: Floats
    radius: Floats


def check_tools(assembly: Assembly, bodies: Bodies) -> Iterator[Outcome]:
    """Yields, of each post, the nut or head that no tool turns; else the one with least room."""
    tools = list(_tools(assembly))
    if not tools:
        return
    job = assembly.job
    sockets = _sockets(job, tools)
    rod, body, gap, way = _met(assembly, tools, bodies, sockets)
    tight = gap < -_EPS_MM
    stuck = _no_swing(assembly, bodies, tools, sorted(set(rod[tight].tolist())))
    seen: dict[tuple[str, bool], list[int]] = {}
    dead = _dead_ends(assembly)
    for n in np.argsort(gap, kind="stable").tolist():
        if int(rod[n]) in stuck and tight[n]:
            part = tools[int(rod[n])].part
            seen.setdefault((part.belongs_to, _end_of(part) in dead), []).append(n)
    free = np.flatnonzero(~tight)
    shared, reaches = shared_posts(assembly), Reaches(assembly)
    for found in seen.values():
        n = found[0]
        tool, part = tools[int(rod[n])], assembly.parts[int(bodies.part[body[n]])]
        x, y, z = way[:, n].tolist()
        clash = Clash(tool.part, part, float(gap[n]), _FREE, tool.place.origin, (x, y, z))
        after = shared.get(tool.part.belongs_to) if tool.part.kind == "nut" else None
        others = len({int(rod[k]) for k in found}) - 1
        told = _outcome(job, tool, part, float(gap[n]), others)
        words, edits = remedy(reaches, clash, after)
        severity: Severity | None = "note" if _end_of(tool.part) in dead else None
        yield replace(told, remedy=words, edits=edits, severity=severity)
    if not seen and len(free):
        n = int(free[gap[free].argmin()])
        part = assembly.parts[int(bodies.part[body[n]])]
        yield _outcome(job, tools[int(rod[n])], part, float(gap[n]), 0)


def _outcome(job: Job, tool: Tool, part: Part, gap: float, others: int) -> Outcome:
    bound = _socket_bound(job, tool.flats_mm)
    assert bound.value is not None
    room = bound.value + gap
    message = _message(job, tool, part, room, others)
    where = (tool.part.mark, part.mark)
    return Outcome("anchor.access", where, room, bound, message, point=tool.place.origin)


def _dead_ends(assembly: Assembly) -> set[int]:
    """Ends of cables at which nobody pulls, numbered as by `_end_of`."""
    return {
        2 * cable_number(part) + k
        for part in assembly.of_kind("cable")
        for k, end in enumerate(detail_of(part, CableDetail).ends)
        if end == "dead"
    }


_FREE = Bound(0.0, "at least", "mm", "room for a tool", "geometry", True)


def _message(job: Job, tool: Tool, part: Part, room: float, others: int) -> str:
    swing = job.rules.limit("practice.wrench-swing").value
    more = f"; so at {others} more of {tool.part.belongs_to}" if others else ""
    return (
        f"about the axis of {name(tool.part)} there are {fine(job, max(room, 0.0))} to "
        f"{name(part)}: no socket goes on, and no wrench swings {swing:.0f} deg there{more}"
    )


def _socket_bound(job: Job, flats_mm: float) -> Bound:
    rule = rule_bound(job, "practice.socket-width", "at least")
    assert rule.value is not None
    return Bound(
        rule.value * flats_mm / 2, "at least", "mm", rule.clause, rule.edition, rule.verified
    )


def _tools(assembly: Assembly) -> Iterator[Tool]:
    """Nuts at cable ends; heads of anchors, and the nuts of those that go through."""
    system = assembly.job.system
    fitting, anchor = system.fitting, system.anchor
    for part in assembly.of_kind("nut", "anchor"):
        if part.kind == "nut":
            assert isinstance(part.shape, Prism)
            height = part.shape.end.z_mm
            yield Tool(part, part.place, fitting.nut_flats_mm, height, height)
            continue
        assert isinstance(part.shape, Turned)
        head = part.shape.steps[-1].end_mm
        yield Tool(part, part.place, anchor.head_flats_mm, head, head)
        if anchor.nut_height_mm:
            # Tight at the end of the bolt; where there is thread to spare it sits higher.
            low = part.shape.steps[0].start_mm + anchor.nut_height_mm
            p = part.place
            place = Frame(along(p.origin, p.z, low), p.x, scale(p.y, -1.0), scale(p.z, -1.0))
            height = anchor.nut_height_mm
            yield Tool(part, place, anchor.head_flats_mm, height, height)


def _sockets(job: Job, tools: Sequence[Tool]) -> _Rods:
    """Sockets with round ends, from the bearing face to the reach beyond nut or head."""
    wide = job.rules.limit("practice.socket-width").value
    reach = job.rules.limit("practice.wall-tool-reach").value
    radius = np.array([wide * tool.flats_mm / 2 for tool in tools])
    origin = np.array([tool.place.origin for tool in tools]).T
    out = np.array([tool.place.z for tool in tools]).T
    far = np.array([tool.beyond_mm + reach for tool in tools])
    last = np.maximum(far - radius, radius)
    return _Rods(np.arange(len(tools)), origin + out * radius, origin + out * last, radius)


def _met(
    assembly: Assembly, tools: Sequence[Tool], bodies: Bodies, rods: _Rods, *, flat: bool = False
) -> tuple[Ints, Ints, Floats, Floats]:
    """(rod, body, gap, way) of rods and the bodies near to them that are not of their own.

    `flat` leaves out what a wrench lies on.
    """
    count = len(bodies.part)
    low, high, owner = boxes(bodies, 0.0)
    girth = rods.radius + _EPS_MM
    low = np.concatenate((low, np.minimum(rods.a, rods.b) - girth), axis=1)
    high = np.concatenate((high, np.maximum(rods.a, rods.b) + girth), axis=1)
    owner = np.concatenate((owner, count + np.arange(len(rods.tool))))
    own = _Own(assembly, tools, flat=flat)

    def wanted(i: Ints, j: Ints) -> Bools:
        body, rod = np.minimum(i, j), np.maximum(i, j) - count
        found = (body < count) & (rod >= 0)
        some = np.flatnonzero(found)
        found[some] = own.foreign(rods.tool[rod[some]], bodies.part[body[some]])
        return found

    body, rod = overlapping(low, high, owner, wanted)
    rod = rod - count
    gap, way, crosses = _gaps(bodies, rods, rod, body)
    # A bolt that ends in wood takes no nut there: anchor.blocking tells it.
    kept = ~(crosses & own.wood[bodies.part[body]])
    return rod[kept], body[kept], gap[kept], way[:, kept]


class _Own:
    """What does not count as standing in a tool's way: its own bolt, stud, nut and washer."""

    def __init__(self, assembly: Assembly, tools: Sequence[Tool], *, flat: bool) -> None:
        parts = assembly.parts
        index = {part.mark: n for n, part in enumerate(parts)}
        self._end = np.array([_end_of(part) for part in parts])
        self._owner = np.array([index.get(part.belongs_to, n) for n, part in enumerate(parts)])
        self._tool = np.array([index[tool.part.mark] for tool in tools])
        self.wood = np.array([part.kind in _WOOD for part in parts])
        self._under = np.array([part.kind in _UNDER for part in parts])
        self._wall = np.array([part.kind == "wall" for part in parts])
        self._flat = flat

    def foreign(self, tool: Ints, part: Ints) -> Bools:
        mine = self._tool[tool]
        found = (part != mine) & ((self._end[part] != self._end[mine]) | (self._end[mine] < 0))
        nut = self._end[mine] >= 0
        # Behind a stud a wall is told by the room along it.
        found &= ~(nut & self._wall[part])
        # The cable of a nut runs away from it, in the line of its own stud.
        found &= ~(nut & (self._end[part] == -2 - self._end[mine] // 2))
        if self._flat:
            found &= ~(self._under[part] & ~nut) & ~(nut & (part == self._owner[mine]))
        return found


def _end_of(part: Part) -> int:
    """Twice the number of its cable, 1 more at the end; a cable's own is below -1, else -1."""
    number = cable_number(part)
    if number < 0:
        return -1
    return -2 - number if part.kind == "cable" else 2 * number + at_end(part)


def _gaps(bodies: Bodies, rods: _Rods, rod: Ints, body: Ints) -> tuple[Floats, Floats, Bools]:
    """(gap, way, crosses) of rods and bodies; `way` points from the body to the rod."""
    gap, way = np.empty(len(rod)), np.empty((3, len(rod)))
    crosses = np.zeros(len(rod), dtype=np.bool_)
    a, b = rods.a.take(rod, 1), rods.b.take(rod, 1)
    round_ = np.flatnonzero(bodies.radius[body] > 0.0)
    tips = bodies.tips.take(body[round_], 2)
    p, q = a.take(round_, 1), b.take(round_, 1)
    gap[round_], s, t = segment_to_segment(p, q, tips[:, 0], tips[:, 1])
    foot = tips[:, 0] + t * (tips[:, 1] - tips[:, 0])
    way[:, round_] = unit(p + s * (q - p) - foot)
    gap[round_] -= bodies.radius[body[round_]]
    batch = np.where(bodies.radius[body] > 0.0, -1, bodies.rough.batch[body])
    for k, solids in enumerate(bodies.rough.batches):
        some = np.flatnonzero(batch == k)
        if not len(some):
            continue
        places = bodies.places.take(body[some])
        ends, which = (
            [places.local(p.take(some, 1)) for p in (a, b)],
            bodies.rough.place[body[some]],
        )
        near = segment_to_prism(ends[0], ends[1], solids, which)
        gap[some], crosses[some] = near.distance, near.crosses
        local = near.way
        inside = np.flatnonzero(near.crosses)
        if len(inside):
            depth, local[:, inside] = segment_depth(
                ends[0][:, inside], ends[1][:, inside], solids, which[inside]
            )
            gap[some[inside]] = -depth
        way[:, some] = unit(places.vector(local))
    return gap - rods.radius[rod], way, crosses


def _no_swing(
    assembly: Assembly, bodies: Bodies, tools: Sequence[Tool], tight: Sequence[int]
) -> set[int]:
    """Of the tools named, those about which no open wrench turns as far as it has to."""
    if not tight:
        return set()
    own = [tools[n] for n in tight]
    rods = _wrenches(assembly.job, own)
    hit = np.zeros(len(rods.tool), dtype=np.bool_)
    rod, _, gap, _ = _met(assembly, own, bodies, rods, flat=True)
    hit[rod[gap < -_EPS_MM]] = True
    hit = hit.reshape(len(tight), _PIECES * _WAYS + 1)
    ring, pieces = hit[:, -1], hit[:, :-1].reshape(len(tight), _WAYS, _PIECES)
    swing = assembly.job.rules.limit("practice.wrench-swing").value
    ways = math.ceil(swing / (360.0 / _WAYS) - 1e-9)
    jaws = np.logical_or.reduce(pieces, axis=2)
    turns = _turns(~jaws, ways) | (_turns(~pieces[:, :, 0], ways) & ~ring)
    return {n for n, turned in zip(tight, turns.tolist(), strict=True) if not turned}


def _turns(free: Bools, ways: int) -> Bools:
    """Whether so many ways and one more that follow each other are free, of each tool."""
    turns = free.copy()
    for k in range(1, ways + 1):
        turns &= np.roll(free, -k, axis=1)
    return np.logical_or.reduce(turns, axis=1)


def _wrenches(job: Job, tools: Sequence[Tool]) -> _Rods:
    """Of each tool, way by way: the handle and the two jaws beside the flats; last its ring.

    The ring of a closed wrench is as wide as a socket, and taken as a ball about the nut.
    """
    wide = job.rules.limit("practice.socket-width").value
    head = job.rules.limit("practice.wrench-head").value
    length = job.rules.limit("practice.wrench-length").value
    half = np.array([tool.flats_mm for tool in tools]) / 2
    jaw = (head - 1.0) * half / 2
    thick = np.minimum(_HALF_THICK_MM, jaw)
    side, zero = half + jaw, np.zeros(len(tools))
    # A piece lies from tip to tip, in the way that the handle points, and to the left of it.
    pieces = (
        ((side, zero), (np.full(len(tools), length), zero)),
        ((-half / 2, side), (side, side)),
        ((-half / 2, -side), (side, -side)),
    )
    frames = [tool.place for tool in tools]
    right, up = (np.array([getattr(f, axis) for f in frames]).T[:, :, None] for axis in "xy")
    middle = np.array(
        [along(f.origin, f.z, tool.height_mm / 2) for f, tool in zip(frames, tools, strict=True)]
    ).T
    turns = 2.0 * math.pi * np.arange(_WAYS) / _WAYS
    c, s = np.cos(turns), np.sin(turns)
    tips = np.empty((2, 3, len(tools), _WAYS * _PIECES + 1))
    for n, piece in enumerate(pieces):
        for tip, (x, y) in zip(tips, piece, strict=True):
            ahead, left = x[:, None] * c - y[:, None] * s, x[:, None] * s + y[:, None] * c
            tip[:, :, n:-1:_PIECES] = middle[:, :, None] + ahead * right + left * up
    tips[:, :, :, -1] = middle
    radius = np.empty(tips.shape[2:])
    radius[:, :-1], radius[:, -1] = thick[:, None], wide * half
    flat = tips.reshape(2, 3, -1)
    return _Rods(np.repeat(np.arange(len(tools)), tips.shape[3]), flat[0], flat[1], radius.ravel())
