"""Angles, frames and cutting planes against the standard library and the axioms they keep."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator import geometry as g

ANGLES = st.floats(-720, 720)
PITCHES = st.floats(-60, 60)
MEASURES = st.floats(-1e5, 1e5)
POINTS = st.tuples(MEASURES, MEASURES, MEASURES)


@pytest.mark.parametrize("quarter", range(-8, 9))
def test_right_angles_are_exact(quarter):
    exact = (1.0, 0.0, -1.0, 0.0)[quarter % 4]
    assert g.cosd(90.0 * quarter) == exact
    assert g.sind(90.0 * quarter + 90.0) == exact


@given(ANGLES)
def test_angles_agree_with_the_standard_library(angle):
    assert g.cosd(angle) == pytest.approx(math.cos(math.radians(angle)), abs=1e-12)
    assert g.sind(angle) == pytest.approx(math.sin(math.radians(angle)), abs=1e-12)


@given(PITCHES)
def test_tangent_agrees_with_the_standard_library(angle):
    assert g.tand(angle) == pytest.approx(math.tan(math.radians(angle)), abs=1e-12)


def test_bearings_count_from_east_counter_clockwise():
    assert [g.heading(b)[:2] for b in (0, 90, 180, 270)] == [(1, 0), (0, 1), (-1, 0), (0, -1)]
    assert g.left_of(0) == (0.0, 1.0, 0.0)


@given(ANGLES)
def test_left_is_a_quarter_turn_on(bearing):
    assert g.left_of(bearing) == pytest.approx(g.heading(bearing + 90.0), abs=1e-12)


def square_and_right_handed(frame):
    axes = (frame.x, frame.y, frame.z)
    lengths = [g.norm(axis) for axis in axes]
    assert lengths == pytest.approx([1.0, 1.0, 1.0], abs=1e-12)
    assert g.cross(frame.x, frame.y) == pytest.approx(frame.z, abs=1e-12)


@given(POINTS, ANGLES, POINTS)
def test_upright_frame_stands_plumb_and_faces_its_bearing(origin, bearing, local):
    frame = g.upright(origin, bearing)
    square_and_right_handed(frame)
    assert frame.z == (0.0, 0.0, 1.0)
    assert frame.x == g.heading(bearing)
    assert frame.local(frame.point(local)) == pytest.approx(local, abs=1e-6)


@given(POINTS, ANGLES, PITCHES, POINTS)
def test_lengthwise_frame_runs_along_its_pitch_with_x_level(origin, bearing, pitch, local):
    frame = g.lengthwise(origin, bearing, pitch)
    square_and_right_handed(frame)
    assert math.degrees(math.asin(frame.z[2])) == pytest.approx(pitch, abs=1e-6)
    assert frame.x[2] == 0.0
    assert frame.y[2] > 0.0
    assert g.dot(frame.z, g.left_of(bearing)) == pytest.approx(0.0, abs=1e-12)
    assert frame.local(frame.point(local)) == pytest.approx(local, abs=1e-6)


@given(POINTS, POINTS, st.floats(0, 1e4))
def test_a_step_along_a_unit_vector_has_that_length(origin, towards, distance):
    if g.norm(towards) < 1e-3:
        towards = g.UP
    there = g.along(origin, g.unit(towards), distance)
    assert g.distance(origin, there) == pytest.approx(distance, abs=1e-6)


def test_a_vector_without_length_has_no_direction():
    with pytest.raises(ZeroDivisionError):
        g.unit((0.0, 0.0, 0.0))


def test_a_cut_rises_by_its_slopes():
    cut = g.EndPlane(100.0, 0.5, -0.25)
    assert cut.at(0.0, 0.0) == 100.0
    assert cut.at(10.0, 4.0) == 104.0
