"""The pieces that a saw cuts, those that are equal as one: rails, posts, spacers, handrails."""

from __future__ import annotations

from generator.frozen import dataclass
from generator.parts.assembly import Assembly, Kind, Part, RailDetail
from generator.products.same import Key, settled, shape_key

CUT: tuple[Kind, ...] = ("rail", "post", "spacer", "handrail")


@dataclass(frozen=True, slots=True)
class CutPiece:
    """Pieces that are cut and drilled alike, from one section; the first is the one drawn."""

    parts: tuple[Part, ...]

    @property
    def part(self) -> Part:
        return self.parts[0]

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(part.mark for part in self.parts)


def cut_pieces(assembly: Assembly) -> tuple[CutPiece, ...]:
    """All pieces that are cut, kind by kind in the order of their marks, equal ones together.

    They are found once.
    """
    if "cut pieces" not in assembly.worked_out:
        assembly.worked_out["cut pieces"] = _found(assembly)
    return assembly.worked_out["cut pieces"]


def _found(assembly: Assembly) -> tuple[CutPiece, ...]:
    alike: dict[Key, list[Part]] = {}
    for kind in CUT:
        for part in assembly.of_kind(kind):
            section = part.detail.section if isinstance(part.detail, RailDetail) else part.item
            key = (kind, section, shape_key(settled(part.shape)[0]))
            alike.setdefault(key, []).append(part)
    return tuple(CutPiece(tuple(parts)) for parts in alike.values())
