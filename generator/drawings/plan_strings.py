"""Dimensions of a plan: along every edge, edge to guard line, clear widths of openings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.dimensions import (
    FIRST_LINE,
    NEXT_LINE,
    Datum,
    Mark,
    Measure,
    angle,
    reserve,
    room,
    string,
)
from generator.drawings.draft import GUARD, Draft, readable
from generator.drawings.lettering import Box
from generator.drawings.project import PLAN, hull, silhouette
from generator.drawings.tape import Tape, neighbours, tape, turn_between
from generator.drawings.view import Scale, Text
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.assembly import Assembly, Kind, LegLine, Part
from generator.spec.job import Stair

_STEP_ASIDE = 12.0  # as plotted: how much further off a string of dimensions tries next
_ROWS = 9
_OVER = 4.5  # as plotted: text or overshoot past the outer line of dimensions
_PLATES: tuple[Kind, ...] = ("base-plate", "side-plate", "stand-off")
_ANGLE_RADII = (14.0, 18.0, 22.0, 27.0, 33.0, 40.0, 48.0, 60.0)
_TICK = 1.2  # as plotted: ticks reach past the ends of a line
_SQUARE_DEG = 0.005  # what the text of an angle can tell


@dataclass(frozen=True, slots=True)
class PlanLeg:
    """A leg in plan: how far its posts, plates and rails reach off the edge to either side."""

    tape: Tape
    strip: Box
    outer_mm: float
    inner_mm: float
    surfaces: tuple[Part, ...]

    def reach(self, side: int) -> float:
        """How far the object reaches off the edge, outward for side 1 and inward for -1."""
        return self.outer_mm if side > 0 else self.inner_mm

    def datum(self, side: int) -> Datum:
        """Along the edge; `off` leads outward for side 1 and inward for -1."""
        one, inward = self.tape, self.tape.inward
        return Datum(
            flat(one.leg.edge_start),
            flat(one.travel),
            (-side * inward[0], -side * inward[1]),
        )


@dataclass(frozen=True, slots=True)
class Band:
    """Where the dimensions of a leg lie: the side of its edge and how far off they begin."""

    side: int
    base: float


def flat(point: Sequence[float]) -> Vec2:
    return (point[0], point[1])


def plan_legs(assembly: Assembly) -> list[PlanLeg]:
    """Every leg with the room that its guard takes."""
    plates: dict[str, list[Part]] = {}
    for part in assembly.of_kind(*_PLATES):
        plates.setdefault(part.belongs_to, []).append(part)
    held: dict[tuple[str, int], list[Part]] = {}
    for part in assembly.of_kind("handrail"):
        held.setdefault((part.run, part.leg), []).append(part)
    return [
        _plan_leg(assembly, leg, plates, held.get((leg.run, leg.number), []))
        for leg in assembly.legs
    ]


def _plan_leg(
    assembly: Assembly, leg: LegLine, plates: dict[str, list[Part]], handrails: list[Part]
) -> PlanLeg:
    one = tape(assembly, leg)
    guard = [assembly.by_mark[mark] for mark in (*leg.posts, *leg.rails)]
    seen = [silhouette(part, PLAN).corners for part in guard]
    beside = [part for mark in leg.posts for part in plates.get(mark, ())] + handrails
    on = [silhouette(part, PLAN).corners for part in beside]
    x0, y0, _ = leg.edge_start
    ix, iy, _ = one.inward
    offs = [(x - x0) * ix + (y - y0) * iy for corners in (*seen, *on) for x, y in corners]
    return PlanLeg(
        tape=one,
        strip=Box(hull(corner for corners in seen for corner in corners)),
        outer_mm=-min(offs),
        inner_mm=max(offs),
        surfaces=tuple(assembly.by_mark[mark] for mark in leg.surfaces),
    )


def edge_strings(draft: Draft, legs: Sequence[PlanLeg], walls: Sequence[Box]) -> list[Band]:
    """Dimensions along every edge, each on the first side where nothing is in its way."""
    for leg in legs:
        draft.keep_out(leg.strip, GUARD)
    bands: list[Band] = []
    boxes: list[Box] = []
    flights = [_treads(leg) for leg in legs]
    for k, leg in enumerate(legs):
        others = [other.strip for other in (*legs[:k], *legs[k + 1 :])]
        # Measures of one stair do not lie on another; both guards of a stair have the same treads.
        stairs = [box for box in flights if box and not _same(box, flights[k])]
        band = _clear_band(draft.scale, leg, [*walls, *others, *stairs, *boxes])
        boxes.append(_band_box(draft.scale, leg, band))
        bands.append(band)
    measures = [
        measure
        for leg, band in zip(legs, bands, strict=True)
        for measure in _leg_measures(draft.scale, leg, band)
    ]
    reserve(draft, measures)
    for measure in measures:
        string(draft, *measure)
    for box in boxes:
        draft.keep_out(box)
    return bands


def _treads(leg: PlanLeg) -> Box | None:
    """The room of a stair's treads."""
    treads = [part for part in leg.surfaces if part.kind == "tread"]
    corners = [corner for part in treads for corner in silhouette(part, PLAN).corners]
    return Box(hull(corners)) if corners else None


