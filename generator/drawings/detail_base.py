"""How a post is fixed: a section square to the edge and the base from above or from outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.drawings import layers
from generator.drawings.cutaway import (
    BLOCK,
    BOARD,
    CONCRETE,
    GROUT,
    INSIDE,
    METAL,
    PLATE,
    WOOD,
    Cutaway,
    Hatching,
    Window,
)
from generator.drawings.detail_site import (
    GROUND,
    Detail,
    Site,
    finished,
    marks_text,
    near,
    post_words,
    sites,
    thickness,
    tube_text,
)
from generator.drawings.leaders import Note, Rulers, leaders
from generator.drawings.project import Plane, clipped
from generator.drawings.section import cut_of
from generator.drawings.view import Line, Scale
from generator.geometry import Vec2
from generator.parts.assembly import Assembly, Part
from generator.parts.shapes import Prism, Turned

_ABOVE = 190.0  # real mm of the post over the floor
_CUT_OVER = 150.0  # and where a view from above cuts it
_BESIDE = 70.0
_BEHIND = 350.0  # how far behind the plane bodies are shown
_REACH = 420.0
_HATCHES: dict[str, Hatching] = {
    "deck": BOARD,
    "tread": BOARD,
    "floor": CONCRETE,
    "riser": WOOD,
    "rim": WOOD,
    "blocking": BLOCK,
    "joist": WOOD,
    "stringer": WOOD,
    "wall": CONCRETE,
}
_HEADINGS = {
    ("deck", False): "POST BASE ON DECK",
    ("deck", True): "POST BASE ON TREAD",
    ("fascia", False): "POST ON FASCIA",
    ("fascia", True): "POST ON STRINGER",
    ("core", False): "POST IN CORED HOLE",
    ("core", True): "POST IN CORED HOLE",
}


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
            members, key=lambda site: (site.leg.kind == "ramp", site.detail.role != "intermediate")
        )
        yield from _base(usual, key, members, scale)


def _base(
    site: Site, key: tuple[str, bool], members: Sequence[Site], scale: Scale
) -> Iterator[Detail]:
    heading = _HEADINGS[key]
    name = f"detail-base-{key[0]}" + ("-stair" if key[1] else "")
    same = f"SHOWN AT {site.post.mark}. TYPICAL AT {marks_text(one.post.mark for one in members)}."
    make = {"deck": _deck_section, "fascia": _fascia_section, "core": _core_section}[key[0]]
    yield make(site, scale, name, f"{heading} - SECTION", same)
    if key[0] == "fascia":
        yield _fascia_front(site, scale, name, f"{heading} - FROM OUTSIDE")
    elif key[0] == "deck":
        yield _deck_plan(site, scale, name, f"{heading} - FROM ABOVE")


def _around(site: Site) -> list[Part]:
    return near(site.assembly, site.edge, GROUND, _REACH)


def _window(site: Site, own: Sequence[Part], around: Sequence[Part], scale: Scale) -> Window:
    """From a little outside of the edge to a little past what carries the post."""
    frame = Cutaway(scale, site.across, (-1e4, -1e4, 1e4, 1e4))
    held = [frame.box(part).bounds for part in own]
    framing = [part for part in around if part.kind in ("rim", "blocking", "joist", "stringer")]
    low = [frame.box(part).bounds[1] for part in framing]
    decks = [frame.box(part).bounds[1] for part in around if part.kind in ("deck", "tread")]
    bottom = min([*(y for y in low if y > -420.0), *(y for y in decks if y > -250.0), -60.0])
    right = max([*(b[2] for b in held if b[2] < _REACH), site.axis]) + _BESIDE
    left = min([*(b[0] for b in held if b[0] > -_REACH), 0.0]) - _BESIDE * 0.6
    return (left, bottom - 25.0, right, _ABOVE)


def _ground(cutaway: Cutaway, around: Sequence[Part], *, concrete: bool) -> list[Part]:
    """Cuts what the post stands on; returns what the plane misses but the window shows."""
    behind = []
    for kind in GROUND:
        for part in around:
            if part.kind != kind or not cutaway.shows(part, _BEHIND):
                continue
            hatching = CONCRETE if concrete and kind != "wall" else _HATCHES[kind]
            if not cutaway.cut(part, hatching):
                behind.append(part)
    return behind


def _deck_section(site: Site, scale: Scale, name: str, heading: str, same: str) -> Detail:
    plate = site.fixed("base-plate")[0]
    anchors = site.fixed("anchor")
    blocks = site.fixed("blocking")
    around = [*_around(site), *blocks]
    around = list(dict.fromkeys(around))
    cutaway = Cutaway(scale, site.across, _window(site, (plate, *blocks), around, scale))
    cutaway.cut(site.post, METAL)
    cutaway.cut(plate, PLATE)
    behind = _ground(cutaway, around, concrete=False)
    for part in anchors:
        cutaway.inside(part)
    for part in behind:
        cutaway.seen(part, layers.SEEN)
    _axis(cutaway, site.axis, cutaway.window[1], _ABOVE + scale.plotted(3.0))
    x0, y0, _, _ = cutaway.window
    box = _cut_bounds(cutaway, plate)
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((0.0, 0.0), (site.axis, y0))
    rulers.below((0.0, 0.0), (box[0], box[1]), (box[2], box[1]))
    post = cutaway.box(site.post).bounds
    rulers.above((post[0], _ABOVE), (post[2], _ABOVE))
    levels = [(box[0], box[3]), (0.0, box[1] if site.leg.kind == "ramp" else 0.0)]
    levels += _floor_levels(cutaway, around)
    rulers.left_of(*levels)
    notes = [
        *_post_notes(site, (post[2], _ABOVE * 0.7), plate, (box[2], (box[1] + box[3]) / 2)),
        _anchor_note(site, cutaway, anchors),
        *_ground_notes(cutaway, around),
    ]
    if not any(part.kind in ("rim", "joist", "blocking", "stringer") for part in around):
        bolt = cutaway.box(anchors[-1]).bounds
        text = "FRAMING OR BLOCKING UNDER THE BASE: NOT GIVEN IN THE JOB"
        notes.append(Note(text, (bolt[2], bolt[1] + 3.0)))
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, _ABOVE - scale.plotted(4.0))
    return Detail(finished(cutaway.draft, name, heading, [same]), scale)


def _cut_bounds(cutaway: Cutaway, part: Part) -> Window:
    """Bounds of what the plane cuts of a part: of a tilted plate its true thickness there."""
    cut = cut_of(part, cutaway.plane)
    points = [point for piece in (cut.pieces if cut else ()) for point in piece]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs), min(ys), max(xs), max(ys)) if points else cutaway.box(part).bounds


def _axis(cutaway: Cutaway, x: float, low: float, high: float) -> None:
    cutaway.draft.draw(Line((x, low), (x, high), layers.CENTRE))


def _floor_levels(cutaway: Cutaway, around: Sequence[Part]) -> Iterator[tuple[float, float]]:
    """Undersides of the decking or tread that is cut, and of the rim."""
    for kind in ("deck", "tread", "rim"):
        parts = [part for part in around if part.kind == kind and cut_of(part, cutaway.plane)]
        boxes = [cutaway.box(part).bounds for part in parts]
        boxes = [b for b in boxes if b[0] < 150.0 and b[1] > cutaway.window[1] and b[3] < 1.0]
        if boxes:
            lowest = min(boxes, key=lambda b: (b[1], b[0]))
            yield lowest[0], lowest[1]


def _post_notes(
    site: Site, on_post: tuple[float, float], plate: Part, on_plate: tuple[float, float]
) -> list[Note]:
    square, depth = tube_text(site.assembly, plate), site.length(thickness(plate))
    return [
        Note(post_words(site), on_post),
        Note(f"BASE PLATE {square}, {depth} THICK, WELDED TO THE POST ALL ROUND", on_plate),
    ]


def _anchor_note(site: Site, cutaway: Cutaway, anchors: Sequence[Part]) -> Note:
    """What the anchors are, and the hole that they pass in the plate."""
    profile, anchor = site.assembly.job.system.anchor, anchors[-1]
    assert isinstance(anchor.shape, Turned)
    shank = anchor.shape.steps[0]
    dia, long = site.fine(shank.outer_mm), site.length(shank.end_mm - shank.start_mm)
    name = {"lag": "LAG SCREWS", "through-bolt": "THROUGH BOLTS"}.get(profile.style, "ANCHORS")
    ends = "WITH WASHERS AND NUTS" if profile.nut_height_mm else "WITH WASHERS"
    hole = site.fine(site.assembly.job.system.post.bolt_hole_mm)
    text = f"{len(anchors)} {name} {dia} DIA. x {long} LONG, {ends}, IN {hole} HOLES"
    boxes = [cutaway.box(one).bounds for one in anchors]
    x0, _, x1, y1 = max(boxes, key=lambda box: (box[2], box[3]))
    return Note(text, (x1 if abs(anchor.place.z[2]) > 0.5 else (x0 + x1) / 2, y1 - 2.0))


def _ground_notes(cutaway: Cutaway, around: Sequence[Part]) -> Iterator[Note]:
    """Names of what is cut or seen, each once, where it is widest in the window."""
    x0, y0, x1, y1 = cutaway.window
    seen: set[str] = set()
    for part in around:
        if not cutaway.shows(part, _BEHIND):
            continue
        words = _words(part)
        if words in seen:
            continue
        a, b, c, d = cutaway.box(part).bounds
        a, b, c, d = max(a, x0), max(b, y0), min(c, x1), min(d, y1)
        if c - a < 3.0 or d - b < 3.0:
            continue
        seen.add(words)
        yield Note(words, (a + (c - a) * 0.75, b + (d - b) * 0.4))


def _words(part: Part) -> str:
    if part.kind in ("deck", "tread", "riser"):
        return {"deck": "DECKING", "tread": "TREAD", "riser": "RISER"}[part.kind]
    return part.item.upper().replace(" MM", " mm")


def _deck_plan(site: Site, scale: Scale, name: str, heading: str) -> Detail:
    """The base from above, the post cut over its plate, framing dashed under the floor."""
    plate = site.fixed("base-plate")[0]
    plane = site.from_above
    x, y, z = plane.origin
    plane = Plane((x, y, z + _CUT_OVER), plane.right, plane.up)
    half = site.assembly.job.system.post.plate_mm / 2
    window = (-half - _BESIDE, -_BESIDE * 0.6, half + _BESIDE, site.axis + half + _BESIDE)
    cutaway = Cutaway(scale, plane, window)
    cutaway.cut(site.post, METAL)
    cutaway.seen(plate, solid=False)
    for part in site.fixed("anchor"):
        cutaway.seen(part, solid=False)
    framing = [
        part
        for part in _around(site)
        if part.kind in ("joist", "rim", "blocking", "stringer") and cutaway.shows(part, 600.0)
    ]
    for part in framing:
        cutaway.hidden(part)
    x0, y0, x1, y1 = window
    cutaway.draft.draw(
        Line((x0, 0.0), (x1, 0.0), layers.EDGE),
        Line((x0, site.axis), (x1, site.axis), layers.CENTRE),
    )
    box, holes = cutaway.box(plate).bounds, _holes(cutaway, plate)
    xs, ys = [x for x, _ in holes], [y for _, y in holes]
    post = cutaway.box(site.post).bounds
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.above((min(xs), max(ys)), (max(xs), max(ys)))
    rulers.above((box[0], box[3]), (box[2], box[3]))
    rulers.below((post[0], post[1]), (post[2], post[1]))
    rulers.left_of((min(xs), min(ys)), (min(xs), max(ys)))
    rulers.left_of((x0, 0.0), (box[0], box[1]), (box[0], box[3]))
    rulers.right_of((x1, 0.0), (x1, site.axis))
    notes = [
        Note("GUARD LINE", (x1 - scale.plotted(4.0), site.axis)),
        Note("MEASURED EDGE OF DECK OR STAIR", (x1 - scale.plotted(8.0), 0.0)),
    ]
    for part in framing[-1:]:
        a, b, c, d = cutaway.box(part).bounds
        at = (min(c, x1 - scale.plotted(1.0)), (max(b, y0) + min(d, y1)) / 2)
        notes.append(Note("FRAMING AND BLOCKING UNDER IT, DASHED", at))
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, y1)
    return Detail(finished(cutaway.draft, f"{name}-plan", heading, []), scale)


def _holes(cutaway: Cutaway, plate: Part) -> list[Vec2]:
    """Centres of a plate's holes in the picture."""
    prism = plate.shape
    assert isinstance(prism, Prism)
    found = []
    for hole in prism.holes:
        if hole.face == "z":
            local = (hole.across_mm, hole.along_mm, prism.end.z_mm)
        else:
            local = (hole.across_mm, 0.0, hole.along_mm)
        found.append(cutaway.plane.flat(plate.place.point(local)))
    return found


