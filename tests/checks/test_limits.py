"""Findings go on and off within 1e-6 mm of their limit, and a finding says what lies behind it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from generator.checks import run

INCH = 25.4
RISER, TREAD = 48 / 7, 11.0
SLOPE = math.hypot(RISER, TREAD)
COS = TREAD / SLOPE
# The lowest stair cable's underside over the nosing line, square to it: 0.94937 in by hand.
CLEAR = (3.0625 - 3 * RISER / TREAD) * COS - 0.0625
# Its sphere through the triangle, 5.69346 in by hand, and what that grows by a plumb inch.
FLAT, HEIGHT = RISER + TREAD - SLOPE, RISER * TREAD / SLOPE
SPHERE = FLAT * (1 + CLEAR / HEIGHT)
GROWTH = FLAT * COS / HEIGHT


def moved(assembly, mark, axis, mm):
    """The assembly with one part moved along x (0), y (1) or z (2)."""

    def shift(part):
        origin = list(part.place.origin)
        origin[axis] += mm
        return replace(part, place=replace(part.place, origin=tuple(origin)))

    parts = (shift(part) if part.mark == mark else part for part in assembly.parts)
    return replace(assembly, parts=tuple(parts))


def severities(assembly, code):
    return {f.severity for f in run(assembly).findings if f.code == code}


# (code, part, axis, move in inches that brings it to its limit, sense past it, what it is past it)
CASES = [
    ("height.level", "R1", 2, 0.0, -1, "fail"),
    ("height.stair", "R4", 2, -2.0, -1, "fail"),
    ("opening.level", "C5", 2, 4.0 - 2.875, 1, "fail"),
    ("opening.stair", "C28", 2, (4.375 + 0.125) / COS - 3.0, 1, "fail"),
    ("opening.bottom", "C1", 2, 1.0, 1, "fail"),
    # A note: the setback of the posts, from which the cable is set, is the finding behind it.
    ("opening.triangle", "C23", 2, (6.0 - SPHERE) / GROWTH, 1, "note"),
    ("setback.stair", "P10", 0, 0.25, 1, "fail"),
    ("span.posts", "P3", 0, 72.0 - 68.6875, 1, "fail"),
    ("span.short", "P2", 0, 5.25 - 68.6875, -1, "fail"),
    ("clash.cable-tread", "T2", 2, (CLEAR - 0.25) / COS, 1, "warn"),
]


@pytest.mark.parametrize("code, mark, axis, move, sense, severity", CASES)
def test_a_finding_goes_on_within_a_millionth_of_its_limit(
    lake_deck, code, mark, axis, move, sense, severity
):
    assembly = lake_deck.assembly
    just_kept = moved(assembly, mark, axis, move * INCH - sense * 2e-6)
    just_past = moved(assembly, mark, axis, move * INCH + sense * 2e-6)
    assert not {"fail", "warn"} & severities(just_kept, code)
    assert severity in severities(just_past, code)


def test_a_clash_warns_down_to_contact_and_fails_beyond_it(lake_deck):
    assembly = lake_deck.assembly
    code = "clash.cable-tread"
    contact = CLEAR / COS * INCH
    assert severities(moved(assembly, "T2", 2, contact - 2e-6), code) == {"warn"}
    assert severities(moved(assembly, "T2", 2, contact + 2e-6), code) == {"fail"}


def test_a_value_at_its_limit_keeps_at_least_and_at_most_but_not_less_than(lake_deck):
    assembly = lake_deck.assembly
    at_least = moved(assembly, "P10", 0, 0.25 * INCH)
    at_most = moved(assembly, "P3", 0, (72.0 - 68.6875) * INCH)
    less_than = moved(assembly, "C1", 2, 1.0 * INCH)
    assert severities(at_least, "setback.stair") == set()
    assert severities(at_most, "span.posts") == set()
    # A sphere of 4 in passes a gap of 4 in.
    assert severities(less_than, "opening.bottom") == {"fail"}


def test_clash_behind_a_large_setback_is_a_note_that_names_it(planned):
    findings = planned("faulty/setback.stair").report.findings
    clashes = [f for f in findings if f.code == "clash.cable-tread"]
    assert clashes
    for clash in clashes:
        assert (clash.severity, clash.cause) == ("note", "setback.stair")
        assert clash.measured < 0.0  # it keeps its measurement
        assert clash.limit / INCH == pytest.approx(0.25)
        assert clash.edits == ()
    setbacks = [f for f in findings if f.code == "setback.stair"]
    assert {(f.severity, f.cause) for f in setbacks} == {("fail", "")}


def test_clash_with_setbacks_in_order_stays_what_it_is(lake_deck):
    raised = moved(lake_deck.assembly, "T2", 2, 1.5 * INCH)
    (clash,) = [f for f in run(raised).findings if f.code == "clash.cable-tread"]
    assert (clash.severity, clash.cause) == ("fail", "")


def test_a_setback_too_small_does_not_explain_a_clash(lake_deck):
    raised = moved(lake_deck.assembly, "T2", 2, 1.5 * INCH)
    both = moved(raised, "P10", 0, 1.0 * INCH)
    found = {f.code: f for f in run(both).findings if f.severity == "fail"}
    assert set(found) >= {"setback.stair", "clash.cable-tread"}
    assert found["clash.cable-tread"].cause == ""
