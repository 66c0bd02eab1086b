"""The parts table as a product tree: what is distinct, what it is called, where each stands.

Parts of equal shape share one product, and so do posts whose hardware is equal and equally placed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from operator import itemgetter

from generator.geometry import UP, Frame
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Shape
from generator.solids.same import Key, place_key, shape_key

IDENTITY = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), UP)

_BRANCHES: dict[Kind, str] = {
    "post": "posts",
    "rail": "rails",
    "cable": "cables",
    "spacer": "spacers",
    "handrail": "handrails",
    "handrail-bracket": "handrails",
    "blocking": "blocking",
}
_LOOSE = "hardware"
_ORDER: tuple[str, ...] = (*dict.fromkeys(_BRANCHES.values()), _LOOSE)


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """A distinct part: modelled once."""

    name: str
    kind: Kind
    shape: Shape


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Products at their places: the guard, a run, its posts, one post with its hardware."""

    name: str
    members: tuple[Instance, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Instance:
    """A product at a place in the group that holds it, under a name of its own."""

    name: str
    product: Product
    place: Frame


Product = Solid | Group


def product_tree(assembly: Assembly) -> Group:
    """The root product: a branch for each run, and `existing` for what stands there already."""
    catalogue = _Catalogue(assembly)
    runs: dict[str, list[Part]] = defaultdict(list)
    existing: list[Part] = []
    for part in assembly.parts:
        if catalogue.stands_alone(part):
            (existing if part.reference else runs[part.run]).append(part)
    branches = [_run(catalogue, f"run {run}", parts) for run, parts in runs.items()]
    if existing:
        branches.append(Group("existing", catalogue.placed(existing)))
    placed = tuple(Instance(branch.name, branch, IDENTITY) for branch in branches)
    return Group(assembly.job.title.strip() or "guard", placed)


def _run(catalogue: _Catalogue, run: str, parts: Sequence[Part]) -> Group:
    """The branch of a run: its posts, rails, cables, spacers and what is fixed on none of them."""
    branches: dict[str, list[Part]] = {name: [] for name in _ORDER}
    for part in parts:
        branches[_BRANCHES.get(part.kind, _LOOSE)].append(part)
    return Group(
        run,
        tuple(
            Instance(name, Group(f"{run} {name}", catalogue.placed(members)), IDENTITY)
            for name, members in branches.items()
            if members
        ),
    )


@dataclass(frozen=True, slots=True)
class _Draft:
    """A product before it has its name; drafts of equal number are one product."""

    number: int
    title: str
    part: Part
    members: tuple[tuple[str, Frame, _Draft], ...]


class _Catalogue:
    """Finds the distinct products of an assembly and names them."""

    def __init__(self, assembly: Assembly) -> None:
        self._hardware: dict[str, list[Part]] = defaultdict(list)
        for part in assembly.parts:
            owner = assembly.by_mark.get(part.belongs_to, part)
            if owner is not part and not owner.reference:
                self._hardware[owner.mark].append(part)
        self._held = {part.mark for held in self._hardware.values() for part in held}
        self._numbers: dict[Key, int] = {}
        self._shape_keys: dict[int, Key] = {}
        self._labels = self._existing_labels(assembly.parts)
        self._drafts = {
            part.mark: self._draft(part) for part in assembly.parts if self.stands_alone(part)
        }
        self._names = _unique_names(self._drafts.values())
        self._made: dict[int, Product] = {}

    def stands_alone(self, part: Part) -> bool:
        """Whether a part is not fixed on another one."""
        return part.mark not in self._held

    def placed(self, parts: Iterable[Part]) -> tuple[Instance, ...]:
        """Instances of parts that stand alone, by mark, with all that is fixed on them."""
        return tuple(
            Instance(part.mark, self._product(self._drafts[part.mark]), part.place)
            for part in parts
        )

    def _draft(self, part: Part) -> _Draft:
        """The part, with what is fixed on it in an order of its own, not that of the table."""
        shape = self._shape_key(part.shape)
        item = self._labels[part.kind, shape] if part.reference else _title(part)
        own = self._number((part.kind, item, shape))
        body = _Draft(own, item, part, ())
        if part.mark not in self._hardware:
            return body
        held: list[tuple[int, Key, Frame, _Draft]] = []
        for one in self._hardware[part.mark]:
            draft, place = self._draft(one), _relative(part.place, one.place)
            held.append((draft.number, place_key(place), place, draft))
        held.sort(key=itemgetter(0, 1))
        number = self._number((own, *((kept, where) for kept, where, _, _ in held)))
        members = (part.kind, IDENTITY, body), *_labelled((p, d) for _, _, p, d in held)
        return _Draft(number, f"{body.title} with hardware", part, members)

    def _existing_labels(self, parts: Iterable[Part]) -> dict[Key, str]:
        """Names of what stands there already: tread 1 and tread 2 of equal shape are a tread."""
        items: dict[Key, set[str]] = defaultdict(set)
        for part in parts:
            if part.reference:
                items[part.kind, self._shape_key(part.shape)].add(part.item)
        return {
            key: next(iter(alike)) if len(alike) == 1 else key[0] for key, alike in items.items()
        }

    def _number(self, key: Key) -> int:
        """A number for each distinct key, in order of first appearance."""
        return self._numbers.setdefault(key, len(self._numbers))

    def _shape_key(self, shape: Shape) -> Key:
        """Worked out once for a shape that many parts hold."""
        if id(shape) not in self._shape_keys:
            self._shape_keys[id(shape)] = shape_key(shape)
        return self._shape_keys[id(shape)]

    def _product(self, draft: _Draft) -> Product:
        if draft.number not in self._made:
            self._made[draft.number] = self._make(draft)
        return self._made[draft.number]

    def _make(self, draft: _Draft) -> Product:
        name = self._names[draft.number]
        if not draft.members:
            return Solid(name, draft.part.kind, draft.part.shape)
        return Group(
            name,
            tuple(Instance(label, self._product(d), place) for label, place, d in draft.members),
        )


def _title(part: Part) -> str:
    """What a part is, in words: its item, led by its kind where the item does not say it."""
    kind = part.kind.replace("-", " ")
    return part.item if kind in part.item.replace("-", " ") else f"{kind} {part.item}".strip()


def _relative(owner: Frame, place: Frame) -> Frame:
    """A place as it is in another frame."""
    x, y, z = (owner.local_vector(axis) for axis in (place.x, place.y, place.z))
    return Frame(owner.local(place.origin), x, y, z)


def _labelled(held: Iterable[tuple[Frame, _Draft]]) -> Iterator[tuple[str, Frame, _Draft]]:
    """Hardware named by its kind, counted where there are several: base plate, anchor 1, ..."""
    members = list(held)
    total = Counter(draft.part.kind for _, draft in members)
    count: Counter[str] = Counter()
    for place, draft in members:
        kind = draft.part.kind
        count[kind] += 1
        label = kind.replace("-", " ")
        yield (f"{label} {count[kind]}" if total[kind] > 1 else label), place, draft


def _unique_names(drafts: Iterable[_Draft]) -> dict[int, str]:
    """A name for each distinct product; those that share a title are counted as they appear."""
    by_title: dict[str, list[int]] = defaultdict(list)
    seen: set[int] = set()

    def collect(draft: _Draft) -> None:
        if draft.number not in seen:
            seen.add(draft.number)
            by_title[draft.title].append(draft.number)
            for _, _, held in draft.members:
                collect(held)

    for draft in drafts:
        collect(draft)
    return {
        number: f"{title} ({count})" if len(numbers) > 1 else title
        for title, numbers in by_title.items()
        for count, number in enumerate(numbers, start=1)
    }
