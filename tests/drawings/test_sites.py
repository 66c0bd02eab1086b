"""What real sites bring: openings, ramps, standing posts, framing, stairs as measured, loops."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from generator.drawings import layers
from generator.drawings.arrange import Sheet
from generator.drawings.lettering import Box
from generator.drawings.project import PLAN, silhouette
from generator.drawings.view import (
    AngleDimension,
    Lettered,
    Line,
    LinearDimension,
    Outline,
    Text,
    View,
)
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly, Kind, LegLine
from generator.parts.build import assemble
from generator.units import format_length, parse_length

INCH = 25.4
_STAIR = {"risers": 8, "rise": "5 ft", "tread": "11 in", "tread_thickness": "1-1/2 in"}
_BROKEN = {
    layers.OUTLINE,
    layers.STAIR,
    layers.NOSING,
    layers.BELOW,
    layers.BEAM,
    layers.BEAM_HIDDEN,
    layers.CENTRE,
    layers.CABLE,
}


@pytest.fixture(scope="module")
def drawn(
    light: Callable[[str], Any], sheet_of: Callable[[Assembly], Sheet]
) -> Callable[[str], tuple[Assembly, dict[str, View]]]:
    """An example's table of parts and its views by name."""

    def views(name: str) -> tuple[Assembly, dict[str, View]]:
        assembly = light(name).assembly
        return assembly, {p.view.name: p.view for p in sheet_of(assembly).placed}

    return views


def _words(view: View) -> list[str]:
    return [item.text for item in view.items if isinstance(item, Text)]


def _dimensions(view: View) -> list[str]:
    return [item.text for item in view.items if isinstance(item, LinearDimension)]


def _seen(assembly: Assembly, mark: str) -> Polygon:
    return Polygon(silhouette(assembly.by_mark[mark], PLAN).corners)


def _sides(item: object, layer_names: set[str]) -> list[tuple[Any, Any]]:
    if isinstance(item, Line) and item.layer in layer_names:
        return [(item.a, item.b)]
    if isinstance(item, Outline) and item.layer in layer_names:
        return list(item.sides)
    return []


def _lines(view: View, layer: str) -> list[LineString]:
    return [LineString(side) for item in view.items for side in _sides(item, {layer})]


def _of_kind(assembly: Assembly, *kinds: Kind) -> list[str]:
    return [part.mark for part in assembly.of_kind(*kinds)]


def _legs_and_views(assembly: Assembly, views: dict[str, View]) -> list[tuple[LegLine, View]]:
    return [(leg, views[f"{leg.run}-{leg.number}"]) for leg in assembly.legs]


@pytest.mark.parametrize("name", ["roof-terrace", "mill-mezzanine"])
def test_an_opening_is_dimensioned_between_the_faces_of_its_posts(name: str, drawn: Any):
    # Reference library: shapely (GEOS), for the distance of two posts' outlines.
    assembly, views = drawn(name)
    before = next(leg for leg in assembly.legs if leg.end_joint == "opening")
    after = assembly.legs[assembly.legs.index(before) + 1]
    posts = _seen(assembly, before.posts[-1]), _seen(assembly, after.posts[0])
    clear = format_length(posts[0].distance(posts[1]), assembly.job.metric)
    assert clear == ("1500" if assembly.job.metric else "3'-0\"")
    (found,) = [
        item
        for item in views["plan"].items
        if isinstance(item, LinearDimension) and item.text == clear
    ]
    assert found.measured_mm == pytest.approx(posts[0].distance(posts[1]), abs=1e-6)
    assert _words(views["plan"]).count("OPENING") == 1
    unit = " mm" if assembly.job.metric else ""
    for leg, way in ((before, "AFTER"), (after, "BEFORE")):
        note = f"OPENING {clear}{unit} CLEAR {way} THIS LEG."
        assert note in _words(views[f"{leg.run}-{leg.number}"])


def test_a_ramp_says_its_slope_and_which_way_it_goes(drawn: Any):
    # Worked by hand from the spec: 15 in over 15 ft, 16 in over 16 ft.
    assembly, views = drawn("garden-ramp")
    assert _words(views["plan"]).count("RAMP DN 1:12") == 2
    for leg, view in _legs_and_views(assembly, views):
        notes = " ".join(_words(view))
        assert ("SLOPE 1:12" in notes) == (leg.kind == "ramp")


