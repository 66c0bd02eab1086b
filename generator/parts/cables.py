"""Cables with their end fittings, seats, washers and nuts, from the rows of a leg."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby, pairwise

from generator.frozen import dataclass
from generator.geometry import Frame, Vec3, add, along, dot, lengthwise, scale, sub, unit
from generator.layout.model import CableRoute, LegLayout, PostSite, RunLayout
from generator.layout.stagger import SEAT_EDGE_MM
from generator.parts.assembly import CableDetail, Kind, Part
from generator.parts.drilling import half_path
from generator.parts.posts import held_in_face_mm, post_frame
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

# Bore of seat and washer over the stud.
_BORE_OVER_MM = 0.8


@dataclass(frozen=True, slots=True)
class CableEnd:
    """Where one end of a cable is held: `out` points from the bay through the post.

    `axis_point` lies on the post's axis, `half_mm` from it to either face along the cable;
    `slopes` are of the outer face over a plane square to the cable, in the frame `back`, whose z
    is `out` and whose origin lies where the cable's axis leaves the outer face. `into_mm` is how
    deep the stud is set into the near face of a standing post, None where it goes through.
    """

    post: str
    axis_point: Vec3
    half_mm: float
    back: Frame
    slopes: tuple[float, float]
    seat_mm: float
    setback_mm: float
    into_mm: float | None


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
    """Makes the cables of a run, numbering them through the job."""

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
        self._ends: dict[tuple[str, int, int, bool], CableEnd] = {}

    def parts(self, run: RunLayout) -> Iterator[Part]:
        """Cables chain by chain from the bottom up, each followed by what holds its ends."""
        for route in run.routes:
            if not all(run.legs[stretch.leg].rails for stretch in route.stretches):
                continue  # span.short: nothing can be carried on such a leg
            self.count += 1
            yield from self._one(run, route)

    def _one(self, run: RunLayout, route: CableRoute) -> Iterator[Part]:
        first, last = route.stretches[0], route.stretches[-1]
        start = self._end(run, first.leg, first.first, route.row, at_start=True)
        end = self._end(run, last.leg, last.last, route.row, at_start=False)
        cable = self._cable(run, route, start, end)
        yield cable
        for letter, held in (("S", start), ("E", end)):
            yield from self._hardware(cable.run, cable.leg, letter, held)

    def _end(self, run: RunLayout, k: int, n: int, row: int, *, at_start: bool) -> CableEnd:
        leg = run.legs[k]
        key = (leg.line.run, k, n, at_start)
        if key not in self._ends:
            self._ends[key] = self._on_reference(leg, n, at_start=at_start)
        return self._lifted(self._ends[key], leg.rows_mm[row - 1])

    def _on_reference(self, leg: LegLayout, n: int, *, at_start: bool) -> CableEnd:
        """The end on the leg's reference line; rows differ only in height."""
        line = leg.line
        site = self.sites[leg.posts[n]]
        width, depth = post_size(self.job, site)
        frame = post_frame(self.job, site)
        pitch, bearing = line.pitch_deg, line.bearing_deg
        if at_start:
            bearing, pitch = bearing + 180.0, -pitch
        out = lengthwise((0.0, 0.0, 0.0), bearing, pitch)
        half = half_path(frame.local_vector(out.z), width, depth)
        slopes = _face_slopes(frame, out, width, depth)
        seat = self._seat_mm(slopes)
        fitting = self.job.system.fitting
        stack = 2 * half + seat + fitting.washer_thickness_mm + fitting.nut_height_mm
        axis_point = line.guard(leg.stations_mm[n])
        back = Frame(along(axis_point, out.z, half), out.x, out.y, out.z)
        # At the start the stud's tip is flush with its nut; the catalogue's `cable_setback` is
        # this length on a level leg with the post that the fitting is made for.
        into = held_in_face_mm(self.job, site.fixed) if site.fixed else None
        taken = stack if into is None else into
        setback = fitting.overall_mm - fitting.bore_mm - taken
        mark = f"P{site.index + 1}"
        return CableEnd(mark, axis_point, half, back, slopes, seat, setback, into)

    def _seat_mm(self, slopes: tuple[float, float]) -> float:
        steepest = math.hypot(*slopes)
        if steepest < 1e-9:
            return 0.0
        return SEAT_EDGE_MM + self.job.system.fitting.washer_mm / 2 * steepest

    @staticmethod
    def _lifted(end: CableEnd, height: float) -> CableEnd:
        up = (0.0, 0.0, height)
        back = end.back
        raised = Frame(add(back.origin, up), back.x, back.y, back.z)
        return replace(end, axis_point=add(end.axis_point, up), back=raised)

    def _cable(self, run: RunLayout, route: CableRoute, start: CableEnd, end: CableEnd) -> Part:
        system, guard = self.job.system, self.job.guard
        line = run.legs[route.stretches[0].leg].line
        first = along(start.axis_point, start.back.z, -start.half_mm - start.setback_mm)
        last = along(end.axis_point, end.back.z, -end.half_mm - end.setback_mm)
        bends = self._bends(run, route)
        place = lengthwise(first, line.bearing_deg, line.pitch_deg)
        points = tuple(place.local(point) for point in (first, *bends, last))
        points = ((0.0, 0.0, 0.0), *points[1:])
        shape = Route(system.cable.diameter_mm, points)
        finished = shape.length_mm - self._saved_in_bends(points)
        pull = ("dead", "pulling") if guard.pull == "end" else ("pulling", "dead")
        dead, pulled = guard.swage
        swage = (dead, pulled) if guard.pull == "end" else (pulled, dead)
        detail = CableDetail(
            row=route.row,
            legs=tuple(run.legs[stretch.leg].line.number for stretch in route.stretches),
            support_length_mm=finished + start.setback_mm + end.setback_mm,
            finished_mm=finished,
            cut_length_mm=finished + system.cable.trim_mm,
            turn_deg=route.turn_deg,
            fittings=(system.fitting.name, system.fitting.name),
            ends=pull,
            posts=self._posts_passed(run, route),
            swage=swage,
        )
        mark = f"C{self.count}"
        item = f"cable {system.cable.name}"
        return Part(mark, "cable", item, line.run, line.number, shape, place, mark, detail)

    def _posts_passed(self, run: RunLayout, route: CableRoute) -> tuple[str, ...]:
        """Marks of every post on the way, the ends included; one where two stretches meet once."""
        marks: list[str] = []
        for stretch in route.stretches:
            leg = run.legs[stretch.leg]
            marks += [f"P{index + 1}" for index in leg.posts[stretch.first : stretch.last + 1]]
        return tuple(mark for mark, _ in groupby(marks))

    def _bends(self, run: RunLayout, route: CableRoute) -> list[Vec3]:
        """Where the cable turns: the exit face of one post and the entry face of the next (B).

        At one post that it passes in line there is a bend only where the pitch changes.
        """
        found: list[Vec3] = []
        for before, after in pairwise(route.stretches):
            a, b = run.legs[before.leg], run.legs[after.leg]
            if a.posts[before.last] == b.posts[after.first]:
                if abs(a.line.slope - b.line.slope) > 1e-12:
                    found.append(_axis_point(a, before.last, route.row))
                continue
            for leg, n, ahead in ((a, before.last, 1.0), (b, after.first, -1.0)):
                site = self.sites[leg.posts[n]]
                width, depth = post_size(self.job, site)
                direction = leg.line.direction
                half = half_path(post_frame(self.job, site).local_vector(direction), width, depth)
                found.append(along(_axis_point(leg, n, route.row), direction, ahead * half))
        return found

    def _saved_in_bends(self, points: tuple[Vec3, ...]) -> float:
        """What a cable led round sleeves is shorter than its corner-to-corner line."""
        radius = self.bend_radius_mm
        saved = 0.0
        for a, b, c in zip(points, points[1:], points[2:], strict=False):
            cosine = dot(unit(sub(b, a)), unit(sub(c, b)))
            turn = math.acos(max(-1.0, min(1.0, cosine)))
            saved += radius * (2.0 * math.tan(turn / 2) - turn)
        return saved

    @property
    def bend_radius_mm(self) -> float:
        """Radius of the sleeves that cables bend over: the cable's least, or the usual factor."""
        cable = self.job.system.cable
        if cable.min_bend_mm:
            return cable.min_bend_mm
        return self.job.rules.limit("practice.bend-factor").value * cable.diameter_mm

    def _hardware(self, run: str, leg: int, letter: str, end: CableEnd) -> Iterator[Part]:
        system, back = self.job.system, end.back
        fitting = system.fitting
        stack = end.seat_mm + fitting.washer_thickness_mm + fitting.nut_height_mm
        reach = stack if end.into_mm is None else end.into_mm - 2 * end.half_mm
        origin = along(back.origin, back.z, reach)
        tip = Frame(origin, back.x, scale(back.y, -1.0), scale(back.z, -1.0))
        on_seat = self._moved(back, end.seat_mm)
        on_washer = self._moved(on_seat, fitting.washer_thickness_mm)
        label = f"{self.count}{letter}"

        def part(prefix: str, kind: Kind, item: str, shape: Shape, place: Frame) -> Part:
            return Part(f"{prefix}{label}", kind, item, run, leg, shape, place, end.post)

        yield part("F", "fitting", f"end fitting {fitting.name}", self._fitting, tip)
        if end.into_mm is not None:
            return
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


def post_size(job: Job, site: PostSite) -> tuple[float, float]:
    """(width, depth) of a post's section, a standing one's own."""
    owner = site.fixed or job.system.post
    return owner.width_mm, owner.depth_mm


def _axis_point(leg: LegLayout, n: int, row: int) -> Vec3:
    """Where a row's cable crosses the axis of the leg's n-th post."""
    x, y, z = leg.line.guard(leg.stations_mm[n])
    return (x, y, z + leg.rows_mm[row - 1])


def _face_slopes(frame: Frame, out: Frame, width_mm: float, depth_mm: float) -> tuple[float, float]:
    """Slopes of the post's outer face, as a plane z = ax + by in the frame of the cable's end."""
    x, y, _ = frame.local_vector(out.z)
    by_x = abs(x) / width_mm >= abs(y) / depth_mm * (1 - 1e-9)
    normal = out.local_vector(frame.x if by_x else frame.y)
    slopes = (-normal[0] / normal[2], -normal[1] / normal[2])
    return tuple(0.0 if abs(s) < 1e-12 else s for s in slopes)  # type: ignore[return-value]
