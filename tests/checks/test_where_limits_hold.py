"""Which limit holds where: heights along the whole rail, bands of openings, edges, climbing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
import yaml

from changing import changed, shifted
from generator.checks import run
from generator.geometry import EndPlane, lengthwise
from generator.layout import layout
from generator.parts.build import assemble

INCH = 25.4
STAIR = {"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}
IN_LINE = [{"level": "12 ft"}, STAIR]
TURNED = [{"level": "12 ft"}, {"turn": -90, "corner": "pair"}, STAIR]
LEVEL = [{"level": "12 ft"}]


@pytest.fixture(scope="module")
def values_of(light_values):
    """Plain values of a job of these legs, built of the lake deck's parts, by a rule set."""

    def make(legs, rules="irc-2021", amendments=None, **guard):
        values = light_values("lake-deck")
        values["job"] |= {"rules": rules, "units": "in"}
        values.pop("stock")  # one rail, however long
        values["guard"] = {"max_cable_span": "36 in", **guard}
        start = {"x": 0, "y": 0, "z": "48 in", "bearing": 0, "end": "free"}
        values["runs"] = [{"id": "A", "start": start, "deck": "left", "legs": legs, "end": "free"}]
        if amendments:
            values["amendments"] = [
                {"limit": key, "value": value, "reason": "by the test"}
                for key, value in amendments.items()
            ]
        return values

    return make


@pytest.fixture(scope="module")
def built(values_of, read_values):
    return lambda *args, **more: assemble(layout(read_values(values_of(*args, **more))))


def found(assembly, code) -> list[Any]:
    return [f for f in run(assembly).findings if f.code == code]


def troubles(assembly, code) -> list[Any]:
    return [f for f in found(assembly, code) if f.severity != "note"]


def measure(assembly, code) -> list[Any]:
    return [m for m in run(assembly).measures if m.code == code]


def moved(assembly: Any, mark: str, *, x=0.0, y=0.0, z=0.0) -> Any:
    """The assembly with one part moved, mm."""
    return shifted(assembly, mark, (x, y, z))


# Heights along the whole rail line


def test_a_rail_that_sags_between_posts_is_lowest_at_its_joint(built):
    # One end of a rail lowered: between the posts beside it no post sees how low it comes.
    assembly = built(LEVEL, height="37 in")
    (rail,) = assembly.legs[0].rails

    def tipped(part):
        # Down by 1 in 96 along the piece, from its start on.
        return replace(part, place=lengthwise(part.place.origin, 0.0, -0.6))

    (low,) = troubles(changed(assembly, rail, tipped), "height.level")
    # Past the last post the rail runs on; the deck ends with the edge, 144 in from the start.
    start = assembly.by_mark[rail].place.origin[0] / INCH
    fall = (144.0 - start) * 0.0104724  # tan 0.6 deg
    assert low.where[0] in (rail, assembly.legs[0].posts[-1])
    assert low.measured / INCH == pytest.approx(37.0 - fall, abs=0.06)


def test_an_easing_is_measured_between_the_nosings_too(built):
    # 42 in comes down to 34 in over 16 in of level length; the nosings lie 11 in apart.
    job = {"height": "42 in", "stair_height": "34 in", "transition": "easing", "easing": "16 in"}
    assembly = built(IN_LINE, **job)
    assert troubles(assembly, "height.stair") == []
    rails = [assembly.by_mark[m] for m in assembly.legs[1].rails]
    easing = min(rails, key=lambda r: abs(r.place.origin[0] - 144 * INCH))
    low = moved(assembly, easing.mark, z=-1.0)
    (finding,) = troubles(low, "height.stair")
    # Its lower end lies between two nosings: 34 in less a millimetre over the line between them.
    assert finding.where == (easing.mark,)
    assert finding.measured == pytest.approx(34 * INCH - 1.0)
    assert finding.limit == pytest.approx(34 * INCH)  # IRC 2021 R312.1.2 exception 1
    assert troubles(moved(assembly, easing.mark, z=2e-6), "height.stair") == []


