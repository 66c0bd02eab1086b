"""Posts on a fascia or stringer, and in a cored hole: sections, and the plate from outside."""

from __future__ import annotations

from generator.drawings import layers
from generator.drawings.cutaway import (
    CONCRETE,
    GROUT,
    INSIDE,
    METAL,
    PLATE,
    Cutaway,
)
from generator.drawings.detail_ground import (
    ABOVE,
    BESIDE,
    anchor_note,
    axis,
    bodies_around,
    cut_ground,
    ground_notes,
    holes_of,
    window_of,
)
from generator.drawings.detail_site import (
    Detail,
    Site,
    finished,
    post_words,
)
from generator.drawings.leaders import Note, Rulers, leaders
from generator.drawings.project import clipped
from generator.drawings.section import cut_of
from generator.drawings.view import Scale
from generator.geometry import Vec2
from generator.parts.assembly import Part


def fascia_section(site: Site, scale: Scale, name: str, heading: str, same: str) -> Detail:
    plate = site.fixed("side-plate")[0]
    off, blocks = site.fixed("stand-off"), site.fixed("blocking")
    around = list(dict.fromkeys([*bodies_around(site), *blocks]))
    anchors = site.fixed("anchor")
    window = window_of(site, (site.post, plate, *anchors, *blocks), around, scale)
    cutaway = Cutaway(scale, site.across, window)
    cutaway.cut(site.post, METAL)
    cutaway.cut(plate, PLATE)
    for part in off:
        cutaway.cut(part, INSIDE)
    behind = cut_ground(cutaway, around, concrete=False)
    for part in anchors:
        cutaway.inside(part)
    for part in behind:
        cutaway.seen(part)
    _, y0, _, _ = window
    post, box = cutaway.box(site.post).bounds, cutaway.box(plate).bounds
    axis(cutaway, site.axis, post[1] - scale.plotted(3.0), ABOVE + scale.plotted(3.0))
    holes = [y for _, y in holes_of(cutaway, plate)]
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((site.axis, post[1]), (0.0, min(y0 + 30.0, 0.0)))
    rulers.below((post[0], post[1]), (post[2], post[1]), (box[2], box[1]))
    rulers.above((post[0], ABOVE), (post[2], ABOVE))
    rulers.left_of(
        (post[0], box[1]), (box[0], min(holes)), (box[0], max(holes)), (box[0], box[3]),
        (0.0, 0.0),
    )  # fmt: skip
    rulers.left_of((box[0], box[1]), (box[0], box[3]))
    words = f"SIDE PLATE {site.length(box[3] - box[1])} HIGH, {site.length(box[2] - box[0])} THICK"
    notes = [
        Note(post_words(site), (post[2], ABOVE * 0.7)),
        Note(
            f"{words}, WELDED TO {'STAND-OFF AND POST' if off else 'THE POST'}",
            (box[2], box[3] - 8.0),
        ),
        anchor_note(site, cutaway, anchors),
        *ground_notes(cutaway, around),
    ]
    if off:
        a, b, c, d = cutaway.box(off[0]).bounds
        notes.append(Note(f"STAND-OFF {site.length(c - a)} THICK", ((a + c) / 2, b + (d - b) / 4)))
    leaders(cutaway.draft, notes, rulers.clear, ABOVE - scale.plotted(4.0))
    rulers.draw()
    return Detail(finished(cutaway.draft, name, heading, [same]), scale)


