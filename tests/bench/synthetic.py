"""A made-up guard of any number of posts, as a parts table built by hand, apart from the layout.

Runs of twenty posts: a level leg and a pitched one, mitered rails, cables with their end fittings,
spacers, base plates with anchors, brackets, a deck, treads and a wall. All sizes are invented.
As on most sites lengths repeat: every sixth run is like the first, but heads elsewhere.

    python tests/bench/synthetic.py POSTS FILE [LENGTHS]
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from generator.geometry import EndPlane, Frame, Vec3, along, lengthwise, scale, upright
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import (
    Circle,
    Face,
    Hole,
    Polygon,
    Prism,
    Rectangle,
    Route,
    Section,
    Shape,
    Step,
    Turned,
    hexagon,
    tube,
)
from generator.solids import write_step
from generator.spec import read_job
from generator.spec.job import Job

ROOT = Path(__file__).resolve().parents[2]

POSTS_A_LEG = 10
LENGTHS = 5  # before bays repeat
ROWS = 11
SLOPE = -0.625  # of the pitched leg: 7-1/2 in down every 12 in
POST_MM, WALL_MM, CORNER_MM = 63.5, 4.7625, 3.175
PLATE_MM, PLATE_THICKNESS_MM = 127.0, 9.525
RAIL = tube(63.5, 38.1, 3.175, 3.175)
CABLE_MM, STUD_MM = 3.175, 6.35
TREAD_MM = 304.8


def assembly(posts: int, title: str = "Alder Point walkway", *, lengths: int = LENGTHS) -> Assembly:
    """The parts of a guard with this many posts, a multiple of twenty, bays of so many lengths."""
    parts: list[Part] = []
    for number in range(posts // (2 * POSTS_A_LEG)):
        parts += _Run(number, lengths).parts()
    return Assembly(job(title), tuple(parts), ())


class _Run:
    """One run: its level leg heads east, its pitched leg goes on in line, downwards."""

    def __init__(self, number: int, lengths: int) -> None:
        self.number = number
        self.id = _letters(number)
        self.first = number * 2 * POSTS_A_LEG + 1
        self.bay = 1500.0 + 4.0 * (number % lengths)
        self.bearing = 15.0 * (number % 24)
        self.start = (0.0, 6000.0 * number, 1219.2)
        self.count: dict[str, int] = {}

    def parts(self) -> Iterator[Part]:
        for leg, slope in ((1, 0.0), (2, SLOPE)):
            yield from self._posts(leg, slope)
            yield from self._rail(leg, slope)
            yield from self._cables(leg, slope)
            yield from self._spacers(leg, slope)
        yield from self._existing()

    def _spot(self, leg: int, station: float, slope: float) -> Vec3:
        """A point of the guard line at the walking surface or on the nosing line."""
        begun = self.bay * POSTS_A_LEG * (leg - 1)
        return along(self._at(begun), _travel(self.bearing, slope), station)

    def _at(self, level: float) -> Vec3:
        return along(self.start, _travel(self.bearing, 0.0), level)

    def _part(
        self, kind: Kind, item: str, leg: int, shape: Shape, place: Frame, owner: str = ""
    ) -> Part:
        prefix = "".join(word[0] for word in kind.split("-")).upper()
        self.count[prefix] = self.count.get(prefix, 0) + 1
        mark = f"{self.id}.{prefix}{self.count[prefix]}"
        if kind == "post":
            mark = f"P{self.first + self.count[prefix] - 1}"
        return Part(mark, kind, item, self.id, leg, shape, place, owner or mark)

    def _posts(self, leg: int, slope: float) -> Iterator[Part]:
        for k in range(POSTS_A_LEG):
            end = k in (0, POSTS_A_LEG - 1)
            station = k * self.bay
            foot = self._spot(leg, station, slope)
            on_plate = along(foot, (0.0, 0.0, 1.0), PLATE_THICKNESS_MM)
            post = self._part(
                "post", "post al-square-2.5", leg, _post(end, slope),
                upright(on_plate, self.bearing),
            )  # fmt: skip
            yield post
            yield from self._hardware(post.mark, leg, slope, foot)
            if end:
                yield from self._end_fittings(post, leg, slope, outward=-1.0 if k == 0 else 1.0)

    def _hardware(self, post: str, leg: int, slope: float, foot: Vec3) -> Iterator[Part]:
        base = upright(foot, self.bearing)
        yield self._part("base-plate", "base plate for al-square-2.5", leg, PLATE, base, post)
        half = 44.45
        for x, y in ((-half, -half), (half, -half), (half, half), (-half, half)):
            spot = upright(base.point((x, y, PLATE_THICKNESS_MM)), self.bearing)
            yield self._part("anchor", "anchor through-bolt-3_8", leg, BOLT, spot, post)
        pitch = math.degrees(math.atan(slope))
        top = base.point((0.0, 0.0, 870.0))
        place = lengthwise(top, self.bearing, pitch)
        yield self._part("bracket", "bracket al-saddle", leg, BRACKET, place, post)

    def _end_fittings(self, post: Part, leg: int, slope: float, outward: float) -> Iterator[Part]:
        pitch = math.degrees(math.atan(slope))
        for row in range(ROWS):
            axis = post.place.point((0.0, 0.0, _row_height(row)))
            back = lengthwise(axis, self.bearing, pitch)
            if outward < 0.0:
                back = lengthwise(axis, self.bearing + 180.0, -pitch)
            lean = SLOPE if slope else 0.0
            face = POST_MM / 2 * math.hypot(1.0, lean)
            seat = 0.0
            if slope:
                seat = 6.5
                shape = Prism(
                    Section(Circle(15.875), Circle(7.1)),
                    EndPlane(0.0, 0.0, outward * lean),
                    EndPlane(seat),
                )
                at = _moved(back, face)
                yield self._part("seat", "bevelled seat", leg, shape, at, post.mark)
            yield self._part("washer", "washer", leg, WASHER, _moved(back, face + seat), post.mark)
            nut = _moved(back, face + seat + 1.6)
            yield self._part("nut", "nut", leg, NUT, nut, post.mark)
            tip = _moved(back, face + seat + 1.6 + 5.5)
            inward = Frame(tip.origin, tip.x, scale(tip.y, -1.0), scale(tip.z, -1.0))
            yield self._part("fitting", "swage-stud-1_4", leg, FITTING, inward, post.mark)

    def _rail(self, leg: int, slope: float) -> Iterator[Part]:
        pitch = math.degrees(math.atan(slope))
        half = math.tan(math.radians(math.degrees(math.atan(SLOPE)) / 2))
        length = POSTS_A_LEG * self.bay
        cuts = (EndPlane(-60.0), EndPlane(length, 0.0, half))
        if leg == 2:
            cuts = (EndPlane(0.0, 0.0, -half), EndPlane(length))
        middle = along(self._spot(leg, 0.0, slope), (0.0, 0.0, 1.0), 895.0)
        place = lengthwise(middle, self.bearing, pitch)
        yield self._part("rail", "rail al-flat-2.5x1.5", leg, Prism(RAIL, *cuts), place)

    def _cables(self, leg: int, slope: float) -> Iterator[Part]:
        pitch = math.degrees(math.atan(slope))
        length = (POSTS_A_LEG - 1) * self.bay - 200.0
        shape = Route(CABLE_MM, ((0.0, 0.0, 0.0), (0.0, 0.0, length)))
        for row in range(ROWS):
            spot = self._spot(leg, 100.0, slope)
            start = along(spot, (0.0, 0.0, 1.0), PLATE_THICKNESS_MM + _row_height(row))
            place = lengthwise(start, self.bearing, pitch)
            yield self._part("cable", "cable ss316-1x19-1_8", leg, shape, place)

    def _spacers(self, leg: int, slope: float) -> Iterator[Part]:
        height = 3.6 if not slope else 9.2
        holes = tuple(Hole("x-", 25.4 + 76.2 * row, 0.0, 3.6, height, 9.525) for row in range(ROWS))
        shape = Prism(Section(Rectangle(9.525, 25.4)), EndPlane(0.0), EndPlane(812.8), holes)
        for a, b in pairwise(k * self.bay for k in range(POSTS_A_LEG)):
            spot = along(self._spot(leg, (a + b) / 2, slope), (0.0, 0.0, 1.0), 52.4)
            yield self._part(
                "spacer", "spacer al-bar-1x3_8", leg, shape, upright(spot, self.bearing)
            )

    def _existing(self) -> Iterator[Part]:
        length = POSTS_A_LEG * self.bay
        outline = ((-100.0, -100.0), (length, -100.0), (length, 3000.0), (-100.0, 3000.0))
        deck = Prism(Section(Polygon(outline)), EndPlane(-25.4), EndPlane(0.0))
        yield self._part("deck", "deck", 1, deck, upright(self.start, self.bearing))
        wall = Prism(Section(Rectangle(200.0, 3000.0)), EndPlane(-1219.2), EndPlane(2400.0))
        spot = upright(self.start, self.bearing).point((-300.0, 1400.0, 0.0))
        yield self._part("wall", "wall", 1, wall, upright(spot, self.bearing))
        section = Section(Rectangle(TREAD_MM, 1000.0))
        tread = Prism(section, EndPlane(-38.1), EndPlane(0.0))
        lean = math.hypot(1.0, SLOPE)
        for k in range(int(length / lean // TREAD_MM)):
            nose = self._spot(2, (k + 0.5) * TREAD_MM * lean, SLOPE)
            spot = upright(nose, self.bearing).point((0.0, 400.0, -15.0))
            yield self._part("tread", "tread", 2, tread, upright(spot, self.bearing))


def _letters(number: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _travel(bearing_deg: float, slope: float) -> Vec3:
    turn, lean = math.radians(bearing_deg), math.hypot(1.0, slope)
    return (math.cos(turn) / lean, math.sin(turn) / lean, slope / lean)


def _moved(frame: Frame, ahead: float) -> Frame:
    return Frame(along(frame.origin, frame.z, ahead), frame.x, frame.y, frame.z)


def _row_height(row: int) -> float:
    return 68.2 + 70.0 * row


def _post(end: bool, slope: float) -> Prism:
    """A tube drilled through both walls in each row: round on the level, slots on the rake."""
    section = tube(POST_MM, POST_MM, WALL_MM, CORNER_MM)
    width = (STUD_MM if end else CABLE_MM) + 0.8
    height = width * math.hypot(1.0, slope) + WALL_MM * abs(slope)
    middle = (POST_MM - WALL_MM) / 2
    walls: tuple[tuple[Face, float], ...] = (("x-", -middle), ("x+", middle))
    holes = tuple(
        Hole(face, _row_height(row) + slope * at, 0.0, width, height, WALL_MM)
        for row in range(ROWS)
        for face, at in walls
    )
    return Prism(section, EndPlane(0.0), EndPlane(855.0, slope), holes)


def _plate() -> Prism:
    half = 44.45
    holes = tuple(
        Hole("z", y, x, 11.1, 11.1, PLATE_THICKNESS_MM)
        for x, y in ((-half, -half), (half, -half), (half, half), (-half, half))
    )
    section = Section(Rectangle(PLATE_MM, PLATE_MM, 6.35))
    return Prism(section, EndPlane(0.0), EndPlane(PLATE_THICKNESS_MM), holes)


PLATE = _plate()
BOLT = Turned((Step(-127.0, 0.0, 9.525), Step(0.0, 6.0, 16.5)))
BRACKET = Prism(Section(Rectangle(50.8, 6.35)), EndPlane(-50.8), EndPlane(50.8))
WASHER = Turned((Step(0.0, 1.6, 15.875, 7.1),))
NUT = Prism(Section(hexagon(11.1125), Circle(STUD_MM)), EndPlane(0.0), EndPlane(5.5))
FITTING = Turned(
    (Step(0.0, 70.0, STUD_MM), Step(70.0, 80.0, 7.9), Step(80.0, 118.0, 7.9, CABLE_MM))
)


def job(title: str) -> Job:
    """A job that was read, under another title: the solids read nothing else of it."""
    return replace(read_job(ROOT / "examples" / "straight-leg.yaml"), title=title)


if __name__ == "__main__":
    # In a process of its own, for the benchmark and for tests.
    write_step(assembly(int(sys.argv[1]), lengths=int((*sys.argv, LENGTHS)[3])), Path(sys.argv[2]))
