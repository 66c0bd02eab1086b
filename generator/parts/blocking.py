"""Blocking where an anchor would miss the framing: between joists, behind a rim, under a tread.

Where joists cross the leg, a block lies along it from joist to joist; where they run along it, from
the rim to the first joist. Through bolts take blocks that lie flat, lag screws stand them upright.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from generator.geometry import Vec2, along, dot, heading, sind, sub
from generator.layout.model import LegLayout, PathLeg, RunLayout
from generator.parts.assembly import Part, PostDetail, TreadDetail, detail_of
from generator.parts.bases import decking_mm
from generator.parts.blocks import (
    Block,
    Facing,
    Site,
    Stock,
    apart,
    beside,
    lay_block,
    lay_blocks,
)
from generator.parts.timber import (
    Board,
    Ground,
    board,
    held,
    inside,
    line_span,
    size_text,
    structural,
    tread_block,
)
from generator.parts.undersides import Underside, let_under, underside
from generator.spec.job import Job, Joists

_EPS_MM = 1e-6
# Edge and end distance of a bolt in wood, in diameters: NDS Table 12.5.1, from memory, not read.
_EDGE, _END = 1.5, 4.0
# Joists that meet a leg's direction at less than this (sine of the angle) lie along it.
_CROSSING = 0.5
_OPEN = ("wall", "free")

Treads = Mapping[tuple[int, int], Part]


class BlockingBuilder:
    """Makes the blocks of one post after the other; what is there already is used first."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._ground = Ground()
        self._risers = Ground()
        self._fascias = Ground()
        self._decks = Ground()
        self._undersides: dict[str, Underside] = {}
        self._bolt = job.system.anchor.diameter_mm
        self._through = job.system.anchor.style == "through-bolt"
        self._kept = 0

    def framing(self, parts: Sequence[Part]) -> None:
        """Takes note of what carries a run: blocks of every run lie between it."""
        for part in parts:
            if structural(part):
                self._ground.add(board(part))
            elif part.kind == "rim":
                self._fascias.add(board(part))
            if part.kind == "riser":
                self._risers.add(board(part))
            if part.kind == "deck":
                self._decks.add(board(part))
                self._undersides[part.mark] = underside(part)

    def parts(self, run: RunLayout, made: Sequence[Part]) -> Iterator[Part]:
        """Blocks for the posts among the parts of a run, between the framing told before."""
        structure = self.job.structure
        if structure is None or structure.concrete:
            return
        anchors: dict[str, list[Part]] = {}
        treads: dict[tuple[int, int], Part] = {}
        for part in made:
            if part.kind == "anchor":
                anchors.setdefault(part.belongs_to, []).append(part)
            if isinstance(part.detail, TreadDetail):
                treads[part.leg, part.detail.number] = part
        ramps = {f"P{n + 1}" for leg in run.legs if leg.line.kind == "ramp" for n in leg.posts}
        for part in made:
            if part.kind == "post" and part.mark in anchors and part.mark not in ramps:
                leg = _leg_under(run, part)
                blocks = list(self._blocks(part, leg, anchors[part.mark], treads))
                yield from self._marked(part, blocks)

    def _blocks(
        self, post: Part, leg: LegLayout, anchors: Sequence[Part], treads: Treads
    ) -> Iterator[Block]:
        detail, line = detail_of(post, PostDetail), leg.line
        joists = self.job.structure.joists if self.job.structure else None
        if detail.mount == "deck" and detail.tread is not None:
            yield from self._under_tread(post, line, anchors, treads[line.number, detail.tread])
        elif joists and detail.place == "floor" and not line.on_stringer:
            if detail.mount == "deck":
                yield from self._under_deck(post, leg, anchors, joists)
            else:
                yield from self._behind_rim(post, leg, anchors, joists)

    def _marked(self, post: Part, blocks: Sequence[Block]) -> Iterator[Part]:
        """The blocks of a post as parts; what comes later keeps clear of them."""
        for n, block in enumerate(blocks, 1):
            mark = f"BL{post.mark[1:]}" + (f"-{n}" if len(blocks) > 1 else "")
            shape, place = block.laid()
            size = size_text(self.job, *sorted((block.width_mm, block.depth_mm)))
            item = f"blocking {size}"
            yield Part(mark, "blocking", item, post.run, post.leg, shape, place, mark)

    def _under_deck(
        self, post: Part, leg: LegLayout, anchors: Sequence[Part], joists: Joists
    ) -> Iterator[Block]:
        """Under decking, for those bolts that come down on no joist or rim."""
        line = leg.line
        top = detail_of(post, PostDetail).base_z_mm - decking_mm(self.job)
        slope = 0.0 if line.flight else line.slope
        along_leg = _sine(joists, line) >= _CROSSING - 1e-9
        origin = post.place.origin[:2]
        if along_leg:
            site = Site(origin, line.bearing_deg, line.side, top, slope)
        else:
            site = Site(origin, line.bearing_deg + 90.0 * line.side, line.side, top, 0.0, -slope)
        if self._through:
            stock = self._stock(joists.depth_mm, joists.width_mm)
        else:
            stock = self._stock(joists.width_mm, joists.depth_mm)
        near = self._near(site, stock, joists.spacing_mm)
        fascias = self._near(site, stock, joists.spacing_mm, self._fascias)
        missed: list[Vec2] = []
        for bolt in (_comes_out(anchor, top) for anchor in anchors):
            got = held(bolt, near)
            if got is None or got.free_mm < stock.edge_mm - _EPS_MM:
                missed.append(bolt)
        for bay, bolts in self._bays(site, joists, missed).items():
            limits = [*_ends(site, leg), *(() if along_leg else self._faces(site, joists, bay))]
            for block in lay_blocks(site, bolts, [*near, *fascias], stock, limits):
                block = self._under_decks(block)
                near.append(self._keep(block))
                yield block

    def _under_tread(
        self, post: Part, line: PathLeg, anchors: Sequence[Part], tread: Part
    ) -> Iterator[Block]:
        """Flat under a tread, from stringer to stringer, clear of the riser board at its front."""
        under = board(tread)
        across = line.bearing_deg + 90.0 * line.side
        site = Site(post.place.origin[:2], across, line.side, under.low_mm)
        bolts = [_comes_out(anchor, under.low_mm) for anchor in anchors]
        depths = [site.local(bolt)[1] for bolt in bolts]
        need = max(depths) - min(depths) + 2 * _EDGE * self._bolt
        thickness, width = tread_block(self.job, need)
        stock = self._stock(width, thickness)
        reach = max(math.dist(site.origin, corner) for corner in under.plan)
        near = self._near(site, stock, reach)
        risers = self._near(site, stock, width, self._risers)
        missed = [bolt for bolt in bolts if held(bolt, near) is None]
        if not missed or sum(1 for one in near if one.kind == "stringer") < 2:
            return
        depths = [site.local(point)[1] for point in under.plan]
        limits = (Facing((0.0, 1.0), min(depths)), Facing((0.0, -1.0), -max(depths)))
        for block in lay_blocks(site, missed, [*near, *risers], stock, limits):
            self._keep(block)
            yield block

    def _behind_rim(
        self, post: Part, leg: LegLayout, anchors: Sequence[Part], joists: Joists
    ) -> Iterator[Block]:
        """Upright against the rim's inner face, from joist to joist where joists cross."""
        line = leg.line
        x, y, z = post.place.origin
        station = dot(sub((x, y, z), line.origin), line.travel)
        top = line.reference_z(station) - decking_mm(self.job)
        site = Site(post.place.origin[:2], line.bearing_deg, line.side, top, line.slope)
        stock = self._stock(joists.width_mm, joists.depth_mm)
        crossing = _sine(joists, line) >= _CROSSING - 1e-9
        if not crossing:
            stock = replace(stock, end_mm=joists.depth_mm)
        near = self._near(site, stock, joists.spacing_mm)
        limits = list(_ends(site, leg))
        behind = [
            site.world((a, b + stock.width_mm / 2)) for a, b in _inner_faces(site, anchors, near)
        ]
        # At a corner a bolt may run on into the rim of the side beyond, which holds it.
        rims = [one for one in near if one.kind == "rim"]
        behind = [spot for spot in behind if not any(inside(one.plan, spot) for one in rims)]
        for bolts in self._bays(site, joists, behind).values():
            if any(inside(one.plan, bolts[0]) for one in near if one.kind == "blocking"):
                continue
            core = [site.local(beside(bolt, near)) for bolt in bolts]
            middle = site.local(bolts[0])[1]
            band = (middle - stock.width_mm / 2, middle + stock.width_mm / 2)
            plans = [site.seen(one) for one in near]
            for block in lay_block(site, core, plans, stock, band, limits):
                if all(apart(block.plan, plan) for plan in plans):
                    block = self._under_decks(block)
                    near.append(self._keep(block))
                    yield block

    def _stock(self, width_mm: float, depth_mm: float) -> Stock:
        return Stock(width_mm, depth_mm, _EDGE * self._bolt, _END * self._bolt)

    def _near(
        self, site: Site, stock: Stock, reach_mm: float, ground: Ground | None = None
    ) -> list[Board]:
        """Boards about a post at the heights of a block; of the framing unless told."""
        reach = 1.5 * reach_mm + self.job.system.post.plate_mm
        found = (ground or self._ground).near(site.origin, reach)
        return [one for one in found if one.meets(site.top_mm - stock.depth_mm, site.top_mm)]

    def _under_decks(self, block: Block) -> Block:
        """A block let down where it reaches under a deck that lies lower than the post's own."""
        origin = block.site.origin
        reach = max(math.dist(origin, block.site.world(corner)) for corner in block.plan)
        near = self._decks.near(origin, reach)
        return let_under(block, [self._undersides[one.mark] for one in near])

    def _keep(self, block: Block) -> Board:
        self._kept += 1
        made = block.board(f"block {self._kept}")
        self._ground.add(made)
        return made

    def _bays(self, site: Site, joists: Joists, bolts: Sequence[Vec2]) -> dict[int, list[Vec2]]:
        """Bolts by the bay between two joist lines that they come down in, in order along a."""
        across, zero = self._grid(joists)
        found: dict[int, list[Vec2]] = {}
        for x, y in bolts:
            bay = math.floor((x * across[0] + y * across[1] - zero) / joists.spacing_mm)
            found.setdefault(bay, []).append((x, y))
        ahead = 1.0 if site.turned(across)[0] >= 0.0 else -1.0
        return dict(sorted(found.items(), key=lambda bay: bay[0] * ahead))

    def _faces(self, site: Site, joists: Joists, bay: int) -> tuple[Facing, Facing]:
        """The faces of the two joists of a bay, also of one beyond the deck that is shown."""
        (x, y), zero = self._grid(joists)
        first = zero + bay * joists.spacing_mm + joists.width_mm / 2
        last = zero + (bay + 1) * joists.spacing_mm - joists.width_mm / 2
        return site.facing((x, y), first, firm=False), site.facing((-x, -y), -last, firm=False)

    def _grid(self, joists: Joists) -> tuple[Vec2, float]:
        """Direction across the joists, and how far along it the first one lies."""
        across = heading(joists.bearing_deg - 90.0)
        start = self.job.runs[0].start
        zero = start.x_mm * across[0] + start.y_mm * across[1] + joists.offset_mm
        return across[:2], zero


