"""Room for a socket or a wrench at nuts, bolt heads and lag screws of the lake deck.

Worked by hand in inches; how wide sockets and wrenches are is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.checks import run
from generator.checks.bodies import bodies_of
from generator.checks.tools import check_tools
from generator.geometry import EndPlane, add, along, scale, upright
from generator.layout import layout
from generator.parts.assembly import CableDetail, Part, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Rectangle, Section

INCH = 25.4
# A socket is 1-1/2 times as wide as its nut over the flats: 9/16 in bolts, 7/16 in nuts.
BOLT, NUT = 1.5 * 9 / 32, 1.5 * 7 / 32


@pytest.fixture(scope="module")
def assembly(light_lake_deck):
    return light_lake_deck.assembly


def block(n, middle, size):
    width, depth, height = (INCH * value for value in size)
    shape = Prism(Section(Rectangle(width, depth)), EndPlane(-height / 2), EndPlane(height / 2))
    return Part(f"OB{n}", "obstacle", "block", "", 0, shape, upright(middle, 0.0), f"OB{n}")


def stuck(assembly):
    found = check_tools(assembly, bodies_of(assembly.parts))
    return [outcome for outcome in found if not outcome.passed]


def walled(assembly, mark, gap, sides="ENWS", out=0.0):
    """Blocks that stand `gap` inches off an upright bolt's axis, on some sides of it."""
    x, y, z = assembly.by_mark[mark].place.origin
    off = (gap + 0.5) * INCH
    spots = {"E": (off, 0.0), "W": (-off, 0.0), "N": (0.0, off), "S": (0.0, -off)}
    blocks = []
    for n, side in enumerate(sides, 1):
        dx, dy = spots[side]
        size = (1.0, 6.0, 3.0) if side in "EW" else (6.0, 1.0, 3.0)
        blocks.append(block(n, (x + dx, y + dy, z + (1.6 + out) * INCH), size))
    return replace(assembly, parts=(*assembly.parts, *blocks))


def test_the_lake_deck_has_room_everywhere(assembly):
    (least,) = check_tools(assembly, bodies_of(assembly.parts))
    assert least.passed
    assert least.bound.value in (pytest.approx(BOLT * INCH), pytest.approx(NUT * INCH))


@pytest.mark.parametrize("gap, told", [(BOLT + 1e-4, False), (BOLT - 1e-4, True), (0.35, True)])
def test_a_bolt_head_in_a_shaft(assembly, gap, told):
    found = stuck(walled(assembly, "A3-1", gap))
    assert bool(found) is told
    if told:
        (outcome,) = found
        assert outcome.code == "anchor.access"
        assert outcome.where[0] == "A3-1"
        assert outcome.where[1].startswith("OB")
        assert outcome.measured / INCH == pytest.approx(gap)
        assert outcome.bound.value == pytest.approx(BOLT * INCH)
        assert outcome.bound.clause == "common practice"
        assert outcome.point == assembly.by_mark["A3-1"].place.origin


def test_a_wrench_turns_where_one_side_is_open(assembly):
    # No socket goes on beside a block; an open wrench swings on the other side, clear of the post.
    assert stuck(walled(assembly, "A3-1", 0.4, sides="W")) == []


def test_a_head_that_is_covered(assembly):
    # Nothing beside it: what lies in the reach of a socket stops that, a wrench turns below.
    x, y, z = assembly.by_mark["A3-1"].place.origin
    for up in (1.6, 0.45):
        lid = block(1, (x, y, z + up * INCH), (8.0, 8.0, 0.3))
        assert stuck(replace(assembly, parts=(*assembly.parts, lid))) == []
    # Down in a shaft that is covered as well nothing goes on.
    shaft = walled(assembly, "A3-1", 0.5)
    assert stuck(shaft) == []
    lid = block(5, (x, y, z + 0.55 * INCH), (1.0, 1.0, 0.3))
    (outcome,) = stuck(replace(shaft, parts=(*shaft.parts, lid)))
    assert outcome.where == ("A3-1", "OB5")


def cable_of(assembly, mark):
    return next(p for p in assembly.of_kind("cable") if p.mark == mark)


@pytest.mark.parametrize("end, severity", [("S", "note"), ("E", None)])
def test_a_nut_in_a_box_at_a_dead_and_at_a_pulled_end(assembly, end, severity):
    # The nut of a dead end is run on by hand: a note.
    ends = detail_of(cable_of(assembly, "C12"), CableDetail).ends
    assert ends == ("dead", "pulling")
    nut = assembly.by_mark[f"N12{end}"]
    middle = along(nut.place.origin, nut.place.z, 3.0)
    out, up = nut.place.z, (0.0, 0.0, 1.0)
    aside = (out[1], -out[0], 0.0)
    blocks = []
    for n, way in enumerate((up, scale(up, -1.0), aside, scale(aside, -1.0)), 1):
        upright_side = way[2] == 0.0
        size = (0.5, 0.5, 1.2) if upright_side else (1.4, 1.4, 0.5)
        blocks.append(block(n, add(middle, scale(way, 0.55 * INCH)), size))
    found = stuck(replace(assembly, parts=(*assembly.parts, *blocks)))
    mine = [outcome for outcome in found if outcome.where[0] == nut.mark]
    assert [outcome.severity for outcome in mine] == [severity]
    assert mine[0].measured / INCH == pytest.approx(0.3)
    assert mine[0].bound.value == pytest.approx(NUT * INCH)


def test_bolts_between_two_plates_of_a_pair_too_near(job_of):
    # Posts 1/4 in apart by their plates leave room; the base plate's bolts 1/2 in from each edge.
    legs = [{"level": 3000}, {"turn": 90, "corner": "pair"}, {"level": 3000}]
    report = run(assemble(layout(job_of(legs))))
    assert [f for f in report.findings if f.code == "anchor.access"] == []


def test_no_anchors_and_no_cables_ask_for_no_tool(assembly):
    bare = tuple(p for p in assembly.parts if p.kind not in ("anchor", "nut"))
    left = replace(assembly, parts=bare)
    assert list(check_tools(left, bodies_of(bare))) == []
