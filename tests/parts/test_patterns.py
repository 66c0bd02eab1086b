"""Patterns, hands and set-ups, against holes as points in space that are turned and mirrored."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from generator.parts.hole_table import hole_rows
from generator.parts.patterns import Pattern, base_lift_mm, datum_mm, patterns
from generator.parts.setups import OPPOSITE, RIGHT, SetUp, set_ups
from generator.parts.shapes import EndPlane, Face, Hole, Prism, tube

INCH = 25.4
EXAMPLES = ("lake-deck", "switchback-stair", "octagonal-bay", "porch-columns", "garden-ramp")
Point = tuple[float, ...]


def points(shape: Prism, turn_deg: float = 0.0, *, mirrored: bool = False) -> set[Point]:
    """Centre of every hole in space, which way it looks, and its extents, turned about z."""
    c, s = round(math.cos(math.radians(turn_deg))), round(math.sin(math.radians(turn_deg)))
    outer = shape.section.outer.corners
    half = (max(x for x, _ in outer), max(y for _, y in outer))
    found: set[Point] = set()
    for hole in shape.holes:
        sign = 1.0 if hole.face[1] == "+" else -1.0
        if hole.face[0] == "x":
            at, out = (sign * half[0], hole.across_mm), (sign, 0.0)
        else:
            at, out = (hole.across_mm, sign * half[1]), (0.0, sign)
        if mirrored:
            at, out = (at[0], -at[1]), (out[0], -out[1])
        turned = [(c * x - s * y, s * x + c * y) for x, y in (at, out)]
        values = (*turned[0], *turned[1], hole.along_mm, hole.width_mm, hole.height_mm)
        found.add(tuple(round(value, 3) + 0.0 for value in values))
    return found


@pytest.fixture(params=EXAMPLES)
def found(request, light) -> tuple[Pattern, ...]:
    return patterns(light(request.param).assembly)


def prism_of(part) -> Prism:
    assert isinstance(part.shape, Prism)
    return part.shape


def test_pieces_of_a_pattern_are_drilled_alike_once_turned(found):
    for pattern in found:
        drawn = points(pattern.prism)
        for piece in pattern.pieces:
            assert points(prism_of(piece.part), piece.turn_deg) == drawn, piece.part.mark


def test_no_turn_makes_two_patterns_alike(found):
    for k, one in enumerate(found):
        for other in found[k + 1 :]:
            feet = [(p.prism.start.slope_x, p.prism.start.slope_y) for p in (one, other)]
            if one.kind == other.kind and one.prism.section == other.prism.section:
                turned = [points(other.prism, turn) for turn in (0, 90, 180, 270)]
                assert points(one.prism) not in turned or feet[0] != feet[1]


def test_handed_patterns_are_mirror_images(found):
    by_letter = {pattern.letter: pattern for pattern in found}
    for pattern in found:
        if pattern.handed:
            other = by_letter[pattern.handed]
            assert other.handed == pattern.letter
            turned = [points(other.prism, turn) for turn in (0, 90, 180, 270)]
            assert points(pattern.prism, mirrored=True) in turned
            assert points(pattern.prism) not in turned


def test_the_bay_has_handed_corner_posts(light):
    # Its corners turn by 45 degrees to both sides of the middle: posts turned to the bisectors.
    pairs = {p.letter: p.handed for p in patterns(light("octagonal-bay").assembly) if p.handed}
    assert pairs == {"C": "D", "D": "C"}


def drilled_by(one: SetUp, use, pattern: Pattern) -> set[Point]:
    """The mouths that a set-up makes in a pattern: face, height and offset to the right."""
    prism = pattern.prism
    corners = prism.section.outer.corners
    axis = 1 if use.face[0] == "x" else 0
    half = max(corner[axis] for corner in corners)
    offset = half - one.fence_mm
    offset = offset if one.fence_right else -offset
    made: set[Point] = set()
    for stop in one.stops_mm:
        height = stop + datum_mm(prism)
        made.add((FACES.index(use.face), round(height, 2), round(offset, 2) + 0.0))
        if use.through and prism.section.inner is not None:
            # Looked at from the other side, right is left.
            made.add((FACES.index(OPPOSITE[use.face]), round(height, 2), round(-offset, 2) + 0.0))
    return made


FACES: tuple[Face, ...] = ("x+", "y+", "x-", "y-")


def test_the_set_ups_drill_every_hole_once_and_nothing_else(found):
    planned = set_ups(found)
    for pattern in found:
        made = [
            mouth
            for one in planned
            for use in one.uses
            if use.letter == pattern.letter
            for mouth in drilled_by(one, use, pattern)
        ]
        asked = [
            (FACES.index(h.face), round(h.along_mm, 2), round(RIGHT[h.face] * h.across_mm, 2) + 0.0)
            for h in pattern.prism.holes
        ]
        assert sorted(made) == sorted(asked), pattern.letter


def test_no_two_set_ups_are_alike_and_each_bit_is_put_in_once(found):
    planned = set_ups(found)
    keys = [
        (
            one.tool,
            round(one.fence_mm, 3),
            one.fence_right,
            tuple(round(s, 3) for s in one.stops_mm),
        )
        for one in planned
    ]
    assert len(set(keys)) == len(keys)
    tools = [one.tool for one in planned]
    changes = sum(a != b for a, b in pairwise(tools))
    assert changes == len(set(tools)) - 1


def test_heights_of_the_lake_deck_worked_by_hand(light_lake_deck):
    """geometry.md E: the lowest axis is 3-1/16 in over the deck, the plate is 3/8 in thick."""
    found = patterns(light_lake_deck.assembly)
    pattern = next(one for one in found if "P2" in one.marks)
    rows = hole_rows(pattern, set_ups(found))
    assert len(rows) == 11
    assert all(row.through for row in rows)  # level cables: one bit through both walls
    assert rows[0].above_end_mm / INCH == pytest.approx(3.0625 - 0.375, abs=1e-9)
    assert rows[0].above_base_mm is not None
    assert rows[0].above_base_mm / INCH == pytest.approx(3.0625, abs=1e-9)
    steps = [(b.above_end_mm - a.above_end_mm) / INCH for a, b in pairwise(rows)]
    assert steps == pytest.approx([3.0] * 10)
    # Section I: the two walls of a stair post have their slots 1.44156 in apart in height.
    stair = next(one for one in found if "P10" in one.marks)
    heights = {(row.face, row.number): row.above_end_mm for row in hole_rows(stair, set_ups(found))}
    assert (heights["x-", 1] - heights["x+", 1]) / INCH == pytest.approx(1.44156, abs=5e-6)


def test_a_post_cut_at_a_slope_is_taped_from_its_long_point(light):
    """A ramp of 1:12: the lower end of a 2 in post slopes, its long point lies 1/12 in lower."""
    found = patterns(light("garden-ramp").assembly)
    sloped = next(one for one in found if one.prism.start.slope_x)
    assert datum_mm(sloped.prism) == pytest.approx(-abs(sloped.prism.start.slope_x) * INCH)
    assert base_lift_mm(sloped.part) > 0.0


def hand(face: Face, along: float, across: float) -> Hole:
    return Hole(face, along, across, 8.0, 8.0, 3.0)


def test_a_mirrored_hole_is_a_handed_pair_and_a_turned_one_is_not(light_lake_deck):
    from dataclasses import replace

    from generator.parts.assembly import Assembly

    post = next(light_lake_deck.assembly.of_kind("post"))
    section = tube(60.0, 60.0, 3.0)

    def made(mark: str, *holes: Hole):
        shape = Prism(section, EndPlane(0.0), EndPlane(900.0), holes)
        detail = replace(post.detail, drilling=())
        return replace(post, mark=mark, shape=shape, detail=detail)

    parts = (
        made("A1", hand("x+", 100.0, 10.0), hand("y+", 200.0, 0.0)),
        made("A2", hand("y+", 100.0, -10.0), hand("x-", 200.0, 0.0)),  # turned by 90 to the left
        made("B1", hand("x+", 100.0, -10.0), hand("y-", 200.0, 0.0)),  # left and right exchanged
    )
    found = patterns(Assembly(light_lake_deck.job, parts, ()))
    assert [one.marks for one in found] == [("A1", "A2"), ("B1",)]
    assert [piece.turn_deg for piece in found[0].pieces] == [0, 270]
    assert [one.handed for one in found] == ["B", "A"]
