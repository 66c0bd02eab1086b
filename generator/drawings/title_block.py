"""What stands around the views: border, title block after the fields of ISO 7200, notes, legend."""

from __future__ import annotations

from collections.abc import Sequence

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.found_notes import found_notes
from generator.drawings.lettering import text_width, wrap
from generator.drawings.view import Line, Outline, Scale, Text, View
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.parts.report import Report

# As plotted, mm. ISO 7200 gives a title block of 180 mm.
BORDER = 12.7
_BLOCK_WIDTH = 180.0
_ROW = 13.0
_PAD = 2.0
_NOTES_WIDTH = 250.0
_SYSTEM_WIDTH = 190.0
_GAP = 10.0
_SAMPLE = 5.5

CAUTION = (
    "THE LOCAL CODE, THE BUILDING OFFICIAL AND A LICENSED ENGINEER GOVERN. "
    "CHECK EVERY MEASURE ON SITE BEFORE CUTTING."
)


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet lying on its long side; plotted mm."""

    name: str
    width: float
    height: float


def border(paper: Paper, scale: Scale) -> tuple[Outline, ...]:
    """The paper's edge is not drawn, only the border inside it; the origin is the lower left."""
    low = scale.plotted(BORDER)
    right, top = scale.plotted(paper.width - BORDER), scale.plotted(paper.height - BORDER)
    return (Outline(((low, low), (right, low), (right, top), (low, top)), layers.TITLE_BLOCK),)


def furniture(assembly: Assembly, report: Report, paper: Paper, scale: Scale) -> View:
    """Border, title block, notes and legend of one sheet, its lower left corner at 0, 0."""
    draft = Draft(scale)
    draft.draw(*border(paper, scale))
    right, bottom = paper.width - BORDER, BORDER
    _block(draft, assembly, report, paper, right - _BLOCK_WIDTH, bottom)
    top = bottom + strip_height(assembly, report, scale)
    left = bottom + _GAP / 2
    _column(draft, left, top, "NOTES", _numbered(sheet_notes(assembly, report), scale))
    _column(draft, left + _NOTES_WIDTH + _GAP, top, "SYSTEM", _system(assembly, scale))
    _legend(draft, assembly, left + _NOTES_WIDTH + _SYSTEM_WIDTH + 2 * _GAP, top)
    return draft.view("sheet", "")


def strip_height(assembly: Assembly, report: Report, scale: Scale) -> float:
    """Plotted height of the strip along the lower border that holds all this."""
    line = scale.small / scale.denominator * 1.7
    notes = _numbered(sheet_notes(assembly, report), scale)
    longest = max(len(notes), len(_system(assembly, scale)))
    legend = 10.0 + _SAMPLE * len(_samples(assembly))
    return max(_block_height(assembly, scale), (longest + 1) * line + 9.0, legend)


def _title_lines(assembly: Assembly, scale: Scale) -> list[str]:
    width = scale.plotted(_BLOCK_WIDTH - 2 * _PAD)
    return wrap(assembly.job.title.upper(), scale.title, width) or [""]


def _caution_lines(scale: Scale) -> list[str]:
    return wrap(CAUTION, scale.small, scale.plotted(_BLOCK_WIDTH - 2 * _PAD))


def _title_height(assembly: Assembly, scale: Scale) -> float:
    return 7.0 + len(_title_lines(assembly, scale)) * scale.title / scale.denominator * 1.5


def _caution_height(scale: Scale) -> float:
    return 9.0 + len(_caution_lines(scale)) * scale.small / scale.denominator * 1.7


def _block_height(assembly: Assembly, scale: Scale) -> float:
    return _caution_height(scale) + _title_height(assembly, scale) + 3 * _ROW


