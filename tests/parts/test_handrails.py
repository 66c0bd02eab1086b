"""A handrail's parts: round pieces whose cut faces coincide, brackets, and what is counted.

Worked values: by hand in inches, from the lake deck's stair.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.geometry import cross, dot, norm, sub
from generator.layout import layout
from generator.parts.assembly import RailDetail, detail_of
from generator.parts.build import assemble
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.quantities import quantities
from generator.parts.shapes import Circle, Prism, Route
from generator.spec.job import Handrail, Stock, StockLength

INCH = 25.4
PLAIN = Handrail(False, 36 * INCH, 1.5 * INCH, 1.5 * INCH, 48 * INCH)


def built(job, handrail: Handrail | None = PLAIN):
    return assemble(layout(replace(job, handrail=handrail)))


@pytest.fixture(scope="module")
def lake(lake_deck):
    return built(lake_deck.job)


def prism_of(part):
    assert isinstance(part.shape, Prism)
    return part.shape


def rim(part, end):
    """World points on the rim of a cut face, every degree."""
    shape = prism_of(part)
    outline = shape.section.outer
    assert isinstance(outline, Circle)
    cut, r = (shape.start if end == "start" else shape.end), outline.diameter_mm / 2
    turns = (math.radians(k) for k in range(360))
    around = [(r * math.cos(t), r * math.sin(t)) for t in turns]
    return [part.place.point((x, y, cut.at(x, y))) for x, y in around]


def in_cut(part, end, points):
    """Greatest distances of points from a piece's skin and from the plane of its cut."""
    shape, frame = prism_of(part), part.place
    cut = shape.start if end == "start" else shape.end
    lean = math.hypot(1.0, cut.slope_x, cut.slope_y)
    local = [frame.local(point) for point in points]
    skin = max(abs(math.hypot(x, y) - shape.section.outer.corners[1][0]) for x, y, _ in local)
    return skin, max(abs(z - cut.at(x, y)) / lean for x, y, z in local)


def coincide(before, after):
    """Whether two cut faces are one ellipse, to 1e-6 mm: each rim lies on the other piece's."""
    there = in_cut(after, "start", rim(before, "end"))
    back = in_cut(before, "end", rim(after, "start"))
    return max(*there, *back) < 1e-6


def test_pieces_and_brackets_are_marked_in_order_of_travel(lake):
    pieces, brackets = (list(lake.of_kind(k)) for k in ("handrail", "handrail-bracket"))
    assert [p.mark for p in pieces] == ["HR1", "HR2", "HR3"]
    assert [(p.mark, p.belongs_to) for p in brackets] == [
        ("HB1", "P9"), ("HB2", "P10"), ("HB3", "P11")
    ]  # fmt: skip
    assert {(p.run, p.leg) for p in (*pieces, *brackets)} == {("A", 3)}
    assert {p.item for p in pieces} == {'handrail, 1 1/2" round'}
    assert {p.item for p in brackets} == {'handrail bracket, 1/2" round bar'}


def test_the_pieces_are_round_bars_with_their_lengths(lake):
    # By hand: 70 in of level way at 31.93845 degrees is 82.4872 in; a 45 degree miter adds half a
    # tube, 3/4 in, at its long point and takes as much at its short one.
    along = 70 * math.hypot(1.0, 48 / 7 / 11)
    worked = {
        "HR1": (2.25 + 0.75, 2.25 - 0.75, 2.25),
        "HR2": (along + 1.5, along - 1.5, along),
        "HR3": (3.5 + 0.75, 3.5 - 0.75, 3.5),
    }
    for mark, lengths in worked.items():
        part = lake.by_mark[mark]
        assert prism_of(part).section.outer == Circle(1.5 * INCH)
        assert [length / INCH for length in rail_lengths(part)] == pytest.approx(lengths)
    assert along == pytest.approx(82.4872, abs=5e-5)


def test_every_cut_is_a_plain_miter_or_square(lake):
    cuts = [(*cut_angles(p, "start"), *cut_angles(p, "end")) for p in lake.of_kind("handrail")]
    assert [tuple(abs(round(angle, 9)) for angle in cut) for cut in cuts] == [
        (0.0, 0.0, 45.0, 0.0), (45.0, 0.0, 45.0, 0.0), (45.0, 0.0, 0.0, 0.0)
    ]  # fmt: skip


def test_cut_faces_coincide(lake):
    pieces = list(lake.of_kind("handrail"))
    for before, after in pairwise(pieces):
        assert coincide(before, after)


