"""Measures in the words of the shop: what a tape shows, what a drill needs, which bit to take."""

from __future__ import annotations

import math

from generator.frozen import dataclass
from generator.parts.setups import Tool
from generator.spec.job import Job
from generator.units import INCH_MM, format_inches, format_length_with_unit

_BIT_MM = 25.4 / 64  # fractional bits come in 64ths of an inch (common practice, no source)
_METRIC_BIT_MM = 0.1  # metric bits in tenths of a millimetre (common practice, no source)
_EQUAL_MM = 0.01
_MARKS_TO_THE_INCH = (16, 32, 64)  # of steel rules (common practice, no source)
_TENTH_MM = 0.1
_NOISE_MM = 1e-6  # a half that floats hold a little short still goes up


def taped(mm: float, *, metric: bool) -> str:
    """A length as a tape shows it, to 1/16 in or a tenth of a millimetre."""
    return format_length_with_unit(mm, metric)


@dataclass(frozen=True, slots=True)
class Fine:
    """How finely a stop has to be told: rounding may use up half of what a hole is too large.

    `play_mm` is how far the centre of a cable or stud may lie off that of its hole, either way.
    """

    metric: bool
    play_mm: float

    def words(self, mm: float) -> str:
        """A height on the coarsest marks whose spacing is no more than the play, else decimals."""
        if self.metric:
            return taped(mm, metric=True) if self.play_mm >= _TENTH_MM else self.decimals(mm)
        for count in _MARKS_TO_THE_INCH:
            if INCH_MM / count <= self.play_mm + _NOISE_MM:
                return format_length_with_unit(mm, metric=False, denominator=count)
        return self.decimals(mm)

    def decimals(self, mm: float) -> str:
        """For a stop that is set by numbers."""
        return exact(mm, metric=self.metric)


def fineness(job: Job) -> Fine:
    """What the tightest clearance of the job's posts and spacers asks for."""
    system = job.system
    clearance = min(system.post.hole_clearance_mm, system.spacer.hole_clearance_mm)
    return Fine(job.metric, clearance / 2)


def exact(mm: float, *, metric: bool) -> str:
    """A drill's measure: thousandths of an inch, or hundredths of a millimetre."""
    mm += math.copysign(_NOISE_MM, mm)
    if metric:
        text = f"{mm:.2f}".rstrip("0").rstrip(".")
        return f"{'0' if text in ('-0', '') else text} mm"
    return format_inches(mm)


def bit(mm: float, *, metric: bool) -> str:
    """The smallest bit or mill of the usual series that is not under a diameter."""
    step = _METRIC_BIT_MM if metric else _BIT_MM
    count = math.ceil((mm - _EQUAL_MM) / step)
    if metric:
        return f"{count * step:.1f} mm"
    return format_length_with_unit(count * step, metric=False, denominator=64)


def tool_words(tool: Tool, *, metric: bool) -> str:
    """What makes a hole: the bit for a round one, the mill and the slot's length and way."""
    size = bit(tool.width_mm, metric=metric)
    if tool.slot:
        way = "along" if tool.slot_deg == 0.0 else "across"
        return f"{size} mill, slot {exact(tool.length_mm, metric=metric)} long {way} the piece"
    tilted = tilt_words(tool)
    return f"{size} bit{f', {tilted}' if tilted else ''}"


def size_words(tool: Tool, *, metric: bool) -> str:
    """Round with its diameter, or a slot with width and length."""
    width = exact(tool.width_mm, metric=metric)
    if not tool.slot:
        return f"round {width}"
    return f"slot {width} × {exact(tool.length_mm, metric=metric)}"


def tilt_words(tool: Tool) -> str:
    """How a hole through solid wood leans, empty for one square to its face."""
    across, along = tool.lean
    words = []
    if along:
        way = "up" if along > 0.0 else "down"
        words.append(f"{math.degrees(math.atan(abs(along))):.1f}° {way} as it goes in")
    if across:
        words.append(f"{math.degrees(math.atan(abs(across))):.1f}° sideways")
    return " and ".join(words)


def offset_words(offset_mm: float, *, metric: bool) -> str:
    """How far a hole lies off the middle of its face, seen from outside."""
    if abs(offset_mm) < _EQUAL_MM:
        return "middle"
    side = "right" if offset_mm > 0.0 else "left"
    return f"{exact(abs(offset_mm), metric=metric)} {side}"
