"""Views that several files and sheets show at one scale, made once for an assembly."""

from __future__ import annotations

from collections.abc import Callable

from generator.drawings.elevation import elevation_view
from generator.drawings.plan import plan_view
from generator.drawings.view import Scale, View
from generator.parts.assembly import Assembly, LegLine


def plan_at(assembly: Assembly, scale: Scale, *, refers: bool = False) -> View:
    """The plan at a scale; with `refers`, places for the numbers of other sheets are held."""
    name = "plan that refers" if refers else "plan"
    return _once(assembly, name, scale, lambda: plan_view(assembly, scale, refers=refers))


def elevation_at(assembly: Assembly, leg: LegLine, scale: Scale) -> View:
    """The elevation of a leg at a scale."""
    name = f"elevation {leg.run} {leg.number}"
    return _once(assembly, name, scale, lambda: elevation_view(assembly, leg, scale))


def _once(assembly: Assembly, name: str, scale: Scale, make: Callable[[], View]) -> View:
    key = f"{name}, {scale.denominator:g} {scale.label} {scale.metric}"
    if key not in assembly.worked_out:
        assembly.worked_out[key] = make()
    return assembly.worked_out[key]
