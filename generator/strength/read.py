"""Reads from the parts what each post carries: where cables pull at it, and how it stands.

Two posts that carry alike give equal cases, so that each is worked out once.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise
from typing import Literal

from generator.frozen import dataclass
from generator.geometry import Vec3, distance, dot, heading, sub, unit
from generator.parts.assembly import Assembly, CableDetail, LegLine, Part, PostDetail, detail_of
from generator.parts.shapes import Hole, Prism, Route, Section, Turned
from generator.spec.job import Stair

Mount = Literal["deck", "fascia", "core"]
_DIGITS = 6
# Pulls whose directions differ by less than this (cross product) are in line.
_IN_LINE = 1e-6
# A pull of less than this share of the tension is none.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Pulls:
    """The cables of one leg at a post, from the bottom up.

    `way` is the leg's direction in the post's frame; `shares` are the level parts of each cable's
    tension along it, signed; `rises` the upward parts; `heights_mm` are above the post's root.
    `rail_mm` is how far the rail runs to the leg's other end post.
    """

    way: tuple[float, float]
    heights_mm: tuple[float, ...]
    shares: tuple[float, ...]
    rises: tuple[float, ...]
    rail_mm: float


@dataclass(frozen=True, slots=True)
class PostCase:
    """What one post is and carries; heights are above its root, where the tube is held.

    `top_mm` is the rail's top, `rail_mm` its axis, `fixing_mm` how far below the root the moment
    on the anchors is taken. `reach_mm` is the stretch of rail that it carries; `posts` how many
    posts its leg has, of the leg with fewest. `anchor_mm` is the length of its anchors under the
    head, 0 where it has none; `cover_mm` lies over the framing: decking, tread or fascia.
    `grain_deg` is the direction of the blocks that all of them enter, from x of the post; None
    where some enter another board, or what they enter is not told.
    """

    role: str
    place: str
    mount: Mount
    section: Section
    holes: tuple[Hole, ...]
    root_mm: float
    top_mm: float
    rail_mm: float
    fixing_mm: float
    reach_mm: float
    posts: int
    anchor_mm: float
    cover_mm: float
    grain_deg: float | None
    pulls: tuple[Pulls, ...]


@dataclass(frozen=True, slots=True)
class PanelCase:
    """Cables that are held at the same two posts: heights above the roots, free lengths.

    `span_mm` is the longest free stretch between what holds them apart; `ends` the cases of the two
    end posts, None for one that stands there already; `turn_rad` all turns of a cable; `room_mm`
    how far a sleeve may move before it meets its post.
    """

    heights_mm: tuple[tuple[float, ...], tuple[float, ...]]
    lengths_mm: tuple[float, ...]
    ends: tuple[PostCase | None, PostCase | None]
    rail_mm: float
    span_mm: float
    spacing_mm: float
    turn_rad: float
    room_mm: float


class Reading:
    """The posts and panels of a job; nothing is worked out twice."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self.job = assembly.job
        self._marks = assembly.by_mark
        self._met: dict[str, tuple[tuple[str, Vec3, float], ...]] = {}
        self._legs: dict[str, list[LegLine]] = defaultdict(list)
        for leg in assembly.legs:
            for mark in leg.posts:
                self._legs[mark].append(leg)

    @cached_property
    def posts(self) -> dict[str, PostCase]:
        """Case of every post that is set, by its mark; posts that stand there already are not.

        Equal cases are one object.
        """
        pulls: dict[str, list[tuple[Vec3, float]]] = defaultdict(list)
        for cable in self.assembly.of_kind("cable"):
            for mark, direction, z in self._ends_and_bends(cable):
                pulls[mark].append((direction, z))
        found: dict[str, PostCase] = {}
        alike: dict[PostCase, PostCase] = {}
        for part in self.assembly.of_kind("post"):
            if detail_of(part, PostDetail).mount != "existing":
                case = self._case(part, pulls[part.mark])
                found[part.mark] = alike.setdefault(case, case)
        return found

    def _ends_and_bends(self, cable: Part) -> tuple[tuple[str, Vec3, float], ...]:
        """(post, direction in which the cable pulls at it, world z on its axis)."""
        if cable.mark not in self._met:
            self._met[cable.mark] = tuple(self._meeting(cable))
        return self._met[cable.mark]

    def _meeting(self, cable: Part) -> Iterator[tuple[str, Vec3, float]]:
        shape = cable.shape
        assert isinstance(shape, Route)
        points = [cable.place.point(point) for point in shape.points]
        marks = detail_of(cable, CableDetail).posts
        for k, point in enumerate(points):
            mark = marks[0] if k == 0 else marks[-1]
            if 0 < k < len(points) - 1:
                mark = min(
                    marks, key=lambda m: math.dist(self._marks[m].place.origin[:2], point[:2])
                )
            axis = self._marks[mark].place.origin
            for other in (points[j] for j in (k - 1, k + 1) if 0 <= j < len(points)):
                direction = unit(sub(other, point))
                level = direction[0] ** 2 + direction[1] ** 2
                ahead = sum((axis[i] - point[i]) * direction[i] for i in (0, 1)) / level
                yield mark, direction, point[2] + ahead * direction[2]

    def _case(self, part: Part, pulls: list[tuple[Vec3, float]]) -> PostCase:
        detail, shape, system = detail_of(part, PostDetail), part.shape, self.job.system
        assert isinstance(shape, Prism)
        assert detail.mount != "existing"
        post = system.post
        lift = part.place.origin[2] - detail.base_z_mm
        root, fixing = {
            "deck": (0.0, lift),
            "fascia": (post.side_plate_height_mm, post.side_plate_height_mm / 2),
            "core": (post.core_depth_mm, 0.0),
        }[detail.mount]
        top = detail.height_mm - lift - root
        legs = self._legs[part.mark]
        return PostCase(
            role=detail.role,
            place="ramp" if any(leg.kind == "ramp" for leg in legs) else detail.place,
            mount=detail.mount,
            section=shape.section,
            holes=shape.holes,
            root_mm=_round(root),
            top_mm=_round(top),
            rail_mm=_round(top - system.rail.depth_mm / 2),
            fixing_mm=_round(fixing),
            reach_mm=_round(sum(self._reach(part, leg) for leg in legs)),
            posts=min((len(leg.posts) for leg in legs), default=1),
            anchor_mm=self._anchor_length(part),
            cover_mm=self._cover(detail),
            grain_deg=self._grain(part),
            pulls=self._grouped(part, pulls, part.place.origin[2] + root),
        )

    def _cover(self, detail: PostDetail) -> float:
        """What a post's anchors pass before they come to the framing, mm."""
        structure = self.job.structure
        if structure is None:
            return 0.0
        if detail.mount == "fascia":
            return structure.fascia_mm
        return self._tread_mm if detail.place == "tread" else structure.decking_mm

    @cached_property
    def _tread_mm(self) -> float:
        """The thickest tread of the job."""
        legs = (item for run in self.job.runs for item in run.legs)
        return max(item.tread_thickness_mm for item in legs if isinstance(item, Stair))

    @cached_property
    def _held_by(self) -> dict[str, tuple[list[Part], list[Part]]]:
        """(anchors, blocks) of each post; a block is marked like the post that it was laid for."""
        found: dict[str, tuple[list[Part], list[Part]]] = defaultdict(lambda: ([], []))
        for part in self.assembly.of_kind("anchor"):
            found[part.belongs_to][0].append(part)
        for part in self.assembly.of_kind("blocking"):
            found[f"P{part.mark.removeprefix('BL').split('-')[0]}"][1].append(part)
        return found

    def _anchor_length(self, post: Part) -> float:
        """Length under the head of a post's anchors, 0 where it has none."""
        lengths = [
            -min(step.start_mm for step in anchor.shape.steps)
            for anchor in self._held_by[post.mark][0]
            if isinstance(anchor.shape, Turned)
        ]
        return _round(max(lengths, default=0.0))

    def _grain(self, post: Part) -> float | None:
        """Direction of the wood that a post's anchors enter, if it is that of its own blocks."""
        anchors, blocks = self._held_by[post.mark]
        found: set[float] = set()
        deep = -self._anchor_length(post) / 2
        for anchor in anchors:
            middle = anchor.place.point((0.0, 0.0, deep))
            entered = [block for block in blocks if _stands_in(middle, block)]
            if not entered:
                return None
            for block in entered:
                x, y, _ = post.place.local_vector(block.place.z)
                found.add(round(math.degrees(math.atan2(y, x)) % 180.0, 3) % 180.0)
        return found.pop() if len(found) == 1 else None

    def _reach(self, part: Part, leg: LegLine) -> float:
        """Half of the bays beside a post in one leg."""
        n = leg.posts.index(part.mark)
        beside = [leg.posts[k] for k in (n - 1, n + 1) if 0 <= k < len(leg.posts)]
        return (
            sum(distance(part.place.origin, self._marks[mark].place.origin) for mark in beside) / 2
        )

    def _grouped(
        self, part: Part, pulls: list[tuple[Vec3, float]], root_z: float
    ) -> tuple[Pulls, ...]:
        """Pulls by leg; those in line with one another share a group and may cancel out."""
        groups: list[tuple[tuple[float, float], dict[float, list[float]]]] = []
        ways = [part.place.local_vector(heading(leg.bearing_deg)) for leg in self._legs[part.mark]]
        for direction, z in pulls:
            x, y, rise = part.place.local_vector(direction)
            for way, level, up in _resolved((x, y), rise, ways):
                found = next((g for g in groups if abs(_cross(g[0], way)) < _IN_LINE), None)
                if found is None:
                    found = (way, {})
                    groups.append(found)
                sign = 1.0 if found[0][0] * way[0] + found[0][1] * way[1] > 0 else -1.0
                entry = found[1].setdefault(_round(z - root_z), [0.0, 0.0])
                entry[0] += sign * level
                entry[1] += up
        made = (self._pulls(part, way, rows) for way, rows in groups)
        return tuple(one for one in made if one is not None)

    def _pulls(
        self, part: Part, way: tuple[float, float], rows: dict[float, list[float]]
    ) -> Pulls | None:
        heights = tuple(sorted(rows))
        shares = tuple(_round(rows[height][0]) for height in heights)
        if all(abs(share) < _NOTHING for share in shares):
            return None
        world = part.place.vector((way[0], way[1], 0.0))
        rails = [
            self._rail_length(leg)
            for leg in self._legs[part.mark]
            if abs(dot(heading(leg.bearing_deg), world)) > 1.0 - _IN_LINE and leg.rails
        ]
        rises = tuple(_round(rows[height][1]) for height in heights)
        return Pulls(way, heights, shares, rises, _round(max(rails, default=0.0)))

    def _rail_length(self, leg: LegLine) -> float:
        first, last = (self._marks[leg.posts[n]].place.origin for n in (0, -1))
        return distance(first, last)

    def panels(self) -> dict[tuple[str, ...], tuple[str, ...]]:
        """Marks of the cables held at the same posts, from the bottom up, by those posts."""
        found: dict[tuple[str, ...], list[Part]] = defaultdict(list)
        for cable in self.assembly.of_kind("cable"):
            found[detail_of(cable, CableDetail).posts].append(cable)
        return {
            posts: tuple(
                c.mark for c in sorted(cables, key=lambda c: detail_of(c, CableDetail).row)
            )
            for posts, cables in found.items()
        }

    def panel(self, posts: tuple[str, ...], cables: tuple[str, ...]) -> PanelCase:
        """The case of cables held at the same posts."""
        details = [detail_of(self._marks[mark], CableDetail) for mark in cables]
        ends = (self.posts.get(posts[0]), self.posts.get(posts[-1]))
        heights: list[list[float]] = [[], []]
        for mark in cables:
            met = self._ends_and_bends(self._marks[mark])
            for n, (post, _, z) in enumerate((met[0], met[-1])):
                root = ends[n].root_mm if ends[n] else 0.0  # type: ignore[union-attr]
                heights[n].append(_round(z - self._marks[post].place.origin[2] - root))
        return PanelCase(
            heights_mm=(tuple(heights[0]), tuple(heights[1])),
            lengths_mm=tuple(_round(one.finished_mm) for one in details),
            ends=ends,
            rail_mm=_round(
                distance(self._marks[posts[0]].place.origin, self._marks[posts[-1]].place.origin)
            ),
            span_mm=_round(self._longest_span(posts)),
            spacing_mm=_round(max((b - a for a, b in pairwise(heights[0])), default=0.0)),
            turn_rad=_round(math.radians(max(one.turn_deg for one in details))),
            room_mm=_round(min(self._room(one) for one in details)),
        )

    def _room(self, cable: CableDetail) -> float:
        """From a sleeve's stud end to the inner face of its post, the mean of both ends."""
        fitting = self.job.system.fitting
        setback = (cable.support_length_mm - cable.finished_mm) / 2
        return setback + fitting.bore_mm - fitting.sleeve_length_mm

    def _longest_span(self, posts: tuple[str, ...]) -> float:
        """Between posts and spacers, centre to centre, along the legs that the cables pass."""
        longest = 0.0
        for leg in {id(leg): leg for mark in posts for leg in self._legs[mark]}.values():
            held = [mark for mark in leg.posts if mark in posts]
            if len(held) < 2:
                continue
            travel = heading(leg.bearing_deg)
            lean = math.cos(math.radians(leg.pitch_deg))
            at = sorted(
                dot(sub(self._marks[mark].place.origin, leg.edge_start), travel)
                for mark in (*held, *leg.spacers)
            )
            longest = max(longest, *((b - a) / lean for a, b in pairwise(at)))
        return longest


