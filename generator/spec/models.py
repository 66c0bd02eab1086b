"""The job spec as Pydantic models: which keys there are, what each takes, and its default."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag

from generator.spec.fields import (
    Bearing,
    Coordinate,
    Distance,
    Folder,
    Measured,
    MeasuredOrNone,
    Name,
    Number,
    ProfileRef,
    Risers,
    RunId,
    Tension,
    Title,
    TurnAngle,
)

MAX_RUNS = 1_000
LEG_KINDS = ("level", "turn", "stair")
LEG_FAULT = "leg_kind"
"""Type of the error for a leg item that is none of `LEG_KINDS`, or several of them."""


def need(what: str) -> Any:
    """A required field; `what` says what it is, in messages and in the schema."""
    return Field(description=what)


def given(default: object, what: str) -> Any:
    """A field with a default, written as in a spec."""
    return Field(default=default, description=what)


def absent(what: str) -> Any:
    """A field that may be left out and is None then; it cannot be written as nothing."""
    return Field(default_factory=lambda: None, validate_default=False, description=what)


class Part(BaseModel):
    """Base of every mapping in a spec: no unknown keys, nothing converted by itself."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, validate_default=True)


class HeaderSpec(Part):
    """What the job is called and by which rules and units it goes."""

    title: Title = need("what the job is called")
    number: Number = given("", "the job's number")
    rules: Name = need("the name of a rule set, such as irc-2021")
    units: Literal["in", "ft", "mm", "cm", "m"] = given(
        "in", "unit of bare numbers; in and ft also show feet and inches, the others millimetres"
    )


class SystemSpec(Part):
    """The profiles that the guard is made of; a mapping with `name` puts single values in place."""

    post: ProfileRef = given("al-square-2.5", "post, from posts/")
    rail: ProfileRef = given("al-flat-2.5x1.5", "top rail, from rails/")
    bracket: ProfileRef = given("al-saddle", "rail bracket, from brackets/")
    cable: ProfileRef = given("ss316-1x19-1_8", "cable, from cables/")
    fitting: ProfileRef = given("swage-stud-1_4", "end fitting of a cable, from fittings/")
    anchor: ProfileRef = given("through-bolt-3_8", "fastener of a base plate, from anchors/")
    spacer: ProfileRef = given("al-bar-1x3_8", "bar that holds cables apart, from spacers/")


class GuardSpec(Part):
    """The measures of the guard."""

    height: Measured = given("36 in", "walking surface to top of rail")
    stair_height: Measured = given("36 in", "nosing line to top of rail, vertical")
    bottom_gap: Distance = given("3 in", "walking surface to underside of lowest cable")
    cable_spacing: Measured = given("3 in", "cables centre to centre, on the level")
    rows: Literal["pitch", "even"] = given(
        "pitch", "pitch: rows at the spacing; even: the fewest rows, spread evenly"
    )
    max_post_spacing: Measured = given("6 ft", "longest bay, post centre to post centre")
    max_cable_span: MeasuredOrNone = given(
        None, "a spacer stands wherever a cable would span more; none: no spacers"
    )
    edge_inset: Distance = given("4 in", "deck edge to post centre line")
    stair_setback: Distance = given("3 in", "nosing to post centre on a tread")
    wall_gap: Distance = given("2 in", "wall to the near face of a post")
    run_on: Distance = given("1 in", "rail beyond the outer face of an end post")
    pair_offset: MeasuredOrNone = given(
        None, "corner to each post of a pair; none: as near as the base plates let them stand"
    )
    tension: Tension = given("200 lbf", "set tension of a cable")


class JoistsSpec(Part):
    """The joists under the deck."""

    spacing: Measured = need("joists centre to centre")
    width: Measured = need("width of a joist")
    depth: Measured = need("depth of a joist")
    bearing: Bearing = need("direction of the joists: 0 is east, counter-clockwise")
    species: Name = need("wood of the joists, such as southern-pine")


class StructureSpec(Part):
    """What the posts stand on."""

    joists: JoistsSpec = absent("the joists under the deck")
    decking: Measured = given("1 in", "thickness of the decking")


class StockLengthSpec(Part):
    """One length of rail on offer."""

    length: Measured = need("length of a stock bar")


