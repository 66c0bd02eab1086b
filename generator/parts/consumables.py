"""What is counted and not placed: screws, what closes a bolt below, caps of rail ends, grout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from generator.parts.assembly import Consumable, Kind, Part, PostDetail, RailDetail
from generator.spec.job import Job

_JOINED = ("joint on post", "miter")
_ON_BRACKET = "joint on bracket"
# Of a handrail bracket: two into the post, two up into the handrail. Common practice, no source.
_SCREWS_HELD = 4


def consumables(job: Job, parts: Sequence[Part]) -> tuple[Consumable, ...]:
    """One line an item, those of none left out."""
    counts = Counter(part.kind for part in parts)
    arms = counts["handrail-bracket"]
    bracket, anchor, rail = job.system.bracket, job.system.anchor, job.system.rail.name
    ends, held = (_ends(parts, kind) for kind in ("rail", "handrail"))
    # Of two rails that butt one is held by its end, the other runs past and wants a cap.
    butted = (ends["plumb butt"] + ends["butt"]) // 2
    butts = butted + ends["post face"]
    drops = ends["plumb drop"]
    caps = ends.total() - sum(ends[on] for on in _JOINED) - butts - drops
    cores = sum(1 for p in parts if isinstance(p.detail, PostDetail) and p.detail.mount == "core")
    through = anchor.style == "through-bolt"
    found = [
        Consumable(
            f"screw {bracket.screw}",
            f"bracket to post and rail, {bracket.screws} a bracket"
            + (f"; handrail bracket, {_SCREWS_HELD} a bracket" if arms else ""),
            bracket.screws * counts["bracket"] + _SCREWS_HELD * arms,
        ),
        Consumable(
            f"washer for {anchor.name}",
            "under head and nut" if through else "under the head",
            (2 if through else 1) * counts["anchor"],
        ),
        Consumable(f"nut for {anchor.name}", "behind what it passes", through * counts["anchor"]),
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
        Consumable("non-shrink grout, one core", "post in a drilled core", cores),
    ]
    if not job.system.rail.sleeve_mm:
        joints, miters = (ends[on] // 2 for on in _JOINED)
        found += [
            Consumable(f"splice sleeve for {rail}", "inside a square joint on a post", joints),
            Consumable(f"corner connector for {rail}", "inside a mitered joint", miters),
        ]
    return tuple(item for item in found if item.count)


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
        Consumable(f"anchor for a stud in {material}", "set into a standing post's face", count)
        for material, count in sorted(held.items())
    ]
