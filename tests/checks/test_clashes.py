"""One part of a good job is moved until it clashes: the finding, its true distance, its remedy.

Outside source: Open CASCADE's distances of the nearest parts of the lake deck. Worked values by
hand, in inches, from the lake deck's own numbers; clearances are common practice, no source.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from changing import changed, shifted
from generator.checks.bores import check_bores
from generator.checks.clashes import check_clashes, clashes
from generator.geometry import EndPlane, along, scale, upright
from generator.parts.assembly import Part, PostDetail, detail_of
from generator.parts.shapes import Prism, Rectangle, Section

INCH = 25.4
CLEARANCE = INCH / 8
TINY = 2e-6


@pytest.fixture(scope="module")
def assembly(light_lake_deck):
    return light_lake_deck.assembly


def with_box(assembly, middle, size, name="downpipe", bearing=0.0):
    """The assembly with an obstacle about a point: its plan's middle and its middle height."""
    width, depth, height = size
    shape = Prism(Section(Rectangle(width, depth)), EndPlane(-height / 2), EndPlane(height / 2))
    box = Part("OB1", "obstacle", name, "", 0, shape, upright(middle, bearing), "OB1")
    return replace(assembly, parts=(*assembly.parts, box))


def found(assembly):
    """Outcomes past their limits, by code and marks."""
    return {(o.code, o.where): o for o in check_clashes(assembly) if not o.passed}


def the(assembly):
    """The one clash there is."""
    (outcome,) = found(assembly).values()
    return outcome


def cable_axis(assembly, mark):
    """A point in the middle of a straight cable, and its direction."""
    part = assembly.by_mark[mark]
    return part.place.point(scale(part.shape.points[1], 0.5)), part.place.z


def test_the_lake_deck_as_it_is_has_none(assembly):
    assert found(assembly) == {}
    assert list(check_bores(assembly)) == []


@pytest.mark.parametrize(
    "gap, severity",
    [(CLEARANCE + TINY, None), (CLEARANCE - TINY, "warn"), (0.5, "warn"), (-0.5, "fail")],
)
def test_an_obstacle_beside_a_cable(assembly, gap, severity):
    (x, y, z), _ = cable_axis(assembly, "C6")
    # A slim block, its side at that gap from the cable's side; the next rows are 3 in away.
    side = y - CLEARANCE / 2 - gap
    box = with_box(assembly, (x + 200.0, side - 50.0, z), (80.0, 100.0, 40.0))
    if severity is None:
        assert found(box) == {}
        return
    outcome = the(box)
    assert (outcome.code, outcome.where) == ("clash.parts", ("C6", "OB1"))
    assert outcome.severity == severity
    assert outcome.measured == pytest.approx(gap, abs=1e-6)
    assert outcome.bound.value == pytest.approx(CLEARANCE)
    assert outcome.point is not None
    assert math.dist(outcome.point, (outcome.point[0], y, z)) < 60.0
    assert abs(outcome.point[0] - x - 200.0) <= 40.0 + 1e-9
    assert "downpipe OB1" in outcome.message
    assert "toward the walking side" in outcome.remedy


def test_what_is_alike_is_told_once(assembly):
    (x, y, z), _ = cable_axis(assembly, "C6")
    box = with_box(assembly, (x + 200.0, y, z), (80.0, 10.0, 3000.0))
    outcomes = found(box)
    assert [where[1] for _, where in outcomes] == ["OB1", "OB1"]
    assert {where[0][0] for _, where in outcomes} == {"C", "R"}
    (cable,) = (o for (_, where), o in outcomes.items() if where[0].startswith("C"))
    assert "and so do 10 more of this leg" in cable.message
    # Through the middle of the box's depth: half of it and the cable's radius.
    assert cable.measured == pytest.approx(-(5.0 + INCH / 16), abs=1e-6)


