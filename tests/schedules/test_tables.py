"""Schedules as CSV and as text: read back by another reader, compared with the table of parts."""

from __future__ import annotations

import csv
import io

import pytest

from generator.parts.assembly import RailDetail
from generator.parts.cut_words import cut_words
from generator.parts.quantities import quantities
from generator.results import results
from generator.schedules.cables import cable_list
from generator.schedules.cuts import cut_list
from generator.schedules.order import order_list
from generator.schedules.table import Column, Table, to_csv, to_text

INCH = 25.4


def read(table: Table) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(to_csv(table))))


def test_csv_has_plain_line_ends_and_as_many_cells_as_headings(lake_deck):
    for make in (cut_list, cable_list, order_list):
        text = to_csv(make(lake_deck.assembly))
        assert "\r" not in text
        assert text.endswith("\n")
        widths = {len(row) for row in csv.reader(io.StringIO(text))}
        assert len(widths) == 1


def test_csv_quotes_what_would_break_a_row():
    table = Table("x", (Column("a"), Column("b")), (("24' 3-1/2\", cut", "two\nlines"),))
    assert list(csv.reader(io.StringIO(to_csv(table))))[1] == ["24' 3-1/2\", cut", "two\nlines"]


@pytest.mark.parametrize(
    "cell, text",
    [
        (0.0, "0"),
        (-0.0, "0"),
        (-1e-9, "0"),
        (1200.0, "1200"),
        (0.1 + 0.2, "0.3"),
        (None, ""),
        (7, "7"),
    ],
)
def test_numbers_in_csv_are_plain_decimals(cell, text):
    table = Table("x", (Column("a"), Column("b")), ((cell, "z"),))
    assert to_csv(table) == f"a,b\n{text},z\n"


def test_cut_list_has_one_row_a_piece_and_merges_none(lake_deck):
    rows = read(cut_list(lake_deck.assembly))
    pieces = [p.mark for p in lake_deck.assembly.of_kind("rail", "post", "spacer")]
    assert sorted(row["mark"] for row in rows) == sorted(pieces)
    assert len(rows) == 24  # worked by hand: 4 rail pieces, 11 posts, 4 + 3 + 2 spacers


def test_cut_list_equals_the_results_document(lake_deck):
    rows = {row["mark"]: row for row in read(cut_list(lake_deck.assembly))}
    for rail in results(lake_deck.assembly, lake_deck.report).rails:
        row = rows[rail.mark]
        numbers = [float(row[f"{name}_mm"]) for name in ("long_point", "short_point", "centre")]
        expected = [rail.long_point_mm, rail.short_point_mm, rail.centre_mm]
        assert numbers == pytest.approx(expected, abs=1e-7)
        angles = [
            float(row[f"{end}_{k}_deg"]) for end in ("start", "end") for k in ("miter", "bevel")
        ]
        saw = [rail.start.miter_deg, rail.start.bevel_deg, rail.end.miter_deg, rail.end.bevel_deg]
        assert angles == pytest.approx(saw, abs=1e-7)
        assert row["section"] == rail.section


def test_mitered_rail_of_the_level_corner_worked_by_hand(lake_deck):
    # geometry.md I, leg 2: centre 147 in; half the turn of 90 degrees; the rail is 2-1/2 in wide,
    # so a 45 degree cut takes 1-1/4 in more on one side and 1-1/4 in less on the other
    rows = {row["mark"]: row for row in read(cut_list(lake_deck.assembly))}
    row = next(r for r in rows.values() if r["leg"] == "2" and r["piece"] == "rail")
    assert float(row["centre_mm"]) == pytest.approx(147.0 * INCH, abs=1e-6)
    assert float(row["long_point_mm"]) == pytest.approx(148.25 * INCH, abs=1e-6)
    assert float(row["short_point_mm"]) == pytest.approx(145.75 * INCH, abs=1e-6)
    assert abs(float(row["start_miter_deg"])) == pytest.approx(45.0, abs=1e-6)
    assert row["long_point"] == "12'-4 1/4\""
    # a left turn: the outside of the corner, the right of the travel, is longer
    assert row["start_cut"] == "miter 45.0°, right longer"
    assert row["end_cut"] == "square"
    assert row["on_table"] == "underside"


