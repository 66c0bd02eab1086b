"""The product tree: what is shared, what it is called, where it hangs; no kernel needed."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from types import ModuleType

import pytest

from generator.geometry import EndPlane, Frame, upright
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Hole, Polygon, Prism, Rectangle, Route, Section, Step, Turned
from generator.products.product import Group, Instance, Product, Solid
from generator.products.same import place_key, shape_key
from generator.products.tree import product_tree

POST = Prism(Section(Rectangle(60.0, 60.0)), EndPlane(0.0), EndPlane(900.0))
PLATE = Prism(Section(Rectangle(120.0, 120.0)), EndPlane(-10.0), EndPlane(0.0))
BOLT = Turned((Step(-100.0, 0.0, 10.0),))


@pytest.fixture
def tree(synthetic: ModuleType):
    """The product tree of a few parts."""

    def made(*parts: Part) -> Group:
        return product_tree(Assembly(synthetic.job("Heron Quay"), parts, ()))

    return made


def part(mark: str, kind: Kind, shape, x: float = 0.0, *, turn: float = 0.0, **told: str) -> Part:
    item, run = told.get("item", kind), told.get("run", "A")
    place = upright((x, 0.0, 0.0), turn)
    return Part(mark, kind, item, run, 1, shape, place, told.get("on", mark))


def post_with_plate(number: int, x: float, turn: float = 0.0) -> tuple[Part, ...]:
    mark = f"P{number}"
    post = part(mark, "post", POST, x, turn=turn)
    bolts = [
        replace(
            part(f"A{number}-{k}", "anchor", BOLT, on=mark),
            place=upright(post.place.point((dx, 0.0, 0.0)), turn),
        )
        for k, dx in enumerate((-50.0, 50.0), start=1)
    ]
    plate = replace(part(f"BP{number}", "base-plate", PLATE, on=mark), place=post.place)
    return (post, plate, *bolts)


def member(group: Product, *names: str) -> Instance:
    found = None
    for name in names:
        assert isinstance(group, Group)
        found = next(one for one in group.members if one.name == name)
        group = found.product
    assert found is not None
    return found


def products(root: Product) -> Iterator[Product]:
    yield root
    if isinstance(root, Group):
        for one in root.members:
            yield from products(one.product)


def names(group: Product) -> list[str]:
    assert isinstance(group, Group)
    return [one.name for one in group.members]


def test_branches_are_runs_then_kinds_and_what_exists(tree) -> None:
    root = tree(
        part("P1", "post", POST),
        part("R1", "rail", POST),
        part("P2", "post", POST, run="B"),
        part("D1", "deck", PLATE, run="B"),
        part("C1", "cable", Route(3.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 50.0))), run="B"),
        part("S1", "spacer", POST, run="B"),
        part("N1", "nut", BOLT, run="B"),
        part("T1", "tread", PLATE, run="A"),
    )
    assert root.name == "Heron Quay"
    assert names(root) == ["run A", "run B", "existing"]
    assert names(member(root, "run A").product) == ["posts", "rails"]
    assert names(member(root, "run B").product) == ["posts", "cables", "spacers", "hardware"]
    assert names(member(root, "existing").product) == ["D1", "T1"]
    assert names(member(root, "run B", "hardware").product) == ["N1"]


def test_a_guard_without_a_title_still_has_a_name(synthetic: ModuleType) -> None:
    assembly = Assembly(synthetic.job("  "), (part("P1", "post", POST),), ())
    assert product_tree(assembly).name == "guard"


def test_equal_posts_with_equal_hardware_share_one_group(tree) -> None:
    root = tree(*post_with_plate(1, 0.0), *post_with_plate(2, 1500.0, turn=37.0))
    first, second = (member(root, "run A", "posts", mark) for mark in ("P1", "P2"))
    assert first.product is second.product
    assert first.product.name == "post with hardware"
    assert names(first.product) == ["post", "base plate", "anchor 1", "anchor 2"]
    assert second.place == upright((1500.0, 0.0, 0.0), 37.0)
    anchors = [member(first.product, f"anchor {k}").product for k in (1, 2)]
    assert anchors[0] is anchors[1]


def test_the_order_of_the_table_does_not_matter_to_sharing(tree) -> None:
    post, plate, *bolts = post_with_plate(2, 1500.0)
    root = tree(*post_with_plate(1, 0.0), post, *reversed(bolts), plate)
    first, second = (member(root, "run A", "posts", mark) for mark in ("P1", "P2"))
    assert first.product is second.product


def test_hardware_in_another_place_is_another_group(tree) -> None:
    post, plate, one, two = post_with_plate(2, 1500.0)
    moved = replace(two, place=upright((1500.0, 49.0, 0.0), 0.0))
    root = tree(*post_with_plate(1, 0.0), post, plate, one, moved)
    first, second = (member(root, "run A", "posts", mark) for mark in ("P1", "P2"))
    assert first.product is not second.product
    assert (first.product.name, second.product.name) == (
        "post with hardware (1)",
        "post with hardware (2)",
    )
    assert member(first.product, "post").product is member(second.product, "post").product


def origins(instance: Instance, outer: Frame) -> Iterator[tuple[float, float, float]]:
    """Where every solid of an instance begins, in the world."""
    place = Frame(
        outer.point(instance.place.origin),
        *(outer.vector(axis) for axis in (instance.place.x, instance.place.y, instance.place.z)),
    )
    if isinstance(instance.product, Solid):
        yield place.origin
    else:
        for one in instance.product.members:
            yield from origins(one, place)


def test_hardware_stands_where_the_table_says(guard: Assembly) -> None:
    by_owner: dict[str, list[Part]] = {}
    for one in guard.parts:
        by_owner.setdefault(one.belongs_to, []).append(one)
    for instance in member(product_tree(guard), "run A", "posts").product.members:  # type: ignore[union-attr]
        inside = sorted(origins(instance, upright((0.0, 0.0, 0.0), 0.0)))
        told = sorted(begins(one) for one in by_owner[instance.name])
        assert inside == [pytest.approx(point, abs=1e-6) for point in told]


def begins(one: Part) -> tuple[float, float, float]:
    low = one.shape.start.z_mm if isinstance(one.shape, Prism) else 0.0
    return one.place.point((0.0, 0.0, low))


STUD = Turned((Step(0.0, 60.0, 6.0),))
RING = Turned((Step(0.0, 2.0, 16.0, 7.0),))


def on_stud(post: str, number: int, z: float, *, washer: float = 40.0) -> list[Part]:
    """A fitting through a post along x, its tip outside at x = 50, with a washer and a nut."""
    outward = Frame((0.0, 0.0, z), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))

    def at(x: float) -> Frame:
        return replace(outward, origin=(x, 0.0, z))

    inward = Frame((50.0, 0.0, z), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0))
    return [
        replace(part(f"W{number}", "washer", RING, on=post), place=at(washer)),
        replace(part(f"F{number}", "fitting", STUD, on=post), place=inward),
        replace(part(f"N{number}", "nut", RING, on=post), place=at(washer + 2.0)),
    ]


def test_what_is_on_one_stud_hangs_together(tree) -> None:
    studs = [one for k in range(3) for one in on_stud("P1", k, 100.0 + 70.0 * k)]
    odd = on_stud("P1", 9, 400.0, washer=38.0)
    post = member(tree(part("P1", "post", POST), *studs, *odd), "run A", "posts", "P1").product
    assert sorted(names(post)) == ["fitting 1", "fitting 2", "fitting 3", "fitting 4", "post"]
    sets = [member(post, f"fitting {k}").product for k in (1, 2, 3, 4)]
    assert [sorted(names(one)) for one in sets] == [["fitting", "nut", "washer"]] * 4
    # Three alike, and the one whose washer lies elsewhere.
    assert sorted([sets.count(one) for one in dict.fromkeys(sets)]) == [1, 3]
    assert {one.name for one in sets} == {"fitting with nut (1)", "fitting with nut (2)"}


def test_studs_that_cross_or_meet_end_to_end_hang_apart(tree) -> None:
    here = on_stud("P1", 1, 100.0)
    turned = [
        replace(one, mark=f"{one.mark}T", place=turned_about_z(one.place, quarters))
        for quarters in (1, 2)
        for one in on_stud("P1", 1 + quarters, 100.0)
    ]
    post = member(tree(part("P1", "post", POST), *here, *turned), "run A", "posts", "P1").product
    assert sorted(names(post)) == ["fitting 1", "fitting 2", "fitting 3", "post"]


def turned_about_z(place: Frame, quarters: int) -> Frame:
    turn = upright((0.0, 0.0, 0.0), 90.0 * quarters)
    return Frame(*(turn.vector(one) for one in (place.origin, place.x, place.y, place.z)))


def test_an_arm_at_the_far_end_is_the_same_part_on_a_rail_of_any_length(tree) -> None:
    arms = [
        part(
            f"CN{k}",
            "connector",
            Prism(POST.section, EndPlane(length - 80.0), EndPlane(length, 1.0)),
            1000.0 * k,
        )
        for k, length in enumerate((2000.0, 2712.5))
    ]
    root = tree(*arms)
    one, two = (member(root, "run A", "hardware", mark) for mark in ("CN0", "CN1"))
    assert one.product is two.product
    assert (one.place.origin, two.place.origin) == ((0.0, 0.0, 1920.0), (1000.0, 0.0, 2632.5))


def test_distinct_products_have_distinct_names(guard: Assembly) -> None:
    found = {id(product): product.name for product in products(product_tree(guard))}
    assert len(set(found.values())) == len(found)


def test_names_say_what_a_part_is(tree) -> None:
    root = tree(
        part("P1", "post", POST, item="post al-square-2.5"),
        part("F1", "fitting", BOLT, item="swage-stud-1_4"),
        part("BP1", "base-plate", PLATE, item="base plate for al-square-2.5"),
    )
    titles = {product.name for product in products(root) if isinstance(product, Solid)}
    assert titles == {
        "post al-square-2.5",
        "fitting swage-stud-1_4",
        "base plate for al-square-2.5",
    }


def test_bought_apart_means_modelled_apart(tree) -> None:
    root = tree(
        part("W1", "washer", BOLT, item="washer, steel"),
        part("W2", "washer", BOLT, item="washer, nylon"),
        part("W3", "washer", BOLT, item="washer, steel"),
    )
    one, two, three = (
        member(root, "run A", "hardware", mark).product for mark in ("W1", "W2", "W3")
    )
    assert one is three
    assert one is not two


def test_equal_treads_are_one_product_whatever_their_number(tree) -> None:
    root = tree(
        part("T1", "tread", PLATE, item="tread 1"),
        part("T2", "tread", PLATE, 300.0, item="tread 2"),
        part("D1", "deck", POST, item="landing"),
    )
    first, second, landing = (member(root, "existing", mark) for mark in ("T1", "T2", "D1"))
    assert first.product is second.product
    assert (first.product.name, landing.product.name) == ("tread", "landing")


def test_what_is_fixed_on_a_wall_is_still_part_of_the_run(tree) -> None:
    root = tree(part("WL1", "wall", PLATE), part("K1", "bracket", BOLT, on="WL1"))
    assert names(member(root, "run A", "hardware").product) == ["K1"]
    assert names(member(root, "existing").product) == ["WL1"]


NOISE = 3e-10


def shapes_with(nudge: float) -> list:
    """Shapes whose every length is off by the nudge; inch sizes in binary fractions of an inch."""
    eighth = 25.4 / 128 + nudge
    return [
        Prism(
            Section(Rectangle(60.0 + nudge, 50.0 - nudge, eighth), Rectangle(54.0, 44.0 + nudge)),
            EndPlane(0.0 - nudge, 0.5, 0.0),
            EndPlane(900.0 + nudge),
            (Hole("x-", 100.0 + nudge, 0.0 - nudge, eighth, 5.0, 3.0 + nudge, (0.0, 0.62)),),
        ),
        Prism(
            Section(Polygon(((0.0, 0.0), (10.0 + nudge, 0.0), (5.0, eighth)))),
            EndPlane(0.0),
            EndPlane(1.0),
        ),
        Turned((Step(0.0, 10.0 - nudge, eighth, 0.0),)),
        Route(3.175 + nudge, ((0.0, 0.0, 0.0), (0.0, -nudge, 7000.0 + nudge))),
    ]


def test_rounding_noise_makes_no_new_shape() -> None:
    for plain, up, down in zip(*map(shapes_with, (0.0, NOISE, -NOISE)), strict=True):
        assert shape_key(plain) == shape_key(up) == shape_key(down)


def test_a_micron_makes_a_new_shape() -> None:
    keys = [shape_key(shape) for nudge in (0.0, 1e-3) for shape in shapes_with(nudge)]
    assert len(set(keys)) == len(keys)
    for a, b in itertools.pairwise((EndPlane(5.0), EndPlane(5.0, 1e-6), EndPlane(5.0, 0.0, 1e-6))):
        tilted = [Prism(POST.section, EndPlane(0.0), plane) for plane in (a, b)]
        assert shape_key(tilted[0]) != shape_key(tilted[1])


def test_the_order_of_holes_makes_no_new_shape() -> None:
    holes = tuple(Hole("x-", 10.0 * k, 0.0, 4.0, 4.0, 3.0) for k in (1, 2, 3))
    there, back = (replace(POST, holes=order) for order in (holes, holes[::-1]))
    assert shape_key(there) == shape_key(back)


def test_places_are_told_apart_by_origin_and_turn() -> None:
    here = upright((10.0, 20.0, 30.0), 15.0)
    noisy = Frame((10.0 + NOISE, 20.0, 30.0 - NOISE), here.x, here.y, here.z)
    assert place_key(here) == place_key(noisy)
    assert place_key(here) != place_key(upright((10.0, 20.0, 30.001), 15.0))
    assert place_key(here) != place_key(upright((10.0, 20.0, 30.0), 15.001))
