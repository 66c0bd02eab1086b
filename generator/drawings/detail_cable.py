"""How cables end in a post, at the dead and the pulling end, and the spacer between posts."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.drawings import layers
from generator.drawings.cutaway import INSIDE, METAL, WOOD, Cutaway
from generator.drawings.detail_site import (
    Detail,
    Site,
    fine,
    finished,
    length,
    marks_text,
    post_words,
    tube_text,
)
from generator.drawings.dimensions import angle_text
from generator.drawings.leaders import Note, Rulers, leaders
from generator.drawings.project import Plane
from generator.drawings.section import cut_of
from generator.drawings.view import Arc, Line, Scale
from generator.frozen import dataclass
from generator.geometry import UP, Vec2, unit
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    Part,
    PostDetail,
    SpacerDetail,
    detail_of,
)
from generator.parts.shapes import Prism, Route, Turned

_ROW = 2  # the row that is shown, from below
_PAST = 45.0  # real mm shown beyond what holds the end, and above and below its axis
_NEWTONS = 4.4482216152605  # in a pound-force


@dataclass(frozen=True)
class End:
    """One end of a cable, what holds it, and its post, seen so that the cable goes to the right."""

    site: Site
    cable: Part
    fitting: Part
    held: tuple[Part, ...]
    pulling: bool

    @property
    def place(self) -> tuple[str, str, bool]:
        """Ends at one post that are held alike."""
        leg = self.site.leg
        return (f"{leg.run}-{leg.number}", self.site.post.mark, self.pulling)

    @property
    def plane(self) -> Plane:
        """x along the leg from the post's axis, y from the cable's axis where it meets it."""
        x, y, _ = self.site.post.place.origin
        point, way = self.fitting.place.origin, self.fitting.place.z
        level = (x - point[0]) * way[0] + (y - point[1]) * way[1]
        run = way[0] ** 2 + way[1] ** 2
        z = point[2] + way[2] * level / run
        return Plane((x, y, z), unit((way[0], way[1], 0.0)), UP)


def cable_details(assembly: Assembly, scale: Scale) -> Iterator[Detail]:
    """Dead and pulling end on a level leg and on a pitched one, as far as the job has them."""
    found: dict[tuple[bool, bool, bool], list[End]] = {}
    ends = list(_ends(assembly))
    at_post: dict[tuple[str, str, bool], list[End]] = {}
    for end in ends:
        at_post.setdefault(end.place, []).append(end)
    for end in ends:
        if detail_of(end.cable, CableDetail).row != _ROW:
            continue
        pitched = abs(end.fitting.place.z[2]) > 1e-6
        wood = end.site.detail.mount == "existing"
        found.setdefault((pitched, wood, end.pulling), []).append(end)
    for (pitched, wood, pulling), alike in sorted(found.items()):
        beside = at_post[alike[0].place]
        yield _end_detail(alike, beside, scale, pitched=pitched, wood=wood, pulling=pulling)


def _ends(assembly: Assembly) -> Iterator[End]:
    """Both ends of every cable, and the fittings that hold them."""
    fixed: dict[str, list[Part]] = {}
    for part in assembly.of_kind("fitting", "seat", "washer", "nut"):
        fixed.setdefault(part.mark.lstrip("FBSWN"), []).append(part)
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    for cable in assembly.of_kind("cable"):
        detail = detail_of(cable, CableDetail)
        for letter, k in (("S", 0), ("E", -1)):
            held = fixed.get(f"{cable.mark[1:]}{letter}", [])
            fittings = [part for part in held if part.kind == "fitting"]
            leg = legs[(cable.run, detail.legs[k])]
            if fittings:
                post = assembly.by_mark[detail.posts[k]]
                rest = tuple(part for part in held if part.kind != "fitting")
                site = Site(assembly, leg, post)
                yield End(site, cable, fittings[0], rest, detail.ends[k] == "pulling")


def _end_detail(
    ends: list[End], beside: list[End], scale: Scale, *, pitched: bool, wood: bool, pulling: bool
) -> Detail:
    """The first of some ends that are alike; those of other rows are shown as far as they reach."""
    end, assembly = ends[0], ends[0].site.assembly
    wide = Cutaway(scale, end.plane, (-1e4, -1e4, 1e4, 1e4))
    boxes = [wide.box(part).bounds for part in (end.fitting, end.site.post, *end.held)]
    low = min(box[1] for box in (boxes[0], *boxes[2:])) - _PAST
    high = max(box[3] for box in (boxes[0], *boxes[2:])) + _PAST
    window = (min(b[0] for b in boxes) - _PAST, low, max(b[2] for b in boxes) + _PAST, high)
    cutaway = Cutaway(scale, end.plane, window)
    cutaway.cut(end.site.post, WOOD if wood else METAL)
    for one in beside:
        _hold(cutaway, one)
    _axis(cutaway, end)
    rulers = Rulers(cutaway.draft, window)
    left, right = _walls(end, cutaway)
    fitting = boxes[0]
    if not pitched:
        sleeve = _sleeve(end, cutaway)
        rulers.above((left, high), (right, high))
        rulers.above((fitting[0], 0.0), (fitting[2], 0.0))
        rulers.below((sleeve[0], 0.0), (sleeve[1], 0.0))
        face = right if sleeve[0] > 0.0 else left
        rulers.below((face, low), (max(sleeve, key=abs), 0.0))
    else:
        rulers.above((left, high), (right, high))
    leaders(cutaway.draft, list(_end_notes(end, cutaway)), rulers.clear, high)
    rulers.draw()
    return _titled(assembly, cutaway, ends, pitched=pitched, wood=wood, pulling=pulling)


def _walls(end: End, cutaway: Cutaway) -> Vec2:
    """The post's outer faces where the plane cuts them; one that is turned is wider than that."""
    cut = cut_of(end.site.post, cutaway.plane)
    xs = [x for piece in (cut.pieces if cut else ()) for x, _ in piece]
    if not xs:
        x0, _, x1, _ = cutaway.box(end.site.post).bounds
        xs = [x0, x1]
    return (min(xs), max(xs))