def fascia_front(site: Site, scale: Scale, name: str, heading: str) -> Detail:
    """Post and side plate as they are seen from outside, with the bolts either side."""
    plate, anchors = site.fixed("side-plate")[0], site.fixed("anchor")
    plane = site.lengthwise
    half = site.assembly.job.system.post.side_plate_mm / 2 + BESIDE
    box = Cutaway(scale, plane, (0.0, 0.0, 1.0, 1.0)).box(plate).bounds
    window = (-half, box[1] - BESIDE, half, 110.0)
    cutaway = Cutaway(scale, plane, window)
    cutaway.seen(site.post)
    for part in anchors:
        cutaway.seen(part, solid=False)
    cutaway.seen(plate)
    for part in bodies_around(site):
        # The treads over it would be cut off by the window.
        over = part.kind == "tread" and cutaway.box(part).bounds[1] > 0.0
        near = part.kind in ("rim", "deck", "stringer", "tread") and cutaway.shows(part, 1000.0)
        if near and not over:
            cutaway.seen(part, layers.SEEN, solid=part.kind != "stringer")
    x0, y0, x1, y1 = window
    rise = site.tape.slope * site.sense
    if site.leg.kind == "stair":
        cutaway.line((x0, x0 * rise), (x1, x1 * rise), layers.NOSING)
    holes = holes_of(cutaway, plate)
    xs, ys = [x for x, _ in holes], [y for _, y in holes]
    post = cutaway.box(site.post).bounds
    axis(cutaway, 0.0, y0, y1 + scale.plotted(3.0))
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((min(xs), min(ys)), (max(xs), min(ys)))
    rulers.below((box[0], box[1]), (box[2], box[1]))
    rulers.above((post[0], y1), (post[2], y1))
    rulers.left_of((min(xs), min(ys)), (min(xs), max(ys)))
    # Over a stair its nosing line is told from the post's axis, where the lengths are worked out.
    rulers.left_of((box[0], box[1]), (box[0], box[3]), (0.0 if rise else x0, 0.0))
    on_line = (x1 * 0.9, x1 * 0.9 * rise)
    notes = [Note("WALKING SURFACE" if site.leg.kind != "stair" else "NOSING LINE", on_line)]
    leaders(cutaway.draft, notes, rulers.clear, y1)
    rulers.draw()
    return Detail(finished(cutaway.draft, f"{name}-front", heading, []), scale)


def core_section(site: Site, scale: Scale, name: str, heading: str, same: str) -> Detail:
    """The post in its hole; the hole is the profile's, the concrete the job's floor."""
    post = site.assembly.job.system.post
    half, depth = post.core_hole_mm / 2, post.core_depth_mm
    around = [part for part in bodies_around(site) if part.kind in ("deck", "floor", "tread")]
    plane = site.across
    wide = Cutaway(scale, plane, (-1e4, -1e4, 1e4, 1e4))
    under = [part for part in around if wide.shows(part, 1.0)]
    bottom = min([*(wide.box(part).bounds[1] for part in under), -depth]) - 20.0
    window = (-50.0, bottom, site.axis + half + 110.0, ABOVE)
    cutaway = Cutaway(scale, plane, window)
    cutaway.cut(site.post, METAL)
    left, right = site.axis - half, site.axis + half
    holes = [(left, right)]
    for part in under:
        _cored(cutaway, part, holes[0], depth)
    _grout(cutaway, site, (left, right), depth)
    _, y0, _, _ = window
    box = cutaway.box(site.post).bounds
    axis(cutaway, site.axis, -depth - scale.plotted(4.0), ABOVE + scale.plotted(3.0))
    rulers = Rulers(cutaway.draft, cutaway.window)
    rulers.below((left, -depth), (right, -depth))
    rulers.below((0.0, y0), (site.axis, -depth))
    rulers.above((box[0], ABOVE), (box[2], ABOVE))
    rulers.left_of((0.0, 0.0), (left, -depth))
    thick = [cutaway.box(part).bounds for part in under if wide.box(part).bounds[1] < -depth]
    if thick:
        rulers.left_of((0.0, 0.0), (0.0, thick[0][1]))
    hole = f"HOLE {site.length(post.core_hole_mm)} DIA., {site.length(depth)} DEEP"
    notes = [
        Note(post_words(site), (box[2], ABOVE * 0.7)),
        Note(f"{hole}, FILLED WITH NON-SHRINK GROUT, CROWNED TO SHED WATER", (right, -depth * 0.3)),
        Note(
            f"CONCRETE; HOLE'S CENTRE AT LEAST {site.length(post.core_edge_mm)} FROM ANY EDGE",
            (right + 30.0, -depth * 0.75),
        ),
    ]
    leaders(cutaway.draft, notes, rulers.clear, ABOVE - scale.plotted(4.0))
    rulers.draw()
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
