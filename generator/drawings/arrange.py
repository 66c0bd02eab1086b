"""Views onto one sheet: the first scale and paper on which plan and elevations find room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.drawings.lettering import overlaps
from generator.drawings.made import elevation_at, plan_at
from generator.drawings.title_block import BORDER, Paper, furniture, strip_height
from generator.drawings.view import Placed, Scale, View
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.assembly import Assembly
from generator.parts.report import Report

ARCH_D = Paper("ARCH D 36 x 24 IN", 914.4, 609.6)
ARCH_E = Paper("ARCH E 48 x 36 IN", 1219.2, 914.4)
ISO_A1 = Paper("ISO A1 841 x 594", 841.0, 594.0)
ISO_A0 = Paper("ISO A0 1189 x 841", 1189.0, 841.0)

# Architects' scales, and those of ISO 5455 with 1:25. At smaller ones the bays of a guard no longer
# hold their dimensions, so beyond them the paper grows.
_IMPERIAL = ((12.0, '1" = 1\'-0"'), (16.0, '3/4" = 1\'-0"'), (24.0, '1/2" = 1\'-0"'))
_IMPERIAL += ((32.0, '3/8" = 1\'-0"'), (48.0, '1/4" = 1\'-0"'))
_METRIC = tuple((float(k), f"1:{k}") for k in (10, 20, 25, 50))

_LONG = "LONG"
_GAP = 12.0  # plotted mm between views
_SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Sheet:
    """Placed views in real millimetres; `corner` is the paper's lower left, the plan at 0, 0."""

    paper: Paper
    scale: Scale
    corner: Vec2
    placed: tuple[Placed, ...]


def arrange(assembly: Assembly, report: Report) -> Sheet:
    """One sheet with the plan at its true coordinates and the elevations around it.

    The first paper and scale that everything fits on; where lettering would crowd there, a larger
    paper or, if none helps, the one with the least crowding.
    """
    made: dict[float, tuple[list[View], int]] = {}
    best: tuple[int, Sheet] | None = None
    for paper, scale in _offers(assembly.job.metric):
        if best and paper.name.startswith(_LONG):
            break
        if _hopeless(assembly, _room(assembly, report, paper, scale)):
            continue
        if scale.denominator not in made:
            views = _views(assembly, scale)
            made[scale.denominator] = (views, sum(len(overlaps(v.boxes)) for v in views))
        views, crowding = made[scale.denominator]
        if best and crowding >= best[0]:
            continue
        spots = _packed(views, _room(assembly, report, paper, scale), scale.plotted(_GAP))
        if spots is not None:
            best = (crowding, _sheet(assembly, report, paper, scale, views, spots))
        if best and best[0] == 0:
            break
    assert best is not None  # the last papers grow without end
    return best[1]


def _hopeless(assembly: Assembly, room: _Room) -> bool:
    """Whether the bare legs already need more room than there is, without any lettering."""
    width, height = room.right - room.left, room.top - room.bottom
    ends = [end for leg in assembly.legs for end in (leg.edge_start, leg.edge_end)]
    across = max(x for x, _, _ in ends) - min(x for x, _, _ in ends)
    along = max(y for _, y, _ in ends) - min(y for _, y, _ in ends)
    high = assembly.job.guard.height_mm
    lengths = [math.dist(leg.edge_start[:2], leg.edge_end[:2]) for leg in assembly.legs]
    area = across * along + high * sum(lengths)
    return across > width or along > height or max(lengths) > width or area > width * height


def _views(assembly: Assembly, scale: Scale) -> list[View]:
    return [
        plan_at(assembly, scale),
        *(elevation_at(assembly, leg, scale) for leg in assembly.legs),
    ]


def _offers(metric: bool) -> Iterator[tuple[Paper, Scale]]:
    papers = (ISO_A1, ISO_A0) if metric else (ARCH_D, ARCH_E)
    scales = [Scale(k, label, metric) for k, label in (_METRIC if metric else _IMPERIAL)]
    least = scales[-1]
    for paper, some in ((papers[0], scales[:-1]), (papers[1], scales[1:-1])):
        for scale in some:
            yield paper, scale
    for paper in papers:
        yield paper, least
    height = papers[1].height
    while True:
        height = round(height * 1.2 / 100) * 100.0
        width = round(height * 1.4 / 100) * 100.0
        size = f"{width:.0f} x {height:.0f} mm"
        yield Paper(f"{_LONG} {size}", width, height), least