def _hold(cutaway: Cutaway, end: End) -> None:
    """Seat, washer, nut, stud, sleeve and cable of one end, as far as the window shows them."""
    for part in end.held:
        if part.kind == "seat":
            cutaway.cut(part, INSIDE)
    for part in end.held:
        if part.kind != "seat":
            cutaway.seen(part, layers.CUT)
    cutaway.inside(end.fitting)
    _strand(cutaway, end)


def _titled(
    assembly: Assembly,
    cutaway: Cutaway,
    ends: list[End],
    *,
    pitched: bool,
    wood: bool,
    pulling: bool,
) -> Detail:
    what = "PULLING END" if pulling else "DEAD END"
    where = " ON A STAIR OR RAMP" if pitched else ""
    into = " IN A STANDING POST" if wood else ""
    posts = marks_text(end.site.post.mark for end in ends)
    shown = f"SHOWN AT {ends[0].cable.mark} IN {ends[0].site.post.mark}."
    notes = [f"{shown} TYPICAL OF ALL ROWS AT {posts}."]
    if pulling:
        notes.append(f"TENSIONED AT THIS END TO {_force(assembly)}.")
    name = f"detail-{'pulling' if pulling else 'dead'}"
    name += "-pitched" * pitched + "-standing" * wood
    view = finished(cutaway.draft, name, f"CABLE {what}{where}{into}", notes)
    return Detail(view, cutaway.scale)


def _force(assembly: Assembly) -> str:
    newtons = assembly.job.guard.tension_n
    if assembly.job.metric:
        return f"{newtons:.0f} N"
    return f"{newtons / _NEWTONS:.0f} LBF"