def test_words_of_a_cut_name_the_longer_side(lake_deck):
    for part in lake_deck.assembly.of_kind("rail", "post"):
        for end in ("start", "end"):
            plane = part.shape.start if end == "start" else part.shape.end
            words = cut_words(part, end)
            right = plane.slope_x * (1 if end == "end" else -1)
            names = ("left", "right") if isinstance(part.detail, RailDetail) else ("front", "back")
            if plane.slope_x == plane.slope_y == 0.0:
                assert words == "square"
            elif right:
                assert f"{names[right < 0]} longer" in words


def test_stair_post_is_cut_to_the_pitch_and_lies_on_its_side(lake_deck):
    # geometry.md I: pitch 31.93845; the stair goes down along the post's bearing, so its back is
    # longer
    row = next(r for r in read(cut_list(lake_deck.assembly)) if r["mark"] == "P10")
    assert abs(float(row["end_miter_deg"])) == pytest.approx(31.93845, abs=1e-5)
    assert row["end_cut"] == "miter 31.9°, back longer"
    assert row["on_table"] == "right"
    assert row["start_cut"] == "square"


def test_cable_list_equals_the_results_document(lake_deck):
    rows = read(cable_list(lake_deck.assembly))
    cables = results(lake_deck.assembly, lake_deck.report).cables
    assert [row["mark"] for row in rows] == [cable.mark for cable in cables]
    for row, cable in zip(rows, cables, strict=True):
        assert float(row["route_mm"]) == pytest.approx(cable.support_length_mm, abs=1e-7)
        assert float(row["order_mm"]) == pytest.approx(cable.cut_length_mm, abs=1e-7)
        trim = float(row["order_mm"]) - float(row["finished_mm"])
        assert float(row["trim_mm"]) == pytest.approx(trim, abs=2e-7)
        assert (row["start_post"], row["end_post"]) == (cable.posts[0], cable.posts[-1])


def test_routes_worked_by_hand(lake_deck):
    # geometry.md I: route lengths leg 1, leg 2, stair
    routes = {row["legs"]: float(row["route_mm"]) for row in read(cable_list(lake_deck.assembly))}
    assert routes["1"] == pytest.approx(272.25 * INCH, abs=1e-6)
    assert routes["2"] == pytest.approx(142.25 * INCH, abs=1e-6)
    assert routes["3"] == pytest.approx(76.0060 * INCH, abs=2e-3)


def test_quantities_are_those_of_the_parts(lake_deck):
    rows = read(order_list(lake_deck.assembly))
    assert [(r["item"], int(r["count"])) for r in rows] == [
        (line.item, line.count) for line in quantities(lake_deck.assembly)
    ]
    posts = next(row for row in rows if row["item"].startswith("post "))
    assert int(posts["count"]) == 11


def test_metric_job_shows_millimetres(planned):
    job = planned("metric-terrace")
    row = read(cut_list(job.assembly))[0]
    assert float(row["long_point"]) == pytest.approx(float(row["long_point_mm"]), abs=0.0501)
    assert '"' not in to_text(cut_list(job.assembly))


def test_text_is_aligned_and_leaves_out_what_programs_read():
    columns = (Column("a", "Mark"), Column("b_mm"), Column("c", "Length", right=True))
    text = to_text(Table("Things", columns, (("P1", 1.0, "3'"), ("P10", 22.5, "12'"))))
    assert text == "Things\n  Mark  Length\n  P1        3'\n  P10      12'\n"


def test_a_schedule_of_nothing_has_its_headings():
    table = Table("Things", (Column("a", "Mark"),), ())
    assert to_text(table) == "Things\n  Mark\n"
    assert to_csv(table) == "a\n"
