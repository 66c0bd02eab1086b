"""The table of parts that every drawing, schedule, check and solid is read from."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from generator.frozen import dataclass
from generator.geometry import Frame, Vec3
from generator.layout.model import RailPlan
from generator.parts.shapes import Shape
from generator.spec.job import Job, Side

if TYPE_CHECKING:
    from generator.parts.tensioning import Pulling

Kind = Literal[
    "post",
    "column",
    "base-plate",
    "side-plate",
    "stand-off",
    "anchor",
    "blocking",
    "bracket",
    "rail",
    "sleeve",
    "connector",
    "handrail",
    "handrail-bracket",
    "cable",
    "fitting",
    "seat",
    "washer",
    "nut",
    "spacer",
    "deck",
    "floor",
    "tread",
    "riser",
    "stringer",
    "joist",
    "rim",
    "wall",
    "obstacle",
]
REFERENCE_KINDS: frozenset[Kind] = frozenset(
    {
        "column",
        "deck",
        "floor",
        "tread",
        "riser",
        "stringer",
        "joist",
        "rim",
        "wall",
        "obstacle",
    }
)

JointName = Literal["wall", "free", "single", "pair", "pair-through", "opening", "shared"]
Role = Literal["end", "intermediate", "corner"]
Place = Literal["floor", "tread", "lower-floor"]


@dataclass(frozen=True, slots=True)
class DrilledHole:
    """One cable's or stud's way through a post or spacer.

    `axis_z_mm` is where the cable's axis crosses the part's axis, above the underside of the base
    (for a spacer: above its lower end); `walls` indexes the part's `Prism.holes`;
    `nominal_height_mm` is the height without clearance for a cable of nominal diameter. `run` is
    that of the cable; a post may serve two runs.
    """

    row: int
    leg: int
    purpose: Literal["cable", "stud"]
    axis_z_mm: float
    shape: Literal["round", "slot"]
    width_mm: float
    height_mm: float
    nominal_height_mm: float
    walls: tuple[int, ...]
    run: str = ""


@dataclass(frozen=True, slots=True)
class PostDetail:
    """What a post is for. `height_mm`: underside of the base to the rail's top over its axis.

    `base_z_mm` is the world height of the underside of the base, which in a core is the tube's
    lower end, and `floor_z_mm` that of the walking surface that it stands on or beside; `length_mm`
    the tube's from long point to long point, as it is cut from the bar. `setback_mm` from the
    nosing of its tread to its axis, on a tread only. `mount` is how it is fixed: `existing` for one
    that stands there already.
    """

    role: Role
    place: Place
    base_z_mm: float
    floor_z_mm: float
    height_mm: float
    length_mm: float
    bearing_deg: float
    tread: int | None
    setback_mm: float | None
    drilling: tuple[DrilledHole, ...]
    mount: Literal["deck", "fascia", "core", "existing"] = "deck"


@dataclass(frozen=True, slots=True)
class SpacerDetail:
    drilling: tuple[DrilledHole, ...]


@dataclass(frozen=True, slots=True)
class CableDetail:
    """Lengths after geometry.md H. `row` counts from 1 at the bottom.

    `fittings`, `ends` (dead or pulling) and `swage` (shop or field) are of its start and its end.
    """

    row: int
    legs: tuple[int, ...]
    support_length_mm: float
    finished_mm: float
    cut_length_mm: float
    turn_deg: float
    fittings: tuple[str, str]
    ends: tuple[str, str]
    posts: tuple[str, ...]
    swage: tuple[str, str] = ("shop", "field")


@dataclass(frozen=True, slots=True)
class TreadDetail:
    """`number` counts from 1 below the upper floor.

    `deviation_mm` is how far its nosing lies below the one straight line that the guard follows.
    """

    number: int
    deviation_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class RailDetail:
    """`section` is the profile's name; `start_on`, `end_on` say how an end is joined."""

    section: str
    start_on: str
    end_on: str


