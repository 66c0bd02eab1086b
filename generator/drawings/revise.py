"""What changed since a former build: marks to be clouded, and the row of the revision table."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from generator.drawings import layers
from generator.drawings.front import front
from generator.drawings.lettering import Box
from generator.drawings.project import PLAN, Plane, covered, silhouette
from generator.drawings.view import Arc, Item, Line, Outline, Scale, Text, View
from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.assembly import Assembly, LegLine, Part
from generator.spec.job import Revision

_LISTED = 8  # marks that a row names before it counts
_SCALLOP = 4.0  # plotted mm from cusp to cusp
_ROOM = 2.5
_CLEAR, _GROWN = 1.0, 25.0  # plotted mm from a label; how far a cloud grows to go round some
_ROUNDS = 4
_SLACK = 1e-6
_Field = tuple[float, float, float, float]
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
        raise _refused(path, f"cannot be read ({error.strerror})") from None
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
    room = scale.plotted(_ROOM)
    fields = [
        (x0 - room, y0 - room, x1 + room, y1 + room)
        for part in (assembly.by_mark[m] for m in changes.changed if m in marks)
        for x0, y0, x1, y1 in _places(part, plane, view, assembly)
    ]
    labels = [*_labels(view)]
    kept = _joined(fields)
    for _ in range(_ROUNDS):  # one that has grown may meet another
        kept = _joined([_round_labels(field, labels, scale) for field in kept])
    items = list(view.items)
    for field in kept:
        items += (arc for arc in _cloud(field, scale) if not _on_label(arc, labels, scale))
    if mark:
        for field in kept:
            items += _flag(view, field, labels, scale, mark)
    return View(view.name, view.title, tuple(items))


def _places(part: Part, plane: Plane, view: View, assembly: Assembly) -> Iterator[_Field]:
    """Where a part is seen in a view; a cable in the elevations of the legs that it runs along."""
    if part.kind != "cable":
        yield silhouette(part, plane).bounds
        return
    for leg in assembly.legs:
        if view.name in _names(leg):
            strands = (one for group in front(assembly, leg).strands for one in group)
            for strand in strands:
                if strand.mark != part.mark:
                    continue
                ys = (strand.line.at(strand.left), strand.line.at(strand.right))
                yield strand.left, min(ys), strand.right, max(ys)


def _labels(view: View) -> Iterator[_Field]:
    """The room of all lettering, marks in circles with their circles."""
    for item in view.items:
        if isinstance(item, Arc) and item.layer == layers.SYMBOLS:
            (x, y), r = item.centre, item.radius
            yield x - r, y - r, x + r, y + r
    for box in view.boxes:
        yield box.bounds


def _round_labels(field: _Field, labels: Sequence[_Field], scale: Scale) -> _Field:
    """The field grown until no label lies across its outline, as far as that is not far."""
    reach, most = scale.plotted(_SCALLOP / 2 + _CLEAR), scale.plotted(_GROWN)
    first = field
    for _ in range(_ROUNDS * 4):
        crossing = next((one for one in labels if _crosses(field, one, reach)), None)
        if crossing is None:
            return field
        low = [min(field[k], crossing[k] - reach) for k in (0, 1)]
        high = [max(field[k], crossing[k] + reach) for k in (2, 3)]
        grown = (low[0], low[1], high[0], high[1])
        if max(abs(a - b) for a, b in zip(grown, first, strict=True)) > most:
            # Too far round: this label stays where it is, and the outline stops beside it.
            labels = [one for one in labels if one != crossing]
            continue
        field = grown
    return field


def _crosses(field: _Field, label: _Field, reach: float) -> bool:
    x0, y0, x1, y1 = field
    outer = (x0 - reach, y0 - reach, x1 + reach, y1 + reach)
    inside = (
        label[0] >= x0 + _SLACK
        and label[1] >= y0 + _SLACK
        and label[2] <= x1 - _SLACK
        and label[3] <= y1 - _SLACK
    )
    return _meets(outer, label) and not inside


def _on_label(arc: Arc, labels: Sequence[_Field], scale: Scale) -> bool:
    """Whether a scallop would run over lettering."""
    (x, y), r = arc.centre, arc.radius
    turn = round(arc.start_deg) // 90 % 4  # bulging up, left, down, right
    room = scale.plotted(_CLEAR) / 2
    field = (
        x - r * (turn != 3) - room,
        y - r * (turn != 0) - room,
        x + r * (turn != 1) + room,
        y + r * (turn != 2) + room,
    )
    return any(_meets(field, label) for label in labels)


def _names(leg: LegLine) -> tuple[str, str]:
    """Of the views that show a leg from outside."""
    name = f"{leg.run}-{leg.number}"
    return name, f"section-{name}"


def _shown(view: View, assembly: Assembly) -> tuple[Plane | None, set[str]]:
    """The picture plane of a view and the marks of what it shows."""
    if view.name == "plan":
        return PLAN, {part.mark for part in assembly.parts}
    for leg in assembly.legs:
        if view.name in _names(leg):
            return front(assembly, leg).plane, {*leg.posts, *leg.rails, *leg.cables}
    return None, set()


def _joined(fields: Sequence[_Field]) -> list[_Field]:
    """Fields that meet become one."""
    found: list[_Field] = []
    for new in fields:
        while True:
            near = [old for old in found if _meets(old, new)]
            if not near:
                break
            found = [old for old in found if old not in near]
            both = [*near, new]
            low = [min(f[k] for f in both) for k in (0, 1)]
            high = [max(f[k] for f in both) for k in (2, 3)]
            new = (low[0], low[1], high[0], high[1])
        found.append(new)
    return found


def _meets(a: _Field, b: _Field) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _cloud(field: _Field, scale: Scale) -> Iterator[Arc]:
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


def _flag(
    view: View, field: _Field, labels: Sequence[_Field], scale: Scale, mark: str
) -> Iterator[Item]:
    """The revision's mark in a triangle at a corner of its cloud, or else over the view."""
    side, gap = scale.plotted(9.0), scale.plotted(_SCALLOP / 2 + _CLEAR)
    high = side * math.sqrt(3) / 2
    x0, y0, x1, y1 = field
    corners = (
        (x0, y1 + gap), (x1 - side, y1 + gap), (x0 - gap - side, y1 - high), (x1 + gap, y1 - high),
        (x0 - gap - side, y0), (x1 + gap, y0), (x0, y0 - gap - high), (x1 - side, y0 - gap - high),
    )  # fmt: skip
    over = (view.bounds[0], view.bounds[3] + scale.plotted(2.0))
    x, low = next((at for at in corners if _bare(view, labels, at, side, scale)), over)
    tip = (x + side / 2, low + high)
    yield Outline(((x, low), (x + side, low), tip), layers.CLOUDS)
    yield Text((x + side / 2, low + side * 0.3), mark, scale.small, layers.TEXT)


def _bare(view: View, labels: Sequence[_Field], at: Vec2, side: float, scale: Scale) -> bool:
    """Whether nothing is lettered where a triangle would stand, and no line passes."""
    room = scale.plotted(_CLEAR)
    x, y = at
    field = (x - room, y - room, x + side + room, y + side + room)
    if any(_meets(field, label) for label in labels):
        return False
    box = Box(((field[0], field[1]), (field[2], field[1]), field[2:], (field[0], field[3])))
    sides = (
        side
        for item in view.items
        if isinstance(item, Line | Outline)
        for side in ([(item.a, item.b)] if isinstance(item, Line) else item.sides)
    )
    return not any(covered(a, b, box) for a, b in sides)
