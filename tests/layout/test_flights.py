"""Stairs as measured tread by tread, single steps, newels, posts beside the stringer.

Outside checks: numpy's least squares for the nosing line. Worked values: by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from generator.checks import run
from generator.layout import layout
from generator.layout.flight import fitted_line
from generator.parts.assembly import CableDetail, PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.measure import rail_lengths
from generator.parts.shapes import Prism

INCH = 25.4
TREADS = st.lists(st.tuples(st.floats(160, 190), st.floats(255, 310)), min_size=2, max_size=12)


def measured(steps, last_rise=170.0, **more):
    """A stair of steps as measured; the last riser leads to the lower floor."""
    treads = [{"rise": rise, "going": going} for rise, going in steps]
    return {"stair": {"treads": [*treads, {"rise": last_rise}], **more}}


def only_leg(job):
    (leg,) = layout(job).runs[0].legs
    return leg


def nosings(steps):
    t, z, found = 0.0, 0.0, [(0.0, 0.0)]
    for rise, going in steps:
        t, z = t + going, z - rise
        found.append((t, z))
    return found


@settings(derandomize=True)
@given(steps=TREADS)
def test_nosing_line_is_least_squares_laid_on_the_highest_nosing(steps):
    points = nosings(steps)
    line_z, slope = fitted_line(points)
    t, z = np.array(points).T
    fitted_slope, fitted_z = np.polyfit(t, z, 1)
    assert -slope == pytest.approx(fitted_slope, rel=1e-9)
    over = line_z - slope * t - z
    assert over.min() == pytest.approx(0.0, abs=1e-9)
    # It is the fitted line, lifted by as much as the highest nosing stands over that.
    assert line_z - fitted_z == pytest.approx((z - fitted_slope * t - fitted_z).max(), abs=1e-6)


@settings(max_examples=30, derandomize=True)
@given(steps=TREADS, direction=st.sampled_from(["down", "up"]))
def test_a_measured_stair_keeps_its_treads_and_its_line(job_of, steps, direction):
    line = only_leg(job_of([measured(steps, direction=direction)], start={"z": 3000})).line
    top = 3000 if direction == "down" else 3000 + math.fsum(r for r, _ in steps) + 170
    wanted = [(t, top + z) for t, z in nosings(steps)]
    assert line.flight is not None
    assert np.array(line.flight.nosings) == pytest.approx(np.array(wanted), abs=1e-6)
    over = [line.flight.nosing_line_z(t) - z for t, z in wanted]
    assert min(over) == pytest.approx(0.0, abs=1e-6)
    assert line.length_mm == pytest.approx(math.fsum(g for _, g in steps), abs=1e-6)
    floor = 3000 + (0 if direction == "up" else -math.fsum(r for r, _ in steps) - 170)
    assert line.flight.floor_z_mm == pytest.approx(floor, abs=1e-6)


@settings(max_examples=20, derandomize=True)
@given(
    risers=st.integers(2, 12),
    riser=st.floats(150, 195),
    tread=st.floats(255, 320),
    direction=st.sampled_from(["down", "up"]),
)
def test_equal_treads_as_measured_are_the_stair_of_equal_risers(
    job_of, risers, riser, tread, direction
):
    equal = {"risers": risers, "rise": risers * riser, "tread": tread, "direction": direction}
    steps = [(riser, tread)] * (risers - 1)
    for turn in (0, -90):
        legs = [{"level": 2000}, {"turn": turn, "corner": "pair"}]
        plans = [
            layout(job_of([*legs, stair], max_post_spacing=1500))
            for stair in ({"stair": equal}, measured(steps, riser, direction=direction))
        ]
        ours, theirs = (plan.runs[0].legs[1] for plan in plans)
        assert ours.stations_mm == pytest.approx(theirs.stations_mm, abs=1e-6)
        assert ours.rows_mm == pytest.approx(theirs.rows_mm, abs=1e-6)
        for a, b in zip(plans[0].posts, plans[1].posts, strict=True):
            assert (a.place, a.tread, a.role) == (b.place, b.tread, b.role)
            assert (*a.base, a.rail_top_z_mm) == pytest.approx((*b.base, b.rail_top_z_mm), abs=1e-6)
        for piece, other in zip(ours.rails, theirs.rails, strict=True):
            assert piece.length_mm == pytest.approx(other.length_mm, abs=1e-6)


def test_posts_of_a_measured_stair_differ_as_their_treads_do(job_of):
    # By hand: goings of 280, risers 170, 180, 160, 170 and 170 to the floor. Nosings at 0, -170,
    # -350, -510, -680: the slope is 170.0 to 280 (sum of (k - 2) z over 10: -1700 / 10), the mean
    # -342; the line through it is at -2 over the upper floor's nosing, so the line over its
    # second tread (-350 to -342) is 8 high, over the third (-510 to -512) pierced by 2.
    steps = [(170.0, 280.0), (180.0, 280.0), (160.0, 280.0), (170.0, 280.0)]
    job = job_of(
        [measured(steps)], start={"z": 1000}, stair_setback=80, max_post_spacing=400, edge_inset=100
    )
    line = only_leg(job).line
    assert line.flight is not None
    assert line.flight.slope * 280 == pytest.approx(170.0, abs=1e-9)
    assert line.flight.line_z_mm == pytest.approx(1000.0, abs=1e-9)
    over = [line.flight.nosing_line_z(t) - z for t, z in line.flight.nosings]
    assert over == pytest.approx([0.0, 0.0, 10.0, 0.0, 0.0], abs=1e-9)
    posts = list(assemble(layout(job)).of_kind("post"))
    assert [detail_of(p, PostDetail).tread for p in posts] == [None, 1, 2, 3, 4]
    heights = {detail_of(p, PostDetail).tread: detail_of(p, PostDetail).height_mm for p in posts}
    lowest = {
        detail_of(p, PostDetail).tread: detail_of(p, PostDetail).drilling[0].axis_z_mm
        for p in posts
    }
    # The post on the second tread stands 10 lower under a straight rail and straight cables.
    for of in (heights, lowest):
        assert of[2] - of[1] == pytest.approx(10.0, abs=1e-6)
        assert of[3] == pytest.approx(of[1], abs=1e-6)


def test_a_newel_stands_on_the_lower_floor_at_its_own_height(job_of):
    # By hand: the inset, 4 in, beyond the last nosing at 66 in; the floor 48 in below.
    stair = {"risers": 7, "rise": "48 in", "tread": "11 in", "foot": "newel"}
    job = job_of([{"stair": stair}], edge_inset="4 in", start={"z": "48 in"})
    *_, newel = layout(job).posts
    assert (newel.place, newel.tread, newel.role) == ("lower-floor", None, "end")
    assert newel.base[0] / INCH == pytest.approx(70.0, abs=1e-9)
    assert newel.base[2] == pytest.approx(0.0, abs=1e-9)
    # The rail's top over the nosing line is 36 in; that line is at 48 - 70 tan p over the floor.
    top = 48 - 70 * (48 / 7) / 11 + 36
    assert newel.rail_top_z_mm / INCH == pytest.approx(top, abs=1e-6)


def test_a_newel_keeps_its_base_plate_off_the_last_riser(job_of):
    # By hand: half a plate of 5 in and 1/4 in, where the inset is less.
    stair = {"risers": 7, "rise": "48 in", "tread": "11 in", "foot": "newel"}
    job = job_of([{"stair": stair}], edge_inset="2 in")
    *_, newel = layout(job).posts
    assert newel.base[0] / INCH == pytest.approx(66 + 2.75, abs=1e-9)


@pytest.mark.parametrize("up", [False, True])
def test_a_step_of_one_riser_between_two_levels(job_of, up):
    # One riser has no tread: its two floors meet at the nosing, its own posts stand on them.
    step = {"risers": 1, "rise": "7 in", "tread": "11 in", "direction": "up" if up else "down"}
    legs = [{"level": "6 ft"}, {"stair": step}, {"level": "6 ft"}]
    plan = layout(job_of(legs, start={"z": "7 in"}))
    first, stair, last = plan.runs[0].legs
    assert stair.line.length_mm == 0.0
    assert stair.line.rise_mm / INCH == pytest.approx(7 if up else -7)
    assert first.posts[-1] == stair.posts[0]
    assert stair.posts[-1] == last.posts[0]
    upper, lower = (stair.posts[-1], stair.posts[0]) if up else (stair.posts[0], stair.posts[-1])
    assert plan.posts[upper].base[2] - plan.posts[lower].base[2] == pytest.approx(7 * INCH)
    nosing = 72 * INCH
    reach = [(plan.posts[k].base[0] - nosing) * (1 if up else -1) for k in (upper, lower)]
    assert reach[0] == pytest.approx(4 * INCH)
    # Below it stands off the riser, its plate clear of it.
    assert -reach[1] == pytest.approx(4 * INCH)
    assert -stair.line.pitch_deg * (-1 if up else 1) == pytest.approx(
        math.degrees(math.atan(7 / 11))
    )


@pytest.mark.parametrize("spacing, bays", [("6 ft", 1), ("4 ft", 2), ("2 ft", 4)])
def test_posts_beside_the_stringer_stand_in_equal_bays_off_the_risers(job_of, spacing, bays):
    # By hand: six treads of 11 in; above half a side plate of 5 in and 1/4 in off, below half the
    # bolt columns' 4 in, 1.5 bolts of 3/8 in and a riser board of 3/4 in: 59-15/16 in level.
    stair = {"risers": 7, "rise": "48 in", "tread": "11 in", "posts": "stringer"}
    job = job_of([{"stair": stair}], max_post_spacing=spacing, start={"z": "48 in"})
    leg = only_leg(job)
    assert leg.stations_mm[0] / INCH == pytest.approx(2.75)
    assert leg.stations_mm[-1] / INCH == pytest.approx(66 - 3.3125)
    between = np.diff(leg.stations_mm)
    # Its bolts, 2 in and 1.5 of 3/8 in either side of it, lie under one tread, and behind the
    # riser board of 3/4 in at its nosing.
    half = 2.0 + 1.5 * 0.375
    for station in leg.stations_mm:
        assert half - 1e-6 <= station / INCH % 11.0 <= 11.0 - 0.75 - half + 1e-6
    assert len(between) == bays
    assert between.max() * leg.line.stretch <= job.guard.max_post_spacing_mm + 1e-6


def test_posts_beside_the_stringer_hang_outside_it_bolted_into_its_wood(job_of):
    stair = {"risers": 7, "rise": "48 in", "tread": "11 in", "posts": "stringer"}
    job = job_of([{"stair": stair}], start={"z": "48 in"}, max_post_spacing="2 ft")
    plan = layout(job)
    assembly = assemble(plan)
    assert not list(assembly.of_kind("base-plate"))
    for site, post in zip(plan.posts, assembly.of_kind("post"), strict=True):
        # By hand: stand-off 1-1/2 in and half a post of 2-1/2 in outside the measured side.
        assert site.base[1] / INCH == pytest.approx(-2.75)
        assert detail_of(post, PostDetail).mount == "fascia"
        assert site.tread == math.ceil(site.base[0] / (11 * INCH))
    # shapely: the bolts go through the side of the stringer, seen from the side.
    outline = side_view(next(assembly.of_kind("stringer")))
    bolts = list(assembly.of_kind("anchor"))
    assert len(bolts) == 4 * len(plan.posts)
    # At the foot a plate of 6-1/2 in stands on the floor and is higher than the 5-3/8 in to the
    # last tread's underside: its upper bolts miss the board, and the checks say so.
    foot = f"P{len(plan.posts)}"
    for bolt in bolts:
        x, _, z = bolt.place.origin
        if bolt.belongs_to != foot:
            assert outline.contains(Point(x, z)), bolt.mark
    told = [f for f in run(assembly).findings if f.code in ("anchor.blocking", "anchor.edge")]
    assert {f.severity for f in told if foot in f.message} == {"warn"}


def side_view(stringer):
    """Outline of a stringer of a stair that runs east, in east and up."""
    assert isinstance(stringer.shape, Prism)
    corners = stringer.shape.section.outer.corners
    points = [stringer.place.point((x, y, 0.0)) for x, y in corners]
    return Polygon([(x, z) for x, _, z in points])


def test_cables_of_a_stair_up_are_those_of_the_stair_down(job_of):
    stair = {"risers": 9, "rise": 1600, "tread": 280, "nosing": 20}
    measures = {"max_post_spacing": 1100, "max_cable_span": 500}
    down = assemble(layout(job_of([{"stair": stair}], start={"z": 1600}, **measures)))
    going_up = {"stair": {**stair, "direction": "up"}}
    up = assemble(layout(job_of([going_up], start={"z": 0}, deck="right", **measures)))

    def pieces(assembly):
        cables = [detail_of(p, CableDetail) for p in assembly.of_kind("cable")]
        lengths = sorted(round(c.cut_length_mm, 6) for c in cables)
        rails = sorted(round(x, 6) for p in assembly.of_kind("rail") for x in rail_lengths(p))
        posts = [detail_of(p, PostDetail).length_mm for p in assembly.of_kind("post")]
        return lengths, rails, sorted(round(length, 6) for length in posts)

    assert pieces(down) == pieces(up)


def test_treads_and_floors_of_a_flight_are_where_the_spec_has_them(job_of):
    stair = {"risers": 3, "rise": 510, "tread": 280}
    flight = only_leg(job_of([{"stair": stair}], start={"z": 510})).line.flight
    assert flight is not None
    wanted = np.array([(0, 510), (280, 340), (560, 170)])
    assert np.array(flight.nosings) == pytest.approx(wanted)
    assert (flight.floor_below(-1.0), flight.floor_below(1.0)) == (510.0, pytest.approx(0.0))
    raised = replace(flight, sense=-1, top_station_mm=560.0)
    assert [raised.station(t) for t in (0.0, 560.0)] == [560.0, 0.0]
    assert [raised.down(s) for s in (0.0, 560.0)] == [560.0, 0.0]
