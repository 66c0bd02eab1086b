"""Cut tickets: a page for every distinct piece that the saw cuts, and maps of the bars."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.paper.canvas import Page, Pages
from generator.paper.flow import A4, LETTER
from generator.paper.lettering import text_width_mm
from generator.parts.assembly import Assembly, Part, RailDetail
from generator.parts.cut_words import End, cut_words, on_table, section_name, side_names
from generator.parts.mass import Scales
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.patterns import pattern_letters
from generator.parts.shapes import Prism
from generator.products.naming import marks_in_words
from generator.products.pieces import CutPiece, cut_pieces
from generator.shop.bars import StockBar, bar_of, bar_pages, stock_bars
from generator.shop.piece_figure import (
    Stretch,
    dimension,
    draw_section,
    draw_view,
    stretch_of,
    views,
)
from generator.shop.words import exact, taped
from generator.spec.job import Job

_MARGIN_MM = 14.0
_KINDS = {
    "rail": "Rail",
    "post": "Post",
    "spacer": "Spacer",
    "handrail": "Handrail",
}
# Where the two ends of a piece are, as its marks and joints are told.
_ENDS: dict[str, tuple[str, str]] = {
    "rail": ("start", "end"),
    "post": ("foot", "top"),
    "spacer": ("lower end", "upper end"),
    "handrail": ("start", "end"),
}
_LONGEST_LIST = 300
_NO_STOCK = "any bar: the job names no stock of it"
# What an end meets, where the layout's own word says too little to who fits it.
_MET = {
    "pair": "free, at a pair of corner posts",
    "free": "free end",
    "opening": "free end at an opening",
    "butt": "butts on the other rail",
    "plumb butt": "butts on the other rail, plumb",
    "rail side": "side of the other rail",
    "miter": "miter with the other rail",
    "cap": "end cap",
}


@dataclass(frozen=True, slots=True)
class _Ticket:
    """What all tickets of a job share."""

    size: Vec2
    assembly: Assembly
    bars: Sequence[StockBar]
    letters: dict[str, str]
    total: int

    @property
    def metric(self) -> bool:
        return self.assembly.job.metric

    @property
    def room(self) -> float:
        return self.size[0] - 2 * _MARGIN_MM

    @property
    def title(self) -> str:
        job = self.assembly.job
        return " · ".join(filter(None, (job.title, job.number, "cut tickets")))


def cut_tickets(assembly: Assembly, bars: Sequence[StockBar] | None = None) -> bytes:
    """The tickets as a PDF, a page a distinct piece, then the maps of the bars where planned.

    Bars are those of the job's stock unless others are handed over.

    Raises:
        InputError: a piece is longer than every bar, or bars in limited number are too few.
    """
    job = assembly.job
    if bars is None:
        bars = stock_bars(assembly)
    size = A4 if job.paper == "a4" else LETTER
    pieces = cut_pieces(assembly)
    pages = Pages(f"Cut tickets, {job.title}")
    ticket = _Ticket(size, assembly, bars, pattern_letters(assembly), len(pieces))
    for number, piece in enumerate(pieces, start=1):
        bookmark = f"{_KINDS[piece.part.kind]} {marks_in_words(piece.marks)}"
        with pages.page(*size, bookmark=bookmark) as page:
            _page(page, ticket, piece, number)
    if not pieces:
        with pages.page(*size) as page:
            page.text((_MARGIN_MM, size[1] - 30.0), "Nothing is cut in this job.", 3.0)
    if bars:
        kerf = _kerf_words(job)
        bar_pages(pages, size, bars, ticket.title, metric=job.metric, kerf=kerf)
    return pages.data()


def _kerf_words(job: Job) -> str:
    if job.stock is None:
        return ""
    kerf = f"Saw cuts are {taped(job.stock.kerf_mm, metric=job.metric)} wide"
    trim = job.stock.end_trim_mm
    if not trim:
        return f"{kerf}; the ends of the bars are used as they come."
    return f"{kerf}; {taped(trim, metric=job.metric)} is cut off each end of a bar first."


def _page(page: Page, ticket: _Ticket, piece: CutPiece, number: int) -> None:
    part = piece.part
    prism = part.shape
    assert isinstance(prism, Prism)
    top = ticket.size[1]
    page.text((_MARGIN_MM, top - 11.0), ticket.title, 2.2)
    right = ticket.size[0] - _MARGIN_MM
    page.text((right, top - 11.0), f"ticket {number} of {ticket.total}", 2.2, anchor="right")
    _heading(page, ticket, piece)
    facts_end = _facts(page, ticket, piece, top - 40.0)
    centre = (right - 30.0, top - 58.0)
    scale = draw_section(page, prism, centre, 36.0, metric=ticket.metric)
    words = f"section, scale {_scale_words(scale)}"
    page.text((centre[0], top - 34.5), words, 2.0, anchor="centre")
    views_end = _views(page, ticket, part, prism, min(facts_end, top - 92.0))
    _saw(page, ticket, part, views_end - 8.0)
    note = "Cut one piece, check long point and both cuts, then cut the rest."
    page.text((_MARGIN_MM, 9.0), note, 2.2)


def _heading(page: Page, ticket: _Ticket, piece: CutPiece) -> None:
    """The marks as large as they fit, and how many pieces."""
    top = ticket.size[1]
    title = f"{_KINDS[piece.part.kind]} {marks_in_words(piece.marks)}"
    count = len(piece.marks)
    said = f"{count} piece{'s' if count > 1 else ''}"
    room = ticket.room - text_width_mm(said, 4.0, bold=True) - 8.0
    height = 6.5
    while height > 2.2 and text_width_mm(title, height, bold=True) > room:
        height -= 0.25
    while text_width_mm(title, height, bold=True) > room:
        title = title.rsplit(",", 1)[0] + " ..." if "," in title else title[:_LONGEST_LIST]
        if "," not in title:
            break
    page.text((_MARGIN_MM, top - 24.0), title, height, bold=True)
    right = ticket.size[0] - _MARGIN_MM
    page.text((right, top - 24.0), said, 4.0, anchor="right", bold=True)
    page.pen(0.5)
    page.line((_MARGIN_MM, top - 28.0), (right, top - 28.0))


def _facts(page: Page, ticket: _Ticket, piece: CutPiece, top: float) -> float:
    """Profile, lengths, mass, drilling, bars and joints, line by line; returns where they end."""
    y = top
    for name, words in _fact_rows(ticket, piece):
        page.text((_MARGIN_MM, y), name, 2.3)
        # Beside the section lines are short; below it they take the width of the page.
        for line in _wrapped(words, ticket.room - (34.0 if y < top - 40.0 else 96.0)):
            page.text((_MARGIN_MM + 34.0, y), line, 2.6, bold=True)
            y -= 4.2
        y -= 1.4
    return y


def _wrapped(words: str, room_mm: float) -> list[str]:
    """Words in lines of that width at the height of facts, broken at spaces."""
    lines: list[str] = []
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, 2.6, bold=True) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _fact_rows(ticket: _Ticket, piece: CutPiece) -> list[tuple[str, str]]:
    part, metric = piece.part, ticket.metric
    job = ticket.assembly.job
    lengths = rail_lengths(part)
    rows = [("Profile", section_name(job, part))]
    for name, length in zip(("Long point", "Short point", "Centre"), lengths, strict=True):
        rows.append((name, f"{taped(length, metric=metric)}   ({exact(length, metric=metric)})"))
    mass = Scales(job).part_kg(part)
    if mass is not None:
        weight = f"{mass:.2f} kg" if metric else f"{mass / 0.45359237:.2f} lb"
        rows.append(("Weight of one", f"about {weight}"))
    if part.mark in ticket.letters:
        rows.append(("Drilled", f"pattern {ticket.letters[part.mark]} of the drill sheets"))
    legs = dict.fromkeys(f"run {one.run}, leg {one.leg}" for one in piece.parts)
    rows.append(("Goes to", "; ".join(legs)))
    if isinstance(part.detail, RailDetail):
        start, end = part.detail.start_on, part.detail.end_on
        rows.append(("Meets", f"start: {_MET.get(start, start)}; end: {_MET.get(end, end)}"))
    found: dict[str, list[str]] = {}
    for mark in piece.marks:
        if (bar := bar_of(ticket.bars, mark)) is not None:
            found.setdefault(bar.name, []).append(mark)
    words = _bars_in_words(found, len(piece.marks)) if found else _NO_STOCK
    rows.append(("Cut from", words))
    return rows


def _bars_in_words(found: dict[str, list[str]], pieces: int) -> str:
    """Stock bars, each with the pieces that come from it where they are several of each."""
    if len(found) == 1 and len(*found.values()) == pieces:
        return next(iter(found))
    if pieces > len(found):
        return "; ".join(f"{bar}: {marks_in_words(tuple(own))}" for bar, own in found.items())
    return "; ".join(f"{bar}: {own[0]}" for bar, own in found.items())


def _scale_words(scale: float) -> str:
    return f"1:{scale:g}"


def _views(page: Page, ticket: _Ticket, part: Part, prism: Prism, top: float) -> float:
    """Plan and elevation under one another with the three lengths; returns where they end."""
    names = side_names(part.kind)
    room = ticket.room - 24.0
    stretch = stretch_of(prism, room)
    above, side = views(prism)
    left = _MARGIN_MM + 12.0
    y = top - 10.0
    for view, name in ((above, names[2]), (side, names[1])):
        _, low, _, high = view.bounds
        axis = y - high / stretch.scale
        seen = "from above" if name == "top" else f"from the {name}"
        scale = _scale_words(stretch.scale)
        broken = ", broken in the middle" if stretch.broken else ""
        page.text((left, y + 4.0), f"seen {seen}, scale {scale}{broken}", 2.0)
        draw_view(page, view, stretch, (left, axis))
        y = axis + low / stretch.scale - 15.0
    foot = y + 15.0
    ends = _ENDS[part.kind]
    page.text((left - 1.0, foot + 4.0), ends[0], 2.0, anchor="right")
    page.text((left + stretch.at(stretch.high_mm) + 1.0, foot + 4.0), ends[1], 2.0)
    return _lengths(page, ticket, part, stretch, (left, foot))


def _lengths(page: Page, ticket: _Ticket, part: Part, stretch: Stretch, at: Vec2) -> float:
    """Short point, centre and long point as dimensions under one another."""
    prism = part.shape
    assert isinstance(prism, Prism)
    left, foot = at
    corners = prism.section.outer.corners
    short = min(corners, key=lambda c: prism.end.at(*c) - prism.start.at(*c))
    spans = (
        ("short point", prism.start.at(*short), prism.end.at(*short)),
        ("centre", prism.start.z_mm, prism.end.z_mm),
        ("long point", stretch.low_mm, stretch.high_mm),
    )
    square = math.isclose(spans[0][2] - spans[0][1], spans[2][2] - spans[2][1], abs_tol=1e-6)
    y = foot - 7.0
    for name, start, end in spans[2:] if square else spans:
        text = taped(end - start, metric=ticket.metric)
        said = f"{text}, square cuts" if square else f"{name} {text}"
        a, b = (left + stretch.at(start), y), (left + stretch.at(end), y)
        right = left + stretch.at(stretch.high_mm) + 1.0
        dimension(page, a, b, said, (foot - 1.0, foot - 1.0), right)
        y -= 7.0
    return y


_COLUMNS = (0.0, 26.0, 48.0, 70.0)


def _saw(page: Page, ticket: _Ticket, part: Part, top: float) -> None:
    """What the saw is set to at both ends, and how the piece lies."""
    page.text((_MARGIN_MM, top), "Saw", 3.2, bold=True)
    table = on_table(part)
    lies = f"lies on the table: {table}"
    page.text((_MARGIN_MM + 14.0, top), lies, 2.6, bold=True)
    y = top - 7.0
    heads = ("End", "Miter", "Bevel", "In words")
    for x, text in zip(_COLUMNS, heads, strict=True):
        page.text((_MARGIN_MM + x, y), text, 2.2, bold=True)
    page.pen(0.25)
    page.line((_MARGIN_MM, y - 1.5), (_MARGIN_MM + ticket.room, y - 1.5))
    ends: tuple[End, End] = ("start", "end")
    for end, name in zip(ends, _ENDS[part.kind], strict=True):
        y -= 6.0
        miter, bevel = cut_angles(part, end)
        cells = (name, _degrees(miter), _degrees(bevel), cut_words(part, end))
        for x, text in zip(_COLUMNS, cells, strict=True):
            page.text((_MARGIN_MM + x, y), text, 2.6)
    y -= 7.0
    for line in (
        "Miter is the turn of the saw in the flat, bevel the tilt of the blade; 0° is square.",
        "Lengths are along the piece: long point from tip to tip, short point the shortest line.",
    ):
        page.text((_MARGIN_MM, y), line, 2.0)
        y -= 3.8


def _degrees(angle: float) -> str:
    return f"{abs(angle):.1f}°"
