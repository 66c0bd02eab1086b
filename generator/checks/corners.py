"""Corners of the spec as the checks speak of them: where they stand, and how to change them."""

from __future__ import annotations

from generator.parts.assembly import LegLine
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
    """The change that puts two posts at the corner before a leg, where there is an item for it."""
    corner = corner_before(job, after)
    if corner is None:
        return ()
    key = corner.path if corner.path.endswith(".closed") else f"{corner.path}.corner"
    return (Edit(key, "pair"),)
