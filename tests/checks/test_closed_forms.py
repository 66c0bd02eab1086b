"""Closed forms of the checks against brute force and shapely's largest inscribed circle."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from generator.checks import run
from generator.checks.setback import largest_setback
from generator.layout import layout
from generator.parts.build import assemble
from generator.strength.sphere import push_through_force

INCH = 25.4


def force_by_brute_force(tension, span, sphere, cable, spacing):
    """Greatest push on a rigid sphere on its way between two cables, over 20,000 places."""
    reach = (sphere + cable) / 2  # centre of the sphere to the axis of a cable that it touches
    greatest = 0.0
    for k in range(20_000):
        angle = math.pi / 2 * k / 20_000
        give = reach * math.cos(angle) - spacing / 2  # each cable is bent aside by this much
        if give > 0.0:
            aside = 4.0 * tension / span * give
            greatest = max(greatest, 2.0 * aside * math.tan(angle))
    return greatest


@settings(max_examples=25)
@given(
    tension=st.floats(100, 2000),
    span=st.floats(300, 2000),
    spacing=st.floats(50, 100),
    cable=st.floats(2, 6),
)
def test_force_by_brute_force_over_the_spheres_way(tension, span, spacing, cable):
    # no code: a rigid sphere without friction, tension constant
    force = push_through_force(tension, span, 101.6, cable, spacing)
    assert force == pytest.approx(
        force_by_brute_force(tension, span, 101.6, cable, spacing), rel=1e-4, abs=1e-6
    )


def test_no_force_where_the_sphere_passes_at_rest():
    assert push_through_force(890.0, 900.0, 101.6, 3.2, 104.8) == 0.0
    assert push_through_force(890.0, 900.0, 101.6, 3.2, 200.0) == 0.0


@given(span=st.floats(300, 2000), tension=st.floats(100, 2000))
def test_force_grows_with_tension_and_falls_with_span(span, tension):
    force = push_through_force(tension, span, 101.6, 3.2, 76.2)
    assert push_through_force(2 * tension, span, 101.6, 3.2, 76.2) == pytest.approx(2 * force)
    assert push_through_force(tension, 2 * span, 101.6, 3.2, 76.2) == pytest.approx(force / 2)


@given(
    axis=st.floats(40, 110),
    clear=st.floats(0, 10),
    cable=st.floats(2, 6),
    pitch=st.floats(20, 45),
)
def test_largest_setback_leaves_just_the_clear_distance(axis, clear, cable, pitch):
    angle = math.radians(pitch)
    setback = largest_setback(axis, clear, cable, angle)
    # The axis over the nosing line at that setback, square to it, less the radius
    over = axis - setback * math.tan(angle)
    assert over * math.cos(angle) - cable / 2 == pytest.approx(clear, abs=1e-9)


def largest_sphere(riser, tread, overhang, thickness, over_mm):
    """Diameter of the largest circle between the true profile of the steps and a line over it.

    The line runs along the nosings, `over_mm` above them, plumb.
    """
    steps, slope = 4, riser / tread
    profile = []
    for k in range(steps):
        nosing, top = k * tread, -k * riser
        profile += [(nosing, top), (nosing, top - thickness), (nosing - overhang, top - thickness)]
        profile.append((nosing - overhang, top - riser))
    end = steps * tread
    profile.append((end, -steps * riser))
    above = [(end, over_mm - end * slope), (0.0, over_mm)]
    room = Polygon([*profile, *above])
    return 2.0 * shapely.maximum_inscribed_circle(room, tolerance=1e-3).length


def triangle(job):
    found = [m for m in run(assemble(layout(job))).measures if m.code == "opening.triangle"]
    (measure,) = found
    return measure.measured


def stair_job(job_of, riser, tread, nosing, gap, setback):
    stair = {"risers": 6, "rise": 6 * riser, "tread": tread, "nosing": nosing}
    stair["tread_thickness"] = 38
    return job_of([{"stair": stair}], bottom_gap=gap, stair_setback=setback)


STAIRS = {
    "riser": st.floats(150, 200),
    "tread": st.floats(250, 340),
    "gap": st.floats(60, 100),
    "setback": st.floats(72, 110),
}


@settings(max_examples=25)
@given(**STAIRS)
def test_triangle_is_the_largest_circle_of_the_profile(job_of, riser, tread, gap, setback):
    over = gap - setback * riser / tread - 1.5875 / (tread / math.hypot(riser, tread)) + 1.5875
    if over <= 1.0:
        return  # the cable would pass through the nosings
    measured = triangle(stair_job(job_of, riser, tread, 0, gap, setback))
    assert measured == pytest.approx(largest_sphere(riser, tread, 0.0, 38.0, over), abs=0.02)


@settings(max_examples=25)
@given(nosing=st.floats(10, 30), **STAIRS)
def test_with_an_overhang_the_measure_is_never_less_than_the_circle(
    job_of, riser, tread, gap, setback, nosing
):
    over = gap - setback * riser / tread - 1.5875 / (tread / math.hypot(riser, tread)) + 1.5875
    if over <= 1.0:
        return
    measured = triangle(stair_job(job_of, riser, tread, nosing, gap, setback))
    assert measured >= largest_sphere(riser, tread, nosing, 38.0, over) - 0.02


@pytest.mark.parametrize(
    "riser, tread, lift, sphere",
    [
        (7.75, 10, 0.0, 5.098),
        (7.75, 10, 1.083, 6.0),
        (7.5, 10, 0.0, 5.0),
        (7.5, 10, 1.2, 6.0),
        (7, 11, 0.0, 4.962),
        (7, 11, 1.236, 6.0),
    ],
)
def test_triangle_of_usual_stairs(job_of, riser, tread, lift, sphere):
    # worked by hand: the sphere with the cable's underside on the nosing line, and the lift square
    # to it at which a sphere of 6 in passes (IRC 2021 R312.1.3 exception 1)
    secant = math.hypot(riser, tread) / tread
    axis = (lift + 0.0625) * secant + 3.0 * riser / tread
    gap = (axis - 0.0625) * INCH
    job = stair_job(job_of, riser * INCH, tread * INCH, 0, gap, 3.0 * INCH)
    assert triangle(job) / INCH == pytest.approx(sphere, abs=1e-3)
