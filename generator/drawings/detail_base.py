"""How a post is fixed: a section square to the edge and the base from above or from outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.drawings import layers
from generator.drawings.cutaway import (
    METAL,
    PLATE,
    Cutaway,
)
from generator.drawings.detail_ground import (
    ABOVE,
    BESIDE,
    CUT_OVER,
    anchor_note,
    axis,
    bodies_around,
    cut_bounds,
    cut_ground,
    floor_levels,
    ground_notes,
    holes_of,
    window_of,
)
from generator.drawings.detail_mount import core_section, fascia_front, fascia_section
from generator.drawings.detail_site import (
    Detail,
    Site,
    finished,
    marks_text,
    post_words,
    sites,
    thickness,
    tube_text,
)
from generator.drawings.leaders import Note, Rulers, leaders
from generator.drawings.project import Plane
from generator.drawings.view import Line, Scale
from generator.geometry import Vec2, dot
from generator.parts.assembly import Assembly, Part

_HEADINGS = {
    ("deck", False): "POST BASE ON DECK",
    ("deck", True): "POST BASE ON TREAD",
    ("fascia", False): "POST ON FASCIA",
    ("fascia", True): "POST ON STRINGER",
    ("core", False): "POST IN CORED HOLE",
    ("core", True): "POST IN CORED HOLE",
}

_ASKEW = 1e-6


def base_details(assembly: Assembly, scale: Scale) -> Iterator[Detail]:
    """A section and a plan (or a front) for every way in which the job's posts are fixed."""
    groups: dict[tuple[str, bool], list[Site]] = {}
    for site in sites(assembly):
        if site.detail.mount != "existing":
            pitched = site.leg.kind == "stair" and site.detail.mount == "fascia"
            key = (site.detail.mount, site.detail.tread is not None or pitched)
            groups.setdefault(key, []).append(site)
    for key, members in groups.items():
        # One that stands on the level between others shows the usual case; ends carry fittings.
        usual = min(
            members,
            key=lambda site: (
                _turned(site),
                site.leg.kind == "ramp",
                site.detail.role != "intermediate",
            ),
        )
        yield from _base(usual, key, members, scale)


def _turned(site: Site) -> bool:
    """Whether a post stands askew to its leg, as in a corner that is not square."""
    along = abs(dot(site.post.place.x, site.tape.travel))
    return _ASKEW < along < 1.0 - _ASKEW


def _base(
    site: Site, key: tuple[str, bool], members: Sequence[Site], scale: Scale
) -> Iterator[Detail]:
    heading = _HEADINGS[key]
    name = f"detail-base-{key[0]}" + ("-stair" if key[1] else "")
    same = f"SHOWN AT {site.post.mark}. TYPICAL AT {marks_text(one.post.mark for one in members)}."
    make = {"deck": _deck_section, "fascia": fascia_section, "core": core_section}[key[0]]
    yield make(site, scale, name, f"{heading} - SECTION", same)
    if key[0] == "fascia":
        yield fascia_front(site, scale, name, f"{heading} - FROM OUTSIDE")
    elif key[0] == "deck":
        yield _deck_plan(site, scale, name, f"{heading} - FROM ABOVE")


def _deck_section(site: Site, scale: Scale, name: str, heading: str, same: str) -> Detail:
    plate = site.fixed("base-plate")[0]
    anchors = site.fixed("anchor")
    blocks = site.fixed("blocking")
    around = [*bodies_around(site), *blocks]
    around = list(dict.fromkeys(around))
    cutaway = Cutaway(scale, site.across, window_of(site, (plate, *blocks), around, scale))
    cutaway.cut(site.post, METAL)
    cutaway.cut(plate, PLATE)
    behind = cut_ground(cutaway, around, concrete=False)
    for part in anchors:
        cutaway.inside(part)
    for part in behind:
        cutaway.seen(part, layers.SEEN)
    axis(cutaway, site.axis, cutaway.window[1], ABOVE + scale.plotted(3.0))
    _, y0, _, _ = cutaway.window
    box = cut_bounds(cutaway, plate)
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((0.0, 0.0), (site.axis, y0))
    rulers.below((0.0, 0.0), (box[0], box[1]), (box[2], box[1]))
    post = cut_bounds(cutaway, site.post)
    rulers.above((post[0], ABOVE), (post[2], ABOVE))
    levels = [(box[0], box[3]), (0.0, box[1] if site.leg.kind == "ramp" else 0.0)]
    levels += floor_levels(cutaway, around)
    rulers.left_of(*levels)
    notes = [
        *_post_notes(site, (post[2], ABOVE * 0.7), plate, (box[2], (box[1] + box[3]) / 2)),
        anchor_note(site, cutaway, anchors),
        *ground_notes(cutaway, around),
    ]
    if not any(part.kind in ("rim", "joist", "blocking", "stringer") for part in around):
        bolt = cutaway.box(anchors[-1]).bounds
        text = "FRAMING OR BLOCKING UNDER THE BASE: NOT GIVEN IN THE JOB"
        notes.append(Note(text, (bolt[2], bolt[1] + 3.0)))
    leaders(cutaway.draft, notes, rulers.clear, ABOVE - scale.plotted(4.0))
    rulers.draw()
    return Detail(finished(cutaway.draft, name, heading, [same]), scale)


