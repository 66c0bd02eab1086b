"""What the layout decides: legs as measured, posts, rows of cables, rail pieces, cable routes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from generator.frozen import dataclass
from generator.geometry import EndPlane, Frame, Vec2, Vec3
from generator.spec.job import FixedPost, Job, Mount, Run

if TYPE_CHECKING:
    from generator.nesting import Plan

LegKind = Literal["level", "stair", "ramp"]
Joint = Literal["wall", "free", "single", "pair", "pair-through", "opening", "shared"]


@dataclass(frozen=True, slots=True)
class Flight:
    """A straight stair from its top: t runs down from the upper floor's nosing (geometry.md C).

    `nosings` are (t, z) of the upper floor's nosing and of every tread's, from the top down;
    `line_z_mm` and `slope` are of the nosing line, z = line_z - t slope. `top_station_mm` is where
    the upper nosing lies along the leg; `sense` is 1 where the leg goes down the stair, -1 up.
    """

    nosings: tuple[Vec2, ...]
    floor_z_mm: float
    line_z_mm: float
    slope: float
    overhang_mm: float
    thickness_mm: float
    top_station_mm: float
    sense: int

    @property
    def treads(self) -> int:
        return len(self.nosings) - 1

    @property
    def top_z_mm(self) -> float:
        return self.nosings[0][1]

    @property
    def foot_mm(self) -> float:
        """t of the last nosing, where the lower floor begins."""
        return self.nosings[-1][0]

    @property
    def going_mm(self) -> float:
        """Mean tread, nosing to nosing, or what the slope says where there is no tread."""
        if self.treads:
            return self.foot_mm / self.treads
        return (self.top_z_mm - self.floor_z_mm) / self.slope

    def down(self, station_mm: float) -> float:
        """t of a station of the leg."""
        return (station_mm - self.top_station_mm) * self.sense

    def station(self, t_mm: float) -> float:
        """Station of the leg at t."""
        return self.top_station_mm + t_mm * self.sense

    def nosing_line_z(self, t_mm: float) -> float:
        return self.line_z_mm - t_mm * self.slope

    def nosing_t(self, tread: int) -> float:
        return self.nosings[tread][0]

    def tread_z(self, tread: int) -> float:
        """Walking surface of a tread, counted from 1 below the upper floor."""
        return self.nosings[tread][1]

    def floor_below(self, t_mm: float) -> float:
        """Walking surface at t where no tread carries the post: the upper or the lower floor."""
        return self.floor_z_mm if t_mm > 0.0 else self.top_z_mm


@dataclass(frozen=True, slots=True)
class PathLeg:
    """One leg of the measured path. Stations run along its edge from `origin`.

    `inset_mm` is how far the guard line lies to the left of the edge (negative: to the right);
    `side` is 1 where the deck lies left of the path, else -1. `travel` and `left` are level unit
    vectors. `slope` is the rise of the line that heights are measured from, down negative.
    """

    run: str
    number: int
    kind: LegKind
    path: str
    origin: Vec3
    bearing_deg: float
    travel: Vec3
    left: Vec3
    side: float
    length_mm: float
    rise_mm: float
    slope: float
    inset_mm: float
    mount: Mount
    on_stringer: bool
    foot_newel: bool
    fixed: tuple[FixedPost, ...]
    flight: Flight | None

    @property
    def pitch_deg(self) -> float:
        return math.degrees(math.atan(self.slope))

    @property
    def stretch(self) -> float:
        """Length along the pitch for a unit of level length."""
        return math.hypot(1.0, self.slope)

    @property
    def end(self) -> Vec3:
        """Where the next leg's edge begins, on the walking surface."""
        o, u = self.origin, self.travel
        length = self.length_mm
        return (o[0] + u[0] * length, o[1] + u[1] * length, o[2] + self.rise_mm)

    @property
    def inward_mm(self) -> float:
        """The inset toward the deck, negative where posts stand outside the edge."""
        return self.inset_mm * self.side

    def reference_z(self, station_mm: float) -> float:
        """Height of the line that heights are measured from: the floor, or the nosing line."""
        if self.flight:
            return self.flight.nosing_line_z(self.flight.down(station_mm))
        return self.origin[2] + self.slope * station_mm

    def edge(self, station_mm: float) -> Vec3:
        """Point of the measured edge, on the reference line."""
        return self._beside(station_mm, 0.0)

    def guard(self, station_mm: float) -> Vec3:
        """Point of the guard line, on the reference line."""
        return self._beside(station_mm, self.inset_mm)

    @property
    def direction(self) -> Vec3:
        """Unit vector of the cables and the rail."""
        u, k = self.travel, 1.0 / self.stretch
        return (u[0] * k, u[1] * k, self.slope * k)

    def _beside(self, station_mm: float, left_mm: float) -> Vec3:
        o, u, n = self.origin, self.travel, self.left
        return (
            o[0] + u[0] * station_mm + n[0] * left_mm,
            o[1] + u[1] * station_mm + n[1] * left_mm,
            self.reference_z(station_mm),
        )


