"""`clash.cable-post`: holes that run out of a post, and cables that miss their holes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from generator.checks.corners import as_pair, shared_posts
from generator.checks.outcome import Bound, Outcome, fine
from generator.geometry import Vec3, dot, sub
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    LegLine,
    Part,
    PostDetail,
    detail_of,
)
from generator.parts.report import Edit
from generator.parts.shapes import Hole, Prism, Route
from generator.spec.job import Job

_EPS_MM = 1e-6


def check_holes(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the hole of each post that runs out of it, and the worst cable off its hole."""
    yield from _run_out(assembly)
    yield from _off_centre(assembly)


def _run_out(assembly: Assembly) -> Iterator[Outcome]:
    seen: dict[Prism, float] = {}
    shared = shared_posts(assembly)
    for post in assembly.of_kind("post"):
        shape = post.shape
        assert isinstance(shape, Prism)
        if shape not in seen:
            seen[shape] = min((_metal_left(shape, hole) for hole in shape.holes), default=math.inf)
        if seen[shape] >= -_EPS_MM:
            continue
        yield Outcome(
            "clash.cable-post",
            (post.mark,),
            seen[shape],
            Bound(0.0, "at least", "mm", "holes lie within the post", "geometry", True),
            f"a hole runs out of {post.mark} by {fine(assembly.job, -seen[shape])}",
            "two posts at the corner (corner: pair), fewer rows, or a raked post top",
            _room(assembly.job, shared.get(post.mark)),
        )


def _room(job: Job, after: LegLine | None) -> tuple[Edit, ...]:
    """What leaves metal about the holes: a raked top, or two posts where two legs share one."""
    if job.guard.post_top == "square":
        return (Edit("guard.post_top", "raked"),)
    return as_pair(job, after) if after else ()


def _metal_left(shape: Prism, hole: Hole) -> float:
    """From a hole's edge to the nearer end of the tube, along the wall that it is in."""
    outline = shape.section.outer
    half_x = max(x for x, _ in outline.corners)
    half_y = max(y for _, y in outline.corners)
    sides: dict[str, tuple[float, float]] = {
        "x-": (-half_x, hole.across_mm),
        "x+": (half_x, hole.across_mm),
        "y-": (hole.across_mm, -half_y),
        "y+": (hole.across_mm, half_y),
    }
    x, y = sides[hole.face]
    above = shape.end.at(x, y) - (hole.along_mm + hole.height_mm / 2)
    below = hole.along_mm - hole.height_mm / 2 - shape.start.at(x, y)
    return min(above, below)


def _off_centre(assembly: Assembly) -> Iterator[Outcome]:
    """A cable that does not go through the middle of a hole drilled for it."""
    drilled = _Drilled()
    for part in assembly.of_kind("cable"):
        detail, route = detail_of(part, CableDetail), part.shape
        assert isinstance(route, Route)
        points = [part.place.point(point) for point in route.points]
        for mark in detail.posts[1:-1]:
            centres = drilled.centres(part, detail, assembly.by_mark[mark])
            away = max((_to_polyline(centre, points) for centre in centres), default=0.0)
            if away > _EPS_MM:
                yield Outcome(
                    "clash.cable-post",
                    (part.mark, mark),
                    -away,
                    Bound(0.0, "at least", "mm", "cables pass their holes", "geometry", True),
                    f"{part.mark} misses the middle of its hole in {mark} by "
                    f"{fine(assembly.job, away)}",
                    "drill the post where the cable crosses it",
                )


class _Drilled:
    """Holes of posts by the cable that they are for; posts that are drilled alike share them."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, int], dict[tuple[str, int], list[tuple[int, Vec3]]]] = {}

    def centres(self, cable: Part, detail: CableDetail, post: Part) -> Iterator[Vec3]:
        """World centres of the holes of a post that a cable passes on its legs."""
        drilling, shape = detail_of(post, PostDetail).drilling, post.shape
        key = (id(drilling), id(shape))
        rows = self._known.get(key)
        if rows is None:
            assert isinstance(shape, Prism)
            rows = self._known[key] = {}
            for hole in drilling:
                found = rows.setdefault((hole.run, hole.row), [])
                found += [(hole.leg, _centre(shape, shape.holes[wall])) for wall in hole.walls]
        for leg, centre in rows.get((cable.run, detail.row), ()):
            if leg in detail.legs:
                yield post.place.point(centre)


def _centre(shape: Prism, hole: Hole) -> Vec3:
    """The middle of a hole, half its depth inside its face."""
    outline = shape.section.outer
    half_x = max(x for x, _ in outline.corners) - hole.depth_mm / 2
    half_y = max(y for _, y in outline.corners) - hole.depth_mm / 2
    across = hole.across_mm + hole.lean[0] * hole.depth_mm / 2
    along = hole.along_mm + hole.lean[1] * hole.depth_mm / 2
    if hole.face in ("x-", "x+"):
        return (-half_x if hole.face == "x-" else half_x, across, along)
    return (across, -half_y if hole.face == "y-" else half_y, along)


def _to_polyline(point: Vec3, points: list[Vec3]) -> float:
    return min(_to_segment(point, a, b) for a, b in pairwise(points))


def _to_segment(p: Vec3, a: Vec3, b: Vec3) -> float:
    way, off = sub(b, a), sub(p, a)
    t = min(max(dot(off, way) / dot(way, way), 0.0), 1.0)
    return math.dist(off, (way[0] * t, way[1] * t, way[2] * t))
