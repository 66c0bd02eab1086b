"""Usual stairs against rows worked by hand: spacing, slots, holes at the pitch, heights over it.

Values: worked by hand from right triangles, in inches; shapely for the ellipse of a leaning hole.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point

from generator.checks.setback import largest_setback
from generator.layout import layout
from generator.parts.assembly import PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.drilling import Axis, Bore, drill, slot_size
from generator.parts.shapes import Prism

INCH = 25.4

# riser, tread, pitch
STAIRS = [(7.75, 10, 37.776), (7.5, 10, 36.870), (7, 11, 32.471)]


def stair_leg(job_of, riser, tread, **guard):
    stair = {"risers": 6, "rise": 6 * riser * INCH, "tread": tread * INCH}
    return layout(job_of([{"stair": stair}], **guard)).runs[0].legs[0]


@pytest.mark.parametrize("riser, tread, pitch", STAIRS)
def test_pitch(job_of, riser, tread, pitch):
    assert -stair_leg(job_of, riser, tread).line.pitch_deg == pytest.approx(pitch, abs=5e-4)


def test_spacing_square_to_the_cables_of_posts_drilled_alike(job_of):
    # 7-3/4 on 10: 3-1/8 in plumb is 2.470 in square to the cables
    leg = stair_leg(job_of, 7.75, 10, cable_spacing="3-1/8 in")
    gaps = [b - a for a, b in pairwise(leg.rows_mm)]
    assert gaps == pytest.approx([3.125 * INCH] * len(gaps))
    assert gaps[0] / leg.line.stretch / INCH == pytest.approx(2.470, abs=5e-4)


def test_spacing_plumb_of_cables_spaced_square(job_of):
    # 7-3/4 on 10: 3 in square to the cables is 3.7955 in plumb
    leg = stair_leg(job_of, 7.75, 10, cable_spacing="3 in", stair_spacing="square")
    gaps = [b - a for a, b in pairwise(leg.rows_mm)]
    assert [gap / INCH for gap in gaps] == pytest.approx([3.7955] * len(gaps), abs=5e-5)
    plumb = stair_leg(job_of, 7.75, 10, cable_spacing="3 in")
    assert len(leg.rows_mm) < len(plumb.rows_mm)


@pytest.mark.parametrize(
    "lift, riser, tread, plumb",
    [(1.083, 7.75, 10, 1.371), (1.200, 7.5, 10, 1.500), (1.236, 7, 11, 1.465)],
)
def test_lift_plumb_of_a_cable_square_to_the_nosings(lift, riser, tread, plumb):
    # Where the posts stand on the nosings themselves, the largest setback is none.
    pitch = math.atan(riser / tread)
    assert lift / math.cos(pitch) == pytest.approx(plumb, abs=1e-3)
    assert largest_setback(plumb, lift, 0.0, pitch) == pytest.approx(0.0, abs=2e-3)


@pytest.mark.parametrize(
    "cable, wall, pitch, height",
    [(0.1875, 0.15, 35, 0.3339), (0.1875, 0.15, 37.78, 0.3535)],
)
def test_slot_of_a_cable_of_three_sixteenths(cable, wall, pitch, height):
    # d / cos + t tan
    slope = math.tan(math.radians(pitch))
    assert slot_size(cable, wall, slope) == pytest.approx(height, abs=5e-5)


def test_entry_and_exit_of_a_timber_post_differ_by_its_width_times_the_slope():
    # A post 3-1/2 in wide at 35 deg: 2.45 in
    slope = math.tan(math.radians(35))
    axis = Axis(1, 1, "cable", 20 * INCH, (1.0, 0.0, slope))
    bores = {"cable": Bore(0.125 * INCH, 0.125 * INCH, 0.0)}
    _, (hole,) = drill([axis], bores, 3.5 * INCH, 3.5 * INCH, None, 0.0, at_pitch=True)
    assert hole.lean[1] * hole.depth_mm / INCH == pytest.approx(2.45, abs=0.005)
    # It enters below the axis by half of that.
    assert (20 * INCH - hole.along_mm) / INCH == pytest.approx(2.45 / 2, abs=0.005)


@settings(derandomize=True)
@given(pitch=st.floats(0, 50), aside=st.floats(0, 30), diameter=st.floats(2, 12))
def test_a_hole_drilled_at_the_pitch_shows_as_the_ellipse_of_its_bore(pitch, aside, diameter):
    # shapely: a circle stretched along the lean on the face. Drilled at a pitch alone it is d wide
    # and d / cos high.
    steep, across = math.tan(math.radians(pitch)), math.tan(math.radians(aside))
    axis = Axis(1, 1, "cable", 500.0, (1.0, across, steep))
    bores = {"cable": Bore(diameter, diameter, 0.0)}
    _, (hole,) = drill([axis], bores, 90.0, 90.0, None, 0.0, at_pitch=True)
    longest = math.hypot(1.0, steep, across)
    circle = Point(0, 0).buffer(diameter / 2, quad_segs=720)
    lean = math.degrees(math.atan2(steep, across))
    ellipse = affinity.rotate(affinity.scale(circle, xfact=longest), lean, origin=(0, 0))
    left, low, right, high = ellipse.bounds
    assert hole.width_mm == pytest.approx(right - left, rel=1e-4)
    assert hole.height_mm == pytest.approx(high - low, rel=1e-4)
    assert hole.volume_mm3 / hole.depth_mm == pytest.approx(ellipse.area, rel=1e-4)
    if aside == 0.0:
        assert hole.width_mm == pytest.approx(diameter)
        assert hole.height_mm == pytest.approx(diameter / math.cos(math.radians(pitch)))


@pytest.mark.parametrize("riser, tread, pitch", STAIRS)
def test_rail_over_the_nosings_square_to_them(job_of, riser, tread, pitch):
    # A rail h over the nosing line, plumb, is h cos p off it, square.
    height = 36 * INCH
    stair = {"risers": 6, "rise": 6 * riser * INCH, "tread": tread * INCH}
    (rail,) = assemble(layout(job_of([{"stair": stair}]))).of_kind("rail")
    assert isinstance(rail.shape, Prism)
    top = rail.place.point((0.0, 0.75 * INCH, 0.0))
    slope = math.radians(pitch)
    over = (top[2] - 48 * INCH) * math.cos(slope) + top[0] * math.sin(slope)
    assert over == pytest.approx(height * math.cos(slope), abs=0.02)


def test_height_of_a_cables_slot_in_the_posts_of_a_usual_stair(job_of):
    # d / cos + t tan of 7-3/4 on 10 with d 1/8 and t 3/16: 0.158 and 0.145 in are 0.303 in
    stair = {"risers": 6, "rise": 6 * 7.75 * INCH, "tread": 10 * INCH}
    assembly = assemble(layout(job_of([{"stair": stair}], max_post_spacing="30 in")))
    heights = {
        round(hole.nominal_height_mm / INCH, 3)
        for post in assembly.of_kind("post")
        for hole in detail_of(post, PostDetail).drilling
        if hole.purpose == "cable"
    }
    assert heights == {0.303}
