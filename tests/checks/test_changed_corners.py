"""One part of a corner is moved, turned or resized, and the matching finding appears.

Worked values: by hand, in inches, from the lake deck's own numbers and those of the jobs here.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from changing import changed, moved
from generator.checks import run
from generator.checks.cables import check_cables
from generator.checks.neighbours import segment_distance
from generator.geometry import EndPlane, Frame, lengthwise, upright
from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Rectangle, Section, Turned

INCH = 25.4
FLEXIBLE = {"cable": "ss316-7x7-1_8"}
NO_JOISTS = {"structure": {"decking": "1 in"}}


@pytest.fixture(scope="module")
def deck(lake_deck):
    return lake_deck.assembly


def told(assembly, code) -> list[Any]:
    return [f for f in run(assembly).findings if f.code == code and f.severity != "note"]


def the(assembly, code) -> Any:
    (finding,) = told(assembly, code)
    return finding


CODES = (
    "miter.gap",
    "miter.twist",
    "miter.saw-limit",
    "cable.turns",
    "cable.length",
    "cable.bend",
    "clash.parts",
    "clash.fittings",
    "clash.cable-post",
    "anchor.access",
)


def test_the_lake_deck_as_it_is_has_none_of_these(deck):
    assert {f.code for f in run(deck).findings if f.severity != "note"} & set(CODES) == set()


@pytest.mark.parametrize("x, y, z", [(0, 0, 0.25), (0.25, 0, 0), (0, -0.25, 0)])
def test_a_rail_moved_opens_its_miter(deck, x, y, z):
    finding = the(moved(deck, "R3", x=x, y=y, z=z), "miter.gap")
    assert (finding.severity, finding.where) == ("warn", ("R2", "R3"))
    assert finding.measured / INCH == pytest.approx(0.25)
    assert finding.limit == pytest.approx(1e-6)  # by geometry
    assert finding.edits[0].path == "runs[0].legs[1].corner"


@pytest.mark.parametrize("away, told_of", [(5e-7, False), (2e-6, True)])
def test_a_miter_is_closed_to_a_millionth_of_a_millimetre(deck, away, told_of):
    opened = moved(deck, "R3", z=away / INCH)
    assert bool(told(opened, "miter.gap")) == told_of


def test_a_rail_cut_at_another_angle_opens_its_miter(deck):
    # By hand: cut square in place of 45 deg, the tips of its face stand off by half the width.
    def square(part):
        assert isinstance(part.shape, Prism)
        return replace(part, shape=replace(part.shape, start=EndPlane(0.0)))

    finding = the(changed(deck, ["R3"], square), "miter.gap")
    assert finding.measured / INCH == pytest.approx(1.25)


def twisted_job(job_of):
    legs = [{"level": "10 ft"}, {"turn": -90, "corner": "single"}]
    legs.append({"ramp": {"length": "10 ft", "rise": "-10 in"}})
    return assemble(layout(job_of(legs, **NO_JOISTS)))


def test_a_rail_pitched_more_twists_more(job_of):
    # By hand: level into a pitch round a right angle twists by the pitch.
    assembly = twisted_job(job_of)
    finding = the(assembly, "miter.twist")
    assert (finding.severity, finding.unit) == ("warn", "deg")
    assert finding.measured == pytest.approx(math.degrees(math.atan(1 / 12)))

    def steeper(part):
        return replace(part, place=lengthwise(part.place.origin, -90.0, -30.0))

    second = assembly.legs[1].rails[0]
    assert the(changed(assembly, [second], steeper), "miter.twist").measured == pytest.approx(30.0)


def test_a_rail_laid_level_twists_no_more_but_meets_at_another_height(job_of):
    assembly = twisted_job(job_of)
    second = assembly.by_mark[assembly.legs[1].rails[0]]

    def level(part):
        # Level its end is cut square, and 2 in higher than the first leg's rail.
        assert isinstance(part.shape, Prism)
        x, y, _ = part.place.origin
        first = assembly.by_mark[assembly.legs[0].rails[-1]].place.origin[2]
        place = lengthwise((x, y, first + 2 * INCH), -90.0, 0.0)
        return replace(part, place=place, shape=replace(part.shape, start=EndPlane(0.0)))

    flat = changed(assembly, [second.mark], level)
    assert told(flat, "miter.twist") == []
    assert the(flat, "miter.gap").measured / INCH == pytest.approx(2.0)


@pytest.mark.parametrize("angle, past", [(59.9, False), (60.1, True), (75.0, True)])
def test_a_miter_past_the_saw(deck, angle, past):
    # common practice, no source: a saw turns to 60 deg
    def cut(part):
        assert isinstance(part.shape, Prism)
        end = replace(part.shape.end, slope_x=math.tan(math.radians(angle)))
        return replace(part, shape=replace(part.shape, end=end))

    findings = told(changed(deck, ["R4"], cut), "miter.saw-limit")
    assert len(findings) == past
    for finding in findings:
        assert (finding.where, finding.severity) == (("R4",), "warn")
        assert finding.measured == pytest.approx(angle)
        assert finding.limit == 60.0


@pytest.mark.parametrize("angle, past", [(46.9, False), (47.1, True)])
def test_a_bevel_past_the_saw(deck, angle, past):
    # common practice, no source: its head tilts to 47 deg
    def cut(part):
        assert isinstance(part.shape, Prism)
        end = replace(part.shape.end, slope_y=math.tan(math.radians(angle)))
        return replace(part, shape=replace(part.shape, end=end))

    findings = told(changed(deck, ["R4"], cut), "miter.saw-limit")
    assert [f.limit for f in findings] == [47.0] * past


def test_a_sharp_corner_is_cut_past_the_saw(job_of):
    # By hand: a turn of 130 deg is mitered at 65 deg on either side.
    legs = [{"level": 4000}, {"turn": 130, "corner": "single"}, {"level": 4000}]
    assembly = assemble(layout(job_of(legs, **NO_JOISTS)))
    found = told(assembly, "miter.saw-limit")
    assert {f.where for f in found} == {(leg.rails[0],) for leg in assembly.legs}
    assert [f.measured for f in found] == pytest.approx([65.0] * 2)


def carried(job_of, *turns, legs=3000, system=None):
    items = [{"level": legs}]
    for turn in turns:
        items += [{"turn": turn, "corner": "pair-through"}, {"level": legs}]
    measures = {"system": system or FLEXIBLE, "pair_offset": 150, **NO_JOISTS}
    return assemble(layout(job_of(items, max_cable_span=900, **measures)))


@pytest.mark.parametrize(
    "turns, total", [((90,), None), ((45, 45), None), ((90, 45), 135), ((45, -50), 95)]
)
def test_a_cable_turns_by_one_right_angle_in_all(job_of, turns, total):
    # common practice, no source: 90 deg, then it ends. Turns to either hand add up.
    found = told(carried(job_of, *turns, legs=2000), "cable.turns")
    assert [f.measured for f in found] == ([] if total is None else [pytest.approx(total)])
    assert all((f.limit, f.unit, f.severity) == (90.0, "deg", "warn") for f in found)


def test_friction_leaves_less_of_the_tension(job_of):
    # By hand: e^(-0.2 x 135 deg) is 62 percent; 0.2 common practice, no source.
    finding = the(carried(job_of, 90, 45, legs=2000), "cable.turns")
    assert "62%" in finding.message


def lengthened(assembly, mark, mm):
    def longer(part):
        detail = replace(detail_of(part, CableDetail), support_length_mm=mm)
        return replace(part, detail=detail)

    return changed(assembly, [mark], longer)


@pytest.mark.parametrize("feet, told_of", [(59.99, False), (60.01, True)])
def test_a_straight_cable_longer_than_60_ft(deck, feet, told_of):
    # common practice, no source
    findings = told(lengthened(deck, "C11", feet * 12 * INCH), "cable.length")
    assert [f.where for f in findings] == [("C11",)] * told_of
    assert [f.limit for f in findings] == [pytest.approx(720 * INCH)] * told_of


@pytest.mark.parametrize("feet, told_of", [(29.99, False), (30.01, True)])
def test_a_turned_cable_longer_than_30_ft(job_of, feet, told_of):
    # common practice, no source
    findings = told(lengthened(carried(job_of, 90), "C1", feet * 12 * INCH), "cable.length")
    assert [f.measured for f in findings] == [pytest.approx(feet * 12 * INCH)] * told_of


def test_strand_that_is_not_bent_is_told_once_a_group(job_of):
    assembly = carried(job_of, 90, system={"cable": "ss316-1x19-1_8"})
    finding = the(assembly, "cable.bend")
    assert (finding.measured, finding.severity) == (0.0, "warn")
    assert finding.limit / INCH == pytest.approx(1.25)  # ten diameters, common practice, no source
    assert told(carried(job_of, 90), "cable.bend") == []


def test_a_straight_cable_of_stiff_strand_is_not_told(deck):
    assert {o.code for o in check_cables(deck)} == {"cable.length"}


def test_a_post_moved_into_its_neighbour(deck):
    # By hand: the level post of the pair stands 5-1/4 in before the stair's; plates of 5 in.
    near = moved(deck, ("P8", "BP8"), y=1.0)
    (finding,) = [f for f in told(near, "clash.parts") if f.where == ("BP8", "BP9")]
    assert finding.severity == "fail"
    assert finding.measured / INCH == pytest.approx(-0.75)
    far = {f.where for f in told(moved(deck, ("P8", "BP8"), y=3.0), "clash.parts")}
    assert {("P8", "P9"), ("BP8", "BP9")} <= far


def test_a_larger_base_plate_overlaps_its_neighbour(deck):
    def larger(part):
        assert isinstance(part.shape, Prism)
        section = Section(Rectangle(6 * INCH, 6 * INCH))
        return replace(part, shape=replace(part.shape, section=section))

    finding = the(changed(deck, ["BP8"], larger), "clash.parts")
    assert finding.where == ("BP8", "BP9")
    assert finding.measured / INCH == pytest.approx(5.25 - 5.5)


def test_a_base_plate_turned_overlaps_its_neighbour(deck):
    # By hand: 45 deg turned its half diagonal is 3.5355 in; 5.25 - 2.5 - 3.5355
    def turn(part):
        return replace(part, place=upright(part.place.origin, 45.0))

    finding = the(changed(deck, ["BP8"], turn), "clash.parts")
    assert finding.measured / INCH == pytest.approx(5.25 - 2.5 - 2.5 * math.sqrt(2))


def test_a_post_over_another_is_no_clash(deck):
    high = moved(deck, ("P8", "BP8"), y=3.0, z=120.0)
    assert told(high, "clash.parts") == []


@pytest.mark.parametrize(
    "down, severity", [(0.0, None), (0.02, "warn"), (0.06, "warn"), (0.07, "fail")]
)
def test_a_stud_moved_toward_one_of_the_other_leg(deck, down, severity):
    # By hand: leg 2's studs are 5/16 in below leg 1's: 1/16 in clear of it, which is the least.
    near = moved(deck, "F12S", z=down)
    findings = [f for f in told(near, "clash.fittings") if set(f.where) == {"F1E", "F12S"}]
    assert [f.severity for f in findings] == ([severity] if severity else [])
    for finding in findings:
        assert finding.measured / INCH == pytest.approx(0.0625 - down)


def test_a_thicker_stud_comes_too_near(deck):
    def thicker(part):
        assert isinstance(part.shape, Turned)
        stud, *rest = part.shape.steps
        thick = replace(stud, outer_mm=stud.outer_mm + 0.1 * INCH)
        return replace(part, shape=Turned((thick, *rest)))

    found = told(changed(deck, ["F12S"], thicker), "clash.fittings")
    (finding,) = [f for f in found if set(f.where) == {"F1E", "F12S"}]
    assert finding.measured / INCH == pytest.approx(0.0625 - 0.05)


def test_a_fitting_that_does_not_pass_the_holes(job_of):
    # Both ends swaged in the shop: the stud of 1/4 in would have to pass holes of 0.139 + 1/32 in.
    words = {"swage": {"dead": "shop", "pulled": "shop"}, **NO_JOISTS}
    assembly = assemble(layout(job_of([{"level": 4000}], **words)))
    found = told(assembly, "clash.fittings")
    assert {len(f.where) for f in found} == {2}
    for finding in found:
        assert finding.measured / INCH == pytest.approx(0.139 + 1 / 32 - 0.25)
        assert [(e.path, e.value) for e in finding.edits] == [("guard.swage.pulled", "field")]


def test_a_post_shortened_lets_a_hole_run_out(deck):
    # By hand: the topmost hole of P2, 33.0625 in over the deck; its tube is cut 1/8 in over that.
    post = deck.by_mark["P2"]
    top = detail_of(post, PostDetail).drilling[-1]
    assert top.axis_z_mm / INCH == pytest.approx(33.0625)

    def shorter(part):
        assert isinstance(part.shape, Prism)
        height = part.shape.holes[top.walls[0]].along_mm + 0.05 * INCH
        return replace(part, shape=replace(part.shape, end=EndPlane(height)))

    finding = the(changed(deck, ["P2"], shorter), "clash.cable-post")
    assert (finding.severity, finding.where) == ("fail", ("P2",))
    assert finding.measured / INCH == pytest.approx(0.05 - (0.139 + 1 / 32) / 2)


def test_a_post_turned_takes_its_holes_off_their_cables(deck):
    # By hand: turned by 10 deg, the middle of a wall, 1.15625 in out, goes aside by its sine.
    def turn(part):
        return replace(part, place=upright(part.place.origin, 10.0))

    found = told(changed(deck, ["P3"], turn), "clash.cable-post")
    assert {f.where[1] for f in found} == {"P3"}
    off = 1.15625 * math.sin(math.radians(10))
    assert [-f.measured / INCH for f in found] == pytest.approx([off] * 11)


def test_a_cable_moved_aside_misses_its_holes(deck):
    found = [
        f
        for f in told(moved(deck, "C5", y=0.5), "clash.cable-post")
        if f.where[1].startswith("P")  # it misses those of the spacers too
    ]
    assert [f.where for f in found] == [("C5", "P2"), ("C5", "P3"), ("C5", "P4")]
    assert [f.measured / INCH for f in found] == pytest.approx([-0.5] * 3)


@pytest.mark.parametrize("nearer, told_of", [(0.2, False), (0.25, True)])
def test_a_wall_moved_toward_the_nuts(deck, nearer, told_of):
    # By hand: 2 in off the wall, less washer 1/16 and nut 7/32 in: 1.71875 in; a wrench wants
    # 1-1/2 in (common practice, no source).
    findings = told(moved(deck, "WL1", x=nearer), "anchor.access")
    assert len(findings) == told_of
    for finding in findings:
        assert finding.measured / INCH == pytest.approx(1.71875 - nearer)
        assert finding.limit / INCH == pytest.approx(1.5)
        # By hand: 1/32 in more is wanted, so 2-1/16 in to the next sixteenth.
        assert [(e.path, e.value) for e in finding.edits] == [("guard.wall_gap", '2 1/16"')]


def test_a_wall_that_no_stud_points_at_is_not_told(deck):
    # Turned by 90 deg and put beside the leg, no nut turns against it.
    def beside(part):
        frame = part.place
        x, y, z = frame.origin
        return replace(part, place=Frame((x, y - 3 * INCH, z), frame.y, frame.x, frame.z))

    assert told(changed(deck, ["WL1"], beside), "anchor.access") == []


def test_distance_of_two_segments_by_a_numeric_one():
    # The closed form against 200 x 200 points of both.
    pairs = [
        (((0, 0, 0), (10, 0, 0)), ((5, -5, 3), (5, 5, 3))),
        (((0, 0, 0), (10, 0, 0)), ((12, 1, 0), (20, 8, 4))),
        (((0, 0, 0), (10, 1, 2)), ((1, 2, 0), (11, 3, 2))),
        (((0, 0, 0), (3, 4, 5)), ((-4, 2, 7), (6, -3, 1))),
    ]
    for (a, b), (c, d) in pairs:
        steps = [k / 200 for k in range(201)]
        ours = [tuple(p + (q - p) * t for p, q in zip(a, b, strict=True)) for t in steps]
        theirs = [tuple(p + (q - p) * t for p, q in zip(c, d, strict=True)) for t in steps]
        least = min(math.dist(p, q) for p in ours for q in theirs)
        assert segment_distance(a, b, c, d) == pytest.approx(least, abs=0.01)
