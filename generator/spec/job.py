"""A job as the rest of the program knows it: resolved profiles, millimetres, degrees, newtons."""

from __future__ import annotations

from dataclasses import field
from pathlib import Path
from typing import Literal

from generator.catalog.tables import (
    Anchor,
    Bracket,
    Cable,
    Fitting,
    Material,
    Post,
    Rail,
    RuleSet,
    SeverityChange,
    Spacer,
)
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.spec.settings import Drawings as Drawings
from generator.spec.settings import Order as Order
from generator.spec.settings import OutputChoices as OutputChoices
from generator.spec.settings import Revision as Revision
from generator.spec.settings import ScaleName as ScaleName
from generator.spec.settings import SheetName as SheetName
from generator.spec.settings import Spare as Spare
from generator.spec.settings import Spares as Spares
from generator.spec.settings import StrengthInputs as StrengthInputs

CornerKind = Literal["single", "pair", "pair-through"]
CornerRail = Literal["run-on", "butt", "miter", "return"]
EndKind = Literal["wall", "free", "shared"]
Transition = Literal["plumb", "easing", "common"]
Mount = Literal["deck", "fascia", "core"]
Side = Literal["left", "right"]
UnitName = Literal["in", "ft", "mm", "cm", "m"]


@dataclass(frozen=True, slots=True)
class System:
    """The profiles that the guard is made of; `materials` holds those they name, by name."""

    post: Post
    rail: Rail
    bracket: Bracket
    cable: Cable
    fitting: Fitting
    anchor: Anchor
    spacer: Spacer
    materials: tuple[Material, ...]


@dataclass(frozen=True, slots=True)
class Guard:
    """Measures of the guard, all mm but `tension_n`; the meaning of each is in the README.

    `stair_spacing` holds `cable_spacing` plumb (posts drilled alike) or square to the cables.
    `easing_mm` is the level length of an easing piece. `swage` says where the fitting of the dead
    and of the pulled end is put on. `temperature_k` is the range that gaps are made for.
    `sphere_force_n` must not push the sphere between two cables; None where none is asked for.
    """

    height_mm: float
    stair_height_mm: float
    bottom_gap_mm: float
    cable_spacing_mm: float
    rows: Literal["pitch", "even"]
    max_post_spacing_mm: float
    max_cable_span_mm: float | None
    edge_inset_mm: float
    stair_setback_mm: float
    wall_gap_mm: float
    run_on_mm: float
    pair_offset_mm: float | None
    tension_n: float
    stair_spacing: Literal["plumb", "square"] = "plumb"
    transition: Transition = "plumb"
    easing_mm: float = 304.8
    end_cut: Literal["square", "plumb"] = "square"
    post_top: Literal["raked", "square"] = "raked"
    mount: Mount = "deck"
    pull: Literal["start", "end"] = "end"
    swage: tuple[Literal["shop", "field"], Literal["shop", "field"]] = ("shop", "field")
    temperature_k: float = 55.6
    snap_to_joists_mm: float | None = None
    sphere_force_n: float | None = None


@dataclass(frozen=True, slots=True)
class Joists:
    """`offset_mm` is from the start of the first run's path to the first joist's centre."""

    spacing_mm: float
    width_mm: float
    depth_mm: float
    bearing_deg: float
    species: str
    offset_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Structure:
    """What the posts stand on. The edge is measured at the decking.

    `overhang_mm` is the decking beyond the fascia (or the rim where there is none); `fascia_mm` and
    `rim_mm` are thicknesses, 0 for none; `stringer_mm` the stringers' thickness.
    """

    joists: Joists | None
    decking_mm: float
    overhang_mm: float = 0.0
    fascia_mm: float = 0.0
    rim_mm: float = 38.1
    stringer_mm: float = 38.1
    concrete: bool = False


@dataclass(frozen=True, slots=True)
class StockLength:
    """One length on offer; `cost` None: by length, `count` None: as many as are needed."""

    length_mm: float
    cost: float | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """Bars and spools on offer, none of a material where nothing was said of it.

    `end_trim_mm` is cut off each end of a bar, kerf included; an offcut over `keep_over_mm` is
    kept. `finish` has a direction along the `length`, on a `face`, both or none (any).
    """

    rail: tuple[StockLength, ...]
    kerf_mm: float
    post: tuple[StockLength, ...] = ()
    handrail: tuple[StockLength, ...] = ()
    cable: tuple[StockLength, ...] = ()
    end_trim_mm: float = 0.0
    keep_over_mm: float = 609.6
    finish: Literal["any", "length", "face", "both"] = "any"


@dataclass(frozen=True, slots=True)
class Handrail:
    """A graspable rail beside the guard of a stair; `None` in a job where none is asked for.

    `elsewhere` means that one is fitted on the other side, by others, `guard` that the guard's own
    rail is to serve: then nothing is made. `other_side`: besides, others fit one there.
    """

    elsewhere: bool
    height_mm: float
    diameter_mm: float
    clearance_mm: float
    max_bracket_spacing_mm: float
    guard: bool = False
    other_side: bool = False

    @property
    def made(self) -> bool:
        """Whether a handrail of its own is made beside the guard."""
        return not (self.elsewhere or self.guard)


@dataclass(frozen=True, slots=True)
class FixedPost:
    """A post that stands there already, `at_mm` along the leg's edge to its centre.

    Cables pass through it, drilled at the pitch where it is solid, or are anchored to it.
    """

    path: str
    at_mm: float
    width_mm: float
    depth_mm: float
    material: Literal["timber", "steel", "masonry"]
    cables: Literal["pass", "anchor"]


