"""Calculation sheets as one page: no script, no network, for a phone, a desk and the printer."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from html import escape

from generator import __version__
from generator.calculations import words
from generator.calculations.contents import DISCLAIMER, HEADED, HEADS, METHOD, Book, Chapter, Rows
from generator.calculations.figures import Figure, Mark
from generator.calculations.lines import Block, Line
from generator.calculations.pulling import GIVE, Pulling

_STYLE = """
:root{color-scheme:light dark;--ink:#1b1f23;--paper:#fff;--soft:#5a6470;--rule:#c9d0d6;
--band:#f1f4f6;--bad:#a31515;--good:#1c6b34}
@media (prefers-color-scheme:dark){:root{--ink:#e4e8eb;--paper:#15191c;--soft:#a3adb6;
--rule:#3b444c;--band:#20262b;--bad:#ff8a80;--good:#7fd196}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:62rem;padding:1rem;background:var(--paper);color:var(--ink);
font:1rem/1.45 "Liberation Sans",Arial,Helvetica,sans-serif;overflow-wrap:break-word}
h1{font-size:1.6rem;margin:.2rem 0}h2{font-size:1.25rem;margin:2rem 0 .4rem;
border-bottom:2px solid var(--ink)}h3{font-size:1.02rem;margin:1.4rem 0 .2rem}
.headed{font-weight:700;text-transform:uppercase;letter-spacing:.05em}
p{margin:.4rem 0}.soft,small{color:var(--soft)}
.wide{overflow-x:auto}table{border-collapse:collapse;width:100%;font-size:.9rem}
th,td{text-align:left;vertical-align:top;padding:.25rem .5rem .25rem 0;
border-bottom:1px solid var(--rule)}th{border-bottom:2px solid var(--rule)}
.matrix td,.matrix th{font-size:.68rem;padding-right:.35rem;white-space:nowrap}
.line{display:grid;grid-template-columns:13rem 1fr 13rem;gap:.1rem 1rem;padding:.3rem 0;
border-bottom:1px solid var(--rule);font-size:.92rem;break-inside:avoid}
.line>*{min-width:0;overflow-wrap:anywhere}.line small{font-size:.8rem}
sub,sup{font-size:.72em;line-height:0}
.result{padding:.5rem .7rem;background:var(--band);margin:.3rem 0;break-inside:avoid}
.fails{color:var(--bad);font-weight:700}.passes{color:var(--good);font-weight:700}
figure{margin:.6rem 0;break-inside:avoid}figcaption{color:var(--soft);font-size:.85rem}
svg{width:100%;max-width:46rem;height:auto;display:block}
svg text{font:3.1px "Liberation Sans",Arial,sans-serif;fill:currentColor}
svg path,svg line{stroke:currentColor;fill:none;stroke-width:.35}
svg .thick{stroke-width:.9}svg .dash{stroke-dasharray:2 1.4}svg .head{fill:currentColor}
@media (max-width:44rem){.line{grid-template-columns:1fr;gap:0}svg{min-width:34rem}
figure{overflow-x:auto}}
@media print{:root{--ink:#000;--paper:#fff;--soft:#444;--rule:#999;--band:#eee;--bad:#000;
--good:#000}body{max-width:none;padding:0;font-size:9pt}h2{break-after:avoid}h3{break-after:avoid}
.matrix td,.matrix th{font-size:5.6pt}@page{margin:14mm}}
"""


def page(book: Book) -> str:
    """The whole page; the same book gives the same text."""
    body = "\n".join(_body(book))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">\n"
        f"<title>{escape(book.title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"{body}\n</body>\n</html>\n"
    )


def _body(book: Book) -> Iterator[str]:
    yield f'<header><p class="headed">{HEADED}</p><h1>{escape(book.title)}</h1>'
    yield _table(("", ""), book.facts, bare=True)
    yield f"<p>{escape(DISCLAIMER)}</p></header>"
    yield f"<h2>Inputs</h2>{_table(HEADS['inputs'], book.inputs)}"
    yield f"<h2>Loads</h2>{_table(HEADS['loads'], book.loads, marked=(1,))}"
    yield "<h2>Combinations</h2>" + "".join(f"<p>{escape(one)}</p>" for one in book.combinations)
    yield f"<p>{escape(METHOD)}</p>"
    yield f"<h2>Worst of each check</h2>{_table(HEADS['worst'], book.worst)}"
    yield f"<h2>All members</h2>{_table(HEADS['members'], book.members)}"
    yield "<h2>Not worked out</h2>" + "".join(
        f"<p>{escape(words.sentence(one))}.</p>" for one in book.unproved
    )
    for n, chapter in enumerate(book.chapters, 1):
        yield from _chapter(n, chapter)
    if book.pullings:
        yield f"<h2>Tensioning</h2><p>{escape(GIVE)}</p>"
    for pulling in book.pullings:
        yield from _pulling(pulling)
    yield f"<h2>Sources</h2>{_table(HEADS['sources'], book.sources)}"
    yield f'<p class="soft">stringline {__version__}</p>'


def _table(
    head: Sequence[str], rows: Rows, *, marked: Iterable[int] = (), bare: bool = False
) -> str:
    """A table; cells of the columns `marked` are marked-up text already."""
    top = "" if bare else "<tr>" + "".join(f"<th>{escape(one)}</th>" for one in head) + "</tr>"
    told = set(marked)
    body = "".join(
        "<tr>"
        + "".join(f"<td>{one if k in told else escape(one)}</td>" for k, one in enumerate(row))
        + "</tr>"
        for row in rows
    )
    return f'<div class="wide"><table>{top}{body}</table></div>'


def _chapter(n: int, chapter: Chapter) -> Iterator[str]:
    yield f'<section class="chapter" id="part-{n}"><h2>{n}. {escape(chapter.title)}</h2>'
    yield f"<p>{escape(chapter.intro)}</p>"
    if chapter.figure:
        yield figure(chapter.figure)
    for k, block in enumerate(chapter.blocks, 1):
        name = escape(words.sentence(block.title))
        yield f'<section class="check"><h3>{n}.{k} {name} ({block.code})</h3>'
        yield f"<p>{escape(words.sentence(block.case))}; {escape(block.place)}.</p>"
        yield from (_line(line) for line in block.lines)
        yield _result(block)
        yield "</section>"
    yield "</section>"


def _line(line: Line) -> str:
    """One line; its data are what is shown, for whoever works it anew."""
    told = f"{line.text} {words.unit(line.unit)}".strip()
    name = words.symbol(line.symbol)
    sums = f"{name} = "
    if line.formula:
        sums += "<br>= ".join((*worked(line), ""))
    sums += f"<b>{told}</b>{words.customary(line.value, line.unit)}"
    data = (
        f'data-symbol="{line.symbol}" data-formula="{escape(line.formula)}" '
        f'data-value="{line.text}" data-unit="{escape(line.unit)}"'
    )
    source = words.cited(line.source)
    return (
        f'<div class="line" {data}><span>{escape(line.meaning)}</span><span>{sums}</span>'
        f"<small>{escape(source)}{' ' if source else ''}[{words.tag(line.source)}]</small></div>"
    )


def worked(line: Line) -> tuple[str, ...]:
    """The formula of a line and the same with numbers put in, where it has any; marked up."""
    plain, filled = words.formula(line.formula), words.formula(line.formula, dict(line.put_in))
    return (plain,) if plain == filled else (plain, filled)


def result(block: Block) -> tuple[str, str]:
    """(sentence up to the verdict, verdict) of a check."""
    unit = words.unit(block.unit)
    if not block.capacity:
        return f"Demand {block.demand} {unit}".strip() + ":", "stated, for others to show"
    sums = f"Utilisation = demand / capacity = {block.demand} / {block.capacity}"
    against = words.cited(block.source)
    verdict = "passes" if block.passed else "fails"
    return f"{sums} = {block.utilisation:.3f}, at most 1:", f"{verdict} against {against}"


def _result(block: Block) -> str:
    told, verdict = result(block)
    style = "" if not block.capacity else ("passes" if block.passed else "fails")
    return (
        f'<p class="result" data-demand="{block.demand}" data-capacity="{block.capacity}" '
        f'data-utilisation="{block.utilisation:.3f}">{escape(told)} '
        f'<span class="{style}">{escape(verdict)}</span> '
        f"<small>[{words.tag(block.source)}]</small></p>"
    )


def _pulling(pulling: Pulling) -> Iterator[str]:
    yield (
        f'<section class="pulling" data-target="{pulling.target}" data-pitch="{pulling.pitch}">'
        f"<h3>{escape(pulling.title)}</h3><p>{escape(pulling.intro)}</p>"
    )
    for given in pulling.givens:
        yield (
            f'<div class="line" data-symbol="{given.symbol}" data-value="{given.text}">'
            f"<span>{escape(given.meaning)}</span><span>{words.symbol(given.symbol)} = "
            f"{given.text} {words.unit(given.unit)}</span><small></small></div>"
        )
    head = ("F, mm/MN", *pulling.marks)
    rows = tuple((mark, *row) for mark, row in zip(pulling.marks, pulling.give, strict=True))
    yield _table(head, rows).replace('class="wide"', 'class="wide matrix"')
    yield _table(PULLS, pulling.pulls).replace("<table", '<table class="pulls"')
    yield f"<p>{escape(threads_told(pulling))}</p>"
    yield _table(THREADS, pulling.threads).replace("<table", '<table class="threads"')
    yield "</section>"


PULLS = ("Pass", "Turn", "Cable", "Set to, N", "In short")
THREADS = ("Cable", "Taken up, mm", "Threads out before", "Threads out after")


def threads_told(pulling: Pulling) -> str:
    """What the table of threads shows."""
    return (
        "Thread at the pulled end: taken up = what the cable is wound up + ε·L; threads after = "
        f"threads before + taken up over the pitch of {pulling.pitch} mm."
    )


# Lowered, and back up again with a space of no width.
_LOWERED = '<tspan dy=".8" font-size="2.3">\\1</tspan><tspan dy="-.8">\u200b</tspan>'
_SUB = re.compile(r"<sub>(.*?)</sub>")


def figure(drawn: Figure) -> str:
    """A figure as vector graphics in the colour of the text."""
    body = "".join(_mark(mark, drawn.height_mm) for mark in drawn.marks)
    return (
        f'<figure><svg viewBox="0 0 {drawn.width_mm:g} {drawn.height_mm:g}" role="img" '
        f'aria-label="{escape(drawn.caption)}">{body}</svg>'
        f"<figcaption>{escape(drawn.caption)}</figcaption></figure>"
    )


def _mark(mark: Mark, height: float) -> str:
    (ax, ay), (bx, by) = ((x, height - y) for x, y in (mark.a, mark.b))
    if mark.kind == "text":
        side = {"left": "start", "centre": "middle", "right": "end"}[mark.anchor]
        text = _SUB.sub(_LOWERED, mark.text)
        return f'<text x="{ax:.2f}" y="{ay:.2f}" text-anchor="{side}">{text}</text>'
    line = f'<line x1="{ax:.2f}" y1="{ay:.2f}" x2="{bx:.2f}" y2="{by:.2f}" class="{mark.kind}"/>'
    if mark.kind != "arrow":
        return line
    return line + f'<path class="head" d="{_head(mark, height)}"/>'


def _head(mark: Mark, height: float) -> str:
    corners = ((x, height - y) for x, y in arrow_head(mark))
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in corners) + "Z"


def arrow_head(mark: Mark) -> tuple[tuple[float, float], ...]:
    """The three corners of an arrow's head."""
    (ax, ay), (bx, by) = mark.a, mark.b
    long = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    x, y = (bx - ax) / long, (by - ay) / long
    back = (bx - 2.4 * x, by - 2.4 * y)
    return (bx, by), (back[0] - 0.8 * y, back[1] + 0.8 * x), (back[0] + 0.8 * y, back[1] - 0.8 * x)
