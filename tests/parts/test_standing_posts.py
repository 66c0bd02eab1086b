"""Posts that stand there already, and how set ones end: drilled wood, square tops, side plates.

Closed forms and worked values: by hand.
"""

from __future__ import annotations

import json
import math

import pytest

from generator.checks import run
from generator.geometry import cross, dot, norm, sub
from generator.layout import layout
from generator.parts.assembly import PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism
from generator.results import results, to_json

INCH = 25.4
LARGEST = 0.139 * INCH  # of the 1/8 in cable
CLEARANCE = INCH / 32
WIDE = 5.5 * INCH


def ramp_job(job_of, cables="pass", material="timber", slope=1 / 8, **more):
    """A ramp with a column 5-1/2 in square in the middle."""
    standing = {"at": 2000, "width": WIDE, "material": material, "cables": cables}
    leg = {"ramp": {"length": 4000, "rise": 4000 * slope}, "fixed": [standing]}
    return job_of([leg], max_post_spacing=2500, max_cable_span=900, **more)


def column_of(assembly):
    (column,) = assembly.of_kind("column")
    return column


@pytest.mark.parametrize("slope", [0.0, 1 / 8, -1 / 5])
def test_solid_wood_is_drilled_along_the_cable(job_of, slope):
    column = column_of(assemble(layout(ramp_job(job_of, slope=slope))))
    assert isinstance(column.shape, Prism)
    holes = column.shape.holes
    drilling = detail_of(column, PostDetail).drilling
    assert {hole.purpose for hole in drilling} == {"cable"}
    assert len(holes) == len(drilling)
    for row in drilling:
        (index,) = row.walls
        hole = holes[index]
        assert hole.lean == pytest.approx((0.0, slope))
        assert hole.depth_mm == pytest.approx(WIDE)
        # Square to its axis a round bore; on the face an ellipse, d by d / cos p.
        assert hole.bore_mm == pytest.approx(LARGEST + CLEARANCE)
        assert hole.width_mm == pytest.approx(LARGEST + CLEARANCE)
        assert hole.height_mm == pytest.approx((LARGEST + CLEARANCE) * math.hypot(1.0, slope))
        # It enters as much below the axis as the cable rises in half the post.
        assert hole.along_mm == pytest.approx(row.axis_z_mm - slope * WIDE / 2)


def test_both_faces_of_a_drilled_column_are_told(job_of):
    assembly = assemble(layout(ramp_job(job_of)))
    document = json.loads(to_json(results(assembly, run(assembly))))
    mark = column_of(assembly).mark
    (post,) = (post for post in document["posts"] if post["mark"] == mark)
    for hole in post["holes"]:
        heights = {wall["face"]: wall["z_mm"] for wall in hole["walls"]}
        assert set(heights) == {"back", "front"}
        # By hand: 5-1/2 in at 1 in 8
        assert heights["front"] - heights["back"] == pytest.approx(WIDE / 8, abs=1e-6)
        assert sum(heights.values()) / 2 == pytest.approx(hole["axis_z_mm"], abs=1e-6)


def test_a_column_is_neither_plated_nor_bracketed_nor_ordered(job_of):
    assembly = assemble(layout(ramp_job(job_of)))
    column = column_of(assembly)
    assert column.reference
    assert detail_of(column, PostDetail).mount == "existing"
    assert [part.mark for part in assembly.parts if part.belongs_to == column.mark] == [column.mark]
    posts = sum(1 for _ in assembly.of_kind("post"))
    assert sum(1 for _ in assembly.of_kind("base-plate", "side-plate")) == posts
    # It goes on over the rail: the roof stands on it.
    assert isinstance(column.shape, Prism)
    tops = [top for _, corners in tube_tops(assembly) for top in corners]
    assert column.place.origin[2] + column.shape.end.z_mm > max(tops) + 2 * INCH


def test_fittings_of_anchored_cables_are_held_by_the_column_on_either_side(job_of):
    assembly = assemble(layout(ramp_job(job_of, cables="anchor")))
    column = column_of(assembly)
    held = [p for p in assembly.of_kind("fitting") if p.belongs_to == column.mark]
    rows = len({detail.row for detail in detail_of(column, PostDetail).drilling})
    assert len(held) == 2 * rows
    below = [p for p in held if p.place.z[0] < 0]
    assert len(below) == rows
    # Studs of the two sides never meet in the wood.
    for part in held:
        tip = column.place.local(part.place.origin)[0]
        assert (tip > 0) == (part.place.z[0] > 0)
    told = {f.code for f in run(assembly).findings if f.severity == "fail"}
    assert {"clash.fittings", "clash.parts", "clash.cable-post"} & told == set()