def test_a_ramp_has_its_height_where_the_rail_is_over_the_floor(drawn: Any):
    """Both end posts of the first ramp stand on landings, which its own rail does not reach."""
    _, views = drawn("garden-ramp")
    assert "3'-0\"" in _dimensions(views["A-2"])


def test_a_drained_floor_says_its_fall(drawn: Any):
    # 1/4 in per foot is 1 in 48.
    assembly, views = drawn("drained-deck")
    falling = [leg for leg in assembly.legs if abs(leg.edge_end[2] - leg.edge_start[2]) > 1.0]
    assert falling
    assert _words(views["plan"]).count("FALL 1:48") == len(falling)


def test_standing_posts_are_crossed_and_say_so(drawn: Any):
    assembly, views = drawn("porch-columns")
    columns = _of_kind(assembly, "column")
    assert len(columns) == 3
    assert _words(views["plan"]).count("EXIST.") == len(columns)
    crosses = [line for line in _lines(views["plan"], layers.COLUMN) if line.length > 0.0]
    for mark in columns:
        outline = _seen(assembly, mark)
        through = [line for line in crosses if line.distance(outline.centroid) < 1e-6]
        assert [line.length for line in through] == pytest.approx([2**0.5 * outline.area**0.5] * 2)
    for leg, view in _legs_and_views(assembly, views):
        standing = [mark for mark in leg.posts if mark in columns]
        assert _words(view).count("EXIST.") == len(standing)
        tops = {
            mark: max(
                y
                for i in view.items
                if isinstance(i, Outline) and i.layer == layers.COLUMN
                for _, y in i.points
            )
            for mark in standing
        }
        for mark, top in tops.items():
            (bubble,) = [i for i in view.items if isinstance(i, Text) and i.text == mark]
            assert bubble.at[1] > top


def test_cables_carried_round_a_corner_are_drawn_there_and_end_at_their_leg(drawn: Any):
    assembly, views = drawn("carried-corner")
    before, after = assembly.legs
    posts = _seen(assembly, before.posts[-1]), _seen(assembly, after.posts[0])
    (corner,) = _lines(views["plan"], layers.CABLE)
    assert all(corner.distance(post) < 1e-6 for post in posts)
    for leg, view in _legs_and_views(assembly, views):
        xs = [i.at[0] for i in view.items if isinstance(i, Text) and i.text in leg.posts]
        for line in _lines(view, layers.CABLE):
            assert min(xs) <= line.bounds[0]
            assert line.bounds[2] <= max(xs)
        number = after.number if leg is before else before.number
        assert any(f"RUN ON THROUGH LEG {number}" in text for text in _words(view))


def test_cables_cut_at_a_standing_post_are_told_apart(drawn: Any):
    _, views = drawn("porch-columns")
    notes = [text for text in _words(views["A-1"]) if "FROM THE BOTTOM UP" in text]
    assert len(notes) == 2
    assert "P1 TO P5" in notes[0]
    assert "P5 TO P7" in notes[1]


def test_a_stair_as_measured_shows_every_riser_and_tread(drawn: Any):
    # Worked by hand: the risers of the spec add up to 58-1/4 in, the treads to 76-15/16 in.
    _, views = drawn("measured-stair")
    view = views["A-2"]
    notes = [text for text in _words(view) if "AS MEASURED" in text]
    totals = {"8 RISERS": "4'-10 1/4\"", "TREADS": "6'-4 15/16\""}
    for head, total in totals.items():
        (note,) = [text for text in notes if text.startswith(head)]
        listed = note.split(": ")[1].split(" = ")[0].split(", ")
        assert note.endswith(f"= {total}.")
        assert sum(parse_length(text, "in") for text in listed) == pytest.approx(
            parse_length(total, "in"), abs=1e-6
        )
        shown = Counter(_dimensions(view))
        assert not Counter(listed) - shown
        assert shown[total]


def test_a_single_step_is_no_sum(drawn: Any):
    assembly, views = drawn("two-level-deck")
    (leg,) = [leg for leg in assembly.legs if leg.kind == "stair"]
    notes = _words(views[f"A-{leg.number}"])
    assert any(text.startswith('1 RISER OF 6", PITCH') for text in notes)


