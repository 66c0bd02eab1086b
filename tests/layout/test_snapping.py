"""Posts moved onto joists: worked by hand in inches on a leg of the lake deck, and at large."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.layout import layout

INCH = 25.4
EPS_MM = 1e-6


def structure(bearing=90, offset="0 in"):
    joists = {"spacing": "16 in", "width": "1-1/2 in", "depth": "9-1/4 in", "species": "spruce"}
    return {"joists": {"bearing": bearing, "offset": offset, **joists}, "decking": "1 in"}


def stations(job_of, **guard):
    """Leg 1 of the lake deck by itself: posts at 3-1/4 in and every 68.6875 in to 278 in."""
    job = job_of([{"level": "281-1/4 in"}], edge_inset="3-1/4 in", **guard)
    return [s / INCH for s in layout(job).runs[0].legs[0].stations_mm]


def test_without_a_tolerance_bays_are_equal(job_of):
    assert stations(job_of) == pytest.approx([3.25, 71.9375, 140.625, 209.3125, 278])


def test_a_post_within_the_tolerance_moves_onto_the_joist(job_of):
    # By hand: joists at 64 and 80, 144, 208 in are 7.9375, 3.375 and 1.3125 in away
    found = stations(job_of, structure=structure(), snap_to_joists="2 in")
    assert found == pytest.approx([3.25, 71.9375, 140.625, 208, 278])


def test_a_post_stays_where_its_bay_would_grow_too_long(job_of):
    # By hand: P3 on the joist at 144 in would be 72.0625 in from P2, over 6 ft
    found = stations(job_of, structure=structure(), snap_to_joists="4 in")
    assert found == pytest.approx([3.25, 71.9375, 140.625, 208, 278])
    found = stations(
        job_of, structure=structure(), snap_to_joists="4 in", max_post_spacing="72-1/8 in"
    )
    assert found == pytest.approx([3.25, 71.9375, 144, 208, 278])


def test_the_offset_of_the_joists_counts(job_of):
    # By hand: joists at 8, 24, ... 72, 136, 200 in are 0.0625, 4.625 and 6.6875 in away (216)
    found = stations(job_of, structure=structure(offset="8 in"), snap_to_joists="2 in")
    assert found == pytest.approx([3.25, 72, 140.625, 209.3125, 278])


def test_joists_along_the_leg_move_no_post(job_of):
    found = stations(job_of, structure=structure(0), snap_to_joists="8 in")
    assert found == pytest.approx([3.25, 71.9375, 140.625, 209.3125, 278])


@settings(max_examples=80)
@given(
    length=st.floats(3000, 30000),
    spacing=st.floats(900, 2000),
    tolerance=st.floats(1, 250),
    offset=st.floats(0, 400),
    bearing=st.sampled_from([0, 90, -90, 30, 180]),
)
def test_posts_stay_or_land_on_joists_and_bays_stay_within_the_spacing(
    job_of, length, spacing, tolerance, offset, bearing
):
    legs, start = [{"level": length}], {"bearing": bearing, "x": 500, "y": -300}
    guard = {"edge_inset": 100, "max_post_spacing": spacing, "start": start}
    told = structure(bearing + 90, offset)
    free = layout(job_of(legs, **guard)).runs[0].legs[0].stations_mm
    moved = layout(job_of(legs, structure=told, snap_to_joists=tolerance, **guard))
    found = moved.runs[0].legs[0].stations_mm
    assert len(found) == len(free)
    assert (found[0], found[-1]) == (free[0], free[-1])
    for before, after in zip(free, found, strict=True):
        assert abs(after - before) <= tolerance + EPS_MM
        if after != before:
            # The joist's centre from the start of the path, across the joists
            place = (after - offset) / (16 * INCH)
            assert place == pytest.approx(round(place), abs=1e-6)
    assert max(b - a for a, b in pairwise(found)) <= spacing + 2 * EPS_MM
    assert min(b - a for a, b in pairwise(found)) > 0.0
