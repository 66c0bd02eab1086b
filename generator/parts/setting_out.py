"""Posts and blocks as a tape finds them: running from one end of the measured edge, off the edge,
and by height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.frozen import dataclass
from generator.geometry import Vec3, dot, heading, left_of, sub
from generator.parts.assembly import Assembly, LegLine, Part, PostDetail
from generator.parts.shapes import Prism, Section


@dataclass(frozen=True, slots=True)
class PostSpot:
    """Where a post stands, mm. `station` runs level along the edge from the leg's start, to the
    post's centre; `offset` is from the edge to the centre, positive toward the walking surface.

    `level` is the underside of the base over the walking surface at the leg's start; `rail_top`,
    `string_low` and `string_high` are heights of the rail's top and of the lowest and highest
    cable's axis over the walking surface at the post. `on` says what it stands on.
    """

    mark: str
    station_mm: float
    offset_mm: float
    level_mm: float
    rail_top_mm: float
    string_low_mm: float | None
    string_high_mm: float | None
    tread: int | None
    setback_mm: float | None
    existing: bool
    on: str


@dataclass(frozen=True, slots=True)
class BlockSpot:
    """Where a block lies, mm: both ends along and off the edge, its top below the walking surface.

    `across` and `plumb` are its sizes level and plumb as it lies.
    """

    mark: str
    post: str
    item: str
    length_mm: float
    station_mm: tuple[float, float]
    offset_mm: tuple[float, float]
    below_mm: float


def post_spots(assembly: Assembly, leg: LegLine) -> tuple[PostSpot, ...]:
    """The posts of a leg in order of travel.

    Raises:
        KeyError: the leg names a mark that the table does not hold.
    """
    return tuple(_spot(leg, assembly.by_mark[mark]) for mark in leg.posts)


def _spot(leg: LegLine, post: Part) -> PostSpot:
    detail = post.detail
    if not isinstance(detail, PostDetail):
        raise TypeError(f"{post.mark} is no post")
    station, offset = _off_edge(leg, post.place.origin)
    holes = [
        detail.base_z_mm + hole.axis_z_mm - detail.floor_z_mm
        for hole in detail.drilling
        if hole.leg == leg.number and hole.run in ("", leg.run)
    ]
    return PostSpot(
        mark=post.mark,
        station_mm=station,
        offset_mm=offset,
        level_mm=detail.base_z_mm - leg.edge_start[2],
        rail_top_mm=detail.base_z_mm + detail.height_mm - detail.floor_z_mm,
        string_low_mm=min(holes, default=None),
        string_high_mm=max(holes, default=None),
        tread=detail.tread,
        setback_mm=detail.setback_mm,
        existing=detail.mount == "existing",
        on=_on(detail),
    )


def _on(detail: PostDetail) -> str:
    if detail.mount == "existing":
        return "stands there"
    if detail.mount == "core":
        return "in a core"
    if detail.mount == "fascia":
        return "at the fascia" if detail.tread is None else f"at the stringer, tread {detail.tread}"
    if detail.tread is not None:
        return f"tread {detail.tread}"
    return "lower floor" if detail.place == "lower-floor" else "deck"


def _off_edge(leg: LegLine, point: Vec3) -> tuple[float, float]:
    """(station, offset) of a point: level along the edge, and toward the walking surface."""
    way = sub(point, leg.edge_start)
    sign = 1.0 if leg.deck == "left" else -1.0
    return (
        dot(way, heading(leg.bearing_deg)) + 0.0,
        dot(way, left_of(leg.bearing_deg)) * sign + 0.0,
    )


def start_words(leg: LegLine) -> str:
    """What the running dimensions of a leg begin at."""
    if leg.kind == "stair" and leg.pitch_deg < 0:
        return "the nosing of the upper floor"
    if leg.kind == "stair":
        return "the foot of the stair, under its lowest nosing"
    return {
        "wall": "the face of the wall",
        "opening": "the end of the deck edge at the opening",
        "free": "the end of the deck edge",
        "shared": "the corner of the deck edge",
    }.get(leg.start_joint, "the corner of the deck edge")


def block_spots(assembly: Assembly) -> Iterator[tuple[LegLine, BlockSpot]]:
    """Every block with the leg of its post, in the order of the table."""
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    posts = {part.mark for part in assembly.of_kind("post")}
    for part in assembly.of_kind("blocking"):
        shape = part.shape
        if not isinstance(shape, Prism):
            raise TypeError(f"{part.mark} is no straight piece")
        leg = legs[part.run, part.leg]
        ends = [part.place.point((0.0, 0.0, cut.z_mm)) for cut in (shape.start, shape.end)]
        found = sorted(_off_edge(leg, end) for end in ends)
        # A block is marked after its post: BL4-2 is the second one under P4.
        post = f"P{part.mark[2:].split('-')[0]}"
        yield (
            leg,
            BlockSpot(
                mark=part.mark,
                post=post if post in posts else "",
                item=part.item.removeprefix("blocking "),
                length_mm=shape.end.z_mm - shape.start.z_mm,
                station_mm=(found[0][0], found[1][0]),
                offset_mm=(found[0][1], found[1][1]),
                below_mm=leg.edge_start[2] - _top(part, shape.section, ends),
            ),
        )


def _top(part: Part, section: Section, ends: list[Vec3]) -> float:
    """Height of the upper face at the higher end."""
    x, y = part.place.x[2], part.place.y[2]
    half = max(abs(a * x + b * y) for a, b in section.outer.corners)
    return max(end[2] for end in ends) + half


def guard_length_mm(assembly: Assembly) -> float:
    """Length of the guard for a price by length: every leg along its edge and its pitch.

    Openings are no legs and do not count.
    """
    return sum(
        math.hypot(
            math.dist(leg.edge_start[:2], leg.edge_end[:2]),
            leg.edge_end[2] - leg.edge_start[2],
        )
        for leg in assembly.legs
    )
