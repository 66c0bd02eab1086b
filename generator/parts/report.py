"""What the checks say: measures, and findings where a measure is past its limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from generator.geometry import Vec3

Severity = Literal["fail", "warn", "note"]
SEVERITIES: tuple[Severity, ...] = ("note", "warn", "fail")


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the spec that clears a finding: `path` such as guard.stair_setback, new text.

    A number with a plus, as in runs[0].legs[+1], puts a new item before that one.
    """

    path: str
    value: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that a person must know, with what was measured, the limit and where it stands.

    `measured` and `limit` share `unit` (mm, deg, N or a count). `remedy` is words in shop units,
    `edits` the same as changes of the spec. `cause` is the code of the finding behind this one;
    such a finding is a note. `point` is where to look, world mm.
    """

    code: str
    severity: Severity
    where: tuple[str, ...]
    measured: float | None
    limit: float | None
    unit: str
    clause: str
    edition: str
    message: str
    remedy: str = ""
    edits: tuple[Edit, ...] = ()
    cause: str = ""
    accepted: str = ""
    point: Vec3 | None = None


@dataclass(frozen=True, slots=True)
class Measure:
    """What one check found at its worst place in one leg, passed or not.

    `sense` says on which side of the limit the measured value must be; `none` where the check only
    reports. `verified` is False for a limit that was not read at its source.
    """

    code: str
    where: tuple[str, ...]
    measured: float
    limit: float | None
    unit: str
    sense: Literal["at least", "at most", "less than", "none"]
    clause: str
    edition: str
    verified: bool
    passed: bool


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that was checked. Findings are ordered by severity, then code, then place."""

    findings: tuple[Finding, ...]
    measures: tuple[Measure, ...]

    @property
    def status(self) -> Literal["pass", "warn", "fail"]:
        """The worst severity that was not accepted; notes pass."""
        open_ = {finding.severity for finding in self.findings if not finding.accepted}
        return "fail" if "fail" in open_ else "warn" if "warn" in open_ else "pass"
