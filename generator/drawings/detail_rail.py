"""How rails meet: a joint over a post with its sleeve, and a miter with its connector."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.drawings import layers
from generator.drawings.cutaway import INSIDE, METAL, PLATE, Cutaway
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
from generator.geometry import Vec3, add, cross, dot, unit
from generator.geometry import scale as times
from generator.parts.assembly import Assembly, Part
from generator.parts.measure import cut_angles
from generator.parts.shapes import Prism

_MEET_MM = 1.0
_LEVEL = 1e-6


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
    plates = [one for one in near(assembly, middle, ("bracket",), 80.0)]
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
    for part in posts[:1]:
        post = cutaway.box(part).bounds
        rulers.below((post[0], low), (post[2], low))
    x1 = window[2]
    notes = [
        Note(f"RAIL {tube_text(assembly, rails[0])}", (x1 - 12.0, rail[3] - 1.0)),
        Note(f"SPLICE SLEEVE {tube_text(assembly, sleeve)}", (box[2] - 10.0, box[1] + 2.0)),
    ]
    notes += [_bracket_note(assembly, cutaway, part) for part in plates[:1]]
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, top + 10.0)
    joints = [one.belongs_to for one in assembly.of_kind("sleeve")]
    marks = " AND ".join(sorted(part.mark for part in rails))
    words = f"SHOWN BETWEEN {marks}. TYPICAL AT THE START OF {marks_text(joints)}."
    return Detail(finished(cutaway.draft, "detail-joint", "RAIL JOINT", [words]), scale)


def _bracket_note(assembly: Assembly, cutaway: Cutaway, part: Part) -> Note:
    x0, y0, x1, y1 = cutaway.box(part).bounds
    bracket = assembly.job.system.bracket
    text = f"BRACKET PLATE {length(assembly, x1 - x0)} x {length(assembly, y1 - y0)}"
    screws = f", SCREWED UP INTO THE RAIL WITH {bracket.screws}: {bracket.screw.upper()}"
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
    """The plane that both rails lie in, seen from above or from the side, the first level."""
    right = before.place.z
    toward = unit(cross(right, after.place.z))
    if toward[2] < -_LEVEL or (abs(toward[2]) <= _LEVEL and dot(toward, before.place.x) > 0.0):
        toward = times(toward, -1.0)
    return Plane(_end(before, at_end=True), right, cross(toward, right))


def _miter(
    assembly: Assembly, pairs: list[tuple[Part, Part]], scale: Scale, number: int | None
) -> Detail:
    before, after = pairs[0]
    plane = _plane(before, after)
    arms = [
        part
        for part in assembly.of_kind("connector")
        if part.belongs_to in (before.mark, after.mark)
        and math.dist(_middle(part), plane.origin) < 400.0
    ]
    wide = Cutaway(scale, plane, (-1e4, -1e4, 1e4, 1e4))
    boxes = [wide.box(part).bounds for part in arms]
    reach_ = max([*(max(-b[0], -b[1], b[2], b[3]) for b in boxes), 120.0]) + 40.0
    way = plane.flat_vector(after.place.z)
    half = assembly.job.system.rail.width_mm
    window = (
        -reach_,
        (-reach_ if way[1] < -0.1 else -half) - 10.0,
        (reach_ if way[0] > 0.1 else half) + 10.0,
        (reach_ if way[1] > 0.1 else half) + 10.0,
    )
    cutaway = Cutaway(scale, plane, window)
    for part in (before, after):
        cutaway.seen(part, layers.CUT)
    for part in arms:
        cutaway.hidden(part)
    for part in near(assembly, plane.origin, ("post", "column", "bracket"), 80.0):
        cutaway.hidden(part)
    _axes(cutaway, way, reach_)
    turn = math.degrees(math.atan2(way[1], way[0]))
    start, end = (turn, 180.0) if turn > 0.0 else (180.0, turn + 360.0)
    angle(cutaway.draft, (0.0, 0.0), start, end, (16.0, 20.0, 26.0))
    box = cutaway.box(before).bounds
    rulers = Rulers(cutaway.draft, window)
    rulers.left_of((window[0], box[1]), (window[0], box[3]))
    mine = [part for part in arms if part.belongs_to == before.mark]
    for part in mine[:1]:
        inner = cutaway.box(part).bounds[0]
        side = rulers.below if way[1] > -0.1 else rulers.above
        side((inner, box[1] if way[1] > -0.1 else box[3]), (0.0, 0.0))
    notes = list(_miter_notes(assembly, before, after, arms, cutaway))
    rulers.draw()
    leaders(cutaway.draft, notes, rulers.clear, window[3])
    heading = "RAIL MITER" + (f" {number}" if number else "")
    name = f"detail-miter-{number or 1}"
    same = ", ".join(f"{a.mark}/{b.mark}" for a, b in pairs)
    view = finished(cutaway.draft, name, heading, [f"SHOWN AT {before.mark}/{after.mark}. "
                                                   f"TYPICAL AT {same}."])  # fmt: skip
    return Detail(view, scale)


def _axes(cutaway: Cutaway, way: tuple[float, float], reach_: float) -> None:
    cutaway.line((-reach_, 0.0), (0.0, 0.0), layers.CENTRE)
    cutaway.line((0.0, 0.0), (way[0] * reach_, way[1] * reach_), layers.CENTRE)


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
    box = cutaway.box(before).bounds
    yield Note(f"SAW CUT {', '.join(words)}, WELDED OR FIXED ON THE CONNECTOR", (0.0, 0.0))
    way = cutaway.plane.flat_vector(after.place.z)
    far = cutaway.window[2] - cutaway.window[0]
    at = (way[0] * far * 0.3 + (box[3] - 2.0) * abs(way[1]), way[1] * far * 0.3)
    yield Note(f"RAIL {tube_text(assembly, before)}", at)
    for part in arms[:1]:
        x0, y0, x1, y1 = cutaway.box(part).bounds
        at = ((x0 + min(x1, 0.0)) / 2, y0 + 1.0)
        prism = part.shape
        assert isinstance(prism, Prism)
        long = length(assembly, prism.end.z_mm - prism.start.z_mm)
        yield Note(f"CONNECTOR ARM {tube_text(assembly, part)}, {long} ALONG ITS AXIS", at)
    for part in near(assembly, cutaway.plane.origin, ("post", "column"), 80.0)[:1]:
        x0, y0, x1, _ = cutaway.box(part).bounds
        at = (x1 * 0.8, max(y0 * 0.8, cutaway.window[1] + 3.0))
        yield Note(f"POST {part.mark} AND ITS BRACKET BELOW", at)
