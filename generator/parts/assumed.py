"""What is ordered to a length that nobody measured: told, so that it is confirmed on site."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from generator.parts.assembly import Assembly, Part, PostDetail, detail_of
from generator.parts.bases import decking_mm
from generator.parts.reference import STAIR_WIDTH_MM
from generator.spec.job import Stair
from generator.units import format_length_with_unit


def assumed_notes(assembly: Assembly) -> Iterator[str]:
    """A line each for blocks cut to an assumed width, and for bolts through assumed wood."""
    yield from assumed_widths(assembly)
    yield from _assumed_wood(assembly)


def assumed_widths(assembly: Assembly) -> Iterator[str]:
    """Blocks under treads of stairs whose width the spec does not state."""
    stated = {
        item.path: item.width_mm
        for run in assembly.job.runs
        for item in run.legs
        if isinstance(item, Stair)
    }
    stairs = {
        (leg.run, leg.number)
        for leg in assembly.legs
        if leg.path in stated and not stated[leg.path]
    }
    found = [part for part in assembly.of_kind("blocking") if _under_tread(assembly, part, stairs)]
    if found:
        width = format_length_with_unit(STAIR_WIDTH_MM, assembly.job.metric)
        yield (
            f"MEASURE BEFORE CUTTING: {_listed(found)} lie between stringers, and the spec states "
            f"no width of the stair. Their length is for an assumed width of {width}: cut them to "
            "what is measured on site between the stringers, or state stair.width."
        )


def _under_tread(assembly: Assembly, block: Part, stairs: set[tuple[str, int]]) -> bool:
    post = assembly.by_mark.get(f"P{block.mark.removeprefix('BL').split('-')[0]}")
    if post is None or detail_of(post, PostDetail).tread is None:
        return False
    return bool(stairs & {(post.run, post.leg + more) for more in (0, 1)})


def _assumed_wood(assembly: Assembly) -> Iterator[str]:
    """Anchors of posts on a deck where what they go into is not told."""
    job, untold = assembly.job, []
    joists = job.structure.joists if job.structure else None
    ramps = {mark for leg in assembly.legs if leg.kind == "ramp" for mark in leg.posts}
    for post in assembly.of_kind("post"):
        detail = detail_of(post, PostDetail)
        if detail.mount != "deck" or detail.place == "tread":
            continue
        if joists is None or post.mark in ramps or detail.place == "lower-floor":
            untold.append(post)
    owners = {post.mark for post in untold}
    bolts = Counter(part.item for part in assembly.of_kind("anchor") if part.belongs_to in owners)
    if not bolts:
        return
    what = "; ".join(f"{count} of {item}" for item, count in bolts.items())
    boards = format_length_with_unit(decking_mm(job), job.metric)
    yield (
        f"CONFIRM BEFORE ORDERING: {what} at {_listed(untold)}, where the spec does not tell what "
        f"the post stands on. Their length is for {boards} of floor and what lies under it as on "
        "the framed deck; measure what is there."
    )


def _listed(parts: list[Part]) -> str:
    return ", ".join(part.mark for part in parts)
