"""Cables with their end fittings, seats, washers and nuts, from the rows of a leg."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from generator.geometry import Frame, Vec3, along, distance, lengthwise, scale
from generator.layout.model import LegLayout, PostSite
from generator.parts.assembly import CableDetail, Kind, Part
from generator.parts.drilling import half_path
from generator.parts.posts import post_frame
from generator.parts.shapes import (
    Circle,
    EndPlane,
    Prism,
    Route,
    Section,
    Shape,
    Step,
    Turned,
    hexagon,
)
from generator.spec.job import Fitting, Job

# Least thickness of a bevelled seat, at its thin edge; bore of seat and washer over the stud.
_SEAT_EDGE_MM = 1.0
_BORE_OVER_MM = 0.8


@dataclass(frozen=True, slots=True)
class CableEnd:
    """Where one end of a cable is held: `out` points from the bay through the post.

    `axis_point` lies on the post's axis, `half_mm` from it to either face along the cable;
    `slopes` are of the outer face over a plane square to the cable, in the frame `back`, whose z
    is `out` and whose origin lies where the cable's axis leaves the outer face.
    """

    post: str
    axis_point: Vec3
    half_mm: float
    back: Frame
    slopes: tuple[float, float]
    seat_mm: float
    setback_mm: float


def fitting_shape(fitting: Fitting, cable_mm: float) -> Turned:
    """Stud and sleeve from the stud's tip at 0 to the sleeve's mouth."""
    sleeve = fitting.overall_mm - fitting.sleeve_length_mm
    bore = fitting.overall_mm - fitting.bore_mm
    steps = [Step(0.0, sleeve, fitting.stud_mm)]
    if bore > sleeve:
        steps.append(Step(sleeve, bore, fitting.sleeve_mm))
    steps.append(Step(bore, fitting.overall_mm, fitting.sleeve_mm, cable_mm))
    return Turned(tuple(steps))


class CableBuilder:
    """Makes the cables of a leg, numbering them through the job."""

    def __init__(self, job: Job, sites: tuple[PostSite, ...]) -> None:
        self.job = job
        self.sites = sites
        self.count = 0
        system = job.system
        self._fitting = fitting_shape(system.fitting, system.cable.diameter_mm)
        bore = system.fitting.stud_mm + _BORE_OVER_MM
        thickness = system.fitting.washer_thickness_mm
        self._washer = Turned((Step(0.0, thickness, system.fitting.washer_mm, bore),))
        nut = Section(hexagon(system.fitting.nut_flats_mm), Circle(system.fitting.stud_mm))
        self._nut = Prism(nut, EndPlane(0.0), EndPlane(system.fitting.nut_height_mm))

    def parts(self, leg: LegLayout) -> Iterator[Part]:
        """Cables from the bottom up, each followed by what holds its ends."""
        line = leg.line
        if not leg.rails:
            return
        ends = [self._end(leg, 0), self._end(leg, -1)]
        for row, height in enumerate(leg.rows_mm, start=1):
            self.count += 1
            lifted = [self._lifted(end, height) for end in ends]
            yield from self._cable(leg, row, lifted[0], lifted[1])
            for letter, end in zip("SE", lifted, strict=True):
                yield from self._hardware(line.run, line.number, letter, end)

    def _end(self, leg: LegLayout, which: int) -> CableEnd:
        """The end on the leg's reference line; rows differ only in height."""
        line, station = leg.line, leg.stations_mm[which]
        site = self.sites[leg.posts[which]]
        post = self.job.system.post
        frame = post_frame(self.job, site)
        pitch, bearing = line.pitch_deg, line.bearing_deg
        if which == 0:
            bearing, pitch = bearing + 180.0, -pitch
        out = lengthwise((0.0, 0.0, 0.0), bearing, pitch)
        half = half_path(frame.local_vector(out.z), post.width_mm, post.depth_mm)
        slopes = _face_slopes(frame, out, post.width_mm, post.depth_mm)
        seat = self._seat_mm(slopes)
        fitting = self.job.system.fitting
        stack = 2 * half + seat + fitting.washer_thickness_mm + fitting.nut_height_mm
        axis_point = line.guard(station)
        origin = along(axis_point, out.z, half)
        back = Frame(origin, out.x, out.y, out.z)
        # At the start the stud's tip is flush with its nut; the catalogue's `cable_setback` is
        # this length on a level leg with the post that the fitting is made for.
        setback = fitting.overall_mm - fitting.bore_mm - stack
        return CableEnd(f"P{site.index + 1}", axis_point, half, back, slopes, seat, setback)

    def _seat_mm(self, slopes: tuple[float, float]) -> float:
        steepest = math.hypot(*slopes)
        if steepest < 1e-9:
            return 0.0
        return _SEAT_EDGE_MM + self.job.system.fitting.washer_mm / 2 * steepest

    @staticmethod
    def _lifted(end: CableEnd, height: float) -> CableEnd:
        up = (0.0, 0.0, height)
        back = end.back
        x, y, z = back.origin
        raised = Frame((x, y, z + height), back.x, back.y, back.z)
        a = end.axis_point
        point = (a[0], a[1], a[2] + up[2])
        return CableEnd(
            end.post, point, end.half_mm, raised, end.slopes, end.seat_mm, end.setback_mm
        )

    def _cable(self, leg: LegLayout, row: int, start: CableEnd, end: CableEnd) -> Iterator[Part]:
        line, system = leg.line, self.job.system
        travel = scale(start.back.z, -1.0)
        between = distance(start.axis_point, end.axis_point) - start.half_mm - end.half_mm
        finished = between - start.setback_mm - end.setback_mm
        first = along(start.axis_point, travel, start.half_mm + start.setback_mm)
        place = lengthwise(first, line.bearing_deg, line.pitch_deg)
        detail = CableDetail(
            row=row,
            legs=(line.number,),
            support_length_mm=between,
            finished_mm=finished,
            cut_length_mm=finished + system.cable.trim_mm,
            turn_deg=0.0,
            fittings=(system.fitting.name, system.fitting.name),
            ends=("dead", "pulling"),
            posts=(start.post, end.post),
        )
        shape = Route(system.cable.diameter_mm, ((0.0, 0.0, 0.0), (0.0, 0.0, finished)))
        mark = f"C{self.count}"
        item = f"cable {system.cable.name}"
        yield Part(mark, "cable", item, line.run, line.number, shape, place, mark, detail)

    def _hardware(self, run: str, leg: int, letter: str, end: CableEnd) -> Iterator[Part]:
        system, back = self.job.system, end.back
        fitting = system.fitting
        stack = end.seat_mm + fitting.washer_thickness_mm + fitting.nut_height_mm
        tip = Frame(
            along(back.origin, back.z, stack), back.x, scale(back.y, -1.0), scale(back.z, -1.0)
        )
        on_seat = self._moved(back, end.seat_mm)
        on_washer = self._moved(on_seat, fitting.washer_thickness_mm)
        label = f"{self.count}{letter}"

        def part(prefix: str, kind: Kind, item: str, shape: Shape, place: Frame) -> Part:
            return Part(f"{prefix}{label}", kind, item, run, leg, shape, place, end.post)

        yield part("F", "fitting", f"end fitting {fitting.name}", self._fitting, tip)
        if end.seat_mm:
            angle = math.degrees(math.atan(math.hypot(*end.slopes)))
            item = f"bevelled seat {angle:.1f} deg for {fitting.name}"
            yield part("BS", "seat", item, self._seat(end), back)
        yield part("W", "washer", f"washer for {fitting.name}", self._washer, on_seat)
        yield part("N", "nut", f"nut for {fitting.name}", self._nut, on_washer)

    def _seat(self, end: CableEnd) -> Prism:
        fitting = self.job.system.fitting
        bore = Circle(fitting.stud_mm + _BORE_OVER_MM)
        section = Section(Circle(fitting.washer_mm), bore)
        return Prism(section, EndPlane(0.0, *end.slopes), EndPlane(end.seat_mm))

    @staticmethod
    def _moved(frame: Frame, ahead: float) -> Frame:
        return Frame(along(frame.origin, frame.z, ahead), frame.x, frame.y, frame.z)


def _face_slopes(frame: Frame, out: Frame, width_mm: float, depth_mm: float) -> tuple[float, float]:
    """Slopes of the post's outer face, as a plane z = ax + by in the frame of the cable's end."""
    x, y, _ = frame.local_vector(out.z)
    by_x = abs(x) / width_mm >= abs(y) / depth_mm * (1 - 1e-9)
    normal = out.local_vector(frame.x if by_x else frame.y)
    slopes = (-normal[0] / normal[2], -normal[1] / normal[2])
    return tuple(0.0 if abs(s) < 1e-12 else s for s in slopes)  # type: ignore[return-value]
