"""What parts weigh: volume of their shape times density of their material, cables by the metre."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from generator.parts.assembly import Assembly, CableDetail, Kind, Part
from generator.parts.consumables import nut_washer_item
from generator.parts.shapes import hexagon
from generator.spec.job import Job

_MM3 = 1e-9  # m3
# Specific gravity of wood, oven-dry, by the names that `structure.joists.species` knows:
# NDS Table 12.3.3A, from memory, not read. Unnamed kinds are taken as the heaviest of them.
_GRAVITY: Mapping[str, float] = {
    "southern-pine": 0.55,
    "douglas-fir-larch": 0.50,
    "douglas-fir": 0.50,
    "larch": 0.50,
    "hem-fir": 0.43,
    "spruce-pine-fir": 0.42,
    "spruce": 0.42,
    "redwood": 0.44,
    "western-cedar": 0.36,
    "cedar": 0.36,
}
_MOISTURE = 19.0  # per cent, the most of lumber sold as dry
WOOD_SOURCE = (
    "from memory, not read: specific gravity after NDS Table 12.3.3A, density at 19 % moisture "
    "after NDS Supplement 3.1.3"
)


def wood_density_kg_m3(species: str) -> float | None:
    """Density of a wood at 19 % moisture: NDS Supplement 3.1.3, from memory; None if unknown.

    62.4 lb/ft3 of water in the formula is 999.6 kg/m3; 1000 is taken.
    """
    gravity = _GRAVITY.get(species)
    if gravity is None:
        return None
    return 1000 * gravity / (1 + gravity * 0.009 * _MOISTURE) * (1 + _MOISTURE / 100)


def materials_of(job: Job) -> Mapping[Kind, str]:
    """The name of the material that each kind of part is made of, where a profile tells it."""
    system = job.system
    post, rail, fitting = system.post.material, system.rail.material, system.fitting.material
    return {
        "post": post,
        "base-plate": post,
        "side-plate": post,
        "stand-off": post,
        "anchor": system.anchor.material,
        "bracket": system.bracket.material,
        "rail": rail,
        "sleeve": rail,
        "connector": rail,
        "cable": system.cable.material,
        "fitting": fitting,
        "seat": fitting,
        "washer": fitting,
        "nut": fitting,
        "spacer": system.spacer.material,
        # A job does not say what its handrail is made of.
        "handrail": rail,
        "handrail-bracket": post,
    }


class Scales:
    """Weighs the parts of a job."""

    def __init__(self, job: Job) -> None:
        self.job = job
        densities = {material.name: material.density_kg_m3 for material in job.system.materials}
        self._density = {kind: densities[name] for kind, name in materials_of(job).items()}
        joists = job.structure.joists if job.structure else None
        wood = wood_density_kg_m3(joists.species) if joists else None
        if wood is not None:
            self._density["blocking"] = wood
        self._volumes: dict[int, float] = {}

    def part_kg(self, part: Part) -> float | None:
        """Mass of a part; None where its material is not told, as of what stands there already.

        A cable is weighed in the length to order, with what is trimmed off.
        """
        if isinstance(part.detail, CableDetail):
            return part.detail.cut_length_mm / 1000 * self.job.system.cable.mass_kg_m
        density = self._density.get(part.kind)
        if density is None:
            return None
        volume = self._volume(part)
        if part.kind == "anchor":
            # Drawn as the circle across its corners, a head is a hexagon all the same.
            anchor = self.job.system.anchor
            round_mm2 = math.pi / 3 * anchor.head_flats_mm**2
            spared = round_mm2 - hexagon(anchor.head_flats_mm).area_mm2
            volume -= spared * anchor.head_height_mm
        return volume * _MM3 * density

    def _volume(self, part: Part) -> float:
        """Worked out once for a shape that many parts hold."""
        if id(part.shape) not in self._volumes:
            self._volumes[id(part.shape)] = part.shape.volume_mm3
        return self._volumes[id(part.shape)]

    def consumable_kg(self, item: str) -> float | None:
        """Mass of one washer or nut of an anchor, by its closed form; None of anything else.

        The nut is taken as wide across flats as the bolt's head.
        """
        anchor = self.job.system.anchor
        bore = math.pi / 4 * anchor.diameter_mm**2
        if item == f"washer for {anchor.name}":
            area, height = math.pi / 4 * anchor.washer_mm**2, anchor.washer_thickness_mm
        elif item == nut_washer_item(self.job):
            area, height = math.pi / 4 * anchor.nut_washer_mm**2, anchor.washer_thickness_mm
        elif item == f"nut for {anchor.name}":
            area, height = hexagon(anchor.head_flats_mm).area_mm2, anchor.nut_height_mm
        else:
            return None
        return (area - bore) * height * _MM3 * self._density["anchor"]


def item_masses(assembly: Assembly) -> dict[str, float | None]:
    """Mass in kg of all that is needed of each item, spares apart; None where it is not known."""
    scales = Scales(assembly.job)
    masses: dict[str, float | None] = {}
    for part in assembly.parts:
        if not part.reference:
            masses[part.item] = _sum(masses.get(part.item, 0.0), scales.part_kg(part))
    for one in assembly.consumables:
        each = scales.consumable_kg(one.item)
        masses[one.item] = None if each is None else each * one.count
    return masses


def _sum(so_far: float | None, more: float | None) -> float | None:
    return None if so_far is None or more is None else so_far + more


def weight_notes(job: Job) -> Iterator[str]:
    """Where the densities come from, a line each."""
    names = dict.fromkeys(materials_of(job).values())
    by_name = {material.name: material for material in job.system.materials}
    for name in names:
        entry = next((e for e in by_name[name].entries if e.field == "density"), None)
        if entry is not None:
            yield f"{name}: {entry.text} ({'invented' if entry.invented else entry.source})"
    joists = job.structure.joists if job.structure else None
    wood = wood_density_kg_m3(joists.species) if joists else None
    if joists and wood is not None:
        yield f"wood, {joists.species}: {wood:.0f} kg/m3 ({WOOD_SOURCE})"
    if job.handrail and job.handrail.made:
        yield (
            "a handrail is weighed as a solid bar of the rail's material, a tube is lighter; its "
            "brackets as bars of the posts' material"
        )
