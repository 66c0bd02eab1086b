"""How each leg begins and ends: at a wall, free, at another run's post, or at a corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.geometry import Vec3, cosd, dot, sind, sub
from generator.layout.breaks import floor_at_break, lift_at_end, lift_over
from generator.layout.model import Joint, PathLeg, PostSite
from generator.layout.pair_room import base_width, bases_apart, off_the_other, side_plates_apart
from generator.layout.path import Corner, Path, turn_between, vertex_stations
from generator.layout.side_mount import let_down_mm
from generator.spec.job import EndKind, Job, Run

_IN_LINE_DEG = 1e-9
_BEFORE_STAIR_DEG = 60.0
_LEAST_LIFT_MM = 1e-6
# Of a riser board, which a stringer is cut back for.
RISER_MM = 19.05


@dataclass(frozen=True, slots=True)
class EndSpot:
    """Where a leg's end post stands.

    `tread` is the one that carries it, None on a floor. `shared` posts serve both legs of a corner
    and belong to the earlier one; `existing` is the index of another run's post that serves here.
    `bearing_deg` is the post's own, `floor_z_mm` the floor under it where that is not its leg's,
    with its `floor_slope` along the post; `setback_mm` from the nosing of a shared post on a tread;
    `let_down_mm` is how much lower than others a post on a fascia hangs.
    """

    station_mm: float
    joint: Joint
    bearing_deg: float
    tread: int | None = None
    shared: bool = False
    existing: int | None = None
    floor_z_mm: float | None = None
    floor_slope: float = 0.0
    setback_mm: float | None = None
    let_down_mm: float = 0.0


def end_spots(
    job: Job, run: Run, path: Path, posts: Sequence[PostSite]
) -> list[tuple[EndSpot, EndSpot]]:
    """Start and end of every leg. `posts` are those of the runs before, for shared ends."""
    legs, corners = path.legs, path.corners
    starts: list[EndSpot] = []
    ends: list[EndSpot] = []
    if not path.closed:
        starts.append(_run_end(job, legs[0], run.start.end, posts, at_start=True))
    for k, corner in enumerate(corners):
        end, start = corner_spots(job, legs[k], legs[(k + 1) % len(legs)], corner)
        ends.append(end)
        starts.append(start)
    if path.closed:
        starts.insert(0, starts.pop())
    else:
        ends.append(_run_end(job, legs[-1], run.end, posts, at_start=False))
    return list(zip(starts, ends, strict=True))


def _run_end(
    job: Job, leg: PathLeg, end: EndKind, posts: Sequence[PostSite], *, at_start: bool
) -> EndSpot:
    if end == "shared":
        return _shared_spot(leg, posts, at_start=at_start)
    if leg.flight:
        return _stair_spot(job, leg, end, upper=_upper_is_start(leg) == at_start)
    reach = job.guard.edge_inset_mm
    if end == "wall":
        reach = job.guard.wall_gap_mm + job.system.post.width_mm / 2
    station = reach if at_start else leg.length_mm - reach
    return EndSpot(station, end, leg.bearing_deg)


def _shared_spot(leg: PathLeg, posts: Sequence[PostSite], *, at_start: bool) -> EndSpot:
    """The post of a run before that stands where this leg's guard line ends.

    Raises:
        InputError: none stands on the guard line near the leg's end.
    """
    here = leg.guard(0.0 if at_start else leg.length_mm)
    found = [
        (abs(dot(sub(post.base, here), leg.travel)), post)
        for post in posts
        if abs(dot(sub(post.base, here), leg.left)) <= 25.0 and abs(post.base[2] - here[2]) < 600.0
    ]
    if found:
        away, post = min(found, key=lambda pair: pair[0])
        if away <= 300.0:
            station = dot(sub(post.base, leg.guard(0.0)), leg.travel)
            return EndSpot(station, "shared", post.bearing_deg, post.tread, False, post.index)
    read = "shared, but no post of a run before stands on this leg's guard line near its end"
    accepted = "accepted: shared where a post stands within 300 mm of the end, or free, or wall"
    raise InputError([Problem("", 0, 0, leg.path, f"read {read}", accepted)])


def _upper_is_start(leg: PathLeg) -> bool:
    return leg.flight is not None and leg.flight.sense == 1


def _stair_spot(job: Job, leg: PathLeg, joint: Joint, *, upper: bool) -> EndSpot:
    """End post of a stair: above behind the nosing by the edge inset, below on the last tread.

    With a newel it stands on the lower floor; beside the stringer next to either end of it.
    """
    flight = leg.flight
    assert flight is not None
    tread = None
    if leg.on_stringer:
        post, bolt = job.system.post, job.system.anchor.diameter_mm
        reach = base_width(job, leg) / 2 + post.nosing_margin_mm
        # At the foot the stringer's board ends behind the last nosing, by the overhang and a
        # riser board; there the bolts want their edge distance, 1.5 diameters.
        at_foot = max(reach, post.bolt_spacing_mm / 2 + 1.5 * bolt + RISER_MM)
        t = reach if upper else flight.foot_mm - flight.overhang_mm - at_foot
    elif upper:
        t = -job.guard.edge_inset_mm
    elif leg.foot_newel:
        t = flight.foot_mm + _off_riser(job, leg)
    else:
        tread = flight.treads
        t = flight.nosing_t(tread) - job.guard.stair_setback_mm
    return EndSpot(flight.station(t), joint, leg.bearing_deg, tread)


def _off_riser(job: Job, leg: PathLeg) -> float:
    """From the last nosing to a post on the lower floor: the edge inset, its base off the riser."""
    least = base_width(job, leg) / 2 + job.system.post.nosing_margin_mm
    return max(job.guard.edge_inset_mm, least)


def corner_spots(
    job: Job, before: PathLeg, after: PathLeg, corner: Corner
) -> tuple[EndSpot, EndSpot]:
    """End of the leg before a corner and start of the leg after it.

    Raises:
        InputError: a stair follows a stair with no floor between them.
    """
    if before.flight and after.flight:
        read = "a stair straight after a stair"
        accepted = "accepted: a level leg between them, the landing"
        raise InputError([Problem("", 0, 0, corner.path, f"read {read}", accepted)])
    if corner.passing and corner.kind == "single" and (before.flight or after.flight):
        read = "cables that pass one post between a floor and a stair"
        accepted = "accepted: corner: pair-through, or cables: end"
        raise InputError([Problem("", 0, 0, corner.path, f"read {read}", accepted)])
    if corner.kind == "opening":
        return _opening_spots(job, before, after)
    if before.flight or after.flight:
        return _stair_corner(job, before, after, corner)
    return _level_corner(job, before, after, corner)


def _opening_spots(job: Job, before: PathLeg, after: PathLeg) -> tuple[EndSpot, EndSpot]:
    """Posts whose faces stand at the edges of the opening; a stair's where stairs have them.

    Where that lies within the opening, behind the upper nosing or before the last riser, the post
    across from it stands back as far, so that the width is clear.
    """
    half = job.system.post.width_mm / 2
    end = EndSpot(before.length_mm - half, "opening", before.bearing_deg)
    start = EndSpot(half, "opening", after.bearing_deg)
    if before.flight:
        end = _stair_spot(job, before, "opening", upper=not _upper_is_start(before))
        within = max(end.station_mm + half - before.length_mm, 0.0)
        start = replace(start, station_mm=half + within)
    if after.flight:
        start = _stair_spot(job, after, "opening", upper=_upper_is_start(after))
        within = max(half - start.station_mm, 0.0)
        end = replace(end, station_mm=before.length_mm - half - within)
    end = _lifted(job, before, end, at_start=False)
    return end, _lifted(job, after, start, at_start=True)


def _level_corner(
    job: Job, before: PathLeg, after: PathLeg, corner: Corner
) -> tuple[EndSpot, EndSpot]:
    last, first = _vertex(before, after, corner)
    turn = turn_between(before, after)
    if corner.kind == "single":
        bearing = _post_bearing(before.bearing_deg, turn)
        # Cables that pass bend on the post's axis, so that it stands where the slopes meet.
        off, floor, slope = 0.0, None, 0.0
        if not corner.passing:
            off, floor, slope = _off_the_break(job, before, after)
        if floor is None:
            floor = floor_at_break(job, before, after, (last, first), bearing)
        end = EndSpot(last + off, "single", bearing, None, True, None, floor, slope)
        return end, replace(end, station_mm=first + off)
    joint: Joint = "pair" if corner.kind == "pair" else "pair-through"
    offset = job.guard.pair_offset_mm
    if offset is None:
        ahead = (before.travel[0] + after.travel[0], before.travel[1] + after.travel[1])
        offset = bases_apart(job, (0.0, 0.0), ahead, before, after)
        if before.mount == after.mount == "fascia":
            offset = max(offset, side_plates_apart(job, ahead, before, after))
    last = min(last - offset, before.length_mm - off_the_other(job, before, after))
    first = max(first + offset, off_the_other(job, after, before))
    end = EndSpot(last, joint, before.bearing_deg)
    start = EndSpot(first, joint, after.bearing_deg)
    if before.mount == after.mount == "fascia":
        down = let_down_mm(job, (before, end.station_mm), (after, start.station_mm))
        start = replace(start, let_down_mm=down)
    if "ramp" in (before.kind, after.kind) and turn_between(before, after) * before.side < 0.0:
        return _lifted(job, before, end, at_start=False), _lifted(job, after, start, at_start=True)
    end_lift = lift_over(job, before, after, end.station_mm)
    start_lift = lift_over(job, after, before, start.station_mm)
    return _higher(before, end, end_lift), _higher(after, start, start_lift)


def _lifted(job: Job, leg: PathLeg, spot: EndSpot, *, at_start: bool) -> EndSpot:
    """On a slope, lifted where its base reaches onto the level floor beyond."""
    return _higher(leg, spot, lift_at_end(job, leg, spot.station_mm, at_start=at_start))


def _higher(leg: PathLeg, spot: EndSpot, lift: float) -> EndSpot:
    """The same place on a floor of the leg's slope that much higher."""
    if lift < _LEAST_LIFT_MM:
        return spot
    floor = leg.reference_z(spot.station_mm) + lift
    return replace(spot, floor_z_mm=floor, floor_slope=leg.slope)


