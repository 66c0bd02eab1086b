"""The order list against a count of its own: from where parts stand, not from how they are listed.

Every line is counted anew and none is left over. What a joint takes of screws, sleeves and arms is
common practice, no source.
"""

from __future__ import annotations

import math
from collections import Counter

import pytest

from generator.parts.assembly import CableDetail, detail_of
from generator.parts.shapes import Prism, Route
from generator.schedules.order import order_list

JOBS = ["core-terrace", "fascia-balcony", "metric-terrace", "octagonal-bay"]


def rail_ends(assembly):
    """(middle of the cut, direction out of the piece) of both ends of every rail."""
    for part in assembly.of_kind("rail"):
        shape = part.shape
        assert isinstance(shape, Prism)
        yield part.place.point((0.0, 0.0, shape.start.z_mm)), tuple(-c for c in part.place.z)
        yield part.place.point((0.0, 0.0, shape.end.z_mm)), part.place.z


def joints(assembly) -> tuple[int, int, int]:
    """Square joints, mitered ones, and ends that meet no other, by where the ends lie."""
    ends = list(rail_ends(assembly))
    met, square, mitered = set(), 0, 0
    for a in range(len(ends)):
        for b in range(a + 1, len(ends)):
            if math.dist(ends[a][0], ends[b][0]) < 1e-3:
                met |= {a, b}
                facing = sum(p * q for p, q in zip(ends[a][1], ends[b][1], strict=True))
                straight = facing < -1 + 1e-9
                square, mitered = square + straight, mitered + (not straight)
    return square, mitered, len(ends) - len(met)


def raked_ends(assembly) -> int:
    """Ends of cables that do not leave the post square to its face: level, and along a side."""
    count = 0
    for part in assembly.of_kind("cable"):
        shape = part.shape
        assert isinstance(shape, Route)
        points = [part.place.point(point) for point in shape.points]
        posts = detail_of(part, CableDetail).posts
        for (a, b), mark in (
            ((points[0], points[1]), posts[0]),
            ((points[-2], points[-1]), posts[-1]),
        ):
            way = [q - p for p, q in zip(a, b, strict=True)]
            length = math.hypot(*way)
            post = assembly.by_mark[mark].place
            along = [
                abs(sum(u * v for u, v in zip(way, axis, strict=True))) / length
                for axis in (post.x, post.y)
            ]
            count += max(along) < 1 - 1e-9
    return count


def wanted(assembly) -> Counter:
    """Every item of an order without handrail or standing posts."""
    system = assembly.job.system
    rail, fitting, anchor = system.rail.name, system.fitting.name, system.anchor.name
    posts = list(assembly.of_kind("post"))
    cables = len(list(assembly.of_kind("cable")))
    blocks = list(assembly.of_kind("blocking"))
    square, mitered, alone = joints(assembly)
    mounts = {
        "base": [p for p in assembly.parts if p.kind == "base-plate"],
        "side": [p for p in assembly.parts if p.kind == "side-plate"],
    }
    through = system.anchor.style == "through-bolt"
    plates = len(mounts["base"]) + len(mounts["side"])
    found = Counter(
        {
            f"post {system.post.name}": len(posts),
            f"base plate for {system.post.name}": len(mounts["base"]),
            f"side plate for {system.post.name}": len(mounts["side"]),
            f"stand-off for {system.post.name}": len(mounts["side"]),
            f"bracket {system.bracket.name}": len(posts),
            f"rail {rail}": len(list(assembly.of_kind("rail"))),
            f"splice sleeve for {rail}": square,
            f"connector arm for {rail}": 2 * mitered,
            f"spacer {system.spacer.name}": len(list(assembly.of_kind("spacer"))),
            f"cable {system.cable.name}": cables,
            f"end fitting {fitting}": 2 * cables,
            f"washer for {fitting}": 2 * cables,
            f"nut for {fitting}": 2 * cables,
            f"bevelled seat for {fitting}": raked_ends(assembly),
            "blocking": len(blocks),
            f"screw {system.bracket.screw}": (
                system.bracket.screws * len(posts) + 2 * square + 2 * mitered
            ),
            "structural screw for blocking": 4 * len(blocks),
            f"anchor {anchor}": 4 * plates,
            f"washer for {anchor}": (8 if through else 4) * plates,
            f"nut for {anchor}": 4 * plates * through,
            f"end cap for {rail}": alone,
            "barrier tape": plates if system.post.material.startswith("al-") else 0,
            "non-shrink grout, one core": len(posts) - plates,
        }
    )
    return +found


def counted(assembly) -> Counter:
    """The order list, items of several lengths, angles and sizes together; stock bars left out."""
    table = order_list(assembly)
    found: Counter = Counter()
    for item, count in zip(table.cells("item"), table.cells("count"), strict=True):
        assert isinstance(item, str)
        assert isinstance(count, int)
        if item.startswith(("bar for", "spool of")):
            continue
        name = item
        if not item.startswith("screw "):
            name = item.split(",")[0] if "grout" not in item else item
        if item.startswith("blocking"):
            name = "blocking"
        if item.startswith("bevelled seat"):
            name = "bevelled seat for " + item.split(" for ")[1]
        found[name] += count
    return found


@pytest.mark.parametrize("name", JOBS)
def test_every_line_of_the_order_is_counted_anew(light, name):
    assembly = light(name).assembly
    assert counted(assembly) == wanted(assembly)


def test_the_handrail_of_the_mezzanine_by_hand(light):
    """One pitched piece with a return at either end, each on a post's face; a bracket a post.

    A solid bar 42 mm across of aluminium, 2.70 g/cm3: 3.741 kg/m over the pieces' middle lines.
    """
    assembly = light("mill-mezzanine").assembly
    table = order_list(assembly, weights=True)
    rows = dict(
        zip(
            table.cells("item"),
            zip(*(table.cells(k) for k in ("count", "mass_kg")), strict=True),
            strict=True,
        )
    )
    assert rows["handrail, 42 mm round"][0] == 3
    assert rows["flange for a handrail's end"][0] == 2
    assert rows["handrail bracket, 12.7 mm round bar"][0] == 4
    middle = sum(
        part.shape.end.z_mm - part.shape.start.z_mm
        for part in assembly.of_kind("handrail")
        if isinstance(part.shape, Prism)
    )
    density = next(
        m.density_kg_m3
        for m in assembly.job.system.materials
        if m.name == assembly.job.system.rail.material
    )
    assert rows["handrail, 42 mm round"][1] == pytest.approx(
        math.pi / 4 * 0.042**2 * middle / 1000 * density, rel=1e-6
    )
    assert density == pytest.approx(2710, rel=0.01)
    assert any("solid bar" in note for note in table.notes)
