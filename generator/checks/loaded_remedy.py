"""What holds a sphere back with more force: closer supports, more tension, closer cables."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from generator.checks.gaps import Gap
from generator.checks.loaded import NEWTON_PER_LBF
from generator.checks.outcome import round_down, shop
from generator.frozen import dataclass
from generator.parts.report import Edit
from generator.spec.job import Job

# Bars nearer than this, and cables closer than this, are no remedy any more.
_LEAST_SPAN_MM = {False: 12 * 25.4, True: 300.0}
_LEAST_SPACING_MM = {False: 2 * 25.4, True: 50.0}
_LEAST_BOTTOM_MM = {False: 25.4, True: 25.0}
_HALVINGS = 30

Value = Callable[[Gap, float], float]
"""A force, N, of a gap at a tension, N: it grows with tension, and as cables and supports close."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """Words, and the changes of the spec that go with them."""

    words: str
    edits: tuple[Edit, ...]


def working_limit(job: Job) -> float:
    """The greatest set tension, N: what cable and fitting break at over a safety factor."""
    breaking = job.system.cable.breaking_n * job.system.fitting.efficiency
    return breaking / job.rules.limit("practice.cable-safety").value


def tension_edit(job: Job, tension_n: float) -> Edit | None:
    """The set tension raised to so much, to the next round figure; None past the working limit."""
    unit, step = (1.0, 10.0) if job.metric else (NEWTON_PER_LBF, 5.0)
    round_figure = math.ceil(tension_n / unit / step - 1e-9) * step
    if round_figure * unit > working_limit(job) + 1e-9:
        return None
    return Edit("guard.tension", f"{round_figure:.0f} {'N' if job.metric else 'lbf'}")


def tension_of(edit: Edit) -> float:
    """The tension, N, of an edit that `tension_edit` made."""
    number, unit = edit.value.split()
    return float(number) * (1.0 if unit == "N" else NEWTON_PER_LBF)


def held_by(job: Job, gaps: Sequence[Gap], need_n: float, value: Value) -> Remedy:
    """The first change at which every gap holds the force that is needed, by the same formula.

    Closer supports come first: they load no post. Then more tension, both, closer cables.
    """
    # No remedy opens a gap: those that hold now hold after it.
    gaps = [gap for gap in gaps if value(gap, job.guard.tension_n) < need_n]
    for edits in _tries(job, gaps, need_n, value):
        return _in_words(edits)
    lower = _bottom_edit(job, gaps, need_n, value)
    if lower:
        edit, nearer = lower
        for edits in _tries(job, nearer, need_n, value):
            return _in_words((edit, *edits))
    return Remedy("put posts and cables closer, or choose a stronger cable", ())


def _in_words(edits: tuple[Edit, ...]) -> Remedy:
    return Remedy(", and ".join(_WORDS[edit.path].format(edit.value) for edit in edits), edits)


_WORDS = {
    "guard.bottom_gap": "lower the cables to a bottom gap of {}",
    "guard.max_cable_span": "put bars or posts closer, so that no cable spans more than {}",
    "guard.tension": "set the cables to {}",
    "guard.cable_spacing": "space the cables {} apart",
}


def _tries(
    job: Job, gaps: Sequence[Gap], need_n: float, value: Value
) -> Iterator[tuple[Edit, ...]]:
    now = job.guard.tension_n
    span = _span_edit(job, gaps, now, need_n, value)
    if span:
        yield (span,)
    tension = _enough_tension(job, gaps, need_n, value)
    if tension:
        yield (tension,)
    most = _most_tension(job)
    if most:
        span = _span_edit(job, gaps, tension_of(most), need_n, value)
        if span:
            yield span, most
    spacing = _spacing_edit(job, gaps, now, need_n, value)
    if spacing:
        yield (spacing,)
    least = _LEAST_SPAN_MM[job.metric]
    tension_n, near = (tension_of(most) if most else now), [gap.with_span(least) for gap in gaps]
    spacing = _spacing_edit(job, near, tension_n, need_n, value)
    if spacing:
        span = Edit("guard.max_cable_span", shop(job, least))
        yield (spacing, span, most) if most else (spacing, span)


def _holds(gaps: Sequence[Gap], tension_n: float, need_n: float, value: Value) -> bool:
    return all(value(gap, tension_n) >= need_n for gap in gaps)


def _most_tension(job: Job) -> Edit | None:
    """The greatest round figure within the working limit, where it is more than is set now."""
    unit, step = (1.0, 10.0) if job.metric else (NEWTON_PER_LBF, 5.0)
    most = math.floor(working_limit(job) / unit / step + 1e-9) * step * unit
    return tension_edit(job, most) if most > job.guard.tension_n + 1e-9 else None


def _enough_tension(job: Job, gaps: Sequence[Gap], need_n: float, value: Value) -> Edit | None:
    most = _most_tension(job)
    if not most or not _holds(gaps, tension_of(most), need_n, value):
        return None
    found = _nearest(
        job.guard.tension_n, tension_of(most), lambda t: not _holds(gaps, t, need_n, value)
    )
    return tension_edit(job, found) or most


def _span_edit(
    job: Job, gaps: Sequence[Gap], tension_n: float, need_n: float, value: Value
) -> Edit | None:
    """The longest span at which every gap holds."""

    def holds(most_mm: float) -> bool:
        return _holds([gap.with_span(most_mm) for gap in gaps], tension_n, need_n, value)

    least = _LEAST_SPAN_MM[job.metric]
    longest = max(gap.span_mm for gap in gaps)
    if not holds(least):
        return None
    found = max(round_down(job, _nearest(least, longest, holds)), least)
    return Edit("guard.max_cable_span", shop(job, found)) if holds(found) else None


def _spacing_edit(
    job: Job, gaps: Sequence[Gap], tension_n: float, need_n: float, value: Value
) -> Edit | None:
    """The widest spacing at which every gap holds."""

    def holds(spacing_mm: float) -> bool:
        return _holds([gap.with_spacing(spacing_mm) for gap in gaps], tension_n, need_n, value)

    least, now = _LEAST_SPACING_MM[job.metric], job.guard.cable_spacing_mm
    if now <= least or not holds(least):
        return None
    found = max(round_down(job, _nearest(least, now, holds)), least)
    return Edit("guard.cable_spacing", shop(job, found)) if holds(found) else None


def _bottom_edit(
    job: Job, gaps: Sequence[Gap], need_n: float, value: Value
) -> tuple[Edit, list[Gap]] | None:
    """A lower bottom gap, where all else does not help the gap over the floor; and the gaps then.

    It is as low as that gap needs with the closest supports and the most tension.
    """
    now, least = job.guard.bottom_gap_mm, _LEAST_BOTTOM_MM[job.metric]
    most = _most_tension(job)
    tension = tension_of(most) if most else job.guard.tension_n
    floors = [gap.with_span(_LEAST_SPAN_MM[job.metric]) for gap in gaps if gap.kind == "floor"]

    def holds(bottom_mm: float) -> bool:
        return _holds([gap.with_bottom(now - bottom_mm) for gap in floors], tension, need_n, value)

    if not floors or holds(now) or now <= least or not holds(least):
        return None
    found = max(round_down(job, _nearest(least, now, holds)), least)
    nearer = [gap.with_bottom(now - found) for gap in gaps]
    return Edit("guard.bottom_gap", shop(job, found)), nearer


def _nearest(low: float, high: float, yes: Callable[[float], bool]) -> float:
    """The greatest value between two that is still `yes`, where the lower one is."""
    if yes(high):
        return high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if yes(middle) else (low, middle)
    return low
