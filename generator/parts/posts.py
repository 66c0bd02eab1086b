"""Posts with their base plates, anchors and brackets, from the sites of the layout."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generator.geometry import Frame, along, lengthwise, upright
from generator.layout.model import LegLayout, PostSite
from generator.parts.assembly import DrilledHole, Kind, Part, PostDetail
from generator.parts.drilling import Axis, Bore, drill
from generator.parts.shapes import (
    EndPlane,
    Hole,
    Prism,
    Rectangle,
    Section,
    Shape,
    Step,
    Turned,
    tube,
)
from generator.spec.job import Job, Stair, System
from generator.units import format_length_with_unit

_SQRT3 = math.sqrt(3.0)
# Flat blocking under decking or tread that a through bolt also passes, a 2x on the flat.
_BLOCKING_MM = 38.1


@dataclass(frozen=True, slots=True)
class PostNames:
    """Item names, the same for every post of a job."""

    post: str
    plate: str
    anchor: str
    bracket: str


def names(system: System) -> PostNames:
    return PostNames(
        post=f"post {system.post.name}",
        plate=f"base plate for {system.post.name}",
        anchor=f"anchor {system.anchor.name}",
        bracket=f"bracket {system.bracket.name}",
    )


def bores(system: System) -> dict[str, Bore]:
    """What the posts' holes pass: cables on their way, studs where a leg ends."""
    clearance = system.post.hole_clearance_mm
    cable, stud = system.cable, system.fitting.stud_mm
    return {
        "cable": Bore(cable.diameter_mm, cable.max_diameter_mm, clearance),
        "stud": Bore(stud, stud, clearance),
    }


def post_frame(job: Job, site: PostSite) -> Frame:
    """Frame of the tube: on top of the base plate, x along the post's bearing."""
    x, y, z = site.base
    return upright((x, y, z + job.system.post.plate_thickness_mm), site.bearing_deg)


def post_axes(site: PostSite, place: Frame, legs: Sequence[LegLayout]) -> Iterator[Axis]:
    """Every cable or stud axis that crosses a post, leg by leg, from the bottom up."""
    for leg in legs:
        line = leg.line
        index = leg.posts.index(site.index)
        station = leg.stations_mm[index]
        last = index in (0, len(leg.posts) - 1)
        direction = place.local_vector((line.travel[0], line.travel[1], line.slope))
        reference = line.reference_z(station) - place.origin[2]
        for row, height in enumerate(leg.rows_mm, start=1):
            purpose = "stud" if last else "cable"
            yield Axis(row, line.number, purpose, reference + height, direction)


