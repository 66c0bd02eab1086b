"""What every layout keeps, on random runs: bays, cables through their holes, symmetry, room.

Outside checks: shapely for posts that overlap; the symmetries are axioms.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from typing import Any

import pytest
from hypothesis import Phase, assume, given, reject, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from generator.checks import run
from generator.errors import InputError
from generator.geometry import along, distance, dot, sub, unit
from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.legs import bays
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.shapes import Prism, Rectangle, Route

FLEXIBLE = {"cable": "ss316-7x7-1_8"}
NO_JOISTS = {"decking": "1 in"}
SIGN = st.sampled_from([1, -1])
# A case that fails is told as it was found: making it smaller takes minutes.
FOUND = (Phase.explicit, Phase.generate)


@st.composite
def level(draw):
    item: dict[str, Any] = {"level": draw(st.floats(900, 7000))}
    kind = draw(st.sampled_from(["", "", "", "fall", "fixed", "inset", "fascia"]))
    if kind == "fall":
        item["fall"] = item["level"] * draw(st.floats(0.001, 0.03)) * draw(SIGN)
    elif kind == "fixed":
        item["fixed"] = [
            {
                "at": item["level"] * draw(st.floats(0.3, 0.7)),
                "width": draw(st.floats(80, 200)),
                "depth": draw(st.floats(80, 200)),
                "material": draw(st.sampled_from(["timber", "steel", "masonry"])),
                "cables": draw(st.sampled_from(["pass", "anchor"])),
            }
        ]
    elif kind == "inset":
        item["inset"] = draw(st.floats(70, 200))
    elif kind == "fascia":
        item["mount"] = "fascia"
    return item


@st.composite
def ramp(draw):
    length = draw(st.floats(900, 7000))
    return {"ramp": {"length": length, "rise": length * draw(st.floats(0.01, 0.2)) * draw(SIGN)}}


@st.composite
def stair(draw):
    risers = draw(st.integers(1, 12))
    item: dict[str, Any] = {"direction": draw(st.sampled_from(["down", "up"]))}
    if risers > 1 and draw(st.booleans()):
        rises, goings = st.floats(150, 195), st.floats(255, 320)
        item["treads"] = [{"rise": draw(rises), "going": draw(goings)} for _ in range(risers)]
    else:
        rise = risers * draw(st.floats(150, 195))
        item |= {"risers": risers, "rise": rise, "tread": draw(st.floats(255, 330))}
    item["nosing"] = draw(st.sampled_from([0, 20]))
    item["foot"] = draw(st.sampled_from(["tread", "tread", "newel"]))
    item["posts"] = draw(st.sampled_from(["tread", "tread", "stringer"]))
    return {"stair": item}


CORNERS = ("none", "opening", "single", "single", "pair", "pair", "pair-through")
PAIR_RAILS = ("run-on", "miter", "butt", "return")


@st.composite
def corner(draw, kinds, rails):
    """What stands between two legs: nothing, a turn or an opening."""
    kind = draw(st.sampled_from(kinds))
    if kind == "none":
        return []
    if kind == "opening":
        return [{"opening": draw(st.floats(600, 1500))}]
    angle = 0 if draw(st.sampled_from([True, False, False])) else draw(st.floats(5, 150))
    turn: dict[str, Any] = {"turn": angle * draw(SIGN), "corner": kind}
    if kind != "single":
        turn["rail"] = draw(st.sampled_from(rails))
    elif not angle:
        turn["cables"] = draw(st.sampled_from(["end", "pass"]))
    return [turn]


@st.composite
def runs(draw, most=4, kinds=CORNERS, rails=PAIR_RAILS):
    """Legs of a run with what stands between them; never a stair after a stair."""
    one = st.one_of(level(), level(), ramp(), stair())
    items = [draw(one)]
    for _ in range(draw(st.integers(0, most - 1))):
        item = draw(one)
        if "stair" in item and "stair" in items[-1]:
            item = draw(level())
        items += [*draw(corner(kinds, rails)), item]
    return items


GUARDS = st.fixed_dictionaries(
    {
        "edge_inset": st.floats(60, 150),
        "max_post_spacing": st.floats(900, 2400),
        "cable_spacing": st.floats(60, 90),
        "bottom_gap": st.floats(60, 95),
        "height": st.sampled_from([914.4, 1066.8]),
        "stair_height": st.sampled_from([914.4, 965.2]),
        "stair_setback": st.floats(72, 100),
    },
    optional={
        "max_cable_span": st.floats(500, 2000),
        "rows": st.sampled_from(["pitch", "even"]),
        "transition": st.sampled_from(["plumb", "easing", "common"]),
        "stair_spacing": st.sampled_from(["plumb", "square"]),
        "post_top": st.sampled_from(["raked", "square"]),
        "end_cut": st.sampled_from(["square", "plumb"]),
        "pair_offset": st.floats(100, 300),
    },
)
DECKS = st.sampled_from(["left", "right"])


def plan_of(job):
    """The layout; a run that says itself why it cannot be laid out is no case for the rest."""
    try:
        return layout(job)
    except InputError:
        reject()


@settings(max_examples=100, derandomize=True, phases=FOUND)
@given(legs=runs(), guard=GUARDS, deck=DECKS, snap=st.floats(10, 250))
def test_bays_keep_the_spacing_and_add_up(job_of, legs, guard, deck, snap):
    # What cannot be laid out is an input error, and nothing else is ever raised.
    job = job_of(legs, deck=deck, system=FLEXIBLE, snap_to_joists=snap, **guard)
    assembly = assemble(plan_of(job))
    told = {finding.code for finding in run(assembly).findings}
    for leg in assembly.legs:
        found = bays(assembly, leg)
        assert math.fsum(found) == pytest.approx(
            math.copysign(distance(leg.guard_start, leg.guard_end), math.fsum(found)), abs=1e-6
        )
        assert "span.short" in told or min(found) > 0.0
        # Only treads too long for the spacing leave a bay over it.
        over = max(found) > guard["max_post_spacing"] + 1e-6
        assert not over or (leg.kind == "stair" and "span.posts" in told)


def hole_centre(part, hole):
    """World centre of a hole, half its depth inside its face."""
    outline = part.shape.section.outer
    assert isinstance(outline, Rectangle)
    axis, sign = hole.face[0], 1.0 if hole.face[1] == "+" else -1.0
    size = outline.width_mm if axis == "x" else outline.depth_mm
    half = hole.depth_mm / 2
    inward = sign * (size / 2 - half)
    across, up = hole.across_mm + hole.lean[0] * half, hole.along_mm + hole.lean[1] * half
    return part.place.point((inward, across, up) if axis == "x" else (across, inward, up))


def from_polyline(point, points):
    """Distance of a point from a cable's line, its ends drawn on as their studs are."""
    ends = [along(a, unit(sub(a, b)), 600.0) for a, b in (points[:2], points[:-3:-1])]
    stops = [ends[0], *points[1:-1], ends[1]]
    found = []
    for a, b in pairwise(stops):
        way = sub(b, a)
        t = min(max(dot(sub(point, a), way) / dot(way, way), 0.0), 1.0)
        found.append(distance(point, along(a, way, t)))
    return min(found)


