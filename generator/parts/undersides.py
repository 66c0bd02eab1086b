"""Undersides of what is drawn as decks, which blocking below must not rise through."""

from __future__ import annotations

from dataclasses import replace

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.assembly import Part
from generator.parts.blocks import Block
from generator.parts.shapes import Prism
from generator.parts.timber import Plan, clipped, sides

_EPS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Underside:
    """A deck from below: its plan in the world, and its height there."""

    plan: Plan
    z_mm: float
    fall: Vec2
    top_mm: float

    def at(self, point: Vec2) -> float:
        return self.z_mm + self.fall[0] * point[0] + self.fall[1] * point[1]


def underside(part: Part) -> Underside:
    """Of a flat body drawn upright, whose plan is convex."""
    shape, place = part.shape, part.place
    assert isinstance(shape, Prism)
    plan = tuple(place.point((a, b, 0.0))[:2] for a, b in shape.section.outer.corners)
    gradient = place.vector((shape.start.slope_x, shape.start.slope_y, 0.0))
    x, y, z = place.origin
    level = z + shape.start.z_mm - gradient[0] * x - gradient[1] * y
    found = Underside(plan, level, gradient[:2], 0.0)
    thickness = shape.end.z_mm - shape.start.z_mm
    return replace(found, top_mm=max(found.at(point) for point in plan) + thickness)


def let_under(block: Block, decks: list[Underside]) -> Block:
    """The block, let down so far that it stands into none of the decks that it reaches under."""
    site = block.site
    seen = block.plan if site.hand > 0 else block.plan[::-1]
    plan = tuple(site.world(corner) for corner in seen)
    lowest = site.top_mm - block.depth_mm
    over = 0.0
    for deck in decks:
        if deck.top_mm < lowest:
            continue
        shared = deck.plan
        for (x0, y0), (x1, y1) in sides(plan):
            normal = (y0 - y1, x1 - x0)
            shared = clipped(shared, normal, normal[0] * x0 + normal[1] * y0)
        for point in shared:
            over = max(over, block.top(point) - deck.at(point))
    if over < _EPS_MM:
        return block
    return replace(block, site=replace(site, top_mm=site.top_mm - over))