class PostBuilder:
    """Makes the parts of one post after the other, drilling equal patterns once."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.names = names(job.system)
        self.bores = bores(job.system)
        self._patterns: dict[
            tuple[Axis, ...], tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]
        ] = {}
        self._plate = _plate(job)

    def parts(self, site: PostSite, legs: Sequence[LegLayout]) -> Iterator[Part]:
        """The post, its base plate, anchors and bracket."""
        mark = f"P{site.index + 1}"
        place = post_frame(self.job, site)
        table, holes = self._drilled(site, place, legs)
        top = self._top(site, place)
        profile = self.job.system.post
        section = tube(profile.width_mm, profile.depth_mm, profile.wall_mm, profile.corner_mm)
        detail = PostDetail(
            role=site.role,
            place=site.place,
            base_z_mm=site.base[2],
            height_mm=site.rail_top_z_mm - site.base[2],
            length_mm=top.z_mm + abs(top.slope_x) * profile.width_mm / 2,
            bearing_deg=site.bearing_deg,
            tread=site.tread,
            setback_mm=site.setback_mm,
            drilling=table,
        )
        shape = Prism(section, EndPlane(0.0), top, holes)
        yield self._part(mark, "post", self.names.post, site, shape, place, mark, detail)
        yield from self._base(mark, site)
        yield self._bracket(mark, site)

    def _drilled(
        self, site: PostSite, place: Frame, legs: Sequence[LegLayout]
    ) -> tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]:
        axes = tuple(post_axes(site, place, legs))
        key = tuple(_rounded(axis) for axis in axes)
        if key not in self._patterns:
            profile = self.job.system.post
            self._patterns[key] = drill(
                axes,
                self.bores,
                profile.width_mm,
                profile.depth_mm,
                profile.wall_mm,
                profile.plate_thickness_mm,
            )
        return self._patterns[key]

    def _top(self, site: PostSite, place: Frame) -> EndPlane:
        """The tube ends under the bracket, cut to the rail's pitch."""
        lean = math.hypot(1.0, site.top_slope)
        system = self.job.system
        thickness = (system.rail.depth_mm + system.bracket.thickness_mm) * lean
        return EndPlane(site.rail_top_z_mm - thickness - place.origin[2], site.top_slope, 0.0)

    def _base(self, mark: str, site: PostSite) -> Iterator[Part]:
        profile = self.job.system.post
        place = upright(site.base, site.bearing_deg)
        yield self._part(
            f"BP{mark[1:]}", "base-plate", self.names.plate, site, self._plate, place, mark
        )
        half = profile.bolt_spacing_mm / 2
        bolt, length = bolt_shape(self.job, site.tread is not None)
        head = profile.plate_thickness_mm + self.job.system.anchor.washer_thickness_mm
        item = f"{self.names.anchor}, {format_length_with_unit(length, self.job.metric)} long"
        for n, (x, y) in enumerate(((-half, -half), (half, -half), (half, half), (-half, half)), 1):
            spot = upright(place.point((x, y, head)), site.bearing_deg)
            yield self._part(f"A{mark[1:]}-{n}", "anchor", item, site, bolt, spot, mark)

    def _bracket(self, mark: str, site: PostSite) -> Part:
        bracket, rail = self.job.system.bracket, self.job.system.rail
        pitch = math.degrees(math.atan(site.top_slope))
        lean = math.hypot(1.0, site.top_slope)
        under = (rail.depth_mm + bracket.thickness_mm / 2) * lean
        x, y, _ = site.base
        middle = (x, y, site.rail_top_z_mm - under)
        frame = lengthwise(middle, site.bearing_deg, pitch)
        place = lengthwise(along(middle, frame.z, -bracket.length_mm / 2), site.bearing_deg, pitch)
        section = Section(Rectangle(bracket.width_mm, bracket.thickness_mm))
        shape = Prism(section, EndPlane(0.0), EndPlane(bracket.length_mm))
        return self._part(f"K{mark[1:]}", "bracket", self.names.bracket, site, shape, place, mark)

    @staticmethod
    def _part(
        mark: str,
        kind: Kind,
        item: str,
        site: PostSite,
        shape: Shape,
        place: Frame,
        belongs_to: str,
        detail: PostDetail | None = None,
    ) -> Part:
        return Part(mark, kind, item, site.run, site.leg, shape, place, belongs_to, detail)


def _rounded(axis: Axis) -> Axis:
    """Equal up to rounding noise, so that posts drilled alike share one pattern."""
    x, y, z = (round(c, 9) + 0.0 for c in axis.direction)
    return Axis(axis.row, axis.leg, axis.purpose, round(axis.height_mm, 7), (x, y, z))


def _plate(job: Job) -> Prism:
    profile = job.system.post
    half, bore = profile.bolt_spacing_mm / 2, profile.bolt_hole_mm
    holes = tuple(
        Hole("z", y, x, bore, bore, profile.plate_thickness_mm)
        for x, y in ((-half, -half), (half, -half), (half, half), (-half, half))
    )
    section = Section(Rectangle(profile.plate_mm, profile.plate_mm))
    return Prism(section, EndPlane(0.0), EndPlane(profile.plate_thickness_mm), holes)


def bolt_shape(job: Job, on_tread: bool) -> tuple[Turned, float]:
    """An anchor of the shortest length that reaches, head up, its underside at 0; and that length.

    It passes washer, plate, the decking or tread and, where it is a through bolt, flat blocking
    below with washer and nut. A hexagon head is drawn as the circle across its corners.
    """
    anchor, post = job.system.anchor, job.system.post
    wood = _wood_mm(job, on_tread) + _BLOCKING_MM
    need = anchor.washer_thickness_mm + post.plate_thickness_mm + wood
    if anchor.style == "through-bolt":
        need += anchor.washer_thickness_mm + anchor.nut_height_mm
    fitting = [length for length in anchor.lengths_mm if length >= need - 1e-6]
    length = fitting[0] if fitting else anchor.lengths_mm[-1]
    across_corners = 2 * anchor.head_flats_mm / _SQRT3
    steps = (
        Step(-length, 0.0, anchor.diameter_mm),
        Step(0.0, anchor.head_height_mm, across_corners),
    )
    return Turned(steps), length


def _wood_mm(job: Job, on_tread: bool) -> float:
    if on_tread:
        stairs = [item for run in job.runs for item in run.legs if isinstance(item, Stair)]
        return max((stair.tread_thickness_mm for stair in stairs), default=0.0)
    return decking_mm(job)


def decking_mm(job: Job) -> float:
    """Thickness of the decking; a 1 in board where the spec gives no structure."""
    return job.structure.decking_mm if job.structure else 25.4
