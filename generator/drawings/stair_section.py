"""The section through a stair: treads and floors cut and hatched, the guard beyond them."""

from __future__ import annotations

import math

from generator.drawings import layers
from generator.drawings.dimensions import reserve, string
from generator.drawings.draft import GUARD, Draft
from generator.drawings.elevation import guard, post_marks
from generator.drawings.elevation_bodies import bodies
from generator.drawings.flight import SHOWN, shown
from generator.drawings.front import Front, front
from generator.drawings.heights import height_measures, run_ons
from generator.drawings.lettering import Box
from generator.drawings.notes import elevation_notes
from generator.drawings.project import clipped, picture
from generator.drawings.stair_front import going_lengths, stair_lengths, stair_lines, stair_measures
from generator.drawings.symbols import title
from generator.drawings.view import Hatch, Outline, Scale, View
from generator.parts.assembly import Assembly, LegLine

_SPACING = 1.6  # plotted mm between the lines of a hatch


def stair_section(assembly: Assembly, leg: LegLine, scale: Scale) -> View:
    """One stair cut along its treads; x level from the start of its edge, y the world's height."""
    one = front(assembly, leg)
    draft = Draft(scale)
    bodies(draft, one)
    _cut(draft, one)
    guard(draft, one)
    for part in (*one.rails(), *one.parts(leg.posts)):
        draft.keep_out(one.box(part), GUARD)
    heights = height_measures(draft, one)
    goings = going_lengths(draft, one, draft.lower_edge())
    reserve(draft, [*heights, *goings, *stair_lengths(draft, one, steps=True)])
    stair_lines(draft, one)
    for measure in (*heights, *goings):
        string(draft, *measure)
    post_marks(draft, one)
    stair_measures(draft, one, steps=True)
    run_ons(draft, one)
    name = f"STAIR SECTION - RUN {leg.run}, LEG {leg.number}"
    about = "TREADS AND FLOORS ARE CUT AT THE STAIR'S EDGE, THE GUARD IS SEEN BEYOND."
    title(draft, name, (about, *elevation_notes(one)[1:]))
    draft.break_around_text()
    return draft.view(f"section-{leg.run}-{leg.number}", name)


def _cut(draft: Draft, one: Front) -> None:
    """Hatches treads and floors, the floors as far as they are shown."""
    low, high = shown(one, draft.scale.plotted(SHOWN))
    for part in one.surfaces("tread", "deck", "floor", "riser"):
        for item in picture(part, one.plane, layers.CUT):
            if not isinstance(item, Outline):
                continue
            ring = clipped(clipped(item.points, (1.0, 0.0), low), (-1.0, 0.0), -high)
            if len(ring) > 2 and _area(ring) > 1.0:
                draft.keep_out(Box(ring))
                draft.draw(Hatch((ring,), 45.0, draft.scale.plotted(_SPACING), layers.HATCH))
                if part.kind == "tread":
                    draft.draw(Outline(ring, layers.CUT))


def _area(ring: tuple[tuple[float, float], ...]) -> float:
    x0, y0, x1, y1 = Box(ring).bounds
    return math.fabs((x1 - x0) * (y1 - y0))
