"""How rails meet: a joint over a post with its sleeve, and a miter with its connector."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.drawings import layers
from generator.drawings.cutaway import INSIDE, METAL, PLATE, Cutaway, Window
from generator.drawings.detail_site import (
    Detail,
    finished,
    length,
    marks_text,
    near,
    tube_text,
)
from generator.drawings.dimensions import angle, angle_text
from generator.drawings.leaders import Note, Rulers, leaders
from generator.drawings.project import Plane
from generator.drawings.view import Scale
from generator.geometry import UP, Vec2, Vec3, add, cross, dot, unit
from generator.geometry import scale as times
from generator.parts.assembly import Assembly, Part
from generator.parts.measure import cut_angles
from generator.parts.shapes import Prism

_MEET_MM = 1.0
_LEVEL = 1e-6
_ARM_MM = 60.0  # from a miter to an end of a connector's arm: those of this one


def rail_details(assembly: Assembly, scale: Scale) -> Iterator[Detail]:
    """One of the joints with a sleeve, and one miter for every angle that the job has."""
    sleeves = list(assembly.of_kind("sleeve"))
    if sleeves:
        yield _joint(assembly, sleeves[0], scale)
    seen: dict[tuple[float, float], list[tuple[Part, Part]]] = {}
    for pair in _miters(assembly):
        turn = _turn(*pair)
        if abs(turn) > 0.05:
            key = (round(abs(turn), 1), round(abs(pair[0].place.z[2]), 3))
            seen.setdefault(key, []).append(pair)
    for n, pairs in enumerate(seen.values(), start=1):
        yield _miter(assembly, pairs, scale, n if len(seen) > 1 else None)


def _end(part: Part, *, at_end: bool) -> Vec3:
    """Middle of a rail's cut."""
    prism = part.shape
    assert isinstance(prism, Prism)
    return part.place.point((0.0, 0.0, (prism.end if at_end else prism.start).z_mm))


def _joint(assembly: Assembly, sleeve: Part, scale: Scale) -> Detail:
    """Lengthwise through two rails, what is inside them, bracket and post."""
    after = assembly.by_mark[sleeve.belongs_to]
    middle = _end(after, at_end=False)
    leg = next(leg for leg in assembly.legs if after.mark in leg.rails)
    sense = 1.0 if leg.deck == "left" else -1.0
    plane = Plane(middle, times(after.place.z, sense), after.place.y)
    rails = near(assembly, middle, ("rail",), _MEET_MM)
    posts = near(assembly, middle, ("post", "column"), 80.0)
    plates = near(assembly, middle, ("bracket",), 80.0)
    wide = Cutaway(scale, plane, (-1e4, -1e4, 1e4, 1e4))
    box = wide.box(sleeve).bounds
    low = min([wide.box(one).bounds[1] for one in (*rails, *plates)]) - 70.0
    top = max(wide.box(one).bounds[3] for one in rails)
    window = (box[0] - 55.0, low, box[2] + 55.0, top + 15.0)
    cutaway = Cutaway(scale, plane, window)
    for part in rails:
        cutaway.cut(part, METAL)
    cutaway.cut(sleeve, INSIDE)
    for part in plates:
        cutaway.cut(part, PLATE)
    for part in posts:
        cutaway.cut(part, METAL)
    rulers = Rulers(cutaway.draft, window)
    rulers.above((box[0], top), (0.0, top), (box[2], top))
    rulers.above((box[0], top), (box[2], top))
    rail = cutaway.box(rails[0]).bounds
    rulers.left_of((window[0], rail[1]), (window[0], rail[3]))
    x1 = window[2]
    notes = []
    for part in posts[:1]:
        post = cutaway.box(part).bounds
        # On a pitch the rail lies level in the picture and the post leans: no length along it.
        if plane.flat_vector(part.place.z)[1] > 1.0 - _LEVEL:
            rulers.below((post[0], low), (post[2], low))
        words = f"POST {part.mark}, {tube_text(assembly, part)}"
        notes.append(Note(words, _on_side(cutaway, part)))
    met = " AND ".join(sorted(part.mark for part in rails))
    notes += [
        Note(f"JOINT OF {met}, SQUARE CUTS", (0.0, top)),
        Note(f"RAIL {tube_text(assembly, rails[0])}", (x1 - 12.0, rail[3] - 1.0)),
        Note(f"SPLICE SLEEVE {tube_text(assembly, sleeve)}", (box[2] - 10.0, box[1] + 2.0)),
    ]
    notes += [_bracket_note(assembly, cutaway, part) for part in plates[:1]]
    leaders(cutaway.draft, notes, rulers.clear, top + 10.0)
    rulers.draw()
    joints = [one.belongs_to for one in assembly.of_kind("sleeve")]
    words = f"SHOWN BETWEEN {met}. TYPICAL AT THE START OF {marks_text(joints)}."
    return Detail(finished(cutaway.draft, "detail-joint", "RAIL JOINT", [words]), scale)


