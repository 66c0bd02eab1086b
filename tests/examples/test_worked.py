"""Single values of the example jobs, each worked by hand from the measures in its file."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from generator.results import results
from generator.results.models import PostResult, Results

INCH = 25.4


@pytest.fixture(scope="module")
def told(light) -> Callable[[str], Results]:
    """The results of an example."""

    def of(name: str) -> Results:
        job = light(name)
        return results(job.assembly, job.report)

    return of


def post(document: Results, mark: str) -> PostResult:
    return next(post for post in document.posts if post.mark == mark)


def place(document: Results, mark: str, unit: float = INCH) -> tuple[float, float, float]:
    found = post(document, mark)
    return (found.x_mm / unit, found.y_mm / unit, found.z_mm / unit)


def test_bay_of_an_octagon_has_half_the_turn_as_miter(told) -> None:
    rails = told("octagonal-bay").rails
    miters = [abs(setting.miter_deg) for rail in rails for setting in (rail.start, rail.end)]
    assert miters[0] == miters[-1] == 0.0  # at the walls
    assert miters[1:-1] == pytest.approx([22.5] * (2 * len(rails) - 2))


def test_openings_are_clear_between_the_faces_of_two_posts(told) -> None:
    roof, mill = told("roof-terrace"), told("mill-mezzanine")
    # 36 in and a post of 2-1/2 in; 1500 mm and a post of 60 mm
    assert place(roof, "P5")[0] - place(roof, "P4")[0] == pytest.approx(38.5)
    assert place(mill, "P5", 1.0)[0] - place(mill, "P4", 1.0)[0] == pytest.approx(1560.0)


def test_ramp_of_one_in_twelve(told) -> None:
    ramps = [leg for leg in told("garden-ramp").legs if leg.kind == "ramp"]
    assert [leg.pitch_deg for leg in ramps] == pytest.approx([-math.degrees(math.atan(1 / 12))] * 2)


def test_posts_on_the_fascia_stand_outside_the_decking(told) -> None:
    # decking 1/2 in over the fascia, stand-off 3/4 in, half a post of 2-1/2 in
    x, _, z = place(told("fascia-balcony"), "P1")
    assert x == pytest.approx(0.5 - 0.75 - 1.25)
    # walking surface at 132 in, decking 1 in, side plate 6-1/2 in
    assert z == pytest.approx(132.0 - 1.0 - 6.5)


def test_cored_posts_begin_in_the_concrete(told) -> None:
    document = told("core-terrace")
    # terrace at 14 in, lawn at 0; holes of 4 in
    assert place(document, "P1")[2] == pytest.approx(10.0)
    assert place(document, "P8")[2] == pytest.approx(-4.0)


def test_measured_treads_carry_their_posts(told) -> None:
    document = told("measured-stair")
    # 58-1/4 less the first three risers, and the last riser alone
    assert place(document, "P5")[2] == pytest.approx(58.25 - 7.375 - 7.25 - 7.3125)
    assert place(document, "P6")[2] == pytest.approx(7.3125)
    # third nosing at 10-7/8 + 11 + 11-1/8, the post 4 in behind it
    assert place(document, "P5")[0] == pytest.approx(72.0 + 33.0 - 4.0)


def test_switchback_has_one_post_at_either_side_of_its_well(told) -> None:
    document = told("switchback-stair")
    # both flights begin or end at x = 66; well from 48 to 54; guard line 4 in off every edge
    assert place(document, "P20")[:2] == pytest.approx((70.0, 44.0))
    assert place(document, "P21")[:2] == pytest.approx((70.0, 58.0))


def test_foot_of_a_stair_under_a_high_guard(told) -> None:
    document = told("high-guard-drop")
    assert post(document, "P1").height_mm / INCH == pytest.approx(42.0)
    # newel 4 in past the last nosing, at 70 in: the nosing line is at 48 - 70 x 48 / 77
    assert post(document, "P6").height_mm / INCH == pytest.approx(36.0 + 48.0 - 70.0 * 48.0 / 77.0)


def test_rail_ends_at_the_face_of_a_column(told) -> None:
    rail = told("porch-columns").rails[0]
    # from 2 in off the wall less 1 in of run-on, to 96 in less half of 5-1/2 in
    assert rail.long_point_mm / INCH == pytest.approx(96.0 - 2.75 - 1.0)


def test_cable_carried_round_a_corner(told) -> None:
    cable = told("carried-corner").cables[0]
    # Inner face of P1 at 4-1/2 in to the exit face of P4 at 183-3/4; across the corner, 4-1/4 in
    # both ways; the entry face of P5 at 8-1/4 to the inner face of P8 at 138-3/4. Two bends of 45
    # degrees at a radius of 2 in save 2 R tan(22.5) - R pi / 4 each.
    straight = 179.25 + 4.25 * math.sqrt(2.0) + 130.5
    saved = 2 * (4.0 * math.tan(math.pi / 8) - 2.0 * math.pi / 4)
    assert cable.support_length_mm / INCH == pytest.approx(straight - saved, abs=1e-6)
    assert cable.turn_deg == pytest.approx(90.0)


def test_single_riser_has_a_post_on_each_floor(told) -> None:
    document = told("two-level-deck")
    # riser at x = 144, posts 4-1/2 in off it on both sides, pitch 6 in 12
    assert place(document, "P4")[::2] == pytest.approx((139.5, 44.0))
    assert place(document, "P5")[::2] == pytest.approx((148.5, 38.0))
    assert document.legs[2].bays_mm[0] / INCH == pytest.approx(9.0 * math.sqrt(1.25))
