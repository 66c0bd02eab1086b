"""Runs and legs of a spec as Pydantic models: where a guard goes, and what stands between legs."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from generator.spec.fields import (
    RISERS,
    Bearing,
    Coordinate,
    Distance,
    Measured,
    OptionalCoordinate,
    OptionalDistance,
    OptionalMeasured,
    OptionalRisers,
    RunId,
    Switch,
    TurnAngle,
)
from generator.spec.part import OrWord, Part, absent, given, need

LEG_KINDS = ("level", "ramp", "turn", "stair", "opening")
LEG_FAULT = "leg_kind"
"""Type of the error for a leg item that is none of `LEG_KINDS`, or several of them."""

_Mount = Literal["deck", "fascia", "core"]
_Corner = Literal["single", "pair", "pair-through"]
_CornerRail = Literal["run-on", "butt", "miter", "return"]

_INSET = "deck edge to post centre line of this leg, negative outside the edge; else guard's"
_MOUNT = "how posts of this leg are held; else as the guard's"
_CORNER = (
    "single: one post in line with both legs; pair: two posts, a leg ends at each; pair-through: "
    "two posts, round which the cables go on"
)
_RAIL = (
    "how the rails of a pair meet: run-on, butt, miter or return; run-on, but miter for a "
    "pair-through"
)
_GRADE = (
    "the ground or lower surface beside the edge, point by point; one point alone holds for the "
    "whole leg; left out: taken to lie so low that a guard is required"
)
_MAX_FIXED = 1_000
MAX_GRADE = 200


class StartSpec(Part):
    """Where a run's path begins, at a deck edge."""

    x: Coordinate = given(0, "place to the east")
    y: Coordinate = given(0, "place to the north")
    z: Coordinate = given("4 ft", "height of the walking surface")
    bearing: Bearing = given(0, "direction of the first leg: 0 is east, counter-clockwise")
    end: Literal["wall", "free", "shared"] = given(
        "wall", "what the guard begins at; shared: an end post of an earlier run"
    )


class FixedSpec(Part):
    """A post that stands there already: a house column, a timber post, masonry."""

    at: Distance = need("from the start of the leg to its centre, along the edge")
    width: Measured = need("its width along the leg")
    depth: OptionalMeasured = absent("its depth across the leg; as its width where not given")
    material: Literal["timber", "steel", "masonry"] = given("timber", "what it is made of")
    cables: Literal["pass", "anchor"] = given("pass", "cables pass through it or are held by it")