def _on_side(cutaway: Cutaway, post: Part) -> Vec2:
    """A point on the right side of a post low in the picture, in which it may lean."""
    prism = post.shape
    assert isinstance(prism, Prism)
    (x, y), way = cutaway.plane.flat(post.place.origin), cutaway.plane.flat_vector(post.place.z)
    half = max(corner[0] for corner in prism.section.outer.corners)
    low = cutaway.window[1] + 12.0
    return (x + (way[0] * (low - y) + half) / way[1], low)


def _bracket_note(assembly: Assembly, cutaway: Cutaway, part: Part) -> Note:
    x0, y0, x1, y1 = cutaway.box(part).bounds
    bracket = assembly.job.system.bracket
    text = f"BRACKET PLATE {length(assembly, x1 - x0)} x {length(assembly, y1 - y0)}"
    screws = f", SCREWED UP INTO THE RAIL WITH {bracket.screws} SCREWS: {bracket.screw.upper()}"
    return Note(text + (screws if bracket.screws else ""), (x1 - 3.0, (y0 + y1) / 2))


def _miters(assembly: Assembly) -> Iterator[tuple[Part, Part]]:
    """Pairs of rails whose mitered ends lie on each other, the earlier one first."""
    starts = [part for part in assembly.of_kind("rail") if _detail(part, "start_on") == "miter"]
    for before in assembly.of_kind("rail"):
        if _detail(before, "end_on") != "miter":
            continue
        tip = _end(before, at_end=True)
        for after in starts:
            if math.dist(tip, _end(after, at_end=False)) < _MEET_MM:
                yield before, after


def _detail(part: Part, field: str) -> str:
    return str(getattr(part.detail, field, ""))


def _turn(before: Part, after: Part) -> float:
    """Angle between the ways of two rails, degrees."""
    cosine = max(-1.0, min(1.0, dot(before.place.z, after.place.z)))
    return math.degrees(math.acos(cosine))


def _plane(before: Part, after: Part) -> Plane:
    """The plane that both rails lie in: from above, or upright as it is seen from one side."""
    a, b = before.place.z, after.place.z
    toward = unit(cross(a, b))
    origin = _end(before, at_end=True)
    if abs(toward[2]) < _LEVEL:
        way = max((a, b), key=lambda v: math.hypot(v[0], v[1]))
        return Plane(origin, unit((way[0], way[1], 0.0)), UP)
    if toward[2] < 0.0:
        toward = times(toward, -1.0)
    return Plane(origin, a, cross(toward, a))


def _miter(
    assembly: Assembly, pairs: list[tuple[Part, Part]], scale: Scale, number: int | None
) -> Detail:
    before, after = pairs[0]
    plane = _plane(before, after)
    arms = [
        part
        for part in assembly.of_kind("connector")
        if part.belongs_to in (before.mark, after.mark)
        and min(math.dist(_end(part, at_end=end), plane.origin) for end in (False, True)) < _ARM_MM
    ]
    back = plane.flat_vector(times(before.place.z, -1.0))
    way = plane.flat_vector(after.place.z)
    cutaway = Cutaway(scale, plane, _miter_window(assembly, arms, plane, (back, way)))
    window = cutaway.window
    for part in (before, after):
        cutaway.seen(part, layers.CUT)
    for part in arms:
        cutaway.hidden(part)
    for part in near(assembly, plane.origin, ("post", "column", "bracket"), 80.0):
        cutaway.hidden(part)
    far = window[2] - window[0] + window[3] - window[1]
    for x, y in (back, way):
        cutaway.line((0.0, 0.0), (x * far, y * far), layers.CENTRE)
    turns = sorted(math.degrees(math.atan2(y, x)) % 360.0 for x, y in (back, way))
    start, end = turns if turns[1] - turns[0] < 180.0 else (turns[1], turns[0] + 360.0)
    rulers = Rulers(cutaway.draft, window)
    if abs(back[1]) < _LEVEL:
        _miter_strings(cutaway, rulers, before, arms, way)
    rulers.reserve()
    leaders(
        cutaway.draft,
        list(_miter_notes(assembly, before, after, arms, cutaway)),
        rulers.clear,
        window[3],
    )
    angle(cutaway.draft, (0.0, 0.0), start, end, (16.0, 20.0, 26.0))
    rulers.draw()
    heading = "RAIL MITER" + (f" {number}" if number else "")
    same = ", ".join(f"{a.mark}/{b.mark}" for a, b in pairs)
    words = f"SHOWN AT {before.mark}/{after.mark}. TYPICAL AT {same}."
    return Detail(finished(cutaway.draft, f"detail-miter-{number or 1}", heading, [words]), scale)


