"""Rail pieces with their sleeves and connectors, and the spacers of a leg, at their places."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.geometry import EndPlane, Frame, along, upright
from generator.layout.model import LegLayout, RailPiece
from generator.parts.assembly import Part, RailDetail, SpacerDetail
from generator.parts.drilling import Axis, Bore, drill
from generator.parts.shapes import Prism, Rectangle, Section, tube
from generator.spec.job import Job

_JOINT, _MITER = "joint on post", "miter"


class RailBuilder:
    """Makes the rail pieces of a leg, numbering them through the job."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.count = 0
        rail = job.system.rail
        self._section = tube(rail.width_mm, rail.depth_mm, rail.wall_mm, rail.corner_mm)
        inside = 2 * (rail.wall_mm + rail.sleeve_clearance_mm)
        self._sleeve = tube(rail.width_mm - inside, rail.depth_mm - inside, rail.sleeve_wall_mm)

    def parts(self, leg: LegLayout) -> Iterator[Part]:
        """Each piece, followed by what is inside its joints."""
        before: RailPiece | None = None
        for piece in leg.rails:
            self.count += 1
            mark = f"R{self.count}"
            name = self.job.system.rail.name
            shape = Prism(self._section, piece.start_cut, piece.end_cut)
            detail = RailDetail(name, piece.start_on, piece.end_on)
            run, number = leg.line.run, leg.line.number
            yield Part(mark, "rail", f"rail {name}", run, number, shape, piece.place, mark, detail)
            if self.job.system.rail.sleeve_mm:
                yield from self._inside(leg, before, piece, mark)
            before = piece

    def _inside(
        self, leg: LegLayout, before: RailPiece | None, piece: RailPiece, mark: str
    ) -> Iterator[Part]:
        """A sleeve across a joint that begins this piece, an arm of a connector at each miter."""
        rail, run, number = self.job.system.rail, leg.line.run, leg.line.number
        half = rail.sleeve_mm / 2
        frame = piece.place
        start_tip, end_tip = self._tip(piece.start_cut), self._tip(piece.end_cut)
        if piece.start_on == _JOINT:
            back = self._reach(before, at_start=False) if before else half
            start = along(frame.origin, frame.z, -back)
            place = Frame(start, frame.x, frame.y, frame.z)
            length = back + self._reach(piece, at_start=True)
            shape = Prism(self._sleeve, EndPlane(0.0), EndPlane(length))
            item = f"splice sleeve for {rail.name}"
            yield Part(f"SL{mark[1:]}", "sleeve", item, run, number, shape, place, mark)
        arms = []
        reach = self._reach(piece, at_start=True)
        if piece.start_on == _MITER and reach > 0.0:
            inner = EndPlane(reach + start_tip)
            arms.append(("S", Prism(self._sleeve, piece.start_cut, inner)))
        reach = self._reach(piece, at_start=False)
        if piece.end_on == _MITER and reach > 0.0:
            inner = EndPlane(piece.length_mm - reach - end_tip)
            arms.append(("E", Prism(self._sleeve, inner, piece.end_cut)))
        for letter, shape in arms:
            item = f"connector arm for {rail.name}, {_angle(shape):.1f} deg"
            label = f"CN{mark[1:]}{letter}"
            yield Part(label, "connector", item, run, number, shape, frame, mark)

    def _reach(self, piece: RailPiece, *, at_start: bool) -> float:
        """How far what is inside one end of a piece reaches beyond the short point of its cut.

        No further than what is inside the other end leaves room for: in a short piece a sleeve
        leaves an arm half of its usual reach, or they share alike.
        """
        half = self.job.system.rail.sleeve_mm / 2
        room = piece.length_mm - self._tip(piece.start_cut) - self._tip(piece.end_cut)
        ends = (piece.start_on, piece.end_on)
        own, other = ends if at_start else ends[::-1]
        if other not in (_JOINT, _MITER):
            return min(half, room)
        if own == other:
            return min(half, room / 2)
        sleeve = min(half, max(room - half / 2, room / 2))
        return sleeve if own == _JOINT else min(half, room - sleeve)

    def _tip(self, cut: EndPlane) -> float:
        """How far the corners of a cut stand off the centre line's end, along the rail."""
        return max(abs(cut.at(x, y) - cut.z_mm) for x, y in self._sleeve.outer.corners)


def _angle(shape: Prism) -> float:
    """Steepness of an arm's cut in degrees: arms of equal cut are alike."""
    slopes = [math.hypot(cut.slope_x, cut.slope_y) for cut in (shape.start, shape.end)]
    return math.degrees(math.atan(max(slopes)))


class SpacerBuilder:
    """Makes the spacers of a leg: plumb bars, drilled where the cables cross them."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.count = 0
        cable = job.system.cable
        clearance = job.system.spacer.hole_clearance_mm
        self._bores = {"cable": Bore(cable.diameter_mm, cable.max_diameter_mm, clearance)}

    def parts(self, leg: LegLayout, rows: int) -> Iterator[Part]:
        """The spacers of a leg that carries that many rows."""
        if not leg.rails or not leg.spacers_mm or not rows:
            return
        line, spacer = leg.line, self.job.system.spacer
        heights = leg.rows_mm[:rows]
        low = heights[0] - spacer.end_distance_mm
        length = heights[-1] + spacer.end_distance_mm - low
        direction = (1.0, 0.0, line.slope)
        axes = [
            Axis(row, line.number, "cable", height - low, direction, run=line.run)
            for row, height in enumerate(heights, start=1)
        ]
        table, holes = drill(
            axes, self._bores, spacer.thickness_mm, spacer.width_mm, None, base_mm=0.0
        )
        section = Section(Rectangle(spacer.thickness_mm, spacer.width_mm))
        shape = Prism(section, EndPlane(0.0), EndPlane(length), holes)
        for station in leg.spacers_mm:
            self.count += 1
            x, y, z = line.guard(station)
            mark = f"S{self.count}"
            yield Part(
                mark=mark,
                kind="spacer",
                item=f"spacer {spacer.name}",
                run=line.run,
                leg=line.number,
                shape=shape,
                place=upright((x, y, z + low), line.bearing_deg),
                belongs_to=mark,
                detail=SpacerDetail(table),
            )
