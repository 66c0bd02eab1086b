"""What a post is fixed by: a base plate, a side plate on a fascia, or a core in concrete."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.frozen import dataclass
from generator.geometry import (
    EndPlane,
    Frame,
    Vec3,
    add,
    along,
    cosd,
    heading,
    left_of,
    lengthwise,
    scale,
    sind,
    upright,
)
from generator.layout.model import PathLeg, PostSite
from generator.layout.side_mount import BLOCKING_MM, bolt_length_mm, wood_mm
from generator.parts.assembly import Kind, Part
from generator.parts.shapes import Hole, Prism, Rectangle, Section, Shape, Step, Turned
from generator.parts.timber import tread_block
from generator.spec.job import Job, Stair
from generator.units import format_length_with_unit

_SQRT3 = math.sqrt(3.0)
# Penetration that gives a lag screw its full lateral value, in diameters: NDS 12.1, from memory.
_PENETRATION = 8.0


@dataclass(frozen=True, slots=True)
class _Piece:
    prefix: str
    kind: Kind
    item: str
    shape: Shape
    place: Frame
    suffix: str = ""


def base_parts(job: Job, site: PostSite, line: PathLeg) -> Iterator[Part]:
    """Plates and anchors of a post; none where it is cast into a core or stands there already."""
    number = str(site.index + 1)
    if site.fixed or site.mount == "core":
        return
    pieces = _deck_base(job, site) if site.mount == "deck" else _side_base(job, site, line)
    for piece in pieces:
        mark = f"{piece.prefix}{number}{piece.suffix}"
        owner = f"P{number}"
        yield Part(
            mark, piece.kind, piece.item, site.run, site.leg, piece.shape, piece.place, owner
        )


def _deck_base(job: Job, site: PostSite) -> Iterator[_Piece]:
    """A plate welded under the tube, parallel to what it lies on, and its four anchors."""
    post = job.system.post
    plate = _tilted(site)
    shape = _plate(job)
    yield _Piece("BP", "base-plate", f"base plate for {post.name}", shape, plate)
    half = post.bolt_spacing_mm / 2
    bolt, length = bolt_shape(job, _wood_under(job, site), post.plate_thickness_mm)
    item = _anchor_item(job, length)
    head = post.plate_thickness_mm + job.system.anchor.washer_thickness_mm
    for n, (x, y) in enumerate(_pattern(half, half), 1):
        spot = Frame(plate.point((x, y, head)), plate.x, plate.y, plate.z)
        yield _Piece("A", "anchor", item, bolt, spot, f"-{n}")


def _tilted(site: PostSite) -> Frame:
    """On the floor, x along the leg in the floor's slope, z square to the floor."""
    if not site.floor_slope:
        return upright(site.base, site.bearing_deg)
    pitch = math.degrees(math.atan(site.floor_slope))
    flat = lengthwise(site.base, site.bearing_deg, pitch)
    return Frame(site.base, flat.z, flat.x, flat.y)


def _plate(job: Job) -> Prism:
    post = job.system.post
    half, bore = post.bolt_spacing_mm / 2, post.bolt_hole_mm
    holes = tuple(
        Hole("z", y, x, bore, bore, post.plate_thickness_mm) for x, y in _pattern(half, half)
    )
    section = Section(Rectangle(post.plate_mm, post.plate_mm))
    return Prism(section, EndPlane(0.0), EndPlane(post.plate_thickness_mm), holes)


def _pattern(x: float, y: float) -> tuple[tuple[float, float], ...]:
    return ((-x, -y), (x, -y), (x, y), (-x, y))