def _fascia_section(site: Site, scale: Scale, name: str, heading: str, same: str) -> Detail:
    plate = site.fixed("side-plate")[0]
    off, blocks = site.fixed("stand-off"), site.fixed("blocking")
    around = list(dict.fromkeys([*_around(site), *blocks]))
    anchors = site.fixed("anchor")
    window = _window(site, (site.post, plate, *anchors, *blocks), around, scale)
    cutaway = Cutaway(scale, site.across, window)
    cutaway.cut(site.post, METAL)
    cutaway.cut(plate, PLATE)
    for part in off:
        cutaway.cut(part, INSIDE)
    behind = _ground(cutaway, around, concrete=False)
    for part in anchors:
        cutaway.inside(part)
    for part in behind:
        cutaway.seen(part)
    x0, y0, x1, _ = window
    post, box = cutaway.box(site.post).bounds, cutaway.box(plate).bounds
    _axis(cutaway, site.axis, post[1] - scale.plotted(3.0), _ABOVE + scale.plotted(3.0))
    holes = [y for _, y in _holes(cutaway, plate)]
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((site.axis, post[1]), (0.0, min(y0 + 30.0, 0.0)))
    rulers.below((post[0], post[1]), (post[2], post[1]), (box[2], box[1]))
    rulers.above((post[0], _ABOVE), (post[2], _ABOVE))
    rulers.left_of(
        (post[0], box[1]), (box[0], min(holes)), (box[0], max(holes)), (box[0], box[3]),
        (0.0, 0.0),
    )  # fmt: skip
    rulers.left_of((box[0], box[1]), (box[0], box[3]))
    words = f"SIDE PLATE {site.length(box[3] - box[1])} HIGH, {site.length(box[2] - box[0])} THICK"
    notes = [
        Note(post_words(site), (post[2], _ABOVE * 0.7)),
        Note(
            f"{words}, WELDED TO {'STAND-OFF AND POST' if off else 'THE POST'}",
            (box[2], box[3] - 8.0),
        ),
        _anchor_note(site, cutaway, anchors),
        *_ground_notes(cutaway, around),
    ]
    if off:
        a, b, c, d = cutaway.box(off[0]).bounds
        notes.append(Note(f"STAND-OFF {site.length(c - a)} THICK", ((a + c) / 2, b + (d - b) / 4)))
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, _ABOVE - scale.plotted(4.0))
    return Detail(finished(cutaway.draft, name, heading, [same]), scale)


