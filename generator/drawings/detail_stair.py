"""Where a level guard meets a stair or ramp, and the handrail on its bracket."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from generator.drawings import layers
from generator.drawings.cutaway import METAL, WOOD, Cutaway
from generator.drawings.detail_site import Detail, Site, finished, length, marks_text, tube_text
from generator.drawings.dimensions import angle_text
from generator.drawings.front import Front, front
from generator.drawings.leaders import Note, Rulers, leaders
from generator.drawings.project import Plane
from generator.drawings.section import cut_of, reach
from generator.drawings.tape import neighbours
from generator.drawings.view import Line, Outline, Scale
from generator.frozen import dataclass
from generator.geometry import UP, Vec2, along, dot, heading, sub
from generator.parts.assembly import Assembly, Kind, LegLine, Part, PostDetail, detail_of
from generator.parts.shapes import Circle, Prism, Route

_HALF = 470.0  # real mm shown either side of where level and pitch meet
_BELOW, _OVER = 330.0, 160.0
_AXIS_MM = 5.0  # within which a cut shows both walls of a post
_DEPTH = 260.0  # how far before and behind the guard line parts are shown
_LAYERS: dict[Kind, str] = {
    "post": layers.POST,
    "column": layers.COLUMN,
    "rail": layers.RAIL,
    "base-plate": layers.HARDWARE,
    "side-plate": layers.HARDWARE,
    "stand-off": layers.HARDWARE,
    "bracket": layers.HARDWARE,
    "anchor": layers.HARDWARE,
    "fitting": layers.HARDWARE,
    "washer": layers.HARDWARE,
    "nut": layers.HARDWARE,
    "seat": layers.HARDWARE,
    "spacer": layers.SPACER,
    "handrail": layers.HANDRAIL,
    "cable": layers.CABLE,
    "deck": layers.OUTLINE,
    "floor": layers.OUTLINE,
    "tread": layers.STAIR,
    "riser": layers.STAIR,
    "stringer": layers.BEAM,
    "rim": layers.BEAM,
}
_BEHIND: frozenset[Kind] = frozenset({"deck", "floor", "tread", "riser", "stringer", "rim"})


@dataclass(frozen=True)
class Meeting:
    """A pitched leg and the level one at its upper or lower end; x is where they meet."""

    one: Front
    level: LegLine
    x: float
    upper: bool


def transition_details(assembly: Assembly, scale: Scale) -> Iterator[Detail]:
    """The first upper and the first lower end at which a level guard meets a pitched one."""
    found: dict[tuple[str, bool], list[Meeting]] = {}
    for leg in assembly.legs:
        if leg.kind == "level" or not leg.rails:
            continue
        before, after = neighbours(assembly, leg)
        for other, at_end in ((before, False), (after, True)):
            if other is None or other.kind != "level" or not other.rails:
                continue
            one = front(assembly, leg)
            x = one.x(one.tape.length_mm) if at_end else 0.0
            upper = at_end == (leg.pitch_deg > 0)
            found.setdefault((leg.kind, upper), []).append(Meeting(one, other, x, upper))
    for n, ((kind, upper), meetings) in enumerate(found.items()):
        yield _transition(assembly, meetings, scale, kind, f"detail-transition-{n + 1}", upper)


def _transition(
    assembly: Assembly, meetings: list[Meeting], scale: Scale, kind: str, name: str, upper: bool
) -> Detail:
    meeting = meetings[0]
    one = meeting.one
    floor = meeting.level.edge_start[2] if meeting.upper else meeting.level.edge_end[2]
    top = max(one.box(part).bounds[3] for part in _posts_near(meeting))
    downhill = 1.0 if one.slope < 0 else -1.0
    # More of the stair than of the level floor, whose heights are the same all along.
    ends = sorted((meeting.x - downhill * _HALF * 0.6, meeting.x + downhill * _HALF))
    if not meeting.upper:
        ends = sorted((meeting.x + downhill * _HALF * 0.6, meeting.x - downhill * _HALF))
    window = (ends[0], floor - _BELOW, ends[1], top + _OVER)
    inward = one.tape.inward
    origin = along(one.plane.origin, inward, one.tape.inset_mm)
    plane = Plane((origin[0], origin[1], 0.0), one.plane.right, UP)
    cutaway = Cutaway(scale, plane, window)
    _bodies(cutaway, assembly)
    points = _nosing_line(cutaway, meeting)
    rulers = Rulers(cutaway.draft, window)
    _heights(cutaway, rulers, meeting, points, floor)
    leaders(cutaway.draft, list(_notes(cutaway, meeting)), rulers.clear, window[3])
    rulers.draw()
    where = "UPPER" if upper else "LOWER"
    heading = f"LEVEL TO {kind.upper()} - {where} END"
    legs = f"RUN {one.leg.run}, LEG {meeting.level.number} TO LEG {one.leg.number}"
    text = f"SHOWN AT {legs}, FROM OUTSIDE."
    if meetings[1:]:
        text += " ALIKE: " + ", ".join(
            f"RUN {m.one.leg.run}, LEG {m.level.number} TO {m.one.leg.number}" for m in meetings[1:]
        ) + "."  # fmt: skip
    return Detail(finished(cutaway.draft, name, heading, [text]), scale)


def _posts_near(meeting: Meeting) -> list[Part]:
    one = meeting.one
    posts = one.parts(one.leg.posts)
    found = [part for part in posts if abs(sum(one.box(part).bounds[::2]) / 2 - meeting.x) < _HALF]
    posts_by_distance = sorted(
        posts, key=lambda part: abs(sum(one.box(part).bounds[::2]) / 2 - meeting.x)
    )
    return [
        part
        for part in found or posts_by_distance[:1]
        if detail_of(part, PostDetail).mount != "existing"
    ] or posts_by_distance[:1]


def _bodies(cutaway: Cutaway, assembly: Assembly) -> None:
    """Everything near the guard line, what is nearest to the eye first."""
    shown: list[tuple[float, int, Part]] = []
    for n, part in enumerate(assembly.parts):
        if part.kind not in _LAYERS:
            continue
        low, high = reach(part, cutaway.plane)
        if high < -_DEPTH or low > _DEPTH or not cutaway.box(part).touches(cutaway.frame):
            continue
        near = high - (10 * _DEPTH if part.kind in _BEHIND else 0.0)
        shown.append((-near, n, part))
    for _, _, part in sorted(shown, key=lambda one: one[:2]):
        cutaway.seen(part, _LAYERS[part.kind], solid=part.kind not in ("stringer", "cable"))


def _nosing_line(cutaway: Cutaway, meeting: Meeting) -> list[Vec2]:
    """Draws the line that the guard of the pitched leg follows; its ends in the window."""
    one, (x0, _, x1, _) = meeting.one, cutaway.window
    far = x1 if abs(x1 - meeting.x) > abs(x0 - meeting.x) else x0
    line = one.reference
    points = [(meeting.x, line.at(meeting.x)), (far, line.at(far))]
    cutaway.line(points[0], points[1], layers.NOSING)
    return points


def _heights(
    cutaway: Cutaway, rulers: Rulers, meeting: Meeting, points: list[Vec2], floor: float
) -> None:
    """Top of rail over the floor on the level's side, over the nosing line on the pitched one."""
    one = meeting.one
    other = front(one.assembly, meeting.level)
    (x0, _, x1, _), far = cutaway.window, points[1][0]
    pitched = rulers.right_of if far == x1 else rulers.left_of
    level = rulers.left_of if far == x1 else rulers.right_of
    wanted = meeting.x + (far - meeting.x) * 0.72
    # Of rails in several pieces the one that is in the picture.
    span = min(one.rail_spans, key=lambda span: max(span.left - wanted, wanted - span.right, 0.0))
    x = min(max(wanted, span.left), span.right)
    pitched((x, one.reference.at(x)), (x, span.top.at(x)))
    cutaway.draft.draw(
        Line((x, one.reference.at(x)), (x, span.top.at(x)), layers.CENTRE),
    )
    over = other.main_rail.top
    near = other.x(other.tape.length_mm if _ahead(one, meeting.level) else 0.0)
    edge = x0 if far == x1 else x1
    level((edge, floor), (edge, over.at(near)))
    for part in _posts_near(meeting):
        detail = detail_of(part, PostDetail)
        if detail.tread is None or detail.tread not in one.treads():
            continue
        box = one.box(one.treads()[detail.tread]).bounds
        nosing = box[2] if one.slope < 0 else box[0]
        axis = dict(one.post_xs)[part.mark]
        if x0 < nosing < x1 and x0 < axis < x1:
            rulers.below((nosing, box[1]), (axis, box[3]))
            break