class GradeSpec(Part):
    """One point of the ground beside an edge; points at one place make a section across it."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["z"]}, {"required": ["down"]}]}
    )

    at: Distance = given("0 in", "from the start of the leg, along the edge")
    out: OptionalDistance = absent(
        "level, square out from the edge; left out: it is the lowest ground as far out as the rule "
        "set looks"
    )
    z: OptionalCoordinate = absent("its height, told like the height of a run's start")
    down: OptionalCoordinate = absent(
        "in place of z: straight down to it from the edge, on a stair from the line over the "
        "nosings"
    )


class LevelSpec(Part):
    """A level leg."""

    level: Measured = need("length along the deck edge")
    fall: Coordinate = given("0 in", "how far a drained edge drops over the leg; negative rises")
    inset: OptionalCoordinate = absent(_INSET)
    mount: _Mount = absent(_MOUNT)
    fixed: list[FixedSpec] = absent("posts that stand there already", longest=_MAX_FIXED)
    grade: list[GradeSpec] = absent(_GRADE, longest=MAX_GRADE)


class SlopeSpec(Part):
    """Length and rise of a ramp."""

    length: Measured = need("level length of the ramp")
    rise: Coordinate = need("how far it rises over its length; negative goes down")


class RampSpec(Part):
    """A ramp leg."""

    ramp: SlopeSpec = need("the ramp: its level length and its rise")
    inset: OptionalCoordinate = absent(_INSET)
    mount: _Mount = absent(_MOUNT)
    fixed: list[FixedSpec] = absent("posts that stand there already", longest=_MAX_FIXED)
    grade: list[GradeSpec] = absent(_GRADE, longest=MAX_GRADE)


class OpeningSpec(Part):
    """A gap in the guard between two legs, for a gate or a stair head."""

    opening: Measured = need("clear width between post faces")


class TurnSpec(Part):
    """A corner between two legs."""

    turn: TurnAngle = need("angle to the left, negative to the right, -175 to 175 degrees")
    corner: _Corner = given("single", _CORNER)
    rail: _CornerRail = absent(_RAIL)
    cables: Literal["end", "pass"] = absent(
        "at a single post in line: cables of both legs end at it, or pass; end where not given"
    )


class StepSpec(Part):
    """One riser of a stair as measured, and the tread below it."""

    rise: Measured = need("height of the riser")
    going: OptionalMeasured = absent("nosing to nosing, level; not needed of the last riser")


_THREE_WAYS: dict[str, Any] = {
    "oneOf": [
        {"required": ["risers", "rise", "tread"], "not": {"required": ["going"]}},
        {"required": ["risers", "rise", "going"], "not": {"required": ["tread"]}},
        {
            "required": ["treads"],
            "not": {"anyOf": [{"required": [key]} for key in ("risers", "rise", "tread", "going")]},
        },
    ]
}


class FlightSpec(Part):
    """A straight stair, by risers, rise and tread, by total going, or by its treads as measured."""

    model_config = ConfigDict(json_schema_extra=_THREE_WAYS)

    risers: OptionalRisers = absent(f"how many risers, a whole number from 1 to {RISERS[-1]}")
    rise: OptionalMeasured = absent("total rise, floor to floor")
    tread: OptionalMeasured = absent("nosing to nosing, level")
    going: OptionalMeasured = absent("total going, first nosing to last, level")
    treads: list[StepSpec] = absent(
        "every riser with its going as measured, from the top down", longest=RISERS[-1]
    )
    nosing: Distance = given("0 in", "how far a nosing stands over the riser below it")
    tread_thickness: Measured = given("1-1/2 in", "thickness of a tread")
    direction: Literal["down", "up"] = given("down", "down or up, as the path goes")
    open_risers: Switch = given(False, "whether one can see through between the treads")
    foot: Literal["tread", "newel"] = given(
        "tread", "lowest post on the last tread, or a newel on the floor below"
    )
    posts: Literal["tread", "stringer"] = given(
        "tread", "posts stand on the treads, or are held at the side of the stringer"
    )
    name: RunId = absent("name of the stair, where guards of two runs stand on it")
    width: OptionalMeasured = absent("width of the stair")


class StairSpec(Part):
    """A stair leg."""

    stair: FlightSpec = need("the stair")
    inset: OptionalCoordinate = absent(
        "side of the stair to post centre line, negative outside it; else as the guard's"
    )
    grade: list[GradeSpec] = absent(_GRADE, longest=MAX_GRADE)


def _leg_kind(read: Any) -> str | None:
    """Which kind of leg a mapping is, by the one key that only this kind has."""
    kinds = [kind for kind in LEG_KINDS if isinstance(read, dict) and kind in read]
    return kinds[0] if len(kinds) == 1 else None


LegSpec = Annotated[
    Annotated[LevelSpec, Tag("level")]
    | Annotated[RampSpec, Tag("ramp")]
    | Annotated[TurnSpec, Tag("turn")]
    | Annotated[StairSpec, Tag("stair")]
    | Annotated[OpeningSpec, Tag("opening")],
    Discriminator(_leg_kind, custom_error_type=LEG_FAULT, custom_error_message="no leg"),
]


class ClosingSpec(Part):
    """The corner at which the last leg of a loop meets the first."""

    corner: _Corner = given("single", _CORNER)
    rail: _CornerRail = absent(_RAIL)


_CLOSED = OrWord({kind: {"corner": kind} for kind in ("single", "pair", "pair-through")})


class RunSpec(Part):
    """A guard along one path."""

    id: RunId = absent("name of the run in marks and lists; A, B, C where none is given")
    start: StartSpec = given({}, "where the path begins")
    deck: Literal["left", "right"] = given("left", "side of the path on which one walks")
    legs: list[LegSpec] = Field(
        description="the legs and the turns between them, in order", min_length=1
    )
    end: Literal["free", "wall", "shared"] = given(
        "free", "what the guard ends at; shared: an end post of an earlier run"
    )
    closed: Annotated[ClosingSpec, _CLOSED] = absent(
        "the path comes back to its start; the corner at which it closes"
    )


LEG_MAPPINGS: dict[tuple[str, ...], type[Part]] = {
    ("runs",): RunSpec,
    ("runs", "start"): StartSpec,
    ("runs", "closed"): ClosingSpec,
    ("runs", "legs", "level"): LevelSpec,
    ("runs", "legs", "level", "fixed"): FixedSpec,
    ("runs", "legs", "level", "grade"): GradeSpec,
    ("runs", "legs", "ramp"): RampSpec,
    ("runs", "legs", "ramp", "ramp"): SlopeSpec,
    ("runs", "legs", "ramp", "fixed"): FixedSpec,
    ("runs", "legs", "ramp", "grade"): GradeSpec,
    ("runs", "legs", "turn"): TurnSpec,
    ("runs", "legs", "opening"): OpeningSpec,
    ("runs", "legs", "stair"): StairSpec,
    ("runs", "legs", "stair", "grade"): GradeSpec,
    ("runs", "legs", "stair", "stair"): FlightSpec,
    ("runs", "legs", "stair", "stair", "treads"): StepSpec,
}
"""The models of the mappings below `runs`; see `models.mapping_at`."""
