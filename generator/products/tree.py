"""The parts table as a product tree: what is distinct, what it is called, where each stands.

Parts of equal shape share one product, and so do posts whose hardware is equal and equally placed.

An occurrence is named by its part's mark, which takes half a kilobyte of STEP. In a job of many
parts the marks of what stands there already or is bought alike would be most of the file: there
legs whose treads, spacers or cables are alike and equally placed share them as one product, named
by the marks that it stands for ("C12 to C22"), its parts counted in their order ("cable 1" is C12).
Posts and rails, which are drilled and cut one by one, keep their marks in a job of any size.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace

from generator.geometry import Frame
from generator.parts.assembly import Assembly, Kind, Part
from generator.products.catalogue import IDENTITY, Catalogue, Draft, products_of
from generator.products.distinct import DistinctPart, filed
from generator.products.naming import marks_in_words
from generator.products.product import Group, Instance, Product, Solid

MARKS = 600
"""So many parts that stand alone are all placed under their marks."""

_EXISTING = "existing"
_LOOSE = "hardware"
_BRANCHES: dict[Kind, str] = {
    "post": "posts",
    "rail": "rails",
    "cable": "cables",
    "spacer": "spacers",
    "handrail": "handrails",
    "handrail-bracket": "handrails",
    "blocking": "blocking",
}
_ORDER: tuple[str, ...] = (*dict.fromkeys(_BRANCHES.values()), _LOOSE, _EXISTING)
# What gives up its marks first, as long as there are too many.
_SHARED = (_EXISTING, "spacers", "cables")

_Row = tuple[str, Frame, Draft]
_Branch = tuple[str, str]


def product_tree(assembly: Assembly, most_marks: int | None = MARKS) -> Group:
    """The root product: a branch for each run, and `existing` for what stands there already.

    Where more than `most_marks` parts stand alone, those alike are shared; None shares nothing.
    """
    catalogue = Catalogue(assembly)
    rows = _rows(catalogue, _branches(catalogue), most_marks)
    return _root(assembly, rows, _products(rows))


def tree_and_parts(
    assembly: Assembly, most_marks: int | None = MARKS
) -> tuple[Group, tuple[DistinctPart, ...]]:
    """The root product, and the distinct parts of the guard that it is made of, by their names."""
    catalogue = Catalogue(assembly)
    rows = _rows(catalogue, _branches(catalogue), most_marks)
    products = _products(rows)
    marks: dict[int, list[str]] = defaultdict(list)
    for part in catalogue.parts:
        if not part.reference:
            marks[catalogue.body(part).number].append(part.mark)
    solids = ((products[number], tuple(alike)) for number, alike in marks.items())
    parts = filed((solid, alike) for solid, alike in solids if isinstance(solid, Solid))
    return _root(assembly, rows, products), parts


def distinct_parts(assembly: Assembly) -> tuple[DistinctPart, ...]:
    """The distinct parts of the guard, with the names that they have in the model."""
    return tree_and_parts(assembly)[1]


def _products(rows: dict[_Branch, list[_Row]]) -> dict[int, Product]:
    return products_of(draft for branch in rows.values() for _, _, draft in branch)


def _root(
    assembly: Assembly, rows: dict[_Branch, list[_Row]], products: dict[int, Product]
) -> Group:
    runs: dict[str, list[Instance]] = defaultdict(list)
    existing: list[Instance] = []
    for (run, name), branch in rows.items():
        placed = [Instance(mark, products[d.number], place) for mark, place, d in branch]
        if name == _EXISTING:
            existing.append(_here(Group(name, tuple(placed)), name))
        elif len(placed) == 1 and branch[0][2].panel:
            runs[run].append(replace(placed[0], name=f"{name} {placed[0].name}"))
        else:
            runs[run].append(_here(Group(f"{run} {name}", tuple(placed)), name))
    branches = [_here(Group(run, tuple(members)), run) for run, members in runs.items()]
    return Group(assembly.job.title.strip() or "guard", (*branches, *existing))


def _here(product: Product, name: str) -> Instance:
    return Instance(name, product, IDENTITY)


def _branches(catalogue: Catalogue) -> dict[_Branch, list[Part]]:
    """What stands alone, by run and branch, runs as they appear and branches in their order."""
    found: dict[_Branch, list[Part]] = defaultdict(list)
    for part in catalogue.parts:
        if part.reference and catalogue.stands_alone(part):
            found["", _EXISTING].append(part)
        elif catalogue.stands_alone(part):
            found[f"run {part.run}", _BRANCHES.get(part.kind, _LOOSE)].append(part)
    runs = dict.fromkeys(run for run, _ in found)
    ordered = ((run, name) for run in runs for name in _ORDER)
    return {branch: found[branch] for branch in ordered if branch in found}


def _rows(
    catalogue: Catalogue, branches: dict[_Branch, list[Part]], most_marks: int | None
) -> dict[_Branch, list[_Row]]:
    """The occurrences of every branch; where there are too many, those alike are shared."""
    rows = {branch: _each(catalogue, parts) for branch, parts in branches.items()}
    for name in _SHARED:
        if most_marks is None or sum(map(len, rows.values())) <= most_marks:
            break
        alike = {branch: parts for branch, parts in branches.items() if branch[1] == name}
        rows |= _shared(catalogue, alike)
    return rows


def _each(catalogue: Catalogue, parts: Iterable[Part]) -> list[_Row]:
    return [(part.mark, part.place, catalogue.draft(part)) for part in parts]


def _shared(catalogue: Catalogue, branches: dict[_Branch, list[Part]]) -> dict[_Branch, list[_Row]]:
    """The same branches, what runs have alike placed as one product, and else what legs have."""
    rows: dict[_Branch, list[_Row]] = {branch: [] for branch in branches}
    left = branches
    for level in ("run", "leg"):
        panels = [
            (branch, unit, catalogue.panel(unit, f"{branch[1]} of a {level}"))
            for branch, parts in left.items()
            for unit in _units(parts, level)
        ]
        count = Counter(draft.number for _, unit, draft in panels if len(unit) > 1)
        left = defaultdict(list)
        for branch, unit, draft in panels:
            if count[draft.number] > 1:
                marks = marks_in_words(part.mark for part in unit)
                rows[branch].append((marks, unit[0].place, draft))
            else:
                left[branch] += unit
    return {
        branch: branch_rows + _each(catalogue, left[branch]) for branch, branch_rows in rows.items()
    }


def _units(parts: Iterable[Part], level: str) -> list[list[Part]]:
    """The parts of each run, or of each leg."""
    units: dict[tuple[str, int], list[Part]] = defaultdict(list)
    for part in parts:
        units[part.run, part.leg if level == "leg" else 0].append(part)
    return list(units.values())
