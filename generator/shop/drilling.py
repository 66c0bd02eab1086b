"""The drill sheets: set-ups in order, then every pattern with its faces, holes and check marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby, pairwise

from generator.paper.canvas import Page
from generator.paper.flow import A4, LETTER, Flow
from generator.parts.assembly import Assembly
from generator.parts.hole_table import HoleRow, Hook, hole_rows, hook
from generator.parts.measure import rail_lengths
from generator.parts.patterns import FACE_NAMES, DrilledPiece, Pattern, patterns
from generator.parts.setups import OPPOSITE, SetUp, Use, set_ups
from generator.parts.shapes import Face
from generator.products.naming import marks_in_words
from generator.shop.faces import TALL_MM, FaceSheet, draw_faces, face_sheet, height_mm
from generator.shop.words import (
    Fine,
    exact,
    fineness,
    offset_words,
    size_words,
    taped,
    tilt_words,
    tool_words,
)

# Lines of tables under the tallest drawing, their height, and the titles of a second pattern's.
_LINES, _LINE_MM, _TITLE_LINES = 16, 4.4, 9
_SHORT_MM = 58.0
_EQUAL_MM = 1e-3
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
    fine = fineness(job)
    _overview(flow, found, planned, fine)
    for pair in _pairs(found):
        flow.new_page()
        _pattern_page(flow, pair, planned, fine)
    return flow.data()


def _overview(flow: Flow, found: Sequence[Pattern], planned: Sequence[SetUp], fine: Fine) -> None:
    bits = len({one.tool for one in planned})
    flow.paragraph(
        f"{len(planned)} set-ups, {bits} bits and mills, each put in once. One set-up is one bit, "
        "one fence and one row of stops; no two of them are alike, so there are no fewer. "
        "Stops and heights are told from the long point of the lower end, on every face of the "
        "piece: what a stop touches that reaches across the end. Where an end is cut square, its "
        "whole edge is at that height. The fence is told to the middle of the holes. The front of "
        "a piece looks the way its leg is walked, its left is on the left of that walk. Of a post "
        "that stands there already the lower end is where it stands on the floor."
    )
    flow.table(
        ("No.", "Bit or mill", "Fence", "Stops above the long point", "Pieces and faces"),
        [_set_up_row(k, one, fine) for k, one in enumerate(planned, start=1)],
        widths=(0.5, 2.5, 1.4, 2.9, 3.7),
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


def _set_up_row(number: int, one: SetUp, fine: Fine) -> tuple[str, ...]:
    side = "right edge" if one.fence_right else "left edge"
    fence = exact(one.fence_mm, metric=fine.metric)
    return (
        str(number),
        tool_words(one.tool, metric=fine.metric),
        f"{fence}, middle" if one.middle else f"{fence} from {side}",
        _stop_words(one.stops_mm, fine),
        "; ".join(_use_words(one.uses)),
    )


def _stop_words(stops: Sequence[float], fine: Fine) -> str:
    """First and last stop, and how far apart they are where all are as far."""
    said = [_set_to(stop, fine) for stop in (stops[0], stops[-1])]
    if len(stops) == 1:
        return said[0]
    apart = [high - low for low, high in pairwise(stops)]
    each = ""
    if len(stops) > 2 and max(apart) - min(apart) < _EQUAL_MM:
        each = f", {_set_to(apart[0], fine)} apart"
    return f"{len(stops)}: {' to '.join(said)}{each}"


def _set_to(mm: float, fine: Fine) -> str:
    """A stop on the marks of a rule and, where these are not all of it, by numbers."""
    marks, numbers = fine.words(mm), fine.decimals(mm)
    return marks if fine.metric or marks == numbers else f"{marks} ({numbers})"


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
    flow: Flow, pair: Sequence[Pattern], planned: tuple[SetUp, ...], fine: Fine
) -> None:
    letters = " and ".join(one.letter for one in pair)
    handed = ", a handed pair" if len(pair) > 1 else ""
    flow.heading(f"Pattern{'s' if handed else ''} {letters}: {_KINDS[pair[0].kind]}{handed}", 1)
    rows = [hole_rows(one, planned) for one in pair]
    tall = _drawing_mm(pair, rows)
    sheets = [face_sheet(one, held, tall) for one, held in zip(pair, rows, strict=True)]
    for together in _side_by_side(sheets, flow.width_mm):
        tall = max(height_mm(sheet) for sheet in together) + 4.0
        flow.figure(tall, partial(_draw, sheets=together, tall=tall, fine=fine))
    for one, held in zip(pair, rows, strict=True):
        title = f"Pattern {one.letter}: " if len(pair) > 1 else ""
        _marks(flow, one, title, metric=fine.metric)
        _checks(flow, one, held, title, metric=fine.metric)
        _holes(flow, held, title, fine)


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


def _draw(page: Page, *, sheets: Sequence[FaceSheet], tall: float, fine: Fine) -> None:
    left = 2.0
    for sheet in sheets:
        draw_faces(page, sheet, left, fine)
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


def _checks(
    flow: Flow, pattern: Pattern, rows: Sequence[HoleRow], title: str, *, metric: bool
) -> None:
    """What a tape reads on a drilled piece, hooked on the lower edge of each face itself."""
    flow.heading(f"{title}Check with a tape hooked on the lower edge of the face", 2)
    table: list[tuple[str, ...]] = []
    edges: dict[Face, list[float]] = {}
    for row in rows:
        for face in row.mouths:
            edges.setdefault(face, []).append(row.lowest_mm(face))
    for face, unsorted in edges.items():
        at = hook(pattern.prism, face)
        held = [height - at.above_mm for height in sorted(unsorted)]
        middle = len(held) // 2
        values = (held[0], held[middle], held[-1], held[-1] - held[0])
        low, mid, high, between = (taped(value, metric=metric) for value in values)
        mid = f"{mid} (hole {middle + 1})"
        table.append((FACE_NAMES[face], _hook_words(at, metric=metric), low, mid, high, between))
    flow.table(
        (
            "Face",
            "Hook on",
            "Lower edge of lowest hole",
            "Of the middle hole, counted from below",
            "Of highest hole",
            "Lowest to highest",
        ),
        table,
        widths=(0.7, 2.6, 1.5, 2.0, 1.2, 1.3),
        small=True,
    )


def _hook_words(at: Hook, *, metric: bool) -> str:
    """Which point of a face's edge the tape is hooked on, and how far it is from the datum."""
    where = "its edge" if at.square else "the long corner of its edge"
    if at.above_mm < _EQUAL_MM:
        return where if at.square else f"{where}, the long point"
    return f"{where}, {exact(at.above_mm, metric=metric)} above the long point"


def _holes(flow: Flow, rows: Sequence[HoleRow], title: str, fine: Fine) -> None:
    metric = fine.metric
    flow.heading(f"{title}Holes", 2)
    flow.table(
        (
            "Set-up",
            "Face",
            "No.",
            "For",
            "Above long point",
            "Exact",
            "Above the base",
            "Off",
            "Hole",
        ),
        [
            (
                str(row.set_up),
                row.faces,
                str(row.number),
                row.what,
                fine.words(row.above_end_mm),
                fine.decimals(row.above_end_mm),
                "" if row.above_base_mm is None else fine.words(row.above_base_mm),
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
