"""The permit set as PDF and previews, read back by pypdf, poppler and an XML parser.

Page sizes, pens and plotted lengths are measured in the content stream itself, where user units
are points, 72 to the inch (ISO 32000-1, 8.3.2).
"""
# pypdf tells the type of no entry that it reads.
# pyright: reportAttributeAccessIssue=false, reportIndexIssue=false, reportOptionalMemberAccess=false
# pyright: reportOperatorIssue=false, reportOptionalSubscript=false, reportArgumentType=false

from __future__ import annotations

import io
import math
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from generator.drawings import layers
from generator.drawings.lettering import overlaps
from generator.drawings.pdf import pdf_data, printable
from generator.drawings.permit import write_set
from generator.drawings.plan import plan_view
from generator.drawings.plot import Onto, inked, pens, windows
from generator.drawings.sheet_set import sheet_set
from generator.drawings.sheets import Frame, Paper, PlacedView, SheetPage, SheetSet
from generator.drawings.svg import svg_text
from generator.drawings.view import Arc, Fill, Line, Outline, Scale, Text, View
from generator.paper.lettering import missing, text_width_mm

POINTS = 72 / 25.4
INCH = 25.4
_MOVE = re.compile(rb"(-?[\d.]+) (-?[\d.]+) m (-?[\d.]+) (-?[\d.]+) l")

poppler = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler is not installed")


@pytest.fixture(scope="module")
def lake(lake_deck: Any, set_of: Any) -> SheetSet:
    return set_of(lake_deck.assembly, lake_deck.report)


@pytest.fixture(scope="module")
def data(lake: SheetSet) -> bytes:
    return pdf_data("Tern Cottage lake deck", lake.sheets)


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


def texts(sheet: SheetPage) -> list[str]:
    """Every line of text that is drawn on a sheet, in order."""
    inks = (ink for w in windows(sheet) for _, ink in inked(w.items, w.onto))
    return [ink.text for ink in inks if isinstance(ink, Text)]


def contents(data: bytes, page: int = 0) -> bytes:
    return read(data).pages[page].get_contents().get_data()


def plotted_lines(data: bytes) -> list[float]:
    """Lengths in inches of every single straight stroke on the first page."""
    stream = contents(data).replace(b"\n", b" ")
    found = re.search(rb"([\d.]+) 0 0 ([\d.]+) 0 0 cm", stream[stream.index(b" q ") :])
    assert found
    factor = float(found[1])
    assert factor == pytest.approx(POINTS, abs=1e-5)
    return [
        math.dist((float(a), float(b)), (float(c), float(d))) * factor / 72
        for a, b, c, d in _MOVE.findall(stream)
    ]


def one_view(view: View, scale: Scale, frame: Frame) -> SheetPage:
    paper = Paper("ARCH D 36 x 24 IN", 914.4, 609.6)
    placed = PlacedView(view, scale, (100.0, 300.0), frame, view.title)
    return SheetPage("A-101", "PLAN", paper, (placed,), ())


def test_pages_have_the_size_of_their_sheets_and_a_bookmark_each(lake: SheetSet, data: bytes):
    reader = read(data)
    assert len(reader.pages) == len(lake.sheets) >= 2
    for page, sheet in zip(reader.pages, lake.sheets, strict=True):
        size = [float(v) for v in page.mediabox]
        expected = [0, 0, sheet.paper.width * POINTS, sheet.paper.height * POINTS]
        assert size == pytest.approx(expected, abs=1e-3)
    assert lake.sheets[0].paper.width == 36 * INCH  # ARCH D
    assert [entry.title for entry in reader.outline] == [
        f"{sheet.number} {sheet.title}" for sheet in lake.sheets
    ]
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_every_font_is_embedded_and_all_text_is_found(lake: SheetSet, data: bytes):
    reader = read(data)
    for page, sheet in zip(reader.pages, lake.sheets, strict=True):
        for font in page["/Resources"]["/Font"].get_object().values():
            entry = font.get_object()
            if "/FontDescriptor" in entry:
                assert "/FontFile2" in entry["/FontDescriptor"]
        said = "".join(page.extract_text().split())
        for _, ink in (
            one for window in windows(sheet) for one in inked(window.items, window.onto)
        ):
            if isinstance(ink, Text):
                assert "".join(ink.text.split()) in said


def test_a_sixteen_foot_edge_at_a_quarter_inch_to_the_foot_is_four_inches(job_of: Any):
    from generator.layout.lay_out import layout
    from generator.parts.build import assemble

    scale = Scale(48.0, '1/4" = 1\'-0"', metric=False)
    assembly = assemble(layout(job_of([{"level": "16 ft"}], units="in")))
    view = plan_view(assembly, scale)
    page = one_view(view, scale, (0.0, 0.0, 914.4, 609.6))
    lengths = plotted_lines(pdf_data("edge", [page]))
    whole = [item for item in view.items if getattr(item, "layer", "") == layers.EDGE]
    assert sum(math.dist(item.a, item.b) for item in whole if isinstance(item, Line)) == (
        pytest.approx(16 * 12 * INCH, abs=1.0)
    )
    assert any(abs(length - 4.0) < 1e-5 for length in lengths), sorted(lengths)[-5:]


