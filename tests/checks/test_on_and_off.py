"""A part moved by the distance that its finding states turns the finding on and off, to 1e-6 mm.

Worked by hand: convex bodies that are moved apart along the way of their nearest points, or of the
least shift that parts them, get further apart by just as much.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.checks import run
from generator.checks.clashes import clashes
from generator.checks.clearing import clearing
from generator.geometry import EndPlane, add, scale, upright
from generator.layout import layout
from generator.parts.assembly import Part
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Rectangle, Section

INCH = 25.4
TINY = 1e-6
# Above the tolerance of the checks, 1e-6 mm, within which a limit is kept.
STEP = 2.5e-6
STAIR = [{"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}]


@pytest.fixture(scope="module")
def assembly(lake_deck):
    return lake_deck.assembly


def box(middle, size, bearing):
    width, depth, height = size
    shape = Prism(Section(Rectangle(width, depth)), EndPlane(-height / 2), EndPlane(height / 2))
    return Part("OB1", "obstacle", "downpipe", "", 0, shape, upright(middle, bearing), "OB1")


def shifted(part, way, by):
    origin = add(part.place.origin, scale(way, by))
    return replace(part, place=replace(part.place, origin=origin))


def the_clash(assembly, first, second):
    """The clash of two parts, alone, that is past its limit."""
    found = [c for c in clashes(replace(assembly, parts=(first, second))) if c.excess > TINY]
    assert len(found) <= 1
    return found[0] if found else None


# A bolt with its head and a stud with its sleeve are several bodies each: what clears the nearest
# one may meet another, and the move that is told clears them all.
KINDS = (
    "post", "base-plate", "rail", "cable", "nut", "spacer", "bracket", "anchor",
    "fitting", "sleeve",
)  # fmt: skip


@given(
    kind=st.sampled_from(KINDS),
    size=st.tuples(*[st.floats(5.0, 120.0)] * 3),
    offset=st.tuples(*[st.floats(-60.0, 60.0)] * 3),
    bearing=st.floats(0.0, 90.0),
    pick=st.integers(0, 5),
)
@settings(max_examples=150)
def test_an_obstacle_moved_by_the_distance_that_is_told(
    assembly, kind, size, offset, bearing, pick
):
    parts = list(assembly.of_kind(kind))
    part = parts[pick % len(parts)]
    obstacle = box(add(part.place.origin, offset), size, bearing)
    clash = the_clash(assembly, part, obstacle)
    if clash is None:
        return
    assert (clash.first, clash.second) == (part, obstacle)
    # The way is from the obstacle to the part: the obstacle goes the other way.
    out, move = scale(clash.way, -1.0), clearing(clash).move
    assert the_clash(assembly, part, shifted(obstacle, out, move + STEP)) is None
    near = the_clash(assembly, part, shifted(obstacle, out, move - STEP))
    assert near is not None
    assert near.distance == pytest.approx(near.bound.value, abs=2 * STEP)


@given(
    st.sampled_from(KINDS), st.integers(0, 5),
    st.floats(-40.0, 40.0), st.floats(-40.0, 40.0), st.floats(-40.0, 40.0),
)  # fmt: skip
@settings(max_examples=80)
def test_a_part_moved_by_the_distance_that_is_told(assembly, kind, pick, x, y, z):
    parts = list(assembly.of_kind(kind))
    part = shifted(parts[pick % len(parts)], (x, y, z), 1.0)
    middle = add(parts[pick % len(parts)].place.origin, (0.0, 0.0, 10.0))
    clash = the_clash(assembly, part, box(middle, (40.0, 25.0, 30.0), 30.0))
    if clash is None:
        return
    obstacle, move = clash.second, clearing(clash).move
    assert the_clash(assembly, shifted(part, clash.way, move + STEP), obstacle) is None
    assert the_clash(assembly, shifted(part, clash.way, move - STEP), obstacle) is not None


def with_moved(assembly, mark, way, by):
    parts = (shifted(p, way, by) if p.mark == mark else p for p in assembly.parts)
    return replace(assembly, parts=tuple(parts))


def told(assembly, code, mark):
    return [f for f in run(assembly).findings if f.code == code and mark in f.where]


EAST, WEST = (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)


def test_a_post_moved_to_its_wall(assembly):
    # By hand: the face of P1 stands 2 in off the wall, the clearance is 1/8 in.
    room = (2 - 1 / 8) * INCH
    assert told(with_moved(assembly, "P1", WEST, room - STEP), "clash.post-wall", "P1") == []
    (finding,) = told(with_moved(assembly, "P1", WEST, room + STEP), "clash.post-wall", "P1")
    assert (finding.severity, finding.where) == ("warn", ("P1", "WL1"))
    into = with_moved(assembly, "P1", WEST, 2.5 * INCH)
    (finding,) = told(into, "clash.post-wall", "P1")
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(-0.5)
    back = with_moved(into, "P1", EAST, -finding.measured + INCH / 8 + STEP)
    assert told(back, "clash.post-wall", "P1") == []
    assert told(with_moved(back, "P1", WEST, 2 * STEP), "clash.post-wall", "P1")


def test_a_base_plate_moved_to_the_next_one(assembly):
    # By hand: plates of 5 in, posts 68.6875 in apart.
    room = (68.6875 - 5.0) * INCH
    assert told(with_moved(assembly, "BP2", WEST, room - STEP), "clash.parts", "BP2") == []
    (finding,) = told(with_moved(assembly, "BP2", WEST, room + 3.0), "clash.parts", "BP2")
    assert finding.measured == pytest.approx(-3.0, abs=1e-6)
    assert told(with_moved(assembly, "BP2", WEST, room + STEP), "clash.parts", "BP2")


def setback_findings(job_of, setback):
    job = job_of(STAIR, stair_setback=setback)
    findings = run(assemble(layout(job))).findings
    return {f.code for f in findings if f.severity in ("fail", "warn")}


def test_setbacks_turn_over_at_both_ends_in_closed_form_and_by_clash(job_of):
    report = run(assemble(layout(job_of(STAIR))))
    limits = {m.sense: m.limit for m in report.measures if m.code == "setback.stair"}
    least, most = limits["at least"], limits["at most"]
    assert least is not None
    assert most is not None
    # Worked by hand in geometry.md: 4.32203 in leave 1/4 in to the nosings.
    assert most / INCH == pytest.approx(4.32203, abs=1e-5)
    # By hand: 19 mm of board, bolts 2 in before the post, 3/16 in their radius.
    assert least == pytest.approx(19.0 + 2.1875 * INCH)
    assert "setback.stair" not in setback_findings(job_of, most - STEP)
    assert "setback.stair" in setback_findings(job_of, most + STEP)
    assert "setback.stair" not in setback_findings(job_of, least + STEP)
    assert "setback.stair" in setback_findings(job_of, least - STEP)
    # By clash: at that setback the cables keep their 1/4 in, and no more.
    slope = math.atan2(48 / 7, 11.0)
    for aside in (0.0, 0.5, -0.5):
        measures = run(assemble(layout(job_of(STAIR, stair_setback=most + aside)))).measures
        (clear,) = {m.measured for m in measures if m.code == "clash.cable-tread"}
        assert clear == pytest.approx(INCH / 4 - aside * math.sin(slope), abs=1e-6)


def test_setback_of_a_measured_stair_is_the_one_by_clash(planned, read_values, spec_values):
    # Unequal treads: the nosing that stands out furthest decides, not the post's own tread.
    report = planned("measured-stair").report
    most = min(
        m.limit
        for m in report.measures
        if m.code == "setback.stair" and m.sense == "at most" and m.limit is not None
    )
    for aside, past in ((-STEP, False), (STEP, True)):
        values = spec_values("measured-stair")
        values["guard"]["stair_setback"] = f"{most + aside:.9f} mm"
        findings = run(assemble(layout(read_values(values)))).findings
        assert ("setback.stair" in {f.code for f in findings if f.severity == "fail"}) is past
        near = [f for f in findings if f.code == "clash.cable-tread"]
        assert bool(near) is past
