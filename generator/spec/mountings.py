"""Checks of how posts are held, of slopes, and of posts that stand there already."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from generator.catalog.fit import unmountable
from generator.catalog.tables import Post
from generator.frozen import dataclass
from generator.spec.flights import flight_paths
from generator.spec.leg_models import FixedSpec, LevelSpec, SlopeSpec
from generator.spec.models import GuardSpec, StructureSpec
from generator.spec.part import Part
from generator.spec.plain import Plain
from generator.textfile import Place


def mounting_problems(source: Plain) -> None:
    """Note what is wrong with mountings, slopes and fixed posts, whatever the post is."""
    for path, mount in _mounts(source):
        if mount == "core" and source.at(("structure", "concrete")) is not True:
            accepted = "deck or fascia, or structure.concrete: true: the hole is cored in concrete"
            source.refuse(path, accepted)
    snap: Place = ("guard", "snap_to_joists")
    if (source.length(snap, GuardSpec) or 0) > 0 and not source.has(("structure", "joists")):
        source.refuse(snap, "none, or structure.joists to snap to")
    for leg in _edges(source):
        _slope(source, leg)
        _fixed_posts(source, leg)


def held_problems(source: Plain, post: Post) -> None:
    """Note the mountings that the post of the job is not made for."""
    for path, mount in _mounts(source):
        other = "tread" if mount == "stringer" else "deck"
        for read, accepted in unmountable(post, "fascia" if mount == "stringer" else mount):
            source.refuse(path, f"{other}, or {accepted}", f"{mount}, for {read}")
    cored = any(mount == "core" for _, mount in _mounts(source))
    if cored and source.at(("structure", "concrete")) is True:
        _slab(source, post)


def _slab(source: Plain, post: Post) -> None:
    """A cored hole ends within the slab, whose thickness only the spec can tell."""
    path: Place = ("structure", "decking")
    deep = f"{post.core_depth_mm:g} mm, the core_depth of {post.name}"
    accepted = f"the thickness of the slab, more than {deep}"
    thickness = source.length(path, StructureSpec)
    if not source.has(path):
        source.missing(path, accepted)
    elif thickness is not None and thickness <= post.core_depth_mm:
        source.refuse(path, accepted)


def _mounts(source: Plain) -> Iterator[tuple[Place, str]]:
    """Every mounting that the spec names, by its word there."""
    paths: list[Place] = [("guard", "mount")]
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        paths += [(*legs, index, "mount") for index, _ in enumerate(source.items(legs))]
    paths += [(*flight, "posts") for flight in flight_paths(source)]
    for path in paths:
        mount = source.at(path)
        if isinstance(mount, str):
            yield path, mount


@dataclass(frozen=True, slots=True)
class _Edge:
    """A level leg or a ramp: where it stands, and where its length and its rise or fall do."""

    path: Place
    length: Place
    drop: Place
    model: type[Part]


def _edges(source: Plain) -> Iterator[_Edge]:
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        for index, kind in enumerate(source.kinds(legs)):
            leg: Place = (*legs, index)
            if kind == "level":
                yield _Edge(leg, (*leg, "level"), (*leg, "fall"), LevelSpec)
            elif kind == "ramp":
                ramp: Place = (*leg, "ramp")
                yield _Edge(leg, (*ramp, "length"), (*ramp, "rise"), SlopeSpec)


def _slope(source: Plain, edge: _Edge) -> None:
    length, drop = (source.length(path, edge.model) for path in (edge.length, edge.drop))
    if length is not None and drop is not None and 0 < length < abs(drop):
        source.refuse(edge.drop, "at most the length: what is steeper than 45 degrees is a stair")


def _fixed_posts(source: Plain, edge: _Edge) -> None:
    """Fixed posts stand on their leg, and no two in one place."""
    length = source.length(edge.length, edge.model)
    standing: list[tuple[float, float, int]] = []
    for index, _ in enumerate(source.items((*edge.path, "fixed"))):
        post: Place = (*edge.path, "fixed", index)
        at = source.length((*post, "at"), FixedSpec)
        width = source.length((*post, "width"), FixedSpec)
        if at is None:
            continue
        if length is not None and 0 < length < at:
            source.refuse((*post, "at"), "at most the length of the leg")
        standing.append((at, width or 0.0, index))
    standing.sort()
    for before, (at, width, index) in pairwise(standing):
        if at - before[0] < (before[1] + width) / 2:
            accepted = f"a place clear of fixed[{before[2]}], a post of the same leg"
            source.refuse((*edge.path, "fixed", index, "at"), accepted)