@settings(max_examples=100, derandomize=True, phases=FOUND)
@given(legs=runs(), guard=GUARDS, deck=DECKS)
def test_every_cable_passes_every_hole_on_its_way_and_every_hole_has_its_cable(
    job_of, legs, guard, deck
):
    assembly = assemble(plan_of(job_of(legs, deck=deck, system=FLEXIBLE, **guard)))
    through = {}
    for cable in assembly.of_kind("cable"):
        detail, shape = detail_of(cable, CableDetail), cable.shape
        assert isinstance(shape, Route)
        points = [cable.place.point(point) for point in shape.points]
        for mark in detail.posts:
            through.setdefault((mark, detail.row), []).append((detail.legs, points))
    used = set()
    for post in assembly.of_kind("post", "column"):
        assert isinstance(post.shape, Prism)
        for drilled in detail_of(post, PostDetail).drilling:
            lines = through.get((post.mark, drilled.row), [])
            own = [points for numbers, points in lines if drilled.leg in numbers]
            assert own, (post.mark, drilled.row)
            used.add((post.mark, drilled.row))
            for index in drilled.walls:
                centre = hole_centre(post, post.shape.holes[index])
                assert min(from_polyline(centre, points) for points in own) < 1e-6
        assert len(set(post.shape.holes)) == len(post.shape.holes)
    assert used == set(through)


