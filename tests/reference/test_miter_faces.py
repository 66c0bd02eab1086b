"""Miters of two rails: their settings and twist, and cut faces that coincide.

Outside checks: settings and twists worked by hand from the vector method; shapely as the second
opinion on cut faces, laid out flat as polygons in the plane of their cut.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from generator.checks.joints import twist_between
from generator.geometry import add, cosd, cross, dot, lengthwise, scale, sub, unit
from generator.layout import layout
from generator.layout.rail import RailLine, miter_cuts, twist_deg
from generator.parts.assembly import RailDetail, detail_of
from generator.parts.build import assemble
from generator.parts.measure import saw_angles
from generator.parts.shapes import EndPlane, Prism

INCH = 25.4
WIDTH, DEPTH = 2.5 * INCH, 1.5 * INCH
ORIGIN = (0.0, 0.0, 0.0)
EITHER_WAY = st.floats(5, 175).flatmap(lambda turn: st.sampled_from([turn, -turn]))

# (pitch before, pitch after, turn, miter and bevel before, miter and bevel after, twist)
ROWS = [
    (0, 0, 90, (45, 0), (-45, 0), 0.0),
    (0, 35, 0, (0, 17.5), (0, -17.5), 0.0),
    (35, -35, 90, (50.68, -23.93), (-50.68, 23.93), 0.0),
    (35, 35, 90, (31.65, 16.75), (-31.65, 16.75), 59.7),
    (0, 35, 90, (39.32, 23.93), (-45, 0), 35.0),
]


def lines(before, after, turn, bearing=0.0):
    return [
        RailLine(lengthwise(ORIGIN, way, pitch), 1.0 / cosd(pitch), DEPTH)
        for way, pitch in ((bearing, before), (bearing + turn, after))
    ]


@pytest.mark.parametrize("before, after, turn, first, second, twist", ROWS)
def test_settings_of_two_rails(before, after, turn, first, second, twist):
    a, b = lines(before, after, turn)
    cuts = miter_cuts(a, b, ORIGIN)
    found = [saw_angles(EndPlane(0.0, cut.slope_x, cut.slope_y)) for cut in cuts]
    assert found[0] == pytest.approx(first, abs=0.005)
    assert found[1] == pytest.approx(second, abs=0.005)


@pytest.mark.parametrize("before, after, turn, first, second, twist", ROWS)
def test_twist_of_two_rails(before, after, turn, first, second, twist):
    a, b = lines(before, after, turn)
    # Printed to a tenth of a degree; what is none is none.
    assert twist_deg(a.frame, b.frame) == pytest.approx(twist, abs=0.05 if twist else 1e-9)
    assert twist_between(a.frame, b.frame) == pytest.approx(twist_deg(a.frame, b.frame))


@settings(derandomize=True)
@given(pitch=st.floats(1, 45), turn=EITHER_WAY, bearing=st.floats(-180, 180))
def test_only_a_mirror_image_closes_where_turn_and_pitch_change_together(pitch, turn, bearing):
    # One plumb plane mirrors a rail going up into the same rail going down; none does so otherwise.
    up_then_down = lines(pitch, -pitch, turn, bearing)
    assert twist_deg(*(line.frame for line in up_then_down)) < 1e-9
    for other in (pitch, 0.0):
        assert twist_deg(*(line.frame for line in lines(pitch, other, turn, bearing))) > 1e-3


def face(part, end):
    shape = part.shape
    assert isinstance(shape, Prism)
    cut = shape.start if end == "start" else shape.end
    return [part.place.point((x, y, cut.at(x, y))) for x, y in shape.section.outer.corners]


def mitered(assembly):
    """Pairs of rails that meet in a miter, in order of travel."""
    found = list(assembly.of_kind("rail"))
    return [
        (a, b)
        for a, b in pairwise(found)
        if detail_of(a, RailDetail).end_on == detail_of(b, RailDetail).start_on == "miter"
    ]


def faces_apart(before, after):
    """(how far the corners lie off one plane, Hausdorff distance of the faces in it), mm."""
    ours, theirs = face(before, "end"), face(after, "start")
    normal = unit(add(before.place.z, after.place.z))
    across = unit(cross(normal, (0.3, -0.5, 0.81)))
    axes = (across, cross(normal, across))
    at = scale(add(ours[0], ours[2]), 0.5)
    flat = [Polygon([[dot(sub(p, at), u) for u in axes] for p in f]) for f in (ours, theirs)]
    assert all(polygon.is_valid for polygon in flat)
    assert flat[0].area >= WIDTH * DEPTH * (1 - 1e-9)
    off = max(abs(dot(sub(p, at), normal)) for p in (*ours, *theirs))
    return off, flat[0].hausdorff_distance(flat[1])


def assert_closed(job, miters=1):
    pairs = mitered(assemble(layout(job)))
    assert len(pairs) == miters
    for before, after in pairs:
        off, apart = faces_apart(before, after)
        assert off < 1e-6
        assert apart < 1e-6


@pytest.mark.parametrize("corner", [{"corner": "single"}, {"corner": "pair", "rail": "miter"}])
@pytest.mark.parametrize("turn", [5, 22.5, 45, 60, 90, 120, 135, 150, 175])
@pytest.mark.parametrize("sign", [1, -1])
def test_faces_of_level_corners_coincide(job_of, corner, turn, sign):
    legs = [{"level": 9000}, {"turn": sign * turn, **corner}, {"level": 9000}]
    job = job_of(legs, edge_inset=100, pair_offset=300, start={"bearing": 17.3, "x": 1234.5})
    assert_closed(job)


@settings(max_examples=40, derandomize=True)
@given(
    turn=EITHER_WAY,
    inset=st.floats(30, 200),
    deck=st.sampled_from(["left", "right"]),
)
def test_faces_of_any_level_corner_coincide(job_of, turn, inset, deck):
    legs = [{"level": 12_000}, {"turn": turn}, {"level": 12_000}]
    assert_closed(job_of(legs, deck=deck, edge_inset=inset))


def ramp(rise, length=3000):
    return {"ramp": {"length": length, "rise": rise}}


@pytest.mark.parametrize(
    "legs",
    [
        [{"level": 2000}, ramp(-250)],
        [{"level": 2000}, ramp(250)],
        [ramp(-250), {"level": 2000}],
        [ramp(1800), {"level": 2000}],
        [ramp(900), ramp(-400)],
        [ramp(-900), ramp(400)],
        [ramp(300), ramp(900)],
        [{"level": 2000, "fall": 30}, {"level": 2000}],
    ],
)
def test_faces_of_a_change_of_pitch_in_line_coincide(job_of, legs):
    assert_closed(job_of(legs))


@pytest.mark.parametrize("direction", ["down", "up"])
def test_faces_at_the_nosing_and_the_foot_of_a_stair_coincide(job_of, direction):
    stair = {"risers": 7, "rise": 1219.2, "tread": 279.4, "direction": direction}
    assert_closed(job_of([{"level": 3000}, {"stair": stair}, {"level": 3000}]), miters=2)


@settings(max_examples=40, derandomize=True)
@given(
    rise=st.floats(50, 2000).flatmap(lambda r: st.sampled_from([r, -r])),
    turn=st.floats(5, 150).flatmap(lambda t: st.sampled_from([t, -t])),
    bearing=st.floats(-180, 180),
)
def test_faces_up_then_down_round_a_corner_coincide(job_of, rise, turn, bearing):
    legs = [ramp(rise), {"turn": turn, "corner": "single"}, ramp(-rise)]
    assert_closed(job_of(legs, edge_inset=100, start={"bearing": bearing}))


def test_faces_moved_apart_are_seen_by_both(lake_deck):
    # The second opinion is one: a rail moved aside a tenth of a millimetre is not called closed.
    ((before, after),) = mitered(lake_deck.assembly)
    assert max(faces_apart(before, after)) < 1e-6
    x, y, z = after.place.origin
    moved = replace(after, place=replace(after.place, origin=(x + 0.1, y, z)))
    assert min(faces_apart(before, moved)) > 0.01
