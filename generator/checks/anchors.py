"""`anchor.blocking` and `anchor.edge`: whether every anchor goes into wood, and how near its edges.

The boards are read from the parts below; where a bolt runs is read from the bolt.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from generator.checks.outcome import Bound, Outcome, fine, rule_bound
from generator.frozen import dataclass
from generator.geometry import Vec2, along
from generator.parts.assembly import Assembly, Part, PostDetail, detail_of
from generator.parts.report import Edit
from generator.parts.shapes import Turned
from generator.parts.timber import Board, Ground, Hold, board, held, hold, inside, structural
from generator.spec.job import Job

Remedy = tuple[str, tuple[Edit, ...]]
"""Words, and changes of the spec."""

# Boards are looked for this far about a bolt.
_REACH_MM = 50.0
# A washer may reach over an edge by this much.
_WASHER_MM = 0.5
# What a bolt passes by less than this it does not hold in.
_LEAST_MM = 5.0


@dataclass(frozen=True, slots=True)
class _Bolt:
    """An anchor, what its axis goes into below its plate, and the boards that it must meet there.

    `entered` is the board that the edge distance is measured in, None where it meets no wood, and
    `seat` the framing that its nut would bear on, of one that comes down from above;
    `through`: it comes down from above and wants a nut below; `ends_in` is the rim of the next side
    whose end grain it runs into at a corner.
    """

    anchor: Part
    entered: Hold | None
    fastened: bool
    through: bool
    seat: Hold | None = None
    ends_in: str = ""


def check_anchors(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the posts whose anchors miss wood or come near its edges, else the worst of a leg."""
    job = assembly.job
    by_post: dict[str, list[Part]] = {}
    for anchor in assembly.of_kind("anchor"):
        by_post.setdefault(anchor.belongs_to, []).append(anchor)
    if not by_post:
        return
    if job.structure is None:
        first = next(iter(by_post))
        yield _untold((first,), len(by_post), "no structure given: fastening not checked")
        return
    wood = _Wood(assembly)
    found: list[Outcome] = []
    untold: list[str] = []
    for mark, anchors in by_post.items():
        post = assembly.by_mark[mark]
        bolts = wood.bolts(post, anchors)
        if bolts is None:
            untold.append(mark)
        else:
            found += [*_blocking(assembly, post, bolts), *_edges(assembly, post, bolts)]
            found += [*_buried(post, bolts), *_end_grain(post, bolts)]
            found += _washers(job, post, bolts)
    yield from _told(assembly, found)
    if untold:
        what = f"what {_listed(untold)} {_verb('stand', untold)} on is not told"
        yield _untold(tuple(untold), len(untold), f"{what}: fastening not checked there")


def _told(assembly: Assembly, found: Sequence[Outcome]) -> Iterator[Outcome]:
    """Every warning; of what passes, and of notes alike, one a leg: the worst."""
    groups: dict[tuple[object, ...], list[Outcome]] = {}
    for outcome in found:
        part = assembly.by_mark[outcome.where[0]]
        warns = not outcome.passed and outcome.severity != "note"
        bound = outcome.bound
        key = (outcome.code, outcome.severity, bound.sense, bound.clause, outcome.passed)
        place = (outcome.where,) if warns else (part.run, part.leg)
        groups.setdefault((*key, *place), []).append(outcome)
    for outcomes in groups.values():
        pick = max if outcomes[0].bound.sense == "at most" else min
        worst = pick(outcomes, key=lambda one: one.measured)
        more = len(outcomes) - 1
        if more and worst.severity == "note":
            others = [one.where[0] for one in outcomes if one is not worst]
            words = f"{worst.message}; so at {more} more of this leg: {_listed(others)}"
            worst = replace(worst, message=words)
        yield worst


def _untold(where: tuple[str, ...], posts: int, message: str) -> Outcome:
    return Outcome(
        "anchor.blocking",
        where,
        float(posts),
        Bound(None, "none", "count", "common practice", "no source", False),
        message,
        "tell what the posts stand on: structure, with its joists",
        severity="note",
    )