def _fascia_front(site: Site, scale: Scale, name: str, heading: str) -> Detail:
    """Post and side plate as they are seen from outside, with the bolts either side."""
    plate, anchors = site.fixed("side-plate")[0], site.fixed("anchor")
    plane = site.lengthwise
    half = site.assembly.job.system.post.side_plate_mm / 2 + _BESIDE
    box = Cutaway(scale, plane, (0.0, 0.0, 1.0, 1.0)).box(plate).bounds
    window = (-half, box[1] - _BESIDE, half, 110.0)
    cutaway = Cutaway(scale, plane, window)
    cutaway.seen(site.post)
    for part in anchors:
        cutaway.seen(part, solid=False)
    cutaway.seen(plate)
    for part in _around(site):
        if part.kind in ("rim", "deck", "stringer", "tread") and cutaway.shows(part, 1000.0):
            cutaway.seen(part, layers.SEEN, solid=part.kind != "stringer")
    x0, y0, x1, y1 = window
    holes = _holes(cutaway, plate)
    xs, ys = [x for x, _ in holes], [y for _, y in holes]
    post = cutaway.box(site.post).bounds
    _axis(cutaway, 0.0, y0, y1 + scale.plotted(3.0))
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((min(xs), min(ys)), (max(xs), min(ys)))
    rulers.below((box[0], box[1]), (box[2], box[1]))
    rulers.above((post[0], y1), (post[2], y1))
    rulers.left_of((min(xs), min(ys)), (min(xs), max(ys)))
    rulers.left_of((box[0], box[1]), (box[0], box[3]), (x0, 0.0))
    notes = [Note("WALKING SURFACE" if site.leg.kind != "stair" else "NOSING LINE", (x1, 0.0))]
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, y1)
    return Detail(finished(cutaway.draft, f"{name}-front", heading, []), scale)


