"""`anchor.edge` at the deck: from base plates and cored holes to the edges that are measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from generator.checks.outcome import Outcome, fine, round_up, rule_bound, shop, spec_bound
from generator.geometry import Vec3, dot, heading, left_of, scale, sub
from generator.parts.assembly import Assembly, LegLine, Part, PostDetail, detail_of
from generator.parts.report import Edit
from generator.parts.shapes import Prism
from generator.parts.timber import board, inside
from generator.parts.undersides import underside
from generator.spec.job import Job, Stair


def check_deck_edges(assembly: Assembly) -> Iterator[Outcome]:
    """Yields, of each leg's posts, the base plate and cored hole that come nearest to an edge.

    A post that legs share is measured from the edges of both.
    """
    beside: dict[str, list[LegLine]] = {}
    for leg in assembly.legs:
        for mark in leg.posts:
            beside.setdefault(mark, []).append(leg)
    found: dict[tuple[str, int, str], list[Outcome]] = {}
    for plate in assembly.of_kind("base-plate"):
        legs = beside.get(plate.belongs_to, [])
        outcomes = [_of_plate(assembly.job, leg, plate) for leg in legs]
        found.setdefault((plate.run, plate.leg, "plate"), []).extend(outcomes)
    for post in assembly.of_kind("post"):
        if detail_of(post, PostDetail).mount == "core":
            outcomes = [_of_core(assembly.job, leg, post) for leg in beside.get(post.mark, [])]
            found.setdefault((post.run, post.leg, "core"), []).extend(outcomes)
            below = _under_core(assembly, post)
            found.setdefault((post.run, post.leg, "below"), []).extend(below)
    for outcomes in found.values():
        yield from _nearest(outcomes)


def _nearest(outcomes: Sequence[Outcome]) -> Iterator[Outcome]:
    """The one nearest to an edge, and how many more are too near."""
    if not outcomes:
        return
    least = min(outcomes, key=lambda outcome: outcome.measured)
    near = {outcome.where for outcome in outcomes if not outcome.passed} - {least.where}
    if near:
        least = replace(least, message=f"{least.message}, and so are {len(near)} more of this leg")
    yield least


def _of_plate(job: Job, leg: LegLine, plate: Part) -> Outcome:
    shape = plate.shape
    assert isinstance(shape, Prism)
    corners = [plate.place.point((x, y, 0.0)) for x, y in shape.section.outer.corners]
    bound = rule_bound(job, "practice.post-edge", "at least")
    assert bound.value is not None
    gap, at_head = _to_edge(leg, corners)
    return Outcome(
        "anchor.edge",
        (plate.mark,),
        gap,
        bound,
        f"{plate.mark} is {fine(job, gap)} from the edge of {leg.label}",
        f"set the posts of {leg.label} {shop(job, round_up(job, bound.value - gap))} further in",
        _inward(job, leg, bound.value - gap, at_head=at_head),
        corners[0],
    )


def _of_core(job: Job, leg: LegLine, post: Part) -> Outcome:
    need = job.system.post.core_edge_mm
    rim = job.rules.limit("practice.core-edge").value + job.system.post.core_hole_mm / 2
    bound = spec_bound(need, "at least", "core_edge of the post")
    if rim > need:
        bound = rule_bound(job, "practice.core-edge", "at least")
    beside = job.system.post.core_hole_mm / 2 if rim > need else 0.0
    gap, at_head = _to_edge(leg, [post.place.origin])
    gap -= beside
    assert bound.value is not None
    what = "rim" if beside else "centre"
    return Outcome(
        "anchor.edge",
        (post.mark,),
        gap,
        bound,
        f"the {what} of the cored hole of {post.mark} is {fine(job, gap)} from the edge of "
        f"{leg.label}",
        f"set the posts of {leg.label} {shop(job, round_up(job, bound.value - gap))} further in",
        _inward(job, leg, bound.value - gap, at_head=at_head),
        post.place.origin,
    )


def _under_core(assembly: Assembly, post: Part) -> Iterator[Outcome]:
    """The concrete left between the bottom of a cored hole and the underside of its slab."""
    job = assembly.job
    bound = rule_bound(job, "practice.core-edge", "at least")
    place = post.place.origin[:2]
    bottom = detail_of(post, PostDetail).base_z_mm
    slabs = [
        part
        for part in assembly.of_kind("deck", "tread")
        if part.run == post.run and inside(board(part).plan, place)
    ]
    if slabs and bound.value is not None:
        left = min(bottom - underside(slab).at(place) for slab in slabs)
        slab = job.structure.decking_mm if job.structure else 0.0
        thicker = shop(job, round_up(job, slab + bound.value - left))
        yield Outcome(
            "anchor.edge",
            (post.mark,),
            left,
            bound,
            f"below the cored hole of {post.mark} {fine(job, left)} of the slab are left",
            f"a slab of {thicker}, a post with a shallower core_depth, or another mounting",
            point=post.place.origin,
        )


def _to_edge(leg: LegLine, points: Sequence[Vec3]) -> tuple[float, bool]:
    """Least level distance of points from the measured edge, or from the head of a stair, if so."""
    inward = scale(left_of(leg.bearing_deg), 1.0 if leg.deck == "left" else -1.0)
    gap = min(dot(sub(point, leg.edge_start), inward) for point in points)
    if leg.kind == "stair" and min(z for _, _, z in points) > _upper(leg)[2] - 1.0:
        behind = min(_behind_head(leg, point) for point in points)
        return min(gap, behind), behind < gap
    return gap, False


def _behind_head(leg: LegLine, point: Vec3) -> float:
    """How far behind the upper nosing of a stair a point lies."""
    downhill = scale(heading(leg.bearing_deg), 1.0 if leg.pitch_deg < 0 else -1.0)
    return -dot(sub(point, _upper(leg)), downhill)


def _upper(leg: LegLine) -> Vec3:
    return max(leg.edge_start, leg.edge_end, key=lambda point: point[2])


def _inward(job: Job, leg: LegLine, short_mm: float, *, at_head: bool) -> tuple[Edit, ...]:
    """The inset of the leg made larger; a leg that has its own is named.

    At the head of a stair posts stand the guard's inset behind the nosing, whatever the leg has.
    """
    if short_mm <= 0.0:
        return ()
    run = next(run for run in job.runs if run.id == leg.run)
    item = next(item for item in run.legs if item.path == leg.path)
    head = leg.start_joint if leg.pitch_deg < 0 else leg.end_joint
    held_beside = isinstance(item, Stair) and item.posts == "stringer"
    if (at_head and head == "single") or held_beside:
        return ()  # where both legs meet, or outside the stringer, whatever the inset
    own = None if at_head else getattr(item, "inset_mm", None)
    path = "guard.edge_inset" if own is None else f"{leg.path}.inset"
    now = job.guard.edge_inset_mm if own is None else own
    return (Edit(path, shop(job, round_up(job, now + short_mm))),)