def _sine(joists: Joists, line: PathLeg) -> float:
    """Of the angle at which joists cross a leg."""
    return abs(sind(joists.bearing_deg - line.bearing_deg))


def _ends(site: Site, leg: LegLayout) -> Iterator[Facing]:
    """Where the deck of a leg ends with it."""
    line = leg.line
    x, y = line.travel[:2]
    if line.flight is None and leg.start_joint in _OPEN:
        yield site.facing((x, y), x * line.origin[0] + y * line.origin[1])
    if line.flight is None and leg.end_joint in _OPEN:
        yield site.facing((-x, -y), -(x * line.end[0] + y * line.end[1]))


def _comes_out(anchor: Part, z_mm: float) -> Vec2:
    """Where an anchor's axis passes a height."""
    reach = (z_mm - anchor.place.origin[2]) / anchor.place.z[2]
    x, y, _ = along(anchor.place.origin, anchor.place.z, reach)
    return x, y


def _inner_faces(site: Site, anchors: Sequence[Part], near: Sequence[Board]) -> Iterator[Vec2]:
    """Where each anchor comes out of the rim that it passes; those that pass none are left out."""
    rims = [site.seen(one) for one in near if one.kind == "rim"]
    for anchor in anchors:
        a, _ = site.local(anchor.place.origin[:2])
        spans = [line_span(rim, (a, 0.0), (0.0, 1.0)) for rim in rims]
        faces = [span[1] for span in spans if span]
        if faces:
            yield a, min(faces, key=abs)


def _leg_under(run: RunLayout, post: Part) -> LegLayout:
    """The leg that a post stands on: of one shared with a stair and on its tread, the stair."""
    leg = run.legs[post.leg - 1]
    if detail_of(post, PostDetail).tread is not None and leg.line.flight is None:
        return run.legs[post.leg % len(run.legs)]
    return leg