@settings(max_examples=100, derandomize=True, phases=FOUND)
@given(legs=runs(), guard=GUARDS, deck=DECKS)
def test_posts_that_overlap_are_told(job_of, legs, guard, deck):
    # shapely: intersection of the outlines, for all posts that stand at one height
    assembly = assemble(plan_of(job_of(legs, deck=deck, system=FLEXIBLE, **guard)))
    bodies = []
    for post in assembly.of_kind("post", "column"):
        assert isinstance(post.shape, Prism)
        corners = post.shape.section.outer.corners
        plan = Polygon([post.place.point((x, y, 0.0))[:2] for x, y in corners])
        low = post.place.origin[2]
        bodies.append((plan, low, low + post.shape.end.z_mm))
    overlapping = [
        a.intersection(b).area
        for (a, low_a, high_a), (b, low_b, high_b) in combinations(bodies, 2)
        if low_a < high_b - 1.0 and low_b < high_a - 1.0 and a.intersects(b)
    ]
    told = {finding.code for finding in run(assembly).findings}
    assert max(overlapping, default=0.0) < 1e-3 or told & {"clash.parts", "span.short"}


def room_for_all(plan):
    """The layout, where every leg has room for its posts: one that has none has no rail."""
    assume(all(leg.rails for run_of in plan.runs for leg in run_of.legs))
    return plan


def pieces(job, way=1.0):
    """What a saw, a drill and a tape make of a job; `way` -1 for hands swapped."""
    assembly = assemble(room_for_all(plan_of(job)))
    rails = [
        (*rail_lengths(part), *(way * abs(a) if way < 0 else a for a in angles))
        for part in assembly.of_kind("rail")
        for angles in [(*cut_angles(part, "start"), *cut_angles(part, "end"))]
    ]
    posts = [detail_of(part, PostDetail) for part in assembly.of_kind("post", "column")]
    cables = [detail_of(part, CableDetail) for part in assembly.of_kind("cable")]
    return {
        "rails": [value for rail in rails for value in rail],
        "posts": [v for p in posts for v in (p.height_mm, p.length_mm, p.base_z_mm)],
        "holes": [hole.axis_z_mm for post in posts for hole in post.drilling],
        "cables": [v for c in cables for v in (c.support_length_mm, c.cut_length_mm)],
        "turns": [cable.turn_deg for cable in cables],
    }


def assert_same(here, there):
    for key, values in here.items():
        assert there[key] == pytest.approx(values, abs=1e-6), key


@settings(max_examples=50, derandomize=True, phases=FOUND)
@given(legs=runs(), guard=GUARDS, deck=DECKS, bearing=st.floats(-180, 180), x=st.floats(-1e5, 1e5))
def test_a_run_turned_and_moved_is_made_of_the_same_pieces(job_of, legs, guard, deck, bearing, x):
    common = {"deck": deck, "system": FLEXIBLE, "structure": NO_JOISTS, **guard}
    here = pieces(job_of(legs, **common))
    assert_same(here, pieces(job_of(legs, start={"bearing": bearing, "x": x, "y": -x}, **common)))


@settings(max_examples=50, derandomize=True, phases=FOUND)
@given(legs=runs(), guard=GUARDS)
def test_a_mirrored_run_is_made_of_the_same_pieces_by_the_other_hand(job_of, legs, guard):
    common = {"system": FLEXIBLE, "structure": NO_JOISTS, **guard}
    other = [{**item, "turn": -item["turn"]} if "turn" in item else item for item in legs]
    here = pieces(job_of(legs, deck="left", **common), way=-1.0)
    assert_same(here, pieces(job_of(other, deck="right", **common), way=-1.0))


def backwards(item):
    """A leg or corner as one meets it from the other end."""
    if "turn" in item:
        return {**item, "turn": -item["turn"]}
    if "ramp" in item:
        return {"ramp": {**item["ramp"], "rise": -item["ramp"]["rise"]}}
    if "stair" in item:
        way = "up" if item["stair"]["direction"] == "down" else "down"
        return {"stair": {**item["stair"], "direction": way}}
    if "level" not in item:
        return item
    fixed = [{**post, "at": item["level"] - post["at"]} for post in item.get("fixed", [])]
    back = {**item, "fall": -item.get("fall", 0.0)}
    return {**back, "fixed": fixed} if fixed else back