STAIR = [{"stair": {"risers": 7, "rise": "48 in", "tread": "11 in"}}]


def tube_tops(assembly):
    """World heights of the corners of every tube's top."""
    for post in assembly.of_kind("post"):
        shape = post.shape
        assert isinstance(shape, Prism)
        yield (
            post,
            [
                post.place.point((x, y, shape.end.at(x, y)))[2]
                for x, y in shape.section.outer.corners
            ],
        )


def test_a_post_cut_square_ends_where_the_raked_one_is_lowest(job_of):
    raked = assemble(layout(job_of(STAIR, post_top="raked")))
    square = assemble(layout(job_of(STAIR, post_top="square")))
    for (post, high), (other, flat) in zip(tube_tops(raked), tube_tops(square), strict=True):
        assert max(flat) - min(flat) < 1e-9
        assert flat[0] == pytest.approx(min(high))
        # By hand: 2-1/2 in at the pitch of 6-6/7 in 11
        assert max(high) - min(high) == pytest.approx(2.5 * INCH * 48 / 77)
        lengths = [detail_of(p, PostDetail).length_mm for p in (post, other)]
        assert lengths[0] - lengths[1] == pytest.approx(2.5 * INCH * 48 / 77)


def test_a_raked_top_lies_in_the_plane_of_the_brackets_underside(job_of):
    assembly = assemble(layout(job_of(STAIR, post_top="raked")))
    thickness = assembly.job.system.bracket.thickness_mm
    for post, _ in tube_tops(assembly):
        bracket = assembly.by_mark[f"K{post.mark[1:]}"]
        shape = post.shape
        assert isinstance(shape, Prism)
        for x, y in shape.section.outer.corners:
            top = post.place.point((x, y, shape.end.at(x, y)))
            under = dot(sub(top, bracket.place.origin), bracket.place.y)
            assert under == pytest.approx(-thickness / 2, abs=1e-6)


def test_a_post_on_a_ramp_stands_plumb_on_a_plate_that_lies_in_the_slope(job_of):
    leg = {"ramp": {"length": 4000, "rise": -400}}
    assembly = assemble(layout(job_of([leg], start={"z": 1000})))
    plates = {p.belongs_to: p for p in assembly.of_kind("base-plate")}
    surface = (-400 / 4000, 0.0, -1.0)  # down square to the ramp
    for post in assembly.of_kind("post"):
        plate = plates[post.mark]
        assert post.place.z == (0.0, 0.0, 1.0)
        assert norm(cross(plate.place.z, surface)) < 1e-9
        x, _, z = plate.place.origin
        assert z == pytest.approx(1000 - x / 10)
        # The tube is cut to the plate: each corner of its foot lies on the plate's upper face.
        shape = post.shape
        assert isinstance(shape, Prism)
        assert isinstance(plate.shape, Prism)
        for corner in shape.section.outer.corners:
            foot = post.place.point((*corner, shape.start.at(*corner)))
            over = dot(sub(foot, plate.place.origin), plate.place.z)
            assert over == pytest.approx(plate.shape.end.z_mm, abs=1e-6)


@pytest.mark.parametrize("deck", ["left", "right"])
def test_a_side_plate_lies_on_the_rim_its_stand_off_fills_to_the_post(job_of, deck):
    assembly = assemble(layout(job_of([{"level": 3000}], deck=deck, mount="fascia")))
    side = 1.0 if deck == "left" else -1.0
    for post in assembly.of_kind("post"):
        number = post.mark[1:]
        spans = []
        for mark in (f"SP{number}", f"SO{number}", post.mark):
            part = assembly.by_mark[mark]
            assert isinstance(part.shape, Prism)
            outline = part.shape.section.outer
            ys = [part.place.point((x, y, 0.0))[1] * side for x, y in outline.corners]
            spans.append((min(ys) / INCH, max(ys) / INCH))
        # By hand: plate 3/8 in on the rim, 1-1/2 in in all to the post, then 2-1/2 in of post.
        assert spans[0] == pytest.approx((-0.375, 0.0), abs=1e-9)
        assert spans[1] == pytest.approx((-1.5, -0.375), abs=1e-9)
        assert spans[2] == pytest.approx((-4.0, -1.5), abs=1e-9)
    assert sum(1 for _ in assembly.of_kind("anchor")) == 4 * sum(
        1 for _ in assembly.of_kind("side-plate")
    )
