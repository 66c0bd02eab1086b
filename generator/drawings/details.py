"""The details of a job, drawn from its own parts at detail scales."""

from __future__ import annotations

from generator.drawings.detail_base import base_details
from generator.drawings.detail_cable import cable_details, spacer_details
from generator.drawings.detail_rail import rail_details
from generator.drawings.detail_site import Detail
from generator.drawings.detail_stair import handrail_details, transition_details
from generator.drawings.view import Scale
from generator.parts.assembly import Assembly


def details(assembly: Assembly) -> tuple[Detail, ...]:
    """Every detail that the job has, in the order in which they are read."""
    quarter = _scale(assembly, 4)
    half, eighth, twelfth = (_scale(assembly, size) for size in (2, 8, 12))
    return (
        *base_details(assembly, quarter),
        *rail_details(assembly, quarter),
        *cable_details(assembly, half),
        *transition_details(assembly, twelfth),
        *handrail_details(assembly, quarter),
        *spacer_details(assembly, eighth),
    )


def _scale(assembly: Assembly, size: int) -> Scale:
    """About one in `size`: of the architects' scales, or of those of ISO 5455."""
    if assembly.job.metric:
        near = {2: 2, 4: 5, 8: 10, 12: 10}[size]
        return Scale(float(near), f"1:{near}", True)
    inches = {2: "6", 4: "3", 8: "1 1/2", 12: "1"}[size]
    return Scale(float(size), f'{inches}" = 1\'-0"', False)