def test_heights_go_on_within_a_millionth_along_the_line(built):
    job = {"height": "42 in", "stair_height": "34 in", "transition": "easing", "easing": "16 in"}
    assembly = built(IN_LINE, **job)
    rails = [assembly.by_mark[m] for m in assembly.legs[1].rails]
    easing = min(rails, key=lambda r: abs(r.place.origin[0] - 144 * INCH))
    assert troubles(moved(assembly, easing.mark, z=-0.5e-6), "height.stair") == []
    assert len(troubles(moved(assembly, easing.mark, z=-2e-6), "height.stair")) == 1


def test_a_short_flat_before_the_stair_is_told_as_a_note(built):
    # The stair's rail begins over the floor, 34 in over the first nosing, where the level has 36.
    (note,) = found(built(TURNED, stair_height="34 in"), "height.level")
    assert note.severity == "note"
    assert note.measured / INCH == pytest.approx(34.0)
    assert note.limit / INCH == pytest.approx(36.0)  # IRC 2021 R312.1.2
    assert found(built(TURNED, stair_height="36 in"), "height.level") == []


def test_a_plumb_drop_keeps_the_level_height_to_the_nosing(built):
    assembly = built(IN_LINE, height="42 in", stair_height="34 in", rules="ibc-2021-dwelling")
    assert troubles(assembly, "height.level") == []
    assert found(assembly, "height.level") == []
    assert troubles(assembly, "height.stair") == []


@pytest.mark.parametrize(
    "rules, level, stair",
    [
        ("irc-2021", 36 * INCH, 34 * INCH),  # R312.1.2
        ("ibc-2021", 42 * INCH, 42 * INCH),  # 1015.3
        ("ibc-2021-dwelling", 36 * INCH, 34 * INCH),  # 1015.3 exception
        ("california-2022", 42 * INCH, 34 * INCH),  # CRC R312.1.2, from memory
        ("nbc-2020", 1070.0, 1070.0),  # 9.8.8.3.(1), from memory
        ("nbc-2020-low", 900.0, 900.0),  # 9.8.8.3.(2), (3)
        ("ncc-2022", 1000.0, 865.0),  # 11.3.4(2)
        ("osha-1910.29", 39 * INCH, 42 * INCH),  # 1910.29(b)(1): 42 in give or take 3, (f)(1)
    ],
)
def test_heights_of_each_rule_set_are_held_to_a_millionth(built, rules, level, stair):
    def codes(by_mm):
        heights = {"height": f"{level + by_mm:.9f} mm", "stair_height": f"{stair + by_mm:.9f} mm"}
        assembly = built(TURNED, rules, **heights)
        return {f.code for f in run(assembly).findings if f.severity == "fail"} & {
            "height.level",
            "height.stair",
        }

    assert codes(0.0) == set()
    assert codes(-2e-6) == {"height.level", "height.stair"}


# Bands of openings


def over(assembly, row):
    """Mark of the cable of a row of the first leg."""
    return assembly.legs[0].cables[row - 1]


def test_a_larger_sphere_is_allowed_in_the_band_of_the_ibc(built):
    # IBC 1015.4 exception 1: 4-3/8 in from 36 to 42 in. Rows 3 in apart from 3-1/16 in: the upper
    # side of the twelfth is 36-1/8 in up.
    assembly = built(LEVEL, "ibc-2021", height="44 in")
    raised = moved(assembly, over(assembly, 13), z=1.4 * INCH)  # 4.275 in over the twelfth
    assert troubles(raised, "opening.level") == []
    clauses = {m.clause: m for m in measure(raised, "opening.level")}
    assert clauses["1015.4 exception 1"].measured / INCH == pytest.approx(4.275)
    assert clauses["1015.4"].limit / INCH == pytest.approx(4.0)
    low = moved(assembly, over(assembly, 12), z=1.4 * INCH)  # begins under the band
    (finding,) = troubles(low, "opening.level")
    assert (finding.clause, finding.limit / INCH) == ("1015.4", pytest.approx(4.0))
    for by, count in ((1.5 * INCH - 2e-6, 0), (1.5 * INCH + 2e-6, 1)):
        past = troubles(moved(assembly, over(assembly, 13), z=by), "opening.level")
        assert [f.clause for f in past] == ["1015.4 exception 1"] * count


