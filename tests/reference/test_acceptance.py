"""The other values that the first job line is held to, each with where it comes from."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from generator.checks import run
from generator.checks.setback import largest_setback
from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.measure import cut_angles
from generator.results import results

INCH = 25.4
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}
PITCH_DEG = math.degrees(math.atan(48 / 7 / 11))


@pytest.mark.parametrize("inset, text", [("4-1/2 in", "22 ft"), ("114.3 mm", "6.7056 m")])
def test_leg_of_22_ft_has_five_posts_in_four_bays(job_of, inset, text):
    # common practice, no source: 22 ft less 4-1/2 in at both ends is four bays of 63-3/4 in
    job = job_of([{"level": text}], edge_inset=inset, max_post_spacing="6 ft")
    assembly = assemble(layout(job))
    document = results(assembly, run(assembly))
    assert len(document.posts) == 5
    assert document.legs[0].bays_mm == pytest.approx([63.75 * INCH] * 4, abs=1e-7)


def test_straight_leg_example_is_that_leg(planned):
    example = planned("straight-leg")
    bays = results(example.assembly, example.report).legs[0].bays_mm
    assert bays == pytest.approx([63.75 * INCH] * 4, abs=1e-7)


def test_miter_of_the_level_corner_is_45(lake_deck):
    # reference value by the vector method: turn 90 deg on the level, miter half of it, bevel 0
    before, after = (lake_deck.assembly.by_mark[mark] for mark in ("R2", "R3"))
    assert cut_angles(before, "end") == pytest.approx((45.0, 0.0), abs=1e-9)
    assert cut_angles(after, "start") == pytest.approx((-45.0, 0.0), abs=1e-9)


def face(part, end):
    """World corners of a cut face."""
    cut = part.shape.start if end == "start" else part.shape.end
    corners = part.shape.section.outer.corners
    return sorted(part.place.point((x, y, cut.at(x, y))) for x, y in corners)


def same_face(a, b):
    return all(math.dist(p, q) < 1e-6 for p, q in zip(a, b, strict=True))


def test_cut_faces_of_the_level_corner_coincide(lake_deck):
    before, after = (lake_deck.assembly.by_mark[mark] for mark in ("R2", "R3"))
    assert same_face(face(before, "end"), face(after, "start"))


@pytest.mark.parametrize("deck", ["left", "right"])
@pytest.mark.parametrize("legs", [[{"level": "10 ft"}, {"stair": STAIR}]])
def test_level_to_pitch_in_line_is_half_the_pitch_on_each_side(job_of, legs, deck):
    # reference value by the vector method: pitches 0 and p in line, bevel p/2 on each side
    assembly = assemble(layout(job_of(legs, deck=deck)))
    before, after = assembly.of_kind("rail")
    bevels = [cut_angles(before, "end"), cut_angles(after, "start")]
    half = PITCH_DEG / 2
    assert [miter for miter, _ in bevels] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert sorted(bevel for _, bevel in bevels) == pytest.approx([-half, half], abs=1e-9)
    assert same_face(face(before, "end"), face(after, "start"))


def clash_mm(job, setback_mm):
    """True distance of the lowest stair cable to the nosings with the posts set back so far."""
    assembly = assemble(layout(with_setback(job, setback_mm)))
    (cable,) = (mark for mark in assembly.legs[-1].cables[:1])
    found = [
        measure.measured
        for measure in run(assembly).measures
        if measure.code == "clash.cable-tread" and measure.where[0] == cable
    ]
    return min(found)


def with_setback(job, setback_mm):
    return replace(job, guard=replace(job.guard, stair_setback_mm=setback_mm))


@pytest.mark.parametrize("clear_mm", [0.0, 0.25 * INCH])
@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace"])
def test_largest_setback_by_bisection_is_the_closed_form(planned, name, clear_mm):
    # closed form b = (y - (c + d/2) / cos p) / tan p; the bisection knows only the clash check
    job = planned(name).job
    stair = job.runs[0].legs[-1]
    near, far = 2.0 * INCH, stair.tread_mm / 2
    assert clash_mm(job, near) > clear_mm > clash_mm(job, far)
    for _ in range(45):
        middle = (near + far) / 2
        near, far = (middle, far) if clash_mm(job, middle) > clear_mm else (near, middle)
    diameter = job.system.cable.diameter_mm
    lowest = job.guard.bottom_gap_mm + diameter / 2
    pitch = math.atan(stair.rise_mm / stair.risers / stair.tread_mm)
    assert largest_setback(lowest, clear_mm, diameter, pitch) == pytest.approx(far, abs=1e-6)


@pytest.mark.parametrize("clear_mm", [0.0, 0.25 * INCH])
def test_clash_distance_at_the_largest_setback(lake_deck, clear_mm):
    # 4.79461 in and 4.32203 in by hand; here to 1e-6 mm by the closed form
    pitch = math.radians(PITCH_DEG)
    setback = largest_setback(3.0625 * INCH, clear_mm, 0.125 * INCH, pitch)
    assert clash_mm(lake_deck.job, setback) == pytest.approx(clear_mm, abs=1e-6)