def _block(
    draft: Draft, assembly: Assembly, report: Report, paper: Paper, left: float, bottom: float
) -> None:
    scale, job = draft.scale, assembly.job
    units = "MILLIMETRES" if job.metric else "FEET AND INCHES"
    rows = (
        (("DRAWN BY", "", 60.0), ("DATE", "", 60.0), ("REVISION", "", 60.0)),
        (
            ("SCALE", scale.label, 45.0),
            ("UNITS", units, 55.0),
            ("PAPER", paper.name, 50.0),
            ("SHEET", "1 OF 1", 30.0),
        ),
        (
            ("NUMBER", job.number, 40.0),
            ("RULES", job.rules.edition.upper(), 60.0),
            ("FINDINGS", findings_count(report), 80.0),
        ),
    )
    y = bottom
    for row in rows:
        x = left
        for label, value, width in row:
            _cell(draft, (x, y), width, _ROW, label, value)
            x += width
        y += _ROW
    height = _title_height(assembly, scale)
    _frame(draft, left, y, _BLOCK_WIDTH, height)
    _write(draft, left + _PAD, y + height - 3.2, "TITLE", scale.small)
    step = scale.title / scale.denominator * 1.5
    for k, line in enumerate(_title_lines(assembly, scale)):
        _write(draft, left + _PAD, y + height - 6.0 - step * (k + 0.5), line, scale.title)
    y += height
    _caution(draft, left, y)


def _caution(draft: Draft, left: float, y: float) -> None:
    scale = draft.scale
    height = _caution_height(scale)
    _frame(draft, left, y, _BLOCK_WIDTH, height)
    _write(draft, left + _PAD, y + height - 4.5, "NOT ENGINEERED UNLESS SEALED", scale.text)
    step = scale.small / scale.denominator * 1.7
    for k, line in enumerate(_caution_lines(scale)):
        _write(draft, left + _PAD, y + height - 8.0 - step * (k + 0.5), line, scale.small)


def findings_count(report: Report) -> str:
    """How many findings stand open in each severity, and how many were accepted."""
    open_ = [finding.severity for finding in report.findings if not finding.accepted]
    accepted = len(report.findings) - len(open_)
    notes = open_.count("note")
    text = f"{open_.count('fail')} FAIL, {open_.count('warn')} WARN, "
    text += f"{notes} NOTE" if notes == 1 else f"{notes} NOTES"
    return text + (f", {accepted} ACCEPTED" if accepted else "")


def _cell(
    draft: Draft, at: tuple[float, float], width: float, height: float, label: str, value: str
) -> None:
    """One field; a value too long for it is written smaller, down to what still reads."""
    scale = draft.scale
    _frame(draft, *at, width, height)
    _write(draft, at[0] + _PAD, at[1] + height - 3.2, label, scale.small)
    if not value:
        return
    room = scale.plotted(width - 2 * _PAD)
    size = scale.text if text_width(value, scale.text) <= room else scale.small
    if text_width(value, size) > room:
        value = wrap(value, size, room - text_width("...", size))[0] + "..."
    _write(draft, at[0] + _PAD, at[1] + 3.8, value, size)


def _frame(draft: Draft, x: float, y: float, width: float, height: float) -> None:
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    plotted = draft.scale.plotted
    draft.draw(Outline(tuple((plotted(a), plotted(b)) for a, b in corners), layers.SYMBOLS))


def _write(draft: Draft, x: float, y: float, text: str, size: float) -> None:
    plotted = draft.scale.plotted
    draft.draw(Text((plotted(x), plotted(y)), text, size, layers.TEXT, "left"))


def _column(draft: Draft, left: float, top: float, head: str, lines: Sequence[str]) -> None:
    scale = draft.scale
    step = scale.small / scale.denominator * 1.7
    y = top - 4.0
    _write(draft, left, y, head, scale.text)
    for k, line in enumerate(lines, start=1):
        _write(draft, left, y - 1.5 - step * k, line, scale.small)


def _numbered(notes: Sequence[str], scale: Scale) -> list[str]:
    """Notes with numbers, wrapped; further lines stand in."""
    lines: list[str] = []
    room = scale.plotted(_NOTES_WIDTH) - text_width("99. ", scale.small)
    for number, note in enumerate(notes, start=1):
        first, *rest = wrap(note, scale.small, room)
        lines.append(f"{number}. {first}")
        lines.extend(f"    {line}" for line in rest)
    return lines


