"""Obstacles of a spec as Pydantic models: what stands near a guard and must stay clear of it."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ConfigDict, Field, PlainValidator, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from generator.geometry import Vec2
from generator.spec.fields import Bearing, Coordinate, Measured, Title, read_length, refuse, unit_of
from generator.spec.part import Part, absent, given, need

MAX_OBSTACLES = 1_000
MAX_CORNERS = 100


def read_corner(read: object, unit: str) -> Vec2:
    """A corner of an outline, mm.

    Raises:
        PydanticCustomError: no list of two lengths.
    """
    if not isinstance(read, list) or len(read) != 2:
        raise refuse("a corner as [x, y], two lengths")
    try:
        x, y = (read_length(value, unit, "any") for value in read)
    except PydanticCustomError as error:
        raise refuse(f"a corner as [x, y]: {(error.context or {})['accepted']}") from None
    return (x, y)


def _corner(read: Any, info: ValidationInfo) -> Vec2:
    return read_corner(read, unit_of(info))


Corner = Annotated[
    Vec2,
    PlainValidator(_corner),
    WithJsonSchema(
        {
            "type": "array",
            "items": {"type": ["string", "number"]},
            "minItems": 2,
            "maxItems": 2,
        }
    ),
]


class BoxSpec(Part):
    """An upright box."""

    x: Coordinate = need("middle of its plan, to the east")
    y: Coordinate = need("middle of its plan, to the north")
    z: Coordinate = given("0 in", "height of its underside")
    width: Measured = need("its size along its bearing")
    depth: Measured = need("its size across its bearing")
    height: Measured = need("from its underside to its top")
    bearing: Bearing = given(0, "direction of its width: 0 is east, counter-clockwise")


class OutlineSpec(Part):
    """An upright body over an outline."""

    points: list[Corner] = Field(
        description="corners of its plan in order, as [x, y]", max_length=MAX_CORNERS
    )
    z: Coordinate = given("0 in", "height of its underside")
    height: Measured = need("from its underside to its top")


class ObstacleSpec(Part):
    """Something that stands near the guard: a downpipe, a grill, a hatch."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["box"]}, {"required": ["prism"]}]}
    )

    name: Title = need("what it is, such as downpipe")
    box: BoxSpec = absent("its place and size, as an upright box")
    prism: OutlineSpec = absent("its place and size, as an outline and its heights")


OBSTACLE_MAPPINGS: dict[tuple[str, ...], type[Part]] = {
    ("obstacles",): ObstacleSpec,
    ("obstacles", "box"): BoxSpec,
    ("obstacles", "prism"): OutlineSpec,
}
"""The models of the mappings below `obstacles`; see `models.mapping_at`."""