@dataclass(frozen=True, slots=True)
class Level:
    """A level leg, its length measured along the deck edge. `path` is its place in the spec.

    `fall_mm` is how far a drained edge drops over the leg. `inset_mm` and `mount` are its own,
    None where those of the guard hold.
    """

    path: str
    length_mm: float
    fall_mm: float = 0.0
    inset_mm: float | None = None
    mount: Mount | None = None
    fixed: tuple[FixedPost, ...] = ()


@dataclass(frozen=True, slots=True)
class Ramp:
    """A ramp, `length_mm` level, rising by `rise_mm` (down negative)."""

    path: str
    length_mm: float
    rise_mm: float
    inset_mm: float | None = None
    mount: Mount | None = None
    fixed: tuple[FixedPost, ...] = ()


@dataclass(frozen=True, slots=True)
class Opening:
    """A gap in the guard for a gate or a stair head: the clear width between post faces."""

    path: str
    width_mm: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A corner between two legs: left positive, degrees. `rail` is how a pair's rails meet.

    `cables` at a single post in line: both legs' cables end at it, or pass.
    """

    path: str
    angle_deg: float
    corner: CornerKind
    rail: CornerRail = "run-on"
    cables: Literal["end", "pass"] = "end"


@dataclass(frozen=True, slots=True)
class TreadStep:
    """One step as measured on site, from the top down: its riser above and its going."""

    rise_mm: float
    going_mm: float


@dataclass(frozen=True, slots=True)
class Stair:
    """A straight stair: `risers` equal risers over `rise_mm`, `tread_mm` nosing to nosing.

    `steps`, where given, are the risers and goings as measured, from the top down, one a tread and
    a last one whose riser leads to the lower floor; `rise_mm` and `tread_mm` are then their sum and
    mean. `width_mm` is the stair's own, for the other side and for clear widths. `given_by` is the
    key that its treads were given by, no matter to what the stair is.
    """

    path: str
    risers: int
    rise_mm: float
    tread_mm: float
    nosing_mm: float
    tread_thickness_mm: float
    direction: Literal["down", "up"]
    steps: tuple[TreadStep, ...] = ()
    open_risers: bool = False
    foot: Literal["tread", "newel"] = "tread"
    posts: Literal["tread", "stringer"] = "tread"
    name: str = ""
    width_mm: float | None = None
    inset_mm: float | None = None
    given_by: Literal["tread", "going", "treads"] = field(default="tread", compare=False)


LegItem = Level | Ramp | Turn | Stair | Opening


@dataclass(frozen=True, slots=True)
class Start:
    """Where a run's path begins: a point of the deck edge on the walking surface."""

    x_mm: float
    y_mm: float
    z_mm: float
    bearing_deg: float
    end: EndKind


@dataclass(frozen=True, slots=True)
class Run:
    """A guard along one path. `deck` is the side on which the walking surface lies.

    `closed` is how the last leg meets the first where the path comes back to its start; the ends
    are then no ends.
    """

    path: str
    id: str
    start: Start
    deck: Side
    legs: tuple[LegItem, ...]
    end: EndKind
    closed: Turn | None = None


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something upright that stands near the guard; `corners` of its plan, counter-clockwise.

    They are told from `x_mm`, `y_mm`, with x along the bearing.
    """

    name: str
    x_mm: float
    y_mm: float
    z_mm: float
    height_mm: float
    corners: tuple[Vec2, ...]
    bearing_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding that is taken as it is: its code, the marks or the leg where it stands, and why.

    `role` is who takes it, such as engineer of record; `path` the acceptance's place in the spec.
    """

    path: str
    code: str
    where: tuple[str, ...]
    reason: str
    role: str


@dataclass(frozen=True, slots=True)
class GradePoint:
    """A point of the ground beside an edge, `at_mm` along its leg and `out_mm` out from it.

    Without `out_mm` it is the lowest ground as far out as the rule set looks. Its height is `z_mm`
    in the world, or `down_mm` below the edge (on a stair below the line over the nosings).
    """

    at_mm: float
    out_mm: float | None
    z_mm: float | None
    down_mm: float | None


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that was read and resolved. `units` is how people of this job write lengths.

    `grades` tells the ground beside legs by their places in the spec, in order of `at_mm` and
    `out_mm`; a leg of which nothing is known is not among them, and None is for none at all.
    `profiles` are folders of profiles of its own, which win over those shipped.
    """

    source: str
    title: str
    number: str
    units: UnitName
    rules: RuleSet
    system: System
    guard: Guard
    structure: Structure | None
    stock: Stock | None
    runs: tuple[Run, ...]
    handrail: Handrail | None = None
    obstacles: tuple[Obstacle, ...] = ()
    accepted: tuple[Acceptance, ...] = ()
    severities: tuple[SeverityChange, ...] = ()
    grades: dict[str, tuple[GradePoint, ...]] | None = None
    outputs: OutputChoices = OutputChoices()
    order: Order = Order()
    drawings: Drawings = Drawings()
    strength: StrengthInputs = StrengthInputs()
    profiles: tuple[Path, ...] = ()

    @property
    def metric(self) -> bool:
        """Whether lengths are shown in millimetres instead of feet and inches."""
        return self.units in ("mm", "cm", "m")

    @property
    def paper(self) -> Literal["letter", "a4"]:
        """What is printed on: as asked for, else what goes with the units."""
        return self.outputs.paper or ("a4" if self.metric else "letter")
