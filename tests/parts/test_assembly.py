"""The table of parts as a whole: marks, places, legs, and bodies that stand there already."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.geometry import cross, dot, norm, sub, unit
from generator.parts.assembly import RailDetail, detail_of
from generator.parts.measure import cut_angles, rail_lengths, saw_angles
from generator.parts.shapes import EndPlane, Prism

NAMES = ["lake-deck", "metric-terrace", "straight-leg", "faulty/setback.stair"]


@pytest.mark.parametrize("name", NAMES)
def test_every_part_has_a_mark_of_its_own_and_a_whole_host(planned, name):
    assembly = planned(name).assembly
    marks = [part.mark for part in assembly.parts]
    assert len(marks) == len(set(marks))
    assert {part.belongs_to for part in assembly.parts} <= set(marks)
    assert all(part.item for part in assembly.parts)


@pytest.mark.parametrize("name", NAMES)
def test_every_frame_is_square_and_right_handed(planned, name):
    for part in planned(name).assembly.parts:
        place = part.place
        assert [norm(axis) for axis in (place.x, place.y, place.z)] == pytest.approx([1.0] * 3)
        assert cross(place.x, place.y) == pytest.approx(place.z, abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_legs_list_what_belongs_to_them_in_order_of_travel(planned, name):
    assembly = planned(name).assembly
    for leg in assembly.legs:
        travel = sub(leg.guard_end, leg.guard_start)
        for kind, marks in (
            ("post", leg.posts),
            ("rail", leg.rails),
            ("cable", leg.cables),
            ("spacer", leg.spacers),
        ):
            parts = [assembly.by_mark[mark] for mark in marks]
            assert {part.kind for part in parts} <= {kind}
            if kind != "cable":
                along = [dot(part.place.origin, travel) for part in parts]
                assert along == sorted(along)
        heights = [assembly.by_mark[mark].place.origin[2] for mark in leg.cables]
        assert heights == sorted(heights)
    listed = {mark for leg in assembly.legs for mark in (*leg.posts, *leg.rails, *leg.cables)}
    assert listed == {part.mark for part in assembly.of_kind("post", "rail", "cable")}


def test_every_distinct_part_has_volume(planned):
    for name in NAMES:
        assert all(part.shape.volume_mm3 > 0.0 for part in planned(name).assembly.parts)


def test_treads_of_the_lake_deck_stand_where_the_stair_was_measured(lake_deck):
    # By hand: seven risers of 6.8571 in, treads 11 in deep and 1-1/2 in thick from x = 282 in
    for k in range(1, 7):
        tread = lake_deck.assembly.by_mark[f"T{k}"]
        assert isinstance(tread.shape, Prism)
        corners = [tread.place.point((*c, 0.0)) for c in tread.shape.section.outer.corners]
        x = sorted({round(point[0] / 25.4, 6) for point in corners})
        assert x == [282 + 11 * (k - 1), 282 + 11 * k]
        top = tread.place.origin[2] + tread.shape.end.z_mm
        assert top / 25.4 == pytest.approx(48 - 48 / 7 * k)
        assert (tread.shape.end.z_mm - tread.shape.start.z_mm) / 25.4 == pytest.approx(1.5)


def test_wall_shows_its_face_to_the_first_post(lake_deck):
    wall = next(iter(lake_deck.assembly.of_kind("wall")))
    assert isinstance(wall.shape, Prism)
    corners = [wall.place.point((*c, 0.0)) for c in wall.shape.section.outer.corners]
    assert max(point[0] for point in corners) == pytest.approx(0.0, abs=1e-9)


def test_a_detail_of_another_kind_is_refused(lake_deck):
    with pytest.raises(TypeError, match="P1"):
        detail_of(lake_deck.assembly.by_mark["P1"], RailDetail)


def test_only_a_straight_piece_has_cuts(lake_deck):
    for part in (lake_deck.assembly.by_mark["C1"], lake_deck.assembly.by_mark["F1S"]):
        with pytest.raises(TypeError, match=part.mark):
            rail_lengths(part)
        with pytest.raises(TypeError, match=part.mark):
            cut_angles(part, "start")


@given(st.floats(-2, 2), st.floats(-2, 2))
def test_saw_angles_by_the_vector_method(slope_x, slope_y):
    # miter = atan2(n . b, n . u), bevel = asin(n . w): u along the piece, w up from the table,
    # b = w x u; the cut's normal n of z = a x + b y
    n = unit((-slope_x, -slope_y, 1.0))
    u, w = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)
    b = cross(w, u)
    miter, bevel = saw_angles(EndPlane(0.0, slope_x, slope_y))
    assert math.radians(miter) == pytest.approx(math.atan2(dot(n, b), dot(n, u)), abs=1e-12)
    assert math.radians(bevel) == pytest.approx(math.asin(dot(n, w)), abs=1e-12)


@pytest.mark.parametrize(
    "spring, corner, miter, bevel",
    [(38, 90, 31.62, 33.86), (38, 135, 14.31, 17.55), (45, 120, 22.21, 20.70)],
)
def test_saw_angles_of_a_leaning_cut(spring, corner, miter, bevel):
    # Crown moulding laid flat, worked examples of carpenters' tables: 31.62 / 33.86 for a spring of
    # 38 deg at a square corner, 14.31 / 17.55 at 135 deg.
    s, half = math.radians(spring), math.radians(corner / 2)
    flat = math.atan(math.sin(s) / math.tan(half))
    lean = math.asin(math.cos(s) * math.cos(half))
    cut = EndPlane(0.0, -math.tan(flat), -math.tan(lean) / math.cos(flat))
    assert saw_angles(cut) == pytest.approx((miter, bevel), abs=5e-3)