def test_posts_on_a_fascia_hide_the_floor_and_have_their_depth(drawn: Any):
    # Worked by hand: decking 1 in and side plate 6-1/2 in below the walking surface; a leg's first
    # post after a corner hangs 7/16 in lower, so that its bolts pass those round the corner.
    assembly, views = drawn("fascia-balcony")
    for leg, view in _legs_and_views(assembly, views):
        posts = [
            Polygon(i.points)
            for i in view.items
            if isinstance(i, Outline) and i.layer == layers.POST
        ]
        assert len(posts) == len(leg.posts)
        for layer in (layers.OUTLINE, layers.BEAM):
            for line in _lines(view, layer):
                assert not any(line.intersects(post.buffer(-0.1)) for post in posts)
        plate = assembly.job.system.post.side_plate_height_mm
        depth = assembly.job.structure.decking_mm + plate
        assert format_length(depth, metric=False) == '7 1/2"'
        assert {'7 1/2"', '7 15/16"'} & set(_dimensions(view))
        assert "POSTS HANG ON SIDE PLATES AT THE FASCIA." in _words(view)


def test_a_plumb_drop_is_dimensioned_and_its_piece_named(drawn: Any):
    # Worked by hand: 42 in against 36 in at the nosing; the plumb piece's middle stands 3/4 in
    # before it, where the pitched rail is 3/4 x 6.857 / 11 higher: 6 - 0.4675 = 5.5325 in.
    assembly, views = drawn("high-guard-drop")
    assert '5 9/16"' in _dimensions(views["A-2"])
    (piece,) = [part for part in assembly.of_kind("rail") if abs(part.place.z[2]) > 0.99]
    assert any(text.startswith(f"{piece.mark} = ") for text in _words(views["A-2"]))


def test_handrails_are_drawn_and_their_height_is_given(drawn: Any):
    assembly, views = drawn("mill-mezzanine")
    marks = _of_kind(assembly, "handrail")
    stair = next(leg for leg in assembly.legs if leg.kind == "stair")
    view = views[f"M-{stair.number}"]
    assert "900" in _dimensions(view)
    assert any(f"{marks[0]} TO {marks[-1]}" in text for text in _words(view))
    assert f"{marks[0]} TO {marks[-1]}" in _words(views["plan"])
    for name in ("plan", f"M-{stair.number}"):
        assert _lines(views[name], layers.HANDRAIL)


def test_a_stair_with_two_guards_is_drawn_once_with_its_width(drawn: Any):
    assembly, views = drawn("both-sides-stair")
    assert len({leg.run for leg in assembly.legs if leg.kind == "stair"}) == 2
    assert _words(views["plan"]).count("DN 8 R") == 1
    assert "3'-6\"" in _dimensions(views["plan"])
    count = len(_of_kind(assembly, "tread")) // 2
    drawn_mm = sum(line.length for line in _lines(views["plan"], layers.NOSING))
    # Seven nosings of 3 ft 6 in, less what lettering breaks.
    assert 0.7 * count * 42 * INCH < drawn_mm <= count * 42 * INCH + 1e-6


def test_obstacles_are_drawn_and_named(drawn: Any):
    assembly, views = drawn("roof-terrace")
    found = list(assembly.of_kind("obstacle"))
    assert found
    outlines = [i for i in views["plan"].items if getattr(i, "layer", "") == layers.OBSTACLE]
    assert len(outlines) == len(found)
    for part in found:
        assert part.item.upper() in _words(views["plan"])


def test_corners_of_a_loop_have_their_angles(job_of: Any, sheet_of: Any):
    turn = {"turn": 120, "corner": "single"}
    legs = [{"level": "10 ft"}, turn, {"level": "10 ft"}, turn, {"level": "10 ft"}]
    job = job_of(legs, units="in", closed={"corner": "single"})
    plan = sheet_of(assemble(layout(job))).placed[1].view
    angles = [item.text for item in plan.items if isinstance(item, AngleDimension)]
    assert angles == ["60\u00b0"] * 3


def test_decks_that_go_on_level_show_no_seam(job_of: Any, sheet_of: Any):
    # Reference library: shapely (GEOS), for the union of the decks.
    turn = {"turn": 45, "corner": "single"}
    job = job_of([{"level": "6 ft"}, turn, {"level": "6 ft"}, turn, {"level": "6 ft"}], units="in")
    assembly = assemble(layout(job))
    plan = sheet_of(assembly).placed[1].view
    decks = [_seen(assembly, mark) for mark in _of_kind(assembly, "deck")]
    floor = unary_union([deck.buffer(0.5) for deck in decks]).buffer(-5.0)
    drawn = [line for line in plan.items if isinstance(line, Line) and line.layer == layers.OUTLINE]
    assert drawn
    assert not any(LineString([line.a, line.b]).intersects(floor) for line in drawn)