def _strand(cutaway: Cutaway, end: End) -> None:
    """The cable as its two sides, from the mouth of its sleeve out of the picture."""
    shape, place = end.cable.shape, end.cable.place
    assert isinstance(shape, Route)
    turned = end.fitting.shape
    assert isinstance(turned, Turned)
    mouth = end.fitting.place.point((0.0, 0.0, turned.steps[-1].end_mm))
    points = [place.point(point) for point in shape.points]
    if math.dist(points[-1], mouth) < math.dist(points[0], mouth):
        points.reverse()
    a, b = cutaway.plane.flat(mouth), cutaway.plane.flat(points[1])
    x0, y0, x1, y1 = cutaway.window
    if not (x0 < a[0] < x1 and y0 < a[1] < y1):
        return  # of another row, whose sleeve is not shown
    reach = math.dist(a, b)
    side = (-(b[1] - a[1]) / reach, (b[0] - a[0]) / reach)
    for half in (shape.diameter_mm / 2, -shape.diameter_mm / 2):
        p, q = ((x + side[0] * half, y + side[1] * half) for x, y in (a, b))
        cutaway.line(p, q, layers.SEEN)


def _axis(cutaway: Cutaway, end: End) -> None:
    """The cable's axis through post and fitting."""
    x0, _, x1, _ = cutaway.window
    way = cutaway.plane.flat_vector(end.fitting.place.z)
    rise = way[1] / way[0]
    cutaway.line((x0, rise * x0), (x1, rise * x1), layers.CENTRE)


def _sleeve(end: End, cutaway: Cutaway) -> Vec2:
    """Where the swaged sleeve begins and ends, along the picture."""
    turned = end.fitting.shape
    assert isinstance(turned, Turned)
    start = end.site.assembly.job.system.fitting
    zs = (start.overall_mm - start.sleeve_length_mm, turned.steps[-1].end_mm)
    xs = [cutaway.plane.flat(end.fitting.place.point((0.0, 0.0, z)))[0] for z in zs]
    return (xs[0], xs[1])


def _end_notes(end: End, cutaway: Cutaway) -> Iterator[Note]:
    assembly = end.site.assembly
    (left, right), fitting = _walls(end, cutaway), cutaway.box(end.fitting).bounds
    y1 = cutaway.window[3]
    yield Note(post_words(end.site), (right - 1.0, y1 - 6.0))
    shape = end.cable.shape
    assert isinstance(shape, Route)
    profile, turned = assembly.job.system.fitting, end.fitting.shape
    assert isinstance(turned, Turned)
    stud = turned.steps[0].outer_mm
    way = cutaway.plane.flat_vector(end.fitting.place.z)
    inward = math.copysign(1.0, way[0])
    rise = way[1] / way[0]

    def on_axis(x: float, lift: float) -> Vec2:
        return (x, rise * x + lift)

    mouth = fitting[2] if inward > 0 else fitting[0]
    detail = detail_of(end.cable, CableDetail)
    swage = detail.swage[0 if end.fitting.mark.endswith("S") else 1]
    where = "IN THE SHOP" if swage == "shop" else "ON SITE"
    yield Note(
        f"END FITTING: STUD {fine(assembly, stud)} DIA., "
        f"{length(assembly, turned.steps[-1].end_mm)} LONG OVER ALL, SWAGED {where}",
        on_axis(mouth - inward * profile.sleeve_length_mm / 2, stud / 2),
    )
    yield Note(
        f"CABLE {fine(assembly, shape.diameter_mm)} DIA., {assembly.job.system.cable.construction}",
        on_axis(mouth + inward * 20.0, shape.diameter_mm / 2),
    )
    hole = _hole(end)
    if hole:
        yield Note(hole, on_axis(left + 2.0 if inward > 0 else right - 2.0, -stud / 2 - 0.5))
    yield from _hardware_notes(end, cutaway)


def _hole(end: End) -> str:
    """The hole of this cable's end as the post is drilled."""
    detail = detail_of(end.site.post, PostDetail)
    row = detail_of(end.cable, CableDetail).row
    for hole in detail.drilling:
        if hole.row == row and hole.purpose == "stud" and hole.leg == end.site.leg.number:
            size = end.site.fine(hole.width_mm)
            if end.site.detail.mount == "existing":
                prism = end.site.post.shape
                assert isinstance(prism, Prism)
                depth = end.site.length(prism.holes[hole.walls[0]].depth_mm)
                return f"HOLE {size} DIA., {depth} DEEP"
            if hole.height_mm - hole.width_mm > 0.05:
                return f"SLOTS {size} x {end.site.fine(hole.height_mm)} IN BOTH WALLS"
            return f"HOLES {size} DIA. IN BOTH WALLS"
    return ""


