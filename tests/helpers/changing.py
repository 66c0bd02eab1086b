"""A table of parts with some of them changed: a check that reads the table must see it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace

from generator.geometry import Vec3, add
from generator.parts.assembly import Assembly, Part

INCH = 25.4


def changed(
    assembly: Assembly, marks: str | Collection[str], change: Callable[[Part], Part]
) -> Assembly:
    """The assembly with the part of this mark changed, or those of these marks."""
    own = {marks} if isinstance(marks, str) else set(marks)
    assert own
    assert own <= set(assembly.by_mark)
    parts = (change(part) if part.mark in own else part for part in assembly.parts)
    return replace(assembly, parts=tuple(parts))


def shifted(assembly: Assembly, marks: str | Collection[str], shift: Vec3) -> Assembly:
    """The assembly with parts moved by a vector, mm."""

    def move(part: Part) -> Part:
        return replace(part, place=replace(part.place, origin=add(part.place.origin, shift)))

    return changed(assembly, marks, move)


def moved(
    assembly: Assembly, marks: str | Collection[str], x: float = 0.0, y: float = 0.0, z: float = 0.0
) -> Assembly:
    """The assembly with parts moved, inches east, north and up."""
    return shifted(assembly, marks, (x * INCH, y * INCH, z * INCH))