def test_lines_have_the_pens_of_their_layers_and_dashes_as_plotted(data: bytes):
    stream = b"".join(contents(data, page) for page in range(len(read(data).pages)))
    widths = {float(w) for w in re.findall(rb"([\d.]+) w\b", stream)}
    assert widths - {1.0} <= {0.18, 0.25, 0.35, 0.5, 0.7}
    assert {0.18, 0.25, 0.35, 0.5, 0.7} <= widths
    dashes = {tuple(map(float, d.split())) for d in re.findall(rb"\[([\d. ]+)\] 0 d", stream)}
    assert (3.0, 1.5) in dashes
    assert (12.0, 2.0, 3.0, 2.0) in dashes
    assert pens()[layers.TITLE_BLOCK].width == 0.7


def test_what_lies_outside_its_frame_is_cut_off():
    view = View("x", "X", (Line((0.0, 0.0), (1000.0, 0.0), layers.WALL),))
    scale = Scale(10.0, "1:10", metric=True)
    page = one_view(view, scale, (90.0, 290.0, 150.0, 310.0))
    stream = contents(pdf_data("x", [page])).replace(b"\n", b" ")
    assert re.search(rb"90 290 60 20 re\s+W\*? n", stream), stream[-400:]
    assert '<clipPath id="f0"><rect x="90"' in svg_text(page)
    whole = one_view(view, scale, (0.0, 0.0, 900.0, 600.0))
    assert b" W" not in contents(pdf_data("x", [whole]))


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace"])
def test_same_job_same_bytes(name: str, planned: Any):
    job = planned(name)
    first, second = (sheet_set(job.assembly, job.report) for _ in range(2))
    assert pdf_data("x", first.sheets) == pdf_data("x", second.sheets)
    assert [svg_text(s) for s in first.sheets] == [svg_text(s) for s in second.sheets]


def test_text_of_no_sheet_stands_on_other_text_and_no_detail_leaves_its_frame(
    whole_set: SheetSet,
):
    for sheet in whole_set.sheets:
        assert overlaps(sheet.boxes) == [], sheet.number
        frames = [placed for placed in sheet.views if placed.view.name.startswith("detail")]
        for placed in frames:
            assert placed.whole, placed.view.name
            x0, y0, x1, y1 = placed.frame
            assert 0.0 < x0 < x1 < sheet.paper.width
            assert 0.0 < y0 < y1 < sheet.paper.height


def test_every_character_is_in_the_typeface_and_no_text_is_longer_than_its_box(
    whole_set: SheetSet,
):
    for sheet in whole_set.sheets:
        for window in windows(sheet):
            for _, ink in inked(window.items, window.onto):
                if isinstance(ink, Text):
                    assert missing(ink.text) == set()
                    a, b, *_ = ink.box.corners
                    assert text_width_mm(ink.text, ink.height) <= math.dist(a, b) + 1e-6


def test_what_the_typeface_lacks_is_a_question_mark():
    assert printable("K\u00f6ppel 10\u00b0 \u65e5\t") == "K\u00f6ppel 10\u00b0 ??"


def test_svg_is_well_formed_in_true_millimetres_with_the_same_text(lake: SheetSet):
    for sheet in lake.sheets:
        root = ElementTree.fromstring(svg_text(sheet))
        assert root.get("width") == f"{sheet.paper.width:g}mm"
        found = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
        assert found == texts(sheet)


def test_ink_is_moved_and_scaled_once():
    items = (
        Outline(((0.0, 0.0), (20.0, 0.0), (20.0, 20.0)), layers.POST),
        Arc((10.0, 10.0), 5.0, layers.POST, 0.0, 90.0),
        Fill(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), layers.SYMBOLS),
        Text((10.0, 0.0), "A", 4.0, layers.TEXT),
    )
    found = [ink for _, ink in inked(items, Onto((100.0, 50.0), 2.0))]
    assert found[0] == Outline(((100.0, 50.0), (110.0, 50.0), (110.0, 60.0)), layers.POST)
    assert found[1] == Arc((105.0, 55.0), 2.5, layers.POST, 0.0, 90.0)
    assert found[3] == Text((105.0, 50.0), "A", 2.0, layers.TEXT)


def test_the_build_names_every_preview(lake: SheetSet, tmp_path: Path):
    names = [name for name, _ in write_set(lake, "lake deck", tmp_path)]
    made = [f"sheets/{path.name}" for path in (tmp_path / "sheets").iterdir()]
    assert sorted(names) == sorted(made)
    assert (tmp_path / "permit-set.pdf").read_bytes().startswith(b"%PDF-")


@poppler
def test_poppler_renders_every_page_without_complaint(data: bytes, tmp_path: Path):
    path = tmp_path / "set.pdf"
    path.write_bytes(data)
    made = subprocess.run(
        ["pdftoppm", "-r", "30", "-png", str(path), str(tmp_path / "page")],
        capture_output=True,
        check=True,
    )
    assert made.stderr == b""
    assert len(list(tmp_path.glob("page*.png"))) == len(read(data).pages)
    listed = subprocess.run(["pdffonts", str(path)], capture_output=True, check=True, text=True)
    assert listed.stderr == ""
    rows = [line.split() for line in listed.stdout.splitlines()[2:]]
    assert rows
    for row in rows:
        if "LiberationSans" in row[0]:
            assert row[-5:-2] == ["yes", "yes", "yes"]  # embedded, subset, with its characters
