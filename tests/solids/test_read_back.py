"""The STEP file read back by the kernel's reader, by gmsh and by a reader without a kernel."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import get_args

import numpy as np
import pytest

from generator.geometry import EndPlane, upright
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Prism, Rectangle, Section
from generator.products.colours import COLOURS
from generator.products.product import Group, Product, Solid
from generator.products.tree import product_tree


def test_every_part_is_there_once_at_its_place(
    guard: Assembly, leaves: list, reading: ModuleType
) -> None:
    assert len(leaves) == len(guard.parts)
    assert reading.unlike(reading.measured(leaves), reading.told(guard)) == []


def test_every_solid_is_closed_and_valid(leaves: list, reading: ModuleType) -> None:
    distinct = {leaf.product: leaf.shape for leaf in leaves}
    assert len(distinct) > 10
    for name, shape in distinct.items():
        assert reading.is_one_closed_solid(shape), name
        assert reading.is_valid(shape), name


@pytest.mark.parametrize("mark", ["P2", "P19", "A.R1", "A.R2", "A.C1", "A.C22", "A.S3", "A.T7"])
def test_a_marked_part_has_the_volume_and_the_place_of_its_row(
    guard: Assembly, leaves: list, reading: ModuleType, mark: str
) -> None:
    part = guard.by_mark[mark]
    (leaf,) = (one for one in leaves if body_of(one) == mark)
    volume, centre = reading.volume_and_centre(leaf.shape)
    assert volume == pytest.approx(part.shape.volume_mm3, rel=1e-9)
    assert centre == pytest.approx(reading.place_centroid(part.place, part.shape), abs=1e-6)


def body_of(leaf) -> str:
    """The mark of a solid: of a post or rail with hardware, the group's for the piece itself."""
    return leaf.path[-2] if leaf.path[-1] in ("post", "rail") else leaf.path[-1]


def test_names_and_branches(guard: Assembly, leaves: list) -> None:
    assert {leaf.path[0] for leaf in leaves} == {"Alder Point walkway"}
    assert {leaf.path[1] for leaf in leaves} == {"run A", "existing"}
    branches = {part.kind: set() for part in guard.parts}
    marks = {body_of(leaf): leaf for leaf in leaves}
    alone = [part for part in guard.parts if part.belongs_to == part.mark]
    assert len(alone) > 100
    for part in alone:
        branches[part.kind].add(marks[part.mark].path[1:3][0 if part.reference else 1])
    assert branches["post"] == {"posts"}
    assert branches["rail"] == {"rails"}
    assert branches["cable"] == {"cables"}
    assert branches["spacer"] == {"spacers"}
    assert branches["deck"] == branches["tread"] == branches["wall"] == {"existing"}


def test_hardware_is_nested_with_its_post(guard: Assembly, leaves: list) -> None:
    held = Counter(part.belongs_to for part in guard.parts if part.kind != "post")
    found = Counter(leaf.path[3] for leaf in leaves if leaf.path[2] == "posts")
    posts = [part.mark for part in guard.of_kind("post")]
    assert {mark: found[mark] for mark in posts} == {mark: held[mark] + 1 for mark in posts}


def test_products_are_named_after_what_they_are(leaves: list) -> None:
    products = {leaf.product for leaf in leaves}
    assert {"washer", "nut", "anchor through-bolt-3_8", "fitting swage-stud-1_4"} <= products
    assert not any("with nut" in name for name in products)  # those are groups
    assert {f"post al-square-2.5 ({k})" for k in (1, 2, 3, 4)} <= products


def test_colours_are_those_of_the_kinds(guard: Assembly, leaves: list) -> None:
    # sRGB into linear light, IEC 61966-2-1.
    def linear(value: float) -> float:
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    seen = 0
    for leaf in leaves:
        part = guard.by_mark.get(body_of(leaf))
        if part is not None:
            seen += 1
            expected = tuple(map(linear, COLOURS[part.kind]))
            assert leaf.colour == pytest.approx(expected, abs=1e-6), part.mark
        assert leaf.colour is not None, leaf.path
    assert seen > 100


def test_every_kind_of_part_has_a_colour() -> None:
    assert set(COLOURS) == set(get_args(Kind))


def counts(path: Path) -> Counter[str]:
    """Entities by name, read by steputils, which knows no geometry."""
    from steputils import p21

    instances = p21.readfile(str(path)).data[0].instances.values()
    simple = (getattr(one, "entity", None) for one in instances)
    return Counter(entity.name for entity in simple if entity is not None)


def solids_and_groups(root: Product) -> tuple[dict[int, Solid], dict[int, Group]]:
    solids: dict[int, Solid] = {}
    groups: dict[int, Group] = {}

    def visit(product: Product) -> None:
        if isinstance(product, Solid):
            solids[id(product)] = product
        elif id(product) not in groups:
            groups[id(product)] = product
            for member in product.members:
                visit(member.product)

    visit(root)
    return solids, groups


