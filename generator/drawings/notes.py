"""Lines of text under an elevation: how it is seen, its cables, its floors and its stair."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.drawings.dimensions import angle_text
from generator.drawings.flight import flight
from generator.drawings.front import Front, Strand
from generator.drawings.tape import neighbours
from generator.parts.assembly import Part, PostDetail, detail_of
from generator.units import format_length, round_shop

_EVEN_MM = 0.01


def elevation_notes(one: Front) -> tuple[str, ...]:
    """What a reader cannot see in the picture, in the trade's words."""
    way = "LEFT TO RIGHT" if one.sense > 0 else "RIGHT TO LEFT"
    notes = [f"SEEN FROM OUTSIDE, TOWARD THE WALKING SURFACE. TRAVEL RUNS {way}."]
    notes += [_cables(one, group) for group in one.strands]
    spans = one.tape.spans_a_bay()
    if spans:
        marks, word = _marks(one.leg.spacers), "SPACERS" if len(one.leg.spacers) > 1 else "SPACER"
        notes.append(f"{word} {marks}: {spans} EQUAL SPANS OF THE CABLES A BAY.")
    notes += _mounting(one)
    if one.leg.kind == "stair":
        notes += _stair(one)
    notes += _handrail(one)
    notes.append(_floors(one))
    return tuple(notes)


def slope_text(rise: float) -> str:
    """A slope as 1 in so much, level: 1:12."""
    run = abs(1.0 / rise)
    return "1:" + f"{run:.1f}".removesuffix(".0")


def opening_widths(one: Front) -> Iterator[tuple[float, bool]]:
    """Clear widths of the openings beside a leg, post face to post face, and whether at its end."""
    before, after = neighbours(one.assembly, one.leg)
    posts = [part for part, _ in _by_station(one)]
    for other, joint, at_end in (
        (before, one.leg.start_joint, False),
        (after, one.leg.end_joint, True),
    ):
        if joint != "opening" or other is None:
            continue
        beyond = one.assembly.by_mark[other.posts[0 if at_end else -1]]
        faces = _faces(one, posts[-1 if at_end else 0]), _faces(one, beyond)
        near, far = faces if at_end else faces[::-1]
        yield far[0] - near[1], at_end


def _by_station(one: Front) -> list[tuple[Part, float]]:
    found = [(one.assembly.by_mark[mark], station) for mark, station in one.tape.posts]
    return sorted(found, key=lambda pair: pair[1])


def _faces(one: Front, part: Part) -> tuple[float, float]:
    """Stations of a post's faces along the leg."""
    x0, _, x1, _ = one.box(part).bounds
    a, b = sorted((x0 * one.sense, x1 * one.sense))
    return a, b


def _marks(marks: Sequence[str]) -> str:
    return f"{marks[0]} TO {marks[-1]}" if len(marks) > 1 else marks[0]


def _length(one: Front, mm: float) -> str:
    metric = one.assembly.job.metric
    return format_length(mm, metric) + (" mm" if metric else "")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}S"


def _cables(one: Front, group: Sequence[Strand]) -> str:
    """Number, marks and spacing of the cables as they lie, between which posts, and where to."""
    marks = _marks([strand.mark for strand in group])
    text = f"{_counted(len(group), 'CABLE')} {marks}, FROM THE BOTTOM UP"
    if len(one.strands) > 1:
        text += f", {' TO '.join(group[0].posts)}"
    text += _spacing(one, group)
    if group[0].goes_on:
        legs = ", ".join(str(number) for number in group[0].goes_on)
        word = "LEG" if len(group[0].goes_on) == 1 else "LEGS"
        text += f"; THEY RUN ON THROUGH {word} {legs}"
    return text.removesuffix(".") + "."


def _spacing(one: Front, group: Sequence[Strand]) -> str:
    gaps = [b.line.y - a.line.y for a, b in pairwise(group)]
    if not gaps:
        return ""
    if max(gaps) - min(gaps) > _EVEN_MM:
        return ", SPACED AS DRAWN"
    spacing, total = gaps[0], sum(gaps)
    metric = one.assembly.job.metric
    uneven = abs(round_shop(spacing, metric) - spacing) > _EVEN_MM
    how = f"{len(gaps)} EQUAL SPACES IN {_length(one, total)}" if uneven else _length(one, spacing)
    text = f", {how}" if uneven else f", @ {how} O.C."
    if one.slope:
        square = spacing * group[0].line.cosine
        text += f" PLUMB, {_length(one, square)} SQUARE TO THE PITCH"
    return text


