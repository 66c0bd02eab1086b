"""A handrail's checks: each goes on when a part is moved, removed or resized, and off again.

Limits: IRC 2021 R311.7.8 (four risers), R311.7.8.1 (34 to 38 in), R311.7.8.3 (1-1/2 in clear),
R311.7.8.4 (over the whole flight), R311.7.8.5 (Type I grip), IRC 2024 R320 (return within 1/4 in);
clause numbers below R311.7.8 from memory. Worked values: by hand in inches, from the lake deck.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from changing import moved
from generator.checks import run
from generator.checks.grip import graspable
from generator.checks.handrail_bars import prism_distance
from generator.geometry import EndPlane, lengthwise
from generator.layout import layout
from generator.parts.assembly import Part
from generator.parts.build import assemble
from generator.parts.shapes import Circle, Prism, Rectangle, Section
from generator.spec.job import Handrail

INCH = 25.4
TAN = 48 / 7 / 11
COS = 1 / math.hypot(1.0, TAN)
PLAIN = Handrail(False, 36 * INCH, 1.5 * INCH, 1.5 * INCH, 48 * INCH)
STAIR = {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}
CODES = ("required", "grip", "clearance", "projection", "short", "return", "brackets")


def built(job, handrail: Handrail | None = PLAIN):
    return assemble(layout(replace(job, handrail=handrail)))


@pytest.fixture(scope="module")
def lake(light_lake_deck):
    return built(light_lake_deck.job)


def without(assembly, *kinds):
    return replace(assembly, parts=tuple(p for p in assembly.parts if p.kind not in kinds))


def of_handrail(assembly):
    """Findings of the handrail by code: its own codes, and heights that name a piece of it."""
    return {
        f.code: f
        for f in run(assembly).findings
        if f.code.startswith("handrail.")
        or (f.code.startswith("height.") and f.where[0].startswith("HR"))
    }


def measures(assembly, code):
    found = [m for m in run(assembly).measures if m.code == code]
    return [m for m in found if not code.startswith("height") or m.where[0].startswith("HR")]


def test_the_lake_decks_handrail_has_no_finding(lake):
    assert of_handrail(lake) == {}
    assert {m.code for m in run(lake).measures} >= {f"handrail.{code}" for code in CODES}


def test_what_is_measured_of_it_and_against_which_clause(lake):
    (required,) = measures(lake, "handrail.required")
    assert (required.measured, required.limit, required.clause) == (1.0, 1.0, "R311.7.8")
    heights = measures(lake, "height.stair")
    assert [m.measured / INCH for m in heights] == pytest.approx([36, 36])
    assert [(m.limit, m.sense, m.clause) for m in heights] == [
        (pytest.approx(34 * INCH), "at least", "R311.7.8.1"),
        (pytest.approx(38 * INCH), "at most", "R311.7.8.1"),
    ]
    (room,) = measures(lake, "handrail.clearance")
    assert room.measured / INCH == pytest.approx(1.5)
    assert room.clause == "R311.7.8.3"
    assert [m.clause for m in measures(lake, "handrail.grip")] == ["R311.7.8.5"] * 2
    (short,) = measures(lake, "handrail.short")
    assert short.measured == pytest.approx(0.0, abs=1e-6)
    assert short.clause == "R311.7.8.4"
    (gap,) = measures(lake, "handrail.return")
    # The rail ends 3/4 in before the return's axis, along the pitch, and the return is 3/4 in thick
    # to either side.
    assert gap.measured / INCH == pytest.approx(0.75 / COS - 0.75, abs=2e-3)
    assert (gap.clause, gap.edition) == ("R320.5", "IRC 2024")
    (span,) = measures(lake, "handrail.brackets")
    # From the upper bracket to the next, 34 in of level way.
    assert span.measured / INCH == pytest.approx(34 / COS)


def test_a_flight_without_a_handrail_is_a_note_where_none_is_asked_for(light_lake_deck):
    finding = of_handrail(light_lake_deck.assembly)["handrail.required"]
    assert finding.severity == "note"
    assert finding.where == ("T1", "T6")
    assert finding.clause == "R311.7.8"
    assert "handrail: elsewhere" in finding.remedy


def test_one_fitted_elsewhere_is_taken_for_it(light_lake_deck):
    there = built(light_lake_deck.job, replace(PLAIN, elsewhere=True))
    assert of_handrail(there) == {}
    assert [m.measured for m in measures(there, "handrail.required")] == [1.0]


def test_one_that_was_asked_for_and_is_not_there_is_a_failure(lake):
    finding = of_handrail(without(lake, "handrail", "handrail-bracket"))["handrail.required"]
    assert (finding.severity, finding.measured, finding.limit) == ("fail", 0.0, 1.0)


@pytest.mark.parametrize("risers, told", [(3, False), (4, True)])
def test_a_handrail_is_required_from_four_risers_on(job_of, risers, told):
    # IRC 2021 R311.7.8
    stair = {"stair": {"risers": risers, "rise": f"{7 * risers} in", "tread": "11 in"}}
    assert ("handrail.required" in of_handrail(built(job_of([stair]), None))) is told


@pytest.mark.parametrize("direction", ["down", "up"])
def test_a_guard_that_a_hand_closes_round_is_a_handrail(job_of, direction):
    stair = {"stair": {**STAIR["stair"], "direction": direction}}
    job = job_of([stair], run_on="2 in")
    slim = replace(job.system.rail, width_mm=1.5 * INCH, depth_mm=1.5 * INCH, corner_mm=3.0)
    job = replace(job, system=replace(job.system, rail=slim))
    assert "handrail.required" not in of_handrail(built(job, None))
    # IRC 2021 R312.1.2 exception 2: 34 to 38 in, else it is no handrail.
    tall = replace(job, guard=replace(job.guard, stair_height_mm=39 * INCH))
    assert "handrail.required" in of_handrail(built(tall, None))
    # It must reach over the last riser, which the post on the last tread stands before.
    short = replace(job, guard=replace(job.guard, run_on_mm=1 * INCH))
    assert "handrail.required" in of_handrail(built(short, None))


# Perimeter 4 to 6-1/4 in, measure across 2-1/4 in at most, edges 0.01 in; round 1-1/4 to 2 in.
EDGE = 0.01 * INCH
SECTIONS = [
    (Rectangle(1.5 * INCH, 1.5 * INCH, EDGE), True),
    (Rectangle(1.5 * INCH, 1.5 * INCH), False),  # sharp edges
    (Rectangle(3 * INCH, 1 * INCH, EDGE), False),  # perimeter 8 in
    (Rectangle(2.375 * INCH, 2.375 * INCH, EDGE), False),  # perimeter 9-1/2 in
    (Rectangle(0.9 * INCH, 0.9 * INCH, EDGE), False),  # perimeter 3.6 in
    (Rectangle(2.2 * INCH, 0.9 * INCH, EDGE), False),  # perimeter 6.2 in, 2.38 in across
    (Rectangle(1.75 * INCH, 1.75 * INCH, EDGE), False),  # perimeter 7 in
    (Rectangle(1.75 * INCH, 1.75 * INCH, 0.5 * INCH), True),  # 7 - (8 - 2 pi)/2 = 6.14 in
    (Circle(1.25 * INCH), True),
    (Circle(2 * INCH), True),
    (Circle(1.2 * INCH), False),
    (Circle(2.1 * INCH), False),
]


@pytest.mark.parametrize("outline, holds", SECTIONS)
def test_which_sections_a_hand_closes_round(light_lake_deck, outline, holds):
    # IRC 2021 R311.7.8.5, Type I
    assert graspable(light_lake_deck.job, outline) is holds


# (what is changed, the code that it brings about, measured, limit; inches)
MOVES = [
    ({"z": -2.1}, "height.stair", 33.9, 34),
    ({"z": 2.1}, "height.stair", 38.1, 38),
    ({"y": -0.25}, "handrail.clearance", 1.25, 1.5),
    ({"x": -1}, "handrail.short", 1, 0),
]


@pytest.mark.parametrize("way, code, measured, limit", MOVES)
def test_a_piece_moved_is_found(lake, way, code, measured, limit):
    # A tube moved leaves its returns and brackets, so that those are told as well.
    findings = of_handrail(moved(lake, "HR2", **way))
    finding = findings[code]
    along = way.get("x", 0.0) * TAN if code == "height.stair" else 0.0
    assert finding.severity == "fail"
    assert finding.where[0] == "HR2"
    assert finding.measured is not None
    assert finding.limit is not None
    assert finding.measured / INCH == pytest.approx(measured + along)
    assert finding.limit / INCH == pytest.approx(limit)
    assert findings["handrail.return"].severity == "warn"
    assert "handrail.brackets" in findings


@pytest.mark.parametrize("code, step, way", [
    ("height.stair", (-2.0, 2e-6), "z"),
    ("height.stair", (2.0, -2e-6), "z"),
    ("handrail.short", (0.0, 2e-6), "x"),
    ("handrail.clearance", (0.0, 2e-6), "y"),
])  # fmt: skip
def test_a_finding_goes_on_within_a_millionth_of_its_limit(lake, code, step, way):
    to_limit, inward = step
    kept = moved(lake, "HR2", **{way: to_limit + inward / INCH})
    past = moved(lake, "HR2", **{way: to_limit - inward / INCH})
    assert code not in of_handrail(kept)
    assert code in of_handrail(past)


@pytest.mark.parametrize("diameter, told", [(1.25, False), (1.2, True), (2.0, False), (2.1, True)])
def test_the_grip_of_the_bar_itself(light_lake_deck, diameter, told):
    # IRC 2021 R311.7.8.5, Type I: 1-1/4 to 2 in
    made = built(light_lake_deck.job, replace(PLAIN, diameter_mm=diameter * INCH))
    assert ("handrail.grip" in of_handrail(made)) is told


def test_a_post_moved_toward_the_hand_takes_its_room(lake):
    # By hand: 1-1/2 in less 1/4 in
    finding = of_handrail(moved(lake, "P10", y=0.25))["handrail.clearance"]
    assert finding.where == ("HR2", "P10")
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(1.25)


BOX = Section(Rectangle(60.0, 40.0))
RAKED = Prism(BOX, EndPlane(0.0, 0.0, -0.5), EndPlane(100.0, 0.75, 0.0))


@settings(max_examples=60)
@given(
    point=st.tuples(*[st.floats(-150, 250)] * 3), turn=st.floats(0, 360), pitch=st.floats(-60, 60)
)
def test_the_distance_of_a_point_to_a_part_against_brute_force(point, turn, pitch):
    place = lengthwise((10.0, 20.0, 30.0), turn, pitch)
    part = Part("R1", "rail", "", "A", 1, RAKED, place, "R1")
    world = place.point(point)
    least = min(math.dist(point, inner) for inner in GRID)
    # The grid is 2 mm wide, and past the edge of a raked end a little more may be told.
    told = prism_distance(part, world)
    assert least - 2.0 <= told <= 1.25 * least + 1e-6


GRID = [
    (x, y, low + (high - low) * k / 60)
    for x in range(-30, 31, 2)
    for y in range(-20, 21, 2)
    for low, high in [(RAKED.start.at(x, y), RAKED.end.at(x, y))]
    for k in range(61)
]


def test_a_guards_rail_taken_away_leaves_its_return_open(lake):
    # What is left beside the lower return is the last post: by hand, its face 3 - 1-1/4 in from the
    # return's axis, less half a tube; its raked top ends a little below the axis.
    bare = replace(lake, parts=tuple(p for p in lake.parts if p.mark != "R4"))
    legs = tuple(replace(leg, rails=tuple(m for m in leg.rails if m != "R4")) for leg in lake.legs)
    finding = of_handrail(replace(bare, legs=legs))["handrail.return"]
    assert (finding.severity, finding.where) == ("warn", ("HR3", "P11"))
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("mark", ["HR1", "HR3"])
def test_a_return_taken_away_leaves_the_tube_open(lake, mark):
    bare = replace(lake, parts=tuple(p for p in lake.parts if p.mark != mark))
    finding = of_handrail(bare)["handrail.return"]
    assert finding.where[0] == "HR2"
    assert finding.measured is not None
    # A miter of 45 degrees has its tips half a tube from the axis, which is 2-1/4 in from the rail.
    assert finding.measured / INCH >= 1.5 - 1e-6


def test_a_bracket_counts_only_where_it_bears_and_is_fixed(lake):
    # Without the middle one, from x 278.794 to 345.794 in by hand: 67 in of level way.
    for changed in (
        replace(lake, parts=tuple(p for p in lake.parts if p.mark != "HB2")),
        moved(lake, "HB2", z=-0.1),
        moved(lake, "HB2", y=0.1),
    ):
        finding = of_handrail(changed)["handrail.brackets"]
        assert (finding.severity, finding.where) == ("warn", ("HB1", "HB3"))
        assert finding.measured is not None
        assert finding.measured / INCH == pytest.approx(67 / COS)
        assert finding.clause == "handrail.bracket_spacing"


def test_without_brackets_the_whole_tube_is_what_it_spans(lake):
    (span,) = measures(without(lake, "handrail-bracket"), "handrail.brackets")
    # Its upper return bears on the rail's side, its lower one on nothing.
    assert span.measured / INCH == pytest.approx(70 / COS)
    assert not span.passed


def test_long_bays_leave_brackets_too_far_apart(job_of):
    stair = {"stair": {"risers": 13, "rise": "90 in", "tread": "11 in"}}
    job = job_of([stair], max_post_spacing="6 ft")
    finding = of_handrail(built(job))["handrail.brackets"]
    assert (finding.severity, finding.limit) == ("warn", pytest.approx(48 * INCH))
    closer = job_of([stair], max_post_spacing="46 in")
    assert "handrail.brackets" not in of_handrail(built(closer))


@pytest.mark.parametrize("rise", ["12 in", "-12 in"])
def test_a_ramps_handrail_is_measured_over_the_ramp(job_of, rise):
    ramp = {"ramp": {"length": "12 ft", "rise": rise}}
    job = job_of([{"level": "5 ft"}, ramp, {"level": "5 ft"}], max_post_spacing="46 in")
    made = built(job)
    assert of_handrail(made) == {}
    heights = measures(made, "height.level")
    assert [m.measured / INCH for m in heights] == pytest.approx([36, 36])
    low = of_handrail(built(job, replace(PLAIN, height_mm=33 * INCH)))["height.level"]
    assert low.severity == "fail"
    assert [edit.path for edit in low.edits] == ["handrail.height"]


def edited(job, edits):
    """The job with the edits of a finding made: those of its handrail and its guard, in inches."""
    fields = {
        "handrail.height": "height_mm",
        "handrail.diameter": "diameter_mm",
        "handrail.clearance": "clearance_mm",
    }
    for edit in edits:
        mm = in_mm(edit.value)
        if edit.path == "guard.run_on":
            job = replace(job, guard=replace(job.guard, run_on_mm=mm))
        else:
            job = replace(job, handrail=replace(job.handrail, **{fields[edit.path]: mm}))
    return job


def in_mm(text):
    """A length such as 3'-0 1/2" in millimetres."""
    match = re.fullmatch(r"(?:(\d+)'-)?(.*)\"", text)
    assert match
    feet, inches = match.groups()
    total = 12.0 * float(feet or 0)
    for word in inches.split():
        top, _, bottom = word.partition("/")
        total += float(top) / float(bottom or 1)
    return total * INCH