def test_the_band_begins_within_a_millionth_of_its_height(built):
    # The twelfth row's upper side 36 in up: an eighth of an inch lower.
    assembly = built(LEVEL, "ibc-2021", height="44 in")
    wide = moved(assembly, over(assembly, 13), z=1.2 * INCH)
    for by, clause in ((-2e-6, "1015.4"), (2e-6, None)):
        lower = moved(wide, over(assembly, 12), z=-0.125 * INCH + by)
        assert [f.clause for f in troubles(lower, "opening.level")] == ([clause] if clause else [])


def test_no_sphere_counts_over_the_height_that_is_required(built):
    # IRC R312.1.3: from the walking surface to the required guard height, 36 in.
    assembly = built(LEVEL, "irc-2021", height="48 in")
    lifted = moved(moved(assembly, over(assembly, 13), z=6 * INCH), over(assembly, 14), z=5 * INCH)
    assert troubles(lifted, "opening.level") == []
    under = moved(assembly, over(assembly, 12), z=2 * INCH)
    assert len(troubles(under, "opening.level")) == 1


# Edges


def test_an_open_riser_is_held_to_its_sphere_where_it_lies_high(built, values_of, read_values):
    # IRC 2021 R311.7.5.1: 4 in, more than 30 in up. Risers of 6.857 in: T1 and T2, their undersides
    # 39.6 and 32.8 in up with treads of 1-1/2 in.
    open_stair = {"stair": {**STAIR["stair"], "open_risers": True}}
    assembly = built([open_stair])
    (finding,) = troubles(assembly, "opening.riser")
    assert finding.where == ("T1", "T2")
    assert finding.measured / INCH == pytest.approx(48 / 7 - 1.5)
    (edit,) = finding.edits
    assert (edit.path, edit.value) == ("runs[0].legs[0].stair.open_risers", "false")
    values = values_of([open_stair])
    values["runs"][0]["legs"][0]["stair"]["open_risers"] = yaml.safe_load(edit.value)
    assert found(assemble(layout(read_values(values))), "opening.riser") == []

    def thick(part):
        shape = part.shape
        below = shape.start.z_mm - (48 / 7 - 1.5 - 4.0) * INCH
        return replace(part, shape=replace(shape, start=EndPlane(below)))

    # Each tread as thick as leaves 4 in; a hair more passes, a hair less does not.
    for tread in ("T1", "T2"):
        assembly = changed(assembly, tread, thick)
    assert len(troubles(assembly, "opening.riser")) == 1
    closer = moved(moved(assembly, "T1", z=-4e-6), "T2", z=-1e-6)
    assert found(moved(closer, "T3", z=3e-6), "opening.riser") == []


def test_an_open_riser_that_lies_low_is_free_unless_the_ground_falls_away(built):
    low = {"stair": {"risers": 4, "rise": "28 in", "tread": "11 in", "open_risers": True}}
    assert found(built([low]), "opening.riser") == []
    # The IBC names no height (1011.5.5.3).
    assert len(troubles(built([low], "ibc-2021"), "opening.riser")) == 1
    # Deck at 48 in, the lower floor at 20 in, the ground beside it 3 ft deeper.
    (finding,) = troubles(built([{**low, "grade": [{"z": "-16 in"}]}]), "opening.riser")
    assert finding.measured / INCH == pytest.approx(7.0 - 1.5)


