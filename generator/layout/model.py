"""What the layout decides: legs as measured, posts, rows of cables, rail pieces, cable routes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from generator.geometry import EndPlane, Vec3
from generator.spec.job import Job, Run

LegKind = Literal["level", "stair", "ramp"]
Joint = Literal["wall", "free", "single", "pair"]


@dataclass(frozen=True, slots=True)
class Flight:
    """A straight stair from its top: t runs down from the upper floor's nosing (geometry.md C).

    `top_station_mm` is where that nosing lies along the leg; `sense` is 1 where the leg goes down
    the stair and -1 where it climbs.
    """

    risers: int
    riser_mm: float
    tread_mm: float
    overhang_mm: float
    thickness_mm: float
    top_station_mm: float
    top_z_mm: float
    sense: int

    @property
    def treads(self) -> int:
        return self.risers - 1

    @property
    def slope(self) -> float:
        """Tangent of the pitch."""
        return self.riser_mm / self.tread_mm

    @property
    def foot_mm(self) -> float:
        """t of the last nosing, where the lower floor begins."""
        return self.treads * self.tread_mm

    def down(self, station_mm: float) -> float:
        """t of a station of the leg."""
        return (station_mm - self.top_station_mm) * self.sense

    def station(self, t_mm: float) -> float:
        """Station of the leg at t."""
        return self.top_station_mm + t_mm * self.sense

    def nosing_line_z(self, t_mm: float) -> float:
        return self.top_z_mm - t_mm * self.slope

    def tread_z(self, tread: int) -> float:
        """Walking surface of a tread, counted from 1 below the upper floor."""
        return self.top_z_mm - tread * self.riser_mm


@dataclass(frozen=True, slots=True)
class PathLeg:
    """One leg of the measured path. Stations run along its edge from `origin`.

    `inset_mm` is how far the guard line lies to the left of the edge (negative: to the right).
    `travel` and `left` are level unit vectors.
    """

    run: str
    number: int
    kind: LegKind
    path: str
    origin: Vec3
    bearing_deg: float
    travel: Vec3
    left: Vec3
    length_mm: float
    rise_mm: float
    inset_mm: float
    flight: Flight | None

    @property
    def slope(self) -> float:
        """Rise of the guard's reference line per unit of level travel, down negative."""
        if self.flight:
            return -self.flight.slope * self.flight.sense
        return self.rise_mm / self.length_mm

    @property
    def pitch_deg(self) -> float:
        return math.degrees(math.atan(self.slope))

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

    def _beside(self, station_mm: float, left_mm: float) -> Vec3:
        o, u, n = self.origin, self.travel, self.left
        return (
            o[0] + u[0] * station_mm + n[0] * left_mm,
            o[1] + u[1] * station_mm + n[1] * left_mm,
            self.reference_z(station_mm),
        )


@dataclass(frozen=True, slots=True)
class PostSite:
    """Where one post stands. `base` is the centre of the underside of its base plate.

    `rail_top_z_mm` is the world height of the rail's top over its axis; `top_slope` the slope of
    the rail over it, along `top_bearing_deg`.
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


@dataclass(frozen=True, slots=True)
class RailPiece:
    """One length of rail: its centre line from station to station, and its end cuts.

    `start_cut` and `end_cut` are planes in the piece's own frame (z along the travel, x to its
    left, y square to it upwards, the origin on the centre line at the start).
    """

    start_mm: float
    end_mm: float
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
class RunLayout:
    run: Run
    legs: tuple[LegLayout, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The whole job: posts over all runs in order of travel, and the legs of every run."""

    job: Job
    posts: tuple[PostSite, ...]
    runs: tuple[RunLayout, ...]
