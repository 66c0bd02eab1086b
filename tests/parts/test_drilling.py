"""Holes in posts and spacers: sizes, places on both walls, and room for what passes them.

Outside checks: points of a tilted cylinder cut by a wall, shapely for the room in a slot.
Worked values: by hand.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from generator.geometry import along, dot, sub
from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, SpacerDetail, detail_of
from generator.parts.build import assemble
from generator.parts.drilling import slot_size
from generator.parts.shapes import Prism, Rectangle

INCH = 25.4
POST, WALL = 2.5 * INCH, 0.1875 * INCH
CLEARANCE = INCH / 32


def cylinder_in_wall(diameter, wall, pitch_deg):
    """(height, width) of what a cylinder at a pitch takes of a wall, seen square to the wall."""
    pitch, radius = math.radians(pitch_deg), diameter / 2
    points = []
    for depth in (0.0, wall):
        for step in range(720):
            around = math.radians(step / 2)
            # The ring of the cylinder in which it meets the plane at this depth.
            height = depth * math.tan(pitch) + radius * math.sin(around) / math.cos(pitch)
            points.append((height, radius * math.cos(around)))
    heights, widths = zip(*points, strict=True)
    return max(heights) - min(heights), max(widths) - min(widths)


@given(diameter=st.floats(1, 20), wall=st.floats(1, 20), pitch=st.floats(0, 60))
def test_a_slot_is_as_high_as_what_passes_it(diameter, wall, pitch):
    height, width = cylinder_in_wall(diameter, wall, pitch)
    slope = math.tan(math.radians(pitch))
    assert slot_size(diameter, wall, slope) == pytest.approx(height, rel=1e-9)
    assert slot_size(diameter, wall, -slope) == slot_size(diameter, wall, slope)
    assert width == pytest.approx(diameter, rel=1e-9)


@pytest.mark.parametrize(
    "wall, pitch, height",
    [(0.125, 35, 0.240), (0.125, 37.78, 0.255), (0.15, 35, 0.258), (0.15, 37.78, 0.274)],
)
def test_slots_of_an_eighth_cable_by_hand(wall, pitch, height):
    # worked by hand: d / cos + t tan, in inches
    assert slot_size(0.125, wall, math.tan(math.radians(pitch))) == pytest.approx(height, abs=5e-4)


def prism_of(part):
    assert isinstance(part.shape, Prism)
    return part.shape


def holes(assembly, purpose):
    for part in assembly.of_kind("post"):
        for row in detail_of(part, PostDetail).drilling:
            if row.purpose == purpose:
                yield row, [prism_of(part).holes[k] for k in row.walls]


def test_holes_on_the_level_are_round_and_pass_the_largest_cable(light_lake_deck):
    # By hand: 0.139 in at most and 1/32 in of clearance
    found = [pair for pair in holes(light_lake_deck.assembly, "cable") if pair[0].leg in (1, 2)]
    for row, walls in found:
        assert row.shape == "round"
        size = 0.139 * INCH + CLEARANCE
        assert (row.width_mm, row.height_mm) == pytest.approx((size, size))
        assert [wall.along_mm for wall in walls] == [walls[0].along_mm] * 2
    assert len(found) == 5 * 11  # P2, P3, P4 of leg 1 and P6, P7 of leg 2


def test_holes_on_the_rake_are_slots_for_the_largest_cable(light_lake_deck):
    # By hand: 0.139 / cos 31.938 + 3/16 tan 31.938 is 0.28068 in, and 1/32 in
    found = [pair for pair in holes(light_lake_deck.assembly, "cable") if pair[0].leg == 3]
    for row, walls in found:
        assert row.shape == "slot"
        assert row.height_mm / INCH == pytest.approx(0.28068 + 1 / 32, abs=1e-5)
        assert row.width_mm == pytest.approx(0.139 * INCH + CLEARANCE)
        assert {wall.face for wall in walls} == {"x-", "x+"}
    assert len(found) == 11


def test_dead_ends_pass_the_stud(light_lake_deck):
    ends = {"P1", "P5", "P8", "P9", "P11"}
    for part in light_lake_deck.assembly.of_kind("post"):
        purposes = {row.purpose for row in detail_of(part, PostDetail).drilling}
        assert purposes == ({"stud"} if part.mark in ends else {"cable"})
    row, _ = next(iter(holes(light_lake_deck.assembly, "stud")))
    assert row.height_mm == pytest.approx(0.25 * INCH + CLEARANCE)


@settings(max_examples=40)
@given(riser=st.floats(110, 200), tread=st.floats(240, 360), wall=st.floats(2, 10))
def test_the_two_walls_holes_differ_by_the_pitch_between_the_walls(
    job_of, light_values, riser, tread, wall, read_values
):
    values = light_values("lake-deck")
    values["system"]["post"] = {"name": "al-square-2.5", "wall": f"{wall} mm"}
    values["runs"][0]["legs"] = [
        {"stair": {"risers": 6, "rise": f"{6 * riser} mm", "tread": f"{tread} mm"}}
    ]
    values["runs"][0]["start"]["end"] = "free"
    assembly = assemble(layout(read_values(values)))
    slope = riser / tread
    for _, (back, front) in holes(assembly, "cable"):
        assert back.along_mm - front.along_mm == pytest.approx((POST - wall) * slope, abs=1e-6)
        assert back.depth_mm == front.depth_mm == pytest.approx(wall)


def stadium(hole):
    """The outline of a hole on its face: across, along."""
    slack = (hole.height_mm - hole.width_mm) / 2
    radius = min(hole.width_mm, hole.height_mm) / 2
    x, z = hole.across_mm, hole.along_mm
    if slack > 1e-9:
        return LineString([(x, z - slack), (x, z + slack)]).buffer(radius, 64)
    if slack < -1e-9:
        return LineString([(x + slack, z), (x - slack, z)]).buffer(radius, 64)
    return Point(x, z).buffer(radius, 64)


def ring(part, cable, radius, hole, depth):
    """Points on a face of the wall, across and along, where a bar on the cable's axis meets it."""
    axis, sign = hole.face[0], 1.0 if hole.face[1] == "+" else -1.0
    outline = prism_of(part).section.outer
    assert isinstance(outline, Rectangle)
    size = outline.width_mm if axis == "x" else outline.depth_mm
    plane = sign * (size / 2 - depth)
    normal = part.place.x if axis == "x" else part.place.y
    frame = cable.place
    for step in range(36):
        t = math.radians(10 * step)
        start = frame.point((radius * math.cos(t), radius * math.sin(t), 0.0))
        reach = dot(sub(start, part.place.origin), normal)
        x, y, z = part.place.local(along(start, frame.z, (plane - reach) / dot(frame.z, normal)))
        yield (y, z) if axis == "x" else (x, z)


