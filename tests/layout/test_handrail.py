"""A handrail's way: over the nosings from end to end, returned to the guard, held on every post.

Outside: IRC 2021 R311.7.8.1 (height over the nosings) and R311.7.8.4 (over the whole flight).
Worked values: by hand in inches, from the lake deck's stair. How a handrail returns and where its
brackets stand: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.errors import InputError
from generator.geometry import cross, dot, norm, sub
from generator.layout import layout
from generator.layout.handrail import BAR_MM, handrails
from generator.spec.job import Handrail, Stock, StockLength

INCH = 25.4
TAN = 48 / 7 / 11
STRETCH = math.hypot(1.0, TAN)
PLAIN = Handrail(False, 36 * INCH, 1.5 * INCH, 1.5 * INCH, 48 * INCH)
STAIR = {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}
NEWEL = {"stair": {**STAIR["stair"], "foot": "newel"}}
LANDING = [{"level": "8 ft"}, {"turn": -90, "corner": "pair"}]


def with_handrail(job, handrail=PLAIN):
    return replace(job, handrail=handrail)


def by_leg(job, run=0):
    plan = layout(job)
    made, of = handrails(plan).by_leg, plan.runs[run]
    return [made.get((of.run.id, k)) for k in range(len(of.legs))]


def only(job):
    (made,) = [made for made in by_leg(job) if made]
    return made


def ends(piece):
    """World points of a piece's axis at its two cuts."""
    return [piece.place.point((0.0, 0.0, cut.z_mm)) for cut in (piece.start_cut, piece.end_cut)]


def inches(point):
    return pytest.approx(tuple(c * INCH for c in point), abs=1e-6)


@pytest.fixture(scope="module")
def lake(lake_deck):
    """The handrail of the lake deck's stair: posts at x 278, 312, 345, the guard line y = 154."""
    return only(with_handrail(lake_deck.job))


# Over the nosing line the axis is half a tube, plumb, below 36 in.
AXIS = 36 - 0.75 * STRETCH
# Half a post 1-1/4, clearance 1-1/2 and half a tube 3/4 in from the guard line.
ASIDE = 154 + 1.25 + 1.5 + 0.75


def test_the_tube_runs_from_the_upper_post_to_over_the_last_riser(lake):
    _, main, _ = lake.pieces
    start, end = ends(main)
    # The first nosing is at x 282, z 48, the last one 66 in on and 6 risers down.
    assert start == inches((278.0, ASIDE, 48 + 4 * TAN + AXIS))
    assert end == inches((348.0, ASIDE, 48 - 66 * TAN + AXIS))
    assert main.length_mm == pytest.approx(70 * STRETCH * INCH, abs=1e-6)
    assert main.length_mm / INCH == pytest.approx(82.4872, abs=5e-5)


def test_its_top_is_at_its_height_plumb_over_the_first_and_the_last_nosing(lake):
    _, main, _ = lake.pieces
    frame = main.place
    top = frame.point((0.0, 0.75 * INCH, 0.0))  # on its highest ruling
    for x, z in ((282, 84.0), (348, 6.857142857 + 36)):
        t = (x * INCH - top[0]) / frame.z[0]
        assert (top[2] + t * frame.z[2]) / INCH == pytest.approx(z, abs=1e-6)


def test_the_upper_end_returns_to_the_rails_side_the_lower_to_the_guard_line(lake):
    first, _, last = lake.pieces
    assert (first.start_on, last.end_on) == ("rail side", "cap")
    assert ends(first)[0] == inches((278.0, 155.25, 48 + 4 * TAN + AXIS))
    # The rail ends at x 347.25, square to the pitch: before the return there is room, by hand
    # 3/4 in along the level, stretched along the pitch, less half a tube.
    assert ends(last)[1] == inches((348.0, 154.0, 48 - 66 * TAN + AXIS))
    assert [p.length_mm / INCH for p in (first, last)] == pytest.approx([2.25, 3.5])


def test_returns_are_level_and_meet_the_tube_in_plain_miters(lake):
    for a, b in zip(lake.pieces, lake.pieces[1:], strict=False):
        assert math.dist(ends(a)[1], ends(b)[0]) < 1e-6
        # Square to each other in space, so half of 90 degrees at each, at any pitch.
        assert dot(a.place.z, b.place.z) == pytest.approx(0.0, abs=1e-12)
        for cut in (a.end_cut, b.start_cut):
            assert (abs(cut.slope_x), cut.slope_y) == pytest.approx((1.0, 0.0), abs=1e-9)
    assert [p.place.z[2] for p in (lake.pieces[0], lake.pieces[2])] == [0.0, 0.0]


