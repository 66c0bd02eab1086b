"""Calculation sheets: every line of the page is worked anew from what the page itself shows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader

from formulas import worked
from generator.calculations.contents import HEADED, Book, book
from generator.calculations.html import page
from generator.calculations.pdf import paper
from generator.layout.lay_out import layout
from generator.paper.lettering import missing
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.spec import read_job

EXAMPLES = Path(__file__).parents[2] / "examples"


def assembled(name: str = "lake-deck", **guard: Any) -> Assembly:
    job = read_job(EXAMPLES / f"{name}.yaml")
    return assemble(layout(replace(job, guard=replace(job.guard, **guard))))


def failing() -> Assembly:
    """The deck with light posts, 42 in high, 200 lbf in the cables, end posts not propped."""
    text = (EXAMPLES / "lake-deck.yaml").read_text(encoding="utf-8")
    job = read_job(EXAMPLES / "lake-deck.yaml")
    light = read_job(EXAMPLES / "lake-deck.yaml").system.post
    assert light.name in text
    post = replace(light, wall_mm=3.175, plate_thickness_mm=6.35)
    guard = replace(job.guard, height_mm=1066.8, tension_n=889.644)
    system = replace(job.system, post=post)
    strength = replace(job.strength, propping="none", base="worse")
    return assemble(layout(replace(job, guard=guard, system=system, strength=strength)))


JOBS: dict[str, Callable[[], Assembly]] = {
    "good": assembled,
    "failing": failing,
    "fascia": lambda: assembled("fascia-balcony"),
    "core": lambda: assembled("core-terrace"),
    "metric": lambda: assembled("metric-terrace"),
}


@pytest.fixture(scope="module", params=list(JOBS))
def sheets(request) -> Book:
    return book(JOBS[request.param]())


class Page(HTMLParser):
    """What the page's own data say: sections, each a list of lines, results and tables."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.chapters: list[list[tuple[str, dict[str, str]]]] = []
        self.pullings: list[dict[str, Any]] = []
        self.tags: list[str] = []
        self.text: list[str] = []
        self._table: list[list[str]] | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {key: value or "" for key, value in attrs}
        self.tags.append(tag)
        kind = told.get("class", "")
        if tag == "section" and kind == "chapter":
            self.chapters.append([])
        if tag == "section" and kind == "pulling":
            self.pullings.append({"told": told, "given": {}, "tables": []})
        if "data-symbol" in told:
            if self.pullings:
                value = numbers(told["data-value"])
                self.pullings[-1]["given"][told["data-symbol"]] = value
            else:
                self.chapters[-1].append(("line", told))
        if "data-demand" in told:
            self.chapters[-1].append(("result", told))
        if tag == "table" and self.pullings:
            self._table = []
            self.pullings[-1]["tables"].append(self._table)
        if tag == "tr" and self._table is not None:
            self._table.append([])
        if tag in ("td", "th") and self._table:
            self._table[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == "table":
            self._table = None

    def handle_data(self, data: str) -> None:
        self.text.append(data)
        if self._table and self._table[-1]:
            self._table[-1][-1] += data


def numbers(text: str) -> Any:
    """A number, or a row of them, as it is shown: 11 × 310; 4 × 5."""
    row: list[float] = []
    for part in text.split("; "):
        count, _, one = part.rpartition(" × ")
        row += [float(one)] * (int(count) if count else 1)
    return row[0] if ";" not in text and "×" not in text else tuple(row)


def test_every_line_of_the_page_can_be_worked_anew(sheets: Book) -> None:
    read = Page(page(sheets))
    assert len(read.chapters) == len(sheets.chapters) >= 4
    for chapter in read.chapters:
        values: dict[str, Any] = {}
        worked_out = 0
        for kind, told in chapter:
            if kind == "line":
                shown = numbers(told["data-value"])
                if told["data-formula"]:
                    found = worked(told["data-formula"], values)
                    assert found == pytest.approx(shown, rel=5e-4, abs=1e-9), told
                    worked_out += 1
                values[told["data-symbol"]] = shown
                continue
            demand = float(told["data-demand"])
            assert any(np.ndim(one) == 0 and one == demand for one in values.values())
            if told["data-capacity"]:
                capacity = float(told["data-capacity"])
                used = demand / capacity
                assert used == pytest.approx(float(told["data-utilisation"]), rel=1e-3, abs=1e-3)
        assert worked_out > 3


def test_what_is_left_as_given_is_no_sum_of_what_is_shown(sheets: Book) -> None:
    # Section values, bearing of wood and pulls of cables are worked out, not only told.
    symbols = {}
    for chapter in Page(page(sheets)).chapters:
        for kind, told in chapter:
            if kind == "line":
                symbols.setdefault(told["data-symbol"], set()).add(bool(told["data-formula"]))
    for name in ("S_x", "S_y", "A_z", "I_p", "Q_1", "S_r", "I_r", "F_em", "F_es"):
        assert symbols.get(name, {True}) == {True}, name


def test_what_was_solved_holds(sheets: Book) -> None:
    # A pushed cable's deflection is found by halving: with it the force is the load's share.
    for chapter in Page(page(sheets)).chapters:
        values = {
            told["data-symbol"]: told["data-value"] for kind, told in chapter if kind == "line"
        }
        for force in ("P_e", "P_s"):
            if force in values:
                share = float(values["P_i"]) / float(values["n_i"])
                assert float(values[force]) == pytest.approx(share, rel=1e-3)


def flexibility(given: dict[str, Any]) -> np.ndarray:
    """F by the words on the sheet, from the numbers on it, mm/N."""
    lengths = np.atleast_1d(given["L"])
    found = np.diag(lengths / given["EA"])
    for k in (1, 2):
        if f"EI_{k}" not in given:
            continue
        y, stiff, phi = np.atleast_1d(given[f"y_{k}"]), given[f"EI_{k}"], given[f"phi_{k}"]
        a, b = np.minimum.outer(y, y), np.maximum.outer(y, y)
        give = a**2 * (3 * b - a) / (6 * stiff) + phi * a * b
        if f"H_{k}" in given:
            top = given[f"H_{k}"]
            r = y**2 * (3 * top - y) / (6 * stiff) + phi * y * top
            q = top**3 / (3 * stiff) + phi * top**2 + given[f"m_{k}"]
            give = give - np.outer(r, r) / q
        found = found + given[f"n_{k}"] ** 2 * give
    return found


def tensions(give: np.ndarray, wound: np.ndarray) -> np.ndarray:
    """Tensions of cables wound up by so much, none below zero (Lawson and Hanson's NNLS)."""
    from scipy.optimize import nnls

    # F T = u where T > 0: the complementary problem is a least square in the metric of F.
    lower = np.linalg.cholesky(give)
    return nnls(lower.T, np.linalg.solve(lower, wound))[0]


def test_the_pulls_bring_every_cable_to_the_target(sheets: Book) -> None:
    read = Page(page(sheets))
    assert len(read.pullings) == len(sheets.pullings) > 0
    for pulling in read.pullings:
        matrix, pulls, threads = pulling["tables"][:3]
        marks = matrix[0][1:]
        give = np.array([[float(one) for one in row[1:]] for row in matrix[1:]]) * 1e-6
        assert give == pytest.approx(flexibility(pulling["given"]), rel=1e-6)
        wound = np.zeros(len(marks))
        for _, _, mark, force, _ in pulls[1:]:
            j = marks.index(mark)
            low, high = 0.0, wound[j] + 200.0
            for _ in range(60):  # the nut is turned until the gauge reads the set value
                wound[j] = (low + high) / 2
                below = tensions(give, wound)[j] < float(force)
                low, high = (wound[j], high) if below else (low, wound[j])
        target = float(pulling["told"]["data-target"])
        assert tensions(give, wound) == pytest.approx(target, rel=2e-3)
        stretch = pulling["given"]["eps"] * np.broadcast_to(pulling["given"]["L"], len(marks))
        for row, up, lasting in zip(threads[1:], wound, stretch, strict=True):
            assert float(row[1]) == pytest.approx(up + lasting, rel=2e-3)
            out = float(row[2]) + float(row[1]) / float(pulling["told"]["data-pitch"])
            assert float(row[3]) == pytest.approx(out, rel=6e-3)


def plain(text: str) -> str:
    """Text without marks and white space, as both the page and the paper have it."""
    return re.sub(r"\s+", "", re.sub(r"<[^>]*>", "", text))


def test_the_paper_has_the_same_lines(sheets: Book) -> None:
    from generator.calculations import words
    from generator.calculations.html import result
    from generator.calculations.html import worked as sums_of

    reader = PdfReader(BytesIO(paper(sheets, metric=True)))
    pages = [one.extract_text() for one in reader.pages]
    assert all(HEADED in text for text in pages)
    text = plain("".join(pages).replace(HEADED, ""))
    for chapter in sheets.chapters:
        assert plain(chapter.title) in text
        for block in chapter.blocks:
            assert plain("".join(result(block))) in text
            for line in block.lines:
                sums = f"{words.symbol(line.symbol)} = "
                if line.formula:
                    sums += "".join(f"{one} = " for one in sums_of(line))
                assert plain(f"{sums}{line.text}") in text, line.symbol
    for pulling in sheets.pullings:
        for row in (*pulling.pulls, *pulling.threads):
            assert plain("".join(row)) in text


def test_it_says_what_it_is(sheets: Book) -> None:
    text = page(sheets)
    assert HEADED in text
    assert "compliant" not in text.lower()
    assert "reference.md" not in text
    assert not {"script", "img", "link", "iframe"} & set(Page(text).tags)
    assert "http" not in text.replace("http-equiv", "")
    assert missing("".join(Page(text).text).replace("\u200b", "")) == set()
    assert text == page(sheets)
    assert paper(sheets, metric=False) == paper(sheets, metric=False)


def test_inputs_tell_default_from_stated() -> None:
    rows = {row[0]: row for row in book(assembled()).inputs}
    assert rows["Propping"][2] == "stated in the job"
    assert rows["Moisture"][2] == "default, adverse"
    assert {"Base fixity", "Load duration", "Friction", "Relaxation"} <= set(rows)


def test_failing_posts_are_said_to_fail() -> None:
    sheets = book(failing())
    facts = {row[0]: row[1] for row in sheets.facts}
    assert facts["Result"].startswith("fails: ")
    assert "post.bending" in facts["Result"]
    blocks = [block for chapter in sheets.chapters for block in chapter.blocks]
    failed = [block for block in blocks if not block.passed]
    assert failed
    assert page(sheets).count('class="fails"') == len(failed)


def everything(book: Book) -> Iterator[str]:
    for chapter in book.chapters:
        if chapter.figure:
            yield from (mark.text for mark in chapter.figure.marks if mark.kind == "text")


def test_figures_carry_numbers_of_the_lines(sheets: Book) -> None:
    for chapter in sheets.chapters:
        assert chapter.figure is not None
        inside = [
            (mark.a, mark.b if mark.kind != "text" else mark.a) for mark in chapter.figure.marks
        ]
        for ends in inside:
            for x, y in ends:
                assert 0 <= x <= chapter.figure.width_mm
                assert -1e-9 <= y <= chapter.figure.height_mm
    assert any("=" in text for text in everything(sheets))