def sheet_notes(assembly: Assembly, report: Report) -> tuple[str, ...]:
    """What holds for every view, then what the findings leave to say."""
    job = assembly.job
    rounding = "1 mm" if job.metric else "1/16 in"
    edges = "DIMENSIONS RUN FROM DECK EDGES, STAIR SIDES AND WALL FACES."
    adds_up = f"POSITIONS ARE ROUNDED TO {rounding}, SPACINGS ARE THEIR DIFFERENCES."
    heights = "HEIGHTS ARE TAKEN FROM THE WALKING SURFACE TO THE TOP OF THE RAIL,"
    shown = "DECKS, TREADS, FLOORS AND WALLS ARE SHOWN AS FAR AS NEEDED;"
    return (
        f"{edges} THE GUARD LINE IS THE LINE OF POST CENTRES.",
        f"{adds_up} EVERY STRING ADDS UP. DO NOT SCALE THE DRAWING.",
        f"{heights} ON A STAIR PLUMB FROM THE NOSING LINE.",
        "LENGTHS OF RAIL PIECES ARE TIP TO TIP; LP: TO THE LONG POINT OF A CUT. SEE THE CUT LIST.",
        f"{shown} THEY ARE NOT PART OF THE ORDER.",
        *found_notes(assembly.job, report),
    )


def system_rows(assembly: Assembly) -> list[tuple[str, str]]:
    """What the guard is made of, as the catalogue describes it: what it is for, and what it is."""
    system = assembly.job.system
    rows: list[tuple[str, str]] = []
    for name in ("post", "rail", "bracket", "cable", "fitting", "anchor", "spacer"):
        if name == "spacer" and not any(True for _ in assembly.of_kind("spacer")):
            continue
        rows.append((name.upper(), getattr(system, name).description))
    handrail = next(assembly.of_kind("handrail"), None)
    if handrail:
        rows.append(("HANDRAIL", handrail.item.removeprefix("handrail, ")))
    return rows


def _system(assembly: Assembly, scale: Scale) -> list[str]:
    room = scale.plotted(_SYSTEM_WIDTH)
    lines: list[str] = []
    for name, words in system_rows(assembly):
        first, *rest = wrap(f"{name}: {words}", scale.small, room)
        lines.append(first)
        lines.extend(f"    {line}" for line in rest)
    return lines


def _samples(assembly: Assembly) -> tuple[tuple[str, str], ...]:
    """Lines of the legend: those that every job has, then those of what this one has."""
    kinds = {part.kind for part in assembly.parts}
    samples = [
        (layers.EDGE, "MEASURED EDGE"),
        (layers.CENTRE, "GUARD LINE, POST AXIS"),
        (layers.NOSING, "NOSING, NOSING LINE"),
        (layers.HIDDEN, "HIDDEN HARDWARE"),
        (layers.CABLE, "CABLE"),
    ]
    if "handrail" in kinds:
        samples.append((layers.HANDRAIL, "HANDRAIL"))
    if "column" in kinds:
        samples.append((layers.COLUMN, "EXIST.: STANDS THERE ALREADY"))
    if kinds & {"joist", "rim", "stringer", "blocking"}:
        samples.append((layers.BEAM_HIDDEN, "FRAMING AND BLOCKING, HIDDEN"))
    return tuple(samples)


def _legend(draft: Draft, assembly: Assembly, left: float, top: float) -> None:
    scale = draft.scale
    plotted = scale.plotted
    _write(draft, left, top - 4.0, "LINES", scale.text)
    for k, (layer, text) in enumerate(_samples(assembly), start=1):
        y = top - 4.5 - _SAMPLE * k
        draft.draw(Line((plotted(left), plotted(y)), (plotted(left + 24), plotted(y)), layer))
        _write(draft, left + 27.0, y, text, scale.small)
