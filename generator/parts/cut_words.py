"""A cut as a sawyer says it: angles, the sides left longer, the side on the table, the section."""

from __future__ import annotations

from typing import Literal

from generator.parts.assembly import Kind, Part, RailDetail
from generator.parts.measure import cut_angles
from generator.parts.shapes import EndPlane, Prism
from generator.spec.job import Job

End = Literal["start", "end"]

# What the sides of a piece are called: x+, x-, y+, y- of its own frame.
_SIDES: dict[Kind, tuple[str, str, str, str]] = {
    "rail": ("left", "right", "top", "underside"),
    "post": ("front", "back", "left", "right"),
    "spacer": ("front", "back", "left", "right"),
    # A round bar has none of its own: those of the pitched piece as it lies.
    "handrail": ("left", "right", "top", "underside"),
}


def side_names(kind: Kind) -> tuple[str, str, str, str]:
    """What the sides x+, x-, y+ and y- of a piece that is cut are called."""
    return _SIDES[kind]


def section_name(job: Job, part: Part) -> str:
    """The profile that a piece is cut from, by its name."""
    if isinstance(part.detail, RailDetail):
        return part.detail.section
    return job.system.post.name if part.kind == "post" else job.system.spacer.name


def on_table(part: Part) -> str:
    """The side that lies on the saw's table for the angles given: the one facing local -y."""
    square = all(a == 0.0 for end in ("start", "end") for a in cut_angles(part, end))
    return "any side" if square else _SIDES[part.kind][3]


def cut_words(part: Part, end: End) -> str:
    """A cut in words: its angles, and which sides of the piece are left longer."""
    miter, bevel = (abs(angle) for angle in cut_angles(part, end))
    left, right, top, under = _SIDES[part.kind]
    plane = cut_plane(part, end)
    outward = 1.0 if end == "end" else -1.0
    words = []
    if miter >= 0.05:
        side = left if plane.slope_x * outward > 0 else right
        words.append(f"miter {miter:.1f}°, {side} longer")
    if bevel >= 0.05:
        side = top if plane.slope_y * outward > 0 else under
        words.append(f"bevel {bevel:.1f}°, {side} longer")
    return "; ".join(words) or "square"


def cut_plane(part: Part, end: End) -> EndPlane:
    """The plane of a cut, in the piece's own coordinates.

    Raises:
        TypeError: the part is no straight piece.
    """
    if not isinstance(part.shape, Prism):
        raise TypeError(f"{part.mark} is no straight piece")
    return part.shape.start if end == "start" else part.shape.end
