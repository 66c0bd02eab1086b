"""A plan of the job as SVG, for a page on a device that cannot show the model."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from generator.frozen import dataclass
from generator.geometry import Vec2, heading
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Prism, Route

# From the ground up: what is drawn later lies over what was drawn before.
_ORDER: tuple[Kind, ...] = (
    "floor",
    "deck",
    "wall",
    "stringer",
    "tread",
    "obstacle",
    "column",
    "cable",
    "rail",
    "handrail",
    "base-plate",
    "post",
)
_EDGE_MM = 400.0  # room about the job


@dataclass(frozen=True, slots=True)
class _Area:
    kind: Kind
    mark: str
    corners: tuple[Vec2, ...]


def plan_svg(assembly: Assembly) -> str:
    """The job from above, north up, posts with their marks; colours come from the page's style."""
    areas = [_Area(p.kind, p.mark, _outline(p)) for kind in _ORDER for p in assembly.of_kind(kind)]
    points = [corner for area in areas for corner in area.corners]
    left, right = min(x for x, _ in points) - _EDGE_MM, max(x for x, _ in points) + _EDGE_MM
    low, high = min(y for _, y in points) - _EDGE_MM, max(y for _, y in points) + _EDGE_MM
    text = max(right - left, high - low) / 55.0
    box = f"{left:.0f} {-high:.0f} {right - left:.0f} {high - low:.0f}"
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" '
        'aria-label="Plan of the job, north up">'
    )
    lines = [
        opening,
        *_polygons(areas),
        *_marks(assembly, areas, text),
        "</svg>",
    ]
    return "\n".join(lines)


def _polygons(areas: Iterable[_Area]) -> Iterator[str]:
    for area in areas:
        corners = " ".join(f"{x:.0f},{-y:.0f}" for x, y in area.corners)
        yield f'<polygon class="{area.kind}" data-mark="{escape(area.mark)}" points="{corners}"/>'


def _marks(assembly: Assembly, areas: Iterable[_Area], text: float) -> Iterator[str]:
    """The mark of each post on the outer side of its leg; one over another is written once."""
    outward = {
        mark: heading(leg.bearing_deg + (-90.0 if leg.deck == "left" else 90.0))
        for leg in reversed(assembly.legs)
        for mark in leg.posts
    }
    written: set[tuple[int, int]] = set()
    for area in areas:
        if area.kind not in ("post", "column"):
            continue
        x = sum(x for x, _ in area.corners) / len(area.corners)
        y = sum(y for _, y in area.corners) / len(area.corners)
        field = (round(x / text), round(y / text))
        if field not in written:
            written.add(field)
            east, north, _ = outward.get(area.mark, (0.0, 1.0, 0.0))
            side = "start" if east > 0.4 else "end" if east < -0.4 else "middle"
            away = text * (1.0 + 0.4 * abs(north))
            yield (
                f'<text x="{x + east * away:.0f}" y="{-(y + north * away):.0f}" '
                f'font-size="{text:.0f}" text-anchor="{side}" dominant-baseline="central">'
                f"{escape(area.mark)}</text>"
            )


def _outline(part: Part) -> tuple[Vec2, ...]:
    """The part from above: the hull of its ends, a cable as its line."""
    shape = part.shape
    if isinstance(shape, Prism):
        corners = shape.section.outer.corners
        ends = (shape.start, shape.end)
        points = [(x, y, end.at(x, y)) for end in ends for x, y in corners]
    elif isinstance(shape, Route):
        points = list(shape.points)
    else:
        points = [(0.0, 0.0, shape.steps[0].start_mm), (0.0, 0.0, shape.steps[-1].end_mm)]
    world = (part.place.point(point) for point in points)
    return _hull({(round(x, 1), round(y, 1)) for x, y, _ in world})


def _hull(points: Iterable[Vec2]) -> tuple[Vec2, ...]:
    """Convex hull, counter-clockwise (Andrew 1979)."""
    ordered = sorted(points)
    half: list[list[Vec2]] = []
    for line in (ordered, ordered[::-1]):
        chain: list[Vec2] = []
        for p in line:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0.0:
                chain.pop()
            chain.append(p)
        half.append(chain[:-1])
    return tuple(half[0] + half[1])


def _turn(a: Vec2, b: Vec2, c: Vec2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
