"""The parts of an assembly as bodies for distance work: round rods and convex prisms.

A rod is a line with a radius: a stretch of cable, a stud, a bolt's shank, a round bar. It is exact
along its sides; at a flat or slanted end, where the half ball about it is too large, a prism of 24
sides about it says more. Discs (washers, bolt heads) are such prisms throughout. Hollows and holes
are left out: a tube is taken as solid, and what may lie in it is for the table of contacts to say.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np

from generator.checks.kernel import Floats, Ints, Places, Solids, prisms
from generator.checks.outlines import Ring, between_cuts, fine, has_rounds, rough
from generator.frozen import dataclass
from generator.geometry import EndPlane, Frame, Vec3, cross, distance, unit
from generator.geometry import sub as minus
from generator.parts.assembly import Part
from generator.parts.shapes import Circle, Outline, Prism, Route, Shape, Step, Turned

# Longer bodies are swept in pieces of no more than this.
_PIECE_MM = 1200.0


@dataclass(frozen=True, slots=True)
class Rod:
    """A round bar on z of its own frame, from tip to tip.

    Between `full_from_mm` and `full_to_mm` the whole round is there; `balls` tells at which end
    there is a half ball: where a cable bends.
    """

    from_mm: float
    to_mm: float
    radius_mm: float
    full_from_mm: float
    full_to_mm: float
    balls: tuple[bool, bool] = (False, False)


@dataclass(frozen=True, slots=True)
class Cuts:
    """A convex outline drawn along z from one cut to another."""

    ring: Ring
    start: EndPlane
    end: EndPlane


@dataclass(frozen=True, slots=True)
class Figure:
    """One convex body of a part, in its own frame.

    `rough` holds it and is quick to compare, a rod or a prism; `fine` is the prism that fits it.
    """

    rough: Rod | Cuts
    fine: Callable[[], Cuts]


def figures(shape: Shape) -> Iterator[tuple[Figure, Frame | None]]:
    """Convex bodies of a shape, those of a cable with the frames of its stretches in the part's."""
    if isinstance(shape, Prism):
        yield from ((figure, None) for figure in _of_prism(shape))
    elif isinstance(shape, Turned):
        yield from ((_of_step(step), None) for step in _lengths(shape.steps))
    else:
        yield from _of_route(shape)


def _of_prism(shape: Prism) -> Iterator[Figure]:
    outer, start, end = shape.section.outer, shape.start, shape.end
    if isinstance(outer, Circle):
        yield _round(outer.diameter_mm / 2, start, end)
        return
    pieces = rough(outer)
    for k, plain in enumerate(pieces):
        cuts = _cut(plain, start, end)
        if len(cuts.ring) >= 3:
            close = _later(outer, k, start, end) if has_rounds(outer) else _given(cuts)
            yield Figure(cuts, close)


def _round(radius: float, start: EndPlane, end: EndPlane) -> Figure:
    reach = [radius * math.hypot(cut.slope_x, cut.slope_y) for cut in (start, end)]
    low, high = start.z_mm - reach[0], end.z_mm + reach[1]
    outline = Circle(2 * radius)
    close = _later(outline, 0, start, end)
    if high - low >= 2 * radius:
        return Figure(Rod(low, high, radius, start.z_mm + reach[0], end.z_mm - reach[1]), close)
    return Figure(_cut(outline.corners, start, end), close)


def _cut(ring: Ring, start: EndPlane, end: EndPlane) -> Cuts:
    return Cuts(between_cuts(ring, start, end), start, end)


def _given(cuts: Cuts) -> Callable[[], Cuts]:
    return lambda: cuts


def _later(outline: Outline, piece: int, start: EndPlane, end: EndPlane) -> Callable[[], Cuts]:
    return lambda: _cut(fine(outline)[piece], start, end)


def _lengths(steps: Sequence[Step]) -> Iterator[Step]:
    """Steps of one diameter that follow each other are one."""
    held = steps[0]
    for step in steps[1:]:
        if step.outer_mm == held.outer_mm and step.start_mm == held.end_mm:
            held = Step(held.start_mm, step.end_mm, held.outer_mm)
        else:
            yield held
            held = step
    yield held


def _of_step(step: Step) -> Figure:
    return _round(step.outer_mm / 2, EndPlane(step.start_mm), EndPlane(step.end_mm))


def _of_route(shape: Route) -> Iterator[tuple[Figure, Frame]]:
    last = len(shape.points) - 2
    radius = shape.diameter_mm / 2
    for k, (a, b) in enumerate(pairwise(shape.points)):
        length = distance(a, b)
        rod = Rod(0.0, length, radius, 0.0, length, (k > 0, k < last))
        close = _later(Circle(shape.diameter_mm), 0, EndPlane(0.0), EndPlane(length))
        yield Figure(rod, close), _along(a, b)


def _along(a: Vec3, b: Vec3) -> Frame:
    """A frame at a whose z points to b."""
    z = unit(minus(b, a))
    side = (1.0, 0.0, 0.0) if abs(z[0]) < 0.5 else (0.0, 1.0, 0.0)
    x = unit(cross(side, z))
    return Frame(a, x, cross(z, x), z)


@dataclass(frozen=True, slots=True)
class Prisms:
    """Prisms of bodies in batches of like corners: the batch of each, -1 for none, and where."""

    batches: Sequence[Solids]
    batch: Ints
    place: Ints


@dataclass(frozen=True, slots=True)
class Bodies:
    """B convex bodies: whose they are, what they look like, and where they are.

    `radius` is 0 for prisms; `tips` (3, 2, B) are the ends of their middle lines, `girth` the
    farthest that they reach from those. `low`, `high` (3, B) are boxes about them, `rough` the
    prisms among them.
    """

    part: Ints
    figure: Ints
    figures: Sequence[Figure]
    places: Places
    radius: Floats
    girth: Floats
    tips: Floats
    rough: Prisms
    low: Floats
    high: Floats


