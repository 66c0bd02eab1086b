"""The shape of the results document; its JSON Schema is made from these models."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

DECIMALS = 9  # the contract allows no rounding above 1e-7; this hides noise of the last bits only

Severity = Literal["fail", "warn", "note"]
LegKind = Literal["level", "stair", "ramp"]
Side = Literal["back", "front", "right", "left"]


def _settled(value: float) -> float:
    """Without noise in the last bits and without a negative nought."""
    return round(value, DECIMALS) + 0.0


Number = Annotated[float, AfterValidator(_settled), Field(allow_inf_nan=False)]


class _Model(BaseModel):
    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        from_attributes=True,  # findings, measures and quantities are copied name by name
        defer_build=True,
        serialize_by_alias=True,
    )


class AmendedLimit(_Model):
    """A limit that the job puts in place of its rule set's."""

    limit: str = Field(description="Its key.")
    value: str = Field(description="As written.")
    instead_of: str = Field(description="What the rule set says, or empty.")
    reason: str
    clause: str
    verified: bool = Field(description="Whether the value was read at its source.")


class AmendedSeverity(_Model):
    """A severity that the rule set or the job gives the findings of a code."""

    code: str
    severity: Severity
    reason: str
    clause: str
    by: str = Field(description="The rule set's edition, or job spec.")


class JobHead(_Model):
    """The job that the document is about."""

    title: str
    number: str
    rules: str = Field(description="Name of the rule set.")
    units: Literal["in", "ft", "mm", "cm", "m"] = Field(
        description="Unit of bare numbers in the spec; metric or feet and inches on paper."
    )
    amendments: list[AmendedLimit] = Field(description="Limits that the job puts in place.")
    severities: list[AmendedSeverity] = Field(
        description="Severities in place of a code's own, the rule set's and the job's."
    )


class TreadResult(_Model):
    """One tread of a stair."""

    tread: int = Field(description="Counts from 1 below the upper floor.")
    z_mm: Number = Field(description="Its walking surface.")
    deviation_mm: Number = Field(
        description="How far its nosing lies below the straight line that the guard follows."
    )


class LegResult(_Model):
    """One straight leg of a run."""

    run: str
    leg: int = Field(description="Counts the legs of a run from 1; turns are not counted.")
    label: str
    kind: LegKind
    length_mm: Number = Field(description="As measured along the deck edge, level.")
    guard_length_mm: Number = Field(
        description="First to last post centre along the pitch: the sum of the bays."
    )
    pitch_deg: Number = Field(description="Down negative.")
    bays_mm: list[Number] = Field(description="Post centre to post centre, along the pitch.")
    rows: int = Field(description="Cables above one another.")
    treads: list[TreadResult] = Field(description="Of a stair, from the top down; else none.")


class WallHole(_Model):
    """Where a hole lies on one wall of a post."""

    face: Side = Field(description="Seen along the post's bearing.")
    z_mm: Number = Field(description="Centre of the hole above the underside of the base.")
    offset_mm: Number = Field(
        description="From the face's centre line: to the left on front and back, forward on the "
        "sides."
    )


class HoleResult(_Model):
    """One cable's or stud's way through a post."""

    row: int = Field(description="From 1 at the bottom.")
    leg: int
    purpose: Literal["cable", "stud"] = Field(serialization_alias="for")
    axis_z_mm: Number = Field(
        description="Where the cable's axis crosses the post's axis, above the underside of the "
        "base."
    )
    shape: Literal["round", "slot"]
    width_mm: Number
    height_mm: Number
    nominal_height_mm: Number = Field(description="Without clearance, for the nominal diameter.")
    walls: list[WallHole]


class PostResult(_Model):
    """One post; x, y, z is the centre of the underside of its base."""

    mark: str
    run: str
    leg: int = Field(description="A corner post belongs to the earlier leg.")
    role: Literal["end", "intermediate", "corner"]
    place: Literal["floor", "tread", "lower-floor"]
    x_mm: Number
    y_mm: Number
    z_mm: Number
    height_mm: Number = Field(
        description="Underside of the base to the top of the rail over the post's axis."
    )
    length_mm: Number = Field(description="Of the tube, long point to long point along its axis.")
    bearing_deg: Number = Field(description="0 is east, counter-clockwise.")
    tread: int | None = Field(description="Counts from 1 below the upper floor.")
    setback_mm: Number | None = Field(description="Nosing of its tread to the post's axis.")
    mount: Literal["deck", "fascia", "core", "existing"] = Field(
        description="Base plate, side plate, cored hole, or a post that stands there already."
    )
    holes: list[HoleResult]


class SawSetting(_Model):
    """A cut with the rail flat on its wide face; 0 and 0 is a square cut."""

    miter_deg: Number = Field(description="From a turn in plan.")
    bevel_deg: Number = Field(description="From a change of pitch.")


class RailResult(_Model):
    """One piece of rail."""

    mark: str
    run: str
    leg: int
    section: str
    long_point_mm: Number = Field(description="Tip to tip along the axis.")
    short_point_mm: Number = Field(description="The shortest line along the axis.")
    centre_mm: Number = Field(description="Along the centre line.")
    start: SawSetting
    end: SawSetting


class CableResult(_Model):
    """One cable with its three lengths."""

    mark: str
    run: str
    row: int
    legs: list[int]
    posts: list[str] = Field(description="Marks of the posts that it ends at or passes, in order.")
    support_length_mm: Number = Field(
        description="Along the axis between the inner faces of the two end posts."
    )
    finished_mm: Number = Field(description="End to end of the cable in its fittings.")
    cut_length_mm: Number = Field(description="The length to order.")
    turn_deg: Number = Field(description="Sum of the turns on the way.")
    fittings: list[str] = Field(description="At the start and at the end.")
    ends: list[str] = Field(description="Dead or pulling, start and end.")
    swage: list[str] = Field(description="Where each fitting is put on: shop or field.")


