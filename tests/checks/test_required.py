"""Where a guard is required: falls worked by hand, at their limits, and against dense sampling."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.checks import run
from generator.checks.required import falls_of, required_spans
from generator.checks.view import leg_views
from generator.geometry import EndPlane
from generator.layout import layout
from generator.parts.build import assemble

INCH = 25.4
STAIR = {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}


@pytest.fixture(scope="module")
def built(spec_values, read_values):
    """The assembly of a job of these legs, its deck 48 in over z = 0, by a rule set."""

    def build(legs, rules="irc-2021", amendments=None, **guard):
        values = spec_values("lake-deck")
        values["job"] |= {"rules": rules, "units": "in"}
        values["guard"] = {"max_cable_span": "36 in", **guard}
        start = {"x": 0, "y": 0, "z": "48 in", "bearing": 0, "end": "free"}
        values["runs"] = [{"id": "A", "start": start, "deck": "left", "legs": legs, "end": "free"}]
        if amendments:
            values["amendments"] = amendments
        return assemble(layout(read_values(values)))

    return build


def level(*grade, length="12 ft", **more):
    return [{"level": length, **({"grade": list(grade)} if grade else {}), **more}]


def spans_of(assembly: Any, k=0) -> Any:
    view = leg_views(assembly)[k]
    spans = required_spans(assembly.job, view)
    return None if spans is None else [(a / INCH, b / INCH) for a, b in spans]


def greatest(assembly: Any) -> float:
    """The greatest fall beside the first leg, mm."""
    found = falls_of(assembly.job, leg_views(assembly)[0])
    assert found is not None
    assert found.greatest is not None
    return found.greatest[0]


def notes(assembly) -> list[Any]:
    return [f for f in run(assembly).findings if f.code == "guard.required"]


def troubles(assembly) -> dict[str, Any]:
    return {f.code: f for f in run(assembly).findings if f.severity != "note"}


def test_a_slope_along_the_edge_is_cut_where_it_passes_the_limit(built):
    # From 20 in at the start to 40 in at 12 ft: 30 in, the limit of IRC R312.1.1, at 6 ft.
    found = built(level({"at": 0, "down": "20 in"}, {"at": "12 ft", "down": "40 in"}))
    assert spans_of(found) == [pytest.approx((72.0, 144.0))]
    (note,) = notes(found)
    assert (note.severity, note.clause, note.edition) == ("note", "R312.1.1", "IRC 2021")
    assert note.measured / INCH == pytest.approx(40.0)
    assert note.limit / INCH == pytest.approx(30.0)
    assert "6'-0\" of 12'-0\"" in note.message


@pytest.mark.parametrize(
    "rules, limit_mm, inclusive",
    [
        ("irc-2021", 762.0, False),  # R312.1.1: more than 30 in
        ("ibc-2021", 762.0, False),  # 1015.2: more than 30 in
        ("nbc-2020", 600.0, False),  # 9.8.8.1.(1): more than 600 mm
        ("ncc-2022", 1000.0, True),  # 11.3.3: 1 m or more
        ("osha-1910.29", 1219.2, True),  # 1910.28(b)(1)(i): 4 ft or more, from memory
    ],
)
def test_it_goes_on_within_a_millionth_of_the_limit(built, rules, limit_mm, inclusive):
    def required(fall_mm):
        return spans_of(built(level({"down": f"{fall_mm:.9f} mm"}), rules))

    assert required(limit_mm - 2e-6) == []
    assert bool(required(limit_mm)) == inclusive
    assert required(limit_mm + 2e-6) == [pytest.approx((0.0, 144.0))]


def test_ground_counts_as_far_out_as_the_rule_set_names(built):
    # Level under the edge, 40 in down 60 in out. 36 in out, where IRC R312.1.1 stops looking, it
    # has fallen from 20 in by 36/60 of 20 in, to 32 in; the NBC looks 1.2 m out.
    bank = [{"at": 0, "out": 0, "down": "20 in"}, {"at": 0, "out": "60 in", "down": "40 in"}]
    assert greatest(built(level(*bank))) / INCH == pytest.approx(32.0)
    assert greatest(built(level(*bank), "nbc-2020")) / INCH == pytest.approx(
        20.0 + 20.0 * (1200 / INCH) / 60.0
    )


def test_a_ditch_between_edge_and_reach_counts(built):
    ditch = [("0 in", "10 in"), ("18 in", "31 in"), ("36 in", "12 in")]
    points = [{"at": 0, "out": out, "down": down} for out, down in ditch]
    assert spans_of(built(level(*points))) == [pytest.approx((0.0, 144.0))]


def test_ground_not_told_far_enough_is_taken_to_require_a_guard(built):
    near = built(level({"out": "0 in", "down": "10 in"}))
    assert spans_of(near) == [pytest.approx((0.0, 144.0))]
    assert "not told as far out" in notes(near)[0].message
    # At the edge itself OSHA looks, and there it is known.
    assert spans_of(built(level({"out": "0 in", "down": "10 in"}), "osha-1910.29")) == []
    # Nothing is told beyond the last point along the edge.
    part = built(level({"at": "2 ft", "down": "10 in"}, {"at": "8 ft", "down": "10 in"}))
    assert spans_of(part) == [pytest.approx((0.0, 24.0)), pytest.approx((96.0, 144.0))]
    # Half an inch short of the end is what a tape can promise.
    taped = built(level({"at": "1/2 in", "down": "9 in"}, {"at": "143.6 in", "down": "9 in"}))
    assert spans_of(taped) == []


def test_a_stair_falls_tread_by_tread(built):
    # Treads of 48/7 in over ground at 0: T2 lies 34.3 in up, T3 27.4 in. By hand.
    found = built(
        [*level({"z": 0}), {"turn": -90, "corner": "pair"}, {**STAIR, "grade": [{"z": 0}]}]
    )
    assert spans_of(found, 1) == [pytest.approx((0.0, 22.0))]
    # Told down from the line over the nosings, the ground slopes with it: 5 in and never more.
    low = built(
        [*level({"z": 0}), {"turn": -90, "corner": "pair"}, {**STAIR, "grade": [{"down": 5}]}]
    )
    assert spans_of(low, 1) == []


def test_a_stair_walked_up_has_its_treads_at_the_other_end(built):
    up = {"stair": {**STAIR["stair"], "direction": "up"}, "grade": [{"z": "48 in"}]}
    # Starting from 48 in: T2 lies 34.3 in over the lower floor, 11 in of it each, up to 66 in.
    assert spans_of(built([up])) == [pytest.approx((44.0, 66.0))]


def test_a_deck_that_lies_higher_comes_to_require_one(built):
    low = built(level({"z": "18 in"}))
    assert spans_of(low) == []

    def thicker(part):
        end = EndPlane(part.shape.end.z_mm + 0.001)
        return replace(part, shape=replace(part.shape, end=end))

    parts = (thicker(p) if p.kind == "deck" else p for p in low.parts)
    assert spans_of(replace(low, parts=tuple(parts))) == [pytest.approx((0.0, 144.0))]


def test_what_is_not_told_is_said_once(built):
    legs = [*level(), {"turn": 90, "corner": "pair"}, *level(), {"turn": -90, "corner": "pair"}]
    (note,) = notes(built([*legs, STAIR]))
    assert "along the whole guard" in note.message
    assert (note.measured, note.limit) == (3.0, None)
    part = notes(built([*legs, {**STAIR, "grade": [{"z": 0}]}]))
    assert len(part) == 2
    assert any("run A, leg 1 and run A, leg 2" in note.message for note in part)


def test_limits_do_not_bind_a_voluntary_guard(built):
    low = {"height": "30 in", "cable_spacing": "5 in", "bottom_gap": "5 in"}
    bound = troubles(built(level({"down": "31 in"}), **low))
    assert set(bound) == {"height.level", "opening.level", "opening.bottom"}
    free = built(level({"down": "30 in"}), **low)
    assert troubles(free) == {}
    told = {f.code: f for f in run(free).findings}
    assert set(bound) < set(told)
    assert all("no guard is required there" in told[code].message for code in bound)
    # A required stretch, however short, binds the cables that pass it.
    part = level({"at": 0, "down": "20 in"}, {"at": "100 in", "down": "30 in"},
                 {"at": "144 in", "down": "31 in"})  # fmt: skip
    assert set(troubles(built(part, **low))) == set(bound)


def test_gaps_at_corners_bind_where_either_leg_needs_its_guard(built):
    def ends(first, second, rules="irc-2021"):
        corner = {"turn": 90, "corner": "pair"}
        legs = [*level({"down": first}), corner, *level({"down": second})]
        assembly = built(legs, rules, pair_offset="7 in", height="43 in")
        found = (f for f in run(assembly).findings if f.code == "opening.end")
        return [f.severity for f in found]

    assert ends("20 in", "20 in") == ["note"]
    assert ends("20 in", "31 in") == ends("31 in", "20 in") == ["fail"]
    # NBC 9.8.8.5. has a limit for voluntary guards as well.
    assert ends("20 in", "20 in", "nbc-2020") == ["fail"]


def test_a_rail_lower_only_where_the_guard_is_voluntary(built):
    # The ramp's guard of 34 in: required over its first part alone, and there too low as well.
    grade = [{"at": 0, "down": "40 in"}, {"at": "12 ft", "down": "20 in"}]
    found = run(built(level(*grade), height="34 in")).findings
    heights = sorted(f.severity for f in found if f.code == "height.level")
    assert heights == ["fail", "note"]


@pytest.mark.parametrize(
    "spacing, fails",
    [("4 in", False), ("4.07 in", True), ("7.99 in", True), ("8 in", False)],
)
def test_canada_bars_openings_that_trap_a_head_in_voluntary_guards_too(built, spacing, fails):
    # NBC 9.8.8.5.: none of 100 mm, or one of 200 mm passes. All gaps are the spacing less 1/8 in:
    # 4 in leave 98.4 mm, 4.07 in 100.2 mm, 7.99 in 199.8 mm, 8 in 200.025 mm.
    height = f"{4.5 + 4 * float(spacing.split()[0]):.4f} in"
    legs = level({"down": "20 in"}, length="5 ft")
    found = troubles(built(legs, "nbc-2020", height=height, cable_spacing=spacing))
    assert ("opening.level" in found) == fails
    if fails:
        finding = found["opening.level"]
        assert (finding.severity, finding.clause) == ("fail", "9.8.8.5.")
    # Where a guard is required the sphere of 100 mm is the one.
    bound = troubles(built(level(length="5 ft"), "nbc-2020", height=height, cable_spacing=spacing))
    assert ("opening.level" in bound) == (spacing != "4 in")


def test_a_low_guard_of_canada_holds_up_to_its_fall(built):
    # NBC 9.8.8.3.(3): 900 mm up to 1800 mm over the ground; beyond it 1070 mm, 9.8.8.3.(1)
    def found(fall_mm, height="905 mm") -> Any:
        legs = level({"down": f"{fall_mm:.9f} mm"})
        return troubles(built(legs, "nbc-2020-low", height=height)).get("height.level")

    assert found(1800.0) is None
    high = found(1800.0 + 2e-6)
    assert high.limit == pytest.approx(1070.0)
    assert high.clause == "9.8.8.3.(1)"
    assert [edit.path for edit in high.edits] == ["guard.height"]
    assert found(1900.0, height=high.edits[0].value) is None


@given(
    st.lists(
        st.tuples(st.integers(1, 139), st.integers(0, 60), st.integers(0, 60)),
        min_size=1,
        max_size=6,
        unique_by=lambda row: row[0],
    )
)
def test_stretches_are_those_that_dense_sampling_finds(built, rows):
    ends = [(0, rows[0][1], rows[0][2]), (144, rows[-1][1], rows[-1][2])]
    stations = sorted([*ends, *rows])
    grade = [
        {"at": at, "out": out, "down": down}
        for at, near, far in stations
        for out, down in ((0, near), (36, far))
    ]
    spans = spans_of(built(level(*grade)))

    def fall(s):
        for (a, n, f), (b, m, g) in itertools.pairwise(stations):
            if a <= s <= b:
                share = (s - a) / (b - a)
                return max(n + (m - n) * share, f + (g - f) * share)
        raise AssertionError(s)

    for k in range(1440):
        s = k / 10 + 0.05
        inside = any(a <= s <= b for a, b in spans)
        if abs(fall(s) - 30.0) > 1e-6:
            assert inside == (fall(s) > 30.0), (s, fall(s))
