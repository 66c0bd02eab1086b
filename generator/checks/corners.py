"""Corners of the spec as the checks speak of them: where they stand, and how to change them."""

from __future__ import annotations

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
    key = corner.path if corner.path.endswith(".closed") else f"{corner.path}.corner"
    return (Edit(key, "pair"),)


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