def test_a_bracket_holds_it_on_every_post(lake, lake_deck):
    sites = layout(lake_deck.job).posts
    assert [arm.post for arm in lake.arms] == [8, 9, 10]
    for arm in lake.arms:
        x, y, _ = sites[arm.post].base
        # From the middle of the near face, square to the leg, to under the tube.
        assert arm.face[:2] == pytest.approx((x, y + 1.25 * INCH))
        assert arm.bend == pytest.approx((x, ASIDE * INCH, arm.face[2]))
        assert arm.face[2] + BAR_MM / 2 < sites[arm.post].rail_top_z_mm - 1.75 * INCH


def under_distance(made, point):
    """From a point to the tube's axis."""
    frame = made.pieces[1].place
    return norm(cross(sub(point, frame.origin), frame.z))


def test_a_bracket_ends_square_under_the_tube(lake):
    tube = lake.pieces[1].place
    for arm in lake.arms:
        assert under_distance(lake, arm.under) == pytest.approx(0.75 * INCH)
        assert cross(sub(arm.under, arm.bend), tube.y) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


@settings(max_examples=40)
@given(
    riser=st.floats(120, 196),
    tread=st.floats(254, 340),
    risers=st.integers(4, 14),
    height=st.floats(870, 960),
    diameter=st.floats(32, 50),
    direction=st.sampled_from(["down", "up"]),
    deck=st.sampled_from(["left", "right"]),
)
def test_it_is_over_every_nosing_of_any_flight(
    job_of, riser, tread, risers, height, diameter, direction, deck
):
    # IRC 2021 R311.7.8.1 and R311.7.8.4: at its height, plumb, from the first riser to the last.
    stair = {"risers": risers, "rise": risers * riser, "tread": tread, "direction": direction}
    spec = Handrail(False, height, diameter, 40.0, 1200.0)
    job = with_handrail(job_of([{"stair": stair}], deck=deck, start={"z": 3000}), spec)
    main = only(job).pieces[1]
    (x0, _, z0), (x1, _, z1) = ends(main)
    rise = risers * riser
    # Upper floor at 3000 and x 0 going down, at the far end going up.
    top_z, top_x, sense = (3000, 0.0, 1) if direction == "down" else (
        3000 + rise, (risers - 1) * tread, -1
    )  # fmt: skip
    slope = (z1 - z0) / (x1 - x0)
    for k in range(risers):
        x = top_x + sense * k * tread
        assert x0 - 1e-6 <= x <= x1 + 1e-6
        over = z0 + slope * (x - x0) + diameter / 2 * math.hypot(1.0, slope)
        assert over - (top_z - k * riser) == pytest.approx(height, abs=1e-6)


def test_a_stair_up_has_the_same_handrail_the_other_way_round(job_of):
    up = {"stair": {**STAIR["stair"], "direction": "up"}}
    there, back = (only(with_handrail(job_of([stair]))) for stair in (STAIR, up))
    lengths = [[round(p.length_mm, 6) for p in made.pieces] for made in (there, back)]
    assert lengths[0] == lengths[1][::-1]
    assert [p.end_on for p in back.pieces[:2]] == ["miter", "miter"]
    assert [p.start_on for p in there.pieces[1:]] == ["miter", "miter"]


def test_on_the_other_deck_side_it_is_mirrored(job_of):
    left, right = (only(with_handrail(job_of([STAIR], deck=side))) for side in ("left", "right"))
    for a, b in zip(left.pieces, right.pieces, strict=True):
        for (x, y, z), mirrored in zip(ends(a), ends(b), strict=True):
            assert mirrored == pytest.approx((x, -y, z), abs=1e-9)


def test_the_clearance_is_kept_from_whatever_stands_furthest_in(job_of):
    job = with_handrail(job_of([STAIR], edge_inset="4 in"))
    wide = replace(job.system, rail=replace(job.system.rail, width_mm=4 * INCH))
    for made, face in ((only(job), 1.25), (only(replace(job, system=wide)), 2.0)):
        assert made.pieces[1].place.origin[1] / INCH == pytest.approx(4 + face + 1.5 + 0.75)


def test_at_a_newel_it_goes_on_to_the_post_and_returns_there(job_of):
    made = only(with_handrail(job_of([*LANDING, NEWEL], units="in")))
    last = made.pieces[-1]
    assert last.end_on == "rail side"
    # The newel stands the edge inset, 4 in, beyond the last riser.
    assert ends(last)[0][1] / INCH == pytest.approx(-66 - 4)
    assert last.length_mm / INCH == pytest.approx(2.25)


def test_under_a_higher_level_guard_it_returns_to_the_posts_face(job_of):
    job = job_of([{"level": "8 ft"}, STAIR], height="42 in", stair_height="36 in")
    first = only(with_handrail(job)).pieces[0]
    assert first.start_on == "post face"
    assert ends(first)[0][0] / INCH == pytest.approx(92)


def test_where_a_level_rail_goes_on_it_ends_at_the_nosing(job_of):
    # Behind the nosing it would climb over the level rail and end beside nothing.
    first = only(with_handrail(job_of([{"level": "8 ft"}, STAIR]))).pieces[0]
    assert first.start_on == "rail side"
    assert ends(first)[0][0] / INCH == pytest.approx(96)


