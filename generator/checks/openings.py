"""Openings at rest: between cables, under the rail, under the lowest cable, at the stair."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise, product

from generator.checks.outcome import Bound, Outcome, fine, round_down, rule_bound, shop, worst
from generator.checks.view import CableLine, LegView, Line, RailLine, Stand, Surface
from generator.parts.assembly import CableDetail, detail_of
from generator.parts.report import Edit
from generator.spec.job import Job


def check_openings(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the largest opening of each kind in the leg."""
    if not view.cables or not view.rails:
        return
    stair = view.leg.kind == "stair"
    bound = rule_bound(job, "opening.stair" if stair else "opening.level", "less than")
    yield from worst(_between(job, view, bound, "opening.stair" if stair else "opening.level"))
    yield from worst(_bottom(job, view))
    if stair:
        yield from worst(_triangles(job, view))


def gap_square(a: CableLine, b: CableLine) -> float:
    """Clear gap between two parallel cables, square to them."""
    return abs(b.axis.z_mm - a.axis.z_mm) * a.axis.cosine - a.radius_mm - b.radius_mm


def _between(job: Job, view: LegView, bound: Bound, code: str) -> Iterator[Outcome]:
    assert bound.value is not None
    spacing_limit = round_down(job, bound.value - 1e-3)
    for a, b in (pair for panel in view.panels() for pair in pairwise(panel)):
        gap = gap_square(a, b)
        yield Outcome(
            code,
            (a.mark, b.mark),
            gap,
            bound,
            f"the clear gap between {a.mark} and {b.mark} is {fine(job, gap)}; a sphere of "
            f"{shop(job, bound.value)} passes",
            f"space the cables {shop(job, spacing_limit)} apart or less",
            (Edit("guard.cable_spacing", shop(job, spacing_limit)),),
        )
    tops = [panel[-1] for panel in view.panels()]
    for top, rail in product(tops, view.rails):
        gap = _under_rail(top, rail.underside)
        remedy, edits = _close_under_rail(job, view, top, rail, bound.value)
        yield Outcome(
            code,
            (top.mark, rail.mark),
            gap,
            bound,
            f"the clear gap between {top.mark} and the rail is {fine(job, gap)}; a sphere of "
            f"{shop(job, bound.value)} passes",
            remedy,
            edits,
        )


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


def _bottom(job: Job, view: LegView) -> Iterator[Outcome]:
    bound = rule_bound(job, "opening.bottom", "less than")
    assert bound.value is not None
    for post in view.posts:
        lowest = view.lowest_at(post.s_mm)
        floor = view.floor_at(post.s_mm)
        on_tread = any(s.kind == "tread" and s.top_mm == floor for s in view.surfaces)
        if floor is None or on_tread:
            continue  # over the treads the triangle is what counts
        gap = _under(view, post, lowest, floor)
        yield Outcome(
            "opening.bottom",
            (post.mark, lowest.mark),
            gap,
            bound,
            f"the lowest cable clears the floor at {post.mark} by {fine(job, gap)}; a sphere of "
            f"{shop(job, bound.value)} passes",
            *_close_at_floor(job, view, (post, lowest), gap, bound.value),
        )


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


def _triangles(job: Job, view: LegView) -> Iterator[Outcome]:
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
        yield Outcome(
            "opening.triangle",
            (upper.mark, lower.mark, lowest.mark),
            size,
            bound,
            f"a sphere of {fine(job, size)} passes between riser and tread of {lower.mark} and "
            f"the lowest cable; the limit is {shop(job, bound.value)}",
            *_lower(job, shift, " or set the stair posts further back"),
        )


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
