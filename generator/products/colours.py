"""Colours of the model, one for each kind of part, so that a person finds things at a glance."""

from __future__ import annotations

from generator.parts.assembly import Kind

Colour = tuple[float, float, float]

_ALUMINIUM: Colour = (0.72, 0.74, 0.76)
_DARK: Colour = (0.27, 0.30, 0.33)
_STEEL: Colour = (0.55, 0.58, 0.62)
_ZINC: Colour = (0.62, 0.60, 0.52)
_DECKING: Colour = (0.70, 0.53, 0.36)
_FRAMING: Colour = (0.83, 0.71, 0.51)
_BLOCKING: Colour = (0.86, 0.60, 0.30)  # told from the framing that stands there already
_STANDING: Colour = (0.58, 0.49, 0.42)
_PLASTER: Colour = (0.89, 0.87, 0.82)

COLOURS: dict[Kind, Colour] = {
    "post": _ALUMINIUM,
    "base-plate": _ALUMINIUM,
    "side-plate": _ALUMINIUM,
    "stand-off": _ALUMINIUM,
    "bracket": _ALUMINIUM,
    "spacer": _ALUMINIUM,
    "rail": _DARK,
    "sleeve": _ALUMINIUM,
    "connector": _ALUMINIUM,
    "handrail": _DARK,
    "handrail-bracket": _STEEL,
    "cable": _STEEL,
    "fitting": _STEEL,
    "seat": _STEEL,
    "washer": _STEEL,
    "nut": _STEEL,
    "anchor": _ZINC,
    "blocking": _BLOCKING,
    "column": _STANDING,
    "deck": _DECKING,
    "tread": _DECKING,
    "riser": _DECKING,
    "stringer": _FRAMING,
    "joist": _FRAMING,
    "rim": _FRAMING,
    "floor": (0.63, 0.63, 0.60),
    "wall": _PLASTER,
    "obstacle": _STANDING,
}
"""Red, green and blue from 0 to 1, as they look on a screen (sRGB)."""
