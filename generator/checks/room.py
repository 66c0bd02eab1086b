"""What makes room on a leg that is too short for its posts; its measured length is a fact.

Fewer posts, one post instead of two at a corner, or posts nearer to the free ends.
"""

from __future__ import annotations

import math

from generator.checks.corners import as_single
from generator.checks.joints import corners
from generator.checks.outcome import round_down, round_up, shop
from generator.checks.view import CableLine, LegView, Stand
from generator.geometry import Vec3, along, cross, dot, heading, sub
from generator.parts.assembly import LegLine, Part, PostDetail
from generator.parts.report import Edit
from generator.spec.job import Job, Stair

_RISER = {True: "upper nosing", False: "last riser"}

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


def pair_finds_room(job: Job, before: LegLine, after: LegLine) -> bool:
    """Whether two posts in place of one at a corner stand near enough, and their leg holds both.

    Seen from the stair's own end post, the other stands on the line of its leg, as near as base
    plates let it.
    """
    if (before.kind == "stair") == (after.kind == "stair"):
        return True
    stair, level = (before, after) if before.kind == "stair" else (after, before)
    width, post = job.system.post.width_mm, _end_of_stair(job, stair, before.edge_end)
    off = job.system.post.plate_mm + job.rules.limit("practice.plate-gap").value
    aside = _to_line(post, level)
    gap = aside - width if aside >= off else math.hypot(off - width, max(aside - width, 0.0))
    whole = math.dist(level.guard_start[:2], level.guard_end[:2])
    tight = len(level.posts) == 2 and whole - off < 2 * job.system.fitting.overall_mm
    return gap < job.rules.limit("opening.end").value and not tight


def _end_of_stair(job: Job, stair: LegLine, corner: Vec3) -> Vec3:
    """Where the end post of a stair at a corner stands by itself, in plan."""
    high, low = sorted((stair.edge_start, stair.edge_end), key=lambda point: -point[2])
    run = next(run for run in job.runs if run.id == stair.run)
    item = next(item for item in run.legs if item.path == stair.path)
    downhill = -job.guard.edge_inset_mm
    if math.dist(corner, low) < math.dist(corner, high):
        newel = isinstance(item, Stair) and item.foot == "newel"
        downhill = job.guard.edge_inset_mm if newel else -job.guard.stair_setback_mm
    travel = heading(stair.bearing_deg)
    station = dot(sub(corner, stair.guard_start), travel)
    station += downhill if stair.pitch_deg < 0 else -downhill
    return along(stair.guard_start, travel, station)


def nearer_to_stair(
    job: Job, view: LegView, post: Stand, lowest: CableLine, over_mm: float
) -> Remedy | None:
    """A smaller inset for the end post of a stair under whose lowest cable the gap is too large.

    Behind the upper nosing the cable rises with the inset; before the last riser the opening is as
    wide as the post stands off. None where base plates would come too near to the edge, or where
    the post stands elsewhere: beside the stringer, or at a corner that it shares.
    """
    nosings = [nosing * view.down for _, nosing in view.nosings()]
    here = post.s_mm * view.down
    if not nosings or min(nosings) <= here <= max(nosings):
        return None
    upper = here < min(nosings)
    joint = view.leg.start_joint if upper == (view.down > 0) else view.leg.end_joint
    held_there = _on_deck(view.assembly.by_mark[post.mark]) and not (upper and joint == "single")
    closer = over_mm / abs(lowest.axis.slope) if upper else over_mm
    inset = round_down(job, job.guard.edge_inset_mm - closer - 1e-3)
    least = post.plate_half_mm + job.rules.limit("practice.post-edge").value
    if held_there and inset >= least - 1e-6:
        value = shop(job, inset)
        words = f"set the end post nearer to the {_RISER[upper]}: an inset of {value}"
        return words, (Edit("guard.edge_inset", value),)
    # Before the last riser lower cables do not help.
    return None if upper else ("set the end post nearer to the last riser", ())
