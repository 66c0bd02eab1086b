"""What a piece weighs: its volume in closed form times the density of its profile's material."""

from __future__ import annotations

from generator.parts.assembly import Part
from generator.spec.job import Job

_MM3_PER_M3 = 1e9


def piece_mass_kg(job: Job, part: Part) -> float | None:
    """Mass of a rail, post or spacer in kg; None where no material is known, as of a handrail."""
    system = job.system
    profiles = {"rail": system.rail, "post": system.post, "spacer": system.spacer}
    profile = profiles.get(part.kind)
    if profile is None:
        return None
    material = next((m for m in system.materials if m.name == profile.material), None)
    if material is None:
        return None
    return part.shape.volume_mm3 / _MM3_PER_M3 * material.density_kg_m3