def _stands_in(point: Vec3, block: Part) -> bool:
    """Whether a point lies over or under a block: z along it, x across."""
    shape = block.shape
    assert isinstance(shape, Prism)
    x, _, z = block.place.local(point)
    half = max(abs(corner[0]) for corner in shape.section.outer.corners)
    return abs(x) <= half + 1e-6 and shape.start.z_mm <= z <= shape.end.z_mm


def _resolved(
    pull: tuple[float, float], rise: float, legs: list[Vec3]
) -> Iterator[tuple[tuple[float, float], float, float]]:
    """(direction, level part, upward part) of a pull along a leg of its post.

    One between two posts of a corner goes along no leg: its parts along and across the post count.
    """
    x, y = pull
    level = math.hypot(x, y)
    way = (_round(x / level), _round(y / level))
    if any(abs(_cross(way, (leg[0], leg[1]))) < 1e-5 for leg in legs):
        yield way, level, rise
        return
    yield (1.0, 0.0), x, rise
    yield (0.0, 1.0), y, 0.0


def _cross(a: tuple[float, float], b: tuple[float, float]) -> float:
    return a[0] * b[1] - a[1] * b[0]


def _round(value: float) -> float:
    """Equal up to rounding noise."""
    return round(value, _DIGITS) + 0.0
