"""Openings at rest: between cables, under the rail, under the lowest cable, at the stair.

Each is held to the sphere that the code sets at its height, where a guard is required.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, product
from typing import TYPE_CHECKING

from generator.checks.outcome import Bound, Outcome, fine, round_down, rule_bound, shop
from generator.checks.required import as_needed, reaches, required_spans
from generator.checks.view import CableLine, LegView, Line, RailLine, Stand, Surface
from generator.parts.assembly import CableDetail, detail_of
from generator.parts.report import Edit
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.checks.falls import Span

Judged = Iterator[tuple[Outcome, bool]]
"""Outcomes, each with whether a guard is required where it was measured."""

# Limits of openings that not every leg has, or not every code names.
_EPS = 1e-6
_OF_EDGES = ("opening.nosing", "opening.riser", "opening.fascia")


def check_openings(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the largest opening of each kind in the leg."""
    if not view.cables or not view.rails:
        return
    stair = view.leg.kind == "stair"
    spans = required_spans(job, view)
    yield from as_needed(_between(job, view, spans, "opening.stair" if stair else "opening.level"))
    yield from as_needed(_bottom(job, view, spans))
    if stair:
        yield from as_needed(_triangles(job, view, spans))
    if (stair or view.outside_mm > 0.0) and any(job.rules.limit(k).stated for k in _OF_EDGES):
        from generator.checks.edge_openings import edge_openings

        yield from as_needed(edge_openings(job, view, spans))


def gap_square(a: CableLine, b: CableLine) -> float:
    """Clear gap between two parallel cables, square to them."""
    return abs(b.axis.z_mm - a.axis.z_mm) * a.axis.cosine - a.radius_mm - b.radius_mm


def _between(job: Job, view: LegView, spans: Sequence[Span] | None, code: str) -> Judged:
    spheres = _Spheres(job, view, code)
    for a, b in (pair for panel in view.panels() for pair in pairwise(panel)):
        gap = gap_square(a, b)
        needed = _needed(view, spans, a.axis, b.axis)
        bound = spheres.over(a, gap, needed)
        if bound is None or bound.value is None:
            continue
        spacing_limit = round_down(job, bound.value - 1e-3)
        outcome = Outcome(
            code,
            (a.mark, b.mark),
            gap,
            bound,
            f"the clear gap between {a.mark} and {b.mark} is {fine(job, gap)}; a sphere of "
            f"{shop(job, bound.value)} passes",
            f"space the cables {shop(job, spacing_limit)} apart or less",
            (Edit("guard.cable_spacing", shop(job, spacing_limit)),),
        )
        yield outcome, spheres.binding(bound, needed)
    tops = [panel[-1] for panel in view.panels()]
    for top, rail in product(tops, view.rails):
        gap = _under_rail(top, rail.underside)
        needed = _needed(view, spans, top.axis, rail.underside)
        bound = spheres.over(top, gap, needed)
        if bound is None or bound.value is None:
            continue
        remedy, edits = _close_under_rail(job, view, top, rail, bound.value)
        outcome = Outcome(
            code,
            (top.mark, rail.mark),
            gap,
            bound,
            f"the clear gap between {top.mark} and the rail is {fine(job, gap)}; a sphere of "
            f"{shop(job, bound.value)} passes",
            remedy,
            edits,
        )
        yield outcome, spheres.binding(bound, needed)


def _needed(view: LegView, spans: Sequence[Span] | None, a: Line, b: Line) -> bool:
    """Whether a guard is required anywhere over the stretch that two lines cover."""
    return reaches(spans, view.leg, max(a.start_mm, b.start_mm), min(a.end_mm, b.end_mm))


class _Spheres:
    """The sphere that must not pass over a cable, by its height; none above a required guard."""

    def __init__(self, job: Job, view: LegView, code: str) -> None:
        limit = job.rules.limit
        self.base = rule_bound(job, code, "less than")
        self.band = rule_bound(job, "opening.band.value", "less than")
        self.band_from = limit("opening.band.from").value
        self.free = rule_bound(job, "guard.voluntary.sphere", "less than")
        self.level = view.leg.kind != "stair"
        own = view.leg.surfaces
        self.floors = (
            [(s.start_mm, s.end_mm, s) for s in view.surfaces if s.mark in own]
            if self.level
            else [(nosing, nosing, step) for step, nosing in view.nosings()]
        )
        self.guard = limit("guard.height.level" if self.level else "guard.height.stair").value
        most = limit("guard.height.fall.max")
        replaced = limit("guard.height.level" if self.level else "guard.height.stair").replaces
        if most.stated and replaced is not None:
            # Somewhere the higher guard may be the required one.
            self.guard = max(self.guard, replaced.value)

    def over(self, cable: CableLine, gap_mm: float, needed: bool) -> Bound | None:
        """The limit of an opening whose lower side is this cable.

        An opening that begins lower than a band, or than the required height, is held to what
        holds there: part of the sphere would pass under it.
        """
        edge = self._lowest_edge(cable)
        if edge is not None and edge >= self.guard - _EPS:
            return None
        base = self.base
        if self.level and self.band.stated and edge is not None and edge >= self.band_from - _EPS:
            base = self.band
        if needed or not self.free.stated or base.keeps(gap_mm):
            return base
        return None if not self.free.keeps(gap_mm) else replace(base, clause=self.free.clause)

    def binding(self, bound: Bound, needed: bool) -> bool:
        """Whether a limit binds: where a guard is required, or one of voluntary guards says so."""
        return needed or (self.free.stated and bound.clause == self.free.clause)

    def _lowest_edge(self, cable: CableLine) -> float | None:
        """Least height of a cable's upper side over the floor, on a stair over the nosings."""
        axis = cable.axis
        heights = [
            axis.at(s) - surface.top_at(s)
            for start, end, surface in self.floors
            if (low := max(axis.start_mm, start)) <= (high := min(axis.end_mm, end))
            for s in (low, high)
        ]
        return min(heights) + cable.radius_mm / axis.cosine if heights else None


