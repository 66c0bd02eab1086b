"""Where legs begin and end: pairs on other mountings, openings, loops, shared and standing posts.

Outside checks: shapely for gaps and places. Worked values: by hand.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

from generator.checks import run
from generator.errors import InputError
from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, RailDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism

INCH = 25.4
HALF_POST = 1.25 * INCH
STUD, CABLE = 0.25 * INCH, 0.125 * INCH
CONCRETE = {"decking": "6 in", "concrete": True}
NO_JOISTS = {"decking": "1 in"}


def troubles(assembly):
    """Failures and warnings, but for long spans between cables' supports."""
    return {
        f.code
        for f in run(assembly).findings
        if f.severity != "note" and f.code != "opening.loaded"
    }


def outline(part):
    assert isinstance(part.shape, Prism)
    corners = part.shape.section.outer.corners
    return Polygon([part.place.point((x, y, 0.0))[:2] for x, y in corners])


def pair_job(job_of, turn, mount, **more):
    legs = [{"level": 4000}, {"turn": turn, "corner": "pair"}, {"level": 4000}]
    return job_of(legs, mount=mount, edge_inset=120, **more)


@pytest.mark.parametrize("turn", [90, -90, 60, -45, 135])
def test_cored_posts_of_a_pair_are_a_quarter_inch_apart(job_of, turn):
    # common practice, no source: without plates the posts themselves, 1/4 in apart
    assembly = assemble(layout(pair_job(job_of, turn, "core", structure=CONCRETE)))
    assert not list(assembly.of_kind("base-plate", "side-plate"))
    first, second = assembly.legs
    a, b = (outline(assembly.by_mark[m]) for m in (first.posts[-1], second.posts[0]))
    gaps = []
    for shape in (a, b):
        for (x0, y0), (x1, y1) in pairwise(shape.exterior.coords):
            angle = math.degrees(math.atan2(y1 - y0, x1 - x0))
            low_a, high_a, low_b, high_b = (
                affinity.rotate(s, -angle, origin=(0, 0)).bounds[k] for s in (a, b) for k in (1, 3)
            )
            gaps += [low_b - high_a, low_a - high_b]
    assert max(gaps) == pytest.approx(0.25 * INCH, abs=1e-6)


@pytest.mark.parametrize("turn", [90, -90, 60, -45, 135])
def test_side_plates_of_a_pair_keep_apart(job_of, turn):
    assembly = assemble(layout(pair_job(job_of, turn, "fascia")))
    first, second = assembly.legs
    for kind in ("post", "side-plate"):
        parts = {p.belongs_to: outline(p) for p in assembly.of_kind(kind)}
        gap = parts[first.posts[-1]].distance(parts[second.posts[0]])
        assert gap >= 0.25 * INCH - 1e-6
    # Round so sharp a corner the bolts of one post reach the other, which is told.
    assert ("clash.parts" in troubles(assembly)) == (turn == 135)


def test_posts_on_a_fascia_stand_outside_the_edge(job_of):
    # By hand: stand-off 1-1/2 in and half a post outside the fascia, less the decking's overhang.
    structure = {"decking": "1 in", "overhang": "1 in"}
    plan = layout(job_of([{"level": 4000}], mount="fascia", structure=structure))
    for site in plan.posts:
        assert site.base[1] / INCH == pytest.approx(1.0 - 1.5 - 1.25)
        # The side plate, 6-1/2 in high, begins under the decking.
        assert (site.floor_z_mm - site.base[2]) / INCH == pytest.approx(1.0 + 6.5)


def test_a_cored_post_is_longer_by_the_depth_of_its_core(job_of):
    jobs = [job_of([{"level": 4000}], structure=CONCRETE, mount=m) for m in ("deck", "core")]
    on_deck, cored = (
        {
            round(detail_of(p, PostDetail).length_mm / INCH, 9)
            for p in assemble(layout(j)).parts
            if p.kind == "post"
        }
        for j in jobs
    )
    # By hand: 4 in of core, and the 3/8 in that a base plate takes.
    (a,), (b,) = on_deck, cored
    assert b - a == pytest.approx(4.375)


