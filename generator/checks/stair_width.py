"""`stair.width`: the clear way between guards, handrails and the far side of a stair."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from generator.checks.flight import Flight
from generator.checks.nearby import Nearby, prism_corners
from generator.checks.outcome import Bound, Outcome, fine, round_up, rule_bound, shop
from generator.frozen import dataclass
from generator.geometry import along, left_of
from generator.parts.assembly import Assembly, Part
from generator.parts.report import Edit
from generator.spec.job import Job, Stair
from generator.units import INCH_MM

# What stands higher over the nosings than any headroom that a code asks for is in nobody's way.
_HEADROOM_MM = 84.0 * INCH_MM
# How far across bodies are looked for.
_REACH_MM = 4000.0
_TOUCH_MM = 1.0
_EPS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class _Body:
    """A part beside the way: from where to where across, and how high over the nosing line.

    `near_mm` and `far_mm` are told from the side that the leg is measured at, inward.
    """

    part: Part
    near_mm: float
    far_mm: float
    over_mm: float
    own: bool


def stair_edits(job: Job, stair: Stair, key: str, value: str) -> tuple[Edit, ...]:
    """One key of a stair set, wherever the stair is named."""
    paths = [stair.path]
    if stair.name:
        paths = [
            item.path
            for run in job.runs
            for item in run.legs
            if isinstance(item, Stair) and item.name == stair.name
        ]
    return tuple(Edit(f"{path}.stair.{key}", value) for path in paths)


def check_width(
    assembly: Assembly, nearby: Nearby, flight: Flight, stair: Stair
) -> Iterator[Outcome]:
    """Yields the clear widths of one stair, or a note where its other side is not known."""
    job = assembly.job
    if not job.rules.limit("stair.width.min").stated or not flight.treads or not flight.sides:
        return
    yield from _Way(assembly, nearby, flight, stair).outcomes()


class _Way:
    """The room across one flight."""

    def __init__(self, assembly: Assembly, nearby: Nearby, flight: Flight, stair: Stair) -> None:
        self.job, self.flight, self.stair = assembly.job, flight, stair
        self.leg = flight.view.leg
        self.inward = 1.0 if self.leg.deck == "left" else -1.0
        stations = [s for slab in flight.treads for s, _ in slab.plan]
        self.low, self.high = min(stations), max(stations)
        first, last = flight.sides[0].risers[0], flight.sides[0].risers[-1]
        self.marks = (first.lower, last.upper)
        self._line = self._nosing_line()
        bodies = list(self._bodies(nearby))
        self.both = self._both_sides(assembly, bodies)
        self.bodies = bodies

    def outcomes(self) -> Iterator[Outcome]:
        if self.stair.width_mm is None and not self.both:
            yield self._unknown()
        elif self.job.rules.limit("stair.width.clear.one").stated:
            above = rule_bound(self.job, "handrail.height.max", "at most").value or math.inf
            yield self._clear(
                "stair.width.min",
                lambda body: body.over_mm > above + _EPS_MM,
                "above the handrail",
            )
            count = self._handrails()
            key = "stair.width.clear.two" if count > 1 else "stair.width.clear.one"
            words = f"at and below the handrail, with {'two' if count > 1 else 'one'}"
            yield self._clear(key, lambda _: True, words)
        else:
            # What a handrail takes of this width has a limit of its own.
            yield self._clear(
                "stair.width.min", lambda body: body.part.kind != "handrail", "between guards"
            )

    def _clear(self, key: str, counts: Callable[[_Body], bool], words: str) -> Outcome:
        """The room between the foremost bodies that count, or to the stair's far side."""
        job, bound = self.job, rule_bound(self.job, key, "at least")
        assert bound.value is not None
        own = [body for body in self.bodies if body.own and counts(body)]
        far = [body for body in self.bodies if not body.own and counts(body)]
        near_side = max(own, key=lambda body: body.far_mm, default=None)
        far_side = min(far, key=lambda body: body.near_mm, default=None)
        start = max(near_side.far_mm, 0.0) if near_side else 0.0
        end = self._far_mm()
        if far_side and far_side.near_mm < end:
            end = far_side.near_mm
        else:
            far_side = None
        clear = end - start
        where = tuple(body.part.mark for body in (near_side, far_side) if body) or self.marks
        missing = round_up(job, bound.value - clear)
        width = self.stair.width_mm
        edits: tuple[Edit, ...] = ()
        if width is not None and far_side is None:
            edits = stair_edits(
                job, self.stair, "width", shop(job, round_up(job, width + bound.value - clear))
            )
        return Outcome(
            "stair.width",
            where,
            clear,
            bound,
            f"{self.leg.label}: the stair is {fine(job, clear)} clear {words}, less than "
            f"{shop(job, bound.value)}",
            f"a stair {shop(job, missing)} wider, or guards that stand so much nearer to its sides",
            edits,
        )

    def _unknown(self) -> Outcome:
        """What the guard takes of a stair whose width nobody stated."""
        job, rules = self.job, self.job.rules
        key = "stair.width.clear.one" if rules.limit("stair.width.clear.one").stated else ""
        limit = rules.limit(key or "stair.width.min")
        own = [body for body in self.bodies if body.own]
        foremost = max(own, key=lambda body: body.far_mm, default=None)
        taken = max(foremost.far_mm, 0.0) if foremost else 0.0
        return Outcome(
            "stair.width",
            (foremost.part.mark,) if foremost else self.marks,
            taken,
            Bound(None, "none", "mm", limit.clause, limit.edition, limit.verified),
            f"{self.leg.label}: the spec states no width of this stair, so that its clear width is "
            f"not checked. The guard takes {fine(job, taken)} of it: for {shop(job, limit.value)} "
            f"clear beside it the stair has to be {shop(job, round_up(job, limit.value + taken))} "
            "wide",
            "state the width of the stair (stair: {width: ...})",
            severity="note",
        )

    def _far_mm(self) -> float:
        """The stair's other side as the spec states it and its treads lie; else only guards."""
        if self.stair.width_mm is None:
            return math.inf
        return min(max(self.inward * n for n in slab.across) for slab in self.flight.treads)

    def _handrails(self) -> int:
        """Sides that a handrail runs along; at least one, for the limit is the stricter so."""
        sides = {body.own for body in self.bodies if body.part.kind == "handrail"}
        handrail = self.job.handrail
        others = 1 if handrail and (handrail.elsewhere or handrail.other_side) else 0
        return max(1, min(2, len(sides) + others))

    def _nosing_line(self) -> Callable[[float], float]:
        """Height of the straight line from the uppermost nosing of a tread to the lowest."""
        side = self.flight.sides[0]
        tops = [self._top(mark) for mark in (side.risers[0].upper, side.risers[-1].upper)]
        ends = (self.low, self.high) if self.flight.down > 0 else (self.high, self.low)
        slope = (tops[1] - tops[0]) / (ends[1] - ends[0])
        return lambda s: tops[0] + slope * (s - ends[0])

    def _top(self, mark: str) -> float:
        part = self.flight.view.assembly.by_mark[mark]
        return max(corner[2] for corner in prism_corners(part))

    def _bodies(self, nearby: Nearby) -> Iterator[_Body]:
        left = left_of(self.leg.bearing_deg)
        a = along(self.leg.edge_start, left, -_TOUCH_MM)
        b = along(self.leg.edge_end, left, self.inward * _REACH_MM)
        for part in nearby.around(a, b, 0.0):
            corners = [(*self.flight.flat(point), point[2]) for point in prism_corners(part)]
            stations = [s for s, _, _ in corners]
            if min(max(stations), self.high) - max(min(stations), self.low) < _TOUCH_MM:
                continue
            across = [self.inward * n for _, n, _ in corners]
            over = [z - self._line(s) for s, _, z in corners]
            near, far = min(across), max(across)
            # A wall at the end of a leg stands across the way, not beside it.
            crosses = part.kind == "wall" and near <= 0.0 < far
            if crosses or max(over) <= _TOUCH_MM or min(over) >= _HEADROOM_MM:
                continue
            yield _Body(part, near, far, max(over), self._own(part, (near + far) / 2))

    def _own(self, part: Part, middle: float) -> bool:
        """Whether a body stands on the side that the leg is measured at."""
        same = (part.run, part.leg) == (self.leg.run, self.leg.number)
        if same and part.kind == "handrail":
            return True
        if part.mark in (*self.leg.posts, *self.leg.rails, *self.leg.spacers):
            return True
        half = (self.stair.width_mm or 2 * _REACH_MM) / 2
        return middle < min(half, self._guard_mm())

    def _guard_mm(self) -> float:
        """Where the leg's own guard stands, across."""
        return self.inward * self.flight.flat(self.leg.guard_start)[1] + _TOUCH_MM

    def _both_sides(self, assembly: Assembly, bodies: list[_Body]) -> bool:
        """Whether a guard of another run that names this stair stands along its other side."""
        if not self.stair.name:
            return False
        runs = {
            run.id
            for run in assembly.job.runs
            for item in run.legs
            if isinstance(item, Stair)
            and item.name == self.stair.name
            and item.path != self.stair.path
        }
        return any(body.part.run in runs and not body.own for body in bodies)
