"""The handrail of a leg as parts: its pieces with their cuts, and the brackets that hold it."""

from __future__ import annotations

from collections.abc import Iterator

from generator.geometry import upright
from generator.layout.handrail import BAR_MM, Arm, handrails
from generator.layout.model import Layout, PathLeg, RailPlan, RunLayout
from generator.parts.assembly import Part, RailDetail
from generator.parts.shapes import Circle, Prism, Route, Section
from generator.units import format_length_with_unit


class HandrailBuilder:
    """Makes the handrails of a job leg by leg, numbering pieces and brackets through it."""

    def __init__(self, layout: Layout) -> None:
        self.job = layout.job
        self._made = handrails(layout)
        self.pieces = 0
        self.brackets = 0

    @property
    def plan(self) -> RailPlan | None:
        """How the pieces nest into their stock, counted in the order in which they are made."""
        return self._made.plan

    def parts(self, run: RunLayout, k: int) -> Iterator[Part]:
        """Pieces of the k-th leg in order of travel, returns included, then their brackets."""
        made = self._made.by_leg.get((run.run.id, k))
        handrail, line = self.job.handrail, run.legs[k].line
        if made is None or handrail is None:
            return
        section = Section(Circle(handrail.diameter_mm))
        name = f"{format_length_with_unit(handrail.diameter_mm, self.job.metric)} round"
        for piece in made.pieces:
            self.pieces += 1
            mark = f"HR{self.pieces}"
            shape = Prism(section, piece.start_cut, piece.end_cut)
            detail = RailDetail(name, piece.start_on, piece.end_on)
            item = f"handrail, {name}"
            place = piece.place
            yield Part(mark, "handrail", item, line.run, line.number, shape, place, mark, detail)
        for arm in made.arms:
            yield self._bracket(line, arm)

    def _bracket(self, line: PathLeg, arm: Arm) -> Part:
        """A bent bar, its flange on the post and its saddle under the handrail not drawn."""
        self.brackets += 1
        place = upright(arm.face, line.bearing_deg)
        points = tuple(place.local(point) for point in (arm.face, arm.bend, arm.under))
        bar = format_length_with_unit(BAR_MM, self.job.metric)
        return Part(
            mark=f"HB{self.brackets}",
            kind="handrail-bracket",
            item=f"handrail bracket, {bar} round bar",
            run=line.run,
            leg=line.number,
            shape=Route(BAR_MM, points),
            place=place,
            belongs_to=f"P{arm.post + 1}",
        )