@settings(max_examples=30, derandomize=True)
@given(
    width=st.floats(300, 2500),
    bearing=st.floats(-180, 180),
    deck=st.sampled_from(["left", "right"]),
    mount=st.sampled_from(["deck", "fascia"]),
)
def test_an_opening_is_clear_between_the_faces_of_its_posts(job_of, width, bearing, deck, mount):
    legs = [{"level": 3000}, {"opening": width}, {"level": 2500}]
    job = job_of(legs, deck=deck, start={"bearing": bearing}, mount=mount)
    assembly = assemble(layout(job))
    before, after = assembly.legs
    assert (before.end_joint, after.start_joint) == ("opening", "opening")
    posts = [assembly.by_mark[m] for m in (before.posts[-1], after.posts[0])]
    assert outline(posts[0]).distance(outline(posts[1])) == pytest.approx(width, abs=1e-6)
    # The path goes on beyond it, and nothing of the guard is in it.
    assert math.dist(before.edge_end, after.edge_start) == pytest.approx(width, abs=1e-6)
    assert "span.short" not in troubles(assembly)
    # Where joists run nearly along the edge, blocks of the two posts may share a bay and are told.
    met = [f.where for f in run(assembly).findings if f.code == "clash.parts"]
    assert all(assembly.by_mark[m].kind == "blocking" for where in met for m in where)
    assert not set(before.cables) & set(after.cables)


LOOPS = [
    ([(4000, 120), (4000, 120), (4000, 120)], "single"),
    ([(6000, 90), (3000, 90), (6000, 90), (3000, 90)], "single"),
    ([(2500, 72)] * 5, "single"),
    ([(2000, 45)] * 8, "single"),
    ([(6000, 90), (3000, 90), (6000, 90), (3000, 90)], "pair"),
]


def loop(job_of, sides, corner, **more):
    """A closed run of (length, turn) sides; the last turn is how it closes."""
    legs = [
        item
        for k, (length, turn) in enumerate(sides)
        for item in (
            [{"level": length}]
            if k == len(sides) - 1
            else [{"level": length}, {"turn": turn, "corner": corner}]
        )
    ]
    measures = {"max_post_spacing": 1500, "edge_inset": "5 in", "structure": NO_JOISTS}
    return job_of(legs, closed=corner, **measures, **more)


@pytest.mark.parametrize("sides, corner", LOOPS)
@pytest.mark.parametrize("deck", ["left", "right"])
def test_a_loop_is_one_guard_all_round(job_of, sides, corner, deck):
    assembly = assemble(layout(loop(job_of, sides, corner, deck=deck)))
    legs = assembly.legs
    for before, after in zip(legs, (*legs[1:], legs[0]), strict=True):
        assert (before.posts[-1] == after.posts[0]) == (corner == "single")
        assert (before.end_joint, after.start_joint) == (corner, corner)
    standing = sum(len(leg.posts) for leg in legs) - (len(legs) if corner == "single" else 0)
    assert sum(1 for _ in assembly.of_kind("post")) == standing
    assert troubles(assembly) == set()
    if corner == "single":
        ends = [detail_of(p, RailDetail) for p in assembly.of_kind("rail")]
        assert {end for rail in ends for end in (rail.start_on, rail.end_on)} == {"miter"}


@pytest.mark.parametrize("sides, corner", LOOPS[:4])
def test_studs_of_a_loop_keep_clear_in_every_corner_post(job_of, sides, corner):
    # By hand: level studs at an angle are nearest where they cross the post's axis, so their
    # heights differ by a stud and 1/16 in; an odd loop asks it of legs on both sides at once.
    legs = layout(loop(job_of, sides, corner)).runs[0].legs
    for before, after in zip(legs, (*legs[1:], legs[0]), strict=True):
        turned = abs(after.line.bearing_deg - before.line.bearing_deg) % 360
        assert min(turned, 360 - turned) > 40
        apart = min(abs(a - b) for a in before.rows_mm for b in after.rows_mm)
        assert apart >= STUD + INCH / 16 - 1e-6


def test_a_loop_with_a_gate_begins_and_ends_at_it_nowhere_else(job_of):
    legs = [{"level": 2000}, {"opening": 900}, {"level": 3100}, {"turn": 90}, {"level": 3000}]
    legs += [{"turn": 90}, {"level": 6000}, {"turn": 90}, {"level": 3000}]
    assembly = assemble(layout(job_of(legs, closed="single", structure=NO_JOISTS)))
    joints = [joint for leg in assembly.legs for joint in (leg.start_joint, leg.end_joint)]
    assert joints.count("opening") == 2
    assert joints.count("single") == 8
    assert troubles(assembly) == set()


def test_a_loop_that_does_not_close_is_refused(job_of):
    job = loop(job_of, [(6000, 90), (3000, 90), (6000, 90), (3020, 90)], "single")
    with pytest.raises(InputError, match="closed"):
        layout(job)


