"""What makes room on a leg that is too short for its posts; its measured length is a fact.

Fewer posts, one post instead of two at a corner, or posts nearer to the free ends.
"""

from __future__ import annotations

import math

from generator.checks.corners import as_single
from generator.checks.joints import corners
from generator.checks.outcome import round_down, round_up, shop
from generator.checks.view import LegView
from generator.geometry import Vec3, cross, dot, heading, sub
from generator.parts.assembly import LegLine, Part, PostDetail
from generator.parts.report import Edit
from generator.spec.job import Job

Remedy = tuple[str, tuple[Edit, ...]]


def make_room(job: Job, view: LegView, apart_mm: float, need_mm: float) -> Remedy:
    """Words, and changes of the spec, that let posts `apart_mm` apart stand `need_mm` apart."""
    more = need_mm - apart_mm
    if len(view.posts) > 2:
        found = _fewer_posts(job, view, need_mm)
    else:
        found = _one_at_corners(job, view, more) or _nearer_to_ends(job, view, more)
    words = (
        f"the posts want {shop(job, round_up(job, more))} more than they have: take smaller base "
        "plates or shorter fittings, or leave the leg out and end the run before it"
    )
    return found or (words, ())


def _fewer_posts(job: Job, view: LegView, need_mm: float) -> Remedy | None:
    """Equal bays, as many as find room."""
    standing = any(view.assembly.by_mark[post.mark].kind == "column" for post in view.posts)
    whole = view.posts[-1].s_mm - view.posts[0].s_mm
    bays = math.floor(whole / need_mm + 1e-9)
    # The one bay of a leg without posts between also has to hold the fittings of both its ends.
    if view.leg.kind == "stair" or standing or bays < 2:
        return None
    spacing = whole / bays / math.cos(math.radians(view.leg.pitch_deg))
    value = shop(job, round_up(job, spacing))
    return f"fewer posts: let them stand {value} apart", (Edit("guard.max_post_spacing", value),)


def _one_at_corners(job: Job, view: LegView, more_mm: float) -> Remedy | None:
    """One post instead of two at a right angle of two level legs: it stands where both meet."""
    edits: list[Edit] = []
    gained = 0.0
    for before, after in corners(view.assembly):
        square = abs((after.bearing_deg - before.bearing_deg) % 90.0) < 1e-9
        pair = before.end_joint == after.start_joint == "pair"
        if view.leg not in (before, after) or not (pair and square):
            continue
        there, post = (before, after.posts[0]) if view.leg is after else (after, before.posts[-1])
        if before.kind == after.kind == "level" and gained < more_mm:
            gained += _to_line(view.assembly.by_mark[post].place.origin, there)
            edits += as_single(job, after)
    if not edits or gained < more_mm:
        return None
    return "one post at the corner instead of two: corner: single", tuple(edits)


def _to_line(post: Vec3, leg: LegLine) -> float:
    """Level distance of a post from the line on which the posts of another leg stand."""
    across = cross(heading(leg.bearing_deg), (0.0, 0.0, 1.0))
    return abs(dot(sub(post, leg.guard_start), across))


def _nearer_to_ends(job: Job, view: LegView, more_mm: float) -> Remedy | None:
    """A smaller inset, down to where base plates still keep off the edge."""
    joints = (view.leg.start_joint, view.leg.end_joint)
    free = joints.count("free")
    on_deck = all(_on_deck(view.assembly.by_mark[post.mark]) for post in view.posts)
    if not free or view.leg.kind != "level" or set(joints) - {"free", "wall"} or not on_deck:
        return None
    inset = round_down(job, job.guard.edge_inset_mm - more_mm / free)
    plate = max(post.plate_half_mm for post in view.posts)
    if inset < plate + job.rules.limit("practice.post-edge").value - 1e-6:
        return None
    value = shop(job, inset)
    return (
        f"stand the posts nearer to the ends of the leg: an inset of {value}",
        (Edit("guard.edge_inset", value),),
    )


def _on_deck(post: Part) -> bool:
    return isinstance(post.detail, PostDetail) and post.detail.mount == "deck"
