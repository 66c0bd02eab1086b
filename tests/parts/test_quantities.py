"""What has to be ordered against the parts themselves; consumables counted by hand."""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.layout import layout
from generator.parts.assembly import CableDetail, PostDetail, detail_of
from generator.parts.bars import stock_plans
from generator.parts.build import assemble
from generator.parts.measure import rail_lengths
from generator.parts.quantities import quantities

NAMES = ["lake-deck", "metric-terrace", "straight-leg", "faulty/setback.stair"]


def counts(assembly):
    return {line.item: line.count for line in quantities(assembly)}


def is_stock(item):
    """Whether a line is of the bars and spools that the pieces come from."""
    return item.startswith(("bar for ", "spool of "))


@pytest.mark.parametrize("name", NAMES)
def test_every_part_of_the_guard_is_counted_once(light, name):
    assembly = light(name).assembly
    wanted = Counter(part.item for part in assembly.parts if not part.reference)
    wanted.update({item.item: item.count for item in assembly.consumables})
    assert {item: n for item, n in counts(assembly).items() if not is_stock(item)} == dict(wanted)
    bars = [bar for plan in stock_plans(assembly) for bar in plan.bars]
    assert sum(n for item, n in counts(assembly).items() if is_stock(item)) == len(bars)


@pytest.mark.parametrize("name", NAMES)
def test_what_stands_there_already_is_not_ordered(light, name):
    assembly = light(name).assembly
    there = {part.item for part in assembly.parts if part.reference}
    assert there
    assert not there & set(counts(assembly))


@pytest.mark.parametrize("name", NAMES)
def test_lengths_add_up_over_the_pieces(light, name):
    assembly = light(name).assembly
    lengths: dict[str, float] = defaultdict(float)
    for part in assembly.of_kind("cable"):
        lengths[part.item] += detail_of(part, CableDetail).cut_length_mm
    for part in assembly.of_kind("post"):
        lengths[part.item] += detail_of(part, PostDetail).length_mm
    for part in assembly.of_kind("rail", "spacer", "blocking"):
        lengths[part.item] += rail_lengths(part)[0]
    found = {
        line.item: line.length_mm
        for line in quantities(assembly)
        if line.length_mm and not is_stock(line.item)
    }
    assert found == pytest.approx(dict(lengths))


def test_consumables_of_the_straight_leg(light):
    # Five posts: 4 screws a bracket, 4 bolts a plate with two washers and a nut each, and both ends
    # of the one piece of rail closed. Tape goes under every plate (common practice, no source).
    assert [(c.item, c.count) for c in light("straight-leg").assembly.consumables] == [
        ("screw stainless self-drilling screw, No. 12 x 3/4 in", 20),
        ("washer for through-bolt-3_8", 40),
        ("nut for through-bolt-3_8", 20),
        ("end cap for al-flat-2.5x1.5", 2),
        ('barrier tape, piece 5" x 5"', 5),
    ]


def test_consumables_of_the_lake_deck(light_lake_deck):
    # Eleven posts. Four ends of rail are closed: at the wall, both of the pair, and the lowest.
    # Besides 4 a bracket, 2 screws in the one splice and 1 in either arm of the miter; 4 in each of
    # 12 blocks (common practice, no source).
    assert [(c.item, c.count) for c in light_lake_deck.assembly.consumables] == [
        ("screw stainless self-drilling screw, No. 12 x 3/4 in", 48),
        ("structural screw for blocking", 48),
        ("washer for through-bolt-3_8", 88),
        ("nut for through-bolt-3_8", 44),
        ("end cap for al-flat-2.5x1.5", 4),
        ('barrier tape, piece 5" x 5"', 11),
    ]


def test_placed_items_of_the_lake_deck(light_lake_deck):
    # By hand: 33 cables with two ends each, seats on the stair's 11 only. No span over 36 in:
    # bays of 68.7, 48.25, 40.1 and 38.9 in take one spacer each.
    found = counts(light_lake_deck.assembly)
    assert found["post al-square-2.5"] == found["bracket al-saddle"] == 11
    assert found["cable ss316-1x19-1_8"] == 33
    assert found["end fitting swage-stud-1_4"] == found["nut for swage-stud-1_4"] == 66
    assert found["bevelled seat 31.9 deg for swage-stud-1_4"] == 22
    assert found["spacer al-bar-1x3_8"] == 4 + 3 + 2
    # Leg 1 is spliced once over a post; its miter into leg 2 takes an arm in either rail.
    assert found["splice sleeve for al-flat-2.5x1.5"] == 1
    assert found["connector arm for al-flat-2.5x1.5, 45.0 deg"] == 2


def test_a_plumb_drop_is_a_piece_with_arms_in_its_miters_and_no_cap(job_of):
    stair = {"stair": {"risers": 5, "rise": 850, "tread": 280}}
    made = assemble(layout(job_of([{"level": 3000}, stair], height=1067, stair_height=914)))
    assert len(list(made.of_kind("rail"))) == 3
    assert len(list(made.of_kind("connector"))) == 4
    assert {c.item: c.count for c in made.consumables}["end cap for al-flat-2.5x1.5"] == 2


def test_a_drop_too_small_for_a_piece_needs_a_connector_and_no_cap(job_of):
    stair = {"stair": {"risers": 5, "rise": 850, "tread": 280}}
    job = job_of([{"level": 3000}, stair], height=930, stair_height=914)
    items = {c.item: c.count for c in assemble(layout(job)).consumables}
    assert items["connector for al-flat-2.5x1.5 at a plumb drop"] == 1
    assert items["end cap for al-flat-2.5x1.5"] == 2


@settings(max_examples=25)
@given(span=st.floats(250, 2500), spacing=st.floats(900, 2000))
def test_spacers_are_the_fewest_that_keep_the_span(job_of, span, spacing):
    job = job_of([{"level": 5000}], max_cable_span=span, max_post_spacing=spacing, edge_inset=100)
    assembly = assemble(layout(job))
    (leg,) = assembly.legs
    posts = [assembly.by_mark[mark].place.origin[0] for mark in leg.posts]
    spacers = [assembly.by_mark[mark].place.origin[0] for mark in leg.spacers]
    bay = posts[1] - posts[0]
    spans = (len(spacers) // (len(posts) - 1)) + 1
    assert bay / spans <= span + 1e-6
    assert spans == 1 or bay / (spans - 1) > span - 1e-6
    supports = sorted([*posts, *spacers])
    gaps = [b - a for a, b in pairwise(supports)]
    assert gaps == pytest.approx([bay / spans] * len(gaps), abs=1e-6)


def test_no_spacers_without_a_span_to_keep(job_of):
    assembly = assemble(layout(job_of([{"level": 5000}])))
    assert not list(assembly.of_kind("spacer"))


def test_a_rail_that_tells_of_no_sleeve_has_its_connectors_counted(job_of):
    # Leg 1 of two pieces, mitered into leg 2: a splice over a post, a connector at the corner.
    rail = {"rail": {"name": "al-flat-2.5x1.5", "sleeve": "0 in", "sleeve_wall": "0 in"}}
    legs = [{"level": 4000}, {"turn": 90}, {"level": 3000}]
    assembly = assemble(layout(job_of(legs, system=rail, stock=[3500], max_post_spacing=1500)))
    assert not list(assembly.of_kind("sleeve", "connector"))
    items = {c.item: c.count for c in assembly.consumables}
    assert items["splice sleeve for al-flat-2.5x1.5"] == 1
    assert items["corner connector for al-flat-2.5x1.5"] == 1
