"""How the rails of a run meet: run on, mitered, butted, eased or dropped plumb at a nosing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.frozen import dataclass
from generator.geometry import Vec3, add, left_of, scale
from generator.layout.leg_rows import rail_top
from generator.layout.path import Corner, Path, turn_between, vertex_stations
from generator.layout.rail import (
    RailCut,
    RailLine,
    Stretch,
    cut_by,
    line_between,
    miter_cuts,
    plumb_cut,
    plumb_line,
    rail_line,
    square_cut,
    stretch,
    twist_deg,
)
from generator.layout.spots import LegSpots
from generator.spec.job import Job

_SAME_MM = 1e-6
_NO_TWIST_DEG = 1e-6
_IN_LINE_DEG = 1e-9
# Turned less than this, rails that run on end one before the other.
_LEAST_TURN_DEG = 1.0
_BETWEEN_RAILS_MM = 3.0
_AT_FACE = "post face"
# A plumb piece between two miters is at least this many rail depths high.
_LEAST_DROP_DEPTHS = 2.0


@dataclass(frozen=True, slots=True)
class _Meeting:
    """How two legs' rails end at a corner; `easing` is a third rail between them, pitched or plumb.

    `joint_mm` is a station of the leg after where a return piece must end.
    """

    end: RailCut
    start: RailCut
    easing: tuple[RailLine, RailCut, RailCut] | None = None
    joint_mm: float | None = None


def run_rails(job: Job, path: Path, legs: Sequence[LegSpots]) -> list[tuple[Stretch, ...]]:
    """Rail lines of every leg; none where a leg is too short for two posts (`span.short`).

    An easing or a plumb piece belongs to the stair.
    """
    builder = _RunRails(job, path, legs)
    return [builder.leg(k) for k in range(len(legs))]


class _RunRails:
    """The rails of one run, their meetings worked out once."""

    def __init__(self, job: Job, path: Path, legs: Sequence[LegSpots]) -> None:
        self.job = job
        self.path = path
        self.legs = legs
        depth = job.system.rail.depth_mm
        self.lines = [
            rail_line(leg.line, rail_top(job, path, k), depth) for k, leg in enumerate(legs)
        ]
        self.meetings = [self._meeting(k, corner) for k, corner in enumerate(path.corners)]

    def leg(self, k: int) -> tuple[Stretch, ...]:
        spots, line = self.legs[k], self.lines[k]
        if spots.stations[-1] - spots.stations[0] <= self.job.system.post.width_mm:
            return ()
        before = self.meetings[k - 1] if k or self.path.closed else None
        after = self.meetings[k] if k < len(self.meetings) else None
        start = before.start if before else self._run_on(k, at_start=True)
        end = after.end if after else self._run_on(k, at_start=False)
        forced = [before.joint_mm] if before and before.joint_mm is not None else []
        own = [
            stretch(self.job, spots.line, line, begin, end_cut, spots.stations[1:-1], forced)
            for begin, end_cut in self._between(k, start, end)
        ]
        leading = self._easing(k, before if spots.line.flight else None)
        trailing = self._easing(k, after if spots.line.flight else None)
        return (*leading, *own, *trailing)

    def _between(self, k: int, start: RailCut, end: RailCut) -> list[tuple[RailCut, RailCut]]:
        """The rail between standing posts: it ends at both faces of each."""
        spots, line = self.legs[k], self.lines[k]
        cuts = [start]
        for station, post in zip(spots.stations[1:-1], spots.fixed[1:-1], strict=True):
            if post:
                cuts.append(plumb_cut(line, station - post.width_mm / 2, _AT_FACE))
                cuts.append(plumb_cut(line, station + post.width_mm / 2, _AT_FACE))
        cuts.append(end)
        return list(zip(cuts[::2], cuts[1::2], strict=True))

    def _easing(self, k: int, meeting: _Meeting | None) -> tuple[Stretch, ...]:
        if meeting is None or meeting.easing is None:
            return ()
        line, start, end = meeting.easing
        return (stretch(self.job, self.legs[k].line, line, start, end, ()),)

    def _run_on(self, k: int, *, at_start: bool, most: float = math.inf) -> RailCut:
        """`run_on` beyond the outer face of the end post, measured level (geometry.md G).

        `most` is how far beyond the post's axis there is room for it.
        """
        spots, line = self.legs[k], self.lines[k]
        reach = self.job.system.post.width_mm / 2 + self.job.guard.run_on_mm
        reach = min(reach, max(most, 0.0))
        n = 0 if at_start else -1
        end = spots.start if at_start else spots.end
        standing = spots.fixed[n]
        face = None
        if standing:
            face = standing.width_mm / 2
        elif end.existing is not None:
            face = self.job.system.post.width_mm / 2
        elif end.joint == "opening":
            # The clear width of an opening holds at the rail as well.
            reach = self.job.system.post.width_mm / 2
        station = spots.stations[n]
        if face is not None:
            # A standing post, or another run's, is not run over: the rail ends at its face.
            return plumb_cut(line, station + (face if at_start else -face), _AT_FACE)
        station += -reach if at_start else reach
        if self.job.guard.end_cut == "plumb":
            return plumb_cut(line, station, end.joint)
        return square_cut(line, station, end.joint)

    def _meeting(self, k: int, corner: Corner) -> _Meeting:
        after = (k + 1) % len(self.legs)
        turn = turn_between(self.path.legs[k], self.path.legs[after])
        ahead, back = self._room_for_run_on(k, after, turn, corner)
        apart = _Meeting(
            self._run_on(k, at_start=False, most=ahead),
            self._run_on(after, at_start=True, most=back),
        )
        if corner.kind == "opening":
            return apart
        if corner.kind == "single":
            if abs(turn) < _IN_LINE_DEG:
                return self._in_line(k, after)
            return self._at_one_post(k, after, turn)
        if corner.rail == "run-on" or abs(turn) < _IN_LINE_DEG:
            return apart
        return self._pair(k, after, corner, apart)

    def _room_for_run_on(
        self, k: int, after: int, turn: float, corner: Corner
    ) -> tuple[float, float]:
        """Room beyond the axes of two posts before their rails would meet round the corner.

        Each rail's corner stays short of the plumb plane that halves the turn.
        """
        flights = self.path.legs[k].flight or self.path.legs[after].flight
        if corner.kind not in ("pair", "pair-through") or abs(turn) < _LEAST_TURN_DEG or flights:
            return math.inf, math.inf
        last, first = vertex_stations(self.path.legs[k], self.path.legs[after])
        half = (self.job.system.rail.width_mm + _BETWEEN_RAILS_MM) / 2
        short = half * math.tan(math.radians(min(abs(turn), 170.0) / 2))
        return (
            last - short - self.legs[k].stations[-1],
            self.legs[after].stations[0] - first - short,
        )

    def _in_line(self, k: int, after: int) -> _Meeting:
        """The two top lines meet; unequal heights at an upper nosing change there instead (G)."""
        a, b = self.path.legs[k], self.path.legs[after]
        line_a, line_b = self.lines[k], self.lines[after]
        rise = line_b.top_at_station(0.0)[2] - line_a.top_at_station(a.length_mm)[2]
        if abs(a.slope - b.slope) < 1e-12 and abs(rise) < _SAME_MM:
            on = "joint on post"
            station = self.legs[k].stations[-1]
            first = self.legs[after].stations[0]
            return _Meeting(square_cut(line_a, station, on), square_cut(line_b, first, on))
        if abs(a.slope - b.slope) < 1e-12:
            return self._plumb_drop(k, after)
        ahead = rise / (a.slope - b.slope)
        at_upper_nosing = (b.flight and b.slope < 0) or (a.flight and a.slope > 0)
        if at_upper_nosing and abs(ahead) > _SAME_MM:
            return self._eased(k, after)
        point = line_b.top_at_station(ahead)
        return _Meeting(*miter_cuts(line_a, line_b, point))

    def _plumb_drop(self, k: int, after: int) -> _Meeting:
        """The level height is held to the nosing; a plumb piece of rail takes the change there.

        Where the change is too little for a piece between two miters both rails end plumb there.
        """
        line_a, line_b = self.lines[k], self.lines[after]
        length, depth = self.path.legs[k].length_mm, self.job.system.rail.depth_mm
        first, last = line_a.top_at_station(length), line_b.top_at_station(0.0)
        change = last[2] - first[2]
        if abs(change) < _LEAST_DROP_DEPTHS * depth:
            on = "plumb drop"
            return _Meeting(plumb_cut(line_a, length, on), plumb_cut(line_b, 0.0, on))
        drop = plumb_line(first, self.path.legs[k].bearing_deg, depth, down=change < 0.0)
        end, drop_start = miter_cuts(line_a, drop, first)
        drop_end, start = miter_cuts(drop, line_b, last)
        return _Meeting(end, start, (drop, drop_start, drop_end))

    def _eased(self, k: int, after: int) -> _Meeting:
        """Unequal heights at an upper nosing: the drop there, or an easing on the stair."""
        if self.job.guard.transition != "easing":
            return self._plumb_drop(k, after)
        reach = self.job.guard.easing_mm
        down = self.path.legs[after].flight is not None
        line_a, line_b = self.lines[k], self.lines[after]
        length = self.path.legs[k].length_mm
        first = line_a.top_at_station(length if down else length - reach)
        last = line_b.top_at_station(reach if down else 0.0)
        bearing = self.path.legs[k].bearing_deg
        easing = line_between(first, last, bearing, self.job.system.rail.depth_mm)
        end, easing_start = miter_cuts(line_a, easing, first)
        easing_end, start = miter_cuts(easing, line_b, last)
        return _Meeting(end, start, (easing, easing_start, easing_end))

    def _at_one_post(self, k: int, after: int, turn: float) -> _Meeting:
        """A miter on the post, or where it would not close, plumb butts at the post."""
        line_a, line_b = self.lines[k], self.lines[after]
        top_a = line_a.top_at_station(self.legs[k].stations[-1])
        top_b = line_b.top_at_station(self.legs[after].stations[0])
        level = abs(top_a[2] - top_b[2]) < _SAME_MM
        if level and twist_deg(line_a.frame, line_b.frame) < _NO_TWIST_DEG:
            return _Meeting(*miter_cuts(line_a, line_b, top_a))
        return self._plumb_butt(k, after, turn, top_b[2] - top_a[2])

    def _plumb_butt(self, k: int, after: int, turn: float, rise: float) -> _Meeting:
        """The higher rail bears on the post; the other ends plumb against the post's face.

        At one height the earlier rail bears, and the later one ends at its side.
        """
        on = "plumb butt"
        post, rail = self.job.system.post, self.job.system.rail
        bearing_first = rise <= _SAME_MM
        far = post.width_mm / 2
        # A post turned to the bisector stands further out along the legs, with its corner.
        spin = math.radians(0.0 if abs(turn % 90.0) < _IN_LINE_DEG else turn / 2)
        face = far * (abs(math.cos(spin)) + abs(math.sin(spin)))
        near = face if abs(rise) >= rail.depth_mm else max(face, self._beside_rail(turn))
        last, first = self.legs[k].stations[-1], self.legs[after].stations[0]
        end = last + (far if bearing_first else -near)
        start = first + (near if bearing_first else -far)
        return _Meeting(plumb_cut(self.lines[k], end, on), plumb_cut(self.lines[after], start, on))

    def _beside_rail(self, turn: float) -> float:
        """From the vertex along one rail to the side of the other."""
        half = self.job.system.rail.width_mm / 2
        sine = max(abs(math.sin(math.radians(turn))), 1e-6)
        return min(half * (1.0 + abs(math.cos(math.radians(turn)))) / sine, 4 * half)

    def _pair(self, k: int, after: int, corner: Corner, apart: _Meeting) -> _Meeting:
        """Rails of two posts carried on to meet at the vertex, where both lines reach it alike."""
        line_a, line_b = self.lines[k], self.lines[after]
        last, first = vertex_stations(self.path.legs[k], self.path.legs[after])
        top_a, top_b = line_a.top_at_station(last), line_b.top_at_station(first)
        level = abs(top_a[2] - top_b[2]) < _SAME_MM
        if not level or twist_deg(line_a.frame, line_b.frame) >= _NO_TWIST_DEG:
            return apart
        if corner.rail == "butt":
            return self._butt(k, after, top_a)
        end, start = miter_cuts(line_a, line_b, top_a)
        joint = self.legs[after].stations[0] if corner.rail == "return" else None
        return _Meeting(end, start, joint_mm=joint)

    def _butt(self, k: int, after: int, vertex: Vec3) -> _Meeting:
        """The rail before runs on to the far side of the rail after, which ends at its near side.

        The later leg ends here, so it leaves the gap for its own growth in heat.
        """
        a, b = self.path.legs[k], self.path.legs[after]
        half = self.job.system.rail.width_mm / 2
        turn = 1.0 if turn_between(a, b) > 0 else -1.0
        outer = scale(left_of(b.bearing_deg), -turn)
        inner = scale(left_of(a.bearing_deg), turn)
        gap = self._expansion(after)
        end = cut_by(self.lines[k], add(vertex, scale(outer, half)), outer, "butt")
        start = cut_by(self.lines[after], add(vertex, scale(inner, half + gap)), inner, "butt")
        return _Meeting(end, start)

    def _expansion(self, k: int) -> float:
        """Growth of a leg's rail over half the temperature range, set in the middle of it."""
        name = self.job.system.rail.material
        expansion = next(
            (m.expansion_per_k for m in self.job.system.materials if m.name == name), 0.0
        )
        spots = self.legs[k]
        length = (spots.stations[-1] - spots.stations[0]) * spots.line.stretch
        return expansion * length * self.job.guard.temperature_k / 2