def bodies_of(parts: Sequence[Part]) -> Bodies:
    """All convex bodies of the parts, in their order."""
    # Parts bought alike mostly share their shape; equal ones are found by value.
    by_shape: dict[int, list[tuple[int, Frame | None]]] = {}
    by_value: dict[object, list[tuple[int, Frame | None]]] = {}
    found: list[Figure] = []
    part, which, frames = [], [], []
    for n, one in enumerate(parts):
        shape, place = one.shape, one.place
        own = by_shape.get(id(shape))
        if own is None:
            value = _outside(shape)
            own = by_value.get(value)
            if own is None:
                made = list(figures(shape))
                own = [(len(found) + k, frame) for k, (_, frame) in enumerate(made)]
                found += [figure for figure, _ in made]
                by_value[value] = own
            by_shape[id(shape)] = own
        for index, frame in own:
            part.append(n)
            which.append(index)
            frames.append(_placed(place, frame) if frame else place)
    return _arrays(np.array(part, dtype=np.intp), np.array(which, dtype=np.intp), found, frames)


def _outside(shape: Shape) -> object:
    """What tells a shape from others, its holes left out."""
    return (shape.section.outer, shape.start, shape.end) if isinstance(shape, Prism) else shape


def _placed(place: Frame, local: Frame) -> Frame:
    axes = (place.vector(axis) for axis in (local.x, local.y, local.z))
    return Frame(place.point(local.origin), *axes)


def _arrays(part: Ints, which: Ints, found: Sequence[Figure], frames: Sequence[Frame]) -> Bodies:
    flat = np.array([(f.origin, f.x, f.y, f.z) for f in frames]).reshape(-1, 4, 3)
    turned = np.ascontiguousarray(flat.transpose(1, 2, 0))
    places = Places(turned[0], turned[1:])
    spans = np.array([_span(f.rough) for f in found]).reshape(-1, 3)[which]
    radius, girth = spans[:, 2].copy(), spans[:, 2].copy()
    tips = np.stack([places.origin + places.axes[2] * spans[:, k] for k in (0, 1)], axis=1)
    rough = gathered({k: f.rough for k, f in enumerate(found) if isinstance(f.rough, Cuts)}, which)
    low, high = tips.min(axis=1) - radius, tips.max(axis=1) + radius
    for k, solids in enumerate(rough.batches):
        own = np.flatnonzero(rough.batch == k)
        corners = solids.corners.take(rough.place[own], 2)
        girth[own] = np.sqrt(corners[0] ** 2 + corners[1] ** 2).max(axis=0)
        corners = places.take(own).point(corners)
        low[:, own], high[:, own] = corners.min(axis=1), corners.max(axis=1)
    return Bodies(part, which, found, places, radius, girth, tips, rough, low, high)


def _span(body: Rod | Cuts) -> Vec3:
    """(from, to, radius): z of the ends of its middle line; a radius for rods only."""
    if isinstance(body, Rod):
        return (body.from_mm, body.to_mm, body.radius_mm)
    return (body.start.z_mm, body.end.z_mm, 0.0)


def gathered(cuts: Mapping[int, Cuts], which: Ints) -> Prisms:
    """The prisms of bodies of which the k-th looks like number `which[k]` of `cuts`, or of none."""
    by_corners: dict[int, list[int]] = {}
    for number, one in cuts.items():
        by_corners.setdefault(len(one.ring), []).append(number)
    size = int(which.max(initial=-1)) + 1
    batch, place = np.full(size, -1, dtype=np.intp), np.zeros(size, dtype=np.intp)
    batches = []
    for n, numbers in enumerate(by_corners.values()):
        batch[numbers], place[numbers] = n, np.arange(len(numbers))
        own = [cuts[number] for number in numbers]
        rings = np.array([one.ring for one in own]).transpose(2, 1, 0)
        starts, ends = (
            np.array([(c.z_mm, c.slope_x, c.slope_y) for c in planes]).T
            for planes in ([one.start for one in own], [one.end for one in own])
        )
        batches.append(prisms(np.ascontiguousarray(rings), starts, ends))
    return Prisms(batches, batch[which], place[which])


def boxes(bodies: Bodies, reach_mm: float) -> tuple[Floats, Floats, Ints]:
    """(low, high, body): boxes about all bodies, grown by the reach, long ones piece by piece.

    The box of a long bar that lies across the axes is mostly empty; the boxes of its pieces are
    not.
    """
    starts, ends = bodies.tips[:, 0], bodies.tips[:, 1]
    length = np.sqrt(((ends - starts) ** 2).sum(axis=0))
    pieces = np.maximum(np.ceil(length / _PIECE_MM), 1.0).astype(np.intp)
    below = bodies.low - bodies.tips.min(axis=1)
    above = bodies.high - bodies.tips.max(axis=1)
    # What is about the middle line goes with it; at a slanted end it may be less than elsewhere.
    girth = np.where(pieces > 1, bodies.girth, 0.0)
    below, above = np.minimum(below, -girth) - reach_mm, np.maximum(above, girth) + reach_mm
    body = np.repeat(np.arange(len(pieces)), pieces)
    step = np.arange(len(body)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = np.stack((step, step + 1)) / pieces[body]
    a, b = (starts[:, body] + (ends - starts)[:, body] * part for part in share)
    low, high = np.minimum(a, b) + below[:, body], np.maximum(a, b) + above[:, body]
    return low, high, body