EDITS = [
    ("height.stair", {"height_mm": 33.3 * INCH}, {}),
    ("height.stair", {"height_mm": 38.7 * INCH}, {}),
    ("handrail.grip", {"diameter_mm": 1 * INCH}, {}),
    ("handrail.grip", {"diameter_mm": 2.4 * INCH}, {}),
    ("handrail.clearance", {"clearance_mm": 0.9 * INCH}, {}),
    ("handrail.return", {"height_mm": 34 * INCH}, {}),
    ("handrail.return", {}, {"run_on_mm": 0.0}),
    ("handrail.return", {"height_mm": 38 * INCH, "diameter_mm": 1.25 * INCH}, {}),
]


@pytest.mark.parametrize("code, handrail, guard", EDITS)
def test_edits_clear_their_finding_and_bring_no_new_failure(light_lake_deck, code, handrail, guard):
    job = replace(
        light_lake_deck.job,
        handrail=replace(PLAIN, **handrail),
        guard=replace(light_lake_deck.job.guard, **guard),
    )
    before = run(assemble(layout(job))).findings
    finding = next(f for f in before if f.code == code and f.severity != "note")
    assert finding.edits
    after = run(assemble(layout(edited(job, finding.edits)))).findings
    assert code not in {f.code for f in after if f.severity != "note"}
    failed = {f.code for f in before if f.severity == "fail"}
    assert {f.code for f in after if f.severity == "fail"} <= failed


def test_an_inner_corner_that_stops_the_handrail_short_is_told(job_of):
    legs = [{"level": "8 ft"}, {"turn": 90, "corner": "single"}, STAIR]
    finding = of_handrail(built(job_of(legs)))["handrail.short"]
    assert finding.severity == "fail"
    assert finding.measured is not None
    # By hand: 3-1/2 in from the other leg's guard line, which stands 4 in in from the edge.
    assert finding.measured / INCH == pytest.approx(7.5)
