"""Loads of a job from its rule set, and how they are put together with what is always there.

Allowable strength design: loads as the rule set states them, no load factors. The tension of the
cables is always there, in the cold or the heat, whichever is worse; loads of the rule set are not
put on together, as IRC Table R301.5, IBC 1607 and NBC 9.8.8.2 say each in their way.
"""

from __future__ import annotations

import math
from typing import Literal

from generator.catalog.tables import Limit
from generator.frozen import dataclass
from generator.spec.job import Job
from generator.strength.steps import Sheet, Source

Way = Literal["none", "across", "along", "down", "line", "line-down", "infill"]

_SIDE_MM = 304.8  # of the area that an infill load is spread over, where the rule set names none


@dataclass(frozen=True, slots=True)
class LoadCase:
    """What acts beside the cables; `words` as a reviewer reads them."""

    way: Way
    words: str


_TENSION = "cable tension with temperature"
CASES: tuple[LoadCase, ...] = (
    LoadCase("none", f"{_TENSION} alone"),
    LoadCase("across", f"concentrated load outward or inward at the top, with {_TENSION}"),
    LoadCase("along", f"concentrated load along the top, with {_TENSION}"),
    LoadCase("down", f"concentrated load down or up, with {_TENSION}"),
    LoadCase("line", f"line load outward or inward along the top, with {_TENSION}"),
    LoadCase("line-down", f"line load down along the top, with {_TENSION}"),
    LoadCase("infill", f"infill load on the cables, with {_TENSION}"),
)


_TOLD = {
    "load.top": ("P", "top_n", "N", "concentrated load at the top"),
    "load.line": ("w", "line_n_mm", "N/mm", "load along the top, level"),
    "load.vertical": ("w_v", "down_n_mm", "N/mm", "load along the top, down"),
    "load.infill": ("P_i", "infill_n", "N", "load on the infill"),
}


@dataclass(frozen=True, slots=True)
class Loads:
    """Loads in N, N/mm and mm; 0 where the rule set states none. `limits` by key, stated ones."""

    top_n: float
    line_n_mm: float
    down_n_mm: float
    infill_n: float
    side_mm: float
    limits: dict[str, Limit]

    def cases(self) -> tuple[LoadCase, ...]:
        """Those that the rule set asks for; that of the cables alone is always there."""
        asked = {
            "none": True,
            "across": self.top_n > 0,
            "along": self.top_n > 0,
            "down": self.top_n > 0,
            "line": self.line_n_mm > 0,
            "line-down": self.line_n_mm > 0 or self.down_n_mm > 0,
            "infill": self.infill_n > 0,
        }
        return tuple(case for case in CASES if asked[case.way])

    def source(self, key: str) -> Source:
        """Clause, edition and whether the limit of that key was read."""
        limit = self.limits[key]
        return Source(f"{limit.clause}, {limit.edition}", limit.source, limit.verified)

    def tell(self, sheet: Sheet, key: str) -> str:
        """Puts a load on a sheet; gives its symbol."""
        symbol, field, unit, meaning = _TOLD[key]
        if symbol not in sheet:
            sheet.given(symbol, getattr(self, field), unit, meaning, self.source(key))
        return symbol

    @property
    def down_key(self) -> str:
        """The line load that acts down: the rule set's own, or the level one in any direction."""
        return "load.vertical" if "load.vertical" in self.limits else "load.line"


def loads_of(job: Job) -> Loads:
    """The loads of a job's rule set.

    Where the area of the infill load is not stated it is taken as a foot square. A line load that
    is stated without a direction also acts down.
    """
    keys = ("load.top", "load.line", "load.vertical", "load.infill", "load.infill.area")
    limits = {
        key: job.rules.limits[key]
        for key in keys
        if key in job.rules.limits and job.rules.limits[key].stated
    }
    value = {key: limit.value for key, limit in limits.items()}
    area = value.get("load.infill.area", _SIDE_MM**2)
    return Loads(
        top_n=value.get("load.top", 0.0),
        line_n_mm=value.get("load.line", 0.0),
        down_n_mm=value.get("load.vertical", value.get("load.line", 0.0)),
        infill_n=value.get("load.infill", 0.0),
        side_mm=math.sqrt(area),
        limits=limits,
    )