def _same(first: Box, second: Box | None) -> bool:
    if second is None:
        return False
    return all(abs(a - b) < 1.0 for a, b in zip(first.bounds, second.bounds, strict=True))


def _leg_measures(scale: Scale, leg: PlanLeg, band: Band) -> Iterator[Measure]:
    """Bays with the edge's ends, then the edge over all."""
    one, datum = leg.tape, leg.datum(band.side)
    foot = leg.reach(band.side)
    first = band.base + scale.plotted(FIRST_LINE)
    for row, stations in enumerate((one.bays(), one.overall())):
        marks = [Mark(s, 0.0 if s in (0.0, one.length_mm) else foot) for s in stations]
        yield datum, marks, first + scale.plotted(NEXT_LINE) * row


def _clear_band(scale: Scale, leg: PlanLeg, taken: Sequence[Box]) -> Band:
    """In this order: outside the edge, beyond the treads, on them, then further off by turns."""
    on = max(leg.reach(-1), 0.0)
    beyond = max(on, *_surface_reach(leg))
    outer = max(leg.reach(1), 0.0)
    steps = [scale.plotted(_STEP_ASIDE) * k for k in range(_ROWS)]
    outside = [Band(1, outer + step) for step in steps]
    inside = [Band(-1, beyond + step) for step in steps]
    offers = [*outside[:3], inside[0], Band(-1, on)]
    offers += [band for pair in zip(outside[3:], inside[1:], strict=False) for band in pair]

    def crowding(band: Band) -> int:
        box = _band_box(scale, leg, band)
        return sum(1 for other in taken if box.touches(other))

    return min(offers, key=crowding)


def _surface_reach(leg: PlanLeg) -> list[float]:
    """How far inward the treads of a stair reach; a level leg's dimensions may lie on its deck."""
    datum = leg.datum(-1)
    return [
        datum.measure(corner)[1]
        for part in leg.surfaces
        if part.kind == "tread"
        for corner in silhouette(part, PLAN).corners
    ] or [0.0]


def _band_box(scale: Scale, leg: PlanLeg, band: Band) -> Box:
    """The room that both lines of dimensions and their text take."""
    datum = leg.datum(band.side)
    low = band.base + scale.plotted(3.0)
    high = band.base + scale.plotted(FIRST_LINE + NEXT_LINE + _OVER)
    start, end = min(leg.tape.overall()), max(leg.tape.overall())
    return Box(
        (datum.at(start, low), datum.at(end, low), datum.at(end, high), datum.at(start, high))
    )


def corner_angles(draft: Draft, assembly: Assembly, legs: Sequence[PlanLeg]) -> bool:
    """The angle between the edges at every corner that is not square, where it is less than 180.

    Says whether the job has square corners, which go without.
    """
    squares = False
    for leg in legs:
        a = leg.tape.leg
        b = neighbours(assembly, a)[1]
        if b is None or b == a or abs(turn_between(a, b)) < 1e-6:
            continue
        turn = turn_between(a, b)
        if abs(abs(turn) - 90.0) < _SQUARE_DEG:
            squares = True
            continue
        back, ahead = a.bearing_deg + 180.0, b.bearing_deg
        start, end = (ahead, back) if turn > 0 else (back, ahead)
        angle(draft, flat(a.edge_end), start, end, _ANGLE_RADII)
    return squares


def insets(draft: Draft, legs: Sequence[PlanLeg]) -> None:
    """Edge to guard line, square to the edge, once for every inset of a run."""
    done: set[tuple[str, float]] = set()
    for leg in legs:
        key = (leg.tape.leg.run, round(leg.tape.inset_mm, 1))
        if key not in done:
            _inset(draft, leg)
        done.add(key)