def _off_the_break(job: Job, before: PathLeg, after: PathLeg) -> tuple[float, float | None, float]:
    """In line, where the slope changes: onto the flatter leg until the base is off the break.

    Returns how far along the travel, the floor there and its slope.
    """
    steeper = abs(after.slope) - abs(before.slope)
    if abs(turn_between(before, after)) > _IN_LINE_DEG or abs(steeper) < 1e-9:
        return 0.0, None, 0.0
    reach = base_width(job, before) / 2 + job.system.post.nosing_margin_mm
    if steeper > 0.0:
        return -reach, before.reference_z(before.length_mm - reach), before.slope
    return reach, after.reference_z(reach), after.slope


def _vertex(before: PathLeg, after: PathLeg, corner: Corner) -> tuple[float, float]:
    """The vertex, or, for two posts in line at different insets, the end of the edges."""
    if corner.kind != "single" and abs(turn_between(before, after)) < _IN_LINE_DEG:
        return before.length_mm, 0.0
    return vertex_stations(before, after)


def _post_bearing(bearing_deg: float, turn_deg: float) -> float:
    """One post for two legs: square to both at a right angle, else turned to the bisector."""
    square = abs(turn_deg % 90.0) < _IN_LINE_DEG
    return bearing_deg if square else bearing_deg + turn_deg / 2


