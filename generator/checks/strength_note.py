"""The note of a job whose strength others calculate; without the modules of the calculation."""

from __future__ import annotations

from generator.parts.report import Finding


def by_others() -> Finding:
    """Names the key of the spec that leaves strength to others; nothing was measured."""
    return Finding(
        code="strength.elsewhere",
        severity="note",
        where=(),
        measured=None,
        limit=None,
        unit="",
        clause="strength: elsewhere",
        edition="job spec",
        message="others calculate the strength of posts, rail, cables and anchors, as the key "
        "strength of the job file says (strength: elsewhere): nothing of it is checked here",
        remedy="leave out strength: elsewhere to have it worked out here",
    )
