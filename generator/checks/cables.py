"""`cable.turns`, `cable.length`, `cable.bend`: what one cable may do before it must end."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from generator.checks.outcome import Bound, Outcome, fine, rule_bound, shop
from generator.parts.assembly import Assembly, CableDetail, Part, PostDetail, detail_of
from generator.parts.report import Edit


def check_cables(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the longest cable of every group of legs that cables go through."""
    groups: dict[tuple[str, tuple[str, ...]], list[Part]] = {}
    for part in assembly.of_kind("cable"):
        groups.setdefault((part.run, detail_of(part, CableDetail).posts), []).append(part)
    yield from _fitting_passes(assembly)
    for cables in groups.values():
        longest = max(cables, key=lambda part: detail_of(part, CableDetail).support_length_mm)
        for outcome in _one(assembly, longest):
            yield outcome if outcome.passed else _mended(assembly, longest, outcome)


def _mended(assembly: Assembly, part: Part, outcome: Outcome) -> Outcome:
    """With the places on the way at which the cable could end."""
    from generator.checks.cable_ends import corners_on_the_way, ends_on_the_way

    find = corners_on_the_way if outcome.code == "cable.bend" else ends_on_the_way
    return replace(outcome, edits=find(assembly, part))


def _one(assembly: Assembly, part: Part) -> Iterator[Outcome]:
    job, detail = assembly.job, detail_of(part, CableDetail)
    turned = detail.turn_deg > 1e-9
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
        "end the cables at a corner: two posts, corner: pair"
        if turned
        else f"end the cables on the way, within {shop(job, bound.value)}: at a standing post "
        "(cables: anchor), or at a post between two legs in line (turn: 0)",
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
        f"{total.value:.0f} deg, one right angle or two of 45 deg, before a cable ends; friction "
        f"leaves about {_left_after(assembly, detail.turn_deg):.0%} of the tension at its far end",
        "end the cables at a corner: two posts, corner: pair",
    )
    cable = job.system.cable
    need = rule_bound(job, "practice.bend-factor", "at least")
    radius = cable.min_bend_mm or (need.value or 0.0) * cable.diameter_mm
    yield Outcome(
        "cable.bend",
        (part.mark,),
        cable.min_bend_mm,
        Bound(radius, "at least", "mm", need.clause, need.edition, need.verified),
        f"{cable.name} ({cable.construction}) is no cable to lead round posts",
        "choose a flexible cable, 7x7 or 7x19, or end the cables: corner: pair",
    )


def _left_after(assembly: Assembly, turn_deg: float) -> float:
    """Share of the tension beyond the bends, e^(-mu beta) (reference.md section 6.3)."""
    friction = assembly.job.rules.limit("practice.friction").value
    return math.exp(-friction * math.radians(turn_deg))


def _fitting_passes(assembly: Assembly) -> Iterator[Outcome]:
    """A cable with fittings on both ends from the shop must be drawn through every hole."""
    job = assembly.job
    for part in assembly.of_kind("cable"):
        detail = detail_of(part, CableDetail)
        if detail.swage != ("shop", "shop"):
            continue
        hole, mark = min(_holes_on_the_way(assembly, part.run, detail), default=(math.inf, ""))
        fitting = job.system.fitting
        widest = max(fitting.stud_mm, fitting.sleeve_mm)
        yield Outcome(
            "clash.fittings",
            (part.mark, mark),
            hole - widest,
            Bound(0.0, "at least", "mm", "fitting passes the hole", "geometry", True),
            f"both fittings of {part.mark} come swaged from the shop: at {fine(job, widest)} they "
            f"do not pass the hole in {mark}, {fine(job, hole)}",
            "swage the pulled end on site",
            (Edit("guard.swage.pulled", "field"),),
        )


def _holes_on_the_way(
    assembly: Assembly, run: str, detail: CableDetail
) -> Iterator[tuple[float, str]]:
    """(smallest size, post) of the holes between the two ends of a cable."""
    for mark in detail.posts[1:-1]:
        post = detail_of(assembly.by_mark[mark], PostDetail)
        for hole in post.drilling:
            if hole.run == run and hole.row == detail.row and hole.leg in detail.legs:
                yield min(hole.width_mm, hole.height_mm), mark