def test_openings_over_the_nosings_where_the_code_measures_there(built, values_of, read_values):
    # NCC 11.3.4(4): 125 mm. The lake deck's lowest cable clears the nosings by 0.94937 in.
    stair = [STAIR]
    assembly = built(stair, "ncc-2022", height="42 in")
    clear = 0.94937 * INCH
    (kept,) = measure(assembly, "opening.nosing")
    assert kept.measured == pytest.approx(clear, abs=2e-4)
    pitch_cosine = 11 / (11**2 + (48 / 7) ** 2) ** 0.5
    up = (125.0 - kept.measured) / pitch_cosine
    lowest = assembly.legs[0].cables[0]
    # The second cable is lowest then; what was the lowest stays the one that counts.
    for mark in assembly.legs[0].cables[1:]:
        assembly = moved(assembly, mark, z=200.0)
    assert troubles(moved(assembly, lowest, z=up - 2e-6), "opening.nosing") == []
    assert len(troubles(moved(assembly, lowest, z=up + 2e-6), "opening.nosing")) == 1
    amended = {"opening.nosing": "0.9 in"}
    (finding,) = troubles(built(stair, amendments=amended), "opening.nosing")
    (edit,) = finding.edits
    assert edit.path == "guard.bottom_gap"
    values = values_of(stair, amendments=amended, bottom_gap=edit.value)
    assert found(assemble(layout(read_values(values))), "opening.nosing") == []


def test_a_guard_outside_the_fascia_leaves_little_open(built):
    # NCC 11.3.4(5): at most 40 mm. Cables 40 mm and their radius, 1/16 in, outside the edge.
    inset = f"{-40.0 - INCH / 16:.9f} mm"
    legs = [{"level": "12 ft", "inset": inset, "mount": "fascia"}]
    assembly = built(legs, "ncc-2022", height="42 in")
    assert found(assembly, "opening.fascia") == []
    mark = assembly.legs[0].cables[4]
    (finding,) = troubles(moved(assembly, mark, y=-2e-6), "opening.fascia")
    assert finding.where == (mark,)
    assert finding.limit == 40.0
    # The IRC says nothing of it.
    assert measure(built(legs), "opening.fascia") == []


# Climbing


@pytest.mark.parametrize(
    "rules, fall, severity",
    [
        ("ncc-2022", 4000.0, None),  # 11.3.4(8): more than 4 m
        ("ncc-2022", 4000.0 + 2e-6, "fail"),
        ("nbc-2020", 4200.0, None),  # 9.8.8.6.(1): more than 4.2 m
        ("nbc-2020", 4200.0 + 2e-6, "fail"),
        ("irc-2021", 9000.0, None),  # no rule against a ladder since 2001
    ],
)
def test_cables_are_barred_by_the_fall_that_each_code_names(built, rules, fall, severity):
    legs = [{"level": "12 ft", "grade": [{"down": f"{fall:.9f} mm"}]}]
    findings = found(built(legs, rules, height="43 in"), "climb.horizontal")
    assert [f.severity for f in findings] == ([severity] if severity else [])


def test_where_the_ground_is_not_told_barred_cables_are_a_warning(built):
    (finding,) = found(built(LEVEL, "ncc-2022", height="43 in"), "climb.horizontal")
    assert finding.severity == "warn"
    assert "grade" in finding.message


def test_a_town_may_bar_or_flag_cables_whatever_the_fall(built):
    for value, severity in (("2", "fail"), ("1", "warn")):
        assembly = built(LEVEL, amendments={"climb.horizontal": value})
        (finding,) = found(assembly, "climb.horizontal")
        assert finding.severity == severity
        # Without heights of its own every cable counts: 11 rows.
        assert (finding.measured, finding.limit) == (11.0, 0.0)


def test_a_cable_counts_within_a_millionth_of_the_zone(built):
    # NCC 11.3.4(8): from 150 to 760 mm. Rows of 3 in from 3-1/16 in: the second's axis is 154 mm
    # up, the ninth's 687 mm, the tenth's lower side 762 mm.
    legs = [{"level": "12 ft", "grade": [{"down": "5 m"}]}]
    assembly = built(legs, "ncc-2022", height="43 in")
    (finding,) = found(assembly, "climb.horizontal")
    axes = [3.0625 + 3 * k for k in range(13)]
    inside = [a for a in axes if (a + 0.0625) * INCH > 150 and (a - 0.0625) * INCH < 760]
    assert finding.measured == len(inside) == 8
    second = over(assembly, 2)
    down = (6.0625 + 0.0625) * INCH - 150.0
    for by, fewer in ((-down + 2e-6, 0), (-down - 2e-6, 1)):
        (finding,) = found(moved(assembly, second, z=by), "climb.horizontal")
        assert finding.measured == len(inside) - fewer
