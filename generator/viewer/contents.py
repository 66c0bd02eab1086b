"""Everything that the page tells of a job, as plain values for its script."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from generator.checks.words import (
    CAUTION,
    measured_and_limit,
    passed_lines,
    severity_words,
    source_words,
    status_line,
)
from generator.geometry import Vec3, cosd, dot, heading, sind
from generator.parts.assembly import Assembly, LegLine, Part
from generator.parts.report import Finding, Report
from generator.parts.shapes import Prism, Route
from generator.viewer.facts import Fact, Facts
from generator.viewer.steps import order_of_work

# Lists of the page: kind, title, and the facts that are its columns.
_LISTS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    (
        "post",
        "Posts",
        ("height, base to top of rail", "setback, nosing to post centre", "stands on"),
    ),
    ("rail", "Rail pieces", ("long point to long point", "start cut", "end cut")),
    ("cable", "Cables", ("row", "length to order", "tension")),
    ("spacer", "Spacers", ("length", "holes")),
    ("handrail", "Handrails", ("long point to long point", "start cut", "end cut")),
    ("blocking", "Blocking", ("long point to long point", "item")),
)

Json = dict[str, Any]


def contents(assembly: Assembly, report: Report) -> Json:
    """The values, lengths of geometry in mm, z up."""
    job = assembly.job
    facts = Facts(assembly)
    told = {part.mark: facts.of(part) for part in _tappable(assembly)}
    found = {
        "title": job.title,
        "number": job.number,
        "metric": job.metric,
        "caution": CAUTION,
        "status": status_line(report),
        "passed": passed_lines(report.measures),
        "parts": {p.mark: _part(assembly, p, told[p.mark]) for p in _tappable(assembly)},
        "owners": {p.mark: p.belongs_to for p in assembly.parts if p.mark not in told},
        "findings": [_finding(finding, metric=job.metric) for finding in report.findings],
        "steps": [
            {"title": step.title, "text": step.text, "marks": step.marks}
            for step in order_of_work(assembly)
        ],
        "views": list(_views(assembly.legs)),
        "cuts": list(_cuts(assembly.legs)),
        "lists": _lists(assembly, told),
    }
    found["rows"] = {
        part.mark: True for kind, _, _ in _LISTS for part in assembly.parts if part.kind == kind
    }
    text = json.dumps(found, sort_keys=True)
    return {**found, "key": hashlib.sha256(text.encode()).hexdigest()[:16]}


def _tappable(assembly: Assembly) -> Iterable[Part]:
    """What has a mark of its own on the screen: all that is not fixed on another part."""
    marks = assembly.by_mark
    return (
        part
        for part in assembly.parts
        if part.belongs_to == part.mark
        or part.belongs_to not in marks
        or marks[part.belongs_to].reference
    )


def _part(assembly: Assembly, part: Part, facts: Iterable[Fact]) -> Json:
    found: Json = {
        "kind": part.kind,
        "run": part.run,
        "leg": f"{part.run}-{part.leg}",
        "facts": [
            [f.label, f.text] if f.mm is None else [f.label, f.text, round(f.mm, 6)] for f in facts
        ],
    }
    axis = _axis(part)
    if axis:
        found["axis"] = [_short(point) for point in axis]
    if part.kind == "tread":
        found["nosing"] = [_short(point) for point in _nosing(assembly, part)]
    return found


def _axis(part: Part) -> list[Vec3]:
    """The line that a part is measured from: of a post, a rail, a spacer, or a cable's route."""
    shape = part.shape
    if isinstance(shape, Route):
        return [part.place.point(point) for point in shape.points]
    if part.kind in ("post", "column", "rail", "spacer", "handrail") and isinstance(shape, Prism):
        ends = (shape.start.z_mm, shape.end.z_mm)
        return [part.place.point((0.0, 0.0, z)) for z in ends]
    return []


