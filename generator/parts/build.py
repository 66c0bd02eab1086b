"""The straight line from a `Layout` to its `Assembly`: every part with a mark and a place."""

from __future__ import annotations

from collections.abc import Iterable

from generator.layout.model import Layout, LegLayout
from generator.parts.assembly import Assembly, Consumable, LegLine, Part, RailDetail
from generator.parts.cables import CableBuilder
from generator.parts.posts import PostBuilder
from generator.parts.rails import RailBuilder, SpacerBuilder
from generator.parts.reference import ReferenceBuilder
from generator.spec.job import Job, Side


def assemble(layout: Layout) -> Assembly:
    """All parts of the job in a fixed order: posts, then leg by leg what hangs on them."""
    job = layout.job
    builders = _Builders(
        PostBuilder(job),
        RailBuilder(job),
        SpacerBuilder(job),
        CableBuilder(job, layout.posts),
        ReferenceBuilder(job),
    )
    parts: list[Part] = []
    legs: list[LegLine] = []
    for run in layout.runs:
        for k, leg in enumerate(run.legs):
            own = leg.posts[1:] if k and leg.posts[0] == run.legs[k - 1].posts[-1] else leg.posts
            for index in own:
                ends_here = [other for other in run.legs[k : k + 2] if index in other.posts]
                parts.extend(builders.posts.parts(layout.posts[index], ends_here))
        surfaces = list(builders.reference.parts(run))
        for leg in run.legs:
            made = [
                *builders.rails.parts(leg),
                *builders.spacers.parts(leg),
                *builders.cables.parts(leg),
            ]
            own = [part for part in surfaces if part.leg == leg.line.number]
            parts.extend(made)
            parts.extend(own)
            legs.append(_leg_line(leg, run.run.deck, made, own))
    return Assembly(job, tuple(parts), tuple(legs), _consumables(job, parts))


class _Builders:
    """One builder a kind of part; each numbers its parts through the job."""

    def __init__(
        self,
        posts: PostBuilder,
        rails: RailBuilder,
        spacers: SpacerBuilder,
        cables: CableBuilder,
        reference: ReferenceBuilder,
    ) -> None:
        self.posts = posts
        self.rails = rails
        self.spacers = spacers
        self.cables = cables
        self.reference = reference


def _leg_line(leg: LegLayout, deck: Side, made: list[Part], surfaces: list[Part]) -> LegLine:
    line = leg.line
    return LegLine(
        run=line.run,
        number=line.number,
        kind=line.kind,
        path=line.path,
        deck=deck,
        bearing_deg=line.bearing_deg,
        pitch_deg=line.pitch_deg,
        edge_start=line.edge(0.0),
        edge_end=line.edge(line.length_mm),
        guard_start=line.guard(leg.stations_mm[0]),
        guard_end=line.guard(leg.stations_mm[-1]),
        start_joint=leg.start_joint,
        end_joint=leg.end_joint,
        posts=tuple(f"P{index + 1}" for index in leg.posts),
        rails=_marks(made, "rail"),
        cables=_marks(made, "cable"),
        spacers=_marks(made, "spacer"),
        surfaces=tuple(part.mark for part in surfaces),
    )


def _marks(parts: Iterable[Part], kind: str) -> tuple[str, ...]:
    return tuple(part.mark for part in parts if part.kind == kind)


def _consumables(job: Job, parts: list[Part]) -> tuple[Consumable, ...]:
    """What is counted and not placed: screws, what closes a bolt below, sleeves and caps."""
    counts = {kind: sum(1 for part in parts if part.kind == kind) for kind in ("bracket", "anchor")}
    bracket, anchor, rail = job.system.bracket, job.system.anchor, job.system.rail.name
    found = [
        Consumable(
            f"screw {bracket.screw}",
            f"bracket to post and rail, {bracket.screws} a bracket",
            bracket.screws * counts["bracket"],
        )
    ]
    below = anchor.style == "through-bolt"
    washers = (2 if below else 1) * counts["anchor"]
    found.append(Consumable(f"washer for {anchor.name}", "under head and nut", washers))
    if below:
        found.append(Consumable(f"nut for {anchor.name}", "below the blocking", counts["anchor"]))
    rails = [part.detail for part in parts if isinstance(part.detail, RailDetail)]
    ends = [on for detail in rails for on in (detail.start_on, detail.end_on)]
    joints, miters, drops = (ends.count(on) for on in ("joint on post", "miter", "plumb drop"))
    caps = len(ends) - joints - miters - drops
    found += [
        Consumable(f"splice sleeve for {rail}", "inside a square joint on a post", joints // 2),
        Consumable(f"corner connector for {rail}", "inside a mitered joint", miters // 2),
        Consumable(f"connector for {rail} at a plumb drop", "rail over the nosing", drops // 2),
        Consumable(f"end cap for {rail}", "closes a rail end", caps),
    ]
    return tuple(item for item in found if item.count)
