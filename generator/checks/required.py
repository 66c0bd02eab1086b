"""`guard.required`: along which stretches of its legs a guard is required, and where it is not.

Other checks ask here whether a limit holds at a place; without a grade in the spec it does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from generator.checks.outcome import Bound, Outcome, shop
from generator.checks.view import LegView, leg_views
from generator.parts.assembly import Assembly, LegLine
from generator.parts.legs import edge_length
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.checks.falls import Falls, Span

End = tuple[str, int, str]
"""An end of a leg: its run, its number, and start or end."""

_EPS = 1e-6


def falls_of(job: Job, view: LegView) -> Falls | None:
    """The fall beside a leg, None where the spec tells nothing of the ground there."""
    points = (job.grades or {}).get(view.leg.path)
    if not points:
        return None
    from generator.checks.falls import falls

    return falls(view, points, job.rules.limit("guard.required.distance").value)


def required_spans(job: Job, view: LegView) -> tuple[Span, ...] | None:
    """Stretches of the leg's edge along which a guard is required; None: all of it."""
    found = falls_of(job, view)
    return None if found is None else _required(job, found)


def reaches(spans: Sequence[Span] | None, leg: LegLine, start_mm: float, end_mm: float) -> bool:
    """Whether any of a stretch lies where `spans` are; what is beyond the edge counts as its end.

    `spans` None stand for the whole leg.
    """
    if spans is None:
        return True
    length = edge_length(leg)
    start, end = (min(max(s, 0.0), length) for s in (start_mm, end_mm))
    return any(a - _EPS <= end and start <= b + _EPS for a, b in spans)


def as_needed(outcomes: Iterator[tuple[Outcome, bool]]) -> Iterator[Outcome]:
    """The worst against each limit of those where a guard is required; of the others notes.

    Takes outcomes with whether a guard is required there. Where it is not, one that keeps its
    limit says nothing, and one that breaks it binds nobody.
    """
    groups: dict[tuple[bool, str, Bound, str | None], list[Outcome]] = {}
    for outcome, needed in outcomes:
        key = (needed, outcome.code, outcome.bound, outcome.severity)
        groups.setdefault(key, []).append(outcome)
    for (needed, *_), found in groups.items():
        least = found[0].bound.sense == "at least"
        # Of places that are alike the first is told.
        outcome = (min if least else max)(found, key=lambda o: round(o.measured, 9))
        if needed:
            yield outcome
        elif not outcome.passed:
            yield as_voluntary(outcome)


def as_voluntary(outcome: Outcome) -> Outcome:
    """The outcome as one of a place where no guard is required: a note, should it break a limit."""
    words = f"{outcome.message}; no guard is required there"
    return replace(outcome, severity="note", message=words)


def voluntary_ends(assembly: Assembly) -> set[End]:
    """All ends of legs at which no guard is required."""
    job = assembly.job
    if not job.grades:
        return set()
    found: set[End] = set()
    for view in leg_views(assembly):
        spans = required_spans(job, view)
        for name, s in (("start", 0.0), ("end", edge_length(view.leg))):
            if not reaches(spans, view.leg, s, s):
                found.add((view.leg.run, view.leg.number, name))
    return found


def check_required(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields where along the leg a guard is required, if the spec tells the ground there."""
    found = falls_of(job, view)
    if found is not None:
        yield _told(job, view, found)


def check_untold(assembly: Assembly) -> Iterator[Outcome]:
    """Yields once for all legs beside which the spec does not tell the ground."""
    job = assembly.job
    untold = [leg for leg in assembly.legs if leg.path not in (job.grades or {})]
    if untold:
        yield _untold(job, untold, len(assembly.legs))


def _required(job: Job, found: Falls) -> tuple[Span, ...]:
    limit = job.rules.limit
    inclusive = limit("guard.required.inclusive").value > 0.5
    return found.beyond(limit("guard.required.fall").value, inclusive=inclusive)


def _untold(job: Job, legs: Sequence[LegLine], count: int) -> Outcome:
    limit = job.rules.limit("guard.required.fall")
    which = "along the whole guard" if len(legs) == count else "along " + _listed(legs)
    return Outcome(
        "guard.required",
        (legs[0].posts[0], legs[-1].posts[-1]),
        float(len(legs)),
        Bound(None, "none", "", limit.clause, limit.edition, limit.verified),
        f"the spec does not tell how the ground lies {which} (grade): a guard is taken to be "
        f"required there, as where one falls {_more(job)}",
        "tell the ground beside each leg, such as grade: [{down: 4 ft}]",
    )


def _listed(legs: Sequence[LegLine]) -> str:
    *first, last = (leg.label for leg in legs)
    return f"{', '.join(first)} and {last}" if first else last


def _more(job: Job) -> str:
    limit = job.rules.limit("guard.required.fall").value
    inclusive = job.rules.limit("guard.required.inclusive").value > 0.5
    return f"{shop(job, limit)} or more" if inclusive else f"more than {shop(job, limit)}"


def _told(job: Job, view: LegView, found: Falls) -> Outcome:
    """The note on one leg: stretches with their lengths, and the greatest fall."""
    limit = job.rules.limit("guard.required.fall")
    spans = _required(job, found)
    total = sum(end - start for start, end in spans)
    words = _stretches(job, found, spans, total)
    deepest = found.greatest
    fall, place = deepest or (0.0, 0.0)
    if deepest:
        words += f"; the greatest fall is {shop(job, fall)}, "
        words += f"{shop(job, place)} from the start" if place > _EPS else "at the start"
    if found.unknown:
        bare = sum(end - start for start, end in found.unknown)
        words += (
            f"; over {shop(job, bare)} the ground is not told as far out as "
            f"{shop(job, job.rules.limit('guard.required.distance').value)}, so it is taken to be "
            "required there"
        )
    return Outcome(
        "guard.required",
        (view.leg.posts[0], view.leg.posts[-1]),
        fall,
        # The limit is shown, but nothing was passed: a fall is what it is.
        Bound(limit.value, "none", "mm", limit.clause, limit.edition, limit.verified, False),
        f"{view.leg.label}: {words}",
    )


def _stretches(job: Job, found: Falls, spans: Sequence[Span], total: float) -> str:
    length = found.length_mm
    if total >= length - _EPS:
        return f"a guard is required along all of its {shop(job, length)}"
    if not spans:
        return f"no guard is required along its {shop(job, length)}: it is voluntary"
    places = " and ".join(f"{shop(job, start)} to {shop(job, end)}" for start, end in spans)
    return (
        f"a guard is required over {shop(job, total)} of {shop(job, length)}, from {places} along "
        f"the edge; over the other {shop(job, length - total)} it is voluntary"
    )
