"""Cut tickets read back: lengths and saw settings worked by hand, every mark, bars, weights."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest

from generator.parts.mass import Scales
from generator.products.pieces import cut_pieces
from generator.shop.bars import BarPiece, StockBar, bar_pages
from generator.shop.tickets import cut_tickets

INCH = 25.4
POUND = 0.45359237  # kg, exact


@pytest.fixture(scope="module")
def demo(light_lake_deck, read):
    return read(cut_tickets(light_lake_deck.assembly))


def ticket(reader, title: str) -> str:
    texts = [page.extract_text() for page in reader.pages]
    return next(text for text in texts if f"\n{title}\n" in f"\n{text}\n")


def test_every_piece_has_one_page_and_every_mark_one_ticket(demo, light_lake_deck):
    pieces = cut_pieces(light_lake_deck.assembly)
    assert len(pieces) == 14
    assert len(demo.pages) == 15  # and the maps of the bars
    for page, piece in zip(demo.pages, pieces, strict=False):
        words = page.extract_text().splitlines()
        assert any(line.endswith((" piece", " pieces")) for line in words)
        assert f"{len(piece.marks)} piece" in " ".join(words)
    assert [entry.title for entry in demo.outline][:3] == ["Rail R1", "Rail R2", "Rail R3"]


def test_the_rail_of_leg_2_recomputed_by_hand(demo):
    """geometry.md section I: centre 147 in. At its start the corner turns left by 90 deg.

    The miter halves the turn: 45 deg. The rail is 2-1/2 in wide, so that its outer edge, the right
    one at a left turn, is 1-1/4 in longer than the centre line and the inner one as much shorter:
    148.25 in and 145.75 in. The free end is square.
    """
    text = ticket(demo, "Rail R3")
    assert re.search(r"Long point\n12'-4 1/4\" +\(148\.25\"\)", text)
    assert re.search(r"Short point\n12'-1 3/4\" +\(145\.75\"\)", text)
    assert re.search(r"Centre\n12'-3\" +\(147\"\)", text)
    assert "lies on the table: underside" in text
    assert re.search(r"start\n45\.0°\n0\.0°\nmiter 45\.0°, right longer", text)
    assert re.search(r"end\n0\.0°\n0\.0°\nsquare", text)
    for said in ("short point 12'-1 3/4\"", "centre 12'-3\"", "long point 12'-4 1/4\""):
        assert said in text


def test_the_post_on_tread_6_recomputed_by_hand(demo):
    """geometry.md section I: rail top 37.8701 in over the base, pitch 31.93845 deg.

    Under the rail's top: rail 1.5 and bracket 0.25 in, square to the pitch, 1.75 / 0.848633 =
    2.06214 in plumb; plate 3/8 in. Centre 37.8701 - 2.06214 - 0.375 = 35.4330 in. The tube is
    2-1/2 in: 1.25 x 0.623377 = 0.77922 in more at the upper side, which is the back, down a stair.
    """
    text = ticket(demo, "Post P11")
    assert '(35.433")' in text
    assert '(36.212")' in text
    assert '(34.654")' in text
    assert "miter 31.9°, back longer" in text


def test_what_the_drawing_shows_is_to_scale(demo, strokes):
    """The section of a rail 2-1/2 by 1-1/2 in at 1:2, and the slant of its miter at 45 deg."""
    number = next(k for k, p in enumerate(demo.pages) if "\nRail R3\n" in p.extract_text())
    found = strokes(demo, number)
    sizes = [one.size for one in found]
    section = (2.5 * INCH / 2, 1.5 * INCH / 2)
    assert any(size == pytest.approx(section, abs=1e-3) for size in sizes)
    miter = 2.5 * INCH / 2
    assert any(
        len(one.points) == 2 and one.size == pytest.approx((miter, miter), abs=1e-3)
        for one in found
    )


def test_the_weight_of_rails_by_hand(demo, light_lake_deck):
    """Tube 2-1/2 by 1-1/2 in, wall 1/8 in: 3.75 - 2.25 x 1.25 = 0.9375 in2; 0.098 lb/in3.

    Centre lengths 277 + 147 + 84.2547 in (geometry.md section I): 508.2547 x 0.9375 x 0.098 =
    46.696 lb in all; the stair's rail 84.2547 x 0.091875 = 7.741 lb.
    """
    rails = list(light_lake_deck.assembly.of_kind("rail"))
    masses = [Scales(light_lake_deck.job).part_kg(part) for part in rails]
    total = sum(mass for mass in masses if mass is not None) / POUND
    assert total == pytest.approx(508.2547 * 0.9375 * 0.098, rel=2e-6)
    assert "about 7.74 lb" in ticket(demo, "Rail R4")


def test_posts_and_spacers_of_a_job_by_hand(light):
    """Straight leg: 5 posts of 33.875 in, tube 2-1/2 in, wall 3/16 in: 1.734375 in2; 0.098 lb/in3.

    Of each post 22 holes through walls of 3/16 in are taken: pi / 4 x d2 x 0.1875 x 22. The two
    end posts pass studs (9/32 in), the others cables (1/8 in and a clearance of 1/32 in, with the
    largest diameter of the cable in the catalogue).
    """
    assembly = light("straight-leg").assembly
    posts = list(assembly.of_kind("post"))
    cable = assembly.job.system.cable.max_diameter_mm / INCH + 1 / 32
    bare = 33.875 * (2.5**2 - 2.125**2)
    holes = [22 * math.pi / 4 * d**2 * 0.1875 for d in (9 / 32, cable, cable, cable, 9 / 32)]
    for part, drilled in zip(posts, holes, strict=True):
        mass = Scales(assembly.job).part_kg(part)
        assert mass is not None
        assert mass / POUND == pytest.approx((bare - drilled) * 0.098, rel=1e-6)
    assert Scales(assembly.job).part_kg(next(assembly.of_kind("deck"))) is None


BARS = (
    StockBar(
        "Bar 1",
        "al-flat-2.5x1.5",
        240 * INCH,
        (
            BarPiece("R1", 0.0, 139.625 * INCH),
            BarPiece("R4", 139.75 * INCH, 224.0 * INCH, turned=True),
        ),
        15.875 * INCH,
        kept=True,
    ),
    StockBar(
        "Bar 2",
        "al-flat-2.5x1.5",
        240 * INCH,
        (BarPiece("R3", 0.0, 148.25 * INCH, start_lean_mm=-2.5 * INCH),),
        91.625 * INCH,
    ),
)


def test_tickets_name_the_bar_and_maps_show_it(light_lake_deck, read, strokes):
    reader = read(cut_tickets(light_lake_deck.assembly, BARS))
    assert len(reader.pages) == 15
    assert "Cut from\nBar 1" in ticket(reader, "Rail R4")
    assert "Cut from\nany bar" in ticket(reader, "Rail R2")
    text = reader.pages[-1].extract_text()
    for said in (
        "Bar 1: al-flat-2.5x1.5, 20'-0\"",
        "1'-3 7/8\" left, keep it",
        "7'-7 5/8\" left, waste",
    ):
        assert said in text
    boxes = [one.size[0] for one in strokes(reader, 14) if abs(one.size[1] - 8.0) < 1e-3]
    room = 215.9 - 28.0 - 18.0  # between the margins, less what the last position takes
    assert sum(abs(size - room) < 1e-3 for size in boxes) == 4  # two bars, each its ground and edge
    for length in (139.625, 84.25, 148.25, 15.875):  # pieces, and the offcut that is kept
        assert any(abs(size - room * length / 240) < 1e-3 for size in boxes)


def test_the_demo_jobs_own_bars_by_hand(demo):
    """Rails of 70.9375, 207.3125, 148.25 and 84.2547 in from bars of 8 and 20 ft, a kerf of 1/8 in.

    147 1/4 + 84 1/4 and a kerf are under 240, and no two others are: three bars of 20 ft or, for
    the shortest, one of 8. Of the third 240 - 148.25 - 84.2547 less two kerfs are left: 7.245 in,
    under the 24 in that are kept; of the first 96 - 70.9375 - 1/8 = 24.9375, which is kept.
    """
    for title, bar in (("R1", 1), ("R2", 2), ("R3", 3), ("R4", 3)):
        assert f"Cut from\nrail bar {bar}\n" in ticket(demo, f"Rail {title}")
    text = demo.pages[-1].extract_text()
    assert '7 1/4" left, waste' in text
    assert "2'-0 15/16\" left, keep it" in text
    assert 'Saw cuts are 1/8" wide' in text


def test_pieces_lie_in_the_map_as_they_are_turned(light, read):
    """Octagon: four rails a bar, mitered 22.5 deg; each slanted cut begins the next piece."""
    from generator.shop.bars import stock_bars

    assembly = light("octagonal-bay").assembly
    bars = stock_bars(assembly)
    slant = 2.5 * INCH * math.tan(math.radians(22.5))
    shared = 0
    for bar in bars:
        assert bar.seen == "seen from above"
        for before, after in pairwise(bar.pieces):
            if after.shared:
                shared += 1
                assert after.start_lean_mm == pytest.approx(before.end_lean_mm, abs=1e-6)
                assert abs(after.start_lean_mm) == pytest.approx(slant, abs=1e-6)
                # On one cut a kerf lies between the two, square to the cut.
                kerf = INCH / 8 / math.cos(math.radians(22.5))
                gap = after.at_mm + slant - before.to_mm
                assert gap == pytest.approx(kerf, abs=1e-6)
    assert shared >= 3
    text = read(cut_tickets(assembly)).pages[-1].extract_text()
    assert text.count(", one cut") == shared
    assert "upside down" in text


def test_trim_costs_and_turning_of_a_terrace_are_told(light, read):
    text = read(cut_tickets(light("roof-terrace").assembly)).pages[-1].extract_text()
    assert '1/4" is cut off each end of a bar first' in text


def test_many_bars_take_several_pages(read):
    from generator.paper.canvas import Pages

    pages = Pages("bars")
    bar_pages(pages, (210.0, 297.0), BARS * 6, "a job", metric=True)
    reader = read(pages.data())
    assert len(reader.pages) == 2
    said = "".join(page.extract_text() for page in reader.pages)
    assert said.count("Bar 1: ") == 6


@pytest.mark.parametrize("name", ["switchback-stair", "mill-mezzanine", "wattle-veranda"])
def test_tickets_of_other_jobs_name_every_mark(name, light, read):
    assembly = light(name).assembly
    reader = read(cut_tickets(assembly))
    assert len(reader.pages) == len(cut_pieces(assembly)) + 1  # one of bar maps
    assert cut_tickets(assembly) == cut_tickets(assembly)


def test_positions_under_a_bar_cross_no_line():
    """Texts run to the right of their lines; a line ends at its own text."""
    from generator.shop.bars import _labels

    ends = [1000.0, 1010.0, 1021.0, 1400.0, 1405.0, 5990.0]
    starts = [0.0, *ends]
    pieces = tuple(
        BarPiece(f"X{k}", a + 3.0, b) for k, (a, b) in enumerate(zip(starts, ends, strict=False))
    )
    labels = _labels(StockBar("Bar 1", "bar", 6000.0, pieces, 10.0), 180.0, metric=True)
    assert len(labels) == len(ends)
    assert next(label.text for label in labels if label.x < 29.0) == "X2 to 1021 mm"
    for one in labels:
        for other in labels:
            if other.x > one.x and other.row >= one.row:
                assert one.x + 0.6 + 8.0 < other.x  # a metric position is at least 8 mm long
