"""How cables are tensioned: order, what each is set to, take-up, turns, threads.

What spec and parts alone know takes posts as stiff: they give nothing. A calculation of strength
that knows better puts its own values into the assembly (`strength/site_pulls.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from generator.frozen import dataclass
from generator.geometry import Frame, Vec3, sub
from generator.parts.assembly import Assembly, CableDetail, Part, detail_of
from generator.parts.shapes import Prism, Rectangle

PanelKey = tuple[str, tuple[int, ...], str, str]


@dataclass(frozen=True, slots=True)
class Pulling:
    """How one cable is tensioned at its pulled end.

    `order` counts from 1 within the panel (the cables of the same legs and posts). It is set to
    `tension_n`, or pass by pass to `passes_n` where later pulls slacken it to `tension_n`.
    `takeup_mm` is what the nut draws through, `room_mm` how far the stud can be drawn until thread
    or sleeve end it; `turns` of the nut and `threads` that stand out behind it when done, flush at
    the start.
    """

    mark: str
    order: int
    tension_n: float
    pulled_at: str
    takeup_mm: float
    room_mm: float
    turns: float
    threads: float
    passes_n: tuple[float, ...] = ()


def panels(assembly: Assembly) -> dict[PanelKey, tuple[Part, ...]]:
    """Cables that run between the same two posts along the same legs, from the bottom up."""
    found: dict[PanelKey, list[Part]] = {}
    for part in assembly.of_kind("cable"):
        detail = detail_of(part, CableDetail)
        key = (part.run, detail.legs, detail.posts[0], detail.posts[-1])
        found.setdefault(key, []).append(part)
    return {
        key: tuple(sorted(parts, key=lambda part: detail_of(part, CableDetail).row))
        for key, parts in found.items()
    }


def middle_first(assembly: Assembly) -> Iterator[tuple[int, str]]:
    """(order in its panel from 1, mark) of every cable: the middle row first, then up and down.

    Common practice, no source.
    """
    for parts in panels(assembly).values():
        rows = [(detail_of(part, CableDetail).row, part.mark) for part in parts]
        middle = (rows[0][0] + rows[-1][0]) / 2
        rows.sort(key=lambda row: (abs(row[0] - middle), -row[0]))
        for order, (_, mark) in enumerate(rows, start=1):
            yield order, mark


def pull_order(assembly: Assembly) -> tuple[tuple[int, str], ...]:
    """(order in its panel from 1, mark) of every cable, panel by panel in that order."""
    if assembly.pulls is None:
        return tuple(middle_first(assembly))
    order = {one.mark: one.order for one in assembly.pulls}
    found = ([(order[part.mark], part.mark) for part in own] for own in panels(assembly).values())
    return tuple(pull for rows in found for pull in sorted(rows))


def pullings(assembly: Assembly) -> tuple[Pulling, ...]:
    """Every cable in the order of the table of parts, as calculated where somebody did."""
    if assembly.pulls is not None:
        return assembly.pulls
    order = {mark: number for number, mark in middle_first(assembly)}
    work = _Ends(assembly)
    return tuple(work.pulling(part, order[part.mark]) for part in assembly.of_kind("cable"))


class _Ends:
    def __init__(self, assembly: Assembly) -> None:
        self.assembly, self.job = assembly, assembly.job

    def pulling(self, part: Part, order: int) -> Pulling:
        detail, fitting = detail_of(part, CableDetail), self.job.system.fitting
        cable, tension = self.job.system.cable, self.job.guard.tension_n
        # Hooke on the metallic area, and what a new strand beds in.
        strain = tension / (cable.modulus_mpa * cable.area_mm2) + cable.constructional_stretch
        takeup = detail.finished_mm * strain
        at_end = detail.ends[1] == "pulling"
        post = detail.posts[-1] if at_end else detail.posts[0]
        threads = takeup / fitting.thread_pitch_mm
        return Pulling(
            part.mark,
            order,
            tension,
            post,
            takeup,
            self._room(part, post, at_end),
            threads,
            threads,
        )

    def _room(self, part: Part, post: str, at_end: bool) -> float:
        """Until the nut is at the end of the thread, or the sleeve at the post's inner face."""
        fitting = self.job.system.fitting
        stud = self._fittings[part.mark, at_end]
        # The stud's tip is where the nut begins to show thread; it is drawn through the nut.
        thread = fitting.thread_mm - fitting.nut_height_mm
        sleeve = fitting.overall_mm - fitting.sleeve_length_mm
        return max(min(thread, sleeve - self._tip_to_inner(stud.place, post)), 0.0)

    @cached_property
    def _fittings(self) -> dict[tuple[str, bool], Part]:
        """By the cable's mark, and whether it is at its end."""
        marks = {part.mark[1:]: part.mark for part in self.assembly.of_kind("cable")}
        return {
            (marks[part.mark[1:-1]], part.mark[-1] == "E"): part
            for part in self.assembly.of_kind("fitting")
        }

    def _tip_to_inner(self, place: Frame, post: str) -> float:
        """From the stud's tip along it to where it leaves the post on the bay's side, mm."""
        part = self.assembly.by_mark[post]
        shape = part.shape
        if not isinstance(shape, Prism) or not isinstance(shape.section.outer, Rectangle):
            raise TypeError(f"{post} is no post")
        width, depth = shape.section.outer.width_mm, shape.section.outer.depth_mm
        way = part.place.local_vector(place.z)
        tip = part.place.local_vector(sub(place.origin, part.place.origin))
        return min(_leaves(tip, way, axis, half / 2) for axis, half in ((0, width), (1, depth)))


def _leaves(tip: Vec3, way: Vec3, axis: int, half: float) -> float:
    """How far along `way` the far one of two faces, `half` to either side of the axis, is met."""
    if abs(way[axis]) < 1e-9:
        return float("inf")
    return ((half if way[axis] > 0 else -half) - tip[axis]) / way[axis]
