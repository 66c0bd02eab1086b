"""Where a block lies between boards: what bounds it along and across, and how its ends are cut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from generator.frozen import dataclass
from generator.geometry import Frame, Vec2, heading, left_of
from generator.parts.shapes import Prism
from generator.parts.timber import Board, Laid, Plan, clipped, inside, laid, sides

_EPS_MM = 1e-6
_CROSSING = 0.5
_LEAST_MM = 10.0
# Plans that overlap by less are cut to fit.
_SAW_MM = 0.1
# Room beside a bolt that is worth another way of cutting a block's end.
_EDGE_ROOM_MM = 15.0


@dataclass(frozen=True, slots=True)
class Site:
    """A block's own plan, (a, b) along it and across it from a post, and its upper face.

    `hand` is 1 where b points to the left of a, -1 to the right, so that a mirrored deck has the
    same plan. The upper face passes through `top_mm` at the post, rising by `slope` along a and by
    `cross` along b.
    """

    origin: Vec2
    bearing_deg: float
    hand: float
    top_mm: float
    slope: float = 0.0
    cross: float = 0.0

    @property
    def axes(self) -> tuple[Vec2, Vec2]:
        """Unit vectors of a and b in the world."""
        (ax, ay, _), (bx, by, _) = heading(self.bearing_deg), left_of(self.bearing_deg)
        return (ax, ay), (bx * self.hand, by * self.hand)

    def local(self, point: Vec2) -> Vec2:
        return self.turned((point[0] - self.origin[0], point[1] - self.origin[1]))

    def turned(self, vector: Vec2) -> Vec2:
        """Components along a and b of a direction of the world."""
        a, b = self.axes
        return (vector[0] * a[0] + vector[1] * a[1], vector[0] * b[0] + vector[1] * b[1])

    def world(self, point: Vec2) -> Vec2:
        a, b = self.axes
        return (
            self.origin[0] + a[0] * point[0] + b[0] * point[1],
            self.origin[1] + a[1] * point[0] + b[1] * point[1],
        )

    def seen(self, one: Board) -> Plan:
        """A board's plan, counter-clockwise in (a, b)."""
        plan = tuple(self.local(point) for point in one.plan)
        return plan if self.hand > 0 else plan[::-1]

    def facing(self, normal: Vec2, least: float, firm: bool = True) -> Facing:
        """A limit that the world sets: points lie where n.p is `least` or more."""
        at_post = normal[0] * self.origin[0] + normal[1] * self.origin[1]
        return Facing(self.turned(normal), least - at_post, firm)


@dataclass(frozen=True, slots=True)
class Stock:
    """What a block is cut from, as it lies: `width_mm` across, `depth_mm` down.

    `edge_mm`, `end_mm` are what a bolt keeps from its sides and, where it meets nothing, its ends.
    """

    width_mm: float
    depth_mm: float
    edge_mm: float
    end_mm: float


@dataclass(frozen=True, slots=True)
class Block:
    """One block: its sides at the two b of `band`, its ends at a on the far and the near side."""

    site: Site
    depth_mm: float
    band: Vec2
    start: Vec2
    end: Vec2

    @property
    def width_mm(self) -> float:
        return self.band[1] - self.band[0]

    def laid(self) -> tuple[Prism, Frame]:
        site, middle = self.site, (self.band[0] + self.band[1]) / 2
        top = (*site.world((0.0, middle)), site.top_mm + site.cross * middle)
        at = Laid(top, site.bearing_deg, site.slope, site.cross)
        start, end = self.start, self.end
        if site.hand < 0:
            start, end = (start[1], start[0]), (end[1], end[0])
        return laid(at, self.width_mm, self.depth_mm, start, end)

    def top(self, point: Vec2) -> float:
        """Height of its upper face at a point in plan: level across, as `laid` has it."""
        site, middle = self.site, (self.band[0] + self.band[1]) / 2
        along, _ = site.local(point)
        lowered = abs(site.cross) * self.width_mm / 2
        return site.top_mm + site.cross * middle - lowered + site.slope * along

    @property
    def plan(self) -> Plan:
        """Counter-clockwise in (a, b)."""
        (left_0, right_0), (left_1, right_1) = self.start, self.end
        right, left = self.band
        return ((right_0, right), (right_1, right), (left_1, left), (left_0, left))

    def board(self, mark: str) -> Board:
        """As seen from above, level."""
        seen = tuple(self.site.world(corner) for corner in self.plan)
        seen = seen if self.site.hand > 0 else seen[::-1]
        return Board(mark, "blocking", seen, self.site.top_mm - self.depth_mm, self.site.top_mm)


@dataclass(frozen=True, slots=True)
class Facing:
    """The side of a board that looks at some points: they lie where n.p is `least` or more.

    One that is not `firm` is a board beyond what is shown: it counts where nothing else is met.
    """

    normal: Vec2
    least: float
    firm: bool = True

    def keeps(self, point: Vec2) -> bool:
        a, b = point
        return self.normal[0] * a + self.normal[1] * b >= self.least - _EPS_MM

    @property
    def across(self) -> bool:
        """Whether a block runs up against it, rather than along it."""
        return abs(self.normal[0]) >= _CROSSING - 1e-9

    @property
    def ahead(self) -> float:
        """1 where it bounds a block's end, -1 where its start."""
        return -math.copysign(1.0, self.normal[0])

    def at(self, b: float) -> float:
        """a of the side at b."""
        return (self.least - self.normal[1] * b) / self.normal[0]

    def beside(self, a: float) -> float:
        """b of the side at a."""
        return (self.least - self.normal[0] * a) / self.normal[1]


