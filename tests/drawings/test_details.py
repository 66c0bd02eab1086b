"""Details against the table of parts that they are drawn from: what is drawn is what is ordered.

The views are read as plain values; the sizes compared with come from the parts and the job's
profiles, the cut faces also from areas worked out by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from generator.drawings import layers
from generator.drawings.details import details
from generator.drawings.lettering import overlaps
from generator.drawings.project import Plane
from generator.drawings.section import cut_of, reach
from generator.drawings.view import AngleDimension, Hatch, Line, LinearDimension, Text, View
from generator.geometry import UP
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly, CableDetail, detail_of
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Turned
from generator.units import format_length, round_shop

INCH = 25.4


def views(assembly: Assembly) -> dict[str, View]:
    return {detail.view.name: detail.view for detail in details(assembly)}


def measured(view: View) -> list[float]:
    return [item.measured_mm for item in view.items if isinstance(item, LinearDimension)]


def has(view: View, mm: float) -> bool:
    return any(abs(value - mm) < 1e-6 for value in measured(view))


def words(view: View) -> str:
    return " ".join(item.text for item in view.items if isinstance(item, Text))


def changed(
    light_values: Any, read_values: Any, name: str, change: Callable[[dict[str, Any]], None]
) -> Assembly:
    values = light_values(name)
    change(values)
    return assemble(layout(read_values(values)))


def first(assembly: Assembly, *kinds: Any) -> Any:
    return next(assembly.of_kind(*kinds))


def test_no_text_of_a_detail_stands_on_another(assembly: Assembly):
    for detail in details(assembly):
        assert overlaps(detail.view.boxes) == [], detail.view.name


def test_names_are_unique_and_every_detail_is_dimensioned_and_noted(assembly: Assembly):
    made = details(assembly)
    assert len({detail.view.name for detail in made}) == len(made)
    for detail in made:
        drawn = [i for i in detail.view.items if isinstance(i, LinearDimension | AngleDimension)]
        assert drawn, detail.view.name
        words_of = [item for item in detail.view.items if isinstance(item, Text)]
        assert any(text.layer == layers.TEXT for text in words_of)


def test_texts_of_dimensions_are_their_lengths(assembly: Assembly):
    """Within what both ends are rounded by: 1/16 in, or a tenth of a millimetre."""
    for detail in details(assembly):
        metric = detail.scale.metric
        slack = 0.1 if metric else INCH / 16
        for item in detail.view.items:
            if isinstance(item, LinearDimension):
                near = [item.measured_mm - slack * k / 16 for k in range(-16, 17)]
                shop = (
                    [format_length(v, True) for v in near]
                    if metric
                    else [format_length(round_shop(v, False), False) for v in near]
                )
                assert item.text in shop


def test_base_on_deck_is_the_plate_the_bolts_and_the_post_of_the_table(light_lake_deck: Any):
    assembly = light_lake_deck.assembly
    post = assembly.job.system.post
    made = views(assembly)
    plan, section = made["detail-base-deck-plan"], made["detail-base-deck"]
    plate = first(assembly, "base-plate").shape
    assert plate.section.outer.width_mm == post.plate_mm == 5 * INCH
    assert has(plan, post.plate_mm)
    assert has(plan, post.bolt_spacing_mm)
    assert has(plan, post.width_mm)
    assert has(plan, assembly.job.guard.edge_inset_mm)
    assert has(section, post.depth_mm)
    assert has(section, plate.end.z_mm)  # thickness
    assert has(section, assembly.job.structure.decking_mm)
    assert has(section, first(assembly, "rim").shape.section.outer.depth_mm)
    anchor = first(assembly, "anchor").shape
    assert isinstance(anchor, Turned)
    shank = anchor.steps[0]
    assert f"{format_length(shank.end_mm - shank.start_mm, False)} LONG" in words(section)


@pytest.mark.parametrize("width, plate", [(66.675, 165.1), (50.8, 120.65)])
def test_another_post_changes_every_detail_that_shows_it(
    width: float, plate: float, light_values: Any, read_values: Any
):
    def change(values: dict[str, Any]) -> None:
        values["system"]["post"] = {
            "name": "al-square-2.5",
            "width": f"{width} mm",
            "plate": f"{plate} mm",
            "bolt_spacing": f"{plate - 25.4} mm",
        }

    plain = views(changed(light_values, read_values, "lake-deck", lambda values: None))
    assembly = changed(light_values, read_values, "lake-deck", change)
    made = views(assembly)
    for name in ("detail-base-deck-plan", "detail-base-deck-stair-plan"):
        assert has(made[name], width)
        assert has(made[name], plate)
        assert not has(plain[name], width)
        assert not has(plain[name], plate)
    for name in ("detail-dead", "detail-pulling", "detail-dead-pitched", "detail-joint"):
        assert has(made[name], width), name
        assert not has(plain[name], width), name
    for name, view in made.items():
        if "spacer" not in name:
            assert view != plain.get(name), name


def test_another_pitch_changes_what_lies_at_the_pitch(light_values: Any, read_values: Any):
    def steeper(values: dict[str, Any]) -> None:
        values["runs"][0]["legs"][-1]["stair"]["tread"] = "10 in"

    plain = views(changed(light_values, read_values, "lake-deck", lambda values: None))
    made = views(changed(light_values, read_values, "lake-deck", steeper))
    # 7 risers in 4 ft: 6 6/7 in each; pitch atan((48 / 7) / tread), by hand.
    for tread, found in ((11.0, plain), (10.0, made)):
        pitch = math.degrees(math.atan(48 / 7 / tread))
        text = f"{pitch:.2f}".rstrip("0").rstrip(".")
        assert f"PITCH {text}" in words(found["detail-transition-1"])
        assert f"BEVELLED SEAT {text}" in words(found["detail-dead-pitched"])
    at_pitch = [name for name in made if "pitched" in name or "transition" in name]
    assert {"detail-dead-pitched", "detail-pulling-pitched"} <= set(at_pitch)
    for name in at_pitch:
        assert made[name] != plain[name], name


def test_fascia_detail_has_plate_bolts_and_stand_off(light: Any):
    assembly = light("fascia-balcony").assembly
    post = assembly.job.system.post
    made = views(assembly)
    section, outside = made["detail-base-fascia"], made["detail-base-fascia-front"]
    for view in (section, outside):
        assert has(view, post.side_plate_height_mm)
        assert has(view, post.side_bolt_spacing_mm)
    assert has(outside, post.side_plate_mm)
    assert has(outside, post.bolt_spacing_mm)
    # Post to fascia: the stand-off and the plate.
    plate, off = first(assembly, "side-plate").shape, first(assembly, "stand-off").shape
    thick = plate.section.outer.depth_mm + off.section.outer.depth_mm
    assert thick == pytest.approx(post.standoff_mm)
    assert has(section, thick)
    assert has(section, post.depth_mm)


def test_cored_hole_is_that_of_the_profile(light: Any):
    assembly = light("core-terrace").assembly
    post = assembly.job.system.post
    view = views(assembly)["detail-base-core"]
    assert has(view, post.core_hole_mm)
    assert has(view, post.core_depth_mm)
    assert has(view, assembly.job.structure.decking_mm)
    assert has(view, post.depth_mm)


def test_rail_joint_is_as_long_as_the_sleeve(light_lake_deck: Any):
    assembly = light_lake_deck.assembly
    sleeve = first(assembly, "sleeve").shape
    view = views(assembly)["detail-joint"]
    assert has(view, sleeve.end.z_mm - sleeve.start.z_mm)
    assert has(view, assembly.job.system.rail.depth_mm)


def test_a_joint_on_a_ramp_shows_no_width_of_the_post_that_leans_in_it(light: Any):
    # The rail lies level in the picture and the plumb post leans by the pitch.
    assembly = light("garden-ramp").assembly
    view, post = views(assembly)["detail-joint"], assembly.job.system.post
    sleeve = first(assembly, "sleeve").shape
    long = sleeve.end.z_mm - sleeve.start.z_mm
    known = (long, long / 2, assembly.job.system.rail.depth_mm)
    assert all(any(abs(value - size) < 1e-6 for size in known) for value in measured(view))
    width = format_length(post.width_mm, False)
    assert f"{width} x {width} x {format_length(post.wall_mm, False)}" in words(view)


def test_a_cable_end_in_a_post_that_is_turned_is_as_wide_as_the_post_is_cut(light: Any):
    # In a corner of 135 degrees the post stands at half the turn of 45 to both legs: cut along the
    # leg it is 2.5 in / cos 22.5 = 2.706 in wide; its silhouette would be 3.266 in. By hand.
    view = views(light("octagonal-bay").assembly)["detail-pulling"]
    assert has(view, 2.5 * INCH / math.cos(math.radians(22.5)))
    assert not has(view, 2.5 * INCH * math.sqrt(2) * math.cos(math.radians(22.5)))


def test_a_post_on_a_stringer_is_shown_down_to_the_foot_of_its_plate(light: Any):
    assembly = light("both-sides-stair").assembly
    made = views(assembly)
    plate = first(assembly, "side-plate").shape
    high = plate.end.z_mm - plate.start.z_mm
    for name in ("detail-base-fascia-stair", "detail-base-fascia-stair-front"):
        assert has(made[name], high), name
    drawn = made["detail-base-fascia-stair"].items
    cut = [ring for item in drawn if isinstance(item, Hatch) for ring in item.rings]
    lowest = min(y for ring in cut for _, y in ring)
    assert lowest < -high  # it begins below the nosing line, from where heights are told
    items = made["detail-base-fascia-stair-front"].items
    nosing = [item for item in items if isinstance(item, Line) and item.layer == layers.NOSING]
    leg = next(leg for leg in assembly.legs if leg.kind == "stair")
    (line,) = nosing
    rise = (line.b[1] - line.a[1]) / (line.b[0] - line.a[0])
    assert abs(math.degrees(math.atan(rise))) == pytest.approx(abs(leg.pitch_deg))


def test_a_short_rail_between_two_miters_names_the_arm_of_the_miter_that_is_shown(light: Any):
    made = views(light("two-level-deck").assembly)
    for name in ("detail-miter-1", "detail-miter-2"):
        x0, y0, x1, y1 = made[name].bounds
        assert max(x1 - x0, y1 - y0) < 40 * INCH, name  # no leader to the other end of the rail


def test_miter_tells_the_saw_and_reaches_as_far_as_the_connector(light_lake_deck: Any):
    assembly = light_lake_deck.assembly
    view = views(assembly)["detail-miter-1"]
    arm = first(assembly, "connector").shape
    assert has(view, arm.end.z_mm - arm.start.z_mm)
    assert has(view, assembly.job.system.rail.width_mm)
    # A turn of 90 degrees is cut at half of it.
    assert "MITER 45\u00b0" in words(view)


def test_cable_ends_have_the_lengths_of_their_fittings(light_lake_deck: Any):
    assembly = light_lake_deck.assembly
    fitting = assembly.job.system.fitting
    made = views(assembly)
    for name in ("detail-dead", "detail-pulling"):
        assert has(made[name], fitting.overall_mm)
        assert has(made[name], fitting.sleeve_length_mm)
        assert has(made[name], assembly.job.system.post.width_mm)
    assert "TENSIONED AT THIS END TO 200 LBF" in words(made["detail-pulling"])
    cable = next(c for c in assembly.of_kind("cable") if detail_of(c, CableDetail).row == 2)
    assert detail_of(cable, CableDetail).ends == ("dead", "pulling")
    assert f"SHOWN AT {cable.mark} IN {detail_of(cable, CableDetail).posts[0]}." in words(
        made["detail-dead"]
    )


def test_every_hole_of_a_spacer_is_dimensioned(light_lake_deck: Any):
    assembly = light_lake_deck.assembly
    part = first(assembly, "spacer")
    view = views(assembly)["detail-spacer-1"]
    heights = sorted(hole.along_mm for hole in part.shape.holes)
    assert has(view, part.shape.end.z_mm)
    spans = measured(view)
    # One chain through all the holes: its ends, and as many spans as there are rows less one.
    spacing = heights[1] - heights[0]
    assert sum(abs(span - spacing) < 1e-6 for span in spans) == len(heights) - 1


def test_level_to_stair_tells_both_heights_of_the_guard(light_lake_deck: Any):
    guard = light_lake_deck.assembly.job.guard
    view = views(light_lake_deck.assembly)["detail-transition-1"]
    assert sum(abs(value - guard.height_mm) < 1e-6 for value in measured(view)) >= 1
    assert has(view, guard.stair_height_mm)


def test_both_ends_of_a_ramp_are_dimensioned_within_their_pictures(light: Any):
    # Its rail is in three pieces: the height is told on the one that the picture shows.
    made = views(light("garden-ramp").assembly)
    heights = light("garden-ramp").assembly.job.guard.height_mm
    for name in ("detail-transition-1", "detail-transition-2"):
        view = made[name]
        x0, _, x1, _ = view.bounds
        assert sum(abs(value - heights) < 1e-6 for value in measured(view)) == 2, name
        lines = [item for item in view.items if isinstance(item, LinearDimension)]
        reach = [abs(item.line[0][0] - item.a[0]) for item in lines]
        assert max(reach) < 0.3 * (x1 - x0), name


def test_handrail_keeps_its_clearance_and_size(light: Any):
    assembly = light("switchback-stair").assembly
    handrail = assembly.job.handrail
    view = views(assembly)["detail-handrail"]
    clear, width = measured(view)[:2]
    assert clear >= handrail.clearance_mm - 1e-6
    assert width == pytest.approx(handrail.diameter_mm, rel=1e-2)  # a ring of 48 sides


def test_a_part_that_is_changed_in_the_table_changes_the_detail(light_lake_deck: Any):
    """Details read the table and not the profile: one plate made thicker shows."""
    from dataclasses import replace

    from generator.geometry import EndPlane

    assembly = light_lake_deck.assembly
    thick = 20.0
    parts = tuple(
        replace(part, shape=replace(part.shape, end=EndPlane(thick)))
        if part.kind == "base-plate"
        else part
        for part in assembly.parts
    )
    other = Assembly(assembly.job, parts, assembly.legs, assembly.consumables)
    assert not has(views(assembly)["detail-base-deck"], thick)
    assert has(views(other)["detail-base-deck"], thick)


def test_a_cut_tube_is_as_large_as_its_section(light_lake_deck: Any):
    """Areas of the cut against the closed form of the section: square across, two strips along."""
    post = first(light_lake_deck.assembly, "post")
    x, y, z = post.place.origin
    across = Plane((x, y, z + 30.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    cut = cut_of(post, across)
    assert cut is not None
    area = sum(map(_area, cut.pieces)) - sum(map(_area, cut.holes))
    assert area == pytest.approx(post.shape.section.area_mm2, rel=1e-9)
    lengthwise = cut_of(post, Plane((x, y, z), (0.0, 1.0, 0.0), UP))
    assert lengthwise is not None
    profile = light_lake_deck.assembly.job.system.post
    strips = 2 * profile.wall_mm * post.shape.end.z_mm  # no hole in the faces beside the leg
    assert sum(map(_area, lengthwise.pieces)) == pytest.approx(strips, rel=1e-9)
    through = cut_of(post, Plane((x, y, z), (1.0, 0.0, 0.0), UP))
    assert through is not None
    holes = sum(hole.height_mm for hole in post.shape.holes) * profile.wall_mm
    assert sum(map(_area, through.pieces)) == pytest.approx(strips - holes, rel=1e-9)


def test_a_plane_beside_a_part_cuts_nothing(light_lake_deck: Any):
    post = first(light_lake_deck.assembly, "post")
    x, y, z = post.place.origin
    assert cut_of(post, Plane((x, y + 500.0, z), (1.0, 0.0, 0.0), UP)) is None
    low, high = reach(post, Plane((x, y, z), (1.0, 0.0, 0.0), UP))
    assert (low, high) == (pytest.approx(-31.75), pytest.approx(31.75))


def test_hatch_lines_fill_what_is_cut_and_nothing_else():
    """Their length times their distance is the area, within one line at each edge."""
    outer = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0))
    inner = ((20.0, 20.0), (80.0, 20.0), (80.0, 40.0), (20.0, 40.0))
    hatch = Hatch((outer, inner), 45.0, 0.5, layers.HATCH)
    total = sum(math.dist(line.a, line.b) for line in hatch.lines) * 0.5
    assert total == pytest.approx(100 * 60 - 60 * 20, rel=1e-3)
    for line in hatch.lines:
        x, y = (line.a[0] + line.b[0]) / 2, (line.a[1] + line.b[1]) / 2
        assert not (20.0 < x < 80.0 and 20.0 < y < 40.0)


def _area(points: tuple[tuple[float, float], ...]) -> float:
    following = (*points[1:], points[0])
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, following, strict=True))) / 2


def test_cut_faces_are_drawn_in_the_pen_of_what_is_cut(light_lake_deck: Any):
    pens = {layer.name: layer.pen for layer in layers.LAYERS}
    assert (pens[layers.CUT], pens[layers.SEEN], pens[layers.HATCH]) == (50, 25, 18)
    view = views(light_lake_deck.assembly)["detail-base-deck"]
    used = {item.layer for item in view.items if isinstance(item, Line | Hatch)}
    assert {layers.CUT, layers.HATCH, layers.UNSEEN} <= used


def test_prisms_alone_are_cut(light_lake_deck: Any):
    anchor = first(light_lake_deck.assembly, "anchor")
    assert not isinstance(anchor.shape, Prism)
    assert cut_of(anchor, Plane(anchor.place.origin, (1.0, 0.0, 0.0), UP)) is None
