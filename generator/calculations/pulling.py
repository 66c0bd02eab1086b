"""How the cables of each panel are pulled, with the give of cables and posts that it comes from."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.calculations import words
from generator.frozen import dataclass
from generator.spec.job import Job
from generator.strength.cables import PanelWork
from generator.strength.loads import loads_of
from generator.strength.posts import section_of_rail
from generator.strength.read import PanelCase, Reading
from generator.strength.result import Schedule, Strength
from generator.strength.sections import section_values
from generator.strength.steps import Number
from generator.strength.tension import material_of

_DIGITS = 8

GIVE = (
    "Cables at the same two posts slacken one another. F_ij is how far cable i shortens between "
    "its fittings under 1 N in cable j: of its own stretch L/EA where i = j, and at each end n² "
    "times the give of the post there, a²(3b − a)/6EI + φ·a·b with a the lower and b the higher "
    "of the two heights; a rail that props the top takes r_i·r_j / q off it, r = y²(3H − y)/6EI + "
    "φ·y·H, q = H³/3EI + φ·H² + m. Turning the nut of cable j by u winds it up: F·T = u for the "
    "row of tensions T; a cable that would push is slack. Each pull is done when the gauge reads "
    "the value set here. After the last one every cable has the target."
)


@dataclass(frozen=True, slots=True)
class Given:
    """One number or row of numbers that the give is worked out from; `text` shows `value`."""

    symbol: str
    meaning: str
    value: Number
    text: str
    unit: str


@dataclass(frozen=True, slots=True)
class Pulling:
    """Panels alike: what the give comes from, the give itself, the pulls, and thread at the ends.

    `pulls` are (pass, turn, cable's mark, N as shown, in words of the job); `threads` (mark, taken
    up in mm, threads out of the nut before, after).
    """

    title: str
    intro: str
    givens: tuple[Given, ...]
    give: tuple[tuple[str, ...], ...]
    marks: tuple[str, ...]
    pulls: tuple[tuple[str, ...], ...]
    threads: tuple[tuple[str, ...], ...]
    target: str
    pitch: str


def pullings(job: Job, found: Strength, reading: Reading) -> tuple[Pulling, ...]:
    """One for each kind of panel."""
    panels, loads = reading.panels(), loads_of(job)
    return tuple(
        _pulling(job, schedule, PanelWork(job, reading.panel(posts, panels[posts]), loads))
        for schedule in found.schedules
        for posts in schedule.panels[:1]
    )


def _pulling(job: Job, schedule: Schedule, work: PanelWork) -> Pulling:
    count, between = len(schedule.marks), [f"{p[0]} to {p[-1]}" for p in schedule.panels]
    target = words.number(schedule.target_n, _DIGITS)
    passes = "one pass" if schedule.passes == 1 else f"{schedule.passes} passes"
    even = ", ".join(_force(value, job) for value in schedule.even_n)
    return Pulling(
        title=f"Tensioning of {schedule.marks[0]} to {schedule.marks[-1]}",
        intro=(
            f"Cables between posts {', '.join(between[:6])}"
            f"{' and others alike' if len(between) > 6 else ''}; pulled "
            f"{schedule.order}, {passes}, target {_force(schedule.target_n, job)}. If each were "
            f"simply set to the target in turn from the bottom up, the slackest would be left with "
            f"{even} after one pass, two and three."
        ),
        givens=tuple(_givens(job, work)),
        give=tuple(
            tuple(words.number(float(one) * 1e6, _DIGITS) for one in row) for row in work.matrix()
        ),
        marks=schedule.marks,
        pulls=tuple(
            (
                str(k // count + 1), str(k + 1), schedule.marks[pull.cable],
                words.number(pull.tension_n, _DIGITS), _force(pull.tension_n, job),
            )
            for k, pull in enumerate(schedule.pulls)
        ),
        threads=tuple(
            (
                mark, words.number(taken, 5), words.number(schedule.threads_start, 3),
                words.number(threads, 3),
            )
            for mark, taken, threads in zip(
                schedule.marks, schedule.takeup_mm, schedule.threads_end, strict=True
            )
        ),
        target=target,
        pitch=words.number(job.system.fitting.thread_pitch_mm, 6),
    )  # fmt: skip


def _force(value: float, job: Job) -> str:
    return f"{value:.0f} N" if job.metric else f"{value / 4.4482216152605:.0f} lbf"


def _givens(job: Job, work: PanelWork) -> Iterator[Given]:
    """What `PanelWork.matrix` takes, with the symbols of `GIVE`."""
    cable, case = job.system.cable, work.case
    yield _given("L", "length of each cable between its fittings", case.lengths_mm, "mm")
    yield _given("EA", "stiffness of a cable", cable.modulus_mpa * cable.area_mm2, "N")
    yield _given("eps", "lasting stretch of new cable", cable.constructional_stretch, "")
    for end in (0, 1):
        yield from _end(job, case, end, work)


def _end(job: Job, case: PanelCase, end: int, work: PanelWork) -> Iterator[Given]:
    post, k = case.ends[end], end + 1
    if post is None:
        return
    inputs, values = job.strength, section_values(post.section)
    modulus = material_of(job, job.system.post.material).modulus_mpa
    where = f"end {k}"
    least = min(values.about_x.inertia, values.about_y.inertia)
    turn = 0.0
    if work.loads.top_n:
        turn = math.radians(inputs.base_give_deg) / (work.loads.top_n * post.top_mm)
    level = max((abs(s) for pulls in post.pulls for s in pulls.shares), default=1.0)
    yield _given(f"y_{k}", f"heights of the cables at {where}", case.heights_mm[end], "mm")
    yield _given(f"EI_{k}", f"stiffness of the post at {where}", modulus * least, "N mm2")
    yield _given(f"phi_{k}", f"turn of its base under 1 N·mm, {where}", turn, "rad/(N mm)")
    yield _given(f"n_{k}", f"level part of the cables' direction, {where}", level, "")
    if inputs.propping == "rail":
        rail = material_of(job, job.system.rail.material)
        give = case.rail_mm / (2 * rail.modulus_mpa * section_of_rail(job).area)
        yield _given(f"H_{k}", f"height of the rail's axis, {where}", post.rail_mm, "mm")
        yield _given(f"m_{k}", f"give of the rail under 1 N, {where}", give, "mm/N")


def _given(symbol: str, meaning: str, value: Number, unit: str) -> Given:
    return Given(symbol, meaning, value, words.numbers(value, _DIGITS), unit)
