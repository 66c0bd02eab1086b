"""Drill templates measured in the PDF: check bars, hole distances, joins from page to page."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from generator.parts.patterns import patterns
from generator.shop.strips import groups, strips, tiles
from generator.shop.templates import drill_templates
from generator.spec.job import OutputChoices

INCH = 25.4


@pytest.fixture(scope="module")
def demo(lake_deck, read):
    return read(drill_templates(lake_deck.assembly))


def test_both_check_bars_are_true_on_every_page(demo, strokes, planned, read):
    metric = read(drill_templates(planned("metric-terrace").assembly))
    for reader in (demo, metric):
        assert len(reader.pages) > 5
        for number, page in enumerate(reader.pages):
            level = [
                one.size[0]
                for one in strokes(reader, number)
                if len(one.points) == 2 and one.size[1] < 1e-6
            ]
            text = page.extract_text()
            for length, label in ((100.0, "100 mm"), (4 * INCH, "4 in")):
                assert any(abs(value - length) < 2e-3 for value in level), (number, label)
                assert label in text


def test_the_file_asks_to_be_printed_as_it_is(demo):
    # ISO 32000-1, table 150: PrintScaling None.
    assert demo.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def crosses(found, width: float) -> list[tuple[float, float]]:
    """Middles of holes: outlines of many points no larger than a hole."""
    return [one.middle for one in found if len(one.points) > 20 and max(one.size) < 16.0]


def pages_of(reader, title: str) -> list[int]:
    """The numbers of the pages of a group of strips, in order."""
    said = [page.extract_text() for page in reader.pages]
    return [k for k, text in enumerate(said) if f"{title}: page " in text]


def test_holes_lie_as_far_apart_as_they_are_drilled(demo, strokes, lake_deck):
    """Rows at 3 in (design.md section 4): on one page, and over the joins by the marks in circles.

    Strip 1 is the first of its pages: its holes are those on its own middle line.
    """
    pages = pages_of(demo, "Strips 1, 2, 11")
    assert len(pages) == 4
    total: list[float] = []  # heights of holes over the lower end, by the marks alone
    base = 0.0
    mark_above: float | None = None
    for number in pages:
        found = strokes(demo, number)
        holes = [at for at in crosses(found, 63.5) if at[0] < 12.0 + 63.5]
        # A mark is a circle drawn as curves, 6 mm across: five points.
        marks = sorted(
            one.middle[1]
            for one in found
            if len(one.points) == 5
            and one.size == pytest.approx((6.0, 6.0), abs=1e-3)
            and one.middle[0] < 12.0 + 31.0
        )
        if mark_above is not None:
            base = mark_above - marks[0]  # the same mark, on the page before and on this one
        heights = sorted(round(y + base, 3) for _, y in holes)
        assert heights
        total += [y for y in heights if all(abs(y - one) > 0.01 for one in total)]
        mark_above = marks[-1] + base
        for low, high in pairwise(heights):
            assert high - low == pytest.approx(3 * INCH, abs=2e-3)
    assert len(total) == 11
    for low, high in pairwise(total):
        assert high - low == pytest.approx(3 * INCH, abs=5e-3)


def test_the_lowest_hole_is_told_from_the_line_of_the_lower_end(demo, strokes):
    """geometry.md E: 3-1/16 in over the deck, less a plate of 3/8 in: 2-11/16 in."""
    number = pages_of(demo, "Strips 1, 2, 11")[0]
    found = strokes(demo, number)
    lowest = min(y for x, y in crosses(found, 63.5) if x < 12.0 + 63.5)  # of strip 1
    ends = [
        one.points[0][1]
        for one in found
        if len(one.points) == 2 and one.size[1] < 1e-6 and abs(one.size[0] - 63.5) < 2e-3
    ]
    assert lowest - min(ends) == pytest.approx((3.0625 - 0.375) * INCH, abs=2e-3)


def test_on_a4_every_hole_lies_where_the_table_has_it_over_the_lower_end(planned, read, strokes):
    """The metric terrace, each page with a lower end: every hole on it, by strip, within 2 um."""
    assembly = planned("metric-terrace").assembly
    reader = read(drill_templates(assembly))
    found = strips(patterns(assembly))
    measured = 0
    for group in groups(found, 210.0 - 24.0, 16.0):
        title = f"Strip{'s' if len(group) > 1 else ''} {', '.join(str(s.number) for s in group)}"
        drawn = strokes(reader, pages_of(reader, title)[0])
        left = 12.0
        for strip in group:
            middle = left + strip.width_mm / 2
            (end,) = {
                round(one.points[0][1], 4)
                for one in drawn
                if len(one.points) == 2
                and one.size == pytest.approx((strip.width_mm, 0.0), abs=2e-3)
                and one.middle[0] == pytest.approx(middle, abs=2e-3)
                and one.middle[1] < 40.0
            }
            holes = [
                (x - middle, y - end)
                for x, y in crosses(drawn, strip.width_mm)
                if left < x < left + strip.width_mm
            ]
            assert holes
            for at, hole in zip(sorted(holes, key=lambda p: p[1]), strip.holes, strict=False):
                assert at == pytest.approx(hole.centre, abs=2e-3)
                measured += 1
            left += strip.width_mm + 16.0
    assert measured >= 3 * len(found) - 2


def test_slots_are_true_to_size(demo, strokes):
    """geometry.md D: 9/32 in wide; d / cos + t tan of 31.93845 deg, and 1/32 in of clearance.

    By hand: 0.25 / 0.848633 + 0.1875 x 0.623377 + 0.03125 = 0.442724 in high.
    """
    sizes = {
        tuple(round(value, 2) for value in one.size)
        for number in range(len(demo.pages))
        for one in strokes(demo, number)
        if len(one.points) > 20
    }
    assert (round(9 / 32 * INCH, 2), round(0.442724 * INCH, 2)) in sizes


def test_every_hole_is_whole_on_a_page_and_neighbours_overlap(planned):
    for name in ("lake-deck", "octagonal-bay", "pump-house-gangway"):
        for group in groups(strips(patterns(planned(name).assembly)), 190.0, 16.0):
            made = tiles(group, 225.0, 16.0)
            for before, after in pairwise(made):
                assert before.high_mm - after.low_mm == pytest.approx(before.overlap_mm)
                assert before.joins_mm[1] == pytest.approx(after.joins_mm[0])
            for strip in group:
                for hole in strip.holes:
                    low = hole.centre[1] - hole.height_mm / 2
                    high = hole.centre[1] + hole.height_mm / 2
                    assert any(one.low_mm <= low and high <= one.high_mm for one in made)


def test_every_drilled_face_has_a_strip(planned):
    for name in ("lake-deck", "porch-columns"):
        found = patterns(planned(name).assembly)
        told = {(letter, face) for one in strips(found) for letter, face, _ in one.uses}
        names = {"x-": "back", "x+": "front", "y-": "right", "y+": "left"}
        asked = {(p.letter, names[h.face]) for p in found for h in p.prism.holes}
        assert told == asked


def test_pages_are_letter_or_a4_by_the_units_or_as_asked(planned, read):
    # ISO 216: A4 is 210 x 297 mm. Letter is 8-1/2 x 11 in (ANSI/ASME Y14.1).
    inches, metric = (planned(n).assembly for n in ("straight-leg", "birch-landing"))
    asked = replace(inches, job=replace(inches.job, outputs=OutputChoices(paper="a4")))
    for assembly, size in ((inches, (215.9, 279.4)), (metric, (210, 297)), (asked, (210, 297))):
        for page in read(drill_templates(assembly)).pages:
            width, height = (float(value) * INCH / 72 for value in page.mediabox[2:])
            assert (width, height) == pytest.approx(size, abs=0.01)


def test_pages_are_counted_within_a_strip_and_in_the_file(demo):
    texts = [page.extract_text() for page in demo.pages]
    for number, text in enumerate(texts, start=1):
        assert f"sheet {number} of {len(texts)}" in text
    counted = [re.search(r"page (\d+) of (\d+)", text) for text in texts[1:]]
    assert all(counted)
    firsts = [found for found in counted if found and found[1] == "1"]
    assert sum(int(found[2]) for found in firsts) == len(texts) - 1


def test_same_job_same_bytes(lake_deck):
    assert drill_templates(lake_deck.assembly) == drill_templates(lake_deck.assembly)
