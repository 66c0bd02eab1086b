"""The straight line from a `Job` to its `Layout`, leg by leg."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.layout.ends import EndSpot, end_spots
from generator.layout.model import Layout, LegLayout, PathLeg, PostSite, RailPiece, RunLayout
from generator.layout.path import Corner, path_legs
from generator.layout.posts import TreadPost, level_stations, stair_posts
from generator.layout.rail import RailEndCut, pitch_miter, plumb_drop, rail_pieces, square_end
from generator.layout.rail import turn_miter as turned
from generator.layout.rows import row_heights, staggered_rows
from generator.layout.spacing import spacer_stations
from generator.layout.stagger import StudRows, studs_clear
from generator.spec.job import Job, Run
from generator.units import INCH_MM

# Room kept between a base plate and the lowest stud of a shared post.
_OVER_PLATE_MM = INCH_MM / 8


def layout(job: Job) -> Layout:
    """Lays out every run of the job.

    Raises:
        InputError: the spec asks for what cannot be laid out (the field is named).
    """
    posts: list[PostSite] = []
    runs = tuple(_run_layout(job, run, posts) for run in job.runs)
    return Layout(job, tuple(posts), runs)


@dataclass(frozen=True, slots=True)
class _Spots:
    """One leg with its ends and the stations of its posts, in order of travel."""

    line: PathLeg
    start: EndSpot
    end: EndSpot
    stations: tuple[float, ...]
    treads: tuple[int | None, ...]


def _run_layout(job: Job, run: Run, posts: list[PostSite]) -> RunLayout:
    lines, corners = path_legs(job, run)
    ends = end_spots(job, run, lines, corners)
    spots = [_spots(job, line, *pair) for line, pair in zip(lines, ends, strict=True)]
    rows = _rows(job, spots, corners)
    legs = []
    for k, spot in enumerate(spots):
        shared = spot.start.shared and legs
        indices = [legs[-1].posts[-1]] if shared else []
        for n in range(len(indices), len(spot.stations)):
            posts.append(_site(job, spot, n, len(posts)))
            indices.append(len(posts) - 1)
        before = corners[k - 1] if k else None
        after = corners[k] if k < len(corners) else None
        legs.append(
            LegLayout(
                line=spot.line,
                start_joint=spot.start.joint,
                end_joint=spot.end.joint,
                posts=tuple(indices),
                stations_mm=spot.stations,
                spacers_mm=spacer_stations(job, spot.line, spot.stations),
                rows_mm=rows[k],
                rail_top_mm=_rail_top(job, spot.line),
                rails=_rails(job, spots, k, before, after),
            )
        )
    return RunLayout(run, tuple(legs))


def _spots(job: Job, line: PathLeg, start: EndSpot, end: EndSpot) -> _Spots:
    if line.flight is None:
        stations = level_stations(start.station_mm, end.station_mm, job.guard.max_post_spacing_mm)
        return _Spots(line, start, end, stations, (None,) * len(stations))
    upper, lower = (start, end) if line.flight.sense == 1 else (end, start)
    assert upper.tread is not None
    assert lower.tread is not None
    places: Sequence[TreadPost] = stair_posts(
        line.flight,
        upper.tread,
        lower.tread,
        job.guard.stair_setback_mm,
        job.guard.max_post_spacing_mm,
    )
    if line.flight.sense == -1:
        places = places[::-1]
    stations = tuple(line.flight.station(place.t_mm) for place in places)
    return _Spots(line, start, end, stations, tuple(place.tread for place in places))


def _site(job: Job, spot: _Spots, n: int, index: int) -> PostSite:
    line, station, tread = spot.line, spot.stations[n], spot.treads[n]
    point = line.guard(station)
    last = len(spot.stations) - 1
    end = spot.start if n == 0 else spot.end if n == last else None
    return PostSite(
        index=index,
        run=line.run,
        leg=line.number,
        base=(point[0], point[1], _floor_z(line, station, tread)),
        bearing_deg=end.bearing_deg if end else line.bearing_deg,
        role="intermediate" if end is None else "corner" if end.shared else "end",
        place=_place(line, station, tread),
        tread=tread,
        setback_mm=job.guard.stair_setback_mm if tread is not None else None,
        rail_top_z_mm=_rail_top_at(job, line, station, end),
        top_slope=0.0 if end and end.rail == "pitch" else line.slope,
    )


def _floor_z(line: PathLeg, station: float, tread: int | None) -> float:
    if line.flight is None:
        return line.reference_z(station)
    if tread is not None:
        return line.flight.tread_z(tread)
    below = line.flight.down(station) > 0.0
    return line.flight.tread_z(line.flight.risers) if below else line.flight.top_z_mm


def _place(line: PathLeg, station: float, tread: int | None):
    if tread is not None:
        return "tread"
    return "lower-floor" if line.flight and line.flight.down(station) > 0.0 else "floor"


def _rail_top(job: Job, line: PathLeg) -> float:
    return job.guard.stair_height_mm if line.flight else job.guard.height_mm


def _rail_top_at(job: Job, line: PathLeg, station: float, end: EndSpot | None) -> float:
    """World height of the rail's top; a post shared with a stair stands under the level rail."""
    if end and end.rail == "pitch" and line.flight:
        return line.flight.top_z_mm + job.guard.height_mm
    return line.reference_z(station) + _rail_top(job, line)