def lay_blocks(
    site: Site,
    bolts: Sequence[Vec2],
    near: Sequence[Board],
    stock: Stock,
    limits: Sequence[Facing] = (),
) -> Iterator[Block]:
    """Blocks side by side, as few as hold all bolts of one bay, clear of the boards near.

    Where boards stand between the bolts each gets a block of its own.
    """
    plans = [site.seen(one) for one in near]
    places = (site.local(beside(bolt, near)) for bolt in bolts)
    core = sorted((p for p in places if all(side.keeps(p) for side in limits)), key=_from_edge)
    if not core:
        return
    blocks = list(_side_by_side(site, core, plans, stock, limits))
    if len(core) == 1 or all(any(_in(block, point) for block in blocks) for point in core):
        yield from blocks
        return
    found: list[Block] = []
    for point in core:
        if any(_in(block, point) for block in found):
            continue
        around = [*plans, *(block.plan for block in found)]
        for block in _side_by_side(site, [point], around, stock, limits):
            found.append(block)
            yield block


def _from_edge(point: Vec2) -> Vec2:
    """Orders points from the near side on, whatever rounding does to points in a row."""
    return (round(point[1], 3), round(point[0], 3))


def _in(block: Block, point: Vec2) -> bool:
    return inside(block.plan, point)


def _side_by_side(
    site: Site,
    core: Sequence[Vec2],
    plans: Sequence[Plan],
    stock: Stock,
    limits: Sequence[Facing],
) -> Iterator[Block]:
    """Blocks over the whole reach of some points, none of which lies in a board."""
    reach = min(a for a, _ in core), max(a for a, _ in core)
    low, high = -math.inf, math.inf
    for side in (*limits, *_facings(plans, core)):
        if side.across:
            continue
        if side.normal[1] > 0.0:
            low = max(low, *(side.beside(a) for a in reach))
        else:
            high = min(high, *(side.beside(a) for a in reach))
    for band in bands([b for _, b in core], (low, high), stock):
        here = [point for point in core if band[0] - 1.0 <= point[1] <= band[1] + 1.0]
        for block in lay_block(site, here or core, plans, stock, band, limits):
            if all(apart(block.plan, plan) for plan in plans):
                yield block


def apart(a: Plan, b: Plan) -> bool:
    """Whether two convex plans overlap by no more than a saw's width."""
    for one, other in ((a, b), (b, a)):
        for (x0, y0), (x1, y1) in sides(one):
            size = math.hypot(x1 - x0, y1 - y0)
            if size < _EPS_MM:
                continue
            nx, ny = (y1 - y0) / size, (x0 - x1) / size
            if min((x - x0) * nx + (y - y0) * ny for x, y in other) > -_SAW_MM:
                return True
    return False


def bands(places: Sequence[float], between: Vec2, stock: Stock) -> Iterator[Vec2]:
    """Strips of the stock's width that hold the places, the fewest, clear of each other.

    Each lies in the middle of what it holds, or against what bounds it; where there is no room for
    the whole width it is ripped.
    """
    low, high = between
    left = sorted(places)
    while left and high - low > _LEAST_MM:
        held = [b for b in left if b - left[0] <= stock.width_mm - 2 * stock.edge_mm + _EPS_MM]
        start = max((held[0] + held[-1] - stock.width_mm) / 2, low)
        start = max(min(start, high - stock.width_mm), low)
        end = min(start + stock.width_mm, high)
        yield start, end
        left = [b for b in left if b > end - stock.edge_mm + _EPS_MM and b not in held[:1]]
        low = end


def lay_block(
    site: Site,
    core: Sequence[Vec2],
    plans: Iterable[Plan],
    stock: Stock,
    band: Vec2,
    limits: Sequence[Facing] = (),
) -> Iterator[Block]:
    """The block in a strip about some points, from board to board; none where there is no room.

    Where two boards meet at one of its ends and a bolt stands there, it is two blocks.
    """
    strip = [
        clipped(clipped(plan, (0.0, 1.0), band[0] + 0.01), (0.0, -1.0), 0.01 - band[1])
        for plan in plans
    ]
    met = [side for side in _facings(strip, core) if abs(side.normal[0]) > 1e-3]
    across = [side for side in limits if side.across]
    ahead, behind = (_toward(sign, met, across, core, stock) for sign in (1.0, -1.0))
    kinks = sorted({*_kinks(ahead, core, band), *_kinks(behind, core, band)})
    for strip_band in pairwise((band[0], *kinks, band[1])):
        end, start = _cut(ahead, core, strip_band), _cut(behind, core, strip_band)
        block = _trimmed(Block(site, stock.depth_mm, strip_band, start, end))
        if block and block.width_mm >= _LEAST_MM:
            yield block


