"""Anchors and base plates against wood and edges: one part changed, and the finding appears.

Worked values: by hand in inches. Edge distance of 1-1/2 diameters: NDS Table 12.5.1, from memory.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from changing import moved
from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble

INCH = 25.4
STAIR = {"risers": 7, "rise": "48 in", "tread": "11 in"}
CODES = ("anchor.blocking", "anchor.edge")


def structure(bearing=90, **changes):
    joists = {"spacing": "16 in", "width": "1-1/2 in", "depth": "9-1/4 in", "species": "spruce"}
    return {"joists": {"bearing": bearing, **joists}, "decking": "1 in", **changes}


@pytest.fixture(scope="module")
def assembly(light_lake_deck):
    return light_lake_deck.assembly


def without(assembly, *marks):
    assert set(marks) <= set(assembly.by_mark)
    return replace(assembly, parts=tuple(p for p in assembly.parts if p.mark not in marks))


def told(assembly, *severities):
    """Findings on anchors, by severity."""
    return [f for f in run(assembly).findings if f.code in CODES and f.severity in severities]


def measures(assembly, code):
    return [m for m in run(assembly).measures if m.code == code]


# The lake deck as it is


def test_the_lake_deck_has_no_warning(assembly):
    assert told(assembly, "warn", "fail") == []
    counts = [m for m in measures(assembly, "anchor.blocking") if m.passed]
    assert {(m.measured, m.limit, m.unit) for m in counts} == {(0.0, 0.0, "count")}


def test_edge_distances_of_the_lake_deck(assembly):
    limit = 1.5 * 0.375 * INCH
    bolts = [m for m in measures(assembly, "anchor.edge") if m.clause == "Table 12.5.1"]
    assert bolts
    for measure in bolts:
        assert measure.limit == pytest.approx(limit)
        assert not measure.verified
    # By hand: on a stair the bolt 1 in behind the nosing of its tread
    (stair,) = (m for m in bolts if m.where[1].startswith("T"))
    assert stair.measured / INCH == pytest.approx(1.0)
    # By hand: plates of 5 in whose centre is 4 in from the edge
    plates = [m for m in measures(assembly, "anchor.edge") if m.where[0].startswith("BP")]
    assert {round(m.measured / INCH, 6) for m in plates} == {1.5}
    assert {m.limit for m in plates} == {INCH}


def test_bolts_at_the_face_of_a_joist_are_noted(assembly):
    # By hand: P4 has bolts at 207.3125 in, 1/16 in within the joist from 207.25 to 208.75 in
    notes = {f.code: f for f in told(assembly, "note") if "washer" not in f.message}
    joint = notes["anchor.edge"]
    assert joint.where == ("A4-1", "J14", "BL4-1")
    assert joint.measured is not None
    assert joint.measured / INCH == pytest.approx(1 / 16)
    assert joint.limit is not None
    assert joint.limit / INCH == pytest.approx(3 / 8)
    buried = notes["anchor.blocking"]
    assert (buried.where, buried.measured) == (("P4", "A4-1", "A4-4"), 2.0)


# Wood missed


def test_a_block_left_out_leaves_four_bolts_in_the_air(assembly):
    (finding,) = told(without(assembly, "BL2"), "warn")
    assert finding.code == "anchor.blocking"
    assert finding.where == ("P2", "A2-1", "A2-2", "A2-3", "A2-4")
    assert (finding.measured, finding.limit, finding.unit) == (4.0, 0.0, "count")


def test_a_block_that_lies_too_deep_is_not_reached(assembly):
    # By hand: under head, washer 1/16 and plate 3/8 in a bolt of 4 in reaches 3-9/16 in below the
    # floor; the block moved down by 3 in begins at 4 in
    (finding,) = told(moved(assembly, "BL2", z=-3.0), "warn")
    assert finding.where[0] == "P2"


def test_a_bolt_beside_its_block_misses_it(assembly):
    # By hand: BL2 reaches 10-3/4 in; a bolt at 6 in moved 5 in north misses it
    (finding,) = told(moved(assembly, "A2-3", y=5.0), "warn")
    assert (finding.code, finding.where) == ("anchor.blocking", ("P2", "A2-3"))


def test_a_tread_without_its_block(assembly):
    (finding,) = told(without(assembly, "BL10"), "warn")
    assert (finding.code, finding.where[0], finding.measured) == ("anchor.blocking", "P10", 4.0)


# Too near an edge


def test_a_bolt_near_the_free_edge_of_its_block(assembly):
    # By hand: BL2 moved 1/4 in off the rim, its bolts at 2 in are 1/4 in within it
    (finding,) = told(moved(assembly, "BL2", y=0.25), "warn")
    assert (finding.code, finding.where) == ("anchor.edge", ("A2-1", "BL2"))
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(0.25)
    assert (finding.limit, finding.clause, finding.edition) == (
        pytest.approx(0.5625 * INCH),
        "Table 12.5.1",
        "NDS",
    )


@pytest.mark.parametrize("within, warned", [(0.5626, False), (0.5624, True)])
def test_the_edge_distance_at_its_limit(assembly, within, warned):
    # BL2 is 1-1/2 to 10-3/4 in; the bolt at 6 in moved to `within` of its far side
    at_edge = moved(assembly, "A2-3", y=10.75 - within - 6.0)
    assert bool(told(at_edge, "warn")) is warned


def test_a_tread_that_ends_behind_its_bolt(assembly):
    # By hand: the bolt 1 in behind the nosing moved 1/2 in toward it, past the block, which ends
    # at the riser board of 19 mm
    found = {f.code: f for f in told(moved(assembly, "A10-2", x=0.5), "warn")}
    assert found["anchor.blocking"].where == ("P10", "A10-2")
    near = found["anchor.edge"]
    assert near.where == ("A10-2", "T3")
    assert near.measured is not None
    assert near.measured / INCH == pytest.approx(0.5)


def test_a_base_plate_at_the_edge(assembly):
    # By hand: 1-1/2 in less 3/4 in
    (finding,) = told(moved(assembly, "BP2", y=-0.75), "warn")
    assert (finding.code, finding.where) == ("anchor.edge", ("BP2",))
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(0.75)


def test_a_base_plate_at_the_head_of_the_stair(assembly):
    # By hand: P9 stands 4 in behind the nosing at 282 in, its plate 1-1/2 in
    (finding,) = told(moved(assembly, "BP9", x=1.0), "warn")
    assert (finding.code, finding.where) == ("anchor.edge", ("BP9",))
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(0.5)


@pytest.mark.parametrize("units, inset", [("in", '3 1/2"'), ("mm", "89 mm")])
def test_the_edit_of_a_plate_at_the_edge_clears_it(job_of, units, inset):
    legs = [{"level": "14 ft"}]
    near = assemble(layout(job_of(legs, units=units, edge_inset="3-1/4 in")))
    finding = next(f for f in told(near, "warn") if f.where[0].startswith("BP"))
    assert finding.edits[0].path == "guard.edge_inset"
    assert finding.edits[0].value == inset
    after = assemble(layout(job_of(legs, units=units, edge_inset=finding.edits[0].value)))
    assert not [f for f in told(after, "warn") if f.where[0].startswith("BP")]


def test_a_plate_turned_at_a_corner_is_measured_at_its_corners(job_of):
    # By hand: turned by 22-1/2 deg it reaches 2-1/2 (cos + sin) = 3.2664 in: 4 less that
    legs = [{"level": "9 ft"}, {"turn": 45, "corner": "single"}, {"level": "9 ft"}]
    assembly = assemble(layout(job_of(legs, edge_inset="4 in")))
    plates = [f for f in told(assembly, "warn") if f.where[0].startswith("BP")]
    (finding,) = plates
    assert finding.measured is not None
    assert finding.measured / INCH == pytest.approx(4 - 3.2664, abs=5e-5)


# Fascia, stringer, concrete


def test_side_bolts_go_through_rim_and_block(job_of):
    legs = [{"level": "12 ft"}]
    base = structure(overhang="1 in", fascia="3/4 in")
    job = job_of(legs, mount="fascia", system={"anchor": "lag-3_8"}, structure=base)
    assembly = assemble(layout(job))
    assert not [f for f in told(assembly, "warn") if f.code == "anchor.blocking"]
    block = next(assembly.of_kind("blocking"))
    (finding,) = told(without(assembly, block.mark), "warn")
    assert finding.code == "anchor.blocking"
    assert finding.where[0] == f"P{block.mark[2:].split('-')[0]}"
    rim = next(part for part in assembly.of_kind("rim") if part.item.startswith("rim"))
    # By hand: bolts 1 in under the rim's upper edge; the rim set 3/4 in lower leaves 1/4 in
    low = told(moved(assembly, rim.mark, z=-0.75), "warn")
    assert {f.code for f in low} == {"anchor.edge"}
    assert {round((f.measured or 0) / INCH, 6) for f in low} == {0.25}


def test_bolts_beside_a_stringer_are_held_against_its_true_outline(job_of):
    legs = [{"stair": {**STAIR, "posts": "stringer"}}]
    job = job_of(legs, start={"z": "48 in"}, system={"anchor": "lag-3_8"}, structure=structure())
    assembly = assemble(layout(job))
    stringer = next(assembly.of_kind("stringer"))
    # Far below there is no wood at all: every bolt misses.
    lost = told(moved(assembly, stringer.mark, z=-40.0), "warn")
    posts = list(assembly.of_kind("post"))
    assert {f.where[0] for f in lost if f.code == "anchor.blocking"} == {p.mark for p in posts}
    assert {f.measured for f in lost if f.code == "anchor.blocking"} == {4.0}


def test_a_cored_hole_near_the_edge(job_of):
    # The post's own core_edge: 4 in; practice: 2 in beside a hole of 4 in, the same
    legs = [{"level": "12 ft"}]
    concrete = {"decking": "6 in", "concrete": True}
    findings = {}
    for inset in ("4 in", "3-1/2 in"):
        job = job_of(legs, mount="core", structure=concrete, edge_inset=inset)
        findings[inset] = told(assemble(layout(job)), "warn")
    assert findings["4 in"] == []
    (finding,) = findings["3-1/2 in"]
    assert finding.code == "anchor.edge"
    assert (finding.measured, finding.limit) == (
        pytest.approx(3.5 * INCH),
        pytest.approx(4 * INCH),
    )


def test_a_cored_hole_leaves_concrete_below(job_of):
    # Common practice, no source: 2 in between the hole, 4 in deep, and the underside of the slab.
    for slab, left in (("6 in", None), ("5-7/8 in", 1.875)):
        structure = {"decking": slab, "concrete": True}
        job = job_of([{"level": "12 ft"}], mount="core", structure=structure, edge_inset="4 in")
        found = told(assemble(layout(job)), "warn")
        if left is None:
            assert found == []
            continue
        (finding,) = found
        assert (finding.code, finding.limit) == ("anchor.edge", pytest.approx(2 * INCH))
        assert finding.measured == pytest.approx(left * INCH)
        assert "a slab of 153 mm" in finding.remedy  # 6 in, rounded up


# What is not told


def test_without_a_structure_there_is_one_note(planned):
    report = planned("straight-leg").report
    (note,) = (f for f in report.findings if f.code == "anchor.blocking")
    assert (note.severity, note.measured) == ("note", 5.0)
    assert note.message == "no structure given: fastening not checked"
    assert report.status == "pass"


def test_posts_on_a_ramp_are_named_as_not_checked(job_of):
    legs = [{"level": "6 ft"}, {"ramp": {"length": "12 ft", "rise": "-12 in"}}]
    assembly = assemble(layout(job_of(legs)))
    ramp = next(leg for leg in assembly.legs if leg.kind == "ramp")
    note = next(f for f in told(assembly, "note") if "not told" in f.message)
    assert set(note.where) == set(ramp.posts)


def test_bolts_at_an_outside_corner_of_the_fascia_run_into_the_next_rim(planned):
    # By hand: P2's bolts nearest to the corner lie 57-7/8 in from the house, behind the first rim
    # in the second one, which lies from 57-1/4 to 58-3/4 in; P3's likewise, in the first
    report = planned("fascia-balcony").report
    notes = [f for f in report.findings if f.code == "anchor.blocking"]
    assert {f.severity for f in notes} == {"note"}
    told = {mark for f in notes for mark in f.where}
    assert {"A2-2", "A2-3", "A3-1", "A3-4", "A8-1", "A8-4"} <= told
    assert not {"A2-1", "A2-4", "A3-2", "A3-3"} & told
