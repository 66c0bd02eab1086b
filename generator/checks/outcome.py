"""How a check speaks: a measure against a limit of the rule set or the spec, and its finding."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from generator.checks.codes import CODES
from generator.frozen import dataclass
from generator.geometry import Vec3
from generator.parts.report import Edit, Finding, Measure, Severity
from generator.spec.job import Job
from generator.units import INCH_MM, format_inches, format_length_with_unit

Sense = Literal["at least", "at most", "less than", "none"]
_EPS = 1e-6

# A sixteenth of an inch, or a millimetre: what remedies are rounded to, to the safe side.
_STEP_MM = {False: INCH_MM / 16, True: 1.0}


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit with where it comes from; `clause` empty for one that the spec itself sets.

    One that the rule set does not state has a value that nothing breaks.
    """

    value: float | None
    sense: Sense
    unit: str
    clause: str
    edition: str
    verified: bool
    stated: bool = True

    def keeps(self, measured: float) -> bool:
        """Whether the measured value is on the right side of the limit."""
        if self.value is None or self.sense == "none":
            return True
        if self.sense == "at least":
            return measured >= self.value - _EPS
        if self.sense == "at most":
            return measured <= self.value + _EPS
        return measured < self.value - _EPS


def rule_bound(job: Job, key: str, sense: Sense) -> Bound:
    """A limit of the job's rule set.

    Raises:
        KeyError: the rule set has no such limit.
    """
    limit = job.rules.limit(key)
    return Bound(
        limit.value, sense, limit.unit, limit.clause, limit.edition, limit.verified, limit.stated
    )


def spec_bound(value: float, sense: Sense, field: str) -> Bound:
    """A limit that the job itself sets; its field stands in for the clause."""
    return Bound(value, sense, "mm", field, "job spec", True)


@dataclass(frozen=True, slots=True)
class Outcome:
    """One measured value of one check, with words ready for the case that it fails.

    `cause` is the code of what lies behind it, where that fails too.
    """

    code: str
    where: tuple[str, ...]
    measured: float
    bound: Bound
    message: str
    remedy: str = ""
    edits: tuple[Edit, ...] = ()
    point: Vec3 | None = None
    severity: Severity | None = None
    cause: str = ""

    @property
    def passed(self) -> bool:
        return self.bound.keeps(self.measured)

    def measure(self) -> Measure:
        bound = self.bound
        return Measure(
            code=self.code,
            where=self.where,
            measured=self.measured,
            limit=bound.value if bound.stated else None,
            unit=bound.unit,
            sense=bound.sense if bound.stated else "none",
            clause=bound.clause,
            edition=bound.edition,
            verified=bound.verified,
            passed=self.passed,
        )

    def finding(self) -> Finding:
        bound = self.bound
        return Finding(
            code=self.code,
            severity=self.severity or CODES[self.code].severity,
            where=self.where,
            measured=self.measured,
            limit=bound.value,
            unit=bound.unit,
            clause=bound.clause,
            edition=bound.edition,
            message=self.message,
            remedy=self.remedy,
            edits=self.edits,
            point=self.point,
            verified=bound.verified,
        )


def worst(outcomes: Iterator[Outcome]) -> Iterator[Outcome]:
    """Of outcomes against one bound, the one nearest to it or furthest past it; none if none."""
    found = list(outcomes)
    if not found:
        return
    sense = found[0].bound.sense
    key = min if sense == "at least" else max
    yield key(found, key=lambda outcome: outcome.measured)


def caused_by(finding: Finding, code: str) -> Finding:
    """The same finding as a note that names what lies behind it."""
    return replace(finding, severity="note", cause=code, remedy=f"see {code}", edits=())


def shop(job: Job, mm: float) -> str:
    """A length as people of this job write it."""
    return format_length_with_unit(mm, job.metric)


def fine(job: Job, mm: float) -> str:
    """A small distance as measured, in decimals: a sixteenth would hide what it says."""
    return f"{mm:.1f} mm" if job.metric else format_inches(mm)


def round_up(job: Job, mm: float) -> float:
    """To the next step of shop lengths, upwards."""
    step = _STEP_MM[job.metric]
    return math.ceil(mm / step - 1e-9) * step


def round_down(job: Job, mm: float) -> float:
    """To the next step of shop lengths, downwards."""
    step = _STEP_MM[job.metric]
    return math.floor(mm / step + 1e-9) * step
