"""Measures of a whole leg, read from the table of parts: its length, bays and rows."""

from __future__ import annotations

import math
from itertools import pairwise

from generator.geometry import cosd, dot, heading, sub
from generator.parts.assembly import Assembly, CableDetail, LegLine, detail_of


def edge_length(leg: LegLine) -> float:
    """The leg as a tape measures it along the deck edge, level, mm."""
    return math.dist(leg.edge_start[:2], leg.edge_end[:2])


def bays(assembly: Assembly, leg: LegLine) -> tuple[float, ...]:
    """Post centre to post centre along the pitch, mm, in order of travel.

    Negative where a leg is so short that its posts would change places.
    """
    axes = [assembly.by_mark[mark].place.origin for mark in leg.posts]
    travel, lean = heading(leg.bearing_deg), cosd(leg.pitch_deg)
    return tuple(dot(sub(b, a), travel) / lean for a, b in pairwise(axes))


def rows(assembly: Assembly, leg: LegLine) -> int:
    """Cables above one another in the leg."""
    cables = (detail_of(assembly.by_mark[mark], CableDetail) for mark in leg.cables)
    return max((cable.row for cable in cables), default=0)