def _spiral() -> list[dict[str, Any]]:
    stair = {"stair": {**_STAIR, "risers": 14, "rise": "8 ft"}}
    turn = {"turn": 90, "corner": "pair"}
    landing = {"level": "4 ft"}
    return [stair, turn, landing, turn, stair, turn, landing, turn, stair]


def test_what_lies_under_a_higher_flight_is_dashed(job_of: Any, sheet_of: Any):
    job = job_of(_spiral(), units="in", start={"z": "24 ft"})
    assembly = assemble(layout(job))
    plan = sheet_of(assembly).placed[1].view
    assert "RUN A, LEG 5 (BELOW)" in _words(plan)
    assert "RUN A, LEG 1" in _words(plan)
    upper = unary_union(
        [
            _seen(assembly, part.mark).buffer(-1.0)
            for part in assembly.of_kind("tread")
            if part.leg == 1
        ]
    )
    lower = [_seen(assembly, mark).centroid for mark in assembly.legs[4].posts]
    under = [point for point in lower if upper.contains(point)]
    assert under
    dashed = _lines(plan, layers.BELOW)
    for point in under:
        assert any(line.distance(point) < 2 * INCH for line in dashed)
    # Only the posts of the flight above, which stand over the same spots, are drawn in full.
    shown = [i for i in plan.items if isinstance(i, Outline) and i.layer == layers.POST]
    above = [_seen(assembly, mark) for mark in assembly.legs[0].posts]
    for point in under:
        full = [i for i in shown if Polygon(i.points).contains(point)]
        tubes = 2 * sum(1 for post in above if post.contains(point))  # outside and hollow
        assert len(full) == tubes


def test_thin_lines_are_broken_around_lettering(sheet: Sheet):
    for placed in sheet.placed[1:]:
        boxes = placed.view.boxes
        thin = [side for item in placed.view.items for side in _sides(item, _BROKEN)]
        for box in boxes:
            x0, y0, x1, y1 = box.bounds
            for a, b in thin:
                if max(a[0], b[0]) < x0 or min(a[0], b[0]) > x1:
                    continue
                if max(a[1], b[1]) < y0 or min(a[1], b[1]) > y1:
                    continue
                assert not box.touches(Box((a, b)))


def test_no_lettering_lies_on_a_rail_of_its_elevation(sheet: Sheet, assembly: Assembly):
    names = {f"{leg.run}-{leg.number}" for leg in assembly.legs}
    for placed in sheet.placed:
        if placed.view.name not in names:
            continue
        rails = [
            Box(i.points)
            for i in placed.view.items
            if isinstance(i, Outline) and i.layer == layers.RAIL
        ]
        texts = [i for i in placed.view.items if isinstance(i, Lettered)]
        crossed = [i.text for i in texts if any(i.box.touches(rail) for rail in rails)]
        assert crossed == []


@pytest.mark.parametrize("name", ["roof-terrace", "garden-ramp", "lake-deck"])
def test_elevations_stand_in_the_order_of_their_legs(name: str, light: Any, sheet_of: Any):
    boxes = []
    for placed in sheet_of(light(name).assembly).placed[2:]:
        x0, y0, x1, y1 = placed.view.bounds
        dx, dy = placed.offset
        boxes.append((x0 + dx, y0 + dy, x1 + dx, y1 + dy))
    for before, after in pairwise(boxes):
        assert after[0] >= before[2] or after[3] <= before[1]


def test_the_handrail_of_a_ramp_is_told_over_the_ramp(drawn: Any):
    # 34 in over the ramp; its post stands 2-3/4 in before it on the level, where a line drawn on
    # to it would be 0.23 in higher.
    assembly, views = drawn("garden-ramp")
    want = assembly.job.handrail.height_mm
    ramps = [leg for leg in assembly.legs if leg.kind == "ramp"]
    assert ramps
    for leg in ramps:
        items = views[f"{leg.run}-{leg.number}"].items
        found = [item.measured_mm for item in items if isinstance(item, LinearDimension)]
        assert any(abs(mm - want) < 1e-6 for mm in found)
        assert not any(0.5 < abs(mm - want) < 10.0 for mm in found)