def test_a_box_beyond_the_flat_tip_of_a_stud(assembly):
    stud = assembly.by_mark["F12S"]
    tip, out = stud.place.origin, scale(stud.place.z, -1.0)
    for gap, past in ((CLEARANCE + TINY, False), (CLEARANCE - TINY, True)):
        middle = along(tip, out, gap + 15.0)
        outcomes = found(with_box(assembly, middle, (30.0, 30.0, 12.0)))
        assert bool(outcomes) is past
        if past:
            outcome = outcomes["clash.fittings", ("F12S", "OB1")]
            assert outcome.measured == pytest.approx(gap, abs=1e-6)


def test_a_plate_moved_toward_the_wall(assembly):
    # The plate of 5 in stands 2 + 1.25 - 2.5 = 0.75 in off the wall.
    west = (-(0.75 * INCH - CLEARANCE) + TINY, 0.0, 0.0)
    assert found(shifted(assembly, "BP1", west)) == {}
    nearer = the(shifted(assembly, "BP1", (west[0] - 2 * TINY, 0.0, 0.0)))
    assert (nearer.code, nearer.where) == ("clash.post-wall", ("BP1", "WL1"))
    assert nearer.severity == "warn"
    assert nearer.measured == pytest.approx(CLEARANCE, abs=5e-6)
    into = the(shifted(assembly, "BP1", (-INCH, 0.0, 0.0)))
    assert into.severity == "fail"
    assert into.measured / INCH == pytest.approx(-0.25, abs=1e-7)
    assert into.remedy.startswith('move base plate BP1 3/8" on along run A, leg 1')


def test_a_cable_that_is_not_drilled_for(assembly):
    def undrilled(part):
        detail = detail_of(part, PostDetail)
        rows = tuple(hole for hole in detail.drilling if hole.row != 4)
        return replace(part, detail=replace(detail, drilling=rows))

    outcome = the(changed(assembly, "P3", undrilled))
    assert (outcome.code, outcome.where) == ("clash.cable-post", ("C4", "P3"))
    # Out sideways: half of the tube of 2-1/2 in and half of the cable of 1/8 in.
    assert outcome.measured / INCH == pytest.approx(-(1.25 + 0.0625), abs=1e-9)


def test_a_stud_in_a_post_that_is_not_its_own(assembly):
    x, y, _ = assembly.by_mark["P2"].place.origin
    stray = assembly.by_mark["F3S"]
    shift = (x - stray.place.origin[0] - 10.0, y - stray.place.origin[1], 12.0)
    outcomes = found(shifted(assembly, "F3S", shift))
    assert ("clash.fittings", ("F3S", "P2")) in outcomes


@pytest.mark.parametrize("up, past", [(1.375 - 1e-7, False), (1.375 + 1e-3, True)])
def test_a_spacer_raised_into_the_rail(assembly, up, past):
    rail = assembly.by_mark["R1"].place.origin[2] - 0.75 * INCH
    spacer = assembly.by_mark["S1"]
    top = spacer.place.origin[2] + spacer.shape.end.z_mm
    lift = rail - top + (up - 1.375) * INCH
    outcomes = found(shifted(assembly, "S1", (0.0, 0.0, lift)))
    clash = outcomes.get(("clash.parts", ("S1", "R1")))
    assert (clash is not None) is past
    if clash:
        assert clash.measured == pytest.approx(-1e-3 * INCH, abs=1e-6)


def test_a_nut_moved_into_its_post(assembly):
    nut = assembly.by_mark["N2S"]
    # Its washer, 1/16 in thick, lies between: the nut meets it at once, the post after that.
    inward = scale(nut.place.z, -2.0)
    outcomes = found(shifted(assembly, "N2S", inward))
    assert outcomes["clash.fittings", ("N2S", "P1")].measured == pytest.approx(
        -(2.0 - INCH / 16), abs=1e-6
    )
    assert ("clash.fittings", ("W2S", "N2S")) in outcomes


