"""Pages for bench and pocket read back by pypdf: sizes, bookmarks, every mark, the same bytes."""
# pypdf tells the type of no entry that it reads.
# pyright: reportArgumentType=false, reportCallIssue=false
# pypdf tells the type of no entry that it reads.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader

from generator.paper.lettering import missing
from generator.parts.setting_out import block_spots
from generator.parts.tensioning import pullings
from generator.schedules.pages import schedule_pages
from generator.schedules.site_sheets import cautions, site_sheets

MM = 72 / 25.4
NAMES = ["lake-deck", "metric-terrace", "fascia-balcony", "core-terrace", "switchback-stair"]


@pytest.fixture(scope="module", params=NAMES)
def job(request, light):
    return light(request.param)


def text_of(data: bytes) -> str:
    pages = PdfReader(io.BytesIO(data)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def named(text: str) -> set[str]:
    """Marks in a text, spans such as P1 to P4 told one by one."""
    found = set(re.findall(r"\b[A-Z]+\d+(?:-\d+)?\b", text))
    for letter, first, last in re.findall(r"\b([A-Z]+)(\d+) to \1(\d+)\b", text):
        found |= {f"{letter}{n}" for n in range(int(first), int(last) + 1)}
    for owner, first, last in re.findall(r"\b([A-Z]+\d+-)(\d+) to \1(\d+)\b", text):
        found |= {f"{owner}{n}" for n in range(int(first), int(last) + 1)}
    return found


def test_every_mark_that_is_cut_or_drilled_is_on_the_bench(job):
    data = schedule_pages(job.assembly)
    cut = job.assembly.of_kind("post", "rail", "spacer", "cable", "handrail", "blocking")
    assert {part.mark for part in cut} <= named(text_of(data))
    wide, high = (297.0, 210.0) if job.job.metric else (279.4, 215.9)
    for page in PdfReader(io.BytesIO(data)).pages:
        assert [float(v) for v in page.mediabox[2:]] == pytest.approx(
            [wide * MM, high * MM], abs=0.01
        )
    assert data == schedule_pages(job.assembly)


def test_schedules_are_bookmarks_each_on_its_page(light_lake_deck):
    reader = PdfReader(io.BytesIO(schedule_pages(light_lake_deck.assembly)))
    titles = [entry.title for entry in reader.outline]
    assert titles == [
        "Order list", "Packing list", "Cut list", "Bars", "Cables", "Setting out", "Blocking",
        "Tension",
    ]  # fmt: skip
    for entry in reader.outline:
        page = reader.pages[reader.get_destination_page_number(entry)]
        assert entry.title in page.extract_text()


def test_every_page_tells_the_unit_where_its_numbers_do_not(light):
    for name, told in (("lake-deck", False), ("metric-terrace", True)):
        job = light(name)
        for data in (schedule_pages(job.assembly), site_sheets(job.assembly, job.report)):
            for page in PdfReader(io.BytesIO(data)).pages:
                assert ("Lengths in millimetres" in page.extract_text()) == told


def test_order_list_on_paper_tells_spares_weights_and_their_sources(light_lake_deck):
    text = text_of(schedule_pages(light_lake_deck.assembly))
    assert "cable 10% of its length; end fittings with nuts, washers and seats 5%" in text
    assert "common practice, no source" in text
    assert "al-6061-t6: 0.098 lb/in3 (from memory, not read" in text
    assert "compliant" not in text


def test_bars_on_paper_tell_how_they_are_cut_and_how_good_the_plan_is(light):
    text = text_of(schedule_pages(light("roof-terrace").assembly))
    assert 'Saw cuts 1/8", 1/4" cut off each end of a bar' in text
    assert "5 rail bars: cost proven to be the least." in text
    assert "offcut, keep" in text


def test_equal_cables_of_a_spool_are_one_row_for_people_and_one_each_for_machines(light):
    from generator.schedules.bars import bar_list

    assembly = light("roof-terrace").assembly
    each, short = bar_list(assembly), bar_list(assembly, together=True)
    cables = [row for row in each.rows if str(row[5]).startswith("C")]
    assert len(cables) == len(list(assembly.of_kind("cable")))
    spool = [row for row in short.rows if str(row[0]).startswith("spool") and row[4]]
    assert len(spool) < 20
    # Range by range from the first end to where the next begins, as many cables as it says.
    for row in spool:
        _, _, _, _, order, _, begin, end, length, *_ = row
        assert isinstance(begin, float)
        assert isinstance(end, float)
        assert isinstance(length, float)
        numbers = [int(n) for n in str(order).split(" to ")]
        count = numbers[-1] - numbers[0] + 1
        assert end - begin == pytest.approx(count * length, abs=1e-2)
    assert short.rows[:10] == each.rows[:10]


def test_pocket_pages_hold_posts_blocks_and_cables(job):
    data = site_sheets(job.assembly, job.report)
    wide, high = (148.0, 210.0) if job.job.metric else (139.7, 215.9)
    pages = PdfReader(io.BytesIO(data)).pages
    for page in pages:
        assert [float(v) for v in page.mediabox[2:]] == pytest.approx(
            [wide * MM, high * MM], abs=0.01
        )
    text = text_of(data)
    marks = {part.mark for part in job.assembly.of_kind("post", "cable")}
    marks |= {spot.mark for _, spot in block_spots(job.assembly)}
    assert marks <= named(text)
    assert "licensed engineer have the last word" in text
    assert "compliant" not in text
    assert data == site_sheets(job.assembly, job.report)


def test_running_dimensions_of_the_lake_deck_are_in_table_and_drawing(light_lake_deck):
    # geometry.md I: 3.2500, 71.9375, 140.6250, 209.3125, 278.0000 in.
    text = text_of(site_sheets(light_lake_deck.assembly, light_lake_deck.report))
    for shown in ('3 1/4"', "5'-11 15/16\"", "11'-8 5/8\"", "17'-5 5/16\"", "23'-2\""):
        assert text.count(shown) >= 2


def test_tensions_that_a_calculation_found_take_the_place_of_the_simple_ones(light_lake_deck):
    simple = pullings(light_lake_deck.assembly)
    pulls = tuple(replace(one, passes_n=(one.tension_n * 1.13,)) for one in simple)
    pulled = replace(light_lake_deck.assembly, pulls=pulls)
    text = text_of(site_sheets(pulled, light_lake_deck.report))
    assert "226 lbf" in text  # 200 lbf and 13 %
    simple = text_of(site_sheets(light_lake_deck.assembly, light_lake_deck.report))
    assert "226 lbf" not in simple


def test_a_take_up_without_room_is_told(light_lake_deck):
    simple = pullings(light_lake_deck.assembly)
    pulls = tuple(replace(one, takeup_mm=one.room_mm + 1.0) for one in simple)
    pulled = replace(light_lake_deck.assembly, pulls=pulls)
    text = text_of(site_sheets(pulled, light_lake_deck.report))
    assert "more than there is room for" in text


def test_failures_and_warnings_are_on_the_first_pocket_page(light):
    job = light("faulty/setback.stair")
    reader = PdfReader(io.BytesIO(site_sheets(job.assembly, job.report)))
    first = re.sub(r"\s+", " ", reader.pages[0].extract_text())
    assert 'fail: P10 stands 5 1/2" behind the nosing of T3' in first


def test_cautions_are_those_of_what_the_job_has(light):
    core = " ".join(cautions(light("core-terrace").assembly))
    deck = " ".join(cautions(light("lake-deck").assembly))
    assert "reinforcement" in core
    assert "reinforcement" not in deck
    assert "look from below" in deck
    assert "Barrier tape" in deck
    assert "Barrier tape" not in core  # posts of steel


def test_the_typeface_has_every_sign(job):
    for data in (schedule_pages(job.assembly), site_sheets(job.assembly, job.report)):
        assert not missing(text_of(data))


def test_a_leg_of_three_hundred_posts_is_told_without_a_drawing(job_of):
    from generator.checks import run
    from generator.layout import layout
    from generator.parts.build import assemble

    assembly = assemble(layout(job_of([{"level": 300_000}], max_post_spacing=1000)))
    text = text_of(site_sheets(assembly, run(assembly)))
    assert {part.mark for part in assembly.of_kind("post")} <= named(text)
    assert "runs from here" not in text
