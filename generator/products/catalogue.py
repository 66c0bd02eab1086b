"""Finds which parts of a table are one product, alone or with what is fixed on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from operator import itemgetter

from generator.frozen import dataclass
from generator.geometry import UP, Frame, along, scale
from generator.parts.assembly import Assembly, Kind, Part
from generator.parts.shapes import Shape
from generator.products.naming import labels, title_of, unique
from generator.products.product import Group, Instance, Product, Solid
from generator.products.same import Key, axis_key, place_key, settled, shape_key

IDENTITY = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), UP)

# What goes on one stud, in a line: the fitting leads.
_ON_A_STUD: tuple[Kind, ...] = ("fitting", "seat", "washer", "nut")


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """A product before it has its name; drafts of equal number are one product.

    `part` is the one that leads it: a post of its hardware, a fitting of its washer and nut, the
    first of a panel.
    """

    number: int
    title: str
    part: Part
    members: tuple[tuple[str, Frame, Draft], ...]
    panel: bool = False


Held = tuple[Frame, Draft]


class Catalogue:
    """The distinct products of an assembly, as drafts; `parts` are its parts, all settled."""

    def __init__(self, assembly: Assembly) -> None:
        self.parts = _settled(assembly.parts)
        self._hardware: dict[str, list[Part]] = defaultdict(list)
        by_mark = {part.mark: part for part in self.parts}
        for part in self.parts:
            owner = by_mark.get(part.belongs_to, part)
            if owner is not part and not owner.reference:
                self._hardware[owner.mark].append(part)
        self._held = {part.mark for held in self._hardware.values() for part in held}
        self._numbers: dict[Key, int] = {}
        self._shape_keys: dict[int, Key] = {}
        self._drafts: dict[str, Draft] = {}
        self._labels = self._existing_labels(self.parts)

    def stands_alone(self, part: Part) -> bool:
        """Whether a part is not fixed on another one."""
        return part.mark not in self._held

    def draft(self, part: Part) -> Draft:
        """The part, with what is fixed on it in an order of its own, not that of the table."""
        if part.mark not in self._drafts:
            self._drafts[part.mark] = self._draft(part)
        return self._drafts[part.mark]

    def body(self, part: Part) -> Draft:
        """The part alone, without what is fixed on it."""
        shape = self._shape_key(part.shape)
        item = self._labels[part.kind, shape] if part.reference else title_of(part)
        return Draft(self._number((part.kind, item, shape)), item, part, ())

    def _draft(self, part: Part) -> Draft:
        body = self.body(part)
        if part.mark not in self._hardware:
            return body
        return self._led(body, self._hung(part), f"{body.title} with hardware")

    def panel(self, parts: Sequence[Part], title: str) -> Draft:
        """Parts in their order as one product that stands where the first of them does."""
        first = parts[0]
        held = [(_relative(first.place, one.place), self.draft(one)) for one in parts]
        number = self._number(("panel", *((draft.number, place_key(at)) for at, draft in held)))
        return Draft(number, title, first, tuple(_labelled(held)), panel=True)

    def _hung(self, owner: Part) -> list[Held]:
        """What is fixed on a part, at its places there; what shares a stud hangs together."""
        loose: list[Held] = []
        studs: dict[Key, list[Held]] = defaultdict(list)
        for one in self._hardware[owner.mark]:
            place, draft = _relative(owner.place, one.place), self.draft(one)
            if one.kind in _ON_A_STUD:
                studs[_stud_key(one.kind, place)].append((place, draft))
            else:
                loose.append((place, draft))
        for held in studs.values():
            loose += self._on_stud(held)
        return loose

    def _on_stud(self, held: list[Held]) -> list[Held]:
        """A fitting with its seat, washer and nut as one; as they are where no fitting leads."""
        leads = [(place, draft) for place, draft in held if draft.part.kind == "fitting"]
        if len(leads) != 1 or len(held) == 1:
            return held
        ((where, lead),) = leads
        rest = [(_relative(where, place), draft) for place, draft in held if draft is not lead]
        return [(where, self._led(lead, rest, f"{lead.title} with nut"))]

    def _led(self, body: Draft, held: list[Held], title: str) -> Draft:
        """A part with what hangs on it, in an order that does not depend on the table's."""
        keyed = [(draft.number, place_key(place), place, draft) for place, draft in held]
        keyed.sort(key=itemgetter(0, 1))
        number = self._number((body.number, *((kept, where) for kept, where, _, _ in keyed)))
        members = _labelled([(IDENTITY, body), *((place, draft) for _, _, place, draft in keyed)])
        return Draft(number, title, body.part, tuple(members))

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


def _settled(parts: Iterable[Part]) -> list[Part]:
    """The parts with each shape moved along its axis to where it begins."""
    shapes: dict[int, tuple[Shape, float]] = {}
    found: list[Part] = []
    for part in parts:
        if id(part.shape) not in shapes:
            shapes[id(part.shape)] = settled(part.shape)
        shape, by = shapes[id(part.shape)]
        if shape is not part.shape:
            origin = along(part.place.origin, part.place.z, by)
            part = replace(part, shape=shape, place=replace(part.place, origin=origin))
        found.append(part)
    return found


def products_of(drafts: Iterable[Draft]) -> dict[int, Product]:
    """The named products of drafts and of all that they hold, by number."""
    distinct: dict[int, Draft] = {}

    def collect(draft: Draft) -> None:
        if draft.number not in distinct:
            distinct[draft.number] = draft
            for _, _, held in draft.members:
                collect(held)

    for draft in drafts:
        collect(draft)
    names = unique((number, draft.title) for number, draft in distinct.items())
    made: dict[int, Product] = {}

    def make(draft: Draft) -> Product:
        if draft.number not in made:
            name, part = names[draft.number], draft.part
            members = tuple(
                Instance(label, make(held), place) for label, place, held in draft.members
            )
            solid = Solid(name, part.kind, part.shape)
            made[draft.number] = Group(name, members) if members else solid
        return made[draft.number]

    for draft in distinct.values():
        make(draft)
    return made


def _relative(owner: Frame, place: Frame) -> Frame:
    """A place as it is in another frame."""
    x, y, z = (owner.local_vector(axis) for axis in (place.x, place.y, place.z))
    return Frame(owner.local(place.origin), x, y, z)


def _stud_key(kind: Kind, place: Frame) -> Key:
    """Equal for what is on one stud; a fitting points inward, the rest outward."""
    return axis_key(place.origin, scale(place.z, -1.0) if kind == "fitting" else place.z)


def _labelled(held: Sequence[Held]) -> Iterator[tuple[str, Frame, Draft]]:
    """Members named by the kind of what leads them."""
    for label, (place, draft) in zip(labels([d.part.kind for _, d in held]), held, strict=True):
        yield label, place, draft