def on_two_slopes(legs):
    """Whether one post stands where the slope changes and the path turns, or a stair begins."""
    return any(
        item.get("corner") == "single"
        and (item["turn"] or "stair" in (*before, *after))
        and {"fall", "ramp"} & {*before, *after}
        for before, item, after in zip(legs, legs[1:], legs[2:], strict=False)
    )


def cut_list(plan, *, rows):
    """Every piece with its lengths and the angles of its ends, in no order."""
    assembly = assemble(plan)
    found = []
    for part in assembly.of_kind("rail"):
        ends = sorted(
            tuple(abs(round(angle, 5)) for angle in cut_angles(part, end))
            for end in ("start", "end")
        )
        found.append(("rail", *(round(mm, 4) for mm in rail_lengths(part)), *ends))
    for part in assembly.of_kind("post", "column"):
        post = detail_of(part, PostDetail)
        found.append((part.item, round(post.length_mm, 4), round(post.base_z_mm, 4)))
    lengths = [
        ("cable", round(detail_of(part, CableDetail).cut_length_mm, 4))
        for part in assembly.of_kind("cable")
    ]
    # At a shared post the rows of the leg that comes later are moved, so that rows may differ.
    return sorted(map(str, found)), sorted(lengths) if rows else sorted(set(lengths))


@settings(max_examples=40, derandomize=True, phases=FOUND)
@given(
    legs=runs(kinds=("opening", "single", "pair", "pair", "pair-through"), rails=PAIR_RAILS[:2]),
    guard=GUARDS,
    deck=DECKS,
    ends=st.tuples(*[st.sampled_from(["free", "wall"])] * 2),
)
def test_a_run_measured_from_its_other_end_has_the_same_cut_list(job_of, legs, guard, deck, ends):
    # A post that two legs share stands as the earlier one says, so here both say the same; cables
    # that pass it in line are cables of other lengths.
    left_out = ("mount", "cables")
    assume(not on_two_slopes(legs))
    # So does a stair whose posts hang on its stringer: it says another mounting than its neighbour.
    hung = any(item.get("stair", {}).get("posts") == "stringer" for item in legs)
    assume(not (hung and any(item.get("corner") == "single" for item in legs)))
    legs = [{key: value for key, value in item.items() if key not in left_out} for item in legs]
    common = {"system": FLEXIBLE, "structure": NO_JOISTS, **guard}
    job = job_of(legs, deck=deck, start={"end": ends[0]}, end=ends[1], **common)
    there = room_for_all(plan_of(job))
    last = there.runs[0].legs[-1].line
    x, y, z = last.end
    start = {"x": x, "y": y, "z": z, "bearing": last.bearing_deg % 360 - 180, "end": ends[1]}
    back = plan_of(
        job_of(
            [backwards(item) for item in reversed(legs)],
            deck="right" if deck == "left" else "left",
            start=start,
            end=ends[0],
            pull="start",
            **common,
        )
    )
    rows = all(item.get("corner") != "single" for item in legs)
    ours, theirs = (cut_list(plan, rows=rows) for plan in (there, back))
    assert ours == theirs


def spelt(value, write) -> Any:
    """Every length of a spec, rounded to sixteenths of an inch and written anew."""
    if isinstance(value, dict):
        kept = ("turn", "risers")
        return {k: v if k in kept else spelt(v, write) for k, v in value.items()}
    if isinstance(value, list):
        return [spelt(item, write) for item in value]
    return write(round(value / 1.5875)) if isinstance(value, int | float) else value


def in_inches(sixteenths):
    sign, count = "-" if sixteenths < 0 else "", abs(sixteenths)
    whole, part = divmod(count, 16)
    return f"{sign}{whole} {part}/16 in" if part else f"{sign}{whole} in"


@settings(max_examples=50, derandomize=True, phases=FOUND)
@given(legs=runs(), guard=GUARDS, deck=DECKS)
def test_inches_and_millimetres_of_one_job_are_one_layout(job_of, legs, guard, deck):
    plans = []
    for write, units in ((in_inches, "in"), (lambda n: f"{n * 1.5875:.4f} mm", "mm")):
        words = {"system": FLEXIBLE, "deck": deck, "units": units, **spelt(guard, write)}
        plans.append(plan_of(job_of(spelt(legs, write), **words)))
    assert plans[0].posts == plans[1].posts
    assert plans[0].runs[0].legs == plans[1].runs[0].legs
    assert plans[0].runs[0].routes == plans[1].runs[0].routes
