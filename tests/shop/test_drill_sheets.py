"""Drill sheets read back: set-ups, pairs, tape checks worked by hand, and the data for machines."""

from __future__ import annotations

import pytest

from generator.parts.patterns import patterns
from generator.parts.setups import Tool, set_ups
from generator.schedules.drill_data import drill_data
from generator.shop.drilling import drill_sheets
from generator.shop.words import bit, exact, offset_words, tilt_words, tool_words

INCH = 25.4


def text_of(reader) -> str:
    return "\n".join(page.extract_text() for page in reader.pages)


def unwrapped(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def demo(lake_deck, read) -> str:
    return text_of(read(drill_sheets(lake_deck.assembly)))


def test_every_pattern_has_a_page_and_every_mark_is_named(demo, lake_deck):
    for pattern in patterns(lake_deck.assembly):
        assert f"Pattern {pattern.letter}: " in demo
        for mark in pattern.marks:
            assert f"{mark}\n" in demo
    planned = set_ups(patterns(lake_deck.assembly))
    assert f"{len(planned)} set-ups" in demo


def test_tape_checks_of_an_end_post_by_hand(demo):
    """Lowest hole 2-11/16 in, less half of 9/32 in: 2.546875 in, by a tape 2 9/16 in.

    Highest 30 in more: 32.546875 in, 2 ft 8-9/16 in; between the two 2 ft 6 in.
    """
    page = demo.split("Pattern A: ", 1)[1].split("Pattern B: ", 1)[0]
    checks = page.split("Check with a tape", 1)[1].split("Holes", 1)[0]
    assert 'back\nits edge\n2 9/16"\n1\'-5 9/16" (hole 6)\n2\'-8 9/16"\n2\'-6"' in checks
    assert 'front\nits edge\n2 9/16"' in checks  # the bit comes out there


def test_handed_posts_are_on_one_page(planned, read):
    reader = read(drill_sheets(planned("octagonal-bay").assembly))
    pages = [page.extract_text() for page in reader.pages]
    (shown,) = [text for text in pages if "Patterns C and D: Posts, a handed pair" in text]
    assert "C, seen from outside" in shown
    assert "D, seen from outside" in shown
    assert "Other hand" in pages[0]
    assert "mirror image of D" in pages[0]


def test_a_turned_post_is_told(planned, read):
    said = text_of(read(drill_sheets(planned("switchback-stair").assembly)))
    assert "its front is the left of the drawing" in said


def test_blind_and_leaning_holes_are_told(planned, read):
    columns = text_of(read(drill_sheets(planned("porch-columns").assembly)))
    assert "deep" in columns
    assert "Posts that stand there already" in columns
    ramp = text_of(read(drill_sheets(planned("pump-house-gangway").assembly)))
    assert "4.8° down as it goes in" in unwrapped(ramp)  # a ramp of 1:12


def test_data_for_machines_has_every_hole_once_a_pattern(lake_deck):
    table = drill_data(lake_deck.assembly)
    keys = [column.key for column in table.columns]
    rows = [dict(zip(keys, row, strict=True)) for row in table.rows]
    walls = sum(2 if row["through"] and row["piece"] == "post" else 1 for row in rows)
    # By hand: 8 post patterns of 11 rows through two walls, the corner with twice as many;
    # 2 spacer patterns of 11 holes through a solid bar.
    assert walls == 7 * 22 + 44 + 2 * 11
    numbers = [int(str(row["set_up"])) for row in rows]
    assert numbers == sorted(numbers)
    stair = [row for row in rows if row["marks"] == "P10"]
    assert {row["shape"] for row in stair} == {"slot"}
    assert {row["slot_deg"] for row in stair} == {0.0}
    assert all(row["offset_right_mm"] == 0.0 for row in stair)


def test_slots_across_and_off_the_middle(planned):
    """Posts turned to a bisector: slots lie across, to the right on one face as on the other."""
    table = drill_data(planned("octagonal-bay").assembly)
    keys = [column.key for column in table.columns]
    rows = [dict(zip(keys, row, strict=True)) for row in table.rows]
    turned = [row for row in rows if row["pattern"] == "C"]
    assert {row["slot_deg"] for row in turned} == {90.0}
    offsets = {round(float(str(row["offset_right_mm"])), 3) for row in turned}
    assert len(offsets) == 2
    assert sum(offsets) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    "mm, metric, said",
    [
        (9 / 32 * INCH, False, '9/32"'),
        (4.32435, False, '11/64"'),  # 0.17025 in: 10/64 is 0.156, 11/64 is 0.172
        (6.35, False, '1/4"'),
        (5.21, True, "5.2 mm"),
        (8.8, True, "8.8 mm"),
        (8.83, True, "8.9 mm"),
    ],
)
def test_the_bit_is_the_next_of_the_series(mm, metric, said):
    assert bit(mm, metric=metric) == said


def test_words_of_the_drill():
    slot = Tool(True, 9 / 32 * INCH, 0.443 * INCH, 90.0)
    assert tool_words(slot, metric=False) == '9/32" mill, slot 0.443" long across the piece'
    leaning = Tool(False, 5.21, 5.21, 0.0, (0.0, -1 / 12))
    assert tilt_words(leaning) == "4.8° down as it goes in"  # by hand: atan(1/12) = 4.764
    assert exact(2.6875 * INCH - 1e-9, metric=False) == '2.688"'
    assert offset_words(-1.5, metric=True) == "1.5 mm left"
    assert offset_words(0.0, metric=True) == "middle"


def test_same_job_same_bytes(lake_deck):
    assert drill_sheets(lake_deck.assembly) == drill_sheets(lake_deck.assembly)


def test_a_job_without_holes_says_so(lake_deck, read):
    from dataclasses import replace

    few = replace(
        lake_deck.assembly,
        parts=tuple(p for p in lake_deck.assembly.parts if p.kind in ("rail", "cable")),
    )
    assert "Nothing is drilled" in text_of(read(drill_sheets(few)))
