"""`cable.tension`: the tension that a code's table for wire barriers asks for."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from generator.catalog.wire_tables import Found, allowed_deflection, ncc_2022, required_tension
from generator.checks.loaded_remedy import Remedy, tension_edit
from generator.checks.outcome import Bound, Outcome, round_down, shop
from generator.checks.view import CableLine, LegView
from generator.frozen import dataclass
from generator.parts.report import Edit
from generator.spec.job import Job


@dataclass(frozen=True, slots=True)
class Wires:
    """The widest pair of a group of cables, over the longest clear distance between two posts."""

    where: tuple[str, str, str, str]
    diameter_mm: float
    lay: str
    spacing_mm: float
    clear_mm: float
    posts_mm: float

    def required(self) -> Found | None:
        """What the table says of them; None where it holds no such row or column."""
        return required_tension(self.diameter_mm, self.lay, self.spacing_mm, self.clear_mm)


def check_wires(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the tension of a leg against the table; nothing where a group is outside of it.

    Bars between posts do not count as posts. Pitched cables go by the rows for level ones, with
    their spacing square to the cables and the distance between posts along them.
    """
    groups = [wires for panel in view.panels() if (wires := _wires(job, view, panel))]
    found = [(wires, wires.required()) for wires in groups]
    known = [(wires, said) for wires, said in found if said is not None]
    if not known or len(known) < len(found):
        return
    barred = [(wires, said) for wires, said in known if said.value is None]
    if barred:
        yield _barred(job, view, *barred[0])
        return
    yield _tension(job, view, *max(known, key=lambda pair: pair[1].value or 0.0))


def _wires(job: Job, view: LegView, panel: list[CableLine]) -> Wires | None:
    held, cosine = set(panel[0].group), panel[0].axis.cosine
    posts = sorted((p.s_mm, p.half_mm, p.mark) for p in view.posts if p.mark in held)
    if len(panel) < 2 or len(posts) < 2:
        return None
    spacing, low, high = max(
        (round((b.axis.z_mm - a.axis.z_mm) * cosine, 9), a.mark, b.mark) for a, b in pairwise(panel)
    )
    clear, _, width, first, last = max(
        ((b[0] - b[1] - a[0] - a[1]) / cosine, -n, a[1] + b[1], a[2], b[2])
        for n, (a, b) in enumerate(pairwise(posts))
    )
    cable = job.system.cable
    where = (low, high, first, last)
    return Wires(where, cable.diameter_mm, cable.construction, spacing, clear, width / cosine)


def _tension(job: Job, view: LegView, wires: Wires, said: Found) -> Outcome:
    assert said.value is not None
    tension = job.guard.tension_n
    fixed = Remedy("", ()) if tension >= said.value else _remedy(job, view, wires, said)
    return Outcome(
        "cable.tension",
        wires.where,
        tension,
        Bound(said.value, "at least", "N", said.clause, said.edition, said.verified),
        f"{_measured(job, wires)} are set to {tension:.0f} N; {_row(said)}, asks for "
        f"{said.value:.0f} N"
        f"{_sag(wires)}",
        fixed.words,
        fixed.edits,
    )


def _barred(job: Job, view: LegView, wires: Wires, said: Found) -> Outcome:
    """The table allows no tension there: the clear distance is what is too great."""
    values = zip(ncc_2022().tension.spans_mm, said.row.values, strict=True)
    longest = max(span for span, value in values if value is not None)
    fixed = _remedy(job, view, wires, said)
    return Outcome(
        "cable.tension",
        wires.where,
        wires.clear_mm,
        Bound(longest, "at most", "mm", said.clause, said.edition, said.verified),
        f"for {_measured(job, wires)}, {_row(said)}, allows no such wire: the tension that it "
        f"would need is more than it carries safely; it allows clear distances up to "
        f"{longest:.0f} mm",
        fixed.words,
        fixed.edits,
    )


def _measured(job: Job, wires: Wires) -> str:
    return (
        f"cables {shop(job, wires.spacing_mm)} apart over {shop(job, wires.clear_mm)} clear from "
        f"post to post (bars between do not count)"
    )


def _row(said: Found) -> str:
    return f"{said.edition}, {said.words}"


def _sag(wires: Wires) -> str:
    """How the tension is seen on site, where the other table has it."""
    found = allowed_deflection(wires.diameter_mm, wires.spacing_mm, wires.clear_mm)
    if found is None or found.value is None:
        return ""
    return (
        f"; 2 kg hung at mid-span may pull a continuous wire down by {found.value:.0f} mm "
        f"({found.clause})"
    )


def _remedy(job: Job, view: LegView, wires: Wires, said: Found) -> Remedy:
    """The first change at which the table is kept, looked up in it: tension, spacing, posts."""
    for words, edits in _tries(job, view, wires, said):
        return Remedy(words, edits)
    return Remedy("put posts and cables closer, or choose another wire of the table", ())


def _tries(
    job: Job, view: LegView, wires: Wires, said: Found
) -> Iterator[tuple[str, tuple[Edit, ...]]]:
    more = tension_edit(job, said.value) if said.value is not None else None
    if more:
        yield f"set the cables to {more.value}", (more,)
    tables = ncc_2022().tension
    rows = sorted({row.spacing_mm for row in tables.rows if row.spacing_mm < said.row.spacing_mm})
    columns = [span for span in tables.spans_mm if span < said.span_mm]
    # On a stair posts stand on treads: how near they can stand is not for the table to say.
    if view.leg.kind == "stair":
        columns = []
    nearer = [(spacing, said.span_mm) for spacing in reversed(rows)]
    nearer += [(said.row.spacing_mm, span) for span in reversed(columns)]
    for enough in (True, False):
        for spacing, span in nearer:
            edits = _edits(job, wires, spacing, span, said, as_set=enough)
            if edits:
                yield _in_words(edits), edits


def _edits(
    job: Job, wires: Wires, spacing: float, span: float, said: Found, *, as_set: bool
) -> tuple[Edit, ...]:
    """The edits that bring the wires to a row and column; none where that is not enough."""
    found = required_tension(wires.diameter_mm, wires.lay, spacing, span)
    if found is None or found.value is None:
        return ()
    edits: list[Edit] = []
    if spacing < said.row.spacing_mm:
        edits.append(Edit("guard.cable_spacing", shop(job, round_down(job, spacing))))
    if span < said.span_mm:
        posts = round_down(job, span + wires.posts_mm)
        edits.append(Edit("guard.max_post_spacing", shop(job, posts)))
    if found.value <= job.guard.tension_n + 1e-9:
        return tuple(edits)
    more = None if as_set else tension_edit(job, found.value)
    return (*edits, more) if more else ()


_WORDS = {
    "guard.cable_spacing": "space the cables {} apart",
    "guard.max_post_spacing": "put posts {} apart or less",
    "guard.tension": "set the cables to {}",
}


def _in_words(edits: tuple[Edit, ...]) -> str:
    return ", and ".join(_WORDS[edit.path].format(edit.value) for edit in edits)