def test_a_sleeve_lies_in_the_two_pieces_that_it_joins(assembly):
    (sleeve,) = assembly.of_kind("sleeve")
    assert found(shifted(assembly, sleeve.mark, (30.0, 0.0, 0.0))) == {}
    owner = next(part for part in assembly.of_kind("rail") if part.leg == 3)
    other = changed(assembly, sleeve.mark, lambda part: replace(part, belongs_to=owner.mark))
    assert {where for _, where in found(other)} == {(sleeve.mark, "R1"), (sleeve.mark, "R2")}
    # Dropped out of the rail it meets the bracket at the joint, and its post.
    below = {where for _, where in found(shifted(assembly, sleeve.mark, (0.0, 0.0, -30.0)))}
    assert below == {("K2", sleeve.mark), (sleeve.mark, "P2")}


def test_nothing_is_said_of_what_stands_there_already(assembly):
    assert (
        found(shifted(assembly, "T2", (0.0, 0.0, 40.0)))
        .keys()
        .isdisjoint({("clash.parts", ("T2", "RB2")), ("clash.parts", ("RB2", "T2"))})
    )


def marks(assembly):
    """Some part of every kind that is ordered, but what lies inside others."""
    inside = ("sleeve", "connector", "anchor")
    kinds = dict.fromkeys(
        part.kind for part in assembly.parts if not part.reference and part.kind not in inside
    )
    return [next(p.mark for p in assembly.parts if p.kind == kind) for kind in kinds]


def test_every_part_in_the_way_of_a_box_is_told(assembly):
    for mark in marks(assembly):
        part = assembly.by_mark[mark]
        corners = outline(part)
        middle = tuple((min(c) + max(c)) / 2 for c in zip(*corners, strict=True))
        outcomes = found(with_box(assembly, middle, (4.0, 4.0, 4.0)))
        told = {where[0] for _, where in outcomes}
        assert mark in told or part.kind == "nut", (mark, told)


def outline(part):
    """Points that hold a part, in the world."""
    shape = part.shape
    if isinstance(shape, Prism):
        return [
            part.place.point((x, y, cut.at(x, y)))
            for cut in (shape.start, shape.end)
            for x, y in shape.section.outer.corners
        ]
    if hasattr(shape, "points"):
        return [part.place.point(point) for point in shape.points]
    return [part.place.point((0.0, 0.0, z)) for z in (0.0, shape.steps[-1].end_mm)]


DIRECTIONS = {
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
    "on along run A, leg 1": (1.0, 0.0, 0.0),
    "back along run A, leg 1": (-1.0, 0.0, 0.0),
    "toward the walking side": (0.0, 1.0, 0.0),
    "away from the walking side": (0.0, -1.0, 0.0),
}


def said(remedy):
    """The shift of a remedy's words, mm, on leg 1 that heads east with the deck on its left."""
    words = re.fullmatch(r"move (?:.+?) [A-Z]+[0-9ES-]+ (.+), or .+ the other way(?:; .+)?", remedy)
    assert words, remedy
    total = np.zeros(3)
    for move in words[1].split(" and "):
        told = re.fullmatch(r'([0-9 /]+)" (.+)', move)
        assert told, move
        size, direction = told.groups()
        inches = sum(
            float(a) / float(b or 1) for a, b in re.findall(r"([0-9]+)(?:/([0-9]+))?", size)
        )
        total += np.array(DIRECTIONS[direction]) * inches * INCH
    x, y, z = total.tolist()
    return (x, y, z)


@pytest.mark.parametrize("bearing", [0.0, 20.0, 45.0, 70.0])
@pytest.mark.parametrize("up", [0.0, 18.0, -19.5])
@pytest.mark.parametrize("aside", [-24.0, 3.0, 29.5])
def test_the_move_that_the_remedy_tells_clears_it(assembly, bearing, up, aside):
    (x, y, z), _ = cable_axis(assembly, "C6")
    middle = (x + 200.0, y + aside, z + up)
    clashing = with_box(assembly, middle, (40.0, 50.0, 36.0), bearing=bearing)
    outcome = the(clashing)
    assert outcome.where == ("C6", "OB1")
    shift = scale(said(outcome.remedy), -1.0)
    freed = shifted(clashing, "OB1", shift)
    assert ("clash.parts", ("C6", "OB1")) not in found(freed)


