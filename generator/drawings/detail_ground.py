"""What the details of post bases share: what lies around a post, what is cut of it, its names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.drawings import layers
from generator.drawings.cutaway import (
    BLOCK,
    BOARD,
    CONCRETE,
    WOOD,
    Cutaway,
    Hatching,
    Window,
)
from generator.drawings.detail_site import (
    GROUND,
    Site,
    near,
)
from generator.drawings.leaders import Note
from generator.drawings.section import cut_of
from generator.drawings.view import Line, Scale
from generator.geometry import Vec2
from generator.parts.assembly import Part
from generator.parts.shapes import Prism, Turned

ABOVE = 190.0  # real mm of the post over the floor
CUT_OVER = 150.0  # and where a view from above cuts it
BESIDE = 70.0
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


def bodies_around(site: Site) -> list[Part]:
    return near(site.assembly, site.edge, GROUND, _REACH)


def window_of(site: Site, own: Sequence[Part], around: Sequence[Part], scale: Scale) -> Window:
    """From a little outside of the edge to a little past what carries the post."""
    frame = Cutaway(scale, site.across, (-1e4, -1e4, 1e4, 1e4))
    held = [frame.box(part).bounds for part in own]
    framing = [part for part in around if part.kind in ("rim", "blocking", "joist", "stringer")]
    low = [frame.box(part).bounds[1] for part in framing]
    decks = [frame.box(part).bounds[1] for part in around if part.kind in ("deck", "tread")]
    # A plate at the side of a stringer hangs lower than what the plane cuts of that.
    low += [b[1] for b in held]
    bottom = min([*(y for y in low if y > -_REACH), *(y for y in decks if y > -250.0), -60.0])
    right = max([*(b[2] for b in held if b[2] < _REACH), site.axis]) + BESIDE
    left = min([*(b[0] for b in held if b[0] > -_REACH), 0.0]) - BESIDE * 0.6
    return (left, bottom - 25.0, right, ABOVE)


def cut_ground(cutaway: Cutaway, around: Sequence[Part], *, concrete: bool) -> list[Part]:
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


def cut_bounds(cutaway: Cutaway, part: Part) -> Window:
    """Bounds of what the plane cuts of a part: of a tilted plate its true thickness there."""
    cut = cut_of(part, cutaway.plane)
    points = [point for piece in (cut.pieces if cut else ()) for point in piece]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs), min(ys), max(xs), max(ys)) if points else cutaway.box(part).bounds


def axis(cutaway: Cutaway, x: float, low: float, high: float) -> None:
    cutaway.draft.draw(Line((x, low), (x, high), layers.CENTRE))


def floor_levels(cutaway: Cutaway, around: Sequence[Part]) -> Iterator[tuple[float, float]]:
    """Undersides of the decking or tread that is cut, and of the rim."""
    for kind in ("deck", "tread", "rim"):
        parts = [part for part in around if part.kind == kind and cut_of(part, cutaway.plane)]
        boxes = [cutaway.box(part).bounds for part in parts]
        boxes = [b for b in boxes if b[0] < 150.0 and b[1] > cutaway.window[1] and b[3] < 1.0]
        if boxes:
            lowest = min(boxes, key=lambda b: (b[1], b[0]))
            yield lowest[0], lowest[1]


def anchor_note(site: Site, cutaway: Cutaway, anchors: Sequence[Part]) -> Note:
    """What the anchors are, and the hole that they pass in the plate."""
    profile, anchor = site.assembly.job.system.anchor, anchors[-1]
    assert isinstance(anchor.shape, Turned)
    shank = anchor.shape.steps[0]
    dia, long = site.fine(shank.outer_mm), site.length(shank.end_mm - shank.start_mm)
    name = {"lag": "LAG SCREWS", "through-bolt": "THROUGH BOLTS"}.get(profile.style, "ANCHORS")
    ends = "WITH WASHERS AND NUTS" if profile.nut_height_mm else "WITH WASHERS"
    if profile.nut_height_mm and profile.nut_washer_mm > profile.washer_mm:
        ends += f" ({site.fine(profile.nut_washer_mm)} DIA. WASHER UNDER NUT)"
    hole = site.fine(site.assembly.job.system.post.bolt_hole_mm)
    text = f"{len(anchors)} {name} {dia} DIA. x {long} LONG, {ends}, IN {hole} HOLES"
    boxes = [cutaway.box(one).bounds for one in anchors]
    x0, _, x1, y1 = max(boxes, key=lambda box: (box[2], box[3]))
    return Note(text, (x1 if abs(anchor.place.z[2]) > 0.5 else (x0 + x1) / 2, y1 - 2.0))


def ground_notes(cutaway: Cutaway, around: Sequence[Part]) -> Iterator[Note]:
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


def holes_of(cutaway: Cutaway, plate: Part) -> list[Vec2]:
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