@dataclass(frozen=True, slots=True)
class PostSite:
    """Where one post stands. `base` is the centre of the underside of its base.

    `rail_top_z_mm` is the world height of the rail's top over its axis and `top_slope` its slope
    there along `top_bearing_deg`; `floor_slope` is of what it stands on, along the leg. Under a
    miter of two pitches tube and bracket are level and end `top_drop_mm` lower than the rail asks.
    A `fixed` post stands there already.
    """

    index: int
    run: str
    leg: int
    base: Vec3
    bearing_deg: float
    role: Literal["end", "intermediate", "corner"]
    place: Literal["floor", "tread", "lower-floor"]
    tread: int | None
    setback_mm: float | None
    rail_top_z_mm: float
    top_slope: float
    top_bearing_deg: float
    floor_slope: float
    floor_z_mm: float
    mount: Mount
    fixed: FixedPost | None
    top_drop_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class RailPiece:
    """One length of rail: a frame on its centre line at the start, and its end cuts.

    `length_mm` is of the centre line; the cuts are planes in the piece's own frame (z along the
    travel, x to its left, y square to it upwards).
    """

    place: Frame
    length_mm: float
    start_cut: EndPlane
    end_cut: EndPlane
    start_on: str
    end_on: str


@dataclass(frozen=True, slots=True)
class LegLayout:
    """One leg laid out.

    `posts` index `Layout.posts`, with their `stations_mm`; `rows_mm` are the vertical heights of
    the cable axes over the reference line, lowest first; `rail_top_mm` the rail's top over it.
    """

    line: PathLeg
    start_joint: Joint
    end_joint: Joint
    posts: tuple[int, ...]
    stations_mm: tuple[float, ...]
    spacers_mm: tuple[float, ...]
    rows_mm: tuple[float, ...]
    rail_top_mm: float
    rails: tuple[RailPiece, ...]


@dataclass(frozen=True, slots=True)
class CableStretch:
    """Part of a cable's way: along one leg from the post before to the post after.

    The posts index `LegLayout.posts` of that leg.
    """

    leg: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class CableRoute:
    """One cable of one row from where it is held to where it is held, past posts on its way."""

    run: str
    row: int
    stretches: tuple[CableStretch, ...]
    turn_deg: float


@dataclass(frozen=True, slots=True)
class RunLayout:
    run: Run
    legs: tuple[LegLayout, ...]
    routes: tuple[CableRoute, ...]


@dataclass(frozen=True, slots=True)
class RailPlan:
    """The bars that pieces nest into; `pieces` are those of each bar, counted in order of travel.

    They are counted from 0 over all runs and legs.
    """

    plan: Plan
    pieces: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The whole job: posts over all runs in order of travel, and the legs of every run.

    `rail_plan` is how the rail nests into its stock; None without.
    """

    job: Job
    posts: tuple[PostSite, ...]
    runs: tuple[RunLayout, ...]
    rail_plan: RailPlan | None = None