class _Wood:
    """The boards below the posts, found by where they lie."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self._framing = Ground(board(part) for part in assembly.parts if structural(part))
        self._treads = Ground(board(part) for part in assembly.of_kind("tread"))
        self._stairs = {(part.run, part.leg) for part in assembly.of_kind("stringer")}
        self._ramps = {m for leg in assembly.legs if leg.kind == "ramp" for m in leg.posts}
        self._through = assembly.job.system.anchor.style == "through-bolt"

    def bolts(self, post: Part, anchors: Sequence[Part]) -> list[_Bolt] | None:
        """A post's anchors with what they meet; None where the job does not tell what is there."""
        detail = detail_of(post, PostDetail)
        structure = self.assembly.job.structure
        assert structure is not None
        if detail.mount == "fascia":
            told = structure.joists or (post.run, post.leg) in self._stairs
            return [self._beside(anchor) for anchor in anchors] if told else None
        if detail.place == "tread":
            carried = (post.run, post.leg) in self._stairs
            return [self._on_tread(anchor, detail.base_z_mm, carried) for anchor in anchors]
        unframed = post.mark in self._ramps or detail.place == "lower-floor"
        if structure.joists is None or unframed:
            return None
        return [self._under(anchor) for anchor in anchors]

    def _under(self, anchor: Part) -> _Bolt:
        """Straight down through decking into joist, rim or blocking."""
        point, near = self._below(anchor)
        entered = held(point, near)
        return _Bolt(anchor, entered, entered is not None, self._through, entered)

    def _on_tread(self, anchor: Part, base_mm: float, carried: bool) -> _Bolt:
        """Through a tread, whose edges count, and what lies below it where stringers carry it."""
        point, near = self._below(anchor)
        treads = [
            one
            for one in self._treads.near(point, _REACH_MM)
            if abs(one.high_mm - base_mm) < 1.0 and inside(one.plan, point)
        ]
        entered = hold(point, treads[0], ()) if treads else None
        seat = held(point, near)
        return _Bolt(anchor, entered, not carried or seat is not None, False, seat)

    def _beside(self, anchor: Part) -> _Bolt:
        """Level into a stringer, or through fascia and rim into the blocking behind."""
        length = _length(anchor)
        x, y, _ = along(anchor.place.origin, anchor.place.z, -length / 2)
        near = [
            seen
            for one in self._framing.near((x, y), length)
            for seen in (board(self.assembly.by_mark[one.mark], anchor.place),)
            if seen.meets(_LEAST_MM - length, -_LEAST_MM)
        ]
        passed = [one for one in near if inside(one.plan, (0.0, 0.0))]
        passed.sort(key=lambda one: -one.low_mm)  # first what lies across the bolt
        kinds = {one.kind for one in passed}
        fronts = [one for one in passed if one.kind in ("rim", "stringer")]
        beside = [one for one in near if one.kind == "rim"]
        entered = hold((0.0, 0.0), fronts[0], beside) if fronts else None
        # At a corner it goes on into the rim of the next side, end on.
        behind = [one.mark for one in passed if one.kind == "rim" and one not in fronts[:1]]
        ends_in = behind[0] if behind and "blocking" not in kinds else ""
        fastened = "stringer" in kinds or {"rim", "blocking"} <= kinds or bool(ends_in)
        return _Bolt(anchor, entered, fastened, False, ends_in=ends_in)

    def _below(self, anchor: Part) -> tuple[Vec2, list[Board]]:
        """Where the middle of an anchor's shank stands, and the framing that it reaches."""
        length, out = _length(anchor), anchor.place.z
        x, y, z = along(anchor.place.origin, out, -length / 2)
        low, high = z - length / 2, z + length / 2
        near = self._framing.near((x, y), _REACH_MM)
        return (x, y), [one for one in near if one.meets(low + _LEAST_MM, high - _LEAST_MM)]


def _length(anchor: Part) -> float:
    """Under the head."""
    shape = anchor.shape
    assert isinstance(shape, Turned)
    return -min(step.start_mm for step in shape.steps)


def _blocking(assembly: Assembly, post: Part, bolts: Sequence[_Bolt]) -> Iterator[Outcome]:
    missed = [bolt.anchor for bolt in bolts if not bolt.fastened]
    names = _listed([part.mark for part in missed])
    remedy: Remedy = ("", ())
    if missed:
        from generator.checks.anchor_remedies import put_wood_there

        remedy = put_wood_there(assembly, post)
    yield Outcome(
        "anchor.blocking",
        (post.mark, *(part.mark for part in missed)),
        float(len(missed)),
        Bound(0.0, "at most", "count", "common practice", "no source", False),
        f"{names} of {post.mark} {_verb('meet', missed)} neither framing nor blocking",
        *remedy,
        point=missed[0].place.origin if missed else None,
    )