def _rails(
    job: Job, spots: list[_Spots], k: int, before: Corner | None, after: Corner | None
) -> tuple[RailPiece, ...]:
    spot = spots[k]
    if spot.stations[-1] - spot.stations[0] <= job.system.post.width_mm:
        return ()  # span.short: nothing can be carried on such a leg
    start = _rail_end(job, spots[k - 1] if k else None, spot, before, at_start=True)
    end = _rail_end(job, spot, spots[k + 1] if after else None, after, at_start=False)
    return rail_pieces(job, spot.line, start, end, spot.stations[1:-1])


def _rail_end(
    job: Job, before: _Spots | None, after: _Spots | None, corner: Corner | None, *, at_start: bool
) -> RailEndCut:
    """How the rail of the leg on one side of a corner (or an end of the run) ends there."""
    spot = after if at_start else before
    assert spot is not None
    end = spot.start if at_start else spot.end
    sign = -1.0 if at_start else 1.0
    depth = job.system.rail.depth_mm
    if end.rail == "run-on" or corner is None or before is None or after is None:
        reach = job.system.post.width_mm / 2 + job.guard.run_on_mm
        return square_end(end.station_mm + sign * reach, end.joint)
    if end.rail == "through":
        return square_end(end.station_mm, "joint on post")
    if end.rail == "turn":
        return turned(end.station_mm, corner.angle_deg, at_start=at_start)
    nosing = _nosing_station(spot, at_start=at_start)
    if _rail_top(job, before.line) == _rail_top(job, after.line):
        change = after.line.pitch_deg - before.line.pitch_deg
        return pitch_miter(nosing, change, depth, at_start=at_start)
    if spot.line.flight is None:
        return square_end(nosing, "plumb drop")
    return plumb_drop(nosing, spot.line.slope)


def _nosing_station(spot: _Spots, *, at_start: bool) -> float:
    """Station of the upper floor's nosing on either leg: it is where the two edges meet."""
    return 0.0 if at_start else spot.line.length_mm


def _rows(job: Job, spots: list[_Spots], corners: tuple[Corner, ...]) -> list[tuple[float, ...]]:
    rows: list[tuple[float, ...]] = []
    for k, spot in enumerate(spots):
        lowest = _lowest_axis(job, spot.line)
        under = _rail_top(job, spot.line) - job.system.rail.depth_mm * _secant(spot.line)

        def from_lowest(
            first: float, under: float = under, cosine: float = 1.0 / _secant(spot.line)
        ) -> tuple[float, ...]:
            return row_heights(job, first, under, cosine)

        if k == 0 or not spot.start.shared:
            rows.append(from_lowest(lowest))
            continue
        before, corner, former = spots[k - 1], corners[k - 1], rows[-1]
        studs = _studs(before, former, before.stations[-1])

        def clear(
            heights: Sequence[float],
            spot: _Spots = spot,
            studs: StudRows = studs,
            turn: float = corner.angle_deg,
        ) -> bool:
            return studs_clear(job, studs, _studs(spot, heights, spot.stations[0]), turn)

        def fits(heights: Sequence[float], spot: _Spots = spot, under: float = under) -> bool:
            return _rows_fit(job, spot, heights, under)

        rows.append(staggered_rows(job, lowest, from_lowest, clear, fits))
    return rows


def _studs(spot: _Spots, rows: Sequence[float], station: float) -> StudRows:
    reference = spot.line.reference_z(station)
    return StudRows([reference + height for height in rows], spot.line.slope)


def _lowest_axis(job: Job, line: PathLeg) -> float:
    """Lowest cable axis over the reference line, vertical (geometry.md D, E)."""
    lowest = job.guard.bottom_gap_mm + job.system.cable.diameter_mm / 2
    if line.flight is None:
        return lowest
    return lowest - job.guard.stair_setback_mm * line.flight.slope


def _secant(line: PathLeg) -> float:
    return (1.0 + line.slope**2) ** 0.5


def _rows_fit(job: Job, spot: _Spots, rows: Sequence[float], under: float) -> bool:
    """Whether moved rows still keep the openings below and above, and clear the base plates."""
    radius = job.system.cable.diameter_mm / 2
    over_plate = (
        job.system.post.plate_thickness_mm + job.system.fitting.stud_mm / 2 + _OVER_PLATE_MM
    )
    for station, tread in zip(spot.stations, spot.treads, strict=True):
        over_floor = spot.line.reference_z(station) - _floor_z(spot.line, station, tread) + rows[0]
        if over_floor < over_plate:
            return False
        if over_floor - radius > job.rules.limit("opening.bottom").value:
            return False
    top_gap = (under - rows[-1]) / _secant(spot.line) - radius
    return top_gap <= job.rules.limit("opening.level").value

