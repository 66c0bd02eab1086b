"""What brackets hand on: that of a rail to its post, that of a handrail to the post beside it.

How they are fixed is not told, so that these are demands: the maker's approval has to show them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from generator.frozen import dataclass
from generator.geometry import Vec3
from generator.parts.assembly import Assembly, Part
from generator.parts.shapes import Prism, Route
from generator.strength.loads import Loads
from generator.strength.result import Check
from generator.strength.steps import MECHANICS, Sheet, Source

_ARM = Source("statics", "load at the handrail's axis, at the face of the post", True)
_SPAN = Source("beam tables", "span with hinged ends, load at its middle", True)


def bracket_demands(sheet: Sheet, loads: Loads, along: str, reach_mm: float) -> Iterator[Check]:
    """Forces that a rail's bracket hands on to its post; `along` is the symbol of that along it."""
    yield Check(
        "rail.splice", "bracket on its post, along the rail", "thrust and load along the top",
        "by the bracket's own approval", sheet[along], None, "N", MECHANICS, sheet.trace(along),
    )  # fmt: skip
    pieces = []
    if loads.top_n:
        pieces.append(loads.tell(sheet, "load.top"))
    if loads.line_n_mm:
        sheet.given("l_b", reach_mm, "mm", "half of the longest two bays beside one another")
        pieces.append(f"{loads.tell(sheet, 'load.line')} * l_b")
    if not pieces:
        return
    formula = pieces[0] if len(pieces) == 1 else f"max({', '.join(pieces)})"
    sheet.work("H_b", formula, "N", "outward or inward on a bracket")
    yield Check(
        "rail.splice", "bracket on its post, across the rail",
        "load outward or inward at the top", "by the bracket's own approval",
        sheet["H_b"], None, "N", MECHANICS, sheet.trace("H_b"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class HandrailCase:
    """Arm of a bracket from the post's face to the handrail's axis, and its longest span, mm."""

    arm_mm: float
    span_mm: float


def handrail_cases(assembly: Assembly) -> dict[HandrailCase, list[str]]:
    """Marks of the first pieces of handrail in each leg, by what their brackets carry."""
    found: dict[HandrailCase, list[str]] = {}
    legs: dict[tuple[str, int], list[Part]] = {}
    for part in assembly.of_kind("handrail", "handrail-bracket"):
        legs.setdefault((part.run, part.leg), []).append(part)
    for parts in legs.values():
        arms = [p for p in parts if p.kind == "handrail-bracket"]
        bars = [p for p in parts if p.kind == "handrail" and isinstance(p.shape, Prism)]
        if not arms or not bars:
            continue
        case = HandrailCase(round(max(map(_arm, arms)), 6), round(_span(arms), 6))
        found.setdefault(case, []).append(bars[0].mark)
    return found


def _ends(bracket: Part) -> tuple[Vec3, Vec3]:
    """(at the face of the post, under the handrail) of a bracket."""
    shape = bracket.shape
    assert isinstance(shape, Route)
    return bracket.place.point(shape.points[0]), bracket.place.point(shape.points[-1])


def _arm(bracket: Part) -> float:
    """Across the leg, which is y of a bracket's own frame."""
    shape = bracket.shape
    assert isinstance(shape, Route)
    return abs(shape.points[-1][1] - shape.points[0][1])


def _span(brackets: list[Part]) -> float:
    """The longest between neighbours; one alone carries no span."""
    tops = sorted(_ends(bracket)[1] for bracket in brackets)
    return max((math.dist(a, b) for a, b in pairwise(tops)), default=0.0)


def handrail_demands(case: HandrailCase, sheet: Sheet, loads: Loads) -> Iterator[Check]:
    """What the concentrated load at a handrail asks of a bracket and of the handrail itself."""
    if not loads.top_n:
        return
    loads.tell(sheet, "load.top")
    words = "concentrated load at the handrail, in any direction"
    yield Check(
        "rail.splice", "handrail bracket, force", words, "by the bracket's own approval",
        sheet["P"], None, "N", loads.source("load.top"), sheet.trace("P"),
    )  # fmt: skip
    sheet.given("a_h", case.arm_mm, "mm", "handrail's axis from the face of the post")
    sheet.work("M_h", "P * a_h", "N mm", "on the flange of a bracket, load down", _ARM)
    yield Check(
        "rail.splice", "handrail bracket, moment", words, "by the bracket's own approval",
        sheet["M_h"], None, "N mm", _ARM, sheet.trace("M_h"),
    )  # fmt: skip
    sheet.given("L_h", case.span_mm, "mm", "longest from bracket to bracket")
    sheet.work("M_r", "P * L_h / 4", "N mm", "moment in the handrail at the middle of it", _SPAN)
    yield Check(
        "rail.bending", "handrail, moment", words, "by the handrail's own section",
        sheet["M_r"], None, "N mm", _SPAN, sheet.trace("M_r"),
    )  # fmt: skip