def _core_section(site: Site, scale: Scale, name: str, heading: str, same: str) -> Detail:
    """The post in its hole; the hole is the profile's, the concrete the job's floor."""
    post = site.assembly.job.system.post
    half, depth = post.core_hole_mm / 2, post.core_depth_mm
    around = [part for part in _around(site) if part.kind in ("deck", "floor", "tread")]
    plane = site.across
    wide = Cutaway(scale, plane, (-1e4, -1e4, 1e4, 1e4))
    under = [part for part in around if wide.shows(part, 1.0)]
    bottom = min([*(wide.box(part).bounds[1] for part in under), -depth]) - 20.0
    window = (-50.0, bottom, site.axis + half + 110.0, _ABOVE)
    cutaway = Cutaway(scale, plane, window)
    cutaway.cut(site.post, METAL)
    left, right = site.axis - half, site.axis + half
    holes = [(left, right)]
    for part in under:
        _cored(cutaway, part, holes[0], depth)
    _grout(cutaway, site, (left, right), depth)
    x0, y0, x1, _ = window
    box = cutaway.box(site.post).bounds
    _axis(cutaway, site.axis, -depth - scale.plotted(4.0), _ABOVE + scale.plotted(3.0))
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((left, -depth), (right, -depth))
    rulers.below((0.0, y0), (site.axis, -depth))
    rulers.above((box[0], _ABOVE), (box[2], _ABOVE))
    rulers.left_of((0.0, 0.0), (left, -depth))
    thick = [cutaway.box(part).bounds for part in under if wide.box(part).bounds[1] < -depth]
    if thick:
        rulers.left_of((0.0, 0.0), (0.0, thick[0][1]))
    hole = f"HOLE {site.length(post.core_hole_mm)} DIA., {site.length(depth)} DEEP"
    notes = [
        Note(post_words(site), (box[2], _ABOVE * 0.7)),
        Note(f"{hole}, FILLED WITH NON-SHRINK GROUT, CROWNED TO SHED WATER", (right, -depth * 0.3)),
        Note(
            f"CONCRETE; HOLE'S CENTRE AT LEAST {site.length(post.core_edge_mm)} FROM ANY EDGE",
            (right + 30.0, -depth * 0.75),
        ),
    ]
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, _ABOVE - scale.plotted(4.0))
    return Detail(finished(cutaway.draft, name, heading, [same]), scale)


def _cored(cutaway: Cutaway, part: Part, hole: Vec2, depth: float) -> None:
    """A slab's cut face with the drilled hole taken out of it."""
    cut = cut_of(part, cutaway.plane)
    if cut is None:
        return
    low, high = hole
    for piece in cut.pieces:
        below = clipped(piece, (0.0, -1.0), depth)
        above = clipped(piece, (0.0, 1.0), -depth)
        sides = [
            clipped(above, (-1.0, 0.0), -low) if above else (),
            clipped(above, (1.0, 0.0), high) if above else (),
        ]
        cutaway.face([ring for ring in (*sides, below) if ring], CONCRETE)


def _grout(cutaway: Cutaway, site: Site, hole: Vec2, depth: float) -> None:
    """Fill between tube and hole, either side of the post as cut."""
    box = cutaway.box(site.post).bounds
    for low, high in ((hole[0], box[0]), (box[2], hole[1])):
        cutaway.face([((low, -depth), (high, -depth), (high, 0.0), (low, 0.0))], GROUT)