def test_distances_of_the_nearest_parts_against_the_cad_kernel(assembly, cad_distance):
    (x, y, z), _ = cable_axis(assembly, "C6")
    compared = 0
    for up in (4.0, 10.2, 11.4, 12.0):
        for bearing in (0.0, 30.0):
            box = with_box(
                assembly, (x + 200.0, y + 3.0, z + up), (30.0, 3.0, 16.0), "pipe", bearing
            )
            for clash in clashes(box):
                if "OB1" not in (clash.first.mark, clash.second.mark):
                    continue
                true = cad_distance(clash.first, clash.second)
                assert max(clash.distance, 0.0) == pytest.approx(true, abs=1e-9)
                compared += true > 0.0
    assert compared >= 4


def test_the_same_parts_make_the_same_findings_in_the_same_order(assembly):
    (x, y, z), _ = cable_axis(assembly, "C6")
    box = with_box(assembly, (x + 200.0, y, z), (80.0, 10.0, 3000.0))
    assert list(check_clashes(box)) == list(check_clashes(box))


def test_no_parts_no_clash(assembly):
    assert list(check_clashes(replace(assembly, parts=()))) == []


@pytest.mark.parametrize("over, depth", [(5.0, 5.0), (12.0, INCH / 4)])
def test_studs_slid_over_each_other_on_one_axis(assembly, over, depth):
    # Tip to tip they face each other: parted along where they overlap by less than the sum of
    # their radii, 1/4 in, else sideways, any way across.
    stud, other = assembly.by_mark["F3S"], assembly.by_mark["F3E"]
    x, y, z = (a - b for a, b in zip(stud.place.origin, other.place.origin, strict=True))
    slid = shifted(assembly, "F3E", (x + over, y, z))
    outcome = found(slid)["clash.fittings", ("F3S", "F3E")]
    assert outcome.measured == pytest.approx(-depth, abs=1e-9)
    assert outcome.severity == "fail"


def test_a_riser_raised_into_the_cables(assembly):
    # By hand: the lowest cable passes 1.19237 cos p in over the nosing line, plumb 1.19237; the
    # board's top is a tread of 1-1/2 in below that, at the nosing.
    riser = assembly.by_mark["RB2"]
    up = 1.19237 * INCH + 1.5 * INCH
    outcomes = found(shifted(assembly, "RB2", (0.0, 0.0, up)))
    clash = outcomes["clash.cable-tread", ("C23", "RB2")]
    assert clash.severity == "fail"
    assert riser.reference
    assert found(shifted(assembly, "RB2", (0.0, 0.0, up - 0.25 * INCH))) == {}


def test_a_bracket_lowered_onto_the_top_cable(assembly):
    # By hand: 1-3/8 in under the rail lies the top cable's upper side; the bracket hangs below it.
    bracket = assembly.by_mark["K3"]
    size = bracket.shape.section.outer.depth_mm
    gap = 1.375 * INCH - size
    kept = (0.0, 0.0, -(gap - CLEARANCE) + TINY)
    where = ("clash.cable-post", ("C11", "K3"))
    assert where not in found(shifted(assembly, "K3", kept))
    outcome = found(shifted(assembly, "K3", (0.0, 0.0, kept[2] - 2 * TINY)))[where]
    assert outcome.severity == "warn"
    assert outcome.measured == pytest.approx(CLEARANCE, abs=5e-6)


def test_an_anchor_of_one_post_in_the_plate_of_another(assembly):
    # The two posts of the pair: BP9 lies beside BP8.
    bolt = assembly.by_mark["A8-3"].place.origin
    plate = assembly.by_mark["BP9"].place.origin
    shift = (plate[0] - bolt[0], plate[1] - bolt[1], 0.0)
    outcomes = found(shifted(assembly, "A8-3", shift))
    assert outcomes["clash.parts", ("A8-3", "BP9")].severity == "fail"


def test_no_example_has_a_clash(root, light):
    for path in sorted((root / "examples").glob("*.yaml")):
        past = found(light(path.stem).assembly)
        assert past == {}, path.stem
