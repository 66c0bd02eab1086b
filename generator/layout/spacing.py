"""Where spacers hold the cables apart between posts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from generator.layout.model import PathLeg
from generator.spec.job import Job


def spacer_stations(job: Job, leg: PathLeg, stations: Sequence[float]) -> tuple[float, ...]:
    """Stations of the spacers of a leg: the fewest equal spans within `max_cable_span`.

    A span is measured along the cable from post to post, centre to centre, which is never less
    than the clear one.
    """
    limit = job.guard.max_cable_span_mm
    if limit is None:
        return ()
    found: list[float] = []
    for a, b in pairwise(stations):
        spans = math.ceil((b - a) * leg.stretch / limit - 1e-9)
        found.extend(a + (b - a) * k / spans for k in range(1, spans))
    return tuple(found)