def _stair_corner(
    job: Job, before: PathLeg, after: PathLeg, corner: Corner
) -> tuple[EndSpot, EndSpot]:
    stair, level = (before, after) if before.flight else (after, before)
    stair_first = stair is before
    upper = _upper_is_start(stair) != stair_first
    if corner.kind == "single":
        pair = _single_stair_corner(job, before, after, stair, upper=upper)
    else:
        pair = _pair_stair_corner(job, stair, level, stair_first=stair_first, upper=upper)
    return pair


def _single_stair_corner(
    job: Job, before: PathLeg, after: PathLeg, stair: PathLeg, *, upper: bool
) -> tuple[EndSpot, EndSpot]:
    """One post: on the vertex where the path turns, else on the floor off the first or last riser.

    In line the edges of both legs meet at the upper nosing, or at the last one.
    """
    flight = stair.flight
    assert flight is not None
    turn = turn_between(before, after)
    if abs(turn) < _IN_LINE_DEG:
        vertex_stations(before, after)  # refuses legs in line at different insets
        off = job.guard.edge_inset_mm if upper else _off_riser(job, stair)
        # Away from the stair: back along the leg before it, or on along the leg after it.
        away = -off if stair is after else off
        last, first = before.length_mm + away, away
    else:
        last, first = vertex_stations(before, after)
    t = flight.down(first if stair is after else last)
    on_last_tread = not upper and flight.treads > 0 and t < flight.foot_mm
    tread = flight.treads if on_last_tread else None
    # On the upper floor wherever the vertex lies (its edge is checked), below on what is there.
    floor = flight.top_z_mm if upper else flight.tread_z(tread) if tread else flight.floor_z_mm
    slope, other = 0.0, before if stair is after else after
    if abs(turn) < _IN_LINE_DEG and abs(other.slope) > 0.0:
        # In line it stands back from the stair on the other leg, in its slope.
        floor, slope = other.reference_z(last if other is before else first), other.slope
    bearing = _post_bearing(before.bearing_deg, turn)
    on = EndSpot(
        last,
        "single",
        bearing,
        tread,
        shared=True,
        floor_z_mm=floor,
        floor_slope=slope,
        setback_mm=flight.nosing_t(tread) - t if tread else None,
    )
    return on, replace(on, station_mm=first)


