"""The drill sheets: set-ups in order, then every pattern with its faces, holes and check marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby

from generator.paper.canvas import Page
from generator.paper.flow import A4, LETTER, Flow
from generator.parts.assembly import Assembly
from generator.parts.hole_table import HoleRow, hole_rows
from generator.parts.measure import rail_lengths
from generator.parts.patterns import FACE_NAMES, DrilledPiece, Pattern, patterns
from generator.parts.setups import OPPOSITE, SetUp, Use, set_ups
from generator.parts.shapes import Face
from generator.products.naming import marks_in_words
from generator.shop.faces import TALL_MM, FaceSheet, draw_faces, face_sheet, height_mm
from generator.shop.words import exact, offset_words, size_words, taped, tilt_words, tool_words

# Lines of tables under the tallest drawing, their height, and the titles of a second pattern's.
_LINES, _LINE_MM, _TITLE_LINES = 16, 4.4, 9
_SHORT_MM = 58.0
_KINDS = {"post": "Posts", "column": "Posts that stand there already", "spacer": "Spacers"}
# The face of the drawing that takes the place of a turned piece's front.
_TURNED: dict[int, Face] = {0: "x+", 90: "y+", 180: "x-", 270: "y-"}


def drill_sheets(assembly: Assembly) -> bytes:
    """The drill sheets as a PDF: a page of set-ups, then patterns, handed ones side by side."""
    job = assembly.job
    flow = Flow(
        f"Drill sheets, {job.title}",
        header=" · ".join(filter(None, (job.title, job.number, "drill sheets"))),
        footer="Check the first piece of each pattern with a tape before the rest are drilled.",
        size=A4 if job.paper == "a4" else LETTER,
    )
    found = patterns(assembly)
    planned = set_ups(found)
    flow.heading("Drill sheets", 0)
    if not found:
        flow.paragraph("Nothing is drilled in this job.")
        return flow.data()
    _overview(flow, found, planned, metric=job.metric)
    for pair in _pairs(found):
        flow.new_page()
        _pattern_page(flow, pair, planned, metric=job.metric)
    return flow.data()


def _overview(
    flow: Flow, found: Sequence[Pattern], planned: Sequence[SetUp], *, metric: bool
) -> None:
    bits = len({one.tool for one in planned})
    flow.paragraph(
        f"{len(planned)} set-ups, {bits} bits and mills, each put in once. One set-up is one bit, "
        "one fence and one row of stops; no two of them are alike, so there are no fewer. "
        "Stops and heights are told from the lower end of the piece, at its long point where it "
        "is cut at a slope; the fence is told to the middle of the holes. The front of a piece "
        "looks the way its leg is walked, its left is on the left of that walk. Of a post that "
        "stands there already the lower end is where it stands on the floor."
    )
    flow.table(
        ("No.", "Bit or mill", "Fence", "Stops", "Pieces and faces"),
        [_set_up_row(k, one, metric=metric) for k, one in enumerate(planned, start=1)],
        widths=(0.5, 2.6, 1.5, 2.2, 4.2),
        small=True,
    )
    flow.heading("Patterns", 2)
    flow.paragraph("Pieces of one letter are drilled alike, whatever their length.", small=True)
    flow.table(
        ("Pattern", "Pieces", "Marks", "Other hand"),
        [
            (
                one.letter,
                f"{len(one.pieces)} {_kind_words(one)}",
                marks_in_words(one.marks),
                f"mirror image of {one.handed}" if one.handed else "",
            )
            for one in found
        ],
        widths=(0.7, 1.6, 4.0, 1.6),
        small=True,
    )


def _kind_words(pattern: Pattern) -> str:
    words = {"post": "post", "column": "standing post", "spacer": "spacer"}[pattern.kind]
    return words + ("s" if len(pattern.pieces) > 1 else "")


def _set_up_row(number: int, one: SetUp, *, metric: bool) -> tuple[str, ...]:
    side = "right edge" if one.fence_right else "left edge"
    fence = exact(one.fence_mm, metric=metric)
    first, last = one.stops_mm[0], one.stops_mm[-1]
    stops = taped(first, metric=metric)
    if len(one.stops_mm) > 1:
        stops = f"{len(one.stops_mm)}: {stops} to {taped(last, metric=metric)}"
    return (
        str(number),
        tool_words(one.tool, metric=metric),
        f"{fence}, middle" if one.middle else f"{fence} from {side}",
        stops,
        "; ".join(_use_words(one.uses)),
    )


def _use_words(uses: Sequence[Use]) -> Iterator[str]:
    """The patterns of a set-up, each with its faces and marks."""
    for letter, held in groupby(uses, key=lambda use: use.letter):
        alike = list(held)
        faces = " and ".join(
            f"{FACE_NAMES[use.face]} through {FACE_NAMES[OPPOSITE[use.face]]}"
            if use.through
            else FACE_NAMES[use.face]
            for use in alike
        )
        yield f"{letter}, {faces} ({marks_in_words(alike[0].marks)})"


def _pairs(found: Sequence[Pattern]) -> Iterator[tuple[Pattern, ...]]:
    """The patterns in order, handed ones together."""
    by_letter = {pattern.letter: pattern for pattern in found}
    done: set[str] = set()
    for pattern in found:
        if pattern.letter not in done:
            pair = (pattern, by_letter[pattern.handed]) if pattern.handed else (pattern,)
            done.update(one.letter for one in pair)
            yield pair


def _pattern_page(
    flow: Flow, pair: Sequence[Pattern], planned: tuple[SetUp, ...], *, metric: bool
) -> None:
    letters = " and ".join(one.letter for one in pair)
    handed = ", a handed pair" if len(pair) > 1 else ""
    flow.heading(f"Pattern{'s' if handed else ''} {letters}: {_KINDS[pair[0].kind]}{handed}", 1)
    rows = [hole_rows(one, planned) for one in pair]
    tall = _drawing_mm(pair, rows)
    sheets = [face_sheet(one, held, tall) for one, held in zip(pair, rows, strict=True)]
    for together in _side_by_side(sheets, flow.width_mm):
        tall = max(height_mm(sheet) for sheet in together) + 4.0
        flow.figure(tall, partial(_draw, sheets=together, tall=tall, metric=metric))
    for one, held in zip(pair, rows, strict=True):
        title = f"Pattern {one.letter}: " if len(pair) > 1 else ""
        _marks(flow, one, title, metric=metric)
        _checks(flow, held, title, metric=metric)
        _holes(flow, held, title, metric=metric)


def _drawing_mm(pair: Sequence[Pattern], rows: Sequence[Sequence[HoleRow]]) -> float:
    """How tall faces are drawn: less where their tables then still come on the same page."""
    lines = sum(len(held) for held in rows) + sum(len(one.pieces) for one in pair)
    lines += sum(len({face for row in held for face in row.mouths}) for held in rows)
    over = lines + _TITLE_LINES * (len(pair) - 1) - _LINES
    tall = TALL_MM - _LINE_MM * over
    return tall if over > 0 and tall >= _SHORT_MM else TALL_MM


def _side_by_side(sheets: Sequence[FaceSheet], room: float) -> list[list[FaceSheet]]:
    """Drawings in rows; a pair on one row where both fit."""
    if sum(sheet.width_mm for sheet in sheets) <= room:
        return [list(sheets)]
    return [[sheet] for sheet in sheets]


def _draw(page: Page, *, sheets: Sequence[FaceSheet], tall: float, metric: bool) -> None:
    left = 2.0
    for sheet in sheets:
        draw_faces(page, sheet, left, metric=metric)
        about = f"{sheet.pattern.letter}, seen from outside, scale 1:{sheet.scale:g}"
        page.text((left, tall - 2.5), about, 2.0)
        left += sheet.width_mm


def _marks(flow: Flow, pattern: Pattern, title: str, *, metric: bool) -> None:
    flow.heading(f"{title}Pieces", 2)
    flow.table(
        ("Mark", "Run, leg", "Long point", "Turned"),
        [
            (
                piece.part.mark,
                f"{piece.part.run}, {piece.part.leg}",
                taped(rail_lengths(piece.part)[0], metric=metric),
                _turn_words(piece),
            )
            for piece in pattern.pieces
        ],
        widths=(1.0, 1.0, 1.5, 4.0),
        small=True,
    )


def _turn_words(piece: DrilledPiece) -> str:
    if not piece.turn_deg:
        return "as drawn"
    return f"its front is the {FACE_NAMES[_TURNED[piece.turn_deg]]} of the drawing"


def _checks(flow: Flow, rows: Sequence[HoleRow], title: str, *, metric: bool) -> None:
    """What a tape reads on a drilled piece, hooked on its lower end."""
    flow.heading(f"{title}Check with a tape hooked on the lower end", 2)
    table: list[tuple[str, ...]] = []
    edges: dict[Face, list[float]] = {}
    for row in rows:
        for face in row.mouths:
            edges.setdefault(face, []).append(row.lower_edge_mm)
    for face, unsorted in edges.items():
        held = sorted(unsorted)
        middle = held[len(held) // 2]
        values = (held[0], middle, held[-1], held[-1] - held[0])
        table.append((FACE_NAMES[face], *(taped(value, metric=metric) for value in values)))
    flow.table(
        (
            "Face",
            "Lower edge of lowest hole",
            f"Of hole {_middle_words(rows)} from below",
            "Of highest hole",
            "Lowest to highest",
        ),
        table,
        small=True,
    )


def _middle_words(rows: Sequence[HoleRow]) -> str:
    counts = [len(list(held)) for _, held in groupby(rows, key=lambda row: row.face)]
    return " or ".join(str(count // 2 + 1) for count in dict.fromkeys(counts))


def _holes(flow: Flow, rows: Sequence[HoleRow], title: str, *, metric: bool) -> None:
    flow.heading(f"{title}Holes", 2)
    flow.table(
        ("Set-up", "Face", "No.", "For", "Above the end", "Exact", "Above the base", "Off", "Hole"),
        [
            (
                str(row.set_up),
                row.faces,
                str(row.number),
                row.what,
                taped(row.above_end_mm, metric=metric),
                exact(row.above_end_mm, metric=metric),
                "" if row.above_base_mm is None else taped(row.above_base_mm, metric=metric),
                offset_words(row.offset_mm, metric=metric),
                _hole_words(row, metric=metric),
            )
            for row in rows
        ],
        widths=(0.65, 1.6, 0.4, 1.2, 1.05, 1.05, 1.05, 1.0, 2.5),
        small=True,
    )


def _hole_words(row: HoleRow, *, metric: bool) -> str:
    tilted = tilt_words(row.tool)
    words = size_words(row.tool, metric=metric)
    if row.tool.slot:
        words += ", along" if row.tool.slot_deg == 0.0 else ", across"
    if row.blind_mm is not None:
        words += f", {taped(row.blind_mm, metric=metric)} deep"
    return f"{words}, {tilted}" if tilted else words
