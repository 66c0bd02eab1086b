"""Rail pieces and spacers of a leg at their places."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.geometry import EndPlane, lengthwise, upright
from generator.layout.model import LegLayout
from generator.parts.assembly import Part, RailDetail, SpacerDetail
from generator.parts.drilling import Axis, Bore, drill
from generator.parts.shapes import Prism, Rectangle, Section, tube
from generator.spec.job import Job


class RailBuilder:
    """Makes the rail pieces of a leg, numbering them through the job."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.count = 0
        rail = job.system.rail
        self._section = tube(rail.width_mm, rail.depth_mm, rail.wall_mm, rail.corner_mm)

    def parts(self, leg: LegLayout) -> Iterator[Part]:
        line, rail = leg.line, self.job.system.rail
        # Half the depth, square to the rail, is this much below its top, vertically.
        under_top = rail.depth_mm / 2 * math.hypot(1.0, line.slope)
        for piece in leg.rails:
            self.count += 1
            x, y, z = line.guard(piece.start_mm)
            origin = (x, y, z + leg.rail_top_mm - under_top)
            shape = Prism(self._section, piece.start_cut, piece.end_cut)
            mark = f"R{self.count}"
            yield Part(
                mark=mark,
                kind="rail",
                item=f"rail {rail.name}",
                run=line.run,
                leg=line.number,
                shape=shape,
                place=lengthwise(origin, line.bearing_deg, line.pitch_deg),
                belongs_to=mark,
                detail=RailDetail(rail.name, piece.start_on, piece.end_on),
            )


class SpacerBuilder:
    """Makes the spacers of a leg: plumb bars, drilled where the cables cross them."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.count = 0
        cable = job.system.cable
        clearance = job.system.spacer.hole_clearance_mm
        self._bores = {"cable": Bore(cable.diameter_mm, cable.max_diameter_mm, clearance)}

    def parts(self, leg: LegLayout) -> Iterator[Part]:
        if not leg.rails or not leg.spacers_mm:
            return
        line, spacer = leg.line, self.job.system.spacer
        low = leg.rows_mm[0] - spacer.end_distance_mm
        length = leg.rows_mm[-1] + spacer.end_distance_mm - low
        direction = (1.0, 0.0, line.slope)
        axes = [
            Axis(row, line.number, "cable", height - low, direction)
            for row, height in enumerate(leg.rows_mm, start=1)
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
