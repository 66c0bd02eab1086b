"""Where a cable that is too long, or turns too often, can end on its way: changes of the spec."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.checks.corners import cables_end
from generator.checks.outcome import round_down, shop
from generator.frozen import dataclass
from generator.parts.assembly import Assembly, CableDetail, LegLine, Part, detail_of
from generator.parts.report import Edit
from generator.spec.job import Level, Ramp


@dataclass(frozen=True, slots=True)
class _Stop:
    """A place on a cable's way: how far along it, its turn there, and how to end cables at it."""

    way_mm: float
    turn_deg: float
    edits: tuple[Edit, ...]


def ends_on_the_way(assembly: Assembly, part: Part) -> tuple[Edit, ...]:
    """As few places as keep every piece within its turns and length; none where that needs more.

    Lengths are taken from post axis to post axis, which is more than the pieces measure.
    """
    job, detail = assembly.job, detail_of(part, CableDetail)
    limit = job.rules.limit
    turns = limit("practice.cable-turn.total").value
    lengths = {
        turned: limit(f"practice.cable-length.{'turned' if turned else 'straight'}").value
        for turned in (False, True)
    }

    def fits(start: _Stop, stops: Sequence[_Stop], end: _Stop) -> bool:
        turn = sum(stop.turn_deg for stop in stops)
        return turn <= turns + 1e-9 and end.way_mm - start.way_mm <= lengths[turn > 1e-9]

    stops = list(_stops(assembly, part, detail))
    edits: list[Edit] = []
    start = 0
    for k in range(1, len(stops)):
        if fits(stops[start], stops[start + 1 : k], stops[k]):
            continue
        ends = [n for n in range(start + 1, k) if stops[n].edits]
        if not ends or not fits(stops[ends[-1]], stops[ends[-1] + 1 : k], stops[k]):
            return ()
        start = ends[-1]
        edits += stops[start].edits
    return tuple(edits)


def corners_on_the_way(assembly: Assembly, part: Part) -> tuple[Edit, ...]:
    """Every turn that a cable goes round, as one where it ends."""
    stops = _stops(assembly, part, detail_of(part, CableDetail))
    return tuple(edit for stop in stops if stop.turn_deg > 1e-9 for edit in stop.edits)


def rows_of_their_own(assembly: Assembly, part: Part, limit_mm: float) -> tuple[Edit, ...]:
    """A cable ended wherever legs of two pitches follow each other, else at every corner.

    What goes on from leg to leg has as many rows as the one with the fewest. Rows further apart
    than the limit are also set closer.
    """
    job = assembly.job
    numbers = {leg.number: leg for leg in assembly.legs if leg.run == part.run}
    legs = [numbers[number] for number in detail_of(part, CableDetail).legs]
    breaks = [b for a, b in pairwise(legs) if abs(a.pitch_deg - b.pitch_deg) > 1e-9]
    edits = [edit for after in breaks or legs[1:] for edit in cables_end(job, after)]
    closer = round_down(job, limit_mm - 1e-3)
    if job.guard.cable_spacing_mm > closer:
        edits.append(Edit("guard.cable_spacing", shop(job, closer)))
        if job.guard.rows == "pitch":
            edits.append(Edit("guard.rows", "even"))
    return tuple(edits)


def _stops(assembly: Assembly, part: Part, detail: CableDetail) -> Iterator[_Stop]:
    """The start, every corner and standing post that a cable passes, and the end, in order."""
    way, whole = _way(assembly, detail.posts)
    numbers = {leg.number: leg for leg in assembly.legs if leg.run == part.run}
    legs = [numbers[number] for number in detail.legs]
    yield _Stop(0.0, 0.0, ())
    for before, after in zip((None, *legs), legs, strict=False):
        if before:
            turn = abs((after.bearing_deg - before.bearing_deg + 180.0) % 360.0 - 180.0)
            yield _Stop(way[after.posts[0]], turn, cables_end(assembly.job, after))
        for mark, edits in _standing(assembly, after):
            if mark in detail.posts[1:-1]:
                yield _Stop(way[mark], 0.0, edits)
    yield _Stop(whole, 0.0, ())


def _way(assembly: Assembly, posts: Sequence[str]) -> tuple[dict[str, float], float]:
    """How far along a cable's way each of its posts stands, and the whole way."""
    way, far = {posts[0]: 0.0}, 0.0
    for a, b in pairwise(posts):
        here, there = (assembly.by_mark[mark].place.origin for mark in (a, b))
        far += math.dist(here, there)
        way.setdefault(b, far)
    return way, far


def _standing(assembly: Assembly, leg: LegLine) -> Iterator[tuple[str, tuple[Edit, ...]]]:
    """Marks of the posts of a leg that stand there already, and how cables are held at each."""
    run = next(run for run in assembly.job.runs if run.id == leg.run)
    item = next(item for item in run.legs if item.path == leg.path)
    if isinstance(item, Level | Ramp):
        marks = [mark for mark in leg.posts if assembly.by_mark[mark].kind == "column"]
        fixed = sorted(item.fixed, key=lambda post: post.at_mm)
        for mark, post in zip(marks, fixed, strict=False):
            yield mark, (Edit(f"{post.path}.cables", "anchor"),)
