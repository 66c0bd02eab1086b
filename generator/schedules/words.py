"""Measures of findings as text in the units of the job."""

from __future__ import annotations

from collections.abc import Sequence

from generator.units import format_inches, format_length_with_unit, parse_force, round_shop

_POUND_FORCE_N = parse_force("1 lbf")
# Two lengths nearer than this look alike on a tape and are told in decimals.
_CLOSE_MM = 6.35


def measured_and_limit(
    measured: float | None, limit: float | None, unit: str, *, metric: bool
) -> str:
    """Such as `measured 3 1/8", limit 4"`; empty where nothing was measured."""
    if measured is None:
        return ""
    close = unit == "mm" and limit is not None and abs(measured - limit) < _CLOSE_MM
    text = f"measured {_measure(measured, unit, metric, close)}"
    return text if limit is None else f"{text}, limit {_measure(limit, unit, metric, close)}"


def _measure(value: float, unit: str, metric: bool, decimals: bool) -> str:
    if unit == "mm":
        return _length(value, metric, decimals)
    if unit == "N" and not metric:
        return f"{value / _POUND_FORCE_N:.2f} lbf"
    if unit == "ratio":
        return f"{value * 100:.0f} %"
    if unit == "deg":
        return f"{value + 0.0:.2f}°"
    number = f"{value:.2f}" if unit else f"{value:g}"
    return f"{number} {unit}".rstrip()


def _length(mm: float, metric: bool, decimals: bool) -> str:
    if not decimals:
        return format_length_with_unit(mm, metric)
    return f"{mm + 0.0:.2f} mm" if metric else format_inches(mm)


def bay_words(bays_mm: Sequence[float], *, metric: bool) -> str:
    """Bays as a tape shows them, equal neighbours counted, such as `4 at 5'-8 11/16"`.

    Positions are rounded, bays are their differences, so that the chain adds up.
    """
    groups: list[tuple[str, int]] = []
    position = shown = 0.0
    for bay in bays_mm:
        position += bay
        rounded = round_shop(position, metric)
        text = format_length_with_unit(rounded - shown, metric)
        shown = rounded
        if groups and groups[-1][0] == text:
            groups[-1] = (text, groups[-1][1] + 1)
        else:
            groups.append((text, 1))
    return ", ".join(f"{count} at {text}" if count > 1 else text for text, count in groups)
