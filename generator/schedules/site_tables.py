"""Schedules for work on site: setting out of posts, blocking, tension and threads."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from generator.parts.assembly import Assembly, CableDetail, LegLine, detail_of
from generator.parts.assumed import assumed_widths
from generator.parts.setting_out import BlockSpot, PostSpot, block_spots, post_spots
from generator.parts.tensioning import Pulling, pullings
from generator.schedules.table import Cell, Column, Table
from generator.units import format_length

_LBF_N = 4.4482216152605

_POSTS = (
    Column("run", "Run"),
    Column("leg", "Leg", right=True),
    Column("mark", "Post"),
    Column("on", "Stands on"),
    Column("station_mm", label="Running", unit="mm"),
    Column("offset_mm", label="Off edge", unit="mm"),
    Column("level_mm", label="Base level", unit="mm"),
    Column("rail_top_mm", label="Top of rail", unit="mm"),
    Column("string_low_mm", label="Lowest string", unit="mm"),
    Column("string_high_mm", label="Highest string", unit="mm"),
    Column("setback_mm", label="Setback", unit="mm"),
    Column("station", "Running", right=True, spells="station_mm", unit="ft-in"),
    Column("offset", "Off edge", right=True, spells="offset_mm", unit="ft-in"),
    Column("level", "Base level", right=True, spells="level_mm", unit="ft-in"),
    Column("rail_top", "Top of rail", right=True, spells="rail_top_mm", unit="ft-in"),
    Column("string_low", "Lowest string", right=True, spells="string_low_mm", unit="ft-in"),
    Column("string_high", "Highest string", right=True, spells="string_high_mm", unit="ft-in"),
    Column("setback", "Setback", right=True, spells="setback_mm", unit="ft-in"),
)
_RUNNING = (
    "Running: level, from the start of the leg's measured edge to the post's centre; less than 0 "
    "is before it. Off edge: from the edge to the post's centre, toward the walking surface; less "
    "than 0 is outside. Setback: from the nosing of its tread back to the post's centre."
)
_HEIGHTS = (
    "Base level: underside of the base over the walking surface where the leg starts. Top of rail, "
    "lowest and highest string: over the deck or tread at the post, the strings along the axes of "
    "the lowest and highest cable."
)
POST_NOTES = (_RUNNING, _HEIGHTS)
_BLOCKS = (
    Column("run", "Run"),
    Column("leg", "Leg", right=True),
    Column("mark", "Block"),
    Column("post", "Under"),
    Column("size", "Size"),
    Column("length_mm", label="Length", unit="mm"),
    Column("start_station_mm", label="Running, first end", unit="mm"),
    Column("end_station_mm", label="Running, other end", unit="mm"),
    Column("start_offset_mm", label="Off edge, first end", unit="mm"),
    Column("end_offset_mm", label="Off edge, other end", unit="mm"),
    Column("below_mm", label="Top below", unit="mm"),
    Column("length", "Length", right=True, spells="length_mm", unit="ft-in"),
    Column("station", "Running", right=True),
    Column("offset", "Off edge", right=True),
    Column("below", "Top below", right=True, spells="below_mm", unit="ft-in"),
)
_BLOCK_NOTE = (
    "Running and off edge as for the posts, to the middle of the block's ends. Top below: its "
    "upper face under the walking surface where the leg starts."
)
BLOCK_NOTES = (_BLOCK_NOTE,)
_TENSION = (
    Column("run", "Run"),
    Column("legs", "Leg"),
    Column("mark", "Cable"),
    Column("row", "Row", right=True),
    Column("order", "Pull", right=True),
    Column("pulled_at", "At"),
    Column("tension_n", label="Set to", unit="N"),
    Column("tension", "Set to", right=True, spells="tension_n"),
    Column("takeup_mm", label="Take-up", unit="mm"),
    Column("room_mm", label="Room", unit="mm"),
    Column("takeup", "Take-up", right=True, spells="takeup_mm", unit="ft-in"),
    Column("room", "Room", right=True, spells="room_mm", unit="ft-in"),
    Column("turns", "Turns", right=True),
    Column("threads", "Threads", right=True),
    Column("note", "Note"),
)
_PULL = (
    "Pull in the order given, leg by leg, in two passes or more, until a gauge reads the set "
    "tension on every cable: the turns only say where to begin (common practice, no source)."
)
_TAKE_UP = (
    "Take-up is stretch under tension and the bedding in of a new strand; posts are taken as "
    "stiff, and what they give comes on top. Room: until the nut is at the end of the thread, or "
    "the sleeve at the post. Turns of the nut, and threads that then stand out behind it, with the "
    "stud's tip flush with its nut before."
)
_CALCULATED = (
    "As in the calculation of strength. Pull in the order given, leg by leg: set each cable to "
    "what is told for it, in as many passes as there are values. Those pulled after it slacken it "
    "again, since posts and rail give; at the end every cable has {tension}. A gauge confirms it."
)
_CALCULATED_TAKE_UP = (
    "Take-up is stretch under tension, the bedding in of a new strand and what posts give. Room: "
    "until the nut is at the end of the thread, or the sleeve at the post. Turns of the nut, and "
    "threads that then stand out behind it, with the stud's tip flush with its nut before."
)


def _text(metric: bool) -> Callable[[float | None], str]:
    return lambda mm: "" if mm is None else format_length(mm, metric)


def setting_out(assembly: Assembly) -> Table:
    """A row a post and leg: a post at a corner is told from both of its edges."""
    rows = [
        _post_row(assembly, leg, spot)
        for leg in assembly.legs
        for spot in post_spots(assembly, leg)
    ]
    return Table("Setting out", _POSTS, tuple(rows), POST_NOTES)


def _post_row(assembly: Assembly, leg: LegLine, spot: PostSpot) -> tuple[Cell, ...]:
    text = _text(assembly.job.metric)
    lengths = (
        spot.station_mm,
        spot.offset_mm,
        spot.level_mm,
        spot.rail_top_mm,
        spot.string_low_mm,
        spot.string_high_mm,
        spot.setback_mm,
    )
    return (leg.run, leg.number, spot.mark, spot.on, *lengths, *map(text, lengths))


def blocking_list(assembly: Assembly) -> Table:
    """A row a block, with both of its ends from the measured edge."""
    rows = [_block_row(assembly, leg, spot) for leg, spot in block_spots(assembly)]
    notes = (*BLOCK_NOTES, *assumed_widths(assembly))
    return Table("Blocking", _BLOCKS, tuple(rows), notes)


def _block_row(assembly: Assembly, leg: LegLine, spot: BlockSpot) -> tuple[Cell, ...]:
    text = _text(assembly.job.metric)
    return (
        leg.run,
        leg.number,
        spot.mark,
        spot.post,
        spot.item,
        spot.length_mm,
        *spot.station_mm,
        *spot.offset_mm,
        spot.below_mm,
        text(spot.length_mm),
        _span(text, spot.station_mm),
        _span(text, spot.offset_mm),
        text(spot.below_mm),
    )


def _span(text: Callable[[float | None], str], ends: Sequence[float]) -> str:
    """From one end to the other; one measure where both are as far."""
    first, last = (text(end) for end in ends)
    return first if first == last else f"{first} to {last}"


def tension_list(assembly: Assembly) -> Table:
    """A row a cable in the order of the table of parts."""
    rows = [_tension_row(assembly, one) for one in pullings(assembly)]
    return Table("Tension", _TENSION, tuple(rows), tension_notes(assembly))


def tension_notes(assembly: Assembly) -> tuple[str, ...]:
    """How the list is to be read: calculated, or with posts that are taken as stiff."""
    if assembly.pulls is None:
        return (_PULL, _TAKE_UP)
    tension = force_text(assembly.job.guard.tension_n, assembly.job.metric)
    return (_CALCULATED.format(tension=tension), _CALCULATED_TAKE_UP)


def _tension_row(assembly: Assembly, one: Pulling) -> tuple[Cell, ...]:
    part = assembly.by_mark[one.mark]
    detail, metric = detail_of(part, CableDetail), assembly.job.metric
    text = _text(metric)
    return (
        part.run,
        " ".join(str(leg) for leg in detail.legs),
        one.mark,
        detail.row,
        one.order,
        one.pulled_at,
        (one.passes_n or (one.tension_n,))[-1],
        " then ".join(force_text(force, metric) for force in one.passes_n or (one.tension_n,)),
        one.takeup_mm,
        one.room_mm,
        text(one.takeup_mm),
        text(one.room_mm),
        f"{one.turns:.1f}",
        f"{one.threads:.0f}",
        "" if one.takeup_mm <= one.room_mm else "more than there is room for",
    )


def force_text(force_n: float, metric: bool) -> str:
    """A force in lbf or N with its unit."""
    return f"{force_n:.0f} N" if metric else f"{force_n / _LBF_N:.0f} lbf"