def _trimmed(block: Block) -> Block | None:
    """A block ripped to where it is long enough to nail; None where it nowhere is."""
    left, right = (b - a for a, b in zip(block.start, block.end, strict=True))
    if max(left, right) < _LEAST_MM:
        return None
    if min(left, right) >= _LEAST_MM:
        return block
    # Share of the width, from the right, at which it is just long enough.
    at = (_LEAST_MM - right) / (left - right)
    cuts = [(right_a + (left_a - right_a) * at) for left_a, right_a in (block.start, block.end)]
    edge = block.band[0] + block.width_mm * at
    if right < left:
        band, start, end = (edge, block.band[1]), (block.start[0], cuts[0]), (block.end[0], cuts[1])
    else:
        band, start, end = (block.band[0], edge), (cuts[0], block.start[1]), (cuts[1], block.end[1])
    return replace(block, band=band, start=start, end=end)


def _toward(
    sign: float,
    met: Sequence[Facing],
    limits: Sequence[Facing],
    core: Sequence[Vec2],
    stock: Stock,
) -> list[Facing]:
    """What a block meets at one end: boards, else as far as wood asks from a bolt; limits hold."""
    firm = [side for side in limits if side.firm and side.ahead == sign]
    for found in (met, [side for side in limits if not side.firm]):
        ahead = [side for side in found if side.ahead == sign]
        if ahead:
            return [*ahead, *firm]
    place = max(a * sign for a, _ in core)
    return [Facing((-sign, 0.0), -place - stock.end_mm), *firm]


def _kinks(found: Sequence[Facing], core: Sequence[Vec2], band: Vec2) -> Iterator[float]:
    """Where a block is parted because one cut would keep it off a bolt that it can reach."""
    right, left = band
    ahead = found[0].ahead
    ends = _cut(found, core, band)
    short = False
    for a, b in core:
        cut = ends[1] + (ends[0] - ends[1]) * (b - right) / (left - right)
        reach = min(one.at(b) * ahead for one in found)
        short = short or ((cut - a) * ahead < _EDGE_ROOM_MM and reach - cut * ahead > 1.0)
    if not short:
        return
    for one, other in combinations(found, 2):
        run = one.normal[1] / one.normal[0] - other.normal[1] / other.normal[0]
        if abs(run) > 1e-6:
            b = (one.least / one.normal[0] - other.least / other.normal[0]) / run
            first = min(side.at(b) * ahead for side in found)
            if right < b < left and first > one.at(b) * ahead - _SAW_MM:
                yield b


def _cut(found: Sequence[Facing], core: Sequence[Vec2], band: Vec2) -> Vec2:
    """Stations (left, right) of an end that keeps clear of all it meets.

    Cut along one of them: the one that leaves most room beside the points, then most length.
    """
    ahead = found[0].ahead
    right, left = band
    best: tuple[tuple[float, float], Vec2] | None = None
    for one in found:
        clear = min((other.at(b) - one.at(b)) * ahead for other in found for b in band)
        ends = (one.at(left) + clear * ahead, one.at(right) + clear * ahead)
        room = min((one.at(min(max(b, right), left)) + clear * ahead - a) * ahead for a, b in core)
        worth = (round(min(room, _EDGE_ROOM_MM), 3), round((ends[0] + ends[1]) * ahead, 3))
        if best is None or worth > best[0]:
            best = (worth, ends)
    assert best is not None
    return best[1]


def _facings(plans: Iterable[Plan], core: Sequence[Vec2]) -> Iterator[Facing]:
    """Of every plan the side that looks at the points; none of a plan that they stand around."""
    for plan in plans:
        found: list[tuple[float, bool, Facing]] = []
        for (x0, y0), (x1, y1) in sides(plan) if plan else ():
            size = math.hypot(x1 - x0, y1 - y0)
            if size < _EPS_MM:
                continue
            normal = ((y1 - y0) / size, (x0 - x1) / size)
            least = normal[0] * x0 + normal[1] * y0
            gap = min(normal[0] * a + normal[1] * b - least for a, b in core)
            side = Facing(normal, least)
            if gap > -_EPS_MM:
                found.append((round(gap, 6), side.across, side))
        if found:
            yield max(found, key=lambda one: one[:2])[2]


def beside(point: Vec2, near: Iterable[Board]) -> Vec2:
    """A point in a board, shifted out of it through the side that is nearest."""
    for one in near:
        if inside(one.plan, point):
            return _shifted(point, one.plan)
    return point


def _shifted(point: Vec2, plan: Plan) -> Vec2:
    best: tuple[float, Vec2] = (math.inf, point)
    for (x0, y0), (x1, y1) in sides(plan):
        size = math.hypot(x1 - x0, y1 - y0)
        if size < _EPS_MM:
            continue
        nx, ny = (y1 - y0) / size, (x0 - x1) / size
        away = (x0 - point[0]) * nx + (y0 - point[1]) * ny
        if away < best[0]:
            out = away + 2 * _EPS_MM
            best = (away, (point[0] + nx * out, point[1] + ny * out))
    return best[1]
