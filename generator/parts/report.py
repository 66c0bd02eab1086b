"""What the checks say: measures, and findings where a measure is past its limit."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

from generator.catalog.tables import SeverityChange
from generator.frozen import dataclass
from generator.geometry import Vec3
from generator.spec.job import Acceptance

Severity = Literal["fail", "warn", "note"]
SEVERITIES: tuple[Severity, ...] = ("note", "warn", "fail")


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the spec that clears a finding: `path` such as guard.stair_setback, new text.

    The text is as it would be written in the file. A number with a plus, as in runs[0].legs[+1],
    puts a new item before that one.
    """

    path: str
    value: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that a person must know, with what was measured, the limit and where it stands.

    `measured` and `limit` share `unit` (mm, deg, N or a count). `remedy` is words in shop units,
    `edits` the same as changes of the spec. `cause` is the code of the finding behind this one;
    such a finding is a note. `accepted` is who took it as it is, and why. `point` is where to
    look, world mm. `verified` is False where the limit was not read at its source. `amended` is
    what gave the finding another severity than the code's own, `was`.
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
    accepted: Acceptance | None = None
    point: Vec3 | None = None
    verified: bool = True
    was: Severity | None = None
    amended: SeverityChange | None = None


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

    def of(self, codes: Collection[str]) -> Report:
        """Findings and measures of these codes alone."""
        return Report(
            tuple(finding for finding in self.findings if finding.code in codes),
            tuple(measure for measure in self.measures if measure.code in codes),
        )

    @property
    def failures(self) -> tuple[Finding, ...]:
        """Findings that fail and were not accepted."""
        return tuple(f for f in self.findings if f.severity == "fail" and not f.accepted)

    @property
    def status(self) -> Literal["pass", "warn", "fail"]:
        """The worst severity that was not accepted; notes pass."""
        open_ = {finding.severity for finding in self.findings if not finding.accepted}
        return "fail" if "fail" in open_ else "warn" if "warn" in open_ else "pass"