def _mounting(one: Front) -> Iterator[str]:
    """How posts are fixed where it is not on a base plate; openings beside the leg."""
    posts = [(m, detail_of(one.assembly.by_mark[m], PostDetail)) for m in one.leg.posts]
    if any(detail.mount == "fascia" for _, detail in posts):
        where = "STRINGER" if one.leg.kind == "stair" else "FASCIA"
        yield f"POSTS HANG ON SIDE PLATES AT THE {where}."
    if any(detail.mount == "core" for _, detail in posts):
        depth = one.assembly.job.system.post.core_depth_mm
        yield f"POSTS ARE SET {_length(one, depth)} DEEP IN CORED HOLES."
    standing = [mark for mark, detail in posts if detail.mount == "existing"]
    if standing:
        yield (
            f"{', '.join(standing)} STAND THERE ALREADY."
            if len(standing) > 1
            else (f"{standing[0]} STANDS THERE ALREADY.")
        )
    for width, at_end in opening_widths(one):
        where = "AFTER" if at_end else "BEFORE"
        yield f"OPENING {_length(one, width)} CLEAR {where} THIS LEG."


def _stair(one: Front) -> Iterator[str]:
    """Risers and treads as counted and measured from the treads themselves."""
    stair = flight(one)
    risers, goings = stair.risers, stair.goings
    pitch = f"PITCH {angle_text(abs(one.leg.pitch_deg))}"
    rise, run = _length(one, sum(risers)), _length(one, sum(goings))
    many = _counted(len(risers), "RISER")
    if stair.regular:
        text = f"{many} OF {rise}"
        if len(risers) > 1:
            text = f"{many} @ {_length(one, max(risers))} = {rise}"
        if goings:
            text += f", {_counted(len(goings), 'TREAD')} @ {_length(one, max(goings))} = {run}"
        yield f"{text}, {pitch}."
        return
    yield f"{many} AS MEASURED, FROM THE TOP DOWN: {_listed(one, risers)} = {rise}."
    if goings:
        yield f"TREADS AS MEASURED, FROM THE TOP DOWN: {_listed(one, goings)} = {run}."
    over = [one.reference.at(x) - y for x, y in stair.nosings]
    most = _length(one, round_shop(max(over), one.assembly.job.metric))
    yield f"THE NOSING LINE LIES ON THE HIGHEST NOSING, {most} OVER THE LOWEST, {pitch}."


def _listed(one: Front, lengths: Sequence[float]) -> str:
    """Differences of rounded positions, so that they add up."""
    metric = one.assembly.job.metric
    places = [0.0]
    for length in lengths:
        places.append(places[-1] + length)
    shop = [round_shop(place, metric) for place in places]
    return ", ".join(_length(one, b - a) for a, b in pairwise(shop))


def _handrail(one: Front) -> Iterator[str]:
    pieces = one.own("handrail")
    if pieces:
        brackets = one.own("handrail-bracket")
        what = pieces[0].item.upper().replace(" MM", " mm")
        text = f"{what}: {_marks([part.mark for part in pieces])}"
        if brackets:
            text += f", ON {len(brackets)} BRACKETS {_marks([part.mark for part in brackets])}"
        line = one.handrail_line()
        if line is not None:
            x = one.post_xs[0][1]
            over = "NOSING LINE" if one.leg.kind == "stair" else "WALKING SURFACE"
            text += f", TOP {_length(one, line.at(x) - one.reference.at(x))} PLUMB OVER THE {over}"
        yield text + "."


def _floors(one: Front) -> str:
    """Levels of the floors, over the job's own zero."""
    leg = one.leg
    start, end = leg.edge_start[2], leg.edge_end[2]
    if leg.kind == "stair":
        stair = flight(one)
        upper, lower = _length(one, stair.upper[1]), _length(one, stair.floor)
        return f"UPPER FLOOR AT {upper}, LOWER FLOOR AT {lower}."
    if abs(end - start) < _EVEN_MM:
        return f"WALKING SURFACE AT {_length(one, start)}."
    way = "FALLS" if end < start else "RISES"
    name = "RAMP" if leg.kind == "ramp" else "WALKING SURFACE"
    slope = slope_text((end - start) / one.tape.length_mm)
    return f"{name} {way} FROM {_length(one, start)} TO {_length(one, end)}, SLOPE {slope}."
