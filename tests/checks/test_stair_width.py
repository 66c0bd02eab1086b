"""The clear width of a stair between guards, handrails and its other side.

IRC 2021 R311.7.1: 36 in above the handrail, 31-1/2 in at and below one, 27 in between two; IBC
1011.2: 44 in between guards, 36 in for dwellings; NBC 9.8.2.1: 860 mm; 29 CFR 1910.25(c): 22 in;
the NCC has none for houses. Which of them were read stands in the rule sets. Values by hand.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.checks import run
from generator.geometry import EndPlane
from generator.layout import layout
from generator.parts.assembly import Part
from generator.parts.build import assemble
from generator.parts.shapes import Polygon, Prism, Section

INCH = 25.4
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}


@pytest.fixture
def built(spec_values, read_values):
    """One stair with a guard on its right side, 4 in in from it, posts 2-1/2 in square."""

    def make(rules="irc-2021", handrail="elsewhere", deck="left", height="36 in", **stair):
        values = spec_values("lake-deck")
        values["job"]["rules"] = rules
        values["guard"]["stair_height"] = height
        values["guard"]["stair_setback"] = "3 in"
        values["runs"] = [{
            "id": "A",
            "deck": deck,
            "start": {"z": "9 ft", "end": "free"},
            "legs": [{"stair": {**STAIR, **stair}}],
            "end": "free",
        }]  # fmt: skip
        if handrail:
            values["handrail"] = handrail
        return assemble(layout(read_values(values)))

    return make


def widths(assembly):
    return [f for f in run(assembly).findings if f.code == "stair.width"]


def measured(assembly):
    return {
        round(m.limit / INCH, 3): m.measured / INCH
        for m in run(assembly).measures
        if m.code == "stair.width" and m.limit is not None
    }


@pytest.mark.parametrize("deck", ["left", "right"])
def test_what_is_measured(built, deck):
    # 42 in less 4 in and half a post; above 38 in nothing stands in the way.
    assembly = built(deck=deck, width="42 in")
    assert measured(assembly) == pytest.approx({36: 42, 31.5: 42 - 5.25})
    assert widths(assembly) == []


def test_without_a_width_it_is_a_note_of_what_the_guard_takes(built):
    (note,) = widths(built())
    assert (note.severity, note.limit) == ("note", None)
    assert note.measured is not None
    assert note.measured / INCH == pytest.approx(5.25)
    # 31-1/2 in and 5-1/4 in
    assert "3'-0 3/4\" wide" in note.message


def test_a_rule_set_without_a_width_says_nothing(built):
    assert widths(built("ncc-2022", risers=7, rise="1.2 m", tread="300 mm")) == []


@pytest.mark.parametrize("rules, handrail, width, told", [
    ("irc-2021", "elsewhere", "36.75 in", False),  # 31-1/2 in beside the posts
    ("irc-2021", "elsewhere", "36.74 in", True),
    ("irc-2021", "elsewhere", "35.99 in", True),
    ("irc-2021", {"other_side": True}, "36 in", False),  # 27 in: 36 less 8-1/4
    ("irc-2021", {"other_side": True}, "35.99 in", True),  # 36 in above the handrail
    ("irc-2021", "round", "39.75 in", False),  # one beside the guard takes 3 in more
    ("irc-2021", "round", "39.74 in", True),
    ("ibc-2021", "elsewhere", "49.25 in", False),  # 44 in between guards
    ("ibc-2021", "elsewhere", "49.24 in", True),
    ("ibc-2021-dwelling", "round", "41.25 in", False),  # a handrail is no guard
    ("ibc-2021-dwelling", "round", "41.24 in", True),
    ("nbc-2020", "elsewhere", "993.35 mm", False),  # 860 mm and 5-1/4 in
    ("nbc-2020", "elsewhere", "993.3 mm", True),
    ("osha-1910.29", "elsewhere", "27.25 in", False),
    ("osha-1910.29", "elsewhere", "27.24 in", True),
])  # fmt: skip
def test_limits_of_the_width(built, rules, handrail, width, told):
    assert bool(widths(built(rules, handrail, width=width))) is told


def test_a_guard_higher_than_any_handrail_narrows_the_way_above_it(built):
    # Its top is 42 in over the nosings: 40 less 5-1/4 in at the posts, which end under the rail.
    (found,) = widths(built(width="40 in", height="42 in"))
    assert (found.severity, found.clause) == ("fail", "R311.7.1")
    assert found.limit == pytest.approx(36 * INCH)
    assert found.measured == pytest.approx(34.75 * INCH)


def test_two_guards_on_one_stair(planned):
    # 42 in of treads. The posts stand at the stringers, outside: the rails' inner faces lie 1-1/2
    # in beyond the treads, so a handrail with its room takes 3 in less 1-1/2 in on either side.
    assembly = planned("both-sides-stair").assembly
    assert widths(assembly) == []
    assert measured(assembly) == pytest.approx({36: 42, 27: 42 - 2 * 1.5})


def bodies(assembly, kind, run_id):
    return [p for p in assembly.parts if p.kind == kind and p.run == run_id]


def moved(assembly, part: Part, north):
    x, y, z = part.place.origin
    there = replace(part, place=replace(part.place, origin=(x, y + north * INCH, z)))
    return replace(assembly, parts=tuple(there if p is part else p for p in assembly.parts))


def test_a_handrail_of_the_other_guard_moved_into_the_way(planned):
    assembly = planned("both-sides-stair").assembly
    bar = next(p for p in bodies(assembly, "handrail", "B") if abs(p.place.z[2]) > 0.1)
    # 39 in are clear, 12 in more than two handrails have to leave.
    assert not widths(moved(assembly, bar, -12.0))
    (found,) = widths(moved(assembly, bar, -12.0 - 2e-6))
    assert (found.severity, found.limit) == ("fail", pytest.approx(27 * INCH))
    assert bar.mark in found.where
    assert not found.edits


def test_an_obstacle_beside_the_treads_counts(built):
    assembly = built(width="42 in")
    tread = assembly.by_mark["T4"]
    assert isinstance(tread.shape, Prism)
    # A body 6 in wide and 4 ft high at the far side: 42 - 6 in above the handrail, 5-1/4 in less
    # below.
    base = tread.shape.section.outer.corners
    east, far = min(a for a, _ in base), max(b for _, b in base)
    low = far - 6 * INCH
    plan = Polygon(((east, low), (east + 100.0, low), (east + 100.0, far), (east, far)))
    shape = replace(tread.shape, section=Section(plan), end=EndPlane(48 * INCH))
    column = replace(tread, mark="X1", kind="column", shape=shape, belongs_to="X1", detail=None)
    there = replace(assembly, parts=(*assembly.parts, column))
    assert measured(there) == pytest.approx({36: 36, 31.5: 30.75})
    (found,) = widths(there)
    assert found.where[-1] == "X1"
    assert not found.edits
