"""The example jobs as solids: every row of their parts tables read back from the STEP file."""

from __future__ import annotations

import math
from pathlib import Path
from types import ModuleType

import pytest

from generator.parts.assembly import Assembly
from generator.parts.shapes import Prism, Rectangle, Route
from generator.products.holes import clean
from generator.products.tree import MARKS
from generator.solids import write_step

INCH = 25.4

QUICK = ("lake-deck", "porch-columns", "carried-corner", "fascia-balcony", "garden-ramp")
OTHERS = sorted(
    path.stem
    for path in (Path(__file__).resolve().parents[2] / "examples").glob("*.yaml")
    if path.stem not in QUICK
)


@pytest.fixture(
    scope="module",
    params=[*QUICK, *(pytest.param(name, marks=pytest.mark.slow) for name in OTHERS)],
)
def example(request: pytest.FixtureRequest, planned) -> Assembly:
    return planned(request.param).assembly


@pytest.fixture(scope="module")
def found(example: Assembly, tmp_path_factory: pytest.TempPathFactory, reading: ModuleType) -> list:
    path: Path = tmp_path_factory.mktemp("example") / "model.step"
    write_step(example, path)
    return reading.read_step(path)


def drilled_into_another(assembly: Assembly) -> list[str]:
    """Marks of parts whose holes meet: the closed form, which counts each for itself, is none."""
    prisms = [(part.mark, part.shape) for part in assembly.parts if isinstance(part.shape, Prism)]
    return [mark for mark, shape in prisms if not clean(shape)]


def test_every_part_is_one_valid_solid_at_its_place(
    example: Assembly, found: list, reading: ModuleType
) -> None:
    assert len(found) == len(example.parts)
    assert [leaf.path for leaf in found if not reading.is_one_closed_solid(leaf.shape)] == []
    missed = reading.unlike(reading.measured(found), reading.told(example))
    assert [example.parts[k].mark for k in missed] == drilled_into_another(example)


def test_distinct_solids_are_valid(found: list, reading: ModuleType) -> None:
    distinct = {leaf.product: leaf.shape for leaf in found}
    assert [name for name, shape in distinct.items() if not reading.is_valid(shape)] == []
    assert len(distinct) > 8


@pytest.mark.parametrize("good", QUICK)
def test_holes_of_a_good_job_are_clear_of_edges_and_of_one_another(good: str, planned) -> None:
    assert drilled_into_another(planned(good).assembly) == []


def test_marks_of_all_that_stands_alone_are_in_the_file(example: Assembly, found: list) -> None:
    inside = {name for leaf in found for name in leaf.path}
    alone = {part.mark for part in example.parts if part.belongs_to == part.mark}
    # A job of more would have some in ranges, see the tree.
    assert len(alone) < MARKS
    assert alone - inside == set()


def test_lake_deck_volumes_worked_by_hand(lake_deck, tmp_path: Path, reading: ModuleType) -> None:
    """Rail centre length and cable length of geometry.md I, times sections worked by hand."""
    path = tmp_path / "model.step"
    write_step(lake_deck.assembly, path)
    volume = {
        leaf.path[-2] if leaf.path[-1] == "rail" else leaf.path[-1]: (
            reading.volume_and_centre(leaf.shape)[0]
        )
        for leaf in reading.read_step(path)
    }
    rails = list(lake_deck.assembly.of_kind("rail"))
    # 2-1/2 x 1-1/2 in tube: a miter through the centre line leaves section times centre length.
    for leg, centre_in in ((1, 277.0), (2, 147.0), (3, 84.2547)):
        pieces = [part for part in rails if part.leg == leg]
        section = pieces[0].shape.section
        total = sum(volume[part.mark] for part in pieces)
        expected = area_mm2(section.outer) - area_mm2(section.inner)
        assert total == pytest.approx(expected * centre_in * INCH, rel=1e-6)
    cable = next(lake_deck.assembly.of_kind("cable"))
    assert isinstance(cable.shape, Route)
    radius = INCH / 16
    assert volume[cable.mark] == pytest.approx(
        math.pi * radius**2 * cable.shape.length_mm, rel=1e-9
    )


def area_mm2(outline: Rectangle) -> float:
    """A rectangle less what its four rounded corners lack."""
    square = outline.width_mm * outline.depth_mm
    return square - (2 * outline.corner_mm) ** 2 + math.pi * outline.corner_mm**2
