"""What changed since a former build: marks to be clouded, and the row of the revision table."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from generator.drawings import layers
from generator.drawings.front import front
from generator.drawings.project import PLAN, Plane, silhouette
from generator.drawings.view import Arc, Item, Outline, Scale, Text, View
from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.spec.job import Revision

_LISTED = 8  # marks that a row names before it counts
_SCALLOP = 4.0  # plotted mm from cusp to cusp
_ROOM = 2.5
_KINDS = ("posts", "rails", "cables")
_EQUAL = 1e-3  # mm and degrees; documents are rounded


@dataclass(frozen=True, slots=True)
class Changes:
    """Marks of parts that are new or not as they were, and marks that are gone."""

    changed: tuple[str, ...]
    removed: tuple[str, ...]

    def row(self, before: Sequence[Revision], date: str, by: str) -> Revision | None:
        """The revision's own row; None where nothing changed."""
        words = []
        if self.changed:
            words.append(f"changed: {_listed(self.changed)}")
        if self.removed:
            words.append(f"removed: {_listed(self.removed)}")
        if not words:
            return None
        return Revision(_next_mark([row.mark for row in before]), date, "; ".join(words), by)


def changes_since(path: Path, now: Mapping[str, Any]) -> Changes:
    """Compares a former results document with the one of today, both as plain values.

    Raises:
        InputError: the file cannot be read, or is no results document.
    """
    try:
        former = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise _refused(path, error.strerror or "cannot be read") from None
    except (UnicodeDecodeError, json.JSONDecodeError):
        raise _refused(path, "is no JSON") from None
    if not isinstance(former, dict) or not all(
        isinstance(former.get(kind), list) for kind in _KINDS
    ):
        raise _refused(path, "holds no posts, rails and cables")
    changed: list[str] = []
    removed: list[str] = []
    for kind in _KINDS:
        was, is_ = _by_mark(former[kind]), _by_mark(now[kind])
        changed += [mark for mark, part in is_.items() if not _same(was.get(mark), part)]
        removed += [mark for mark in was if mark not in is_]
    return Changes(tuple(changed), tuple(removed))


def _refused(path: Path, words: str) -> InputError:
    accepted = "the results.json of a former build"
    return InputError(
        [Problem(str(path), 0, 0, "drawings.since", f"a file that {words}", accepted)]
    )


def _by_mark(entries: Sequence[Any]) -> dict[str, Any]:
    return {str(e["mark"]): e for e in entries if isinstance(e, dict) and "mark" in e}


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, float | int) and isinstance(b, float | int):
        return math.isclose(a, b, rel_tol=0.0, abs_tol=_EQUAL)
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(_same(a[key], b[key]) for key in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
    return a == b


def _listed(marks: Sequence[str]) -> str:
    more = len(marks) - _LISTED
    return ", ".join(marks[:_LISTED]) + (f" and {more} more" if more > 0 else "")


def _next_mark(marks: Sequence[str]) -> str:
    """The letter or number after the last one."""
    last = marks[-1] if marks else ""
    if last.isdigit():
        return str(int(last) + 1)
    if len(last) == 1 and "A" <= last.upper() < "Z":
        return chr(ord(last.upper()) + 1)
    return f"{last}1" if last else "A"


def clouded(view: View, scale: Scale, assembly: Assembly, changes: Changes, mark: str) -> View:
    """The view with a cloud around whatever of it changed; other views stay as they are."""
    plane, marks = _shown(view, assembly)
    if plane is None:
        return view
    parts = [assembly.by_mark[m] for m in changes.changed if m in marks]
    room = scale.plotted(_ROOM)
    fields = []
    for part in parts:
        if part.kind == "cable":
            continue
        x0, y0, x1, y1 = silhouette(part, plane).bounds
        fields.append((x0 - room, y0 - room, x1 + room, y1 + room))
    items = list(view.items)
    for field in _joined(fields):
        items += _cloud(field, scale)
    if fields and mark:
        items += _flag(view, scale, mark)
    return View(view.name, view.title, tuple(items))


def _shown(view: View, assembly: Assembly) -> tuple[Plane | None, set[str]]:
    """The picture plane of a view and the marks of what it shows."""
    if view.name == "plan":
        return PLAN, {part.mark for part in assembly.parts}
    for leg in assembly.legs:
        name = f"{leg.run}-{leg.number}"
        if view.name in (name, f"section-{name}"):
            return front(assembly, leg).plane, {*leg.posts, *leg.rails}
    return None, set()


def _joined(fields: Sequence[tuple[float, float, float, float]]) -> list[tuple[float, ...]]:
    """Fields that meet become one."""
    found: list[tuple[float, ...]] = []
    for field in fields:
        new: tuple[float, ...] = field
        while True:
            near = [old for old in found if _meets(old, new)]
            if not near:
                break
            found = [old for old in found if old not in near]
            both = [*near, new]
            low = [min(f[k] for f in both) for k in (0, 1)]
            new = (*low, *(max(f[k] for f in both) for k in (2, 3)))
        found.append(new)
    return found


def _meets(a: Sequence[float], b: Sequence[float]) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _cloud(field: Sequence[float], scale: Scale) -> Iterator[Item]:
    """Scallops along the sides of a rectangle, bulging outward."""
    x0, y0, x1, y1 = field
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    for k, (a, b) in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True)):
        count = max(1, round(math.dist(a, b) / scale.plotted(_SCALLOP)))
        radius = math.dist(a, b) / count / 2
        for n in range(count):
            t = (n + 0.5) / count
            centre = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            start = 180.0 + 90.0 * k
            yield Arc(centre, radius, layers.CLOUDS, start % 360.0, start % 360.0 + 180.0)


def _flag(view: View, scale: Scale, mark: str) -> Iterator[Item]:
    """The revision's mark in a triangle, over the upper left corner of the view."""
    x, _, _, y = view.bounds
    side = scale.plotted(9.0)
    low = y + scale.plotted(2.0)
    tip = (x + side / 2, low + side * math.sqrt(3) / 2)
    yield Outline(((x, low), (x + side, low), tip), layers.CLOUDS)
    yield Text((x + side / 2, low + side * 0.3), mark, scale.small, layers.TEXT)