def _inset(draft: Draft, leg: PlanLeg) -> None:
    """In the first bay that has room for it."""
    one = leg.tape
    stations = sorted(station for _, station in one.posts)
    bays = list(pairwise(stations)) or [(stations[0], stations[0])]
    marks = [Mark(0.0, 0.0), Mark(one.inset_mm, 0.0)]
    beyond = max(leg.reach(-1), leg.reach(1)) - abs(one.inset_mm) + draft.scale.plotted(1.2)
    places = []
    for a, b in bays:
        for part in (0.3, 0.5, 0.7, 0.15, 0.85):
            edge = leg.datum(-1).at(a + (b - a) * part)
            places.append(Datum(edge, flat(one.inward), (-one.travel[0], -one.travel[1])))
    free = (
        datum
        for datum in places
        if room(draft, datum, marks, 0.0, beyond)
        and not draft.lettered(datum.at(0.0), datum.at(one.inset_mm))
    )
    string(draft, next(free, places[0]), marks, 0.0, beyond)


def openings(
    draft: Draft, assembly: Assembly, legs: Sequence[PlanLeg], bands: Sequence[Band]
) -> None:
    """The clear width between the post faces of every opening, and the word in it."""
    by_leg = {(leg.tape.leg.run, leg.tape.leg.number): leg for leg in legs}
    for leg, band in zip(legs, bands, strict=True):
        after = neighbours(assembly, leg.tape.leg)[1]
        if leg.tape.leg.end_joint != "opening" or after is None:
            continue
        other = by_leg[after.run, after.number]
        datum = leg.datum(band.side)
        near = max(_faces(assembly, leg, datum), key=lambda pair: pair[1])[1]
        far = min(_faces(assembly, other, datum))[0]
        foot = leg.reach(band.side)
        marks = [Mark(near, foot), Mark(far, foot)]
        lines = [band.base + draft.scale.plotted(FIRST_LINE + NEXT_LINE * k) for k in range(4)]
        free = (line for line in lines if room(draft, datum, marks, line))
        string(draft, datum, marks, next(free, lines[0]))
        _opening_word(draft, leg, (near + far) / 2)


def _faces(assembly: Assembly, leg: PlanLeg, datum: Datum) -> Iterator[tuple[float, float]]:
    """Stations of the faces of a leg's posts along a datum."""
    for mark in leg.tape.leg.posts:
        corners = silhouette(assembly.by_mark[mark], PLAN).corners
        stations = [datum.measure(corner)[0] for corner in corners]
        yield min(stations), max(stations)


def _opening_word(draft: Draft, leg: PlanLeg, station: float) -> None:
    turn = readable(leg.tape.leg.bearing_deg)
    datum = leg.datum(-1)
    offs = [leg.tape.inset_mm + draft.scale.plotted(off) for off in (0.0, 5.0, -5.0, 10.0, -10.0)]
    draft.letter(
        Text(datum.at(station, off), "OPENING", draft.scale.small, layers.SYMBOLS, turn_deg=turn)
        for off in offs
    )


def stair_widths(draft: Draft, assembly: Assembly, legs: Sequence[PlanLeg]) -> None:
    """Across the treads of every stair whose width the job gives, once for a stair."""
    done: set[tuple[float, ...]] = set()
    wide = {
        item.path
        for run in assembly.job.runs
        for item in run.legs
        if isinstance(item, Stair) and item.width_mm is not None
    }
    for leg in legs:
        treads = [part for part in leg.surfaces if part.kind == "tread"]
        if leg.tape.leg.path not in wide or not treads:
            continue
        key = tuple(round(value) for value in silhouette(treads[0], PLAN).bounds)
        if key not in done:
            _width(draft, leg, treads)
        done.add(key)


def _width(draft: Draft, leg: PlanLeg, treads: Iterable[Part]) -> None:
    """In the middle of the first tread that has room for it."""
    one = leg.tape
    offers: list[tuple[Datum, list[Mark]]] = []
    for tread in treads:
        corners = [leg.datum(-1).measure(c) for c in silhouette(tread, PLAN).corners]
        low, high = (pick(station for station, _ in corners) for pick in (min, max))
        far = max((off for _, off in corners), key=abs)
        for part in (0.5, 0.3, 0.7):
            edge = leg.datum(-1).at(low + (high - low) * part)
            datum = Datum(edge, flat(one.inward), (-one.travel[0], -one.travel[1]))
            offers.append((datum, [Mark(0.0, 0.0), Mark(far, 0.0)]))
    tick = draft.scale.plotted(_TICK)
    clear = [
        (datum, marks)
        for datum, marks in offers
        if not draft.lettered(datum.at(-tick), datum.at(marks[1].station + tick))
    ]
    free = (offer for offer in clear if room(draft, offer[0], offer[1], 0.0))
    datum, marks = next(free, (clear or offers)[-1])
    string(draft, datum, marks, 0.0)
