"""`climb.horizontal`: cables at heights at which the code lets nothing help to climb."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from generator.checks.outcome import Bound, Outcome, shop
from generator.checks.required import falls_of
from generator.checks.view import CableLine, LegView, Surface
from generator.parts.report import Severity
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.checks.falls import Span

_EPS = 1e-6
# How many cables are named; the finding counts them all.
_NAMED = 2
_SEVERITIES: dict[float, tuple[Severity, Severity]] = {1.0: ("warn", "note"), 2.0: ("fail", "warn")}


def check_climbing(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields how many cables of the leg one could step on, where the rule set flags or bars them.

    Where the spec does not tell the ground, and the rule set names a fall, what would be a failure
    is a warning and what would be a warning a note.
    """
    limit = job.rules.limit("climb.horizontal")
    if limit.value < 1.0 or not view.cables:
        return
    fall = job.rules.limit("climb.fall")
    spans, known = _spans(job, view)
    low, high = (job.rules.limit(f"climb.zone.{end}") for end in ("low", "high"))
    steps = _walked(view, spans)
    found = [cable for cable in view.cables if _in_zone(cable, steps, low.value, high.value)]
    severity = _SEVERITIES[limit.value][0 if known else 1]
    zone = f"between {shop(job, low.value)} and {shop(job, high.value)}" if high.stated else "there"
    verb = "bars" if limit.value > 1.5 else "flags"
    where = "" if not fall.stated else f" where one falls more than {shop(job, fall.value)}"
    words = f"{view.leg.label}: {len(found)} cables {zone} over the floor can be climbed"
    words += f"; the rule set {verb} them{where}"
    if not known:
        words += ", and the spec does not tell the ground (grade)"
    named = (found[0], found[-1])[: max(len(found), 1)] if found else (view.cables[0],)
    yield Outcome(
        "climb.horizontal",
        tuple(dict.fromkeys(cable.mark for cable in named)),
        float(len(found)),
        Bound(0.0, "at most", "", limit.clause, limit.edition, limit.verified),
        words,
        "upright infill or a panel at these heights, or show the authority that the cables cannot "
        "be climbed" + ("" if known else "; tell the ground (grade) where one falls less"),
        severity=severity,
    )


def _spans(job: Job, view: LegView) -> tuple[Sequence[Span] | None, bool]:
    """Where the fall counts (None: along the whole leg), and whether that is known."""
    fall = job.rules.limit("climb.fall")
    if not fall.stated:
        return None, True
    found = falls_of(job, view)
    if found is None:
        return None, False
    spans = found.beyond(fall.value)
    return spans, not _only_unknown(spans, found.unknown)


def _only_unknown(spans: Sequence[Span], unknown: Sequence[Span]) -> bool:
    """Whether all of the stretches are such because their ground is not told far enough."""
    return bool(spans) and all(
        any(a - _EPS <= start and end <= b + _EPS for a, b in unknown) for start, end in spans
    )


def _walked(view: LegView, spans: Sequence[Span] | None) -> list[tuple[float, float, Surface]]:
    """(from, to, surface) of the leg's own floor or treads along these stretches."""
    own = view.leg.surfaces
    found = [s for s in view.surfaces if s.mark in own and s.kind != "floor"]
    if spans is None:
        return [(s.start_mm, s.end_mm, s) for s in found]
    return [
        (max(start, s.start_mm), min(end, s.end_mm), s)
        for s in found
        for start, end in spans
        if max(start, s.start_mm) < min(end, s.end_mm)
    ]


def _in_zone(
    cable: CableLine, steps: Sequence[tuple[float, float, Surface]], low_mm: float, high_mm: float
) -> bool:
    """Whether any of a cable lies within these heights over what one walks on."""
    axis = cable.axis
    half = cable.radius_mm / axis.cosine
    for begin, stop, surface in steps:
        start, end = max(axis.start_mm, begin), min(axis.end_mm, stop)
        if end < start:
            continue
        heights = [axis.at(s) - surface.top_at(s) for s in (start, end)]
        if max(heights) + half > low_mm + _EPS and min(heights) - half < high_mm - _EPS:
            return True
    return False