def _ahead(one: Front, level: LegLine) -> bool:
    """Whether the level leg comes before the pitched one."""
    before, _ = neighbours(one.assembly, one.leg)
    return before is not None and before.number == level.number


def _notes(cutaway: Cutaway, meeting: Meeting) -> Iterator[Note]:
    one = meeting.one
    x0, y0, x1, y1 = cutaway.window
    at = one.reference
    words = "NOSING LINE" if one.leg.kind == "stair" else "WALKING SURFACE OF THE RAMP"
    x = meeting.x + ((x1 if x1 - meeting.x > meeting.x - x0 else x0) - meeting.x) * 0.5
    yield Note(f"{words}, PITCH {angle_text(abs(one.leg.pitch_deg))}", (x, at.at(x)))
    for part in (*one.parts(one.leg.rails), *one.parts(meeting.level.rails)):
        box = one.box(part).bounds
        left, right = max(box[0], x0), min(box[2], x1)
        if right - left < 20.0 or box[1] > y1 or box[3] < y0:
            continue
        if part in one.rails() and part not in one.plumb_rails():
            span = one.spans_of([part])[0]
            middle = left + (right - left) * 0.6
            yield Note(f"RAIL {part.mark}", (middle, span.under.at(middle)))
        else:
            yield Note(f"RAIL {part.mark}", ((left + right) / 2, (box[1] + box[3]) / 2))
    posts = dict.fromkeys((*one.parts(one.leg.posts), *one.parts(meeting.level.posts)))
    for part in posts:
        box = one.box(part).bounds
        low, high = reach(part, cutaway.plane)
        if x0 < box[0] and box[2] < x1 and high > -_DEPTH and low < _DEPTH:
            yield Note(f"POST {part.mark}", (box[2], box[1] + (box[3] - box[1]) * 0.55))


