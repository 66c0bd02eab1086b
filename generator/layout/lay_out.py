"""The straight line from a `Job` to its `Layout`, leg by leg."""

from __future__ import annotations

from generator.layout.ends import end_spots
from generator.layout.leg_rails import leg_rails
from generator.layout.leg_rows import rail_top, run_rows
from generator.layout.model import Layout, LegLayout, PostSite, RunLayout
from generator.layout.path import path_legs
from generator.layout.spacing import spacer_stations
from generator.layout.spots import LegSpots, leg_spots
from generator.spec.job import Job, Run


def layout(job: Job) -> Layout:
    """Lays out every run of the job.

    Raises:
        InputError: the spec asks for what cannot be laid out (the field is named).
    """
    posts: list[PostSite] = []
    runs = tuple(_run_layout(job, run, posts) for run in job.runs)
    return Layout(job, tuple(posts), runs)


def _run_layout(job: Job, run: Run, posts: list[PostSite]) -> RunLayout:
    """Lays out one run; its posts are added to those of the job."""
    lines, corners = path_legs(job, run)
    ends = end_spots(job, run, lines, corners)
    all_spots = [leg_spots(job, line, *pair) for line, pair in zip(lines, ends, strict=True)]
    rows = run_rows(job, all_spots, corners)
    legs: list[LegLayout] = []
    for k, spots in enumerate(all_spots):
        indices = [legs[-1].posts[-1]] if legs and spots.start.shared else []
        for n in range(len(indices), len(spots.stations)):
            indices.append(len(posts))
            posts.append(_site(job, spots, n, indices[-1]))
        legs.append(
            LegLayout(
                line=spots.line,
                start_joint=spots.start.joint,
                end_joint=spots.end.joint,
                posts=tuple(indices),
                stations_mm=spots.stations,
                spacers_mm=spacer_stations(job, spots.line, spots.stations),
                rows_mm=rows[k],
                rail_top_mm=rail_top(job, spots),
                rails=leg_rails(job, all_spots, corners, k),
            )
        )
    return RunLayout(run, tuple(legs))


def _site(job: Job, spots: LegSpots, n: int, index: int) -> PostSite:
    line, station, tread, end = spots.line, spots.stations[n], spots.treads[n], spots.end_at(n)
    x, y, reference = line.guard(station)
    top, slope = reference + rail_top(job, spots), line.slope
    if end and end.rail == "pitch":
        # Shared by a stair and a level leg, it stands behind the nosing under the level rail.
        top, slope = spots.floor_z(n) + job.guard.height_mm, 0.0
    return PostSite(
        index=index,
        run=line.run,
        leg=line.number,
        base=(x, y, spots.floor_z(n)),
        bearing_deg=end.bearing_deg if end else line.bearing_deg,
        role="intermediate" if end is None else "corner" if end.shared else "end",
        place=spots.place(n),
        tread=tread,
        setback_mm=job.guard.stair_setback_mm if tread is not None else None,
        rail_top_z_mm=top,
        top_slope=slope,
    )
