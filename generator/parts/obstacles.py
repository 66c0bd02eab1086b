"""Obstacles of the job as parts: bodies that stand there already and belong to no leg."""

from __future__ import annotations

from collections.abc import Iterator

from generator.geometry import EndPlane, upright
from generator.parts.assembly import Part
from generator.parts.shapes import Polygon, Prism, Section
from generator.spec.job import Job


def obstacle_parts(job: Job) -> Iterator[Part]:
    """One part an obstacle, in order, marked OB1, OB2; its item is what the job calls it."""
    for number, obstacle in enumerate(job.obstacles, 1):
        mark = f"OB{number}"
        shape = Prism(
            Section(Polygon(obstacle.corners)), EndPlane(0.0), EndPlane(obstacle.height_mm)
        )
        place = upright((obstacle.x_mm, obstacle.y_mm, obstacle.z_mm), obstacle.bearing_deg)
        yield Part(mark, "obstacle", obstacle.name, "", 0, shape, place, mark)