class StockSpec(Part):
    """What rail is cut from."""

    rail: list[StockLengthSpec] = Field(
        description="stock lengths of the rail", min_length=1, max_length=100
    )
    kerf: Distance = given("1/8 in", "width of the saw cut")


class StartSpec(Part):
    """Where a run's path begins, at a deck edge."""

    x: Coordinate = given(0, "place to the east")
    y: Coordinate = given(0, "place to the north")
    z: Coordinate = given("4 ft", "height of the walking surface")
    bearing: Bearing = given(0, "direction of the first leg: 0 is east, counter-clockwise")
    end: Literal["wall", "free"] = given("wall", "what the guard begins at")


class LevelSpec(Part):
    """A level leg."""

    level: Measured = need("length along the deck edge")


class TurnSpec(Part):
    """A corner between two legs."""

    turn: TurnAngle = need("angle to the left, negative to the right, -175 to 175 degrees")
    corner: Literal["single", "pair"] = given(
        "single", "single: one post in line with both legs; pair: two posts, a leg ends at each"
    )


class FlightSpec(Part):
    """A straight stair of equal risers."""

    risers: Risers = need("how many risers, a whole number from 2 to 100")
    rise: Measured = need("total rise, floor to floor")
    tread: Measured = need("nosing to nosing, level")
    nosing: Distance = given("0 in", "how far a nosing stands over the riser below it")
    tread_thickness: Measured = given("1-1/2 in", "thickness of a tread")
    direction: Literal["down", "up"] = given("down", "down or up, as the path goes")


class StairSpec(Part):
    """A stair leg."""

    stair: FlightSpec = need("the stair")


def _leg_kind(read: Any) -> str | None:
    """Which kind of leg a mapping is, by the one key that only this kind has."""
    kinds = [kind for kind in LEG_KINDS if isinstance(read, dict) and kind in read]
    return kinds[0] if len(kinds) == 1 else None


LegSpec = Annotated[
    Annotated[LevelSpec, Tag("level")]
    | Annotated[TurnSpec, Tag("turn")]
    | Annotated[StairSpec, Tag("stair")],
    Discriminator(_leg_kind, custom_error_type=LEG_FAULT, custom_error_message="no leg"),
]


class RunSpec(Part):
    """A guard along one path."""

    id: RunId = absent("name of the run in marks and lists; A, B, C where none is given")
    start: StartSpec = given({}, "where the path begins")
    deck: Literal["left", "right"] = given("left", "side of the path on which one walks")
    legs: list[LegSpec] = Field(
        description="the legs and the turns between them, in order", min_length=1
    )
    end: Literal["free", "wall"] = given("free", "what the guard ends at")


class JobSpec(Part):
    """One job: a guard or several, from one survey."""

    job: HeaderSpec = need("what the job is called and its rules")
    profiles: Folder = absent(
        "folder of your own profiles, seen from this file; they win over those shipped"
    )
    system: SystemSpec = need("the profiles that the guard is made of")
    guard: GuardSpec = given({}, "measures of the guard")
    structure: StructureSpec = absent("what the posts stand on")
    stock: StockSpec = absent("what rail is cut from")
    runs: list[RunSpec] = Field(description="the runs of guard", min_length=1, max_length=MAX_RUNS)


def mapping_at(keys: tuple[str, ...]) -> type[Part]:
    """The model of the mapping at a place of the spec: its keys, list indices left out.

    A leg item is named by its kind first: ("runs", "legs", "stair", "stair").
    """
    return _MAPPINGS[keys]


_MAPPINGS: dict[tuple[str, ...], type[Part]] = {
    (): JobSpec,
    ("job",): HeaderSpec,
    ("system",): SystemSpec,
    ("guard",): GuardSpec,
    ("structure",): StructureSpec,
    ("structure", "joists"): JoistsSpec,
    ("stock",): StockSpec,
    ("stock", "rail"): StockLengthSpec,
    ("runs",): RunSpec,
    ("runs", "start"): StartSpec,
    ("runs", "legs", "level"): LevelSpec,
    ("runs", "legs", "turn"): TurnSpec,
    ("runs", "legs", "stair"): StairSpec,
    ("runs", "legs", "stair", "stair"): FlightSpec,
}


def job_schema() -> dict[str, Any]:
    """JSON Schema of the job spec, as the models check it."""
    schema = JobSpec.model_json_schema(mode="validation")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