def _edges(assembly: Assembly, post: Part, bolts: Sequence[_Bolt]) -> Iterator[Outcome]:
    job = assembly.job
    diameter = job.system.anchor.diameter_mm
    met = [(bolt.anchor, bolt.entered) for bolt in bolts if bolt.entered]
    if not met:
        return
    anchor, at = min(met, key=lambda one: one[1].free_mm)
    if math.isfinite(at.free_mm):
        bound = _times(rule_bound(job, "practice.bolt-edge", "at least"), diameter)
        remedy: Remedy = ("", ())
        if not bound.keeps(at.free_mm):
            from generator.checks.anchor_remedies import off_the_edge

            remedy = off_the_edge(assembly, post, at.board)
        yield Outcome(
            "anchor.edge",
            (anchor.mark, at.board.mark),
            at.free_mm,
            bound,
            f"{anchor.mark} of {post.mark} is {fine(job, at.free_mm)} from the edge of "
            f"{at.board.mark}",
            *remedy,
            point=anchor.place.origin,
        )
    anchor, at = min(met, key=lambda one: one[1].joint_mm)
    joint = Outcome(
        "anchor.edge",
        (anchor.mark, at.board.mark, at.joined),
        at.joint_mm,
        _times(rule_bound(job, "practice.bolt-joint", "at least"), diameter),
        f"{anchor.mark} of {post.mark} comes down {fine(job, at.joint_mm)} from the joint of "
        f"{at.board.mark} and {at.joined}, and holds in neither",
        "move the post, so that its bolts stand clear of the joist: guard.snap_to_joists",
        point=anchor.place.origin,
        severity="note",
    )
    if not joint.passed:
        yield joint


def _buried(post: Part, bolts: Sequence[_Bolt]) -> Iterator[Outcome]:
    """Through bolts that end inside a joist or rim, where no nut can be put on."""
    found = []
    for bolt in bolts:
        if bolt.through and bolt.entered and bolt.anchor.place.z[2] > 0.5:
            tip = along(bolt.anchor.place.origin, bolt.anchor.place.z, -_length(bolt.anchor))
            if tip[2] > bolt.entered.board.low_mm + _LEAST_MM:
                found.append((bolt.anchor.mark, bolt.entered.board.mark))
    if found:
        what = ("come", "down on {boards}, where a through bolt takes no nut")
        yield _ill_placed(post, found, what, "move the post, or have the fastening there designed")


def _washers(job: Job, post: Part, bolts: Sequence[_Bolt]) -> Iterator[Outcome]:
    """Through bolts in blocks whose washer under the nut reaches over the block's edge."""
    washer = job.system.anchor.nut_washer_mm
    if job.system.anchor.style != "through-bolt":
        return
    rooms: list[tuple[float, str]] = []
    for bolt in bolts:
        if bolt.seat and bolt.seat.board.kind == "blocking":
            room = min(bolt.seat.free_mm, bolt.seat.joint_mm)
            if room < washer / 2 - _WASHER_MM:
                rooms.append((room, bolt.anchor.mark))
    if rooms:
        marks, least = [mark for _, mark in rooms], min(rooms)[0]
        yield Outcome(
            "anchor.edge",
            (post.mark, *marks),
            least,
            Bound(washer / 2, "at least", "mm", "whole washer on wood", "geometry", True),
            f"the washer under the nut, {fine(job, washer)} across, has no room at "
            f"{_listed(marks)} of {post.mark}: the block ends {fine(job, least)} from a bolt. "
            "Bearing is calculated for the whole washer, and does not hold there",
            "have a bearing plate designed for these bolts, or move the post, so that the whole "
            "washer lies on the block",
            severity="note",
        )


def _end_grain(post: Part, bolts: Sequence[_Bolt]) -> Iterator[Outcome]:
    """Side bolts that run into a rim end on, where a screw holds less than across the grain."""
    found = [(bolt.anchor.mark, bolt.ends_in) for bolt in bolts if bolt.ends_in]
    if found:
        what = ("run", "into the end grain of {boards}, which holds a screw less")
        remedy = (
            "stand solid blocking in the corner behind both rims, or move the post from the corner"
        )
        yield _ill_placed(post, found, what, remedy)


def _ill_placed(
    post: Part, found: Sequence[tuple[str, str]], what: tuple[str, str], remedy: str
) -> Outcome:
    """A note of (bolt, board) marks; `what` is a verb and what follows, with the boards' place."""
    verb, told = what
    marks = [mark for mark, _ in found]
    boards = _listed(sorted({board for _, board in found}))
    return Outcome(
        "anchor.blocking",
        (post.mark, *marks),
        float(len(found)),
        Bound(0.0, "at most", "count", "common practice", "no source", False),
        f"{_listed(marks)} of {post.mark} {_verb(verb, marks)} {told.format(boards=boards)}",
        remedy,
        severity="note",
    )


def _times(bound: Bound, diameter_mm: float) -> Bound:
    """A limit told in diameters of the bolt."""
    assert bound.value is not None
    return Bound(
        bound.value * diameter_mm, bound.sense, "mm", bound.clause, bound.edition, bound.verified
    )


def _verb(stem: str, subjects: Sequence[object]) -> str:
    return f"{stem}s" if len(subjects) == 1 else stem


def _listed(marks: Sequence[str]) -> str:
    return ", ".join(marks)