def _side_base(job: Job, site: PostSite, line: PathLeg) -> Iterator[_Piece]:
    """A plate on the fascia or stringer, a stand-off to the post, and bolts beside the post."""
    post = job.system.post
    inward = scale(left_of(line.bearing_deg), line.side)
    # The post's near face is half its depth toward the deck, or its corner where it is turned; the
    # plate lies on the fascia.
    spin = site.bearing_deg - line.bearing_deg
    reach = (post.depth_mm * abs(cosd(spin)) + post.width_mm * abs(sind(spin))) / 2
    near = along(site.base, inward, reach)
    gap = post.standoff_mm - post.side_plate_thickness_mm - (reach - post.depth_mm / 2)
    middle = along(near, inward, gap + post.side_plate_thickness_mm / 2)
    shape = _side_plate(job)
    place = upright(middle, line.bearing_deg)
    yield _Piece("SP", "side-plate", f"side plate for {post.name}", shape, place)
    if gap > 1e-6:
        block = Prism(
            Section(Rectangle(post.width_mm, gap)),
            EndPlane(0.0),
            EndPlane(post.side_plate_height_mm),
        )
        spot = upright(along(near, inward, gap / 2), line.bearing_deg)
        yield _Piece("SO", "stand-off", f"stand-off for {post.name}", block, spot)
    bolt, length = bolt_shape(job, wood_mm(job, line), post.side_plate_thickness_mm)
    item = _anchor_item(job, length)
    reach = gap - job.system.anchor.washer_thickness_mm
    face = along(near, inward, reach)
    outward = scale(inward, -1.0)
    travel = heading(line.bearing_deg)
    for n, (x, z) in enumerate(_side_bolts(job), 1):
        spot = add(face, add(scale(travel, x), (0.0, 0.0, z)))
        yield _Piece("A", "anchor", item, bolt, _facing(spot, outward), f"-{n}")


def _side_plate(job: Job) -> Prism:
    post = job.system.post
    thickness = post.side_plate_thickness_mm
    holes = tuple(
        Hole("y+", z, x, post.bolt_hole_mm, post.bolt_hole_mm, thickness)
        for x, z in _side_bolts(job)
    )
    section = Section(Rectangle(post.side_plate_mm, thickness))
    return Prism(section, EndPlane(0.0), EndPlane(post.side_plate_height_mm), holes)


def _side_bolts(job: Job) -> tuple[tuple[float, float], ...]:
    """(along the leg, above the plate's lower edge) of the bolts: either side of the post."""
    post = job.system.post
    x = post.bolt_spacing_mm / 2
    middle, half = post.side_plate_height_mm / 2, post.side_bolt_spacing_mm / 2
    return tuple((a, middle + b) for a, b in _pattern(x, half))


def _facing(origin: Vec3, z: Vec3) -> Frame:
    """A frame whose z is level, as given, and whose y is up."""
    x = (z[1], -z[0], 0.0)
    return Frame(origin, scale(x, -1.0), (0.0, 0.0, 1.0), z)


def _anchor_item(job: Job, length_mm: float) -> str:
    return f"anchor {job.system.anchor.name}, {format_length_with_unit(length_mm, job.metric)} long"


def bolt_shape(job: Job, wood: float, plate: float) -> tuple[Turned, float]:
    """An anchor of the shortest length that reaches, head up, its underside at 0; and that length.

    It passes washer, plate and wood and, where it is a through bolt, washer and nut behind. A
    hexagon head is drawn as the circle across its corners.
    """
    anchor = job.system.anchor
    length = bolt_length_mm(job, wood, plate)
    steps = (
        Step(-length, 0.0, anchor.diameter_mm),
        Step(0.0, anchor.head_height_mm, 2 * anchor.head_flats_mm / _SQRT3),
    )
    return Turned(steps), length


def _wood_under(job: Job, site: PostSite) -> float:
    """Tread or decking, and the flat block below; a lag screw goes into joists or deep blocks."""
    joists = job.structure.joists if job.structure else None
    anchor = job.system.anchor
    if site.tread is not None:
        stairs = [item for run in job.runs for item in run.legs if isinstance(item, Stair)]
        block = tread_block(job, 0.0)[0] if job.structure else BLOCKING_MM
        return max((stair.tread_thickness_mm for stair in stairs), default=0.0) + block
    if joists and anchor.style == "lag":
        return decking_mm(job) + min(joists.depth_mm, _PENETRATION * anchor.diameter_mm)
    return decking_mm(job) + (joists.width_mm if joists else BLOCKING_MM)


def decking_mm(job: Job) -> float:
    """Thickness of the decking; a 1 in board where the spec gives no structure."""
    return job.structure.decking_mm if job.structure else 25.4