def _miter_window(
    assembly: Assembly, arms: list[Part], plane: Plane, ways: tuple[Vec2, Vec2]
) -> Window:
    """Along both rails to a little beyond the connector, and room for their width."""
    prisms = [part.shape for part in arms if isinstance(part.shape, Prism)]
    longest = max([*(prism.end.z_mm - prism.start.z_mm for prism in prisms), 100.0]) + 60.0
    rail = assembly.job.system.rail
    half = (rail.width_mm if abs(plane.toward[2]) > 0.5 else rail.depth_mm) * 0.75 + 12.0
    xs = [0.0, *(x * longest for x, _ in ways)]
    ys = [0.0, *(y * longest for _, y in ways)]
    return (min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)


def _miter_strings(
    cutaway: Cutaway, rulers: Rulers, before: Part, arms: list[Part], way: Vec2
) -> None:
    """Width of the rail that lies level in the picture, and how far its connector reaches."""
    box = cutaway.box(before).bounds
    side = cutaway.window[0 if box[0] < -1.0 else 2]
    (rulers.left_of if box[0] < -1.0 else rulers.right_of)((side, box[1]), (side, box[3]))
    for part in [part for part in arms if part.belongs_to == before.mark][:1]:
        x0, _, x1, _ = cutaway.box(part).bounds
        inner = x0 if box[0] < -1.0 else x1
        below = way[1] > -0.1
        mark = (inner, box[1] if below else box[3])
        (rulers.below if below else rulers.above)(mark, (0.0, 0.0))


def _middle(part: Part) -> Vec3:
    a, b = (_end(part, at_end=at_end) for at_end in (False, True))
    return times(add(a, b), 0.5)


def _miter_notes(
    assembly: Assembly, before: Part, after: Part, arms: list[Part], cutaway: Cutaway
) -> Iterator[Note]:
    words = []
    for part, end in ((before, "end"), (after, "start")):
        miter, bevel = (abs(value) for value in cut_angles(part, end))  # type: ignore[arg-type]
        angles = [
            f"{name} {angle_text(value)}"
            for name, value in (("MITER", miter), ("BEVEL", bevel))
            if value > 0.005
        ]
        text = f"{part.mark}: {', '.join(angles) or 'SQUARE'}"
        words.append(text)
    yield Note(f"SAW CUT {', '.join(words)}, WELDED OR FIXED ON THE CONNECTOR", (0.0, 0.0))
    way, (x0, y0, x1, y1) = cutaway.plane.flat_vector(after.place.z), cutaway.window
    far = min(x1 - x0, y1 - y0) * 0.45
    yield Note(f"RAIL {tube_text(assembly, before)}", (way[0] * far + 8.0, way[1] * far))
    for part in arms[:1]:
        prism = part.shape
        assert isinstance(prism, Prism)
        long = length(assembly, prism.end.z_mm - prism.start.z_mm)
        text = f"CONNECTOR ARM {tube_text(assembly, part)}, {long} ALONG ITS AXIS"
        yield Note(text, cutaway.plane.flat(_middle(part)))
    for part in near(assembly, cutaway.plane.origin, ("post", "column"), 80.0)[:1]:
        if not cutaway.box(part).touches(cutaway.frame):
            continue
        _, b, c, _ = cutaway.box(part).bounds
        at = (min(c * 0.8, x1 - 3.0), max(b * 0.8, y0 + 3.0))
        yield Note(f"POST {part.mark} AND ITS BRACKET BELOW", at)
