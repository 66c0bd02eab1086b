"""Large jobs: what runs and legs have alike becomes one product, and what keeps its mark."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from types import ModuleType

import pytest

from generator.geometry import EndPlane, Frame, upright
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Prism, Rectangle, Route, Section
from generator.products.naming import marks_in_words
from generator.products.product import Group, Instance, Product
from generator.products.tree import MARKS, product_tree

POST = Prism(Section(Rectangle(60.0, 60.0)), EndPlane(0.0), EndPlane(900.0))
PLATE = Prism(Section(Rectangle(120.0, 120.0)), EndPlane(0.0), EndPlane(10.0))

Tree = Callable[..., Group]


@pytest.fixture
def tree(synthetic: ModuleType) -> Tree:
    """The product tree of a few parts."""

    def made(*parts: Part) -> Group:
        return product_tree(Assembly(synthetic.job("Heron Quay"), parts, ()))

    return made


def member(group: Product, *names: str) -> Instance:
    found = None
    for name in names:
        assert isinstance(group, Group)
        found = next(one for one in group.members if one.name == name)
        group = found.product
    assert found is not None
    return found


def names(group: Product) -> list[str]:
    assert isinstance(group, Group)
    return [one.name for one in group.members]


def groups(root: Product) -> Iterator[Group]:
    """Each group of the tree once."""
    seen: dict[int, Group] = {}

    def visit(product: Product) -> None:
        if isinstance(product, Group) and id(product) not in seen:
            seen[id(product)] = product
            for one in product.members:
                visit(one.product)

    visit(root)
    return iter(seen.values())


def balcony(run: str, number: int, x: float, *, rows: int = 11, pitch: float = 76.0) -> list[Part]:
    """Two legs of two posts with cables and a spacer each, marks counted on from run to run."""
    made: list[Part] = []
    for leg in (1, 2):
        n = 2 * number + leg - 1
        origin = (x, 3000.0 * leg, 0.0)

        def add(mark: str, kind: Kind, shape, place: Frame, leg: int = leg) -> None:
            made.append(Part(mark, kind, kind, run, leg, shape, place, mark))

        for k in (1, 2):
            post = upright((x + 1500.0 * k, origin[1], 0.0), 0.0)
            add(f"P{2 * n + k}", "post", POST, post)
        add(f"R{n + 1}", "rail", POST, upright((x, origin[1], 950.0), 0.0))
        for row in range(1, rows + 1):
            cable = Route(3.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 1000.0 * leg)))
            place = upright((x, origin[1], pitch * row), 0.0)
            add(f"C{rows * n + row}", "cable", cable, place)
        add(f"S{n + 1}", "spacer", PLATE, upright((x + 750.0, origin[1], 20.0), 0.0))
        add(f"D{n + 1}", "deck", PLATE, upright(origin, 0.0))
    return made


def balconies(count: int) -> list[Part]:
    return [one for k in range(count) for one in balcony(f"B{k}", k, 5000.0 * k)]


def occurrences(root: Product) -> int:
    """Of the whole tree, each product's told once."""
    return sum(len(group.members) for group in groups(root))


def test_as_many_marks_as_a_job_can_carry_are_all_there(tree: Tree) -> None:
    count = MARKS // len(balcony("B", 0, 0.0))
    parts = balconies(count)
    inside = {one.name for group in groups(tree(*parts)) for one in group.members}
    assert {part.mark for part in parts} <= inside


def test_in_a_large_job_runs_share_what_they_have_alike(tree: Tree) -> None:
    few, many = 25, 50
    parts = balconies(many)
    root = tree(*parts)
    first, last = member(root, "run B0").product, member(root, f"run B{many - 1}").product
    assert names(first) == ["posts", "rails", "cables C1 to C22", "spacers S1 to S2"]
    assert names(last)[2] == f"cables C{22 * many - 21} to C{22 * many}"
    shared = member(first, "cables C1 to C22")
    assert shared.product is member(last, names(last)[2]).product
    assert names(shared.product) == [f"cable {k}" for k in range(1, 23)]
    assert shared.product.name == "cables of a run"
    # Posts and rails keep their marks.
    assert names(member(last, "posts").product) == [f"P{4 * many - k}" for k in (3, 2, 1, 0)]
    assert names(member(last, "rails").product) == [f"R{2 * many - 1}", f"R{2 * many}"]
    more = occurrences(root) - occurrences(tree(*balconies(few)))
    # A further run brings itself, two branches with four posts and two rails, and its cables,
    # spacers and decks as one each.
    assert more == (many - few) * (1 + 2 + 4 + 2 + 3)


def test_shared_cables_stand_where_the_table_says(tree: Tree) -> None:
    parts = balconies(40)
    root = tree(*parts)
    run = member(root, "run B7")
    cables = next(one for one in run.product.members if one.name.startswith("cables"))  # type: ignore[union-attr]
    assert cables.name == "cables C155 to C176"
    assert isinstance(cables.product, Group)
    inside = [cables.place.point(one.place.origin) for one in cables.product.members]
    told = [one.place.origin for one in parts if one.kind == "cable" and one.run == "B7"]
    assert inside == [pytest.approx(point, abs=1e-6) for point in told]


def test_legs_share_what_their_runs_do_not(tree: Tree) -> None:
    parts = [one for k in range(40) for one in balcony(f"B{k}", k, 5000.0 * k, pitch=70.0 + k // 2)]
    # The second leg of every run has one cable length of its own.
    odd = [
        replace(one, shape=Route(3.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 2500.0 + int(one.run[1:])))))
        if one.kind == "cable" and one.leg == 2
        else one
        for one in parts
    ]
    cables = member(tree(*odd), "run B4", "cables").product
    assert names(cables) == ["C89 to C99", *(f"C{k}" for k in range(100, 111))]
    assert member(cables, "C89 to C99").product.name.startswith("cables of a leg")


def test_marks_in_words() -> None:
    assert marks_in_words(["T1", "T2", "T3", "D4", "G1", "G3"]) == "T1 to T3, D4, G1, G3"
    assert marks_in_words(["F1S", "F1E", "C9", "C10"]) == "F1S, F1E, C9 to C10"