class EditResult(_Model):
    """A change of the spec: the key, its new text."""

    path: str
    value: str


class AcceptedResult(_Model):
    """Why a finding is taken as it is, and by whom."""

    reason: str
    role: str = Field(description="Who takes it, such as engineer of record.")


class FindingResult(_Model):
    """One thing that a person must know. `measured` and `limit` share `unit`."""

    code: str
    severity: Severity
    where: list[str] = Field(description="Marks.")
    measured: Number | None
    limit: Number | None
    unit: str
    clause: str
    edition: str
    message: str
    remedy: str
    edits: list[EditResult] = Field(description="The remedy as changes of the spec.")
    cause: str = Field(description="Code of the finding behind this one, or empty.")
    accepted: AcceptedResult | None = Field(
        description="Why it is taken as it is; it does not count for the status then."
    )
    point_mm: tuple[Number, Number, Number] | None = Field(
        validation_alias="point", description="Where to look: x, y, z."
    )
    verified: bool = Field(description="Whether the limit was read at its source.")
    was: Severity | None = Field(description="Severity before it was amended; null if it is not.")
    amended: AmendedSeverity | None = Field(description="What amended its severity.")


class CheckResult(_Model):
    """What one check measured at its worst place, passed or not."""

    code: str
    where: list[str]
    measured: Number
    limit: Number | None
    unit: str
    sense: Literal["at least", "at most", "less than", "none"] = Field(
        description="On which side of the limit the measured value must be."
    )
    clause: str
    edition: str
    verified: bool = Field(description="Whether the limit was read at its source.")
    passed: bool


class QuantityResult(_Model):
    """One line of the order."""

    item: str
    description: str
    count: int
    length_mm: Number | None = Field(description="Total length, for what is sold by length.")
    spare: int = Field(description="Pieces on top of the count.")
    spare_length_mm: Number = Field(description="Length on top of the total length.")
    mass_kg: Number | None = Field(description="Without spares; null where it is not known.")


class StockLengthResult(_Model):
    """One stock length on offer."""

    length_mm: Number
    cost: Number | None = Field(description="Of one, as in the spec; null where none is given.")
    available: int | None = Field(description="How many there are; null: enough.")
    bars: int = Field(description="How many are to be ordered.")


class BarPieceResult(_Model):
    """One piece in its bar, from the bar's first end."""

    mark: str
    from_mm: Number = Field(description="Long point, or the end of a square cut.")
    to_mm: Number
    turned: bool = Field(description="End for end, against the cut list.")
    rolled: bool = Field(description="Upside down, against the cut list.")
    shared: bool = Field(description="It begins on the cut that the piece before it ends on.")


class BarResult(_Model):
    """One bar or spool."""

    name: str
    stock_mm: Number
    pieces: list[BarPieceResult] = Field(description="In the order of their cuts.")
    left_from_mm: Number = Field(description="Where the offcut begins.")
    offcut_mm: Number
    kept: bool = Field(description="Long enough to be used again; else it is waste.")


class StockResult(_Model):
    """How the pieces of one material nest into the stock on offer."""

    material: Literal["rail", "post", "handrail", "cable"]
    item: str
    lengths: list[StockLengthResult]
    priced: bool = Field(description="Whether the spec gives costs; else cost is length of stock.")
    cost: Number = Field(description="Of all bars: the spec's costs, or mm of stock.")
    bound: Number = Field(description="No plan costs less.")
    gap: Number = Field(description="What could at most be saved, as a part of the cost.")
    proven: bool = Field(
        description="No plan costs less, and none that costs as little has fewer joints."
    )
    joints: int = Field(description="Square joints that could lie elsewhere.")
    bars: list[BarResult]


class ChangeResult(_Model):
    """One change of the spec that is suggested."""

    path: str = Field(description="The key, such as guard.stair_setback.")
    value: str = Field(description="What to write there; empty: take it out.")
    present: str = Field(description="What stands there, or holds where nothing does.")
    line: int = Field(description="Line of the job file; 0 where the key is not in it.")


class SuggestionsResult(_Model):
    """The smallest set of changes found that clears the failures; the file is left as it is."""

    failures: int = Field(description="Failures of the job that are not accepted.")
    cleared: bool = Field(description="Whether the changes clear them all.")
    changes: list[ChangeResult]
    left: list[str] = Field(description="Codes of the failures that the changes leave.")
    new_warnings: list[str] = Field(description="Codes of warnings that they bring.")
    tried: int = Field(description="Variants of the job that were laid out and checked.")


class Results(_Model):
    """Everything that was laid out, checked and counted for one job; mm, degrees, newtons."""

    format: Literal[1] = 1
    version: str = Field(description="Version of stringline that wrote it.")
    job: JobHead
    status: Literal["pass", "warn", "fail"] = Field(
        description="The worst severity that was not accepted; notes pass."
    )
    legs: list[LegResult]
    posts: list[PostResult]
    rails: list[RailResult]
    cables: list[CableResult]
    findings: list[FindingResult]
    checks: list[CheckResult]
    quantities: list[QuantityResult]
    stock: list[StockResult] = Field(description="Of every material that the job names stock for.")
    selected: list[str] = Field(
        description="Codes that findings and checks were picked by; empty: all are here."
    )
    suggestions: SuggestionsResult | None = Field(
        description="Asked for with --suggest; null where they were not."
    )


def results_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the results document."""
    schema = Results.model_json_schema(by_alias=True, mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