def _post_notes(
    site: Site, on_post: tuple[float, float], plate: Part, on_plate: tuple[float, float]
) -> list[Note]:
    square, depth = tube_text(site.assembly, plate), site.length(thickness(plate))
    return [
        Note(post_words(site), on_post),
        Note(f"BASE PLATE {square}, {depth} THICK, WELDED TO THE POST ALL ROUND", on_plate),
    ]


def _deck_plan(site: Site, scale: Scale, name: str, heading: str) -> Detail:
    """The base from above, the post cut over its plate, framing dashed under the floor."""
    plate = site.fixed("base-plate")[0]
    plane = site.from_above
    x, y, z = plane.origin
    plane = Plane((x, y, z + CUT_OVER), plane.right, plane.up)
    half = site.assembly.job.system.post.plate_mm / 2
    window = (-half - BESIDE, -BESIDE * 0.6, half + BESIDE, site.axis + half + BESIDE)
    cutaway = Cutaway(scale, plane, window)
    cutaway.cut(site.post, METAL)
    cutaway.seen(plate, solid=False)
    for part in site.fixed("anchor"):
        cutaway.seen(part, solid=False)
    framing = [
        part
        for part in bodies_around(site)
        if part.kind in ("joist", "rim", "blocking", "stringer") and cutaway.shows(part, 600.0)
    ]
    for part in framing:
        cutaway.hidden(part)
    x0, _, x1, y1 = window
    cutaway.draft.draw(
        Line((x0, 0.0), (x1, 0.0), layers.EDGE),
        Line((x0, site.axis), (x1, site.axis), layers.CENTRE),
    )
    box, holes = cutaway.box(plate).bounds, holes_of(cutaway, plate)
    xs, ys = [x for x, _ in holes], [y for _, y in holes]
    post = cutaway.box(site.post).bounds
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.above((min(xs), max(ys)), (max(xs), max(ys)))
    rulers.above((box[0], box[3]), (box[2], box[3]))
    rulers.below((post[0], post[1]), (post[2], post[1]))
    rulers.left_of((min(xs), min(ys)), (min(xs), max(ys)))
    rulers.left_of((x0, 0.0), (box[0], box[1]), (box[0], box[3]))
    rulers.left_of((x0, 0.0), (x0, site.axis))
    notes = [
        Note("GUARD LINE", (x1 - scale.plotted(4.0), site.axis)),
        Note("MEASURED EDGE OF DECK OR STAIR", (x1 - scale.plotted(8.0), 0.0)),
    ]
    edges = [at for part in framing for at in _edges(cutaway, part)]
    if edges:
        notes.append(Note("FRAMING AND BLOCKING UNDER IT, DASHED", edges[0]))
    leaders(cutaway.draft, notes, rulers.clear, y1)
    rulers.draw()
    return Detail(finished(cutaway.draft, f"{name}-plan", heading, []), scale)


def _edges(cutaway: Cutaway, part: Part) -> Iterator[Vec2]:
    """Points on the dashed edges of a body under the floor, right of the plate."""
    x0, y0, x1, y1 = cutaway.window
    a, b, c, d = cutaway.box(part).bounds
    for y in (d, b):
        if y0 + 1.0 < y < y1 and c > x1 - 1.0:
            yield x1 - cutaway.scale.plotted(5.0), y
    for x in (c, a):
        if x0 < x < x1 and b < y1 and d > y0:
            yield x, (max(b, y0) + min(d, y1)) / 2
