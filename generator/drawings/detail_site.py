"""Where a detail is taken: the post it shows, what lies around it, and the posts that are alike."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

from generator.drawings.draft import Draft
from generator.drawings.lettering import wrap
from generator.drawings.project import Plane
from generator.drawings.symbols import title
from generator.drawings.tape import Tape, tape
from generator.drawings.view import Scale, View
from generator.frozen import dataclass
from generator.geometry import UP, Vec3, along, dot, scale, sub
from generator.parts.assembly import Assembly, Kind, LegLine, Part, PostDetail, detail_of
from generator.parts.shapes import Prism
from generator.units import format_length

# What a guard stands on and in, in the order in which details draw it.
GROUND: tuple[Kind, ...] = (
    "deck",
    "tread",
    "floor",
    "riser",
    "rim",
    "blocking",
    "joist",
    "stringer",
    "wall",
)
_NOTES = 120.0  # plotted mm that lines of notes take


@dataclass(frozen=True, slots=True)
class Detail:
    """One detail and the scale that its lettering is made for."""

    view: View
    scale: Scale


@dataclass(frozen=True)
class Site:
    """A post of one leg, and planes through its axis measured from the edge and the floor."""

    assembly: Assembly
    leg: LegLine
    post: Part

    @cached_property
    def tape(self) -> Tape:
        return tape(self.assembly, self.leg)

    @property
    def detail(self) -> PostDetail:
        return detail_of(self.post, PostDetail)

    @cached_property
    def station(self) -> float:
        return dot(sub(self.post.place.origin, self.leg.edge_start), self.tape.travel)

    @cached_property
    def floor(self) -> float:
        """World height of the walking surface, or on a stair of the post's tread."""
        if self.detail.mount == "core":
            return self.detail.base_z_mm + self.assembly.job.system.post.core_depth_mm
        if self.detail.mount == "fascia":
            return self.leg.edge_start[2] + self.tape.slope * self.station
        return self.detail.base_z_mm

    @property
    def edge(self) -> Vec3:
        """The point of the measured edge square to the post, at the floor."""
        x, y, _ = along(self.leg.edge_start, self.tape.travel, self.station)
        return (x, y, self.floor)

    @property
    def across(self) -> Plane:
        """Square to the edge: x inward from the edge, y up from the floor."""
        return Plane(self.edge, self.tape.inward, UP)

    @property
    def sense(self) -> float:
        """1 where the travel runs to the right for an eye outside the edge."""
        return 1.0 if self.leg.deck == "left" else -1.0

    @property
    def from_above(self) -> Plane:
        """Level: x along the leg from the post's axis, y inward from the edge."""
        return Plane(self.edge, scale(self.tape.travel, self.sense), self.tape.inward)

    @property
    def lengthwise(self) -> Plane:
        """Through the axis along the leg, seen from outside: x from the axis, y from the floor."""
        x, y, _ = self.post.place.origin
        return Plane((x, y, self.floor), scale(self.tape.travel, self.sense), UP)

    @property
    def axis(self) -> float:
        """The axis over the edge, inward, mm."""
        return dot(sub(self.post.place.origin, self.edge), self.tape.inward)

    def fixed(self, *kinds: Kind) -> tuple[Part, ...]:
        """What is fixed on the post."""
        return tuple(
            part
            for part in self.assembly.of_kind(*kinds)
            if part.belongs_to == self.post.mark and part is not self.post
        )

    def length(self, mm: float) -> str:
        return length(self.assembly, mm)

    def fine(self, mm: float) -> str:
        return fine(self.assembly, mm)


def length(assembly: Assembly, mm: float) -> str:
    """Shop text with the unit."""
    metric = assembly.job.metric
    return format_length(mm, metric) + (" mm" if metric else "")


def fine(assembly: Assembly, mm: float) -> str:
    """The same to 1/64 in: diameters of holes and bolts."""
    metric = assembly.job.metric
    return format_length(mm, metric, 64) + (" mm" if metric else "")


def post_words(site: Site) -> str:
    """What a post is cut from, or that it stands there already."""
    tube = tube_text(site.assembly, site.post)
    if site.detail.mount == "existing":
        return f"{site.post.item.upper()}, {tube}"
    return f"POST {site.assembly.job.system.post.name.upper()}, TUBE {tube}"


def sites(assembly: Assembly) -> Iterator[Site]:
    """Every post once, with the leg that it stands on: of one on a tread the stair."""
    legs: dict[str, list[LegLine]] = {}
    for leg in assembly.legs:
        for mark in leg.posts:
            legs.setdefault(mark, []).append(leg)
    for mark, own in legs.items():
        post = assembly.by_mark[mark]
        on_tread = detail_of(post, PostDetail).tread is not None
        stairs = [leg for leg in own if leg.kind == "stair"]
        level = [leg for leg in own if leg.kind != "stair"]
        pick = (stairs or level) if on_tread else (level or stairs)
        yield Site(assembly, pick[0], post)


def marks_text(marks: Iterable[str]) -> str:
    """Marks in the order of their numbers, neighbours in line as P3 TO P7."""
    ordered = sorted(set(marks), key=lambda mark: (mark.rstrip("0123456789"), _number(mark)))
    groups: list[list[str]] = []
    for mark in ordered:
        if groups and _number(mark) == _number(groups[-1][-1]) + 1:
            groups[-1].append(mark)
        else:
            groups.append([mark])
    words = []
    for group in groups:
        words += [f"{group[0]} TO {group[-1]}"] if len(group) > 2 else group
    return ", ".join(words)


def _number(mark: str) -> int:
    digits = "".join(c for c in mark if c.isdigit())
    return int(digits) if digits else 0


def finished(draft: Draft, name: str, heading: str, notes: Sequence[str]) -> View:
    """The view under its title, notes wrapped to the width of a detail."""
    room = draft.scale.plotted(_NOTES)
    lines = [line for note in notes for line in wrap(note, draft.scale.small, room)]
    title(draft, heading, lines)
    draft.break_around_text()
    return draft.view(name, heading)


def tube_text(assembly: Assembly, part: Part) -> str:
    """Measures of a tube or bar as it is cut: 2 1/2" x 2 1/2" x 3/16"."""
    prism = part.shape
    assert isinstance(prism, Prism)
    outer, inner = prism.section.outer, prism.section.inner
    width, depth = _extents(outer.corners)
    sizes = [width, depth]
    if inner is not None:
        sizes.append((width - _extents(inner.corners)[0]) / 2)
    metric = assembly.job.metric
    return " x ".join(format_length(size, metric) for size in sizes) + (" mm" if metric else "")


def _extents(corners: Sequence[tuple[float, float]]) -> tuple[float, float]:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return max(xs) - min(xs), max(ys) - min(ys)


def thickness(part: Part) -> float:
    """Of a plate or board: between its two square ends."""
    prism = part.shape
    assert isinstance(prism, Prism)
    return prism.end.z_mm - prism.start.z_mm


def near(assembly: Assembly, point: Vec3, kinds: Iterable[Kind], reach_mm: float) -> list[Part]:
    """Parts of some kinds that come within a reach of a point, by boxes about them."""
    found = []
    for part in assembly.of_kind(*kinds):
        prism = part.shape
        if not isinstance(prism, Prism):
            continue
        local = part.place.local(point)
        corners = prism.section.outer.corners
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        zs = [cut.at(x, y) for cut in (prism.start, prism.end) for x, y in corners]
        away = [
            max(min(values) - value, value - max(values), 0.0)
            for values, value in zip((xs, ys, zs), local, strict=True)
        ]
        if math.hypot(*away) <= reach_mm:
            found.append(part)
    return found