def test_at_a_wall_it_runs_into_it_plumb(job_of):
    made = only(with_handrail(job_of([STAIR], end="wall")))
    main = made.pieces[-1]
    assert main.end_on == "wall"
    # The wall stands 2 in off the last post's face: 63 + 1-1/4 + 2 in.
    cut = main.end_cut
    for x in (-10.0, 0.0, 10.0):
        for y in (-10.0, 10.0):
            point = main.place.point((x, y, cut.at(x, y)))
            assert point[0] / INCH == pytest.approx(66.25)


def test_stock_that_is_too_short_is_joined_on_brackets(job_of):
    stair = {"stair": {"risers": 13, "rise": "90 in", "tread": "11 in"}}
    job = with_handrail(job_of([stair]))
    whole = only(job)
    joined = only(replace(job, stock=Stock((StockLength(120 * INCH),), 3.0)))
    mains = joined.pieces[1:-1]
    assert len(whole.pieces) == 3
    assert len(mains) == 2
    assert sum(p.length_mm for p in mains) == pytest.approx(whole.pieces[1].length_mm)
    assert (mains[0].end_on, mains[1].start_on) == ("joint on bracket", "joint on bracket")
    meeting = ends(mains[0])[1]
    assert min(under_distance_at(arm, meeting) for arm in joined.arms) < 1e-6
    # Each with its miter's long point comes out of a bar.
    assert all(p.length_mm + 0.75 * INCH <= 120 * INCH for p in mains)


def under_distance_at(arm, point):
    """How far a joint is, along the leg, from the bracket's end under the tube."""
    return abs(math.dist(arm.under, point) - 0.75 * INCH)


def test_stock_that_spans_no_bay_is_refused(job_of):
    # From the return to the first bracket and to the second there are 1-1/2 and 40 in.
    job = with_handrail(job_of([STAIR]))
    plan = layout(job)
    short = replace(job, stock=Stock((StockLength(30 * INCH),), 3.0))
    with pytest.raises(InputError, match=r"stock\.rail"):
        handrails(replace(plan, job=short))


@pytest.mark.parametrize("sense", [1, -1])
def test_a_ramp_has_one_from_end_post_to_end_post(job_of, sense):
    ramp = {"ramp": {"length": "12 ft", "rise": f"{12 * sense} in"}}
    made = only(with_handrail(job_of([{"level": "5 ft"}, ramp, {"level": "5 ft"}])))
    assert [p.start_on for p in made.pieces] == ["rail side", "miter", "miter"]
    # The posts stand off the breaks of slope by half a plate of 5 in and 1/4 in, on the landings.
    for at, x in zip(ends(made.pieces[1]), (60 - 2.75, 204 + 2.75), strict=True):
        assert at[0] / INCH == pytest.approx(x)
    top = ends(made.pieces[1])[0][2] / INCH + 0.75 * math.hypot(1.0, 1 / 12)
    assert top == pytest.approx(48 + 36 - sense * 2.75 / 12)


def test_at_an_inner_corner_it_keeps_off_the_other_legs_guard(job_of):
    legs = [{"level": "8 ft"}, {"turn": 90}, {"ramp": {"length": "12 ft", "rise": "-12 in"}}]
    made = only(with_handrail(job_of(legs, edge_inset="4 in")))
    # As far from the guard line of the level leg, y = 4 in, as from its own: 3-1/2 in.
    assert ends(made.pieces[1])[0][1] / INCH == pytest.approx(7.5)


def test_an_arm_keeps_clear_of_the_studs_that_end_on_its_face(job_of):
    # One post for level and stair: the level cables come out where the bracket stands.
    job = with_handrail(job_of([{"level": "8 ft"}, {"turn": -90}, STAIR]))
    plan = layout(job)
    level, stair = plan.runs[0].legs
    shared = stair.posts[0]
    (arm,) = [arm for arm in only(job).arms if arm.post == shared]
    nut = job.system.fitting.nut_flats_mm / math.sqrt(3)
    studs = [level.line.reference_z(level.stations_mm[-1]) + row for row in level.rows_mm]
    assert min(abs(arm.face[2] - z) for z in studs) >= BAR_MM / 2 + nut


@pytest.mark.parametrize(
    "legs, handrail",
    [
        ([{"level": "8 ft"}], PLAIN),
        ([STAIR], None),
        ([STAIR], replace(PLAIN, elsewhere=True)),
        ([{"level": "8 ft"}, {"stair": {"risers": 1, "rise": "7 in", "tread": "11 in"}}], PLAIN),
    ],
)
def test_none_is_made_where_none_is_asked_for_or_there_is_no_flight(job_of, legs, handrail):
    assert not any(by_leg(with_handrail(job_of(legs), handrail)))
