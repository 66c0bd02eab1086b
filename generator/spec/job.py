"""A job as the rest of the program knows it: resolved profiles, millimetres, degrees, newtons."""

from __future__ import annotations

from dataclasses import dataclass
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
    Spacer,
)

CornerKind = Literal["single", "pair"]
EndKind = Literal["wall", "free"]
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
    """Measures of the guard, all mm but `tension_n`; the meaning of each is in the README."""

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


@dataclass(frozen=True, slots=True)
class Joists:
    spacing_mm: float
    width_mm: float
    depth_mm: float
    bearing_deg: float
    species: str


@dataclass(frozen=True, slots=True)
class Structure:
    joists: Joists | None
    decking_mm: float


@dataclass(frozen=True, slots=True)
class StockLength:
    length_mm: float


@dataclass(frozen=True, slots=True)
class Stock:
    rail: tuple[StockLength, ...]
    kerf_mm: float


@dataclass(frozen=True, slots=True)
class Level:
    """A level leg, its length measured along the deck edge. `path` is its place in the spec."""

    path: str
    length_mm: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A corner between two legs: left positive, degrees."""

    path: str
    angle_deg: float
    corner: CornerKind


@dataclass(frozen=True, slots=True)
class Stair:
    """A straight stair: `risers` equal risers over `rise_mm`, `tread_mm` nosing to nosing."""

    path: str
    risers: int
    rise_mm: float
    tread_mm: float
    nosing_mm: float
    tread_thickness_mm: float
    direction: Literal["down", "up"]


LegItem = Level | Turn | Stair


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
    """A guard along one path. `deck` is the side on which the walking surface lies."""

    path: str
    id: str
    start: Start
    deck: Side
    legs: tuple[LegItem, ...]
    end: EndKind


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that was read and resolved. `units` is how people of this job write lengths."""

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

    @property
    def metric(self) -> bool:
        """Whether lengths are shown in millimetres instead of feet and inches."""
        return self.units in ("mm", "cm", "m")
