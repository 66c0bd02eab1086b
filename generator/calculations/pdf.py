"""Calculation sheets on paper: the same lines, tables and figures as on the page."""

from __future__ import annotations

import re

from generator import __version__
from generator.calculations import words
from generator.calculations.contents import DISCLAIMER, HEADED, HEADS, METHOD, Book, Chapter
from generator.calculations.figures import Figure, Mark
from generator.calculations.html import (
    PULLS,
    THREADS,
    arrow_head,
    result,
    threads_told,
    worked,
)
from generator.calculations.lines import Block, Line
from generator.calculations.pulling import GIVE, Pulling
from generator.paper.canvas import Page
from generator.paper.flow import A4, LETTER, Flow, Marked
from generator.paper.lettering import text_width_mm

_TEXT_MM, _SMALL_MM = 2.1, 1.5
_PENS = {"line": 0.18, "arrow": 0.25, "dash": 0.18, "thick": 0.6}
_PARTS = re.compile(r"(<sub>.*?</sub>)")
_COLUMNS = 12


def paper(book: Book, *, metric: bool) -> bytes:
    """The whole document, A4 for a metric job, else letter; the same book gives the same bytes."""
    flow = Flow(
        book.title,
        header=f"{book.title}. {HEADED}.",
        footer=f"stringline {__version__}",
        size=A4 if metric else LETTER,
    )
    _cover(flow, book)
    for n, chapter in enumerate(book.chapters, 1):
        flow.new_page()
        _chapter(flow, n, chapter)
    if book.pullings:
        flow.new_page()
        flow.heading("Tensioning")
        flow.paragraph(GIVE)
    for pulling in book.pullings:
        _pulling(flow, pulling)
    flow.heading("Sources")
    flow.table(HEADS["sources"], book.sources, widths=(3, 1), small=True)
    return flow.data()


def _cover(flow: Flow, book: Book) -> None:
    flow.paragraph(HEADED.upper(), bold=True)
    flow.heading(book.title, 0)
    flow.table(("", ""), book.facts, widths=(1, 4))
    flow.space(2)
    flow.paragraph(DISCLAIMER)
    flow.heading("Inputs")
    flow.table(HEADS["inputs"], book.inputs, widths=(2, 1.2, 2, 5), small=True)
    flow.heading("Loads")
    loads = [(a, _lowered(b), *rest) for a, b, *rest in book.loads]
    flow.table(HEADS["loads"], loads, widths=(3, 0.9, 3.2, 3, 2), small=True)
    flow.heading("Combinations")
    for one in book.combinations:
        flow.paragraph(one)
    flow.paragraph(METHOD)
    flow.heading("Worst of each check")
    flow.table(HEADS["worst"], book.worst, widths=(2.6, 3, 2.2, 2.2, 1.4, 4), small=True)
    flow.heading("All members")
    flow.table(HEADS["members"], book.members, widths=(2, 2, 3.4, 1.2, 1.2), small=True)
    flow.heading("Not worked out")
    for one in book.unproved:
        flow.paragraph(words.sentence(f"{one}."))


def _chapter(flow: Flow, n: int, chapter: Chapter) -> None:
    flow.heading(f"{n}. {chapter.title}")
    flow.paragraph(chapter.intro)
    figure = chapter.figure
    if figure:
        _figure(flow, figure)
    for k, block in enumerate(chapter.blocks, 1):
        _block(flow, f"{n}.{k} {words.sentence(block.title)} ({block.code})", block)


def _figure(flow: Flow, figure: Figure) -> None:
    scale = flow.width_mm / figure.width_mm
    flow.figure(figure.height_mm * scale, lambda page: _draw(page, figure, scale))
    flow.paragraph(figure.caption, small=True)


# Room that a heading, its words and the first line under it take.
_LEAST_MM = 34.0


def _block(flow: Flow, title: str, block: Block) -> None:
    flow.need(_LEAST_MM)
    flow.heading(title, 2)
    flow.paragraph(words.sentence(f"{block.case}; {block.place}."))
    told, verdict = result(block)
    end = f"{told} {verdict} [{words.tag(block.source)}]"
    if block.lines:
        flow.table(
            ("What", "Worked out", "Source"),
            [_line(line) for line in block.lines],
            widths=(3, 6.4, 3),
            small=True,
            total=end,
        )
        return
    flow.space(1)
    flow.paragraph(end, bold=True)


def _line(line: Line) -> tuple[str, str, str]:
    name, told = words.symbol(line.symbol), f"{line.text} {words.unit(line.unit)}".strip()
    sums = f"{name} = "
    if line.formula:
        sums += "<br/>= ".join((*worked(line), ""))
    sums += f"<b>{told}</b>{words.customary(line.value, line.unit)}"
    source = words.cited(line.source)
    return line.meaning, _lowered(sums), f"{source} [{words.tag(line.source)}]".strip()


def _lowered(text: str) -> Marked:
    """Marked-up text with its indices small enough to keep clear of the next line."""
    text = text.replace("<sub>", '<sub rise="1.3" size="5.4">')
    return Marked(
        text.replace("<sup>", '<super rise="2.4" size="5.4">').replace("</sup>", "</super>")
    )


def _pulling(flow: Flow, pulling: Pulling) -> None:
    flow.heading(pulling.title, 2)
    flow.paragraph(pulling.intro)
    givens = [
        (g.meaning, _lowered(f"{words.symbol(g.symbol)} = {g.text} {words.unit(g.unit)}"))
        for g in pulling.givens
    ]
    flow.table(("What", "Value"), givens, widths=(3, 7), small=True)
    count = len(pulling.marks)
    for start in range(0, count, _COLUMNS // 2):
        some = slice(start, start + _COLUMNS // 2)
        rows = [(mark, *row[some]) for mark, row in zip(pulling.marks, pulling.give, strict=True)]
        flow.space(2)
        flow.table(("F, mm/MN", *pulling.marks[some]), rows, small=True)
    flow.space(2)
    flow.table(PULLS, pulling.pulls, small=True)
    flow.space(2)
    flow.paragraph(threads_told(pulling))
    flow.table(THREADS, pulling.threads, small=True)


def _draw(page: Page, figure: Figure, scale: float) -> None:
    for mark in figure.marks:
        a = (mark.a[0] * scale, mark.a[1] * scale)
        b = (mark.b[0] * scale, mark.b[1] * scale)
        if mark.kind == "text":
            _text(page, mark, a)
            continue
        page.pen(_PENS[mark.kind], dashes=(2.0, 1.4) if mark.kind == "dash" else ())
        page.line(a, b)
        if mark.kind == "arrow":
            head = arrow_head(Mark("arrow", a, b))
            page.outline(head, fill=(0.0, 0.0, 0.0), stroke=False)


def _text(page: Page, mark: Mark, at: tuple[float, float]) -> None:
    """Text with lowered parts, run by run."""
    runs = [part for part in _PARTS.split(mark.text) if part]
    sizes = [_SMALL_MM if run.startswith("<sub>") else _TEXT_MM for run in runs]
    plain = [run.removeprefix("<sub>").removesuffix("</sub>") for run in runs]
    widths = [text_width_mm(run, size) for run, size in zip(plain, sizes, strict=True)]
    x = at[0] - {"left": 0.0, "centre": 0.5, "right": 1.0}[mark.anchor] * sum(widths)
    for run, size, width in zip(plain, sizes, widths, strict=True):
        page.text((x, at[1] - (0.7 if size == _SMALL_MM else 0.0)), run, size)
        x += width