def _close_under_rail(
    job: Job, view: LegView, top: CableLine, rail: RailLine, limit: float
) -> tuple[str, tuple[Edit, ...]]:
    """What closes the gap under a rail: no easing, rows spread, or cables closer together."""
    if abs(rail.underside.slope - top.axis.slope) > 1e-9:
        edits = (Edit("guard.transition", "plumb"),) if job.guard.transition != "plumb" else ()
        return "drop the rail plumb at the nosing, or bring the two heights together", edits
    part = view.assembly.by_mark[top.mark]
    if len(detail_of(part, CableDetail).legs) > 1:
        from generator.checks.cable_ends import rows_of_their_own

        words = "end the cables at the corner (corner: pair), so that each leg has its own rows"
        return words, rows_of_their_own(view.assembly, part, limit)
    closer = round_down(job, limit - 1e-3)
    if job.guard.cable_spacing_mm > closer:
        words = f"space the cables {shop(job, closer)} apart or less"
        edits = (Edit("guard.cable_spacing", shop(job, closer)),)
        if job.guard.rows == "pitch":
            # From the floor up at a spacing, the last gap may be as large again.
            return f"{words}, and spread them: rows: even", (*edits, Edit("guard.rows", "even"))
        return words, edits
    if job.guard.rows == "pitch":
        return "add a row of cables, or spread them: rows: even", (Edit("guard.rows", "even"),)
    return "two posts at the corner (corner: pair), so that each leg has its own rows", ()


def _under_rail(cable: CableLine, underside: Line) -> float:
    """Largest clear gap between a cable and a rail over the stretch that both cover."""
    start = max(cable.axis.start_mm, underside.start_mm)
    end = min(cable.axis.end_mm, underside.end_mm)
    if end <= start:
        return -math.inf
    heights = (underside.at(s) - cable.axis.at(s) for s in (start, end))
    return max(heights) * cable.axis.cosine - cable.radius_mm


def _bottom(job: Job, view: LegView, spans: Sequence[Span] | None) -> Judged:
    bound = rule_bound(job, "opening.bottom", "less than")
    assert bound.value is not None
    for k, post in enumerate(view.posts):
        lowest = view.lowest_at(post.s_mm)
        floor = view.floor_at(post.s_mm)
        on_tread = any(s.kind == "tread" and s.top_mm == floor for s in view.surfaces)
        if floor is None or on_tread:
            continue  # over the treads the triangle is what counts
        gap = _under(view, post, lowest, floor)
        beside = [stand.s_mm for stand in view.posts[max(k - 1, 0) : k + 2]]
        outcome = Outcome(
            "opening.bottom",
            (post.mark, lowest.mark),
            gap,
            bound,
            f"the lowest cable clears the floor at {post.mark} by {fine(job, gap)}; a sphere of "
            f"{shop(job, bound.value)} passes",
            *_close_at_floor(job, view, (post, lowest), gap, bound.value),
        )
        yield outcome, reaches(spans, view.leg, min(beside), max(beside))


def _close_at_floor(
    job: Job, view: LegView, at: tuple[Stand, CableLine], gap: float, limit: float
) -> tuple[str, tuple[Edit, ...]]:
    """Cables lowered; at the ends of a stair the post set nearer to its riser, where it may be."""
    post, lowest = at
    if gap >= limit and view.leg.kind == "stair":
        from generator.checks.room import nearer_to_stair

        nearer = nearer_to_stair(job, view, post, lowest, gap - limit)
        if nearer:
            return nearer
    return _lower(job, _lower_gap(job, view, gap, limit))


def _lower(job: Job, gap_mm: float, other: str = "") -> tuple[str, tuple[Edit, ...]]:
    """The cables lowered to a bottom gap; where that is none left, words alone."""
    if gap_mm <= 0.0:
        return f"lower the cables{other}", ()
    text = shop(job, gap_mm)
    return f"lower the cables: a bottom gap of {text}", (Edit("guard.bottom_gap", text),)