def _nosing(assembly: Assembly, tread: Part) -> tuple[Vec3, Vec3]:
    """The upper edge of a tread on the side to which its stair goes down."""
    leg = next(leg for leg in assembly.legs if tread.mark in leg.surfaces)
    down = heading(leg.bearing_deg + (0.0 if leg.pitch_deg < 0 else 180.0))
    shape = tread.shape
    if not isinstance(shape, Prism):
        raise TypeError(f"{tread.mark} is no slab")
    corners = [
        tread.place.point((x, y, end.at(x, y)))
        for end in (shape.start, shape.end)
        for x, y in shape.section.outer.corners
    ]
    corners.sort(key=lambda c: (round(dot(c, down), 3), round(c[2], 3)), reverse=True)
    return corners[0], corners[1]


def _finding(finding: Finding, *, metric: bool) -> Json:
    found: Json = {
        "code": finding.code,
        "severity": finding.severity,
        "where": finding.where,
        "message": finding.message,
        "measure": measured_and_limit(finding.measured, finding.limit, finding.unit, metric=metric),
        "source": source_words(finding.clause, finding.edition, verified=finding.verified),
        "remedy": finding.remedy,
        "cause": finding.cause,
        "amended": severity_words(finding),
    }
    if finding.accepted:
        found["accepted"] = f"by {finding.accepted.role}: {finding.accepted.reason}"
    if finding.point is not None:
        found["point"] = _short(finding.point)
    return found


def _views(legs: Iterable[LegLine]) -> Iterable[Json]:
    """Where one can look from: a name, the direction to the eye, and the leg that it is of."""
    yield {"name": "above", "from": (0.0, -0.02, 1.0)}
    yield {"name": "south-west, half above", "from": (-1.0, -1.0, 0.8)}
    yield {"name": "north-east, half above", "from": (1.0, 1.0, 0.8)}
    for leg in legs:
        out = heading(leg.bearing_deg + (-90.0 if leg.deck == "left" else 90.0))
        own = {"leg": f"{leg.run}-{leg.number}"}
        yield {"name": f"{leg.label}, from outside", "from": out, **own}
        yield {"name": f"{leg.label}, from within", "from": tuple(-c for c in out), **own}
        if leg.kind != "level":
            lean = abs(leg.pitch_deg)
            way = heading(leg.bearing_deg + (0.0 if leg.pitch_deg < 0 else 180.0))
            along = (way[0] * cosd(lean), way[1] * cosd(lean), -sind(lean))
            yield {"name": f"{leg.label}, up along the slope", "from": along, **own}


def _cuts(legs: Iterable[LegLine]) -> Iterable[Json]:
    """Planes that can cut away what is before them: a name and the side that is taken off."""
    yield {"name": "Cut from above", "normal": (0.0, 0.0, 1.0)}
    seen: set[tuple[float, ...]] = set()
    for leg in legs:
        for words, turn in (("across", 0.0), ("along", -90.0 if leg.deck == "left" else 90.0)):
            normal = heading(leg.bearing_deg + turn)
            key = (round(normal[0], 6), round(normal[1], 6))
            if key not in seen:
                seen.add(key)
                yield {"name": f"Cut {words} {leg.label}", "normal": normal}


def _lists(assembly: Assembly, told: dict[str, tuple[Fact, ...]]) -> list[Json]:
    found: list[Json] = []
    for kind, title, columns in _LISTS:
        rows = []
        for part in assembly.parts:
            if part.kind == kind and part.mark in told:
                texts = {fact.label: fact.text for fact in told[part.mark]}
                rows.append(
                    [part.mark, f"{part.run}-{part.leg}", *(texts.get(c, "") for c in columns)]
                )
        if rows:
            found.append({"title": title, "columns": ["mark", "leg", *columns], "rows": rows})
    return found


def _short(point: Vec3) -> list[float]:
    return [round(c, 6) + 0.0 for c in point]
