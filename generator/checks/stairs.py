"""`stair.riser`, `stair.tread`, `stair.variation`: the stair itself, tread by tread."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import TypeVar

from generator.checks.flight import Flight, FlightSide, Riser, Tread
from generator.checks.nearby import Nearby
from generator.checks.outcome import (
    Bound,
    Outcome,
    Sense,
    fine,
    round_down,
    round_up,
    rule_bound,
    shop,
    worst,
)
from generator.checks.stair_width import check_width, stair_edits
from generator.checks.view import LegView
from generator.parts.assembly import Assembly, Kind
from generator.parts.report import Edit, Severity
from generator.spec.job import Job, Stair

_BESIDE: tuple[Kind, ...] = ("post", "column", "rail", "spacer", "wall", "handrail", "obstacle")
_Ends = tuple[tuple[str, Sense], ...]
_RISER: _Ends = (("stair.riser.max", "at most"), ("stair.riser.min", "at least"))
_TREAD: _Ends = (("stair.tread.min", "at least"), ("stair.tread.max", "at most"))
_STEP: _Ends = (("stair.step.min", "at least"), ("stair.step.max", "at most"))
_COUNT: _Ends = (
    ("stair.flight.risers.min", "at least"),
    ("stair.flight.risers.max", "at most"),
)


def check_stairs(assembly: Assembly, views: Sequence[LegView]) -> Iterator[Outcome]:
    """Yields what every stair measures; one that guards of two runs stand on, once."""
    if all(leg.kind != "stair" for leg in assembly.legs):
        return
    nearby = Nearby(assembly, _BESIDE)
    seen: set[object] = set()
    for view in views:
        if view.leg.kind != "stair":
            continue
        stair = stair_of(assembly.job, view)
        flight = Flight(nearby, view)
        sides = flight.sides
        steps = tuple(_steps(side) for side in sides)
        if stair.name and (stair.name, steps) in seen:
            continue
        seen.add((stair.name, steps))
        found = _flight(_Stair(assembly.job, view, stair), sides)
        yield from (outcome for outcome in found if outcome.bound.stated)
        yield from check_width(assembly, nearby, flight, stair)


def stair_of(job: Job, view: LegView) -> Stair:
    """The stair of the spec that a leg is."""
    run = next(run for run in job.runs if run.id == view.leg.run)
    stair = next(item for item in run.legs if item.path == view.leg.path)
    assert isinstance(stair, Stair)
    return stair


def _steps(side: FlightSide) -> tuple[tuple[float, ...], tuple[float, ...]]:
    return (
        tuple(round(riser.height_mm, 6) for riser in side.risers),
        tuple(round(tread.depth_mm, 6) for tread in side.treads),
    )


class _Stair:
    """A stair with its words and the changes of the spec that mend it."""

    def __init__(self, job: Job, view: LegView, stair: Stair) -> None:
        self.job, self.view, self.stair = job, view, stair
        self.label = view.leg.label

    def bound(self, key: str, sense: Sense) -> Bound:
        return rule_bound(self.job, key, sense)

    def edits(self, key: str, value: str) -> tuple[Edit, ...]:
        return stair_edits(self.job, self.stair, key, value)


def _flight(stair: _Stair, sides: Sequence[FlightSide]) -> Iterator[Outcome]:
    risers = [riser for side in sides for riser in side.risers]
    treads = [tread for side in sides for tread in side.treads]
    if not risers:
        return
    yield from _risers(stair, risers)
    yield from _whole(stair, sides[0])
    yield from _treads(stair, treads)
    yield from _walked(stair, sides)
    yield from _nosings(stair, sides)
    yield from _variations(stair, sides)


_R = TypeVar("_R")


def _furthest(rows: Sequence[_R], bound: Bound, size: Callable[[_R], float]) -> _R | None:
    """Of rows against one bound, the one nearest to it or furthest past it; words come after."""
    pick = min if bound.sense == "at least" else max
    return pick(rows, key=size, default=None) if bound.stated else None


def _risers(stair: _Stair, risers: Sequence[Riser]) -> Iterator[Outcome]:
    """The highest and the lowest riser."""
    job = stair.job
    for key, sense in _RISER:
        bound = stair.bound(key, sense)
        assert bound.value is not None
        word = "higher" if sense == "at most" else "lower"
        remedy, edits = _other_count(stair, bound)
        found = _furthest(risers, bound, lambda row: row.height_mm)
        if found is None:
            continue
        riser = found
        yield Outcome(
            "stair.riser",
            (riser.upper, riser.lower),
            riser.height_mm,
            bound,
            f"{stair.label}: the riser from {riser.upper} down to {riser.lower} is "
            f"{fine(job, riser.height_mm)}, {word} than {shop(job, bound.value)}",
            remedy,
            edits,
        )


def _other_count(stair: _Stair, bound: Bound) -> tuple[str, tuple[Edit, ...]]:
    """As many equal risers as bring each within the limit, where the spec counts them."""
    made, job = stair.stair, stair.job
    words = "build the flight with risers of one height within the limits"
    if made.given_by == "treads" or not bound.value or not bound.stated:
        return words, ()
    if bound.sense == "at most":
        count = math.ceil(made.rise_mm / bound.value - 1e-9)
    else:
        count = math.floor(made.rise_mm / bound.value + 1e-9)
    if count < 1 or count == made.risers:
        return words, ()
    each = fine(job, made.rise_mm / count)
    words = f"{count} risers of {each} in place of {made.risers}"
    # Of one total going, more risers make shallower treads.
    fits = made.given_by != "going" or count < made.risers
    return words, stair.edits("risers", str(count)) if fits else ()


def _whole(stair: _Stair, side: FlightSide) -> Iterator[Outcome]:
    """The flight from floor to floor: how far it rises, and by how many risers."""
    job, count = stair.job, len(side.risers)
    rise = sum(riser.height_mm for riser in side.risers)
    where = (side.risers[0].upper, side.risers[-1].lower)
    high = stair.bound("stair.flight.rise.max", "at most")
    assert high.value is not None
    yield Outcome(
        "stair.riser",
        where,
        rise,
        high,
        f"{stair.label}: the flight rises {shop(job, rise)} without a landing, more than "
        f"{shop(job, high.value)}",
        "part the flight by a landing: two stair legs with a level one between",
    )
    for key, sense in _COUNT:
        bound = stair.bound(key, sense)
        assert bound.value is not None
        # Whether a step by itself is a flight at all is for the authority to say.
        severity: Severity | None = "note" if count == 1 else None
        few = sense == "at least"
        yield Outcome(
            "stair.riser",
            where,
            float(count),
            bound,
            f"{stair.label}: the flight has {count} riser{'s' if count > 1 else ''}, "
            f"{'fewer' if few else 'more'} than {bound.value:g}",
            "ask the authority whether a single step counts as a flight"
            if few
            else "part the flight by a landing: two stair legs with a level one between",
            severity=severity,
        )


def _treads(stair: _Stair, treads: Sequence[Tread]) -> Iterator[Outcome]:
    """The shallowest and the deepest tread, nosing to nosing."""
    job, made = stair.job, stair.stair
    for key, sense in _TREAD:
        bound = stair.bound(key, sense)
        assert bound.value is not None
        low = sense == "at least"
        wanted = round_up(job, bound.value) if low else round_down(job, bound.value)
        edits = () if made.given_by == "treads" or not bound.stated else _deeper(stair, wanted)
        found = _furthest(treads, bound, lambda row: row.depth_mm)
        if found is None:
            continue
        tread = found
        yield Outcome(
            "stair.tread",
            (tread.mark,),
            tread.depth_mm,
            bound,
            f"{stair.label}: {tread.mark} is {fine(job, tread.depth_mm)} deep from nosing to "
            f"nosing, {'less' if low else 'more'} than {shop(job, bound.value)}",
            f"treads of {shop(job, wanted)} from nosing to nosing",
            edits,
        )


def _deeper(stair: _Stair, tread_mm: float) -> tuple[Edit, ...]:
    made = stair.stair
    if made.given_by == "going":
        return stair.edits("going", shop(stair.job, tread_mm * (made.risers - 1)))
    return stair.edits("tread", shop(stair.job, tread_mm))


def _walked(stair: _Stair, sides: Sequence[FlightSide]) -> Iterator[Outcome]:
    """Twice the riser and the tread that follows it, what one step of a walk takes."""
    job = stair.job
    steps = [step for side in sides for step in zip(side.risers, side.treads, strict=False)]
    for key, sense in _STEP:
        bound = stair.bound(key, sense)
        assert bound.value is not None
        found = _furthest(steps, bound, _walk)
        if found is None:
            continue
        mark, walk = found[1].mark, _walk(found)
        word = "less" if sense == "at least" else "more"
        yield Outcome(
            "stair.tread",
            (mark,),
            walk,
            bound,
            f"{stair.label}: twice the riser and the tread at {mark} make {fine(job, walk)}, "
            f"{word} than {shop(job, bound.value)}",
            "another number of risers, or another tread",
        )


def _walk(step: tuple[Riser, Tread]) -> float:
    riser, tread = step
    return 2 * riser.height_mm + tread.depth_mm


def _nosings(stair: _Stair, sides: Sequence[FlightSide]) -> Iterator[Outcome]:
    """How far nosings stand over closed risers: too far, or not far enough on shallow treads."""
    job = stair.job
    found = list(_projections(sides))
    most = stair.bound("stair.nosing.max", "at most")
    least = stair.bound("stair.nosing.min", "at least")
    exempt = job.rules.limit("stair.nosing.tread.max").value
    needed = [row for row in found if row[1] < exempt - 1e-6]
    for bound, rows in ((most, found), (least, needed)):
        remedy, edits = _other_nosing(stair, bound, exempt)
        assert bound.value is not None
        word = "more" if bound.sense == "at most" else "less"
        found = _furthest(rows, bound, lambda row: row[2])
        if found is None:
            continue
        mark, _, projection = found
        yield Outcome(
            "stair.tread",
            (mark,),
            projection,
            bound,
            f"{stair.label}: the nosing of {mark} stands {fine(job, projection)} over the "
            f"riser below it, {word} than {shop(job, bound.value)}",
            remedy,
            edits,
        )


def _other_nosing(stair: _Stair, bound: Bound, exempt_mm: float) -> tuple[str, tuple[Edit, ...]]:
    """A shorter nosing; or a longer one, for which treads so deep that they need none also do."""
    if not bound.stated or bound.value is None:
        return "", ()
    job, measured = stair.job, stair.stair.given_by == "treads"
    if bound.sense == "at most":
        target = shop(job, round_down(job, bound.value))
        edits = () if measured else stair.edits("nosing", target)
        return f"nosings that project {target}", edits
    target, deep = shop(job, round_up(job, bound.value)), round_up(job, exempt_mm)
    words = f"nosings that project {target}, or treads of {shop(job, deep)}, which need none"
    return words, () if measured else _deeper(stair, deep)


def _projections(sides: Sequence[FlightSide]) -> Iterator[tuple[str, float, float]]:
    """(mark, depth of the tread below, projection) of every nosing over a board.

    The tread under the last nosing is the floor, as deep as one likes.
    """
    for side in sides:
        depths = [tread.depth_mm for tread in side.treads] + [math.inf]
        rows = [(side.risers[0].upper, side.top_projection_mm)]
        rows += [(tread.mark, tread.projection_mm) for tread in side.treads]
        for (mark, projection), depth in zip(rows, depths, strict=True):
            if projection is not None:
                yield mark, depth, projection


def _variations(stair: _Stair, sides: Sequence[FlightSide]) -> Iterator[Outcome]:
    """The greatest difference of risers, treads and nosings, in the flight and of neighbours."""
    rows_of = {
        "risers": [[(riser.lower, riser.height_mm) for riser in side.risers] for side in sides],
        "treads": [[(tread.mark, tread.depth_mm) for tread in side.treads] for side in sides],
        "nosings": [
            [(mark, projection) for mark, _, projection in _projections([side])] for side in sides
        ],
    }
    kinds = (("stair.variation", _most_apart), ("stair.variation.adjacent", _neighbours))
    for words, along_sides in rows_of.items():
        for key, pair_of in kinds:
            yield from worst(
                outcome
                for rows in along_sides
                for outcome in _spread(stair, words, rows, pair_of, key)
            )


Row = tuple[str, float]


def _spread(
    stair: _Stair,
    words: str,
    rows: Sequence[Row],
    pair_of: Callable[[Sequence[Row]], tuple[Row, Row]],
    key: str,
) -> Iterator[Outcome]:
    if len(rows) < 2:
        return
    job, bound = stair.job, stair.bound(key, "at most")
    assert bound.value is not None
    (low, least), (high, greatest) = pair_of(rows)
    follow = " that follow each other" if key.endswith("adjacent") else ""
    yield Outcome(
        "stair.variation",
        (low, high),
        greatest - least,
        bound,
        f"{stair.label}: {words}{follow} differ by {fine(job, greatest - least)}, from "
        f"{fine(job, least)} at {low} to {fine(job, greatest)} at {high}, more than "
        f"{shop(job, bound.value)}",
        f"{words} of one size: {fine(job, sum(size for _, size in rows) / len(rows))} each",
    )


def _most_apart(rows: Sequence[Row]) -> tuple[Row, Row]:
    return min(rows, key=lambda row: row[1]), max(rows, key=lambda row: row[1])


def _neighbours(rows: Sequence[Row]) -> tuple[Row, Row]:
    a, b = max(pairwise(rows), key=lambda pair: abs(pair[1][1] - pair[0][1]))
    return (a, b) if a[1] <= b[1] else (b, a)
