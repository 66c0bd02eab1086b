"""Lettering over the rails of an elevation: marks, lengths, and how pieces are joined."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.front import Front, RailSpan
from generator.drawings.lettering import text_width
from generator.drawings.view import Line, Text
from generator.geometry import Vec2
from generator.parts.assembly import Part, RailDetail, detail_of
from generator.parts.measure import cut_angles, rail_lengths
from generator.units import format_length

_NEAR_MM = 5.0  # between the middles of two cuts that meet
_FAR = 14.0  # as plotted: beyond this a label has a line to what it speaks of
_LABEL_OFF = 0.9  # as plotted: rail to the label over it


def rail_labels(draft: Draft, one: Front) -> None:
    """How pieces are joined, which has its place, then mark and length over every piece."""
    _joints(draft, one)
    for span in one.rail_spans:
        a, b, cosine = span.left, span.right, span.top.cosine
        middle = (a + b) / 2
        start, text = one.x(one.tape.mid_bay(middle * one.sense)), _rail_text(one, span.part)
        half = text_width(text, draft.scale.small) / 2 * cosine
        steps = range(1 + int((b - a) / draft.scale.plotted(4.0)))
        places = [start + draft.scale.plotted(4.0) * k * way for k in steps for way in (1, -1)]
        inside = [x for x in places if a + half <= x <= b - half]
        draft.letter(
            _over_rail(draft, span, x, words, draft.scale.small * 1.5 * tier)
            for words, tiers in ((text, 4), (span.part.mark, 20))
            for tier in range(tiers)
            for x in ((inside or [middle]) if words == text else [middle, *places])
        )
    for part in one.plumb_rails():
        _plumb_label(draft, one, part)


def _plumb_label(draft: Draft, one: Front, part: Part) -> None:
    """Mark, length and cuts of a plumb piece, beside it or over it."""
    scale, text = draft.scale, _rail_text(one, part)
    cuts = [_joint_text(part, "", at_end=at_end) for at_end in (False, True)]
    words = ", ".join([text, *(cut for cut in cuts if cut)])
    x0, y0, x1, y1 = one.box(part).bounds
    half = text_width(words, scale.small) / 2 + scale.plotted(1.2)
    middle, over = (y0 + y1) / 2, y1 + scale.plotted(2.5)
    lifts = [scale.small * 1.6 * k for k in range(12)]
    places = [(x0 - half, middle), (x1 + half, middle)]
    places += [(x, over + lift) for lift in lifts for x in (x0 - half, x1 + half, (x0 + x1) / 2)]
    text = draft.letter(Text(at, words, scale.small, layers.SYMBOLS) for at in places)
    x, y = text.at
    if y > y1:
        foot = (min(max(x, x0), x1), middle)
        draft.draw(Line((foot[0], y - scale.small), foot, layers.SYMBOLS))


def _joints(draft: Draft, one: Front) -> None:
    """The cuts at both ends of every piece; those of two pieces that meet alike are one label."""
    last = ("", math.inf)
    for span in one.rail_spans:
        detail = detail_of(span.part, RailDetail)
        ends = ((False, detail.start_on), (True, detail.end_on))
        for at_end, joined in ends if one.sense > 0 else ends[::-1]:
            text = _joint_text(span.part, joined, at_end=at_end)
            x = one.rail_end(span.part, at_end=at_end)[0]
            same = text == last[0] and abs(x - last[1]) < _NEAR_MM
            last = (text, x)
            if text and not same:
                inside = -1.0 if x > (span.left + span.right) / 2 else 1.0
                _joint(draft, span, x, inside, text)


def _joint(draft: Draft, span: RailSpan, x: float, inside: float, words: str) -> None:
    """A label near the end of a rail, with a line to it where it found a place further off only."""
    end, scale = (x, span.top.at(x)), draft.scale

    def leader(text: Text) -> list[tuple[Vec2, Vec2]]:
        half = text_width(text.text, text.height) / 2
        if math.dist(text.at, end) < half + scale.plotted(_FAR):
            return []
        box = text.box.grown(scale.plotted(0.6))
        near = sorted(box.corners, key=lambda corner: math.dist(corner, end))
        return [(((near[0][0] + near[1][0]) / 2, (near[0][1] + near[1][1]) / 2), end)]

    chosen = draft.pick(_joint_places(draft, span, x, inside, words), leader)
    draft.draw(chosen)
    for a, b in leader(chosen):
        draft.draw(Line(a, b, layers.SYMBOLS))
        draft.keep_line(a, b)


def _rail_text(one: Front, part: Part) -> str:
    long, short, _ = rail_lengths(part)
    metric = one.assembly.job.metric
    unit = " mm" if metric else ""
    point = " LP" if long - short > 0.01 else ""
    return f"{part.mark} = {format_length(long, metric)}{unit}{point}"


def _joint_text(part: Part, joined: str, *, at_end: bool) -> str:
    """What is done at one end of a piece; plain square ends need no word."""
    if joined == "joint on post":
        return "RAIL JOINT" if at_end else ""
    miter, bevel = cut_angles(part, "end" if at_end else "start")
    words = [
        f"{name} {abs(value):.2f}".rstrip("0").rstrip(".") + "\u00b0"
        for name, value in (("MITER", miter), ("BEVEL", bevel))
        if abs(value) > 0.005
    ]
    return ", ".join(words)


def _over_rail(draft: Draft, span: RailSpan, x: float, text: str, lift: float = 0.0) -> Text:
    scale, top = draft.scale, span.top
    off = scale.plotted(_LABEL_OFF) + scale.small / 2 + lift
    turn = math.degrees(math.atan(top.rise))
    at = (x - off * top.rise * top.cosine, top.at(x) + off * top.cosine)
    return Text(at, text, scale.small, layers.SYMBOLS, turn_deg=turn)


def _joint_places(
    draft: Draft, span: RailSpan, x: float, inside: float, text: str
) -> Iterator[Text]:
    """Over the rail's end, then further in, higher, and past its end."""
    scale = draft.scale
    reach = text_width(text, scale.small) / 2 + scale.plotted(2.0)
    room = (span.right - span.left) / span.top.cosine / 2
    steps = [scale.plotted(5.0) * k for k in range(1 + int(room / scale.plotted(5.0)))]
    for lift in (0.0, scale.small * 1.5, scale.small * 3.0, scale.small * 4.5):
        for along in [inside * (reach + step) for step in steps] + [-inside * reach]:
            yield _over_rail(draft, span, x + along * span.top.cosine, text, lift)
    for lift in range(4, 20):
        for step in steps:
            along = inside * (reach + step)
            yield _over_rail(draft, span, x + along, text, scale.small * 1.5 * lift)
