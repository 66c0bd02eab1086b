"""Fields of what the calculation of strength looks up: woods, safety factors, other factors."""

from __future__ import annotations

from generator.catalog.fields import Field
from generator.catalog.relations import Rule

WOOD_FIELDS = (
    Field("gravity", "specific gravity", "number"),
    Field("bearing", "strength in bearing across the grain, dry", "stress"),
)
WOOD_RULES = (Rule(("gravity",), lambda g: g < 1.3, "less than 1.3: of oven-dry wood to water"),)

_AT_LEAST_ONE = "at least 1: what strength is divided by"
SAFETY_FIELDS = (
    Field("yielding", "safety factor on yielding and buckling", "number"),
    Field("rupture", "safety factor on rupture", "number"),
    Field("bolts", "safety factor on bolts", "number"),
    Field("screws", "safety factor on screws", "number"),
)
SAFETY_RULES = tuple(Rule((field.key,), lambda v: v >= 1, _AT_LEAST_ONE) for field in SAFETY_FIELDS)

FACTOR_FIELDS = (
    Field("duration", "load duration of wood, permanent load", "ratio"),
    Field("wet_fasteners", "wet service, fasteners", "ratio"),
    Field("dry_fasteners", "dry service, fasteners", "ratio"),
    Field("wet_bearing", "wet service, bearing across the grain", "ratio"),
    Field("dowel_yield", "bending yield strength of a bolt or lag screw in wood", "stress"),
    Field("lag_sizes", "lag screws: diameters of the shank", "lengths"),
    Field("lag_roots", "lag screws: root diameters, in the order of the shanks", "lengths"),
    Field("lag_tips", "lag screws: lengths of the tip, in the order of the shanks", "lengths"),
    Field("heat_wood", "thermal expansion of the deck, wood along the grain", "expansion"),
    Field("heat_concrete", "thermal expansion of the deck, concrete", "expansion"),
    Field("filler_4043", "shear strength of filler 4043, along the weld", "stress"),
    Field("filler_5356", "shear strength of filler 5356, along the weld", "stress"),
    Field("electrode_70", "shear strength of weld metal E70", "stress"),
    Field("weld_heat", "reach of a weld's heat"),
    Field("give_post", "height over deflection allowed at the top of a post", "number"),
    Field(
        "give_rail_h",
        "height over deflection allowed of a rail, part of the post",
        "number",
    ),
    Field("give_rail_l", "span over deflection allowed of a rail, part of the span", "number"),
    Field("post_continuity", "share of a post in the middle under a rail that runs on", "number"),
    Field("screw_ultimate", "ultimate strength of a stainless screw", "stress"),
    Field("cable_safety", "breaking force over working force of a cable", "number"),
)
FACTOR_RULES = (
    *(
        Rule((key,), lambda v: v <= 1, "at most 1")
        for key in ("duration", "wet_fasteners", "dry_fasteners", "wet_bearing")
    ),
    Rule(("cable_safety",), lambda v: v >= 1, _AT_LEAST_ONE),
    Rule(
        ("lag_roots", "lag_sizes"),
        lambda r, d: len(r) == len(d) and all(a < b for a, b in zip(r, d, strict=True)),
        "one for each of lag_sizes, and less than it",
    ),
    Rule(("lag_tips", "lag_sizes"), lambda t, d: len(t) == len(d), "one for each of lag_sizes"),
)
