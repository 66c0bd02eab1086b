"""One part of the lake deck is moved, turned or resized, and the matching finding appears.

Worked values: by hand in inches, from the lake deck's own numbers.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from changing import changed, moved
from generator.checks import run
from generator.geometry import EndPlane, lengthwise, upright
from generator.parts.shapes import Prism, Rectangle, Route, Section

INCH = 25.4
TAN = 48 / 7 / 11
COS = 1 / math.hypot(1.0, TAN)


@pytest.fixture(scope="module")
def assembly(lake_deck):
    return lake_deck.assembly


def reshaped(assembly, mark, change):
    return changed(assembly, mark, lambda part: replace(part, shape=change(part.shape)))


def troubles(assembly):
    """Failures and warnings by code."""
    found = {}
    for finding in run(assembly).findings:
        if finding.severity != "note":
            found.setdefault(finding.code, []).append(finding)
    return found


def the(assembly, code):
    """The one finding of that code."""
    (finding,) = troubles(assembly)[code]
    return finding


def off_its_holes(assembly, mark):
    """Inches by which a cable misses its holes, by post; spacers are told apart."""
    found = (f for f in troubles(assembly)["clash.cable-post"] if f.where[0] == mark)
    found = (f for f in found if f.where[1].startswith("P"))
    return {f.where[1]: -f.measured / INCH for f in found}


def test_the_lake_deck_as_it_is_has_no_trouble(assembly):
    assert troubles(assembly) == {}


def test_a_rail_set_lower_on_the_level(assembly):
    low = moved(assembly, "R3", z=-1.0)
    # It meets leg 1 in a miter, which now stands an inch open, and its own brackets and posts.
    assert set(troubles(low)) == {"height.level", "miter.gap", "clash.parts"}
    assert the(low, "miter.gap").measured / INCH == pytest.approx(1.0)
    finding = the(low, "height.level")
    assert (finding.severity, finding.unit) == ("fail", "mm")
    assert finding.measured / INCH == pytest.approx(35.0)
    assert finding.limit / INCH == pytest.approx(36.0)  # IRC 2021 R312.1.2
    assert finding.where[0] in assembly.legs[1].posts


def test_a_deck_raised_under_the_rail(assembly):
    def thicker(shape):
        return replace(shape, end=EndPlane(shape.end.z_mm + INCH))

    findings = troubles(reshaped(assembly, "D2", thicker))["height.level"]
    assert {finding.where[0] for finding in findings} & set(assembly.legs[1].posts)
    assert [f.measured / INCH for f in findings] == pytest.approx([35.0] * len(findings))


def test_a_rail_set_lower_on_the_stair(assembly):
    low = moved(assembly, "R4", z=-2.5)
    finding = the(low, "height.stair")
    assert finding.severity == "fail"
    assert finding.measured / INCH == pytest.approx(33.5)
    assert finding.limit / INCH == pytest.approx(34.0)  # IRC 2021 R312.1.2 exception 1


def test_a_rail_tipped_out_of_its_pitch(assembly):
    # Level instead of pitched it stays at the height of its upper end, and the cables fall away.
    def level(part):
        return replace(part, place=lengthwise(part.place.origin, 0.0, 0.0))

    tipped = troubles(changed(assembly, "R4", level))
    assert set(tipped) == {"opening.stair"}
    assert tipped["opening.stair"][0].where == ("C33", "R4")


def test_a_cable_moved_up_opens_the_gap_below_it(assembly):
    up = moved(assembly, "C5", z=2.0)
    assert set(troubles(up)) == {"opening.level", "clash.cable-post"}
    assert off_its_holes(up, "C5") == pytest.approx({"P2": 2.0, "P3": 2.0, "P4": 2.0})
    finding = the(up, "opening.level")
    assert finding.where == ("C4", "C5")
    assert finding.severity == "fail"
    assert finding.measured / INCH == pytest.approx(4.875)
    assert finding.limit / INCH == pytest.approx(4.0)  # IRC 2021 R312.1.3


def test_a_rail_raised_opens_the_gap_over_the_top_cable(assembly):
    high = moved(assembly, "R1", z=3.0)
    finding = the(high, "opening.level")
    assert finding.where == ("C11", "R1")
    assert finding.measured / INCH == pytest.approx(1.375 + 3.0)


def test_a_thinner_cable_opens_both_its_gaps(assembly):
    # 3 in apart: with cables of 1/8 in and nothing the gap is 2-15/16 in; moved up 1-1/8 in as well
    # it is 4-1/16 in.
    def thin(shape):
        assert isinstance(shape, Route)
        return replace(shape, diameter_mm=1e-9)

    finding = the(reshaped(moved(assembly, "C5", z=1.125), "C5", thin), "opening.level")
    assert finding.measured / INCH == pytest.approx(4.0625)


def test_a_stair_cable_moved_up_opens_the_gap_square_to_it(assembly):
    up = moved(assembly, "C28", z=2.5)
    assert set(troubles(up)) == {"opening.stair", "clash.cable-post"}
    assert off_its_holes(up, "C28") == pytest.approx({"P10": 2.5 * COS})
    finding = the(up, "opening.stair")
    assert finding.where == ("C27", "C28")
    assert finding.measured / INCH == pytest.approx(5.5 * COS - 0.125)
    assert finding.limit / INCH == pytest.approx(4.375)  # IRC 2021 R312.1.3 exception 2


def test_the_lowest_cable_moved_up_opens_the_bottom(assembly):
    up = moved(assembly, "C1", z=1.5)
    assert set(troubles(up)) == {"opening.bottom", "clash.cable-post"}
    assert off_its_holes(up, "C1") == pytest.approx({"P2": 1.5, "P3": 1.5, "P4": 1.5})
    finding = the(up, "opening.bottom")
    assert finding.where[1] == "C1"
    assert finding.measured / INCH == pytest.approx(4.5)
    assert finding.limit / INCH == pytest.approx(4.0)  # IRC 2021 R312.1.3


def test_the_lowest_stair_cable_moved_up_opens_the_triangle_and_the_floor(assembly):
    up = moved(assembly, "C23", z=0.6)
    # The posts now stand too near to their nosings for a cable so high, which is what opens the
    # triangle: that finding is a note that names the setback.
    assert set(troubles(up)) == {"setback.stair", "opening.bottom", "clash.cable-post"}
    assert off_its_holes(up, "C23") == pytest.approx({"P10": 0.6 * COS})
    # 3.68588 less half the cable, and 0.6 more
    assert the(up, "opening.bottom").measured / INCH == pytest.approx(4.22338, abs=1e-5)
    # Lifted by e square to the nosing line the sphere grows by (R + G - H) e / h.
    riser, tread = 48 / 7, 11.0
    slope = math.hypot(riser, tread)
    grown = (riser + tread - slope) * 0.6 * COS / (riser * tread / slope)
    (triangle,) = [f for f in run(up).findings if f.code == "opening.triangle"]
    assert (triangle.severity, triangle.cause) == ("note", "setback.stair")
    assert triangle.measured is not None
    assert triangle.limit is not None
    assert triangle.measured / INCH == pytest.approx(5.69346 + grown, abs=1e-5)
    assert triangle.limit / INCH == pytest.approx(6.0)  # IRC 2021 R312.1.3 exception 1


def test_a_post_moved_toward_the_nosing_of_its_tread(assembly):
    near = moved(assembly, "P10", x=1.0)
    # Its holes go with it, off the cables by an inch times the sine of the pitch.
    # Its plate and bolts stay behind, and the post stands on the heads of two of them.
    assert set(troubles(near)) == {"setback.stair", "clash.cable-post", "clash.parts"}
    assert off_its_holes(near, "C23") == pytest.approx({"P10": TAN * COS})
    finding = the(near, "setback.stair")
    assert finding.where == ("P10", "T3")
    assert finding.severity == "fail"
    assert finding.measured / INCH == pytest.approx(2.0)
    # Half of the plate of 5 in and 1/4 in to the nosing
    assert finding.limit / INCH == pytest.approx(2.75)


def test_a_post_moved_back_until_its_plate_leaves_the_tread(assembly):
    far = moved(assembly, "P10", x=-6.0)
    finding = the(far, "setback.stair")
    assert finding.measured / INCH == pytest.approx(9.0)
    assert finding.limit / INCH == pytest.approx(11 - 2.5)


def test_a_larger_base_plate_needs_more_setback(assembly):
    def larger(shape):
        assert isinstance(shape, Prism)
        return replace(shape, section=Section(Rectangle(6 * INCH, 6 * INCH)))

    wide = reshaped(assembly, "BP10", larger)
    assert the(wide, "setback.stair").limit / INCH == pytest.approx(3.25)


def test_a_base_plate_turned_on_its_tread_needs_more_setback(assembly):
    def turn(part):
        return replace(part, place=upright(part.place.origin, 45.0))

    turned = changed(assembly, "BP10", turn)
    # Over the corners it is 5 sqrt(2) in
    assert the(turned, "setback.stair").limit / INCH == pytest.approx(2.5 * math.sqrt(2) + 0.25)


def test_the_lowest_cable_set_lower_leaves_less_setback(assembly):
    # By hand: (2.0625 - (1/4 + 1/16) / cos p) / tan p, 1 in less of the axis over the tread
    low = moved(assembly, "C23", z=-1.0)
    report = run(low)
    findings = [f for f in report.findings if f.code == "setback.stair"]
    assert {finding.where[0] for finding in findings} == {"P10", "P11"}
    most = (2.0625 - 0.3125 / COS) / TAN * INCH
    assert [f.limit for f in findings] == pytest.approx([most, most], abs=1e-6)


@pytest.mark.parametrize(
    "x, bay, where", [(4.0, 72.6875, ("P2", "P3")), (-4, 72.6875, ("P3", "P4"))]
)
def test_a_post_moved_along_its_leg_widens_a_bay(assembly, x, bay, where):
    wide = moved(assembly, "P3", x=x)
    assert set(troubles(wide)) == {"span.posts"}
    finding = the(wide, "span.posts")
    assert (finding.severity, finding.where) == ("fail", where)
    assert finding.measured / INCH == pytest.approx(bay)
    assert finding.limit / INCH == pytest.approx(72.0)


def test_posts_moved_together_are_too_close_for_their_plates(assembly):
    close = moved(assembly, "P2", x=-(68.6875 - 5.0))
    finding = the(close, "span.short")
    assert (finding.severity, finding.where) == ("fail", ("P1", "P2"))
    assert finding.measured / INCH == pytest.approx(5.0)
    assert finding.limit / INCH == pytest.approx(5.25)


@pytest.mark.parametrize(
    "up, severity, distance",
    [
        (0.5, None, 0.949365 - 0.5 * COS),
        (1.0, "warn", 0.949365 - 1.0 * COS),
        (1.5, "fail", 0.949365 - 1.5 * COS),
    ],
)
def test_a_tread_raised_toward_the_lowest_cable(assembly, up, severity, distance):
    # By hand: 1.19237 cos p less 1/16 in is 0.94937 in; 1/4 in is common practice, no source
    raised = moved(assembly, "T2", z=up)
    clashes = troubles(raised).get("clash.cable-tread", [])
    if severity is None:
        assert clashes == []
        return
    (finding,) = clashes
    assert (finding.severity, finding.where) == (severity, ("C23", "T2"))
    assert finding.measured / INCH == pytest.approx(distance, abs=1e-5)
    assert finding.limit / INCH == pytest.approx(0.25)
    assert finding.cause == ""
    # Where to look: the nosing of the second tread, 22 in out from the deck's edge
    assert finding.point is not None
    assert finding.point[0] / INCH == pytest.approx(282 + 22)


def test_a_spacer_moved_leaves_a_longer_span(assembly):
    # Half a bay of 68.6875 in and 10 in more is over the customary 42 in
    away = moved(assembly, "S1", x=10.0)
    finding = the(away, "opening.loaded")
    assert finding.severity == "warn"
    assert finding.where[2:] == ("P1", "S1")


def test_a_cable_moved_does_not_trouble_other_legs(assembly):
    report = run(moved(assembly, "C5", z=2.0))
    codes = {m.code for m in report.measures if not m.passed}
    # The stair has no handrail and P4 stands half on a joist, moved cable or not.
    there = {"handrail.required", "anchor.blocking", "anchor.edge"}
    assert codes == {"opening.level", "clash.cable-post"} | there
    failures = [f.where for f in report.findings if f.severity == "fail"]
    # Of the spacers it is told once.
    assert failures == [("C5", "P2"), ("C5", "P3"), ("C5", "P4"), ("C5", "S1"), ("C4", "C5")]
