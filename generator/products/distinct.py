"""The distinct parts of a guard as a fabricator files them: a file name each, and their marks."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from generator.frozen import dataclass
from generator.parts.assembly import Kind
from generator.products.product import Solid

# Cut piece by piece and known by their marks; anything else is known by what it is ordered as.
_MARKED: frozenset[Kind] = frozenset({"post", "rail", "spacer", "handrail", "cable", "blocking"})
_LONGEST = 60
# Names that no file may have on one system or another, whatever follows after a dot.
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
)


@dataclass(frozen=True, slots=True)
class DistinctPart:
    """One distinct part: `file` is the stem of its files' names, `marks` are all that are equal."""

    file: str
    solid: Solid
    marks: tuple[str, ...]


def filed(found: Iterable[tuple[Solid, tuple[str, ...]]]) -> tuple[DistinctPart, ...]:
    """Distinct parts with file names that differ, also where case counts for nothing."""
    taken: set[str] = set()
    parts: list[DistinctPart] = []
    for solid, marks in found:
        text = f"{solid.kind}-{marks[0]}" if solid.kind in _MARKED else solid.name
        name = stem = safe_name(text)
        count = 1
        while name.lower() in taken:
            count += 1
            name = f"{stem}-{count}"
        taken.add(name.lower())
        parts.append(DistinctPart(name, solid, marks))
    return tuple(parts)


def safe_name(text: str) -> str:
    """A file name of plain letters, digits, dots, dashes and underscores, at most 60 long.

    It ends in none of these signs and is the name of no device, so that every system takes it.
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode("ascii")
    name = re.sub(r"[^A-Za-z0-9._-]+", "-", plain)
    name = re.sub(r"-{2,}", "-", name)[:_LONGEST].strip("-._") or "part"
    return f"part-{name}" if name.split(".")[0].lower() in _DEVICES else name