def _hardware_notes(end: End, cutaway: Cutaway) -> Iterator[Note]:
    """Nut, washer and seat behind the post."""
    profile = end.site.assembly.job.system.fitting
    for part in end.held:
        x0, y0, x1, y1 = cutaway.box(part).bounds
        if part.kind == "nut":
            words = f"NUT {end.site.fine(profile.nut_flats_mm)} ACROSS FLATS ON WASHER "
            at = ((x0 + x1) / 2, y0 if cutaway.box(part).bounds[2] < 0 else y1)
            yield Note(words + f"{end.site.fine(profile.washer_mm)} DIA.", at)
        elif part.kind == "seat":
            assert isinstance(part.shape, Prism)
            cut = part.shape.start
            lean = math.degrees(math.atan(math.hypot(cut.slope_x, cut.slope_y)))
            yield Note(f"BEVELLED SEAT {angle_text(round(lean, 2))}", ((x0 + x1) / 2, y0 + 2.0))


def spacer_details(assembly: Assembly, scale: Scale) -> Iterator[Detail]:
    """Every different spacer of the job, seen along the leg."""
    alike: dict[Prism, list[Part]] = {}
    for part in assembly.of_kind("spacer"):
        assert isinstance(part.shape, Prism)
        alike.setdefault(part.shape, []).append(part)
    for n, parts in enumerate(alike.values(), start=1):
        yield _spacer(assembly, parts, scale, n if len(alike) > 1 else None)


def _spacer(assembly: Assembly, parts: list[Part], scale: Scale, number: int | None) -> Detail:
    part = parts[0]
    prism = part.shape
    assert isinstance(prism, Prism)
    plane = Plane(part.place.origin, part.place.y, UP)
    wide = Cutaway(scale, plane, (-1e4, -1e4, 1e4, 1e4))
    x0, y0, x1, y1 = wide.box(part).bounds
    cutaway = Cutaway(scale, plane, (x0 - 20.0, y0 - 5.0, x1 + 20.0, y1 + 5.0))
    cutaway.seen(part, layers.CUT)
    rows = []
    for hole in detail_of(part, SpacerDetail).drilling:
        for k in hole.walls:
            drilled = prism.holes[k]
            x, y = drilled.across_mm, drilled.along_mm
            rows.append((x, y))
            half, tall = drilled.width_mm / 2, (drilled.height_mm - drilled.width_mm) / 2
            if tall < 0.05:
                cutaway.draft.draw(Arc((x, y), half, layers.SEEN))
                continue
            for lift, start in ((tall, 0.0), (-tall, 180.0)):
                cutaway.draft.draw(Arc((x, y + lift), half, layers.SEEN, start, start + 180.0))
            for edge in (x - half, x + half):
                cutaway.draft.draw(Line((edge, y - tall), (edge, y + tall), layers.SEEN))
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.left_of((x0, y0), *rows, (x0, y1))
    # Rows closer than their texts are long have them beside the string.
    rulers.left_of((x0, y0), (x0, y1), further=1)
    rulers.below((x0, y0), (x1, y0))
    first = prism.holes[0]
    size = fine(assembly, first.width_mm)
    if first.height_mm - first.width_mm > 0.05:
        size = f"SLOTS {size} x {fine(assembly, first.height_mm)}"
    else:
        size = f"HOLES {size} DIA."
    notes = [
        Note(f"BAR {tube_text(assembly, part)}", (x1, y0 + (y1 - y0) * 0.7)),
        Note(f"{len(rows)} {size}, ONE A ROW", rows[len(rows) // 2]),
    ]
    leaders(cutaway.draft, notes, rulers.clear, y1)
    rulers.draw()
    heading = "SPACER" + (f" {number}" if number else "")
    words = f"{marks_text(one.mark for one in parts)}."
    view = finished(cutaway.draft, f"detail-spacer-{number or 1}", heading, [words])
    return Detail(view, scale)