def _pair_stair_corner(
    job: Job, stair: PathLeg, level: PathLeg, *, stair_first: bool, upper: bool
) -> tuple[EndSpot, EndSpot]:
    """The stair's end post where stairs have it, the level's beside it along its own guard line."""
    spot = _stair_spot(job, stair, "pair", upper=upper)
    away = 1.0 if stair_first else -1.0
    post = stair.guard(spot.station_mm)
    foot = dot(sub(post, level.guard(0.0)), level.travel)
    aside = sub(post, level.guard(foot))
    offset = job.guard.pair_offset_mm
    if offset is None:
        back: Vec3 = (-away * level.travel[0], -away * level.travel[1], 0.0)
        offset = bases_apart(job, aside[:2], back[:2], stair, level)
    station = foot + away * offset
    if not upper:
        station += away * _short_of_riser(job, stair, level, station)
    if level.mount == "fascia":
        # Its side plate lies within the fascia of its own leg, its bolts clear of a riser board.
        plate = job.system.post
        reach = base_width(job, level) / 2 + plate.nosing_margin_mm
        bolt = plate.bolt_spacing_mm / 2 + 1.5 * job.system.anchor.diameter_mm
        reach = max(reach, bolt + RISER_MM)
        station = max(station, reach) if stair_first else min(station, level.length_mm - reach)
    in_line = abs(turn_between(stair, level)) < _IN_LINE_DEG
    if in_line and spot.tread is None and not stair.on_stringer and level.slope:
        # It stands on the other leg, in its slope.
        floor = level.reference_z(foot)
        spot = replace(spot, floor_z_mm=floor, floor_slope=level.slope)
    other = EndSpot(station, "pair", level.bearing_deg)
    return (spot, other) if stair_first else (other, spot)


def _short_of_riser(job: Job, stair: PathLeg, level: PathLeg, station: float) -> float:
    """How much further along the lower floor a post must stand to be clear of the last riser.

    Where the path turns by more, the post stands beside the stair rather than before it.
    """
    flight = stair.flight
    assert flight is not None
    turn = turn_between(stair, level)
    if abs(turn) > _BEFORE_STAIR_DEG:
        return 0.0
    half = base_width(job, level) / 2 * (abs(cosd(turn)) + abs(sind(turn)))
    reach = flight.foot_mm + half + job.system.post.nosing_margin_mm
    here = flight.down(dot(sub(level.guard(station), stair.origin), stair.travel))
    return max(reach - here, 0.0) / cosd(turn)
