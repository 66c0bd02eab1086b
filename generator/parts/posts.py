"""Posts and their brackets, drilled where cables and studs cross them, from the layout's sites."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

from generator.frozen import dataclass
from generator.geometry import EndPlane, Frame, along, cosd, lengthwise, sind, upright
from generator.layout.model import LegLayout, PostSite
from generator.parts.assembly import DrilledHole, Part, PostDetail
from generator.parts.bases import base_parts
from generator.parts.drilling import Axis, Bore, drill, drill_into_face, joined
from generator.parts.measure import long_point_mm
from generator.parts.shapes import Hole, Prism, Rectangle, Section, tube
from generator.spec.job import FixedPost, Job

# A standing post is shown this far over the rail; how high it goes is not the guard's business.
_COLUMN_ABOVE_MM = 300.0
# Left between two studs that are set into a standing post from opposite faces.
_CORE_MM = 6.0


@dataclass(frozen=True, slots=True)
class Crossing:
    """A leg that a post belongs to: which of the leg's posts it is, and what ends there.

    Cables are held here that go `ahead` along the leg, or that come from `behind`. Where they
    pass from one leg to the next, each leg has its holes in its own `wall`.
    """

    leg: LegLayout
    n: int
    ahead: bool
    behind: bool
    rows: int
    wall: Literal["both", "near", "far"] = "both"

    @property
    def ends(self) -> bool:
        return self.ahead or self.behind


def post_frame(job: Job, site: PostSite) -> Frame:
    """Frame of the tube: on its base plate or at its lower end, x along the post's bearing."""
    x, y, z = site.base
    return upright((x, y, z + base_lift(job, site)), site.bearing_deg)


def base_lift(job: Job, site: PostSite) -> float:
    """From the underside of the base to the tube's lower end on its axis."""
    if site.fixed or site.mount != "deck":
        return 0.0
    return job.system.post.plate_thickness_mm * math.hypot(1.0, site.floor_slope)


def post_axes(place: Frame, crossings: Sequence[Crossing]) -> Iterator[Axis]:
    """Every cable or stud axis that crosses a post, leg by leg, from the bottom up."""
    for crossing in crossings:
        line = crossing.leg.line
        station = crossing.leg.stations_mm[crossing.n]
        direction = place.local_vector((line.travel[0], line.travel[1], line.slope))
        reference = line.reference_z(station) - place.origin[2]
        purpose = "stud" if crossing.ends else "cable"
        for row, height in enumerate(crossing.leg.rows_mm[: crossing.rows], start=1):
            yield Axis(
                row,
                line.number,
                purpose,
                reference + height,
                direction,
                crossing.wall,
                line.run,
            )


def held_in_face_mm(job: Job, fixed: FixedPost) -> float:
    """How deep a stud is set into the face of a standing post: its thread, short of the middle."""
    return min(job.system.fitting.thread_mm, min(fixed.width_mm, fixed.depth_mm) / 2 - _CORE_MM)


