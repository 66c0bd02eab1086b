"""What a plan says of other sheets: on which each leg's elevation is, and where a stair is cut.

A plan is made before sheets have numbers. It holds their places as `{A-1}`, the elevation of run A,
leg 1, and `{=A-3}`, the section of its leg 3.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.plan_strings import PlanLeg
from generator.drawings.sheets import PlacedView
from generator.drawings.view import Fill, Line, Text, View
from generator.parts.assembly import LegLine

# As plotted, mm.
_OFF = 3.0  # end of the stair to the mark
_BAR = 7.0
_ARROW = 6.0
_HEAD = 2.6

BESIDE = "BESIDE A LEG STANDS THE SHEET OF ITS ELEVATION."
ARROWS = (
    "ARROWS SHOW WHERE A STAIR IS CUT AND FROM WHERE IT IS SEEN, AND THE SHEET OF THAT SECTION."
)


def elevation_place(leg: LegLine) -> str:
    """What stands for the sheet of a leg's elevation."""
    return f"{{{leg.run}-{leg.number}}}"


def section_place(leg: LegLine) -> str:
    """What stands for the sheet of a stair's section."""
    return f"{{={leg.run}-{leg.number}}}"


def reference_notes(legs: Sequence[PlanLeg]) -> list[str]:
    """What the marks of a plan mean."""
    stairs = any(leg.tape.leg.kind == "stair" for leg in legs)
    return [BESIDE, ARROWS] if stairs else [BESIDE]


def section_marks(draft: Draft, legs: Sequence[PlanLeg]) -> None:
    """At both ends of every stair the cutting plane, along its edge, and which way it is seen."""
    scale = draft.scale
    for leg in legs:
        if leg.tape.leg.kind != "stair":
            continue
        datum, length = leg.datum(1), leg.tape.length_mm
        for end, way in ((0.0, -1.0), (length, 1.0)):
            near, far = (end + way * scale.plotted(mm) for mm in (_OFF, _OFF + _BAR))
            tip, back = -scale.plotted(_ARROW), -scale.plotted(_ARROW - _HEAD)
            side = scale.plotted(_HEAD * 0.3)
            draft.draw(
                Line(datum.at(near), datum.at(far), layers.CUT),
                Line(datum.at(far), datum.at(far, back), layers.SYMBOLS),
                Fill(
                    (datum.at(far, tip), datum.at(far - side, back), datum.at(far + side, back)),
                    layers.SYMBOLS,
                ),
            )
            draft.keep_line(datum.at(near), datum.at(far))
            draft.keep_leader(datum.at(far), datum.at(far, tip))
            words = section_place(leg.tape.leg)
            draft.letter(
                Text(
                    datum.at((near + far) / 2 + way * scale.plotted(along), scale.plotted(off)),
                    words,
                    scale.small,
                    layers.SYMBOLS,
                )
                for off in (3.0, 6.0, 9.0, 13.0, -9.0, -13.0, -18.0, 18.0, 24.0, -24.0)
                for along in (0.0, 6.0, 12.0, -6.0, 20.0)
            )


def referred(view: View, numbers: Mapping[str, str]) -> View:
    """The view with the numbers of sheets in their places; `numbers` are by name of view."""

    def number(found: re.Match[str]) -> str:
        place = found[1]
        name = f"section-{place[1:]}" if place.startswith("=") else place
        return numbers.get(name, "-")

    return replace(
        view,
        items=tuple(
            replace(item, text=re.sub(r"\{(=?[^{}]*)\}", number, item.text))
            if isinstance(item, Text) and "{" in item.text
            else item
            for item in view.items
        ),
    )


def referring(sheets: Sequence[tuple[str, Sequence[PlacedView]]]) -> list[tuple[PlacedView, ...]]:
    """Views of numbered sheets; plans name the sheets of elevations and sections, the first of
    several.
    """
    numbers: dict[str, str] = {}
    for number, views in sheets:
        for one in views:
            numbers.setdefault(one.view.name, number)
    # A plan that goes on over several sheets stays one view.
    plans = {id(one.view): one.view for _, views in sheets for one in views}
    plans = {key: referred(view, numbers) for key, view in plans.items() if view.name == "plan"}
    return [
        tuple(replace(one, view=plans.get(id(one.view), one.view)) for one in views)
        for _, views in sheets
    ]
