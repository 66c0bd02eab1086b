"""The STEP file of every distinct part, read back by the kernel and by gmsh, and closed forms."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest

from generator.parts.assembly import Assembly
from generator.products.colours import COLOURS
from generator.products.product import Group, Product, Solid
from generator.products.tree import distinct_parts, product_tree
from generator.solids.model import solid_of
from generator.solids.step import write_model_and_parts

# Between them they have every kind of part that a guard is made of.
EXAMPLES = ("lake-deck", "pump-house-gangway", "carried-corner", "fascia-balcony", "octagonal-bay")


@pytest.fixture(scope="module")
def folder(light_lake_deck, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("parts")
    write_model_and_parts(light_lake_deck.assembly, path)
    return path


def solids_of(product: Product) -> set[Solid]:
    if isinstance(product, Solid):
        return {product}
    return {solid for member in product.members for solid in solids_of(member.product)}


def test_every_part_of_the_guard_is_one_distinct_part(light_lake_deck):
    parts = distinct_parts(light_lake_deck.assembly)
    marks = [mark for part in parts for mark in part.marks]
    assert sorted(marks) == sorted(
        p.mark for p in light_lake_deck.assembly.parts if not p.reference
    )
    root = product_tree(light_lake_deck.assembly)
    assert isinstance(root, Group)
    named = {(solid.name, solid.kind) for solid in solids_of(root)}
    assert {(part.solid.name, part.solid.kind) for part in parts} <= named


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_volume_of_every_distinct_part_is_its_closed_form(name, light, reading: ModuleType):
    for part in distinct_parts(light(name).assembly):
        volume, centre = reading.volume_and_centre(solid_of(part.solid.shape))
        assert volume == pytest.approx(part.solid.shape.volume_mm3, rel=1e-9), part.file
        assert centre == pytest.approx(reading.centroid(part.solid.shape), abs=1e-6), part.file


def test_the_examples_have_every_kind_of_part(light):
    from generator.parts.assembly import REFERENCE_KINDS

    kinds = {part.solid.kind for name in EXAMPLES for part in distinct_parts(light(name).assembly)}
    assert kinds == set(COLOURS) - REFERENCE_KINDS


def test_each_file_holds_one_named_coloured_solid(
    light_lake_deck, folder: Path, reading: ModuleType
) -> None:
    parts = distinct_parts(light_lake_deck.assembly)
    assert {path.stem for path in (folder / "parts").iterdir()} == {part.file for part in parts}
    for part in parts:
        (leaf,) = reading.read_step(folder / "parts" / f"{part.file}.step")
        assert leaf.product == part.solid.name
        assert reading.is_one_closed_solid(leaf.shape)
        assert reading.is_valid(leaf.shape)
        volume, centre = reading.volume_and_centre(leaf.shape)
        assert volume == pytest.approx(part.solid.shape.volume_mm3, rel=1e-9)
        assert centre == pytest.approx(reading.centroid(part.solid.shape), abs=1e-6)
        screen = [_linear(value) for value in COLOURS[part.solid.kind]]
        assert leaf.colour == pytest.approx(screen, abs=2e-3)


def _linear(value: float) -> float:
    """IEC 61966-2-1: the light of a colour as it is told for a screen."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


@pytest.mark.parametrize(
    "stem", ["post-P10", "rail-R3", "base-plate-for-al-square-2.5", "cable-C1"]
)
def test_gmsh_reads_the_same_solid(
    light_lake_deck, folder: Path, reading: ModuleType, stem: str
) -> None:
    import gmsh

    part = next(one for one in distinct_parts(light_lake_deck.assembly) if one.file == stem)
    gmsh.initialize(interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.option.setNumber("Geometry.OCCImportLabels", 1)
        solids = gmsh.model.occ.importShapes(str(folder / "parts" / f"{stem}.step"))
        gmsh.model.occ.synchronize()
        (solid,) = solids
        volume = gmsh.model.occ.getMass(*solid)
        centre = gmsh.model.occ.getCenterOfMass(*solid)
        name = gmsh.model.getEntityName(*solid)
    finally:
        gmsh.finalize()
    assert solid[0] == 3
    assert volume == pytest.approx(part.solid.shape.volume_mm3, rel=1e-9)
    assert centre == pytest.approx(reading.centroid(part.solid.shape), abs=1e-6)
    assert part.solid.name in name


def test_ap242_is_written_on_request(light_lake_deck, tmp_path: Path, reading: ModuleType) -> None:
    # ISO 10303-21: FILE_SCHEMA in the header names the application protocol.
    few = _few(light_lake_deck.assembly)
    for schema, written in (("AP242DIS", "AP242"), ("AP214IS", "AUTOMOTIVE_DESIGN")):
        write_model_and_parts(few, tmp_path, schema=schema)
        for path in (tmp_path / "model.step", tmp_path / "parts" / "rail-R3.step"):
            head = path.read_text("ascii").split("FILE_SCHEMA", 1)[1].split(";", 1)[0]
            assert written in head
        (leaf,) = reading.read_step(tmp_path / "parts" / "rail-R3.step")
        assert leaf.product == "rail al-flat-2.5x1.5"
        assert leaf.colour is not None


def test_the_same_parts_give_the_same_bytes_whatever_came_before(
    light_lake_deck, folder: Path, tmp_path: Path
) -> None:
    write_model_and_parts(light_lake_deck.assembly, tmp_path)
    for path in sorted(folder.rglob("*.step")):
        assert path.read_bytes() == (tmp_path / path.relative_to(folder)).read_bytes(), path.name


def _few(assembly: Assembly) -> Assembly:
    parts = tuple(part for part in assembly.parts if part.mark in ("R3", "SL2"))
    return Assembly(assembly.job, parts, ())
