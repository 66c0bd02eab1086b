"""Each leg is unfolded as it is seen from outside, with all that belongs to it and nothing else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from shapely.geometry import LineString, Polygon

from generator.drawings import layers
from generator.drawings.arrange import Sheet
from generator.drawings.view import Line, Outline, Text, View
from generator.parts.assembly import Assembly, LegLine, PostDetail, detail_of


def _views(sheet: Sheet, assembly: Assembly) -> list[tuple[LegLine, View]]:
    views = {placed.view.name: placed.view for placed in sheet.placed}
    return [(leg, views[f"{leg.run}-{leg.number}"]) for leg in assembly.legs]


def test_every_leg_has_its_elevation_and_title(sheet: Sheet, assembly: Assembly):
    for leg, view in _views(sheet, assembly):
        words = [item.text for item in view.items if isinstance(item, Text)]
        assert f"ELEVATION - RUN {leg.run}, LEG {leg.number}" in words
        way = "LEFT TO RIGHT" if leg.deck == "left" else "RIGHT TO LEFT"
        # Notes are wrapped to the width of a narrow view.
        text = " ".join(words)
        assert f"SEEN FROM OUTSIDE, TOWARD THE WALKING SURFACE. TRAVEL RUNS {way}." in text


def test_travel_runs_as_the_note_says(sheet: Sheet, assembly: Assembly):
    for leg, view in _views(sheet, assembly):
        bubbles = {
            item.text: item.at[0]
            for item in view.items
            if isinstance(item, Text) and item.text in leg.posts
        }
        if not leg.rails:
            continue
        xs = [bubbles[mark] for mark in leg.posts]
        assert xs == sorted(xs, reverse=leg.deck == "right")


def test_posts_and_rails_are_drawn_once_each(sheet: Sheet, assembly: Assembly):
    for leg, view in _views(sheet, assembly):
        outlines = Counter(item.layer for item in view.items if isinstance(item, Outline))
        mounts = Counter(detail_of(assembly.by_mark[mark], PostDetail).mount for mark in leg.posts)
        assert outlines[layers.POST] == mounts["deck"] + mounts["fascia"]
        assert outlines[layers.COLUMN] == mounts["existing"]
        assert outlines[layers.RAIL] == len(leg.rails)
        assert outlines[layers.SPACER] == len(leg.spacers)


def test_posts_in_cored_holes_are_dashed_below_the_floor(
    light: Callable[[str], Any], sheet_of: Callable[[Assembly], Sheet]
):
    assembly = light("core-terrace").assembly
    depth = assembly.job.system.post.core_depth_mm
    for leg, view in _views(sheet_of(assembly), assembly):
        if leg.kind != "level":
            continue
        floor = leg.edge_start[2]
        ends = {
            layer: [
                y
                for i in view.items
                if isinstance(i, Line) and i.layer == layer
                for _, y in (i.a, i.b)
            ]
            for layer in (layers.POST, layers.HIDDEN)
        }
        assert min(ends[layers.POST]) == pytest.approx(floor)
        below = [y for y in ends[layers.HIDDEN] if y < floor - 1e-6]
        assert min(below) == pytest.approx(floor - depth)
        # Four sides a post, of which three are cut in the floor: two uprights and the foot.
        feet = [y for y in below if y == pytest.approx(floor - depth)]
        assert len(feet) == 4 * len(leg.posts)


def test_no_cable_is_drawn_through_a_post(sheet: Sheet, assembly: Assembly):
    # Reference library: shapely (GEOS).
    for leg, view in _views(sheet, assembly):
        outlines = [i for i in view.items if isinstance(i, Outline) and i.layer == layers.POST]
        posts = [Polygon(item.points).buffer(-0.1) for item in outlines]
        lines = [i for i in view.items if isinstance(i, Line) and i.layer == layers.CABLE]
        assert bool(lines) == bool(leg.cables)
        for line in lines:
            assert not any(LineString([line.a, line.b]).intersects(post) for post in posts)


def test_rail_labels_carry_the_length_tip_to_tip(
    light_lake_deck: Any, sheet_of: Callable[[Assembly], Sheet]
):
    # Worked by hand from geometry.md I: leg 1 runs from 1 in (run-on beyond the post at 3.25) to
    # the joint over the post at 140.625, then to the miter over 278 and 1.25 more to its tip;
    # leg 2 from its own miter to 148.75 + 1.25 + 1; the stair's rail is 84.2547 long.
    words = [
        item.text
        for placed in sheet_of(light_lake_deck.assembly).placed
        for item in placed.view.items
        if isinstance(item, Text)
    ]
    for text in (
        "R1 = 5'-10 15/16\"",
        "R2 = 17'-3 5/16\" LP",
        "R3 = 12'-4 1/4\" LP",
        "R4 = 7'-0 1/4\"",
        "RAIL JOINT",
        '11 CABLES C1 TO C11, FROM THE BOTTOM UP, @ 3" O.C.',
        '7 RISERS @ 6 7/8" = 4\'-0", 6 TREADS @ 11" = 5\'-6", PITCH 31.94\u00b0.',
    ):
        assert text in words
    assert words.count("MITER 45\u00b0") == 2


def test_rows_spread_evenly_say_so(job_of: Callable[..., Any], sheet_of: Callable[..., Sheet]):
    from generator.layout.lay_out import layout
    from generator.parts.build import assemble

    job = job_of([{"level": "12 ft"}], units="in", rows="even", height="38-5/16 in")
    sheet = sheet_of(assemble(layout(job)))
    words = [i.text for p in sheet.placed for i in p.view.items if isinstance(i, Text)]
    (note,) = [text for text in words if "FROM THE BOTTOM UP" in text]
    assert "EQUAL SPACES IN" in note


def test_each_leg_ends_in_its_own_picture(sheet: Sheet, assembly: Assembly):
    """No part of another leg is in it: a view is hardly wider than its leg and lettering."""
    for leg, view in _views(sheet, assembly):
        drawn = [i for i in view.items if isinstance(i, Outline) and i.layer == layers.RAIL]
        if not drawn:
            continue
        xs = [x for item in drawn for x, _ in item.points]
        ends = [assembly.by_mark[mark].place.origin for mark in (leg.posts[0], leg.posts[-1])]
        span = ((ends[0][0] - ends[1][0]) ** 2 + (ends[0][1] - ends[1][1]) ** 2) ** 0.5
        assert max(xs) - min(xs) == pytest.approx(span, abs=450.0)