@dataclass(frozen=True, slots=True)
class _Room:
    """Where views may lie: real mm from the paper's lower left."""

    left: float
    bottom: float
    right: float
    top: float


def _room(assembly: Assembly, report: Report, paper: Paper, scale: Scale) -> _Room:
    inside = BORDER + _GAP / 2
    return _Room(
        scale.plotted(inside),
        scale.plotted(BORDER + strip_height(assembly, report, scale) + _GAP / 2),
        scale.plotted(paper.width - inside),
        scale.plotted(paper.height - inside),
    )


def _packed(views: Sequence[View], room: _Room, gap: float) -> list[Vec2] | None:
    """Upper left corners of the views; None where they do not fit.

    They read row by row, or column by column, where there is room for that; else each in its turn
    takes the highest place that is free, and of those the one furthest left.
    """
    for order, row in (*(("rows", k * gap) for k in (2, 4, 8)), ("columns", 0.0), ("free", 0.0)):
        taken: list[_Room] = []
        for view in views:
            spot = _spot(_size(view), taken, room, gap, order, row)
            if spot is None:
                break
            taken.append(spot)
        else:
            return [(spot.left, spot.top) for spot in taken]
    return None


def _spot(
    size: Vec2, taken: Sequence[_Room], room: _Room, gap: float, order: str, row: float
) -> _Room | None:
    """The first free place for a view, by height or, in columns, from the left.

    Tops that differ by no more than about `row` make one row.
    """
    lefts = sorted({room.left, *(other.right + gap for other in taken)})
    tops = sorted({room.top, *(other.bottom - gap for other in taken)}, reverse=True)
    corners = [(left, top) for top in tops for left in lefts]
    if order == "columns":
        corners = [(left, top) for left in lefts for top in tops]
    elif order == "rows":
        corners.sort(key=lambda at: (round((room.top - at[1]) / row), at[0], -at[1]))
    for left, top in corners:
        spot = _Room(left, top - size[1], left + size[0], top)
        if spot.bottom < room.bottom - _SLACK or spot.right > room.right + _SLACK:
            continue
        if order != "free" and taken and not _follows(spot, taken[-1], order):
            continue
        if not any(_close(spot, other, gap) for other in taken):
            return spot
    return None


def _follows(spot: _Room, before: _Room, order: str) -> bool:
    """Whether a reader comes to a view after the one before it."""
    right, below = spot.left >= before.right, spot.top <= before.bottom
    if order == "columns":
        return right or (below and spot.left >= before.left - _SLACK)
    return below or (right and spot.top <= before.top + _SLACK)


def _close(a: _Room, b: _Room, gap: float) -> bool:
    """Whether two views come nearer to each other than the gap."""
    room = gap - _SLACK
    return (
        a.left < b.right + room
        and b.left < a.right + room
        and a.bottom < b.top + room
        and b.bottom < a.top + room
    )


def _size(view: View) -> Vec2:
    x0, y0, x1, y1 = view.bounds
    return (x1 - x0, y1 - y0)


def _sheet(
    assembly: Assembly,
    report: Report,
    paper: Paper,
    scale: Scale,
    views: Sequence[View],
    spots: Sequence[Vec2],
) -> Sheet:
    """Moves everything so that the first view, the plan, keeps its own coordinates."""
    left, _, _, top = views[0].bounds
    corner = (left - spots[0][0], top - spots[0][1])
    placed = []
    for view, (x, y) in zip(views, spots, strict=True):
        x0, _, _, y1 = view.bounds
        placed.append(Placed(view, (corner[0] + x - x0, corner[1] + y - y1)))
    placed[0] = Placed(views[0], (0.0, 0.0))
    frame = Placed(furniture(assembly, report, paper, scale), corner)
    return Sheet(paper, scale, corner, (frame, *placed))
