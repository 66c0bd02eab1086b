"""Corners of the spec as the checks speak of them: where they stand, and how to change them."""

from __future__ import annotations

import math

from generator.parts.assembly import Assembly, LegLine
from generator.parts.report import Edit
from generator.spec.job import Job, Turn


def corner_before(job: Job, leg: LegLine) -> Turn | None:
    """The corner item before a leg, None where two legs follow each other without one."""
    for run in job.runs:
        if run.id != leg.run:
            continue
        if leg.number == 1:
            return run.closed
        paths = [item.path for item in run.legs]
        item = run.legs[paths.index(leg.path) - 1]
        return item if isinstance(item, Turn) else None
    return None


def as_pair(job: Job, after: LegLine) -> tuple[Edit, ...]:
    """The change that puts two posts at the corner before a leg.

    Legs that follow each other in line need no item between; then one is put in.
    """
    corner = corner_before(job, after)
    if corner is None and after.number == 1:
        return ()
    if corner is None:
        head, number = after.path.rsplit("[", 1)
        return (Edit(f"{head}[+{number}", "{turn: 0, corner: pair}"),)
    if corner.path.endswith(".closed"):
        return (Edit(corner.path, "pair"), *_nearer(job, corner))
    edits = (Edit(f"{corner.path}.corner", "pair"), *_nearer(job, corner))
    # Cables said to pass there would contradict two posts at which they end.
    return (*edits, Edit(f"{corner.path}.cables", "end")) if corner.cables == "pass" else edits


def _nearer(job: Job, corner: Turn) -> tuple[Edit, ...]:
    """As near as base plates let them stand, where the job has posts of a pair so far apart.

    Their centres stand the offset from the corner; less a post's width is more than their gap.
    """
    offset = job.guard.pair_offset_mm
    if offset is None:
        return ()
    apart = 2 * offset * math.cos(math.radians(corner.angle_deg) / 2) - job.system.post.width_mm
    close = apart < job.rules.limit("opening.end").value
    return () if close else (Edit("guard.pair_offset", "none"),)


def as_single(job: Job, after: LegLine) -> tuple[Edit, ...]:
    """The change that puts one post at the corner before a leg, where there is an item for it."""
    corner = corner_before(job, after)
    if corner is None:
        return ()
    if corner.path.endswith(".closed"):
        return (Edit(corner.path, "single"),)
    # Over one post rails are mitered, whatever was said of those of a pair.
    return (Edit(f"{corner.path}.corner", "single"), Edit(f"{corner.path}.rail", "miter"))


def cables_end(job: Job, after: LegLine) -> tuple[Edit, ...]:
    """The change that ends the cables at the corner before a leg, where there is an item for it."""
    corner = corner_before(job, after)
    if corner and corner.corner == "single" and corner.cables == "pass":
        return (Edit(f"{corner.path}.cables", "end"),)
    return as_pair(job, after)


def shared_posts(assembly: Assembly) -> dict[str, LegLine]:
    """Posts at which two legs end, each with the later of the two."""
    found: dict[str, LegLine] = {}
    seen: set[str] = set()
    for leg in assembly.legs:
        for mark in dict.fromkeys(leg.posts):
            if mark in seen:
                found[mark] = leg
            seen.add(mark)
    return found
