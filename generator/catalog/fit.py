"""Tells whether the profiles of a guard go together: cable and fitting, stud and post, the rest."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.catalog.tables import (
    Anchor,
    Bracket,
    Cable,
    Entry,
    Fitting,
    Post,
    Profile,
    Rail,
    Spacer,
)
from generator.frozen import dataclass

_SAME_MM = 0.02
"""Two measures this near are one: 4 mm and 5/32 in are not, rounded decimals are."""


@dataclass(frozen=True, slots=True)
class Misfit:
    """Two profiles that do not go together; `part` is the one to change, by its word in a spec."""

    part: str
    read: str
    accepted: str


def misfits(
    post: Post,
    rail: Rail,
    bracket: Bracket,
    cable: Cable,
    fitting: Fitting,
    anchor: Anchor,
    spacer: Spacer,
) -> tuple[Misfit, ...]:
    """Everything that keeps these profiles from being put together; empty where they fit."""
    return (
        *_fitting(post, cable, fitting),
        *_hardware(post, rail, bracket, anchor),
        *_spacer(cable, spacer),
    )


def unmountable(post: Post, mount: str) -> Iterator[tuple[str, str]]:
    """What keeps a post from a mounting other than its base plate: what was read, what is accepted.

    `mount` is `fascia`, also for a stringer, or `core`; a deck takes every post.
    """
    if mount == "fascia":
        yield from _at_fascia(post)
    elif mount == "core":
        yield from _cored(post)


def _at_fascia(post: Post) -> Iterator[tuple[str, str]]:
    if post.side_plate_mm == 0:
        keys = "side_plate, its height, thickness and bolts, and standoff"
        yield f"{post.name}, whose side_plate is 0", f"a post with {keys}"
        return
    if post.side_plate_mm < post.width_mm:
        accepted = f"at least as wide as the tube, {_text(post, 'width')}"
        yield f"{post.name}, side_plate {_text(post, 'side_plate')}", accepted
    if post.side_plate_mm <= post.bolt_spacing_mm + post.bolt_hole_mm:
        spacing = f"bolt_spacing {_text(post, 'bolt_spacing')} and a bolt_hole"
        yield f"{post.name}, side_plate {_text(post, 'side_plate')}", f"wider than {spacing}"


def _cored(post: Post) -> Iterator[tuple[str, str]]:
    if post.core_hole_mm == 0:
        yield (
            f"{post.name}, whose core_hole is 0",
            "a post with core_hole, core_depth and core_edge",
        )
        return
    round_mm = 2 * post.corner_mm
    tube_mm = math.hypot(post.width_mm - round_mm, post.depth_mm - round_mm) + round_mm
    if post.core_hole_mm <= tube_mm:
        accepted = f"a hole wider than the tube from corner to corner, {tube_mm:.1f} mm"
        yield f"{post.name}, core_hole {_text(post, 'core_hole')}", accepted


def _fitting(post: Post, cable: Cable, fitting: Fitting) -> Iterator[Misfit]:
    if abs(fitting.cable_mm - cable.diameter_mm) > _SAME_MM:
        yield Misfit(
            "fitting",
            f"{fitting.name}, for cable of {_text(fitting, 'cable')}",
            f"a fitting for {cable.name}, {_text(cable, 'diameter')}",
        )
    if fitting.stud_mm + post.hole_clearance_mm >= post.depth_mm - 2 * post.wall_mm:
        yield Misfit(
            "fitting",
            f"{fitting.name}, stud {_text(fitting, 'stud')}",
            f"a stud whose hole fits within the walls of {post.name}",
        )
    # Room between post and sleeve on a level leg, the stud's tip flush with its nut.
    held_mm = post.width_mm + fitting.washer_thickness_mm + fitting.nut_height_mm
    room_mm = fitting.overall_mm - fitting.sleeve_length_mm - held_mm
    if room_mm < 0:
        yield Misfit(
            "fitting",
            f"{fitting.name}, whose sleeve would begin {-room_mm:.1f} mm inside the post",
            f"a longer stud: {post.name} is {_text(post, 'width')} through",
        )


def _hardware(post: Post, rail: Rail, bracket: Bracket, anchor: Anchor) -> Iterator[Misfit]:
    if anchor.diameter_mm > post.bolt_hole_mm:
        yield Misfit(
            "anchor",
            f"{anchor.name}, {_text(anchor, 'diameter')}",
            f"at most {_text(post, 'bolt_hole')}, the bolt hole of {post.name}",
        )
    if bracket.width_mm > rail.width_mm:
        yield Misfit(
            "bracket",
            f"{bracket.name}, {_text(bracket, 'width')} wide",
            f"at most {_text(rail, 'width')}, the width of {rail.name}",
        )


def _spacer(cable: Cable, spacer: Spacer) -> Iterator[Misfit]:
    hole_mm = cable.max_diameter_mm + spacer.hole_clearance_mm
    if hole_mm >= spacer.width_mm:
        yield Misfit(
            "spacer",
            f"{spacer.name}, {_text(spacer, 'width')} wide",
            f"wider than its hole for {cable.name}, {hole_mm:.1f} mm",
        )
    elif hole_mm / 2 >= spacer.end_distance_mm:
        yield Misfit(
            "spacer",
            f"{spacer.name}, {_text(spacer, 'end_distance')} from hole to end",
            f"more than half its hole for {cable.name}, {hole_mm:.1f} mm",
        )


def _text(profile: Profile, key: str) -> str:
    """A value as its profile gives it."""
    entry: Entry = next(entry for entry in profile.entries if entry.field == key)
    return entry.text
