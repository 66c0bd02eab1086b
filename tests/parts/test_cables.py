"""Cables and what holds their ends: lengths and places, worked by hand in inches."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.geometry import cross, dot, norm, sub
from generator.layout import layout
from generator.parts.assembly import CableDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Route, Turned

INCH = 25.4
PITCH = math.atan(48 / 7 / 11)


def cables(assembly, leg):
    found = [part for part in assembly.of_kind("cable") if part.leg == leg]
    return found, [detail_of(part, CableDetail) for part in found]


@pytest.mark.parametrize("leg, route", [(1, 272.25), (2, 142.25)])
def test_three_lengths_of_a_level_cable(lake_deck, leg, route):
    # Each cable ends 1-1/2 in past the inner face (catalogue), and 1 in is left for the trim.
    for detail in cables(lake_deck.assembly, leg)[1]:
        assert detail.support_length_mm / INCH == pytest.approx(route)
        assert detail.finished_mm / INCH == pytest.approx(route - 2 * 1.5)
        assert detail.cut_length_mm / INCH == pytest.approx(route - 2 * 1.5 + 1.0)


def test_three_lengths_of_a_stair_cable(lake_deck):
    # The stud passes 2-1/2 / cos p of post, a seat of 1 mm + 5/16 tan p, washer 1/16 and nut 7/32;
    # overall 5-17/32 less bore 1-1/4 leaves the rest of its 4.28125 in inside the bay.
    route = (67.0 - 2.5) / math.cos(PITCH)
    seat = 1.0 / INCH + 0.3125 * math.tan(PITCH)
    setback = 4.28125 - (2.5 / math.cos(PITCH) + seat + 0.0625 + 0.21875)
    for detail in cables(lake_deck.assembly, 3)[1]:
        assert detail.support_length_mm / INCH == pytest.approx(route)
        assert detail.finished_mm / INCH == pytest.approx(route - 2 * setback)
        assert detail.cut_length_mm - detail.finished_mm == pytest.approx(INCH)


def test_catalogue_setback_holds_on_the_level_in_millimetres_too(planned):
    assembly = planned("metric-terrace").assembly
    setback = assembly.job.system.fitting.cable_setback_mm
    for leg in (1, 2):
        for detail in cables(assembly, leg)[1]:
            assert detail.support_length_mm - detail.finished_mm == pytest.approx(2 * setback)


@settings(max_examples=30)
@given(turn=st.floats(5, 89))
def test_route_ends_on_the_inner_faces_of_a_turned_post(job_of, turn):
    # By hand: through a post turned by half the turn the axis runs w / (2 cos(turn / 2)).
    assembly = assemble(layout(job_of([{"level": 4e3}, {"turn": turn}, {"level": 4e3}])))
    half = 1.25 * INCH
    for leg in assembly.legs:
        ends = [assembly.by_mark[leg.posts[k]].place.origin for k in (0, -1)]
        between = math.dist(*ends) - half - half / math.cos(math.radians(turn / 2))
        for detail in cables(assembly, leg.number)[1]:
            assert detail.support_length_mm == pytest.approx(between, abs=1e-6)


def test_a_cables_shape_is_as_long_as_its_finished_length(planned):
    for name in ("lake-deck", "metric-terrace", "straight-leg"):
        for part in planned(name).assembly.of_kind("cable"):
            assert isinstance(part.shape, Route)
            assert part.shape.length_mm == pytest.approx(detail_of(part, CableDetail).finished_mm)


def test_each_row_has_a_fitting_a_washer_and_a_nut_at_either_end(planned):
    for name in ("lake-deck", "metric-terrace", "straight-leg"):
        assembly = planned(name).assembly
        rows = sum(1 for _ in assembly.of_kind("cable"))
        for kind in ("fitting", "washer", "nut"):
            assert sum(1 for _ in assembly.of_kind(kind)) == 2 * rows


def on_axis_of(part, cable):
    """Distance of a turned part's axis from the cable's, and the sine between the two."""
    start = cable.place.origin
    off = norm(cross(sub(part.place.origin, start), cable.place.z))
    return off, norm(cross(part.place.z, cable.place.z))


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace"])
def test_end_hardware_sits_on_its_cables_axis_one_piece_on_the_next(planned, name):
    assembly = planned(name).assembly
    for cable in assembly.of_kind("cable"):
        for letter in "SE":
            label = f"{cable.mark[1:]}{letter}"
            fitting, washer, nut = (assembly.by_mark[f"{kind}{label}"] for kind in "FWN")
            for part in (fitting, washer, nut):
                assert on_axis_of(part, cable) == pytest.approx((0.0, 0.0), abs=1e-6)
            assert isinstance(washer.shape, Turned)
            assert isinstance(nut.shape, Prism)
            out = washer.place.z
            thick = washer.shape.steps[-1].end_mm
            reach = dot(sub(nut.place.origin, washer.place.origin), out)
            assert reach == pytest.approx(thick)
            # Before tensioning the stud's tip is flush with its nut.
            tip = dot(sub(fitting.place.origin, nut.place.origin), out)
            assert tip == pytest.approx(nut.shape.end.z_mm)
            # It points from the nut back into the bay.
            assert dot(fitting.place.z, out) == pytest.approx(-1.0)


def test_washers_of_level_cables_lie_on_the_posts_outer_faces(lake_deck):
    assembly = lake_deck.assembly
    for cable in (part for part in assembly.of_kind("cable") if part.leg in (1, 2)):
        for letter in "SE":
            washer = assembly.by_mark[f"W{cable.mark[1:]}{letter}"]
            post = assembly.by_mark[washer.belongs_to]
            x, y, _ = post.place.local(washer.place.origin)
            assert max(abs(x), abs(y)) == pytest.approx(1.25 * INCH, abs=1e-6)


def test_raked_cables_have_a_seat_at_either_end_cut_to_the_pitch(lake_deck):
    assembly = lake_deck.assembly
    seats = list(assembly.of_kind("seat"))
    assert len(seats) == 2 * 11
    for seat in seats:
        assert isinstance(seat.shape, Prism)
        slopes = (seat.shape.start.slope_x, seat.shape.start.slope_y)
        assert math.atan(math.hypot(*slopes)) == pytest.approx(PITCH)
        # Its bevelled end lies on the post's outer face, which is plumb.
        post = assembly.by_mark[seat.belongs_to]
        face = [
            post.place.local(seat.place.point((x, y, seat.shape.start.at(x, y))))[0]
            for x, y in ((-5, 0), (5, 0), (0, 5), (0, -5))
        ]
        assert [abs(x) for x in face] == pytest.approx([1.25 * INCH] * 4, abs=1e-6)


def test_cable_names_its_posts_and_ends(lake_deck):
    # Every post on the way, in order of travel, the two that hold it included.
    posts = {1: ("P1", "P2", "P3", "P4", "P5"), 2: ("P5", "P6", "P7", "P8")}
    posts[3] = ("P9", "P10", "P11")
    for leg, marks in posts.items():
        for detail in cables(lake_deck.assembly, leg)[1]:
            assert detail.posts == marks
            assert detail.legs == (leg,)
            assert detail.ends == ("dead", "pulling")
            assert detail.turn_deg == 0.0
