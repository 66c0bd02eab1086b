"""Posts on a stair: on which treads, how far behind the nosings, on what floor.

Outside check: brute force over every choice of treads. Worked values: by hand.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from generator.layout import layout

TIE_MM = 1e-6
INSET = 100.0


def stair(risers=7, rise=1219.2, tread=279.4, direction="down"):
    return {"stair": {"risers": risers, "rise": rise, "tread": tread, "direction": direction}}


def best_by_brute_force(risers, riser, tread, setback, spacing):
    """Distances of the posts from the upper nosing, over every choice of treads."""
    stretch = math.hypot(1.0, riser / tread)
    places = [k * tread - setback for k in range(1, risers)]
    upper, lower, between = -INSET, places[-1], places[:-1]
    for count in range(len(between) + 1):
        kept = []
        for chosen in combinations(between, count):
            posts = (upper, *chosen, lower)
            longest = max(b - a for a, b in pairwise(posts)) * stretch
            if longest <= spacing + TIE_MM:
                kept.append((longest, posts))
        if kept:
            shortest = min(longest for longest, _ in kept)
            return min(posts for longest, posts in kept if longest <= shortest + TIE_MM)
    return None


def stations(job):
    (leg,) = layout(job).runs[0].legs
    return leg.stations_mm


@given(
    risers=st.integers(2, 13),
    riser=st.floats(120, 200),
    tread=st.floats(240, 360),
    setback=st.floats(70, 200),
    spacing=st.floats(400, 3000),
)
def test_fewest_posts_then_the_longest_bay_shortest_then_the_upper_tread(
    job_of, risers, riser, tread, setback, spacing
):
    best = best_by_brute_force(risers, riser, tread, setback, spacing)
    assume(best is not None)
    job = job_of(
        [stair(risers, riser * risers, tread)],
        edge_inset=INSET,
        stair_setback=setback,
        max_post_spacing=spacing,
    )
    assert stations(job) == pytest.approx(best, abs=1e-6)


def test_of_equal_choices_the_upper_treads_are_taken(job_of):
    # The inset equals the setback, so bays are whole treads: seven in bays of two at most is three
    # bays of two and one of one, which may lie anywhere.
    two_treads = 2 * math.hypot(280.0, 140.0)
    job = job_of(
        [stair(8, 8 * 140, 280)],
        edge_inset=INSET,
        stair_setback=INSET,
        max_post_spacing=two_treads + 1.0,
    )
    assert [site.tread for site in layout(job).posts] == [None, 1, 3, 5, 7]


@given(risers=st.integers(2, 13), bay=st.integers(1, 6))
def test_equal_choices_agree_with_brute_force(job_of, risers, bay):
    spacing = bay * math.hypot(280.0, 140.0) + 1.0
    job = job_of(
        [stair(risers, risers * 140, 280)],
        edge_inset=INSET,
        stair_setback=INSET,
        max_post_spacing=spacing,
    )
    best = best_by_brute_force(risers, 140.0, 280.0, INSET, spacing)
    assert stations(job) == pytest.approx(best, abs=1e-6)


@settings(max_examples=40)
@given(risers=st.integers(2, 13), setback=st.floats(70, 200))
def test_a_stair_up_is_the_same_stair_travelled_the_other_way(job_of, risers, setback):
    rise = 170.0 * risers
    measures = {"edge_inset": INSET, "stair_setback": setback, "max_post_spacing": 1200}
    there = job_of([stair(risers, rise)], start={"z": rise}, **measures)
    back = job_of([stair(risers, rise, direction="up")], start={"z": 0}, **measures)
    foot = (risers - 1) * 279.4
    mirrored = [foot - station for station in reversed(stations(back))]
    assert stations(there) == pytest.approx(mirrored, abs=1e-9)
    z_there = [site.base[2] for site in layout(there).posts]
    z_back = [site.base[2] for site in reversed(layout(back).posts)]
    assert z_there == pytest.approx(z_back, abs=1e-9)


@settings(max_examples=50)
@given(risers=st.integers(2, 13), setback=st.floats(70, 200), nosing=st.floats(0, 30))
def test_posts_stand_on_their_treads_at_the_setback(job_of, risers, setback, nosing):
    item = stair(risers, 170.0 * risers)
    item["stair"]["nosing"] = nosing
    job = job_of(
        [item],
        edge_inset=INSET,
        stair_setback=setback,
        max_post_spacing=900,
        start={"z": 5000},
    )
    upper, *others = layout(job).posts
    assert (upper.place, upper.tread, upper.setback_mm) == ("floor", None, None)
    assert upper.base == pytest.approx((-INSET, INSET, 5000.0), abs=1e-9)
    for site in others:
        assert site.place == "tread"
        assert site.tread is not None
        assert site.setback_mm == pytest.approx(setback, abs=1e-9)
        assert site.base[0] == pytest.approx(site.tread * 279.4 - setback, abs=1e-6)
        assert site.base[2] == pytest.approx(5000.0 - 170.0 * site.tread, abs=1e-6)
    assert others[-1].tread == risers - 1


def test_a_spacing_that_no_choice_of_treads_keeps_takes_every_tread(job_of):
    # The spacing check tells of it; more posts cannot mend it.
    job = job_of([stair()], edge_inset=INSET, stair_setback=80, max_post_spacing=250)
    assert [site.tread for site in layout(job).posts] == [None, 1, 2, 3, 4, 5, 6]


def test_a_stair_of_two_risers_has_a_post_on_the_floor_and_one_on_its_tread(job_of):
    job = job_of([stair(2, 340)], edge_inset=INSET, stair_setback=80)
    assert [site.tread for site in layout(job).posts] == [None, 1]
