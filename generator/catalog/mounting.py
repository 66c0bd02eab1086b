"""What a post's profile says of its other mountings: a side plate at a fascia, a cored hole.

Whether these suit the rest of the post is asked where a job uses them, by `fit.unmountable`: a tube
of another width that stands on its base plate needs no other hole in concrete.
"""

from __future__ import annotations

from generator.catalog.relations import Rule, all_or_none, optional

SIDE_FIELDS = (
    optional("side_plate", "plate at a fascia or stringer, along the leg; 0 where it has none"),
    optional("side_plate_height", "height of the side plate"),
    optional("side_plate_thickness", "thickness of the side plate"),
    optional("standoff", "from the fascia's face to the post, side plate and all"),
    optional(
        "side_bolt_spacing",
        "from the lowest row of the side plate's bolts to the highest; their two columns are as "
        "far apart as on the base plate",
    ),
    optional("side_bolts", "bolts of the side plate", "count"),
)
SIDE_RULES = (
    *all_or_none("side_plate", [field.key for field in SIDE_FIELDS[1:]]),
    Rule(
        ("side_bolt_spacing", "bolt_hole", "side_plate_height"),
        lambda s, h, p: s == 0 or s + h < p,
        "less than the side plate's height less a bolt hole: the holes lie within the plate",
    ),
    Rule(
        ("standoff", "side_plate_thickness"),
        lambda s, t: s == 0 or s >= t,
        "at least the thickness of the side plate",
    ),
    Rule(("side_bolts",), lambda n: n % 2 == 0, "an even number: they stand in two columns"),
)

CORE_FIELDS = (
    optional("core_hole", "diameter of the hole cored for it in concrete; 0 where it has none"),
    optional("core_depth", "depth of the cored hole"),
    optional("core_edge", "least distance from the cored hole's centre to the concrete's edge"),
)
CORE_RULES = (
    *all_or_none("core_hole", [field.key for field in CORE_FIELDS[1:]]),
    Rule(
        ("core_edge", "core_hole"),
        lambda e, h: e == 0 or e > h / 2,
        "more than half the cored hole",
    ),
)
