"""How far apart the two posts of a pair must stand, and how far from the other leg's floor."""

from __future__ import annotations

from generator.geometry import Vec2, cosd, dot, sind
from generator.layout.model import PathLeg
from generator.layout.path import turn_between
from generator.layout.posts import clear_offset
from generator.spec.job import Job

_FAR_MM = 1e6


def base_width(job: Job, leg: PathLeg) -> float:
    """Width along the leg of what a post stands on: base plate, side plate, or the post itself."""
    post = job.system.post
    if leg.mount == "deck":
        return post.plate_mm
    if leg.mount == "fascia":
        return max(post.width_mm, post.side_plate_mm)
    return post.width_mm


def bases_apart(job: Job, base: Vec2, ahead: Vec2, before: PathLeg, after: PathLeg) -> float:
    """Of base plates, or of the posts themselves where they have none under them."""
    gap = job.rules.limit("practice.plate-gap").value
    spins = (before.bearing_deg, after.bearing_deg)
    post = job.system.post
    on_plates = "deck" in (before.mount, after.mount)
    size = (post.plate_mm, post.plate_mm) if on_plates else (post.width_mm, post.depth_mm)
    if before.mount == after.mount == "fascia" and (before.flight or after.flight):
        size = (max(post.width_mm, post.side_plate_mm), post.depth_mm)
    return clear_offset(base, ahead, spins, size, gap)


def off_the_other(job: Job, leg: PathLeg, other: PathLeg) -> float:
    """Least distance from a corner at which a post on a fascia stands clear of the other leg's.

    Only where the path turns away from the walking side, so that the floors meet in a hollow.
    """
    turn = abs(turn_between(leg, other))
    away = dot(other.left, leg.travel) * other.side
    toward_end = other.number > leg.number
    if leg.mount != "fascia" or turn < 1.0 or turn > 179.0 or (away > 0.0) != toward_end:
        return -_FAR_MM
    post, sine, cosine = job.system.post, sind(turn), cosd(turn)
    gap = job.rules.limit("practice.plate-gap").value
    outside = -leg.inward_mm
    plate = outside - post.depth_mm / 2 - post.standoff_mm
    corners = [
        (post.width_mm / 2, outside - post.depth_mm / 2),
        (post.width_mm / 2, outside + post.depth_mm / 2),
        (post.side_plate_mm / 2, plate),
    ]
    return max(half + (gap - out * cosine) / sine for half, out in corners)


def side_plates_apart(job: Job, ahead: Vec2, before: PathLeg, after: PathLeg) -> float:
    """Of side plates, which lie on the fascias, inside the line of the posts."""
    post = job.system.post
    inward = post.depth_mm / 2 + post.standoff_mm - post.side_plate_thickness_mm / 2
    a, b = (
        (leg.left[0] * leg.side * inward, leg.left[1] * leg.side * inward)
        for leg in (before, after)
    )
    base = (b[0] - a[0], b[1] - a[1])
    gap = job.rules.limit("practice.plate-gap").value
    spins = (before.bearing_deg, after.bearing_deg)
    size = (post.side_plate_mm, post.side_plate_thickness_mm)
    return clear_offset(base, ahead, spins, size, gap)