def test_the_test_of_cut_faces_sees_a_piece_moved_by_a_thousandth(lake):
    before, after = list(lake.of_kind("handrail"))[:2]
    x, y, z = after.place.origin
    moved = replace(after, place=replace(after.place, origin=(x, y, z + 1e-3)))
    assert not coincide(before, moved)


@settings(max_examples=30)
@given(
    riser=st.floats(100, 200),
    tread=st.floats(230, 360),
    diameter=st.floats(25, 60),
    direction=st.sampled_from(["down", "up"]),
    bearing=st.floats(-180, 180),
    deck=st.sampled_from(["left", "right"]),
)
def test_cut_faces_coincide_at_any_pitch(job_of, riser, tread, diameter, direction, bearing, deck):
    stair = {"risers": 6, "rise": 6 * riser, "tread": tread, "direction": direction}
    job = job_of([{"stair": stair}], deck=deck, start={"bearing": bearing, "z": 2000})
    pieces = list(built(job, replace(PLAIN, diameter_mm=diameter)).of_kind("handrail"))
    assert len(pieces) == 3
    for before, after in pairwise(pieces):
        assert coincide(before, after)


def test_a_joint_on_a_bracket_is_square(job_of):
    stair = {"stair": {"risers": 13, "rise": "90 in", "tread": "11 in"}}
    job = replace(job_of([stair]), stock=Stock((StockLength(120 * INCH),), 3.0))
    pieces = list(built(job).of_kind("handrail"))
    first, second = pieces[1:3]
    assert detail_of(first, RailDetail).end_on == "joint on bracket"
    assert cut_angles(first, "end") == cut_angles(second, "start") == (0.0, 0.0)
    assert coincide(first, second)
    assert "dowel for a handrail" in {one.item for one in built(job).consumables}


def test_a_bracket_reaches_from_its_posts_face_to_the_tubes_skin(lake):
    tube = lake.by_mark["HR2"].place
    for part in lake.of_kind("handrail-bracket"):
        assert isinstance(part.shape, Route)
        face, bend, under = (part.place.point(p) for p in part.shape.points)
        post = lake.by_mark[part.belongs_to]
        local = post.place.local(face)
        outline = prism_of(post).section.outer
        # On the near face, its bar wholly on it, below the top.
        assert local[1] == pytest.approx(outline.corners[2][1])
        assert abs(local[0]) + 0.25 * INCH <= outline.corners[2][0]
        assert local[2] + 0.25 * INCH < min(prism_of(post).end.at(*c) for c in outline.corners)
        assert norm(cross(sub(under, tube.origin), tube.z)) == pytest.approx(0.75 * INCH)
        assert dot(sub(bend, face), sub(under, bend)) == pytest.approx(0.0, abs=1e-9)


def test_what_a_handrail_needs_is_counted_and_ordered(lake, lake_deck):
    lines = {line.item: line for line in quantities(lake)}
    without = {line.item: line for line in quantities(lake_deck.assembly)}
    assert lines['handrail, 1 1/2" round'].count == 3
    # By long point, by hand: 3 and 83.9872 and 4.25 in.
    length = lines['handrail, 1 1/2" round'].length_mm
    assert length is not None
    assert length / INCH == pytest.approx(91.2372, abs=5e-5)
    assert lines['handrail bracket, 1/2" round bar'].count == 3
    assert lines["flange for a handrail's end"].count == 1
    assert lines["end cap for a handrail"].count == 1
    added = {item for item in lines if item not in without and not lines[item].nested}
    assert len(added) == 4
    # Four screws a bracket more, and nothing else of the guard's.
    screw = f"screw {lake_deck.job.system.bracket.screw}"
    assert lines[screw].count - without[screw].count == 3 * 4
    assert all(
        lines[item].count == line.count
        for item, line in without.items()
        if item != screw and not line.nested
    )


def test_a_guard_without_a_handrail_has_no_parts_of_one(lake_deck):
    for handrail in (None, replace(PLAIN, elsewhere=True)):
        made = built(lake_deck.job, handrail)
        assert not list(made.of_kind("handrail", "handrail-bracket"))
        assert made.parts == lake_deck.assembly.parts


def test_each_flight_of_a_job_has_its_own(job_of):
    stair = {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}
    corner = {"turn": 90, "corner": "pair"}
    legs = [stair, corner, {"level": "3 ft"}, corner, stair]
    made = built(job_of(legs, start={"z": "96 in"}))
    assert [(p.mark, p.leg) for p in made.of_kind("handrail")] == [
        ("HR1", 1), ("HR2", 1), ("HR3", 1), ("HR4", 3), ("HR5", 3), ("HR6", 3)
    ]  # fmt: skip
    marks = [part.mark for part in made.parts]
    assert len(marks) == len(set(marks))
