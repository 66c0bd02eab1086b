"""Sheet sizes and drawing scales, and the room that a sheet leaves for views."""

from __future__ import annotations

from generator.drawings.sheets import Frame
from generator.drawings.title_block import BORDER, Paper
from generator.drawings.view import Scale
from generator.spec.job import Job

STRIP = 64.0
"""Width of the title block along the right border, plotted mm."""
_CLEAR = 6.0

# ASME Y14.1, ISO 5457; ARCH sizes are those of the United States' architects.
_PAPERS = {
    "arch-b": Paper("ARCH B 18 x 12 IN", 457.2, 304.8),
    "arch-d": Paper("ARCH D 36 x 24 IN", 914.4, 609.6),
    "ansi-b": Paper("ANSI B 17 x 11 IN", 431.8, 279.4),
    "a3": Paper("ISO A3 420 x 297", 420.0, 297.0),
    "a1": Paper("ISO A1 841 x 594", 841.0, 594.0),
}

_INCHES = (("1 in", 12), ("3/4 in", 16), ("1/2 in", 24), ("3/8 in", 32), ("1/4 in", 48))
_RATIOS = (("1:10", 10), ("1:20", 20), ("1:25", 25), ("1:50", 50))


def papers_of(job: Job) -> tuple[Paper, ...]:
    """The sheet that the job asks for, or those that are tried, the smallest first."""
    if job.drawings.sheet:
        return (_PAPERS[job.drawings.sheet],)
    names = ("a3", "a1") if job.metric else ("arch-b", "arch-d")
    return tuple(_PAPERS[name] for name in names)


def scales_of(job: Job) -> tuple[Scale, ...]:
    """The scales that plans and elevations may have, the largest first."""
    asked = job.drawings.scale
    offers = _RATIOS if job.metric else _INCHES
    if asked:
        offers = tuple(offer for offer in (*_INCHES, *_RATIOS) if offer[0] == asked)
    return tuple(Scale(float(k), _label(name), job.metric) for name, k in offers)


def _label(name: str) -> str:
    return name if ":" in name else name.replace(" in", '" = 1\'-0"')


def paper_scale(job: Job) -> Scale:
    """The scale of what is drawn straight on paper."""
    return Scale(1.0, "NONE", job.metric)


def room_of(paper: Paper) -> Frame:
    """Where views may lie."""
    inside = BORDER + _CLEAR
    return (inside, inside, paper.width - inside - STRIP, paper.height - inside)
