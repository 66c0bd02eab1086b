"""Printed pages, read back by pypdf (a general-purpose PDF library): size, text, fonts, bytes."""
# pypdf tells the type of no entry that it reads.
# pyright: reportAttributeAccessIssue=false, reportIndexIssue=false, reportOptionalMemberAccess=false
# pyright: reportOperatorIssue=false, reportOptionalSubscript=false, reportArgumentType=false

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from generator.paper.canvas import Pages
from generator.paper.flow import A4, Flow, Marked
from generator.paper.lettering import CAPITAL, missing, text_width_mm

MM = 72 / 25.4


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


def fonts(reader: PdfReader) -> set[tuple[str, bool]]:
    """Names of the fonts used and whether each is embedded."""
    found = set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].get_object().values():
            entry = font.get_object()
            inside = "/FontDescriptor" in entry and "/FontFile2" in entry["/FontDescriptor"]
            found.add((entry["/BaseFont"].lstrip("/").split("+")[-1], inside))
    return found


def drawn(*, exact: bool = False) -> bytes:
    pages = Pages("A sheet", exact=exact)
    for bookmark in ("plan", "elevation"):
        with pages.page(457.2, 304.8, bookmark) as page:
            page.pen(0.5)
            page.line((10.0, 10.0), (110.0, 10.0))
            page.outline([(0.0, 0.0), (5.0, 0.0), (5.0, 5.0)], fill=(0.5, 0.5, 0.5))
            page.arc((50.0, 50.0), 10.0)
            page.arc((50.0, 50.0), 12.0, 0.0, 90.0)
            page.text((20.0, 20.0), f"{bookmark} 3'-0 1/2\" ≤ 4 in", 2.5, turn_deg=90.0)
    return pages.data()


def test_drawn_pages_have_their_size_text_bookmarks_and_font() -> None:
    reader = read(drawn())
    assert [[float(v) for v in page.mediabox[2:]] for page in reader.pages] == [
        pytest.approx([18 * 72, 12 * 72], abs=1e-3)  # ARCH B, 18 x 12 in
    ] * 2
    assert "plan 3'-0 1/2\" ≤ 4 in" in reader.pages[0].extract_text()
    assert [entry.title for entry in reader.outline] == ["plan", "elevation"]
    assert fonts(reader) >= {("LiberationSans", True)}
    assert reader.metadata is not None
    assert reader.metadata.title == "A sheet"


def test_a_line_is_as_long_as_it_is_told() -> None:
    """Lengths of the content stream: user units are points, 72 to the inch (ISO 32000-1, 8.3.2)."""
    stream = read(drawn()).pages[0].get_contents().get_data().decode("latin-1")
    assert f"{MM:.4f}"[:6] in stream  # the one scale of the page
    assert "10 10 m 110 10 l" in stream.replace("\n", " ")


def test_templates_ask_to_be_printed_as_they_are() -> None:
    preferences = read(drawn(exact=True)).trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None"


@pytest.mark.parametrize("make", [drawn, lambda: flow().data()])
def test_same_calls_same_bytes(make) -> None:
    assert make() == make()


def flow(rows: int = 120) -> Flow:
    """Two sections, one with a table that needs several pages."""
    made = Flow("Calculation", header="Heron Steps", footer="not for construction", size=A4)
    made.heading("Loads", 0)
    made.paragraph("W = 50 lbf & more <than> that")
    made.table(["mark", "N"], [[f"P{k}", str(k)] for k in range(rows)], align=["left", "right"])
    made.heading("Posts")
    made.figure(40.0, lambda page: page.line((0.0, 0.0), (page.width_mm, 40.0)))
    made.together(lambda: made.paragraph("last words", bold=True))
    return made


def test_a_long_table_repeats_its_head_on_every_page() -> None:
    reader = read(flow().data())
    texts = [page.extract_text() for page in reader.pages]
    assert len(texts) > 2
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(texts)}" in text
        assert "Heron Steps" in text
        assert "not for construction" in text
        assert "mark" in text
    assert "W = 50 lbf & more <than> that" in texts[0]
    assert "".join(texts).count("P119") == 1
    assert "last words" in texts[-1]
    assert fonts(reader) == {("LiberationSans", True), ("LiberationSans-Bold", True)}


def test_sections_are_bookmarks() -> None:
    outline = read(flow().data()).outline
    assert outline[0].title == "Loads"
    assert outline[1][0].title == "Posts"


@pytest.mark.parametrize("made", [Pages("nothing"), Flow("nothing")])
def test_nothing_to_print_is_refused(made) -> None:
    with pytest.raises(ValueError, match="without a"):
        made.data()


def test_text_is_as_wide_as_the_fonts_own_advances() -> None:
    """Advances in the font file's hmtx table, read by fontTools: A 1366, i 455 of 2048."""
    size = 2.5 / CAPITAL
    assert text_width_mm("Ai", 2.5) == pytest.approx((1366 + 455) / 2048 * size, rel=1e-3)


def test_the_typeface_has_what_calculations_and_drawings_write() -> None:
    written = "°±×÷≤≥√πσΔλφΣαβμ²³½¼¾′″→·–—≈'\"/"
    assert missing(written) == set()
    assert missing("a\U0001f600") == {"\U0001f600"}


def test_marked_cells_are_set_with_their_marks_and_others_as_they_are() -> None:
    made = Flow("Marks")
    made.table(["what", "worked out"], [["plain <b>", Marked("F<sub>u</sub> = <b>58</b>")]])
    text = read(made.data()).pages[0].extract_text()
    assert "plain <b>" in text
    assert "<sub" not in text.replace("plain <b>", "")
    assert "58" in text