def _lower_gap(job: Job, view: LegView, gap: float, limit: float) -> float:
    """The bottom gap, rounded down, at which the opening keeps its limit; slanting gaps too."""
    radius = view.cables[0].radius_mm
    out = view.outside_mm

    def plumb(opening: float) -> float:
        return math.sqrt(max((opening + radius) ** 2 - out**2, 0.0))

    return round_down(job, job.guard.bottom_gap_mm - (plumb(gap) - plumb(limit)) - 1e-3)


def _under(view: LegView, post: Stand, lowest: CableLine, floor: float) -> float:
    """Largest sphere under the lowest cable at a post, bounded from above, mm.

    At the foot of a stair the cable stands high over the lower floor, but there the opening lies
    between the last riser and the post's near face, and nothing wider than that passes.
    """
    over_floor = lowest.axis.at(post.s_mm) - floor
    # Cables that hang outside the edge leave a slanting gap to it.
    plumb = math.hypot(over_floor, view.outside_mm) - lowest.radius_mm
    steps = [step for step, _ in view.nosings() if step.top_mm > floor + 1e-6]
    if view.leg.kind != "stair" or not steps:
        return plumb
    last = min(steps, key=lambda surface: surface.top_mm)
    nosing = last.end_mm if view.down > 0 else last.start_mm
    beyond = (post.s_mm - nosing) * view.down
    if beyond <= 0.0:
        return plumb
    overhang = max((_overhang(a, b, view.down) for a, b in pairwise(view.surfaces)), default=0.0)
    at_riser = lowest.axis.at(nosing) - floor - lowest.radius_mm
    return min(beyond - post.half_mm + overhang, at_riser)


def _overhang(a: Surface, b: Surface, down: float) -> float:
    """How far of two steps in order of s the upper one stands over the lower."""
    upper, lower = (a, b) if down > 0 else (b, a)
    if upper.kind == "floor" or lower.kind != "tread":
        return 0.0
    over = upper.end_mm - lower.start_mm if down > 0 else lower.end_mm - upper.start_mm
    return max(over, 0.0) if abs(over) < 100.0 else 0.0


def _triangles(job: Job, view: LegView, spans: Sequence[Span] | None) -> Judged:
    bound = rule_bound(job, "opening.triangle", "less than")
    assert bound.value is not None
    lowest = view.cables[0]
    steps = list(view.nosings())
    for (upper, nose), (lower, lower_nose) in pairwise(steps):
        first, last = sorted((nose, lower_nose))
        if lowest.axis.end_mm <= first or lowest.axis.start_mm >= last:
            continue
        size = triangle_sphere(upper, lower, nose, lower_nose, lowest)
        # The sphere grows with the height of the cable square to the nosing line (reference 7).
        grows = triangle_growth(upper, lower, nose, lower_nose) * lowest.axis.cosine
        lower_by = (size - bound.value) / grows
        shift = round_down(job, job.guard.bottom_gap_mm - lower_by - 1e-3)
        outcome = Outcome(
            "opening.triangle",
            (upper.mark, lower.mark, lowest.mark),
            size,
            bound,
            f"a sphere of {fine(job, size)} passes between riser and tread of {lower.mark} and "
            f"the lowest cable; the limit is {shop(job, bound.value)}",
            *_lower(job, shift, " or set the stair posts further back"),
        )
        yield outcome, reaches(spans, view.leg, first, last)


def triangle_sphere(
    upper: Surface, lower: Surface, nose: float, lower_nose: float, cable: CableLine
) -> float:
    """Diameter of the largest sphere between riser, tread and the cable's underside.

    The triangle has legs R (riser) and G (tread, from riser face to nosing, the overhang
    included); its circle touches both and the nosing line: R + G - H. Lifted by e square to that
    line the triangle grows in proportion (reference.md section 7).
    """
    rise, run = _triangle_legs(upper, lower, nose, lower_nose)
    over = cable.axis.at(nose) - upper.top_mm
    e = over * cable.axis.cosine - cable.radius_mm
    at_line = rise + run - math.hypot(rise, run)
    return at_line + e * triangle_growth(upper, lower, nose, lower_nose)


def triangle_growth(upper: Surface, lower: Surface, nose: float, lower_nose: float) -> float:
    """Growth of that sphere for a unit of e: (R + G - H) / h, h the triangle's height over H."""
    rise, run = _triangle_legs(upper, lower, nose, lower_nose)
    hypotenuse = math.hypot(rise, run)
    return (rise + run - hypotenuse) * hypotenuse / (rise * run)


def _triangle_legs(
    upper: Surface, lower: Surface, nose: float, lower_nose: float
) -> tuple[float, float]:
    """(R, G): with an overhang o, G + o and (G + o) tan p bound the true profile from above."""
    slope = (upper.top_mm - lower.top_mm) / abs(lower_nose - nose)
    run = abs(lower_nose - nose) + abs(_back_edge(lower, lower_nose) - nose)
    return run * slope, run


def _back_edge(step: Surface, nosing: float) -> float:
    """The edge of a tread away from its nosing, at the riser above."""
    return step.start_mm if abs(step.end_mm - nosing) < 1e-9 else step.end_mm