Detail = PostDetail | SpacerDetail | CableDetail | TreadDetail | RailDetail
_D = TypeVar("_D", PostDetail, SpacerDetail, CableDetail, TreadDetail, RailDetail)


@dataclass(frozen=True, slots=True)
class Part:
    """One piece at its place.

    `item` is what it is ordered or cut as, equal for parts that are bought alike; `belongs_to` is
    the mark of the part that it is fixed on (a base plate's post), or its own mark.
    """

    mark: str
    kind: Kind
    item: str
    run: str
    leg: int
    shape: Shape
    place: Frame
    belongs_to: str
    detail: Detail | None = None

    @property
    def reference(self) -> bool:
        """Whether it stands there already (deck, tread, wall) and is not part of the order."""
        return self.kind in REFERENCE_KINDS


def detail_of(part: Part, kind: type[_D]) -> _D:
    """The detail of a part that must have this kind of it.

    Raises:
        TypeError: it has another kind, or none.
    """
    if not isinstance(part.detail, kind):
        raise TypeError(f"{part.mark} has no {kind.__name__}")
    return part.detail


@dataclass(frozen=True, slots=True)
class Consumable:
    """Counted, not placed: a screw, a washer under a deck.

    `group` is whose spares it has, `goes` what it is packed with.
    """

    item: str
    description: str
    count: int
    group: Literal["fasteners", "pieces"] = "pieces"
    goes: Literal["rail", "base", "cable"] = "rail"


@dataclass(frozen=True, slots=True)
class LegLine:
    """One leg as built: its lines, and the marks of what belongs to it, in order of travel.

    `edge_start`, `edge_end` lie on the measured path at the walking surface; `guard_start`,
    `guard_end` are the first and last post's centre on the line that the guard follows
    (the floor on the level, the nosing line on a stair). `start_joint` and `end_joint` say how the
    leg begins and ends.
    """

    run: str
    number: int
    kind: Literal["level", "stair", "ramp"]
    path: str
    deck: Side
    bearing_deg: float
    pitch_deg: float
    edge_start: Vec3
    edge_end: Vec3
    guard_start: Vec3
    guard_end: Vec3
    start_joint: JointName
    end_joint: JointName
    posts: tuple[str, ...]
    rails: tuple[str, ...]
    cables: tuple[str, ...]
    spacers: tuple[str, ...]
    surfaces: tuple[str, ...]

    @property
    def label(self) -> str:
        """What people call it: run A, leg 2."""
        return f"run {self.run}, leg {self.number}"


@dataclass(frozen=True)
class Assembly:
    """All parts of a job, in a fixed order, with the legs they belong to.

    `rail_plan` and `handrail_plan` are how their pieces were nested into bars when their joints
    were chosen, pieces counted in the order of the parts; None where there was no stock. `pulls`
    is how a calculation of strength has every cable tensioned; None where nobody has worked it out.
    """

    job: Job
    parts: tuple[Part, ...]
    legs: tuple[LegLine, ...]
    consumables: tuple[Consumable, ...] = ()
    rail_plan: RailPlan | None = None
    handrail_plan: RailPlan | None = None
    pulls: tuple[Pulling, ...] | None = None

    @cached_property
    def worked_out(self) -> dict[str, Any]:
        """What readers of the table work out once and keep with it, by their names."""
        return {}

    def __repr__(self) -> str:
        """In short: all parts of a job would fill pages."""
        return f"<Assembly of {self.job.title!r}: {len(self.parts)} parts, {len(self.legs)} legs>"

    @cached_property
    def by_mark(self) -> dict[str, Part]:
        """Parts by mark; marks are unique."""
        return {part.mark: part for part in self.parts}

    def of_kind(self, *kinds: Kind) -> Iterator[Part]:
        """Parts of these kinds, in order."""
        return (part for part in self.parts if part.kind in kinds)