def test_entities_counted_without_a_kernel(guard: Assembly, guard_step: Path) -> None:
    solids, groups = solids_and_groups(product_tree(guard))
    found = counts(guard_step)
    assert found["MANIFOLD_SOLID_BREP"] == len(solids) < len(guard.parts) / 15
    assert found["PRODUCT"] == len(solids) + len(groups)
    placed = sum(len(group.members) for group in groups.values())
    assert found["NEXT_ASSEMBLY_USAGE_OCCURRENCE"] == placed
    assert found["STYLED_ITEM"] == len(solids)


def test_the_file_grows_with_what_is_distinct(
    synthetic: ModuleType, guard_step: Path, write: Callable[..., Path]
) -> None:
    # Four runs alike but for lengths: posts, hardware and spacers are modelled once for all.
    path = write(synthetic.assembly(80))
    # A further run brings two rails, a cable length and a deck of its own.
    solids = "MANIFOLD_SOLID_BREP"
    assert counts(path)[solids] == counts(guard_step)[solids] + 3 * 4
    assert path.stat().st_size < 2 * guard_step.stat().st_size


def test_gmsh_finds_the_same_solids_names_volumes_and_centres(
    guard: Assembly, write: Callable[..., Path], reading: ModuleType
) -> None:
    import gmsh

    # Fewer solids: gmsh works through names in a time that grows with their square.
    posts = ("P1", "P2", "P12")
    few = Assembly(
        guard.job,
        tuple(
            part
            for part in guard.parts
            if part.belongs_to in posts or part.mark in ("A.R1", "A.R2", "A.C1", "A.S1", "A.D1")
        ),
        (),
    )
    gmsh.initialize(interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.option.setNumber("Geometry.OCCImportLabels", 1)
        solids = gmsh.model.occ.importShapes(str(write(few)))
        gmsh.model.occ.synchronize()
        names = [gmsh.model.getEntityName(*solid) for solid in solids]
        found = np.array(
            [
                (gmsh.model.occ.getMass(*solid), *gmsh.model.occ.getCenterOfMass(*solid))
                for solid in solids
            ]
        )
        colours = {gmsh.model.getColor(*solid) for solid in solids}
    finally:
        gmsh.finalize()
    assert {dimension for dimension, _ in solids} == {3}
    assert len(found) == len(few.parts)
    assert reading.unlike(found, reading.told(few)) == []
    assert all("/Alder Point walkway/" in name for name in names)
    for mark, product in (
        ("A.R1", "rail al-flat-2.5x1.5 (1)"),
        ("A.C1", "cable ss316-1x19-1_8"),
        ("A.S1", "spacer al-bar-1x3_8"),
        ("A.D1", "deck"),
    ):
        assert sum(name.endswith(f"/{mark}/{product}") for name in names) == 1
    for mark in posts:
        assert sum(f"/{mark}/" in name and "/base plate/" in name for name in names) == 1
    assert len(colours) > 3


def test_cadquery_reads_as_many_solids(guard: Assembly, guard_step: Path, cq: ModuleType) -> None:
    solids = cq.importers.importStep(str(guard_step)).solids().vals()
    assert len(solids) == len(guard.parts)
    total = sum(part.shape.volume_mm3 for part in guard.parts)
    assert sum(solid.Volume() for solid in solids) == pytest.approx(total, rel=1e-9)


def plate(mark: str, title_item: str) -> Part:
    shape = Prism(Section(Rectangle(50.0, 40.0)), EndPlane(0.0), EndPlane(5.0))
    place = upright((0.0, 0.0, 0.0), 0.0)
    return Part(mark, "bracket", title_item, "A", 1, shape, place, mark)


def test_letters_of_all_languages_survive(
    synthetic: ModuleType, write: Callable[..., Path], reading: ModuleType
) -> None:
    title = 'Smith\'s "Élan" terrasse — 2 \\ Ω 🪜, éééééééééééééééééééééééééééééééééééééééééé'
    job = synthetic.job(title)
    path = write(Assembly(job, (plate("K1", "bracket Ünit"),), ()))
    (leaf,) = reading.read_step(path)
    assert leaf.path == (title, "run A", "hardware", "K1")
    assert leaf.product == "bracket Ünit"
    assert path.read_bytes().isascii()


@pytest.mark.parametrize(
    "schema, name", [("AP214IS", "AUTOMOTIVE_DESIGN"), ("AP242DIS", "AP242_MANAGED_MODEL")]
)
def test_schema_and_header(
    synthetic: ModuleType,
    write: Callable[..., Path],
    reading: ModuleType,
    schema: str,
    name: str,
) -> None:
    path = write(Assembly(synthetic.job("Heron Quay"), (plate("K1", "x"),), ()), schema=schema)
    text = path.read_text(encoding="ascii")
    header = text[: text.index("ENDSEC;")]
    assert name in header
    assert "'Heron Quay'" in header
    assert "stringline" in header
    (leaf,) = reading.read_step(path)
    assert leaf.path[-1] == "K1"
    assert leaf.colour is not None
