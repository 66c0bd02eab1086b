"""What a model is made of: distinct parts, groups of them, and both at their places."""

from __future__ import annotations

from generator.frozen import dataclass
from generator.geometry import Frame
from generator.parts.assembly import Kind
from generator.parts.shapes import Shape


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
