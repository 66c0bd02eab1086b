"""The measured path of a run into legs with their stations, and the corners between them."""

from __future__ import annotations

import math
from typing import Literal

from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.geometry import Vec3, add, cosd, heading, left_of, scale, sind
from generator.layout.flight import flight_of
from generator.layout.model import PathLeg
from generator.spec.job import (
    CornerRail,
    Job,
    Level,
    Mount,
    Opening,
    Ramp,
    Run,
    Stair,
    Turn,
)
from generator.units import INCH_MM

# A loop closes when its path comes back this near to its start: what a tape can promise.
_CLOSING_MM = INCH_MM / 2
_IN_LINE = 1e-9


@dataclass(frozen=True, slots=True)
class Corner:
    """What stands between two legs: the turn (left positive) and how the guard takes it.

    `opening_mm` is the clear width of an opening, else None; `passing` says whether cables go on.
    """

    path: str
    angle_deg: float
    kind: Literal["single", "pair", "pair-through", "opening"]
    rail: CornerRail = "run-on"
    passing: bool = False
    opening_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Path:
    """Legs in order of travel; `corners[k]` stands after leg k (a loop has one more)."""

    legs: tuple[PathLeg, ...]
    corners: tuple[Corner, ...]
    closed: bool


def run_path(job: Job, run: Run) -> Path:
    """The path of a run.

    Two legs with no turn between them meet as `single` (geometry.md A). An opening takes its
    clear width from the path.

    Raises:
        InputError: a loop does not come back to its start.
    """
    origin: Vec3 = (run.start.x_mm, run.start.y_mm, run.start.z_mm)
    bearing = run.start.bearing_deg
    legs: list[PathLeg] = []
    corners: list[Corner] = []
    between: Turn | Opening | None = None
    for item in run.legs:
        if isinstance(item, Turn):
            between = item
            bearing += item.angle_deg
            continue
        if isinstance(item, Opening):
            between = item
            origin = add(origin, scale(heading(bearing), item.width_mm))
            continue
        if legs:
            corners.append(_corner(item, between))
        between = None
        legs.append(_leg(job, run, len(legs) + 1, item, origin, bearing))
        origin = legs[-1].end
    if run.closed:
        _check_closed(run, origin, bearing + run.closed.angle_deg)
        corners.append(_corner(run.closed, run.closed))
    return Path(tuple(legs), tuple(corners), run.closed is not None)


def _corner(item: Level | Ramp | Stair | Turn, between: Turn | Opening | None) -> Corner:
    if between is None:
        return Corner(item.path, 0.0, "single")
    if isinstance(between, Opening):
        return Corner(between.path, 0.0, "opening", opening_mm=between.width_mm)
    passing = between.corner == "pair-through" or between.cables == "pass"
    return Corner(between.path, between.angle_deg, between.corner, between.rail, passing)


def _leg(
    job: Job, run: Run, number: int, item: Level | Ramp | Stair, origin: Vec3, bearing: float
) -> PathLeg:
    flight = flight_of(item, origin[2]) if isinstance(item, Stair) else None
    if isinstance(item, Stair):
        assert flight is not None
        length = flight.foot_mm
        rise = -item.rise_mm if item.direction == "down" else item.rise_mm
        slope = -flight.slope * flight.sense
    else:
        length = item.length_mm
        rise = item.rise_mm if isinstance(item, Ramp) else 0.0 - item.fall_mm
        slope = rise / length
    side = 1.0 if run.deck == "left" else -1.0
    # A single step has no stringer beside which a post could hang.
    on_stringer = isinstance(item, Stair) and item.posts == "stringer" and item.risers > 1
    mount = _mount(job, item, on_stringer)
    return PathLeg(
        run=run.id,
        number=number,
        kind="stair" if flight else "ramp" if isinstance(item, Ramp) else "level",
        path=item.path,
        origin=origin,
        bearing_deg=bearing,
        travel=heading(bearing),
        left=left_of(bearing),
        side=side,
        length_mm=length,
        rise_mm=rise,
        slope=slope,
        inset_mm=side * _inset(job, item, mount),
        mount=mount,
        on_stringer=on_stringer,
        foot_newel=isinstance(item, Stair) and (item.foot == "newel" or item.risers == 1),
        fixed=() if isinstance(item, Stair) else item.fixed,
        flight=flight,
    )


def _mount(job: Job, item: Level | Ramp | Stair, on_stringer: bool) -> Mount:
    if isinstance(item, Stair):
        # Treads take base plates; only beside the stringer do posts hang on side plates.
        return "fascia" if on_stringer else "core" if job.guard.mount == "core" else "deck"
    return item.mount or job.guard.mount


def _inset(job: Job, item: Level | Ramp | Stair, mount: Mount) -> float:
    """Toward the deck; a post on a fascia stands outside it by its stand-off and half its depth."""
    if item.inset_mm is not None:
        return item.inset_mm
    if mount != "fascia":
        return job.guard.edge_inset_mm
    post, structure = job.system.post, job.structure
    overhang = structure.overhang_mm if structure and not isinstance(item, Stair) else 0.0
    return overhang - post.standoff_mm - post.depth_mm / 2


def _check_closed(run: Run, origin: Vec3, bearing: float) -> None:
    start = (run.start.x_mm, run.start.y_mm, run.start.z_mm)
    gap = math.dist(origin, start)
    turned = (bearing - run.start.bearing_deg) % 360.0
    if gap <= _CLOSING_MM and min(turned, 360.0 - turned) < 1e-6:
        return
    read = f"a loop whose end is {gap:.1f} mm from its start, turned {turned:g} deg"
    accepted = f"accepted: a path that comes back within {_CLOSING_MM:.1f} mm, turned by 0 deg"
    raise InputError([Problem("", 0, 0, f"{run.path}.closed", read, accepted)])


def turn_between(before: PathLeg, after: PathLeg) -> float:
    """Turn in degrees, left positive, within -180 to 180."""
    return (after.bearing_deg - before.bearing_deg + 180.0) % 360.0 - 180.0


def vertex_stations(before: PathLeg, after: PathLeg) -> tuple[float, float]:
    """Stations, on either leg, of the vertex of the guard line between two legs.

    Where the legs are in line the vertex is the end of the edge itself.

    Raises:
        InputError: the legs are in line but their insets differ, so the lines never meet.
    """
    turn = turn_between(before, after)
    sine, cosine = sind(turn), cosd(turn)
    a, b = before.inset_mm, after.inset_mm
    if abs(sine) < _IN_LINE:
        if abs(a - b) > 1e-6:
            read = f"leg {after.number} in line with leg {before.number} at another inset"
            accepted = "accepted: corner: pair between them, or the same inset"
            raise InputError([Problem("", 0, 0, after.path, read, accepted)])
        return before.length_mm, 0.0
    # Intersection of the two moved lines, measured from the corner of the path along each leg.
    return before.length_mm + (a * cosine - b) / sine, (a - b * cosine) / sine
