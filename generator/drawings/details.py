"""The details of a job, drawn from its own parts at detail scales."""

from __future__ import annotations

from generator.drawings.detail_base import base_details
from generator.drawings.detail_cable import cable_details, spacer_details
from generator.drawings.detail_rail import rail_details
from generator.drawings.detail_site import Detail
from generator.drawings.view import Scale
from generator.parts.assembly import Assembly


def details(assembly: Assembly) -> tuple[Detail, ...]:
    """Every detail that the job has, in the order in which they are read."""
    quarter = _scale(assembly, 4)
    half, eighth = _scale(assembly, 2), _scale(assembly, 8)
    return (
        *base_details(assembly, quarter),
        *rail_details(assembly, quarter),
        *cable_details(assembly, half),
        *spacer_details(assembly, eighth),
    )


def _scale(assembly: Assembly, size: int) -> Scale:
    """About one in `size`: of the architects' scales, or of those of ISO 5455."""
    if assembly.job.metric:
        near = {2: 2, 4: 5, 8: 10}[size]
        return Scale(float(near), f"1:{near}", True)
    label = {2: '6" = 1\'-0"', 4: '3" = 1\'-0"', 8: '1 1/2" = 1\'-0"'}[size]
    return Scale(float(size), label, False)