def meeting_runs(job_of, x, bearing=90, **more):
    """Run A along x, and run B that begins at a post of it near x."""
    second = {
        "id": "B",
        "start": {"x": x, "y": 100, "z": "4 ft", "bearing": bearing, "end": "shared"},
        "deck": "left",
        "legs": [{"level": 3000}],
        "end": "free",
    }
    measures = {"edge_inset": 100, "max_post_spacing": 1500, "structure": NO_JOISTS}
    return job_of([{"level": 6000}], more=[second], **measures, **more)


@pytest.mark.parametrize("x, index", [(3100, 2), (6000, 4)], ids=["between", "at the end"])
def test_a_run_begins_at_a_post_of_an_earlier_run(job_of, x, index):
    # By hand: posts at 100, 1550, 3000, 4450, 5900; B's guard line lies 100 mm left of its edge.
    plan = layout(meeting_runs(job_of, x))
    (first,), (second,) = (run.legs for run in plan.runs)
    assert second.posts[0] == index == first.posts[index]
    assert plan.posts[index].base[:2] == pytest.approx((x - 100, 100))
    assert second.stations_mm[0] == pytest.approx(0.0, abs=1e-9)
    assert second.start_joint == "shared"
    assert len(plan.posts) == 5 + len(second.posts) - 1
    # Its rail ends at the face of the post that carries the other rail.
    piece = second.rails[0]
    assert piece.place.origin[1] == pytest.approx(100 + HALF_POST)


@pytest.mark.parametrize("x, passing", [(3100, CABLE), (6000, STUD)], ids=["cables", "studs"])
def test_studs_keep_clear_in_the_post_where_two_runs_meet(job_of, x, passing):
    # By hand: half of either, and 1/16 in between them; A's cables pass a post between its ends.
    plan = layout(meeting_runs(job_of, x))
    first, second = (run.legs[0] for run in plan.runs)
    apart = min(abs(a - b) for a in first.rows_mm for b in second.rows_mm)
    assert apart >= (STUD + passing) / 2 + INCH / 16 - 1e-6
    assert troubles(assemble(plan)) == set()


def test_a_run_that_shares_a_post_which_is_not_there_is_refused(job_of):
    with pytest.raises(InputError, match="shared"):
        layout(meeting_runs(job_of, 3600))


def column(at, width: object = 140, **more):
    return {"at": at, "width": width, **more}


def standing_job(job_of, *columns, **more):
    legs = [{"level": 6000, "fixed": list(columns)}]
    return job_of(legs, edge_inset=100, max_post_spacing=1500, **more)


def test_bays_are_equal_on_either_side_of_a_standing_post(job_of):
    # By hand: 100 to 2400 in two bays, 2400 to 5900 in three
    plan = layout(standing_job(job_of, column(2400)))
    (leg,) = plan.runs[0].legs
    wanted = [100, 1250, 2400, 2400 + 3500 / 3, 2400 + 7000 / 3, 5900]
    assert leg.stations_mm == pytest.approx(wanted)
    assert [site.fixed is not None for site in plan.posts] == [False, False, True, *[False] * 3]
    kinds = [part.kind for part in assemble(plan).of_kind("post", "column")]
    assert kinds == ["post", "post", "column", "post", "post", "post"]


@pytest.mark.parametrize("at, first", [(90, True), (5930, False)])
def test_a_standing_post_near_an_end_takes_the_end_posts_place(job_of, at, first):
    plan = layout(standing_job(job_of, column(at)))
    (leg,) = plan.runs[0].legs
    assert leg.stations_mm[0 if first else -1] == at
    assert plan.posts[0 if first else -1].fixed is not None
    assert sum(site.fixed is not None for site in plan.posts) == 1


def test_cables_anchored_to_a_standing_post_end_at_it(job_of):
    # An 8 ft leg with a column in the middle, its cables held there: two cables a row.
    legs = [{"level": "8 ft", "fixed": [column("4 ft", "5-1/2 in", cables="anchor")]}]
    assembly = assemble(layout(job_of(legs)))
    (leg,) = assembly.legs
    cables = [detail_of(assembly.by_mark[mark], CableDetail) for mark in leg.cables]
    rows = max(cable.row for cable in cables)
    assert len(cables) == 2 * rows
    assert {cable.posts for cable in cables} == {("P1", "P2"), ("P2", "P3")}
    # By hand: from the inner face of an end post, 4 + 1-1/4 in, to the column's face.
    lengths = {round(cable.support_length_mm / INCH, 9) for cable in cables}
    assert lengths == {48 - 2.75 - 5.25}
    assert troubles(assembly) == set()


