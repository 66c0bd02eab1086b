"""The plan of a job: what stands there, the guard on it, dimensions along its edges."""

from __future__ import annotations

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.lettering import Box
from generator.drawings.plan_bodies import (
    Hiding,
    lines_round_corners,
    nosings,
    plan_floors,
    wall_box,
)
from generator.drawings.plan_labels import (
    body_label,
    floor_labels,
    leg_labels,
    obstacle_labels,
    post_marks,
    ways,
)
from generator.drawings.plan_strings import (
    PlanLeg,
    corner_angles,
    edge_strings,
    flat,
    insets,
    openings,
    plan_legs,
    stair_widths,
)
from generator.drawings.project import PLAN, silhouette
from generator.drawings.references import reference_notes, section_marks
from generator.drawings.symbols import north_and_scale, title
from generator.drawings.view import Line, Scale, View
from generator.parts.assembly import Assembly, Kind

_HARDWARE: tuple[Kind, ...] = ("base-plate", "side-plate", "stand-off", "anchor")
_GUARD: dict[Kind, str] = {
    "post": layers.POST,
    "column": layers.COLUMN,
    "spacer": layers.SPACER,
    "rail": layers.RAIL,
    "handrail": layers.HANDRAIL,
    "handrail-bracket": layers.HANDRAIL,
}
_WALL_SHOWN = 4.5  # as plotted: a wall beyond the edge
_HEAVY = 4  # lettering on an edge, which cannot be broken, is as bad as on so many thin lines
_NOTE = (
    "THE GUARD LINE IS THE LINE OF POST CENTRES; ITS INSET IS DIMENSIONED ONCE A RUN "
    "AND WHERE IT CHANGES."
)
_SQUARE = "CORNERS WITHOUT AN ANGLE ARE SQUARE."


def plan_view(assembly: Assembly, scale: Scale, *, refers: bool = False) -> View:
    """The plan at its true coordinates: x east, y north.

    With `refers` it holds places for the numbers of the sheets of elevations and sections.
    """
    draft = Draft(scale)
    hiding = Hiding(draft, assembly)
    legs = plan_legs(assembly)
    tapes = [leg.tape for leg in legs]
    plan_floors(hiding, assembly, tapes)
    _guard(hiding, assembly)
    for part in assembly.of_kind("obstacle"):
        hiding.part(part, layers.OBSTACLE)
    draft.draw(*lines_round_corners(assembly, tapes))
    walls = _walls(draft, assembly, legs)
    nosings(hiding, assembly, tapes)
    for leg in legs:
        _lines(hiding, leg)
    for leg in legs:
        draft.keep_line(flat(leg.tape.leg.edge_start), flat(leg.tape.leg.edge_end), _HEAVY)
    for body in (*walls, *(silhouette(part, PLAN) for part in assembly.of_kind("obstacle"))):
        draft.keep_sides(body)
    for part in assembly.of_kind("base-plate", "side-plate"):
        draft.keep_out(silhouette(part, PLAN))
    bands = edge_strings(draft, legs, walls)
    ways(draft, legs)
    if refers:
        section_marks(draft, legs)
    openings(draft, assembly, legs, bands)
    stair_widths(draft, assembly, legs)
    post_marks(draft, assembly, legs, bands)
    notes = [_NOTE, _SQUARE] if corner_angles(draft, assembly, legs) else [_NOTE]
    insets(draft, legs)
    for leg, band in zip(legs, bands, strict=True):
        leg_labels(draft, assembly, hiding, leg, band, refers=refers)
    if refers:
        notes += reference_notes(legs)
    for wall in walls:
        body_label(draft, wall, "WALL")
    obstacle_labels(draft, assembly)
    floor_labels(draft, assembly)
    right = title(draft, "PLAN", notes)
    north_and_scale(draft, right)
    draft.break_around_text()
    return draft.view("plan", "PLAN")


def _guard(hiding: Hiding, assembly: Assembly) -> None:
    for part in assembly.of_kind(*_HARDWARE):
        hiding.part(part, layers.HARDWARE, dashed=False)
    for kind, layer in _GUARD.items():
        for part in assembly.of_kind(kind):
            hiding.part(part, layer)


def _walls(draft: Draft, assembly: Assembly, legs: list[PlanLeg]) -> list[Box]:
    tape_of = {(leg.tape.leg.run, leg.tape.leg.number): leg.tape for leg in legs}
    shown = draft.scale.plotted(_WALL_SHOWN)
    walls = assembly.of_kind("wall")
    return [wall_box(draft, part, tape_of[part.run, part.leg], shown) for part in walls]


def _lines(hiding: Hiding, leg: PlanLeg) -> None:
    """The measured edge and the guard line."""
    line = leg.tape.leg
    edges = (
        (line.edge_start, line.edge_end, layers.EDGE),
        (line.guard_start, line.guard_end, layers.CENTRE),
    )
    for a, b, layer in edges:
        top = max(a[2], b[2])
        hiding.item(Line(flat(a), flat(b), layer), hiding.over(top), top)
