"""The measured path of a run into legs with their stations, and the corners of the guard line."""

from __future__ import annotations

from dataclasses import dataclass

from generator.errors import InputError, Problem
from generator.geometry import Vec3, add, cosd, heading, left_of, scale, sind
from generator.layout.model import Flight, PathLeg
from generator.spec.job import CornerKind, Job, Level, Run, Stair, Turn


@dataclass(frozen=True, slots=True)
class Corner:
    """What stands between two legs: the turn (left positive) and how the guard takes it."""

    path: str
    angle_deg: float
    kind: CornerKind


def path_legs(job: Job, run: Run) -> tuple[tuple[PathLeg, ...], tuple[Corner, ...]]:
    """Legs in order of travel and the corners between them (one fewer).

    Two legs with no turn between them meet as `single` (geometry.md A).
    """
    side = 1.0 if run.deck == "left" else -1.0
    inset = side * job.guard.edge_inset_mm
    origin: Vec3 = (run.start.x_mm, run.start.y_mm, run.start.z_mm)
    bearing = run.start.bearing_deg
    legs: list[PathLeg] = []
    corners: list[Corner] = []
    turn: Turn | None = None
    for item in run.legs:
        if isinstance(item, Turn):
            turn = item
            bearing += item.angle_deg
            continue
        if legs:
            corners.append(_corner(item, turn))
        turn = None
        leg = _leg(run.id, len(legs) + 1, item, origin, bearing, inset)
        legs.append(leg)
        origin = add(origin, add(scale(leg.travel, leg.length_mm), (0.0, 0.0, leg.rise_mm)))
    return tuple(legs), tuple(corners)


def _corner(item: Level | Stair, turn: Turn | None) -> Corner:
    if turn is None:
        return Corner(item.path, 0.0, "single")
    return Corner(turn.path, turn.angle_deg, turn.corner)


def _leg(
    run: str, number: int, item: Level | Stair, origin: Vec3, bearing: float, inset: float
) -> PathLeg:
    if isinstance(item, Level):
        flight, length, rise = None, item.length_mm, 0.0
    else:
        flight = _flight(item, origin[2])
        length = flight.foot_mm
        rise = -item.rise_mm if item.direction == "down" else item.rise_mm
    return PathLeg(
        run=run,
        number=number,
        kind="stair" if flight else "level",
        path=item.path,
        origin=origin,
        bearing_deg=bearing,
        travel=heading(bearing),
        left=left_of(bearing),
        length_mm=length,
        rise_mm=rise,
        inset_mm=inset,
        flight=flight,
    )


def _flight(stair: Stair, start_z: float) -> Flight:
    down = stair.direction == "down"
    treads = stair.risers - 1
    return Flight(
        risers=stair.risers,
        riser_mm=stair.rise_mm / stair.risers,
        tread_mm=stair.tread_mm,
        overhang_mm=stair.nosing_mm,
        thickness_mm=stair.tread_thickness_mm,
        top_station_mm=0.0 if down else treads * stair.tread_mm,
        top_z_mm=start_z if down else start_z + stair.rise_mm,
        sense=1 if down else -1,
    )


def vertex_stations(before: PathLeg, after: PathLeg) -> tuple[float, float]:
    """Stations, on either leg, of the vertex of the guard line between two legs.

    Where the legs are in line the vertex is the end of the edge itself.

    Raises:
        InputError: the legs are in line but their insets differ, so the lines never meet.
    """
    turn = after.bearing_deg - before.bearing_deg
    sine, cosine = sind(turn), cosd(turn)
    a, b = before.inset_mm, after.inset_mm
    if abs(sine) < 1e-9:
        if abs(a - b) > 1e-6:
            raise InputError(
                [
                    Problem(
                        "",
                        0,
                        0,
                        after.path,
                        f"leg {after.number} in line with leg {before.number}, other inset",
                        "accepted: the same inset for two legs in line",
                    )
                ]
            )
        return before.length_mm, 0.0
    # Intersection of the two moved lines, measured from the corner of the path along each leg.
    return before.length_mm + (a * cosine - b) / sine, (a - b * cosine) / sine
