"""Lines of text under an elevation: how it is seen, its cables, its floors and its stair."""

from __future__ import annotations

from itertools import pairwise

from generator.drawings.dimensions import angle_text
from generator.drawings.front import Front
from generator.units import format_length, round_shop


def elevation_notes(one: Front) -> tuple[str, ...]:
    """What a reader cannot see in the picture, in the trade's words."""
    way = "LEFT TO RIGHT" if one.sense > 0 else "RIGHT TO LEFT"
    notes = [f"SEEN FROM OUTSIDE, TOWARD THE WALKING SURFACE. TRAVEL RUNS {way}."]
    if one.leg.cables:
        notes.append(_cables(one))
    spans = one.tape.spans_a_bay()
    if spans:
        first, last = one.leg.spacers[0], one.leg.spacers[-1]
        marks = f"{first} TO {last}" if first != last else first
        word = "SPACERS" if first != last else "SPACER"
        notes.append(f"{word} {marks}: {spans} EQUAL SPANS OF THE CABLES A BAY.")
    if one.leg.kind == "stair":
        notes.append(_stair(one))
    notes.append(_floors(one))
    return tuple(notes)


def _length(one: Front, mm: float) -> str:
    metric = one.assembly.job.metric
    return format_length(mm, metric) + (" mm" if metric else "")


def _cables(one: Front) -> str:
    """Number, marks and spacing of the cables as they lie."""
    lines = one.cable_lines()
    first, last = lines[0][0], lines[-1][0]
    marks = f"{first} TO {last}" if last != first else first
    text = f"{len(lines)} CABLES {marks}, FROM THE BOTTOM UP"
    gaps = [b.y - a.y for (_, a), (_, b) in pairwise(lines)]
    if not gaps:
        return text + "."
    if max(gaps) - min(gaps) > 0.01:
        return text + ", SPACED AS DRAWN."
    spacing, total = gaps[0], sum(gaps)
    metric = one.assembly.job.metric
    even = abs(round_shop(spacing, metric) - spacing) > 0.01
    how = f"{len(gaps)} EQUAL SPACES IN {_length(one, total)}" if even else _length(one, spacing)
    text += f", {how}" if even else f", @ {how} O.C."
    if one.slope:
        text += f" PLUMB, {_length(one, spacing * one.cosine)} SQUARE TO THE PITCH"
    return text.removesuffix(".") + "."


def _stair(one: Front) -> str:
    """Risers and treads as counted and measured from the treads themselves."""
    treads = sorted((one.top(part) for part in one.surfaces("tread")), reverse=True)
    count = len(treads) + 1
    rise = abs(one.slope) * one.tape.length_mm / max(len(treads), 1)
    going = one.tape.length_mm / max(len(treads), 1)
    return (
        f"{count} RISERS @ {_length(one, rise)} = {_length(one, rise * count)}, "
        f"{len(treads)} TREADS @ {_length(one, going)} = {_length(one, one.tape.length_mm)}, "
        f"PITCH {angle_text(abs(one.leg.pitch_deg))}."
    )


def _floors(one: Front) -> str:
    """Levels of the floors that are shown, over the job's own zero."""
    upper = sorted({round(one.top(part), 6) for part in one.surfaces("deck")}, reverse=True)
    lower = sorted({round(one.top(part), 6) for part in one.surfaces("floor")}, reverse=True)
    words = [f"WALKING SURFACE AT {_length(one, z)}" for z in upper]
    words += [f"LOWER FLOOR AT {_length(one, z)}" for z in lower]
    return (", ".join(words) or "NO FLOOR SHOWN") + "."
