"""What is counted and not placed: screws, what closes a bolt, caps, tape, bend sleeves, grout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from generator.parts.assembly import Consumable, Kind, Part, PostDetail, RailDetail
from generator.parts.shapes import Route
from generator.spec.job import Job
from generator.units import format_length_with_unit

_JOINED = ("joint on post", "miter")
_ON_BRACKET = "joint on bracket"
# Of a handrail bracket: two into the post, two up into the handrail. Common practice, no source.
_SCREWS_HELD = 4
# Common practice, no source: to either side of a joint one, into an arm one; into a rail's end and
# into what it ends at two each; at either end of a block two.
_SCREWS_SLEEVE, _SCREWS_ARM, _SCREWS_BUTT, _SCREWS_BLOCK = 2, 1, 4, 4


def consumables(job: Job, parts: Sequence[Part]) -> tuple[Consumable, ...]:
    """One line an item, those of none left out."""
    counts = Counter(part.kind for part in parts)
    anchor, rail = job.system.anchor, job.system.rail.name
    ends, held = (_ends(parts, kind) for kind in ("rail", "handrail"))
    # Of two rails that butt one is held by its end, the other runs past and wants a cap.
    butted = (ends["plumb butt"] + ends["butt"]) // 2
    butts = butted + ends["post face"]
    drops = ends["plumb drop"]
    caps = ends.total() - sum(ends[on] for on in _JOINED) - butts - drops
    cores = sum(1 for p in parts if isinstance(p.detail, PostDetail) and p.detail.mount == "core")
    through = anchor.style == "through-bolt"
    found = [
        _rail_screws(job, counts, butts),
        Consumable(
            "structural screw for blocking",
            f"{_SCREWS_BLOCK} a block, as long as its thickness asks for",
            _SCREWS_BLOCK * counts["blocking"],
            "fasteners",
            "base",
        ),
        *_washers(job, counts["anchor"]),
        Consumable(
            f"nut for {anchor.name}",
            "behind what it passes",
            through * counts["anchor"],
            "fasteners",
            "base",
        ),
        Consumable(f"end bracket for {rail}", "rail end to a post's face or a rail", butts),
        Consumable(f"connector for {rail} at a plumb drop", "rail over the nosing", drops // 2),
        Consumable(f"end cap for {rail}", "closes a rail end", caps),
        Consumable(
            "flange for a handrail's end",
            "return to a post's face, a rail's side or a wall",
            sum(held[on] for on in ("post face", "rail side", "wall")),
        ),
        Consumable("end cap for a handrail", "closes a return", held["cap"]),
        Consumable("dowel for a handrail", "inside a joint on a bracket", held[_ON_BRACKET] // 2),
        *_face_anchors(parts),
        _bend_sleeves(job, parts),
        *_barriers(job, counts),
        Consumable("non-shrink grout, one core", "post in a drilled core", cores, goes="base"),
    ]
    if not job.system.rail.sleeve_mm:
        joints, miters = (ends[on] // 2 for on in _JOINED)
        found += [
            Consumable(f"splice sleeve for {rail}", "inside a square joint on a post", joints),
            Consumable(f"corner connector for {rail}", "inside a mitered joint", miters),
        ]
    return tuple(item for item in found if item.count)


def nut_washer_item(job: Job) -> str:
    """What the washer behind the wood is ordered as; that of the head where both are alike."""
    anchor = job.system.anchor
    if anchor.nut_washer_mm <= anchor.washer_mm:
        return f"washer for {anchor.name}"
    size = format_length_with_unit(anchor.nut_washer_mm, job.metric)
    return f"large washer for {anchor.name}, {size} across"


def _washers(job: Job, anchors: int) -> Iterator[Consumable]:
    """Under every head, and behind the wood that a through bolt passes: there often a large one."""
    plain, behind = f"washer for {job.system.anchor.name}", nut_washer_item(job)
    through = job.system.anchor.style == "through-bolt"
    if not through or behind == plain:
        under = "under head and nut" if through else "under the head"
        yield Consumable(plain, under, (1 + through) * anchors, "fasteners", "base")
        return
    yield Consumable(plain, "under the head", anchors, "fasteners", "base")
    yield Consumable(behind, "under the nut, on the wood", anchors, "fasteners", "base")


def _rail_screws(job: Job, counts: Counter[str], butts: int) -> Consumable:
    """One kind of screw for all that holds the rail."""
    bracket = job.system.bracket
    arms = counts["handrail-bracket"]
    uses = (
        ("bracket up into the rail", "bracket", bracket.screws, counts["bracket"]),
        ("handrail bracket", "bracket", _SCREWS_HELD, arms),
        ("splice", "sleeve", _SCREWS_SLEEVE, counts["sleeve"]),
        ("mitered joint", "arm", _SCREWS_ARM, counts["connector"]),
        ("rail end", "end bracket", _SCREWS_BUTT, butts),
    )
    return Consumable(
        f"screw {bracket.screw}",
        "; ".join(f"{what}, {each} a {one}" for what, one, each, count in uses if count),
        sum(each * count for _, _, each, count in uses),
        "fasteners",
    )


def _bend_sleeves(job: Job, parts: Sequence[Part]) -> Consumable:
    """What a cable bends over where it leaves or enters a post that it passes (geometry.md B)."""
    routes = [p.shape for p in parts if p.kind == "cable" and isinstance(p.shape, Route)]
    bends = sum(len(route.points) - 2 for route in routes)
    return Consumable(
        f"bend sleeve for {job.system.cable.name}",
        "at the face of a post where a cable turns",
        bends,
        goes="cable",
    )


def _barriers(job: Job, counts: Counter[str]) -> Iterator[Consumable]:
    """Between aluminium plates and the wood, treated with copper, or concrete that they lie on.

    Common practice, no source.
    """
    post = job.system.post
    if not post.material.startswith("al-"):
        return
    lengths: tuple[tuple[Kind, float, float], ...] = (
        ("base-plate", post.plate_mm, post.plate_mm),
        ("side-plate", post.side_plate_mm, post.side_plate_height_mm),
    )
    for kind, width, length in lengths:
        size = " x ".join(format_length_with_unit(mm, job.metric) for mm in (width, length))
        yield Consumable(
            f"barrier tape, piece {size}",
            f"between {kind.replace('-', ' ')} and treated wood or concrete",
            counts[kind],
            goes="base",
        )


def _ends(parts: Sequence[Part], kind: Kind) -> Counter[str]:
    """How the ends of the pieces of one kind are joined, counted."""
    details = [p.detail for p in parts if p.kind == kind and isinstance(p.detail, RailDetail)]
    return Counter(on for detail in details for on in (detail.start_on, detail.end_on))


def _face_anchors(parts: Sequence[Part]) -> list[Consumable]:
    """What holds a stud in the face of a standing post, by the post's material."""
    columns = {part.mark: part for part in parts if part.kind == "column"}
    held = Counter(
        columns[part.belongs_to].item.split()[0]
        for part in parts
        if part.kind == "fitting" and part.belongs_to in columns
    )
    return [
        Consumable(
            f"anchor for a stud in {material}",
            "set into a standing post's face",
            count,
            goes="cable",
        )
        for material, count in sorted(held.items())
    ]
