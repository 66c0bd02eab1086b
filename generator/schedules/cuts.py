"""The cut list: a row a piece of rail, post, spacer and handrail, with lengths and saw settings."""

from __future__ import annotations

from typing import Literal

from generator.parts.assembly import Assembly, Part, RailDetail
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.shapes import EndPlane, Prism
from generator.schedules.table import Cell, Column, Table
from generator.spec.job import Job
from generator.units import format_length

End = Literal["start", "end"]

_COLUMNS = (
    Column("mark", "Mark"),
    Column("piece", "Piece"),
    Column("run", "Run"),
    Column("leg", "Leg", right=True),
    Column("section", "Section"),
    Column("long_point_mm", label="Long point", unit="mm"),
    Column("short_point_mm", label="Short point", unit="mm"),
    Column("centre_mm", label="Centre", unit="mm"),
    Column("start_miter_deg", label="Start miter", unit="deg"),
    Column("start_bevel_deg", label="Start bevel", unit="deg"),
    Column("end_miter_deg", label="End miter", unit="deg"),
    Column("end_bevel_deg", label="End bevel", unit="deg"),
    Column("long_point", "Long point", right=True, spells="long_point_mm", unit="ft-in"),
    Column("short_point", "Short point", right=True, spells="short_point_mm", unit="ft-in"),
    Column("centre", "Centre", right=True, spells="centre_mm", unit="ft-in"),
    Column("on_table", "On the table"),
    Column("start_cut", "Start cut"),
    Column("end_cut", "End cut"),
    Column("start_on", "Starts at"),
    Column("end_on", "Ends at"),
)

# What the sides of a piece are called: x+, x-, y+, y- of its own frame.
_SIDES = {
    "rail": ("left", "right", "top", "underside"),
    "post": ("front", "back", "left", "right"),
    "spacer": ("front", "back", "left", "right"),
    # A round bar has none of its own: those of the pitched piece as it lies.
    "handrail": ("left", "right", "top", "underside"),
}


def cut_list(assembly: Assembly) -> Table:
    """One row a piece, in the order of the marks of each kind; equal pieces are not merged.

    Angles are those of the saw with the piece on the side named, 0 for a square cut. Rails and
    handrails start where the travel starts, posts and spacers at the foot.
    """
    rows = [
        _row(assembly.job, part)
        for kind in ("rail", "post", "spacer", "handrail")
        for part in assembly.of_kind(kind)
    ]
    return Table("Cut list", _COLUMNS, tuple(rows))


def _row(job: Job, part: Part) -> tuple[Cell, ...]:
    lengths = rail_lengths(part)
    detail = part.detail
    on = (detail.start_on, detail.end_on) if isinstance(detail, RailDetail) else ("", "")
    return (
        part.mark,
        part.kind,
        part.run,
        part.leg,
        _section(job, part),
        *lengths,
        *cut_angles(part, "start"),
        *cut_angles(part, "end"),
        *(format_length(length, job.metric) for length in lengths),
        _on_table(part),
        cut_words(part, "start"),
        cut_words(part, "end"),
        *on,
    )


def _section(job: Job, part: Part) -> str:
    if isinstance(part.detail, RailDetail):
        return part.detail.section
    return job.system.post.name if part.kind == "post" else job.system.spacer.name


def _on_table(part: Part) -> str:
    """The side that lies on the saw's table for the angles given: the one facing local -y."""
    square = all(a == 0.0 for end in ("start", "end") for a in cut_angles(part, end))
    return "any side" if square else _SIDES[part.kind][3]


def cut_words(part: Part, end: End) -> str:
    """A cut as a sawyer says it: its angles, and which sides of the piece are left longer."""
    miter, bevel = (abs(angle) for angle in cut_angles(part, end))
    left, right, top, under = _SIDES[part.kind]
    plane = _plane(part, end)
    outward = 1.0 if end == "end" else -1.0
    words = []
    if miter >= 0.05:
        side = left if plane.slope_x * outward > 0 else right
        words.append(f"miter {miter:.1f}°, {side} longer")
    if bevel >= 0.05:
        side = top if plane.slope_y * outward > 0 else under
        words.append(f"bevel {bevel:.1f}°, {side} longer")
    return "; ".join(words) or "square"


def _plane(part: Part, end: End) -> EndPlane:
    if not isinstance(part.shape, Prism):
        raise TypeError(f"{part.mark} is no straight piece")
    return part.shape.start if end == "start" else part.shape.end
