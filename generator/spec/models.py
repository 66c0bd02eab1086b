"""The job spec as Pydantic models: which keys there are, what each takes, and its default."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from generator.spec.drawing_models import DRAWING_MAPPINGS, DrawingsSpec
from generator.spec.fields import (
    Amount,
    Bearing,
    Clause,
    Coordinate,
    Distance,
    Duration,
    FindingCode,
    Folder,
    ForceOrNone,
    Give,
    LimitKey,
    Marks,
    Measured,
    MeasuredOrNone,
    Name,
    Number,
    OptionalCost,
    OptionalCount,
    ProfileRef,
    Share,
    Switch,
    Temperature,
    Tension,
    Title,
)
from generator.spec.leg_models import LEG_MAPPINGS, RunSpec
from generator.spec.obstacle_models import MAX_OBSTACLES, OBSTACLE_MAPPINGS, ObstacleSpec
from generator.spec.order_models import ORDER_MAPPINGS, OrderSpec
from generator.spec.part import OrWord, Part, absent, given, need

MAX_RUNS = 1_000
MAX_AMENDMENTS = 100
MAX_ACCEPTED = 1_000
MAX_STOCK = 100


class HeaderSpec(Part):
    """What the job is called and by which rules and units it goes."""

    title: Title = need("what the job is called")
    number: Number = given("", "the job's number")
    rules: Name = need("the name of a rule set, such as irc-2021")
    units: Literal["in", "ft", "mm", "cm", "m"] = given(
        "in", "unit of bare numbers; in and ft also show feet and inches, the others millimetres"
    )


class AmendmentSpec(Part):
    """A limit that holds in place of the rule set's, such as a town's amendment."""

    limit: LimitKey = need("key of the limit, such as guard.height.level")
    value: Amount = need("what holds in its place; none where nothing does")
    reason: Title = need("why it does, such as the ordinance")
    clause: Clause = given("", "clause of what amends it")


class SeveritySpec(Part):
    """Another severity for the findings of a code."""

    code: FindingCode = need("code of the findings, such as opening.end")
    severity: Literal["fail", "warn", "note"] = need("what its findings are")
    reason: Title = need("why they are, such as the ordinance")
    clause: Clause = given("", "clause of what says so")


class AcceptanceSpec(Part):
    """A finding that is taken as it is. It stays in every report and no longer counts."""

    code: FindingCode = need("code of the finding, such as opening.end")
    where: Marks = need("its marks as they are shown, or a leg such as run A, leg 2")
    reason: Title = need("why it is taken as it is")
    role: Title = need("who takes it, as a role such as engineer of record")


class SystemSpec(Part):
    """The profiles that the guard is made of; a mapping with `name` puts single values in place."""

    post: ProfileRef = given("al-square-2.5", "post, from posts/")
    rail: ProfileRef = given("al-flat-2.5x1.5", "top rail, from rails/")
    bracket: ProfileRef = given("al-saddle", "rail bracket, from brackets/")
    cable: ProfileRef = given("ss316-1x19-1_8", "cable, from cables/")
    fitting: ProfileRef = given("swage-stud-1_4", "end fitting of a cable, from fittings/")
    anchor: ProfileRef = given("through-bolt-3_8", "fastener of a base plate, from anchors/")
    spacer: ProfileRef = given("al-bar-1x3_8", "bar that holds cables apart, from spacers/")


class SwageSpec(Part):
    """Where fittings are put on the cables."""

    dead: Literal["shop", "field"] = given(
        "shop", "fitting of the dead end: in the shop or on site"
    )
    pulled: Literal["shop", "field"] = given("field", "fitting of the pulled end")


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
    sphere_force: ForceOrNone = given(
        None, "force that must not push the sphere between cables; none: it is only told"
    )
    stair_spacing: Literal["plumb", "square"] = given(
        "plumb",
        "on a pitch cable_spacing holds plumb, posts drilled alike; or square to the cables",
    )
    transition: Literal["plumb", "easing", "common"] = given(
        "plumb", "rail heights that differ meet in a plumb drop, an easing or one common height"
    )
    easing: Measured = given("12 in", "level length of an easing piece")
    end_cut: Literal["square", "plumb"] = given("square", "cut of a pitched rail's free end")
    post_top: Literal["raked", "square"] = given("raked", "post tops under a pitched rail")
    mount: Literal["deck", "fascia", "core"] = given(
        "deck", "deck: on base plates; fascia: by side plates; core: in holes cored in concrete"
    )
    pull: Literal["start", "end"] = given(
        "end", "end at which cables are pulled; the other is dead"
    )
    swage: SwageSpec = given({}, "where the fittings of the two ends are put on")
    temperature_range: Temperature = given("100 degF", "from coldest to hottest, for rail gaps")
    snap_to_joists: MeasuredOrNone = given(
        None, "posts move to a joist that is no farther than this; none: they do not"
    )


class JoistsSpec(Part):
    """The joists under the deck."""

    spacing: Measured = need("joists centre to centre")
    width: Measured = need("width of a joist")
    depth: Measured = need("depth of a joist")
    bearing: Bearing = need("direction of the joists: 0 is east, counter-clockwise")
    species: Name = need(
        "wood of the joists, such as southern-pine; `stringline catalog` lists them"
    )
    offset: Coordinate = given(
        "0 in", "first joist's centre from the start of the first run's path, across the joists"
    )


class StructureSpec(Part):
    """What the posts stand on."""

    joists: JoistsSpec = absent("the joists under the deck")
    decking: Measured = given(
        "1 in", "thickness of the decking, or of the slab where it is concrete"
    )
    overhang: Distance = given("0 in", "decking beyond the fascia, or the rim where there is none")
    fascia: Distance = given("0 in", "thickness of the fascia; 0 for none")
    rim: Distance = given("1-1/2 in", "thickness of the rim joist; 0 for none")
    stringer: Measured = given("1-1/2 in", "thickness of the stringers")
    concrete: Switch = given(False, "whether it is concrete, for posts in cored holes")


class StockLengthSpec(Part):
    """One length of bar or spool on offer."""

    length: Measured = need("length of a stock bar")
    cost: OptionalCost = absent("what one costs, in any currency; left out: by length")
    count: OptionalCount = absent("how many there are; left out: enough")


class StockSpec(Part):
    """What rail, posts, handrail and cable are cut from."""

    rail: list[StockLengthSpec] = absent("stock lengths of the rail", longest=MAX_STOCK)
    post: list[StockLengthSpec] = absent("stock lengths of the post tube", longest=MAX_STOCK)
    handrail: list[StockLengthSpec] = absent(
        "stock lengths of the handrail; left out: those of the rail", longest=MAX_STOCK
    )
    cable: list[StockLengthSpec] = absent("lengths of cable on a spool", longest=MAX_STOCK)
    kerf: Distance = given("1/8 in", "width of the saw cut")
    end_trim: Distance = given("0 in", "cut off each end of a bar, kerf included")
    keep_offcuts_over: Distance = given("24 in", "a longer offcut is kept, others are waste")
    finish: Literal["any", "length", "face", "both"] = given(
        "any",
        "any: pieces may be turned in the bar; length: not end for end; face: not upside down",
    )


class OutputsSpec(Part):
    """How files are written."""

    step_schema: Literal["ap214", "ap242"] = given(
        "ap214", "application protocol of STEP files: ap214 is read by all programs"
    )
    paper: Literal["letter", "a4"] = absent(
        "paper of what is printed; left out: letter with inches and feet, a4 with millimetres"
    )


class HandrailSpec(Part):
    """A graspable rail beside the guard of a stair."""

    elsewhere: Switch = given(False, "it is fitted on the other side of the stair, by others")
    height: Measured = given("36 in", "nosing line to top of handrail, vertical")
    diameter: Measured = given("1-1/2 in", "its diameter, round")
    clearance: Measured = given("1-1/2 in", "free room between it and the guard")
    bracket_spacing: Measured = given("4 ft", "farthest that its brackets stand apart")
    guard: Switch = given(False, "the guard's own top rail serves as the handrail; none is made")
    other_side: Switch = given(False, "others fit a second one on the other side of the stair")


_HANDRAIL = OrWord({"round": {}, "guard": {"guard": True}, "elsewhere": {"elsewhere": True}})


class StrengthSpec(Part):
    """What a calculation of strength cannot read from the parts; defaults are unfavourable."""

    elsewhere: Switch = given(False, "others calculate the strength of this job; it is not here")
    propping: Literal["none", "rail"] = given(
        "none", "rail: the top rail props end posts against the cables; none: it does not"
    )
    base: Literal["fixed", "gives", "worse"] = given(
        "worse",
        "bases of propped posts: fixed; giving by base_give; or fixed and hinged, the worse",
    )
    base_give: Give = given("1 deg", "how far a base turns under the load at the top of its post")
    rail: Literal["simple", "continuous"] = given(
        "simple", "spans of the rail: simple, or continuous over the posts of one piece"
    )
    load_duration: Duration = given(1.0, "duration factor of wood for the load at the top")
    moisture: Literal["wet", "dry"] = given("wet", "wood in service")
    weld: MeasuredOrNone = given(
        None, "leg of the fillet weld round a post; none: as thick as its wall"
    )
    filler: Literal["4043", "5356"] = given("4043", "filler of aluminium welds")
    relaxation: Share = given(0.2, "share of its tension that a cable loses after the last pull")


class JobSpec(Part):
    """One job: a guard or several, from one survey."""

    job: HeaderSpec = need("what the job is called and its rules")
    profiles: Folder = absent(
        "folder of your own profiles, seen from this file; they win over those shipped"
    )
    amendments: list[AmendmentSpec] = absent(
        "limits that hold in place of the rule set's", longest=MAX_AMENDMENTS
    )
    severities: list[SeveritySpec] = absent(
        "severities that hold in place of a code's own", longest=MAX_AMENDMENTS
    )
    accepted: list[AcceptanceSpec] = absent(
        "findings that are taken as they are, each for a reason", longest=MAX_ACCEPTED
    )
    system: SystemSpec = need("the profiles that the guard is made of")
    guard: GuardSpec = given({}, "measures of the guard")
    structure: StructureSpec = absent("what the posts stand on")
    stock: StockSpec = absent("what bars and cable are cut from")
    order: OrderSpec = given({}, "how the order list is made")
    handrail: Annotated[HandrailSpec, _HANDRAIL] = absent(
        "graspable rail of the stairs; round: one beside the guard, with its defaults; guard: the "
        "guard's own rail; elsewhere: on the other side, by others"
    )
    strength: Annotated[StrengthSpec, OrWord({"elsewhere": {"elsewhere": True}})] = given(
        {}, "what the calculation of strength takes; elsewhere: it is made by others"
    )
    obstacles: list[ObstacleSpec] = absent(
        "what stands near the guard and must stay clear of it", longest=MAX_OBSTACLES
    )
    outputs: OutputsSpec = absent("how files are written")
    drawings: DrawingsSpec = absent("how the permit set is drawn, and its title block")
    runs: list[RunSpec] = Field(description="the runs of guard", min_length=1, max_length=MAX_RUNS)


def mapping_at(keys: tuple[str, ...]) -> type[Part]:
    """The model of the mapping at a place of the spec: its keys, list indices left out.

    A leg item is named by its kind first: ("runs", "legs", "stair", "stair").
    """
    return MAPPINGS[keys]


MAPPINGS: dict[tuple[str, ...], type[Part]] = {
    (): JobSpec,
    ("job",): HeaderSpec,
    ("amendments",): AmendmentSpec,
    ("severities",): SeveritySpec,
    ("accepted",): AcceptanceSpec,
    ("system",): SystemSpec,
    ("guard",): GuardSpec,
    ("guard", "swage"): SwageSpec,
    ("structure",): StructureSpec,
    ("structure", "joists"): JoistsSpec,
    ("stock",): StockSpec,
    **{("stock", what): StockLengthSpec for what in ("rail", "post", "handrail", "cable")},
    ("handrail",): HandrailSpec,
    ("outputs",): OutputsSpec,
    **ORDER_MAPPINGS,
    **DRAWING_MAPPINGS,
    ("strength",): StrengthSpec,
    **OBSTACLE_MAPPINGS,
    **LEG_MAPPINGS,
}
"""The models of all mappings of a spec, by their places."""


def job_schema() -> dict[str, Any]:
    """JSON Schema of the job spec, as the models check it."""
    schema = JobSpec.model_json_schema(mode="validation")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