class PostBuilder:
    """Makes the parts of one post after the other, drilling equal patterns once."""

    def __init__(self, job: Job) -> None:
        self.job = job
        clearance = job.system.post.hole_clearance_mm
        cable, stud = job.system.cable, job.system.fitting.stud_mm
        self._bores = {
            "cable": Bore(cable.diameter_mm, cable.max_diameter_mm, clearance),
            "stud": Bore(stud, stud, clearance),
        }
        self._patterns: dict[object, tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]] = {}

    def parts(self, site: PostSite, crossings: Sequence[Crossing]) -> Iterator[Part]:
        """The post, what it is fixed by, and its bracket; a standing post comes alone."""
        mark = f"P{site.index + 1}"
        place = post_frame(self.job, site)
        drilling, holes = self._drilled(site, place, crossings)
        shape = self._shape(site, place, holes)
        detail = PostDetail(
            role=site.role,
            place=site.place,
            base_z_mm=site.base[2],
            floor_z_mm=site.floor_z_mm,
            height_mm=site.rail_top_z_mm - site.base[2],
            length_mm=long_point_mm(shape),
            bearing_deg=site.bearing_deg,
            tread=site.tread,
            setback_mm=site.setback_mm,
            drilling=drilling,
            mount="existing" if site.fixed else site.mount,
        )
        kind = "column" if site.fixed else "post"
        name = self.job.system.post.name
        item = f"{site.fixed.material} post, existing" if site.fixed else f"post {name}"
        yield Part(mark, kind, item, site.run, site.leg, shape, place, mark, detail)
        yield from base_parts(self.job, site, crossings[0].leg.line)
        if not site.fixed:
            yield self._bracket(mark, site)

    def _drilled(
        self, site: PostSite, place: Frame, crossings: Sequence[Crossing]
    ) -> tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]:
        if site.fixed:
            return self._drilled_standing(site.fixed, place, crossings)
        axes = tuple(post_axes(place, crossings))
        lift = base_lift(self.job, site)
        key = (tuple(_rounded(axis) for axis in axes), site.mount, lift)
        if key not in self._patterns:
            post = self.job.system.post
            size = (post.width_mm, post.depth_mm, post.wall_mm)
            self._patterns[key] = drill(axes, self._bores, *size, lift)
        return self._patterns[key]

    def _drilled_standing(
        self, fixed: FixedPost, place: Frame, crossings: Sequence[Crossing]
    ) -> tuple[tuple[DrilledHole, ...], tuple[Hole, ...]]:
        """A solid post is drilled at the pitch: through for a cable, into its face for a stud."""
        table: tuple[DrilledHole, ...] = ()
        holes: tuple[Hole, ...] = ()
        size = (fixed.width_mm, fixed.depth_mm)
        for crossing in crossings:
            axes = tuple(post_axes(place, [crossing]))
            ways = [1.0] * crossing.ahead + [-1.0] * crossing.behind
            if not ways:
                made = drill(axes, self._bores, *size, None, 0.0, at_pitch=True)
                table, holes = joined(table, holes, *made)
            for way in ways:
                depth = held_in_face_mm(self.job, fixed)
                made = drill_into_face(axes, self._bores["stud"], *size, way, depth)
                table, holes = joined(table, holes, *made)
        return table, holes

    def _shape(self, site: PostSite, place: Frame, holes: tuple[Hole, ...]) -> Prism:
        post, fixed = self.job.system.post, site.fixed
        if fixed:
            section = Section(Rectangle(fixed.width_mm, fixed.depth_mm))
            top = site.rail_top_z_mm + _COLUMN_ABOVE_MM - place.origin[2]
            return Prism(section, EndPlane(0.0), EndPlane(top), holes)
        section = tube(post.width_mm, post.depth_mm, post.wall_mm, post.corner_mm)
        foot = EndPlane(0.0, site.floor_slope if site.mount == "deck" else 0.0)
        return Prism(section, foot, self._top(site, place), holes)

    def _top(self, site: PostSite, place: Frame) -> EndPlane:
        """The tube ends under the bracket: raked with the rail, or square at its lowest point."""
        system = self.job.system
        lean = math.hypot(1.0, site.top_slope)
        thickness = (system.rail.depth_mm + system.bracket.thickness_mm) * lean
        height = site.rail_top_z_mm - site.top_drop_mm - thickness - place.origin[2]
        spin = site.top_bearing_deg - site.bearing_deg
        slopes = (site.top_slope * cosd(spin), site.top_slope * sind(spin))
        if self.job.guard.post_top == "raked":
            return EndPlane(height, *slopes)
        post = system.post
        drop = abs(slopes[0]) * post.width_mm / 2 + abs(slopes[1]) * post.depth_mm / 2
        return EndPlane(height - drop)

    def _bracket(self, mark: str, site: PostSite) -> Part:
        bracket, rail = self.job.system.bracket, self.job.system.rail
        pitch = math.degrees(math.atan(site.top_slope))
        lean = math.hypot(1.0, site.top_slope)
        under = (rail.depth_mm + bracket.thickness_mm / 2) * lean
        x, y, _ = site.base
        middle = (x, y, site.rail_top_z_mm - site.top_drop_mm - under)
        # On a post turned to a bisector the bracket goes with the post, under both rails.
        bearing = site.top_bearing_deg if site.top_slope else site.bearing_deg
        frame = lengthwise(middle, bearing, pitch)
        start = along(middle, frame.z, -bracket.length_mm / 2)
        section = Section(Rectangle(bracket.width_mm, bracket.thickness_mm))
        shape = Prism(section, EndPlane(0.0), EndPlane(bracket.length_mm))
        place = Frame(start, frame.x, frame.y, frame.z)
        item = f"bracket {bracket.name}"
        return Part(f"K{mark[1:]}", "bracket", item, site.run, site.leg, shape, place, mark)


def _rounded(axis: Axis) -> Axis:
    """Equal up to rounding noise, so that posts drilled alike share one pattern."""
    x, y, z = (round(c, 9) + 0.0 for c in axis.direction)
    return replace(axis, height_mm=round(axis.height_mm, 7), direction=(x, y, z))
