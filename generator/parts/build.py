"""The straight line from a `Layout` to its `Assembly`: every part with a mark and a place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from generator.layout.model import Layout, LegLayout, RunLayout
from generator.parts.assembly import Assembly, CableDetail, LegLine, Part
from generator.parts.blocking import BlockingBuilder
from generator.parts.cables import CableBuilder
from generator.parts.consumables import consumables
from generator.parts.handrails import HandrailBuilder
from generator.parts.obstacles import obstacle_parts
from generator.parts.posts import Crossing, PostBuilder
from generator.parts.rails import RailBuilder, SpacerBuilder
from generator.parts.reference import ReferenceBuilder
from generator.parts.structure import StructureBuilder
from generator.spec.job import Side


def assemble(layout: Layout) -> Assembly:
    """All parts of the job in a fixed order: run by run its posts, then leg by leg the rest."""
    builder = _Builder(layout)
    parts: list[Part] = []
    legs: list[LegLine] = []
    made = [builder.run(run) for run in layout.runs]
    # Blocking keeps clear of what carries the runs beside, so that all of it comes before.
    for own, _ in made:
        builder.blocking.framing(own)
    for run, (own, lines) in zip(layout.runs, made, strict=True):
        parts += [*own, *builder.blocking.parts(run, own)]
        legs += lines
    parts.extend(obstacle_parts(layout.job))
    return Assembly(
        layout.job,
        tuple(parts),
        tuple(legs),
        consumables(layout.job, parts),
        rail_plan=layout.rail_plan,
        handrail_plan=builder.handrails.plan,
    )


class _Builder:
    """One builder a kind of part; each numbers its parts through the job."""

    def __init__(self, layout: Layout) -> None:
        job = layout.job
        self.sites = layout.posts
        self.posts = PostBuilder(job)
        self.rails = RailBuilder(job)
        self.spacers = SpacerBuilder(job)
        self.cables = CableBuilder(job, layout.posts)
        self.handrails = HandrailBuilder(layout)
        self.reference = ReferenceBuilder(job)
        self.structure = StructureBuilder(job)
        self.blocking = BlockingBuilder(job)
        self._crossings = crossings(layout)

    def run(self, run: RunLayout) -> tuple[list[Part], list[LegLine]]:
        parts: list[Part] = []
        own = sorted(
            {
                index
                for leg in run.legs
                for index in leg.posts
                if self.sites[index].run == run.run.id
            }
        )
        for index in own:
            parts.extend(self.posts.parts(self.sites[index], self._crossings[index]))
        cables = list(self.cables.parts(run))
        surfaces = list(self.reference.parts(run))
        lines: list[LegLine] = []
        for leg in run.legs:
            number = leg.line.number
            rails = list(self.rails.parts(leg))
            spacers = list(self.spacers.parts(leg, rows_carried(run, number - 1)))
            strung = [part for part in cables if part.leg == number]
            beside = [part for part in surfaces if part.leg == number]
            held = self.handrails.parts(run, number - 1)
            parts += [*rails, *spacers, *strung, *held, *beside]
            passing = [
                part
                for part in cables
                if isinstance(part.detail, CableDetail) and number in part.detail.legs
            ]
            lines.append(_leg_line(leg, run.run.deck, [*rails, *spacers, *passing], beside))
        parts += self.structure.parts(run, surfaces)
        return parts, lines


def rows_carried(run: RunLayout, leg: int) -> int:
    """Cables above one another in a leg; none where it is too short to carry any."""
    if not run.legs[leg].rails:
        return 0
    return sum(
        1
        for route in run.routes
        if any(stretch.leg == leg and stretch.first == 0 for stretch in route.stretches)
    )


def _share_walls(met: list[Crossing]) -> None:
    """Where cables pass from leg to leg in one post, each leg's holes are in its own wall only."""
    passing = [k for k, crossing in enumerate(met) if not crossing.ends]
    if len(passing) == 2:
        first, second = passing
        met[first] = replace(met[first], wall="near")
        met[second] = replace(met[second], wall="far")


def crossings(layout: Layout) -> dict[int, list[Crossing]]:
    """For every post, the legs whose cables cross it or end at it."""
    found: dict[int, list[Crossing]] = {index: [] for index in range(len(layout.posts))}
    for run in layout.runs:
        ahead = {(route.stretches[0].leg, route.stretches[0].first) for route in run.routes}
        behind = {(route.stretches[-1].leg, route.stretches[-1].last) for route in run.routes}
        for k, leg in enumerate(run.legs):
            rows = rows_carried(run, k)
            for n, index in enumerate(leg.posts):
                place = (k, n)
                found[index].append(Crossing(leg, n, place in ahead, place in behind, rows))
    for met in found.values():
        _share_walls(met)
    return found


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
