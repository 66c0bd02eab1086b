"""The limits that a rule set may hold: key, meaning, dimension, and what `none` stands for.

A length, a force or a number that nothing can break stands for `none`, so that a check works alike
with a rule set that sets no such limit: nothing at all for a least value, 10 km for a greatest one.
`Limit.stated` tells the two apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from generator.catalog.fields import Bound, Field
from generator.units import MAX_LENGTH_MM

NONE = "none"
"""Word for a limit that a rule set says it does not set."""

# What every rule set has to state itself or take over: without it a guard is not checked at all.
_ALWAYS = {
    "guard.required.fall": "fall from which a guard is required",
    "guard.height.level": "least height above the walking surface",
    "guard.height.stair": "least height, plumb, above the nosing line",
    "opening.level": "sphere that must not pass on the level",
    "opening.bottom": "sphere that must not pass under the lowest cable on the level",
    "opening.stair": "sphere that must not pass on the open side of a stair",
    "opening.end": "sphere that must not pass beside a post or wall at the end of a guard",
    "handrail.height.min": "least height of a handrail, plumb, above the nosing line",
    "stair.riser.max": "greatest riser",
    "stair.tread.min": "least tread, nosing to nosing",
    "practice.cable-tread-clearance": "room between a cable and a tread or nosing",
    "practice.loaded-span": "cable span beyond which the force that passes a sphere is a warning",
    "practice.plate-gap": "room between the base plates of a pair of posts",
    "practice.cable-length.straight": "longest cable that goes straight",
    "practice.cable-length.turned": "longest cable that goes round a turn",
    "practice.wall-tool-reach": "room beside a wall to turn a wrench at an end fitting",
    "practice.wrench-length": "from a nut as far as an open wrench lies flat",
    "practice.fittings-gap": "room between the end fittings of two legs inside one post",
    "practice.parts-clearance": "room between parts that do not touch",
    "practice.post-edge": "from a base plate to the edge of the deck",
    "practice.core-edge": "concrete from the rim of a cored hole to its edge",
}
_LEAST = {
    "guard.required.distance": "how far out from the edge the fall is taken; none: at the edge",
    "handrail.rise": "rise of a flight from which it needs a handrail, if its risers ask for one",
    "handrail.clearance.min": "least room between a handrail and what it runs beside",
    "handrail.extension.top": "how far a handrail goes on, level, past the top riser",
    "handrail.extension.bottom": "how far a handrail goes on past the bottom riser",
    "handrail.diameter.min": "least diameter of a round handrail",
    "handrail.perimeter.min": "least perimeter of a handrail that is not round",
    "handrail.edge.min": "least radius of the edges of a handrail that is not round",
    "handrail.recess.depth": "least depth of the recess for fingers of a large handrail",
    "handrail.recess.run": "how far that depth goes on downward, at least",
    "handrail.recess.level": "how far under the top of the handrail that depth goes, at least",
    "handrail.recess.width.min": "least width of a handrail over its recess",
    "handrail.ramp.rise": "rise of a ramp beyond which it needs a handrail",
    "stair.riser.min": "least riser",
    "stair.nosing.min": "least projection of a nosing over the riser below it",
    "stair.step.min": "least sum of two risers and a tread",
    "stair.width.min": "least width of a stair, clear above the handrail",
    "stair.width.clear.one": "least width clear at and under the handrail, with one handrail",
    "stair.width.clear.two": "least width clear between two handrails",
    "guard.voluntary.sphere": "sphere that passes a voluntary guard, unless none of the code does",
    "opening.riser.fall": "fall beyond which the opening of an open riser counts",
    "climb.fall": "fall beyond which what helps to climb counts; none: any fall",
    "climb.zone.low": "lower end of the heights at which nothing may help to climb",
}
_GREATEST = {
    "guard.height.fall.max": "fall up to which the heights hold; beyond it those they stand for",
    "opening.triangle": "sphere that must not pass through tread, riser and lowest cable or rail",
    "opening.nosing": "sphere that must not pass between the nosing line and the lowest cable",
    "opening.riser": "sphere that must not pass through an open riser",
    "opening.cone.diameter": "diameter of the cone that is pulled between two cables",
    "opening.cone.length": "length of the cone from its nose to its full diameter",
    "opening.cone.nose": "diameter of the cone's flat nose",
    "opening.fascia": "gap between a guard that is fixed to the fascia and the edge",
    "opening.band.from": "height above the walking surface from which opening.band.value holds",
    "opening.band.value": "sphere that must not pass from that height on, on the level",
    "handrail.height.max": "greatest height of a handrail, plumb, above the nosing line",
    "handrail.projection.max": "how far a handrail may stand into the width of the stair",
    "handrail.short.max": "how far a handrail may end short of the first or the last riser",
    "handrail.return-gap": "gap between the end of a handrail and what it returns to",
    "handrail.diameter.max": "greatest diameter of a round handrail",
    "handrail.perimeter.max": "greatest perimeter of a handrail that is not round",
    "handrail.section.max": "greatest measure across a handrail that is not round",
    "handrail.recess.begin.max": "how far under the top the recess for fingers begins, at most",
    "handrail.recess.within.max": "how far under the widest part it has its depth, at most",
    "handrail.recess.width.max": "greatest width of a handrail over its recess",
    "stair.nosing.max": "greatest projection of a nosing over the riser below it",
    "stair.nosing.tread.max": "tread under which a nosing has to project",
    "stair.tread.max": "greatest tread, nosing to nosing",
    "stair.step.max": "greatest sum of two risers and a tread",
    "stair.variation": "greatest difference between risers, and treads, of a flight",
    "stair.variation.adjacent": "greatest difference between two risers, or treads, that follow",
    "stair.flight.rise.max": "greatest rise of a flight",
    "climb.zone.high": "upper end of the heights at which nothing may help to climb",
}
# Nothing at all is a value of these.
_MAY_BE_ZERO = {"guard.required.distance", "handrail.short.max", "climb.fall", "climb.zone.low"}
_FORCES = {
    "load.top": "concentrated load along the top",
    "load.infill": "load on the infill",
}
_FORCES_OR_NONE = {
    "opening.spread.force": "force that spreads two neighbouring bars or cables before the sphere",
    "opening.cone.force": "force on the cone that must not pass between two cables",
}
_LINE_LOADS = {
    "load.line": "load spread along the top, level",
    "load.vertical": "load spread along the top, downward",
}
_COUNTS = {
    "guard.required.inclusive": (0.0, "1: a guard is required from its fall on; 0: beyond it"),
    "handrail.risers": (1.0, "risers from which a flight needs a handrail"),
    "handrail.sides": (1.0, "sides of a stair that need a handrail"),
    "stair.flight.risers.min": (1.0, "fewest risers of a flight"),
    "stair.flight.risers.max": (1e4, "most risers of a flight"),
}
_ANGLES = {
    "practice.cable-turn.each": "greatest turn of a cable at one place",
    "practice.cable-turn.total": "greatest turn of a cable from end to end",
    "practice.saw-miter": "greatest miter that a saw cuts",
    "practice.saw-bevel": "greatest bevel that a saw cuts",
    "practice.wrench-swing": "least turn of an open wrench",
}
_NUMBERS = {
    "practice.friction": "friction of a cable on the sleeve that it bends over",
    "practice.bolt-edge": "from a bolt's axis to an edge of the wood, in diameters of the bolt",
    "practice.bolt-joint": "from a bolt's axis to a joint of two boards, in diameters of the bolt",
    "practice.cable-safety": "least breaking force of a cable, in its fittings, over its tension",
    "practice.socket-width": "outer diameter of a socket, in widths across the flats",
    "practice.wrench-head": "across the jaws of an open wrench, in widths across the flats",
    "practice.bend-factor": "least bend of a cable, its radius in diameters of the cable",
}
_CLIMB = Field(
    "climb.horizontal",
    "what the rule set says to horizontal infill: 0 nothing, 1 it is flagged, 2 it is barred",
    "count",
    "not negative",
    none=0.0,
)
_RAMP_SLOPE = Field(
    "handrail.ramp.slope",
    "slope of a ramp, rise over level length, beyond which it needs a handrail",
    "number",
    none=0.0,
)
_AREA = Field(
    "load.infill.area", "area of the infill that its load is spread over", "area", none=0.0
)


def _lengths(keys: Mapping[str, str], none: float | None) -> Iterator[Field]:
    for key, meaning in keys.items():
        bound: Bound = "not negative" if key in _MAY_BE_ZERO else "positive"
        yield Field(key, meaning, "length", bound, none=none)


def _others(keys: Mapping[str, str], dimension: str, none: float | None = None) -> Iterator[Field]:
    return (Field(key, meaning, dimension, none=none) for key, meaning in keys.items())


def _sorted(fields: Iterable[Field]) -> dict[str, Field]:
    """By the first word of the key, in the order in which a reviewer reads; else as they come."""
    words = ("guard", "opening", "climb", "handrail", "stair", "load", "practice")
    found = sorted(fields, key=lambda field: words.index(field.key.split(".")[0]))
    return {field.key: field for field in found}


LIMITS: Mapping[str, Field] = _sorted(
    (
        *_lengths(_ALWAYS, None),
        *_lengths(_LEAST, 0.0),
        *_lengths(_GREATEST, MAX_LENGTH_MM),
        *_others(_FORCES, "force"),
        *_others(_FORCES_OR_NONE, "force", 0.0),
        *_others(_LINE_LOADS, "line_load", 0.0),
        *(Field(key, what, "count", none=none) for key, (none, what) in _COUNTS.items()),
        *_others(_ANGLES, "angle"),
        *_others(_NUMBERS, "number"),
        _CLIMB,
        _RAMP_SLOPE,
        _AREA,
    )
)
"""Every limit that a rule set may hold, by key; a check asks for its limit by this key."""

PAIRS: tuple[tuple[str, str], ...] = (
    *((f"{key}.min", f"{key}.max") for key in ("handrail.height", "handrail.diameter")),
    *((f"{key}.min", f"{key}.max") for key in ("handrail.perimeter", "stair.riser", "stair.tread")),
    *((f"{key}.min", f"{key}.max") for key in ("stair.step", "stair.flight.risers")),
    *((f"{key}.min", f"{key}.max") for key in ("stair.nosing", "handrail.recess.width")),
    ("stair.variation.adjacent", "stair.variation"),
    ("climb.zone.low", "climb.zone.high"),
)
"""Limits of which the first is at most the second."""

MOST: Mapping[str, float] = {
    "guard.required.inclusive": 1.0,
    "climb.horizontal": 2.0,
    "handrail.sides": 2.0,
}
"""Greatest values of limits that are no measures."""
