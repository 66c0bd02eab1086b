"""What every layout keeps: bays, cables through their holes, symmetry, spelling, room for posts.

Outside checks: shapely for overlapping posts; the symmetries are axioms.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, box

from generator.checks import run
from generator.geometry import along, dot, norm, scale, sub
from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, SpacerDetail, detail_of
from generator.parts.build import assemble
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.shapes import Prism, Rectangle, Route
from generator.results import results

INCH = 25.4
POST = 2.5 * INCH


@st.composite
def level_runs(draw, shortest=900.0, legs=4):
    """Legs of a level run, with single and pair corners either way."""
    items = [{"level": draw(st.floats(shortest, 8000))}]
    for _ in range(draw(st.integers(0, legs - 1))):
        turn = draw(st.floats(20, 120)) * draw(st.sampled_from([1, -1]))
        items.append({"turn": turn, "corner": draw(st.sampled_from(["single", "pair"]))})
        items.append({"level": draw(st.floats(shortest, 8000))})
    return items


@st.composite
def stair_runs(draw):
    """A level run for a deck on the left, and a stair down: in line, or away from the deck."""
    items = draw(level_runs(legs=2))
    risers = draw(st.integers(2, 10))
    turn = draw(st.sampled_from([0, 0, -90, -45]))
    stair = {
        "risers": risers,
        "rise": risers * draw(st.floats(150, 195)),
        "tread": draw(st.floats(255, 350)),
        "nosing": draw(st.sampled_from([0, 20])),
    }
    corner = "pair" if turn else draw(st.sampled_from(["pair", "single"]))
    return [*items, {"turn": turn, "corner": corner}, {"stair": stair}]


MEASURES = st.fixed_dictionaries(
    {
        "edge_inset": st.floats(70, 150),
        "max_post_spacing": st.floats(900, 2400),
        "cable_spacing": st.floats(60, 95),
        "max_cable_span": st.floats(500, 2000),
        "stair_setback": st.floats(72, 110),
    }
)


def mirrored(items):
    return [{**item, "turn": -item["turn"]} if "turn" in item else item for item in items]


def is_simple(job):
    points = [leg.line.edge(0.0)[:2] for leg in layout(job).runs[0].legs]
    last = layout(job).runs[0].legs[-1].line
    return LineString([*points, last.edge(last.length_mm)[:2]]).is_simple


@settings(max_examples=60)
@given(legs=level_runs(), measures=MEASURES, deck=st.sampled_from(["left", "right"]))
def test_level_bays_keep_the_spacing_and_add_up(job_of, legs, measures, deck):
    assembly = assemble(layout(job_of(legs, deck=deck, **measures)))
    document = results(assembly, run(assembly))
    for leg in document.legs:
        marks = assembly.legs[leg.leg - 1].posts
        ends = [assembly.by_mark[mark].place.origin for mark in (marks[0], marks[-1])]
        assert sum(leg.bays_mm) == pytest.approx(math.dist(*ends), abs=1e-6)
        assert max(leg.bays_mm) <= measures["max_post_spacing"] + 1e-6
        assert len(leg.bays_mm) == len(marks) - 1


def hole_centres(part, drilled):
    """World centres of a hole in the middle of each wall that it goes through."""
    assert isinstance(part.shape, Prism)
    outline = part.shape.section.outer
    assert isinstance(outline, Rectangle)
    for index in drilled.walls:
        hole = part.shape.holes[index]
        axis, sign = hole.face[0], 1.0 if hole.face[1] == "+" else -1.0
        size = outline.width_mm if axis == "x" else outline.depth_mm
        inward = sign * (size / 2 - hole.depth_mm / 2)
        across = (inward, hole.across_mm) if axis == "x" else (hole.across_mm, inward)
        yield part.place.point((*across, hole.along_mm))


def from_line(point, a, b):
    """Distance of a point from the line through two points."""
    travel = scale(sub(b, a), 1.0 / norm(sub(b, a)))
    return math.dist(point, along(a, travel, dot(sub(point, a), travel)))


@settings(max_examples=60)
@given(legs=st.one_of(level_runs(), stair_runs()), measures=MEASURES)
def test_every_cable_passes_the_centre_of_every_hole_on_its_way(job_of, legs, measures):
    assembly = assemble(layout(job_of(legs, **measures)))
    lines = {}
    for part in assembly.of_kind("cable"):
        assert isinstance(part.shape, Route)
        ends = [part.place.point(point) for point in part.shape.points]
        lines[part.leg, detail_of(part, CableDetail).row] = ends
    drilled = [(p, detail_of(p, PostDetail).drilling) for p in assembly.of_kind("post")]
    drilled += [(p, detail_of(p, SpacerDetail).drilling) for p in assembly.of_kind("spacer")]
    found = 0
    for part, holes in drilled:
        for hole in holes:
            centres = list(hole_centres(part, hole))
            assert len(centres) == (2 if part.kind == "post" else 1)
            for centre in centres:
                assert from_line(centre, *lines[hole.leg, hole.row]) < 1e-6
                found += 1
    legs_at = sum(len(leg.posts) * len(leg.cables) for leg in assembly.legs)
    spacers = sum(len(leg.spacers) * len(leg.cables) for leg in assembly.legs)
    assert found == 2 * legs_at + spacers


def measures_of(job):
    """What a saw and a tape make of a job, and nothing of where it stands."""
    assembly = assemble(layout(job))
    rails = [
        (*rail_lengths(part), *cut_angles(part, "start"), *cut_angles(part, "end"))
        for part in assembly.of_kind("rail")
    ]
    cables = [detail_of(p, CableDetail) for p in assembly.of_kind("cable")]
    lengths = [(c.support_length_mm, c.finished_mm, c.cut_length_mm) for c in cables]
    document = results(assembly, run(assembly))
    posts = [
        (p.z_mm, p.height_mm, p.length_mm, *(hole.axis_z_mm for hole in p.holes))
        for p in document.posts
    ]
    return {
        "bays": [bay for leg in document.legs for bay in leg.bays_mm],
        "rails": [value for rail in rails for value in rail],
        "cables": [value for cable in lengths for value in cable],
        "posts": [value for post in posts for value in post],
        "codes": [(f.code, f.severity) for f in document.findings],
    }


@settings(max_examples=40)
@given(
    legs=st.one_of(level_runs(), stair_runs()),
    measures=MEASURES,
    bearing=st.floats(-180, 180),
    x=st.floats(-1e5, 1e5),
)
def test_a_job_turned_in_plan_is_the_same_job(job_of, legs, measures, bearing, x):
    here = measures_of(job_of(legs, **measures))
    joists = {"spacing": "16 in", "width": "1-1/2 in", "depth": "9-1/4 in", "species": "spruce"}
    joists["bearing"] = (90.0 + bearing + 180.0) % 360.0 - 180.0
    turned = {"structure": {"joists": joists, "decking": "1 in"}, **measures}
    there = measures_of(job_of(legs, start={"bearing": bearing, "x": x, "y": -x}, **turned))
    for key, values in here.items():
        assert there[key] == (values if key == "codes" else pytest.approx(values, abs=1e-6)), key


@settings(max_examples=40)
@given(legs=st.one_of(level_runs(), stair_runs()), measures=MEASURES)
def test_a_mirrored_job_is_the_same_but_for_the_hand_of_its_miters(job_of, legs, measures):
    here = measures_of(job_of(legs, deck="left", **measures))
    there = measures_of(job_of(mirrored(legs), deck="right", **measures))
    for key, values in here.items():
        if key == "rails":
            values, there[key] = [abs(v) for v in values], [abs(v) for v in there[key]]
        assert there[key] == (values if key == "codes" else pytest.approx(values, abs=1e-6)), key


@settings(max_examples=40)
@given(
    sixteenths=st.lists(st.integers(400, 5000), min_size=3, max_size=3),
    turn=st.sampled_from([90, -90, 45]),
)
def test_two_spellings_of_one_job_are_one_layout(job_of, sixteenths, turn):
    def spelt(write):
        first, second, spacing = (write(s) for s in sixteenths)
        legs = [{"level": first}, {"turn": turn}, {"level": second}]
        return layout(job_of(legs, max_post_spacing=spacing, edge_inset=write(64)))

    inches = spelt(lambda s: f"{s // 16} {s % 16}/16 in" if s % 16 else f"{s // 16} in")
    feet = spelt(lambda s: f"{s // 192}' {(s % 192) / 16}\"")
    metric = spelt(lambda s: f"{s * 1.5875:.4f} mm")
    assert inches.posts == feet.posts == metric.posts
    assert inches.runs[0].legs == feet.runs[0].legs == metric.runs[0].legs


def footprint(part):
    square = box(-POST / 2, -POST / 2, POST / 2, POST / 2)
    turned = affinity.rotate(square, detail_of(part, PostDetail).bearing_deg, origin=(0, 0))
    return affinity.translate(turned, *part.place.origin[:2])


@settings(max_examples=80)
@given(
    legs=level_runs(shortest=150.0),
    inset=st.floats(20, 200),
    deck=st.sampled_from(["left", "right"]),
)
def test_posts_overlap_only_where_a_leg_is_told_too_short(job_of, legs, inset, deck):
    job = job_of(legs, deck=deck, edge_inset=inset)
    assume(is_simple(job))  # a path that crosses itself is no deck edge
    assembly = assemble(layout(job))
    posts = {part.mark: footprint(part) for part in assembly.of_kind("post")}
    overlapping = [
        (a, b)
        for first, second in pairwise([*assembly.legs, assembly.legs[-1]])
        for a in first.posts
        for b in {*first.posts, *second.posts}
        if a != b and posts[a].intersection(posts[b]).area > 1e-6
    ]
    codes = {finding.code for finding in run(assembly).findings}
    assert not overlapping or "span.short" in codes


@given(legs=level_runs(shortest=150.0), inset=st.floats(20, 200))
@settings(max_examples=30)
def test_equal_jobs_give_equal_parts(job_of, legs, inset):
    assert assemble(layout(job_of(legs, edge_inset=inset))) == assemble(
        layout(job_of(legs, edge_inset=inset))
    )
