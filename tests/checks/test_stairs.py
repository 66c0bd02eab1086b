"""A stair tread by tread: each check goes on when one part is moved, turned or resized.

Limits: IRC 2021 R311.7.5.1 (riser 7-3/4 in, variation 3/8 in), R311.7.5.2 (tread 10 in), R311.7.5.3
(nosing 3/4 to 1-1/4 in under treads of 11 in), R311.7.3 (12 ft 7 in); IBC 1011.5.2 (4 to 7 in, 11
in), dwellings 7-3/4 and 10 in; NBC Tables 9.8.4.1 and 9.8.4.2, 9.8.4.4; NCC Table 11.2.2a (115 to
190 mm, 240 to 355 mm, 2R + G 550 to 700 mm, 2 to 18 risers, 5 and 10 mm); 29 CFR 1910.25(c). Which
of them were read stands in the rule sets. Worked values: by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from generator.checks import run
from generator.geometry import EndPlane
from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.shapes import Polygon, Prism, Section
from generator.spec import read_job
from generator.spec.job import Stair

INCH = 25.4


def of(assembly, code="stair."):
    return [
        f for f in run(assembly).findings if f.code.startswith(code) and f.code != "stair.width"
    ]


def codes(assembly):
    return {f.code for f in of(assembly)}


@pytest.fixture
def built(spec_values, read_values):
    """The assembly of one stair, down to the ground, by a rule set."""

    def make(rules="irc-2021", legs=None, **stair):
        values = spec_values("lake-deck")
        values["job"]["rules"] = rules
        leg = {"stair": stair}
        values["runs"] = [
            {"id": "A", "start": {"z": "9 ft", "end": "free"}, "legs": legs or [leg], "end": "free"}
        ]
        values["handrail"] = "elsewhere"
        return assemble(layout(read_values(values)))

    return make


def shifted(assembly, mark, x=0.0, y=0.0, z=0.0):
    """The assembly with one part moved, inches east, north and up."""
    part = assembly.by_mark[mark]
    a, b, c = part.place.origin
    origin = (a + x * INCH, b + y * INCH, c + z * INCH)
    moved = replace(part, place=replace(part.place, origin=origin))
    return replace(assembly, parts=tuple(moved if p is part else p for p in assembly.parts))


def measure(assembly, code, sense):
    return [m for m in run(assembly).measures if m.code == code and m.sense == sense]


def test_the_lake_decks_stair_is_measured_and_passes(lake_deck):
    assembly = lake_deck.assembly
    assert codes(assembly) == set()
    riser, flight = measure(assembly, "stair.riser", "at most")
    # 4 ft in seven risers; treads of 11 in.
    assert riser.measured / INCH == pytest.approx(48 / 7)
    assert (riser.limit, riser.clause) == (pytest.approx(7.75 * INCH), "R311.7.5.1")
    assert (flight.measured, flight.limit) == (pytest.approx(48 * INCH), pytest.approx(151 * INCH))
    tread, *_ = measure(assembly, "stair.tread", "at least")
    assert tread.measured / INCH == pytest.approx(11)
    assert (tread.limit, tread.clause) == (pytest.approx(10 * INCH), "R311.7.5.2")
    varied = measure(assembly, "stair.variation", "at most")
    assert [m.measured for m in varied] == pytest.approx([0.0] * len(varied), abs=1e-6)


# (rule set, riser, tread, codes): at the limit and just past it; two treads more than one riser.
LIMITS = [
    ("irc-2021", "7-3/4 in", "11 in", set()),
    ("irc-2021", "7.76 in", "11 in", {"stair.riser"}),
    ("irc-2021", "7 in", "10 in", {"stair.tread"}),  # no nosing under a tread of less than 11 in
    ("irc-2024", "7-3/4 in", "11 in", set()),
    ("ibc-2021", "7 in", "11 in", set()),
    ("ibc-2021", "7.01 in", "11 in", {"stair.riser"}),
    ("ibc-2021", "3.99 in", "11 in", {"stair.riser"}),
    ("ibc-2021", "7 in", "10.99 in", {"stair.tread"}),
    ("ibc-2021-dwelling", "7-3/4 in", "10 in", set()),
    ("ibc-2021-dwelling", "7.76 in", "10 in", {"stair.riser"}),
    ("ibc-2021-dwelling", "7 in", "9.99 in", {"stair.tread"}),
    ("nbc-2020", "200 mm", "255 mm", set()),
    ("nbc-2020", "200.1 mm", "255 mm", {"stair.riser"}),
    ("nbc-2020", "124.9 mm", "255 mm", {"stair.riser"}),
    ("nbc-2020", "180 mm", "254.9 mm", {"stair.tread"}),
    ("nbc-2020", "180 mm", "355.1 mm", {"stair.tread"}),
    ("ncc-2022", "190 mm", "240 mm", set()),
    ("ncc-2022", "190.1 mm", "240 mm", {"stair.riser"}),
    ("ncc-2022", "115 mm", "320 mm", set()),  # 2R + G = 550 mm
    ("ncc-2022", "115 mm", "319.9 mm", {"stair.tread"}),
    ("ncc-2022", "114.9 mm", "330 mm", {"stair.riser"}),
    ("ncc-2022", "172.5 mm", "355 mm", set()),  # 2R + G = 700 mm
    ("ncc-2022", "172.6 mm", "355 mm", {"stair.tread"}),
    ("ncc-2022", "160 mm", "239.9 mm", {"stair.tread"}),
    ("osha-1910.29", "9-1/2 in", "9-1/2 in", set()),
    ("osha-1910.29", "9.51 in", "9-1/2 in", {"stair.riser"}),
    ("osha-1910.29", "7 in", "9.49 in", {"stair.tread"}),
]


@pytest.mark.parametrize("rules, riser, tread, expected", LIMITS)
def test_limits_of_riser_and_tread(built, rules, riser, tread, expected):
    number, unit = riser.rsplit(" ", 1)
    whole, _, part = number.partition("-")
    value = float(whole) + (eval_fraction(part) if part else 0.0)
    assembly = built(rules, risers=5, rise=f"{5 * value:.6f} {unit}", tread=tread)
    assert codes(assembly) == expected


def eval_fraction(text):
    top, _, bottom = text.partition("/")
    return int(top) / int(bottom)


def test_a_tread_moved_up_makes_unlike_risers(lake_deck):
    # By hand: 6.857 in and 1/2 in more on one side of it, less on the other.
    found = {f.code: f for f in of(shifted(lake_deck.assembly, "T3", z=0.5))}
    varied = found["stair.variation"]
    assert (varied.severity, varied.where) == ("fail", ("T3", "T4"))
    assert varied.measured is not None
    assert varied.measured / INCH == pytest.approx(1.0)
    assert set(found) == {"stair.variation"}
    high = {f.code: f for f in of(shifted(lake_deck.assembly, "T3", z=1.0))}
    assert high["stair.riser"].where == ("T3", "T4")
    assert high["stair.riser"].measured == pytest.approx((48 / 7 + 1) * INCH)


@pytest.mark.parametrize("mark, where", [("G1", "G1"), ("T1", "T1")])
def test_the_first_and_the_last_riser_count(lake_deck, mark, where):
    # The lower floor, and the tread under the upper one, 1/2 in higher.
    (varied,) = [
        f for f in of(shifted(lake_deck.assembly, mark, z=0.5)) if f.code == "stair.variation"
    ]
    assert where in varied.where


@pytest.mark.parametrize("up, told", [(0.1875, False), (0.18751, True)])
def test_variation_to_its_limit(lake_deck, up, told):
    # A tread raised by x makes two risers that differ by 2x: 3/8 in.
    found = of(shifted(lake_deck.assembly, "T3", z=up))
    assert bool(found) is told


def test_a_finding_goes_on_within_a_millionth_of_its_limit(lake_deck):
    # The tread above grows by what that below shrinks: 3/8 in between them.
    kept = shifted(lake_deck.assembly, "T3", x=3 / 16 - 2e-6 / INCH)
    past = shifted(lake_deck.assembly, "T3", x=3 / 16 + 2e-6 / INCH)
    assert "stair.variation" not in codes(kept)
    assert "stair.variation" in codes(past)


def test_a_tread_moved_along_is_unlike_its_neighbours(lake_deck):
    found = {f.code: f for f in of(shifted(lake_deck.assembly, "T3", x=-1.5))}
    assert found["stair.tread"].where == ("T3",)
    assert found["stair.tread"].measured == pytest.approx(9.5 * INCH)
    assert found["stair.variation"].measured == pytest.approx(3 * INCH)


def test_a_tread_cut_shorter_is_found(lake_deck):
    part = lake_deck.assembly.by_mark["T3"]
    assert isinstance(part.shape, Prism)
    outline = part.shape.section.outer
    front = max(x for x, _ in outline.corners)
    cut = Polygon(tuple((x - 2 * INCH if x == front else x, y) for x, y in outline.corners))
    short = replace(part, shape=replace(part.shape, section=Section(cut)))
    parts = tuple(short if p is part else p for p in lake_deck.assembly.parts)
    found = {f.code: f for f in of(replace(lake_deck.assembly, parts=parts))}
    assert found["stair.tread"].measured == pytest.approx(9 * INCH)


def test_a_tread_turned_is_measured_on_both_sides(lake_deck):
    part = lake_deck.assembly.by_mark["T3"]
    turn = math.radians(4)
    place = part.place

    def turned(v):
        x, y, z = v
        return (
            x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn), z
        )  # fmt: skip

    moved = replace(part, place=replace(place, x=turned(place.x), y=turned(place.y)))
    parts = tuple(moved if p is part else p for p in lake_deck.assembly.parts)
    found = {f.code: f for f in of(replace(lake_deck.assembly, parts=parts))}
    # 36 in wide: the far side goes back by 36 tan 4 deg = 2-1/2 in.
    assert "stair.tread" in found
    assert found["stair.variation"].measured is not None
    assert found["stair.variation"].measured > 2 * INCH


def test_a_thicker_tread_is_a_higher_one(lake_deck):
    part = lake_deck.assembly.by_mark["T6"]
    assert isinstance(part.shape, Prism)
    thick = EndPlane(part.shape.end.z_mm + 0.5 * INCH)
    parts = tuple(
        replace(p, shape=replace(part.shape, end=thick)) if p is part else p
        for p in lake_deck.assembly.parts
    )
    (found,) = of(replace(lake_deck.assembly, parts=parts))
    assert (found.code, found.where) == ("stair.variation", ("T6", "G1"))


@pytest.mark.parametrize("direction", ["down", "up"])
@pytest.mark.parametrize("nosing, tread, expected", [
    ("0 in", "11 in", set()),
    ("0 in", "10.9 in", {"stair.tread"}),
    ("3/4 in", "10 in", set()),
    ("0.74 in", "10 in", {"stair.tread"}),
    ("1-1/4 in", "10 in", set()),
    ("1.26 in", "10 in", {"stair.tread"}),
    ("1.26 in", "11 in", {"stair.tread"}),
])  # fmt: skip
def test_nosings_of_the_irc(built, direction, nosing, tread, expected):
    # R311.7.5.3: read in a copy of the IRC 2024, R318.7.5.3
    stair = built(risers=5, rise="35 in", tread=tread, nosing=nosing, direction=direction)
    assert codes(stair) == expected


def test_open_risers_have_no_projection(built):
    open_ = built(risers=5, rise="35 in", tread="10 in", nosing="0 in", open_risers=True)
    assert codes(open_) == set()


@pytest.mark.parametrize("rules, rise, expected", [
    ("irc-2021", "151 in", set()),
    ("irc-2021", "151.1 in", {"stair.riser"}),
    ("ibc-2021-dwelling", "144 in", set()),
    ("ibc-2021-dwelling", "144.1 in", {"stair.riser"}),
    ("nbc-2020", "3700 mm", set()),
    ("nbc-2020", "3701 mm", {"stair.riser"}),
])  # fmt: skip
def test_rise_of_a_flight(built, rules, rise, expected):
    assert codes(built(rules, risers=20, rise=rise, tread="11 in")) == expected


@pytest.mark.parametrize("risers, expected", [(18, set()), (19, {"stair.riser"})])
def test_risers_of_a_flight_in_australia(built, risers, expected):
    assert codes(built("ncc-2022", risers=risers, rise="2.7 m", tread="300 mm")) == expected


def test_a_single_step_is_a_note_in_australia(built):
    (found,) = of(built("ncc-2022", risers=1, rise="150 mm", tread="300 mm"))
    assert (found.code, found.severity, found.measured, found.limit) == (
        "stair.riser",
        "note",
        1,
        2,
    )


NBC_STEPS = [
    # 9.8.4.4: 5 mm between neighbours, 10 mm in the flight
    ([170, 175, 180, 180], set()),
    ([170, 175.1, 180, 180], {"stair.variation"}),
    ([170, 175, 180, 180.1], {"stair.variation"}),
]


@pytest.mark.parametrize("rules", ["nbc-2020", "ncc-2022"])
@pytest.mark.parametrize("rises, expected", NBC_STEPS)
def test_neighbours_and_the_whole_flight(built, rules, rises, expected):
    treads = [{"rise": f"{rise} mm", "going": "280 mm"} for rise in rises]
    assert codes(built(rules, treads=treads)) == expected


def test_one_stair_with_two_guards_is_told_once(planned):
    assembly = planned("both-sides-stair").assembly
    assert codes(assembly) == set()
    risers = [m for m in run(assembly).measures if m.code == "stair.riser"]
    alone = [m for m in run(planned("lake-deck").assembly).measures if m.code == "stair.riser"]
    assert len(risers) == len(alone)


def test_a_stair_in_a_loop_finds_its_floors(job_of):
    # Down, round, and up again by a ramp: the closing corner is at the head of the stair.
    legs = [
        {"stair": {"risers": 4, "rise": "28 in", "tread": "11 in"}},
        {"level": "4 ft"},
        {"turn": 90, "corner": "pair"},
        {"level": "8 ft"},
        {"turn": 90, "corner": "pair"},
        {"ramp": {"length": "81 in", "rise": "28 in"}},
        {"turn": 90, "corner": "pair"},
        {"level": "8 ft"},
    ]
    assembly = assemble(layout(job_of(legs, units="in", closed="pair")))
    riser, *_ = measure(assembly, "stair.riser", "at most")
    assert riser.measured == pytest.approx(7 * INCH)


def mended(read_values, values, finding):
    for edit in finding.edits:
        key = edit.path.rsplit(".", 1)[1]
        for leg in values["runs"][0]["legs"]:
            if "stair" in leg:
                leg["stair"][key] = int(edit.value) if key == "risers" else edit.value
    return assemble(layout(read_values(values)))


EDITS = [
    ("stair.riser", {"risers": 6, "rise": "48 in", "tread": "11 in"}),
    ("stair.riser", {"risers": 6, "rise": "48 in", "tread": "11 in", "direction": "up"}),
    ("stair.tread", {"risers": 7, "rise": "48 in", "tread": "9-1/2 in", "nosing": "1 in"}),
    ("stair.tread", {"risers": 7, "rise": "48 in", "going": "57 in", "nosing": "1 in"}),
    ("stair.tread", {"risers": 7, "rise": "48 in", "tread": "10-1/2 in"}),
    ("stair.tread", {"risers": 7, "rise": "48 in", "tread": "11 in", "nosing": "1-1/2 in"}),
    ("stair.width", {"risers": 7, "rise": "48 in", "tread": "11 in", "width": "35 in"}),
]


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("code, stair", EDITS)
def test_edits_clear_their_finding_and_bring_no_new_failure(
    spec_values, read_values, code, stair, units
):
    values = spec_values("lake-deck")
    values["job"]["units"] = units
    values["handrail"] = "elsewhere"
    values["runs"][0]["legs"][-1]["stair"] = dict(stair)
    before = run(assemble(layout(read_values(values)))).findings
    findings = [f for f in before if f.code == code and f.severity == "fail"]
    assert findings
    for finding in findings:
        assert finding.edits
        assert finding.edits[0].path.startswith("runs[0].legs[4].stair.")
    after = run(mended(read_values, values, findings[0])).findings
    for finding in [f for f in after if f.code == code and f.severity == "fail"]:
        after = run(mended(read_values, values, finding)).findings
    failed = {f.code for f in after if f.severity == "fail"}
    assert code not in failed
    assert failed <= {f.code for f in before if f.severity == "fail"}


def test_a_stair_as_measured_has_no_edits(built):
    treads = [{"rise": rise, "going": "11 in"} for rise in ("7 in", "8 in", "7 in", "7 in")]
    found = of(built(treads=treads))
    assert {f.code for f in found} == {"stair.riser", "stair.variation"}
    assert all(not f.edits for f in found)


def test_read_back_says_by_what_treads_are_given(root):
    paths = {"lake-deck": "tread", "measured-stair": "treads", "mill-mezzanine": "going"}
    for name, key in paths.items():
        job = read_job(root / "examples" / f"{name}.yaml")
        given = [i.given_by for r in job.runs for i in r.legs if isinstance(i, Stair)]
        assert given == [key]
