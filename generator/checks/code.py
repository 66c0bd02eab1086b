"""What is said of one finding code."""

from __future__ import annotations

from generator.frozen import dataclass
from generator.parts.report import Severity


@dataclass(frozen=True, slots=True)
class Code:
    """One finding code. `limit` names the limit's key in the rule set or its field in the spec."""

    code: str
    severity: Severity
    title: str
    meaning: str
    formula: str
    inputs: str
    limit: str
