"""What clears a clash: how far to move which part, and the change of the spec that does it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generator.checks.contacts import BASE_KINDS, END_KINDS
from generator.checks.corners import as_pair
from generator.checks.outcome import Bound, round_down, round_up, shop
from generator.frozen import dataclass
from generator.geometry import Vec3, dot, heading, left_of, scale, sub
from generator.parts.assembly import Assembly, LegLine, Part
from generator.parts.report import Edit
from generator.parts.shapes import Prism, Route
from generator.spec.job import Job, Level, Ramp, Stair

# Parts of a shift that are less than this share of it are not told.
_SMALL = 0.1
# Nobody moves a whole guard further than this for what stands in its way: 12 in.
_FAR_MM = 304.8
_LOW = frozenset(("base-plate", "tread", "deck", "floor", "riser"))
_Span = tuple[float, float]
_UP: Vec3 = (0.0, 0.0, 1.0)
_HANDRAILS = frozenset(("handrail", "handrail-bracket"))


@dataclass(frozen=True, slots=True)
class Clash:
    """Two parts and how far they are apart, against what; `way` is from the second to the first.

    `cleared_mm` is how far the first goes that way to clear the second, where that is more than
    what their nearest bodies lack.
    """

    first: Part
    second: Part
    distance: float
    bound: Bound
    point: Vec3
    way: Vec3
    cleared_mm: float = 0.0

    @property
    def move(self) -> float:
        """How far the first part is moved along the way to keep its limit."""
        return max(self.cleared_mm, self.excess)

    @property
    def excess(self) -> float:
        """How far it is past its limit, negative where it keeps it."""
        return (self.bound.value or 0.0) - self.distance


def name(part: Part) -> str:
    """Kind and mark; an obstacle by what it is called."""
    what = part.item if part.kind == "obstacle" else part.kind.replace("-", " ")
    return f"{what} {part.mark}"


class Reaches:
    """How far the built parts of legs reach: along them, up, and toward the walking side.

    A leg is measured when it is asked for, and once.
    """

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self._parts: dict[tuple[str, int], list[Part]] = {}
        self._known: dict[tuple[str, int], list[tuple[_Span, _Span, _Span]]] = {}

    def of(self, leg: LegLine) -> list[tuple[_Span, _Span, _Span]]:
        """(along, up, inward) of each part of a leg."""
        key = (leg.run, leg.number)
        if not self._parts:
            for part in self.assembly.parts:
                if not part.reference:
                    self._parts.setdefault((part.run, part.leg), []).append(part)
        if key not in self._known:
            ways = (heading(leg.bearing_deg), _UP, _inward(leg))
            self._known[key] = [
                (reach(part, ways[0]), reach(part, ways[1]), reach(part, ways[2]))
                for part in self._parts.get(key, ())
            ]
        return self._known[key]


def remedy(reaches: Reaches, clash: Clash, after: LegLine | None) -> tuple[str, tuple[Edit, ...]]:
    """Words and edits; `after` is the later leg of a post that two legs share, if it is there."""
    assembly = reaches.assembly
    a, b = clash.first, clash.second
    words = f"move {name(a)} {_shift(assembly, clash)}"
    if not b.reference or b.kind == "obstacle":
        words += f", or {name(b)} as far the other way"
    if after:
        edits = as_pair(assembly.job, after)
        return f"two posts at the corner (corner: pair) or another cable spacing, or {words}", edits
    edit = next(_edits(reaches, clash), None)
    if edit is None:
        return words, ()
    return f"{words}; in the spec, {edit.path}: {edit.value}", (edit,)


def _edits(reaches: Reaches, clash: Clash) -> Iterator[Edit]:
    assembly = reaches.assembly
    job = assembly.job
    a, b = clash.first, clash.second
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    leg, other = legs.get((a.run, a.leg)), legs.get((b.run, b.leg))
    if leg is None:
        return
    if b.kind == "obstacle":
        yield from _past_obstacle(reaches, leg, clash)
    elif b.kind == "wall":
        yield from _off_wall(job, leg, clash)
    elif {a.kind, b.kind} & _HANDRAILS:
        yield from _off_handrail(job, leg, clash)
    elif b.kind in _LOW and a.kind in ("cable", *END_KINDS):
        yield from raised(job, clash.move, clash.way[2])
    elif b.kind == "deck" and a.kind in ("post", *BASE_KINDS) and clash.way[2] < _SMALL:
        yield from _less_overhang(job, leg, clash)
    elif other and other is not leg and a.run == b.run:
        yield from _wider_pair(assembly, leg, other, clash)


def _past_obstacle(reaches: Reaches, leg: LegLine, clash: Clash) -> Iterator[Edit]:
    """The guard line moved, whichever way is shorter, until the leg lies beside the obstacle."""
    job = reaches.assembly.job
    item = _item(job, leg)
    if item is None or getattr(item, "mount", None) == "fascia" or job.guard.mount == "fascia":
        return
    if isinstance(item, Stair) and item.posts == "stringer":
        return
    inset = job.guard.edge_inset_mm if item.inset_mm is None else item.inset_mm
    path = "guard.edge_inset" if item.inset_mm is None else f"{item.path}.inset"
    inward, outward = _beside(reaches, leg, clash)
    edge = job.rules.limit("practice.post-edge").value + job.system.post.plate_mm / 2
    ways = [(inward, round_up(job, inset + inward))]
    if inset - outward >= edge:
        ways.append((outward, round_down(job, inset - outward)))
    shift, target = min(ways)
    if shift <= _FAR_MM:
        yield Edit(path, shop(job, target))


def _beside(reaches: Reaches, leg: LegLine, clash: Clash) -> tuple[float, float]:
    """How far a leg moves toward the walking side, or away, so that all of it clears a body."""
    clear = clash.bound.value or 0.0
    low, high = reach(clash.second, _inward(leg))
    start, end = reach(clash.second, heading(leg.bearing_deg))
    bottom, top = reach(clash.second, _UP)
    shift_in = shift_out = 0.0
    for along, up, own in reaches.of(leg):
        beyond = along[0] > end + clear or along[1] < start - clear
        if beyond or up[0] > top + clear or up[1] < bottom - clear:
            continue
        shift_in = max(shift_in, high + clear - own[0])
        shift_out = max(shift_out, own[1] + clear - low)
    return shift_in, shift_out


def reach(part: Part, way: Vec3) -> _Span:
    """Least and greatest measure of a part along a direction."""
    shape, place = part.shape, part.place
    if isinstance(shape, Prism):
        outline, girth = shape.section.outer.corners, 0.0
        points = [(x, y, cut.at(x, y)) for cut in (shape.start, shape.end) for x, y in outline]
    elif isinstance(shape, Route):
        points, girth = list(shape.points), shape.diameter_mm / 2
    else:
        points = [(0.0, 0.0, z) for step in shape.steps for z in (step.start_mm, step.end_mm)]
        girth = max(step.outer_mm for step in shape.steps) / 2
    told = [dot(place.point(point), way) for point in points]
    return min(told) - girth, max(told) + girth


def _off_wall(job: Job, leg: LegLine, clash: Clash) -> Iterator[Edit]:
    wall = clash.second
    along = abs(dot(clash.way, heading(leg.bearing_deg)))
    if (wall.run, wall.leg) == (leg.run, leg.number) and along > _SMALL:
        gap = job.guard.wall_gap_mm + clash.move / along
        yield Edit("guard.wall_gap", shop(job, round_up(job, gap)))


def _off_handrail(job: Job, leg: LegLine, clash: Clash) -> Iterator[Edit]:
    aside = abs(dot(clash.way, _inward(leg)))
    if job.handrail and not job.handrail.elsewhere and aside > _SMALL:
        room = job.handrail.clearance_mm + clash.move / aside
        yield Edit("handrail.clearance", shop(job, round_up(job, room)))


def raised(job: Job, excess: float, up: float) -> Iterator[Edit]:
    """The lowest cable higher by what is missing, if nothing then passes below it."""
    if up <= _SMALL:
        return
    gap = round_up(job, job.guard.bottom_gap_mm + excess / up)
    if gap < job.rules.limit("opening.bottom").value - 1e-6:
        yield Edit("guard.bottom_gap", shop(job, gap))


def _less_overhang(job: Job, leg: LegLine, clash: Clash) -> Iterator[Edit]:
    """Decking cut back from a post that stands outside the fascia."""
    aside = abs(dot(clash.way, _inward(leg)))
    if job.structure is None or aside <= _SMALL:
        return
    left = job.structure.overhang_mm - clash.move / aside
    if left >= 0.0:
        yield Edit("structure.overhang", shop(job, round_down(job, left)))


def _wider_pair(assembly: Assembly, leg: LegLine, other: LegLine, clash: Clash) -> Iterator[Edit]:
    """The two posts of a corner set further from it; both move, each along its own leg."""
    before, after, way = leg, other, clash.way
    if leg.number > other.number:
        before, after, way = other, leg, scale(clash.way, -1.0)
    if after.number != before.number + 1 or {before.end_joint, after.start_joint} != {"pair"}:
        return
    if "stair" in (before.kind, after.kind):
        return
    ahead, on = heading(before.bearing_deg), heading(after.bearing_deg)
    gain = -dot(way, ahead) - dot(way, on)
    offset = _pair_offset(assembly, before, after)
    if gain > _SMALL and offset is not None:
        wider = round_up(assembly.job, offset + clash.move / gain)
        yield Edit("guard.pair_offset", shop(assembly.job, wider))


def _pair_offset(assembly: Assembly, before: LegLine, after: LegLine) -> float | None:
    """From where the guard lines of two legs meet to the post of the first; as told, if it is."""
    told = assembly.job.guard.pair_offset_mm
    if told:
        return told
    between = sub(after.guard_start, before.guard_end)
    ahead, on = heading(before.bearing_deg), heading(after.bearing_deg)
    across = ahead[0] * on[1] - ahead[1] * on[0]
    if abs(across) < 1e-6:
        return math.hypot(between[0], between[1]) / 2
    offset = (between[0] * on[1] - between[1] * on[0]) / across
    return offset if offset > 0.0 else None


def _item(job: Job, leg: LegLine) -> Level | Ramp | Stair | None:
    for run in job.runs:
        for item in run.legs:
            if item.path == leg.path and isinstance(item, Level | Ramp | Stair):
                return item
    return None


def _inward(leg: LegLine) -> Vec3:
    return scale(left_of(leg.bearing_deg), 1.0 if leg.deck == "left" else -1.0)


def _shift(assembly: Assembly, clash: Clash) -> str:
    """The least move of the first part that clears the second, as people say it, rounded up.

    Moved on along the way from the second part by what is missing, it keeps its limit; so it does
    if each of the parts of that move is larger.
    """
    away = {words: dot(clash.way, axis) for axis, words in _directions(assembly, clash)}
    told = {words: size for words, size in away.items() if abs(size) > _SMALL}
    if not told:
        # One axis lies in the other: any way across parts them.
        told = {("up", "down"): 1.0}
    stretch = clash.move / sum(size**2 for size in told.values())
    moves = [
        f"{shop(assembly.job, round_up(assembly.job, abs(size) * stretch))} {words[size < 0.0]}"
        for words, size in told.items()
    ]
    return " and ".join(moves)


def _directions(assembly: Assembly, clash: Clash) -> Iterator[tuple[Vec3, tuple[str, str]]]:
    """Axes with the words for either sense: those of the leg of the clash, else the compass's."""
    yield (0.0, 0.0, 1.0), ("up", "down")
    legs = {(leg.run, leg.number): leg for leg in assembly.legs}
    for part in (clash.first, clash.second):
        leg = legs.get((part.run, part.leg))
        if leg:
            yield heading(leg.bearing_deg), (f"on along {leg.label}", f"back along {leg.label}")
            yield _inward(leg), ("toward the walking side", "away from the walking side")
            return
    yield (1.0, 0.0, 0.0), ("east", "west")
    yield (0.0, 1.0, 0.0), ("north", "south")


def worst_of(alike: Sequence[Clash]) -> Clash:
    """The one that is furthest past its limit."""
    return max(alike, key=lambda clash: clash.excess)