def handrail_details(assembly: Assembly, scale: Scale) -> Iterator[Detail]:
    """One bracket, cut square to the edge through post, rail and handrail."""
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    made = []
    for bracket in assembly.of_kind("handrail-bracket"):
        leg = legs[(bracket.run, bracket.leg)]
        post = assembly.by_mark[bracket.belongs_to]
        # One on a post between others: at the ends the handrail turns back to the guard.
        if post.mark in leg.posts:
            between = post.mark in leg.posts[1:-1]
            made.append((not between, Site(assembly, leg, post), bracket))
    if made:
        _, site, bracket = min(made, key=lambda one: one[0])
        yield _handrail(site, bracket, scale)


def _handrail(site: Site, bracket: Part, scale: Scale) -> Detail:
    assembly = site.assembly
    shape = bracket.shape
    assert isinstance(shape, Route)
    points = [bracket.place.point(point) for point in shape.points]
    x, y, _ = points[-1]
    edge = along(site.leg.edge_start, site.tape.travel,
                 dot(sub((x, y, 0.0), site.leg.edge_start), site.tape.travel))  # fmt: skip
    line = front(assembly, site.leg)
    # Heights are told from the nosing line under the bracket.
    z = line.reference.at(line.x(dot(sub((x, y, 0.0), site.leg.edge_start), site.tape.travel)))
    plane = Plane((edge[0], edge[1], z), site.tape.inward, UP)
    flat = [plane.flat(point) for point in points]
    wide = Cutaway(scale, plane, (-1e4, -1e4, 1e4, 1e4))
    grip = _grip(assembly, bracket, points[-1])
    rails = [part for part in assembly.of_kind("rail") if _at(part, plane)]
    tops = [wide.box(part).bounds[3] for part in (*rails, grip) if part]
    own = site.post
    box = wide.box(own).bounds
    right = flat[-1][0] + 90.0
    window = (
        box[0] - 40.0,
        min(y for _, y in flat) - 110.0,
        right,
        _section_top(wide, rails, tops),
    )
    cutaway = Cutaway(scale, plane, window)
    for part in (*rails, *((grip,) if grip else ())):
        cutaway.cut(part, METAL)
    # A bracket beside the post's axis: a cut in the post's wall would look like solid metal.
    if abs(dot(sub(own.place.origin, points[-1]), site.tape.travel)) < _AXIS_MM:
        cutaway.cut(own, WOOD if site.detail.mount == "existing" else METAL)
    for part in (own, *site.fixed("bracket")):
        cutaway.seen(part)
    _bar(cutaway, flat, shape.diameter_mm)
    rulers = Rulers(cutaway.draft, window)
    ring = _ring(cutaway, grip) if grip else (flat[-1][0], flat[-1][0])
    face = max([box[2], *(_cut_right(wide, part) for part in rails)])
    rulers.above((face, window[3]), (ring[0], flat[-1][1]), (ring[1], flat[-1][1]))
    leaders(cutaway.draft, list(_handrail_notes(site, bracket, grip, flat, box)), rulers.clear,
            window[3])  # fmt: skip
    marks = marks_text(part.mark for part in assembly.of_kind("handrail-bracket"))
    rulers.draw()
    notes = [f"SHOWN AT {bracket.mark} ON {own.mark}. TYPICAL OF {marks}."]
    view = finished(cutaway.draft, "detail-handrail", "HANDRAIL AND BRACKET", notes)
    return Detail(view, scale)


