"""A calculation of strength in a few rows, for sheets that only sum it up."""

from __future__ import annotations

from typing import NamedTuple

from generator.strength.result import Strength


class SummaryRow(NamedTuple):
    """The worst of one finding code: what and where, demand over capacity, what it was held to.

    `verified` tells whether somebody read the clause at its source.
    """

    code: str
    line: str
    utilisation: float
    passed: bool
    clause: str
    verified: bool


def summary_rows(found: Strength) -> tuple[SummaryRow, ...]:
    """One row for each code that was worked out, in order of code."""
    return tuple(
        SummaryRow(
            code,
            f"{check.name} of {member.mark} ({member.kind}), {check.place}; {check.case}",
            check.utilisation,
            check.utilisation <= 1.0 + 1e-9,
            check.source.clause or check.source.text,
            check.source.verified,
        )
        for code, (member, check) in sorted(found.worst.items())
    )
