"""`cable.turns`, `cable.length`, `cable.bend`: what one cable may do before it must end."""

from __future__ import annotations

from collections.abc import Iterator

from generator.checks.outcome import Bound, Outcome, rule_bound, shop
from generator.parts.assembly import Assembly, CableDetail, Part, detail_of
from generator.parts.report import Edit


def check_cables(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the longest cable of every group of legs that cables go through."""
    groups: dict[tuple[str, tuple[str, ...]], list[Part]] = {}
    for part in assembly.of_kind("cable"):
        groups.setdefault((part.run, detail_of(part, CableDetail).posts), []).append(part)
    for cables in groups.values():
        longest = max(cables, key=lambda part: detail_of(part, CableDetail).support_length_mm)
        yield from _one(assembly, longest)


def _one(assembly: Assembly, part: Part) -> Iterator[Outcome]:
    job, detail = assembly.job, detail_of(part, CableDetail)
    turned = detail.turn_deg > 1e-9
    edits = _end_here(assembly, part) if turned else ()
    key = "practice.cable-length.turned" if turned else "practice.cable-length.straight"
    bound = rule_bound(job, key, "at most")
    assert bound.value is not None
    length = detail.support_length_mm
    yield Outcome(
        "cable.length",
        (part.mark,),
        length,
        bound,
        f"{part.mark} is {shop(job, length)} long between its ends, more than the usual "
        f"{shop(job, bound.value)}" + (" for a cable led round corners" if turned else ""),
        "end the cables at a corner: two posts, corner: pair" if turned else "end it on the way",
        edits,
    )
    if not turned:
        return
    total = rule_bound(job, "practice.cable-turn.total", "at most")
    yield Outcome(
        "cable.turns",
        (part.mark,),
        detail.turn_deg,
        total,
        f"{part.mark} turns by {detail.turn_deg:.0f} deg in all; usual is at most "
        f"{total.value:.0f} deg, one right angle or two of 45 deg, before a cable ends",
        "end the cables at a corner: two posts, corner: pair",
        edits,
    )
    cable = job.system.cable
    need = rule_bound(job, "practice.bend-factor", "at least")
    radius = cable.min_bend_mm or need.value or 0.0
    yield Outcome(
        "cable.bend",
        (part.mark,),
        cable.min_bend_mm,
        Bound(radius, "at least", "mm", need.clause, need.edition, need.verified),
        f"{cable.name} ({cable.construction}) is no cable to lead round posts",
        "choose a flexible cable, 7x7 or 7x19, or end the cables: corner: pair",
        edits,
    )


def _end_here(assembly: Assembly, part: Part) -> tuple[Edit, ...]:
    """The middle corner that the cable goes round, as one where it ends."""
    legs = detail_of(part, CableDetail).legs
    number = legs[len(legs) // 2]
    after = next(leg for leg in assembly.legs if leg.run == part.run and leg.number == number)
    stem, _, index = after.path.rpartition("[")
    place = int(index.rstrip("]"))
    return (Edit(f"{stem}[{place - 1}].corner", "pair"),) if place else ()