@settings(max_examples=20)
@given(
    turn=st.sampled_from([90, -90, 45, 30, 60, -75, 0]),
    riser=st.floats(120, 195),
    tread=st.floats(255, 340),
)
def test_cables_and_studs_have_room_in_their_holes(job_of, turn, riser, tread):
    stair = {"stair": {"risers": 5, "rise": 5 * riser, "tread": tread}}
    corner = {"turn": turn, "corner": "single"}
    legs = [{"level": 2500}, corner, {"level": 2500}, {"turn": -90, "corner": "pair"}, stair]
    assembly = assemble(layout(job_of(legs)))
    cables = {
        (part.leg, detail_of(part, CableDetail).row): part for part in assembly.of_kind("cable")
    }
    stud = assembly.job.system.fitting.stud_mm / 2
    largest = assembly.job.system.cable.max_diameter_mm / 2
    for part in assembly.of_kind("post"):
        for row in detail_of(part, PostDetail).drilling:
            if row.row > 2:
                continue  # the rows above are the same, higher
            radius = stud if row.purpose == "stud" else largest
            for index in row.walls:
                hole = prism_of(part).holes[index]
                room = stadium(hole)
                for depth in (0.0, hole.depth_mm):
                    for point in ring(part, cables[row.leg, row.row], radius, hole, depth):
                        assert room.contains(Point(point)), (part.mark, row)


def test_spacers_are_drilled_once_through_for_every_row(light_lake_deck):
    # By hand: 1 in x 3/8 in bar, cables at the rows, 1/2 in beyond the outermost holes
    assembly = light_lake_deck.assembly
    first = next(iter(assembly.of_kind("spacer")))
    drilling = detail_of(first, SpacerDetail).drilling
    assert [row.axis_z_mm / INCH for row in drilling] == pytest.approx(
        [0.5 + 3 * k for k in range(11)]
    )
    assert prism_of(first).end.z_mm / INCH == pytest.approx(31.0)
    assert [len(row.walls) for row in drilling] == [1] * 11
    assert first.place.origin[2] / INCH == pytest.approx(48 + 3.0625 - 0.5)