def _section_top(wide: Cutaway, rails: list[Part], tops: list[float]) -> float:
    found = []
    for part in rails:
        cut = cut_of(part, wide.plane)
        found += [y for ring in cut.pieces for _, y in ring] if cut else []
    return max(found or tops) + 30.0


def _cut_right(wide: Cutaway, part: Part) -> float:
    cut = cut_of(part, wide.plane)
    return max((x for ring in cut.pieces for x, _ in ring), default=-1e9) if cut else -1e9


def _at(part: Part, plane: Plane) -> bool:
    """Whether the plane cuts a rail within reach of the edge."""
    low, high = reach(part, plane)
    if low > 0.0 or high < 0.0:
        return False
    cut = cut_of(part, plane)
    if cut is None:
        return False
    x, y = cut.pieces[0][0]
    return abs(x) < 600.0 and 0.0 < y < 2000.0


def _grip(assembly: Assembly, bracket: Part, under: tuple[float, float, float]) -> Part | None:
    """The handrail that a bracket carries."""
    for part in assembly.of_kind("handrail"):
        if (part.run, part.leg) != (bracket.run, bracket.leg):
            continue
        prism = part.shape
        assert isinstance(prism, Prism)
        leg = next(leg for leg in assembly.legs if (leg.run, leg.number) == (part.run, part.leg))
        if abs(dot(part.place.z, heading(leg.bearing_deg))) < 0.5:
            continue  # a return
        local = part.place.local(under)
        inside = prism.start.z_mm - 1.0 <= local[2] <= prism.end.z_mm + 1.0
        outer = prism.section.outer
        if inside and isinstance(outer, Circle) and math.hypot(*local[:2]) <= outer.diameter_mm:
            return part
    return None


def _ring(cutaway: Cutaway, grip: Part) -> Vec2:
    """Both sides of the handrail as cut."""
    cut = cut_of(grip, cutaway.plane)
    xs = [x for ring in (cut.pieces if cut else ()) for x, _ in ring]
    return (min(xs, default=0.0), max(xs, default=0.0))


def _bar(cutaway: Cutaway, points: list[Vec2], diameter: float) -> None:
    """A bent round bar as its two sides."""
    half = diameter / 2
    sides: list[list[Vec2]] = [[], []]
    for k, (x, y) in enumerate(points):
        ways = []
        for a, b in pairwise(points[max(k - 1, 0) : k + 2]):
            reach_ = math.dist(a, b)
            ways.append(((b[0] - a[0]) / reach_, (b[1] - a[1]) / reach_))
        nx, ny = -sum(w[1] for w in ways) / len(ways), sum(w[0] for w in ways) / len(ways)
        norm = nx * nx + ny * ny
        for side, sign in zip(sides, (1.0, -1.0), strict=True):
            side.append((x + sign * nx * half / norm, y + sign * ny * half / norm))
    for side in sides:
        cutaway.draft.draw(Outline(tuple(side), layers.CUT, closed=False))
    cutaway.draft.draw(Line(sides[0][0], sides[1][0], layers.CUT))


def _handrail_notes(
    site: Site, bracket: Part, grip: Part | None, flat: list[Vec2], post: tuple[float, ...]
) -> Iterator[Note]:
    assembly = site.assembly
    job = assembly.job
    shape = bracket.shape
    assert isinstance(shape, Route)
    line = front(assembly, site.leg)
    top = line.handrail_line()
    x, y = flat[-1]
    if grip is not None and isinstance(grip.shape, Prism):
        outer = grip.shape.section.outer
        size = outer.diameter_mm if isinstance(outer, Circle) else 0.0
        words = f"HANDRAIL {grip.mark}, {length(assembly, size)} ROUND"
        if top is not None:
            over = top.at(0.0) - line.reference.at(0.0)
            under = "NOSING LINE" if site.leg.kind == "stair" else "RAMP"
            words += f", TOP {length(assembly, over)} PLUMB OVER THE {under}"
        yield Note(words, (x + size / 2 - 2.0, y + size / 2))
    yield Note(
        f"BRACKET {bracket.mark}, {length(assembly, shape.diameter_mm)} ROUND BAR",
        ((flat[0][0] + flat[1][0]) / 2, flat[0][1] - shape.diameter_mm / 2),
    )
    yield Note(
        f"POST {site.post.mark}, {tube_text(assembly, site.post)}", (post[2] - 1.0, y - 75.0)
    )
    if job.handrail:
        clear = length(assembly, job.handrail.clearance_mm)
        yield Note(f"CLEARANCE AT LEAST {clear}", (post[2] + 4.0, y + 12.0))