def test_cables_that_pass_a_standing_post_are_one_piece(job_of):
    legs = [{"level": "8 ft", "fixed": [column("4 ft", "5-1/2 in", cables="pass")]}]
    assembly = assemble(layout(job_of(legs)))
    cables = [detail_of(part, CableDetail) for part in assembly.of_kind("cable")]
    assert {cable.posts for cable in cables} == {("P1", "P2", "P3")}
    assert {round(cable.support_length_mm / INCH, 9) for cable in cables} == {96 - 2 * 5.25}
    assert troubles(assembly) == set()


def test_a_leg_has_its_own_inset(job_of):
    # shapely: posts stand off their own edges by their own insets, the corner by both.
    legs = [{"level": 4000}, {"turn": 90}, {"level": 4000, "inset": 200}]
    plan = layout(job_of(legs, edge_inset=100))
    first, second = plan.runs[0].legs
    edges = [box(-1e5, -1, 1e5, 0), box(4000, -1e5, 4001, 1e5)]
    for leg, edge, inset in ((first, edges[0], 100), (second, edges[1], 200)):
        for index in leg.posts:
            assert edge.distance(Point(plan.posts[index].base[:2])) == pytest.approx(inset)


def test_two_posts_in_line_take_two_insets(job_of):
    legs = [{"level": 4000}, {"turn": 0, "corner": "pair"}, {"level": 4000, "inset": 200}]
    first, second = layout(job_of(legs, edge_inset=100)).runs[0].legs
    assert {first.line.inset_mm, second.line.inset_mm} == {100.0, 200.0}
    legs[1] = {"turn": 0, "corner": "single"}
    with pytest.raises(InputError, match="another inset"):
        layout(job_of(legs, edge_inset=100))


def axes(assembly, post):
    """Shanks of a post's bolts, as (head, tip)."""
    for part in assembly.of_kind("anchor"):
        if part.belongs_to == post:
            length = -part.shape.steps[0].start_mm
            yield part.place.origin, part.place.point((0.0, 0.0, -length))


@pytest.mark.parametrize("turn", [90, 45, 60, 120])
@pytest.mark.parametrize("structure", [CONCRETE, NO_JOISTS])
def test_side_bolts_round_an_outside_corner_pass_each_other(job_of, turn, structure):
    # shapely in plan; the second post hangs lower by a bolt (3/8 in) and 1/16 in
    assembly = assemble(layout(pair_job(job_of, turn, "fascia", structure=structure)))
    first, second = (leg.posts[-1 if n == 0 else 0] for n, leg in enumerate(assembly.legs))
    apart = [
        (LineString([p[:2] for p in a]).distance(LineString([p[:2] for p in b])), a[0][2] - b[0][2])
        for a in axes(assembly, first)
        for b in axes(assembly, second)
    ]
    assert len(apart) == 16
    near = [up for across, up in apart if across < 3 / 8 * INCH]
    assert all(abs(up) >= 7 / 16 * INCH - 1e-9 for up in near)
    bases = [detail_of(assembly.by_mark[m], PostDetail).base_z_mm for m in (first, second)]
    assert bases[0] - bases[1] == pytest.approx(7 / 16 * INCH if near else 0.0)


def test_side_bolts_of_an_inside_corner_need_no_room(job_of):
    assembly = assemble(layout(pair_job(job_of, -90, "fascia", structure=NO_JOISTS)))
    bases = {detail_of(p, PostDetail).base_z_mm for p in assembly.of_kind("post")}
    assert len(bases) == 1


STEPS = {"risers": 5, "rise": 850, "tread": 280}


@pytest.mark.parametrize("deck", ["left", "right"])
@pytest.mark.parametrize(
    "legs",
    [
        [{"level": 4000}, {"opening": 900}, {"stair": STEPS}],
        [{"stair": {**STEPS, "direction": "up"}}, {"opening": 900}, {"level": 4000}],
        [{"stair": {**STEPS, "foot": "newel"}}, {"opening": 900}, {"level": 4000}],
    ],
)
def test_an_opening_beside_a_stair_is_clear_to_its_full_width(job_of, legs, deck):
    # The stair's post stands within the opening, so that the one across stands back as far.
    assembly = assemble(layout(job_of(legs, deck=deck, edge_inset=120, structure=NO_JOISTS)))
    before, after = assembly.legs
    posts = [assembly.by_mark[m] for m in (before.posts[-1], after.posts[0])]
    assert outline(posts[0]).distance(outline(posts[1])) == pytest.approx(900, abs=1e-6)
