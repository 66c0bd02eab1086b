"""Finding codes of strength, a row each: code, severity and the words of `codes.Code`."""

from __future__ import annotations

from typing import NamedTuple

from generator.parts.report import Severity


class Row(NamedTuple):
    """What `codes.Code` takes, in its order."""

    code: str
    severity: Severity
    title: str
    meaning: str
    formula: str
    inputs: str
    limit: str


STRENGTH_CODES: tuple[Row, ...] = (
    Row(
        "strength.elsewhere",
        "note",
        "Strength calculated by others",
        "The spec says strength: elsewhere. Posts, rail, cables and anchors are not worked out, and "
        "no calculation sheets are written; somebody else shows that they hold.",
        "nothing is worked out",
        "strength of the spec",
        "none",
    ),
    Row(
        "post.bending",
        "fail",
        "A post, or the weld at its base, stressed beyond what is allowed",
        "Under the cables, the temperature and the worst load at the top, some level of a post is "
        "stressed beyond the allowable stress of its material, beside the weld that of the welded "
        "material; or the weld round its foot is.",
        "f = |M x| / S y + |M y| / S x + N / A over the allowable stress; end posts are free "
        "cantilevers unless strength.propping says that the rail props them",
        "posts, cables, rail, loads of the rule set, strength of the spec",
        "1, demand over capacity; load.top and load.infill of the rule set",
    ),
    Row(
        "post.deflection",
        "fail",
        "A post that gives too much",
        "The top of a post moves further than the limit, under the load at the top or pulled over "
        "by its cables.",
        "P h^3 / 3 E I and the turn of the base; sum of T y^2 (3 h - y) / 6 E I; against h / 12",
        "posts, cables, loads of the rule set, strength.base_give of the spec",
        "1, demand over capacity; load.top of the rule set",
    ),
    Row(
        "rail.bending",
        "fail",
        "The top rail bends too much",
        "Between two posts the rail is stressed or moves beyond what is allowed. Where it props "
        "end posts its thrust counts at the same time.",
        "P L / 4 or w L^2 / 8 over S, against the allowable stress; P L^3 / 48 E I against "
        "h / 24 + L / 96",
        "rail pieces, posts, loads of the rule set, strength.rail of the spec",
        "1, demand over capacity; load.top of the rule set",
    ),
    Row(
        "rail.strut",
        "fail",
        "The top rail buckles between the end posts",
        "Where the rail props the end posts it is a strut over the longest bay.",
        "thrust over area against the allowable stress of a strut hinged at both ends",
        "rail pieces, posts, cables, strength.propping of the spec",
        "1, demand over capacity, by the material's own formula",
    ),
    Row(
        "rail.splice",
        "fail",
        "The screws at an end of the rail carry too much",
        "Thrust and load along the rail go through the screws in the bracket under a joint or an "
        "end.",
        "thrust and load along, over the screws of one piece, against bearing, tilting and shank",
        "rail pieces, brackets, cables, loads of the rule set",
        "1, demand over capacity; load.top of the rule set",
    ),
    Row(
        "anchor.withdrawal",
        "fail",
        "What holds a post down carries too much",
        "The moment at a post's foot pulls its anchors out of the wood, presses their washers into "
        "it, shears them, or bends the base plate.",
        "couple of two rows of bolts; NDS withdrawal 1800 G^1.5 D^0.75, yield limit equations, "
        "bearing under washers; bending of the plate along the tube",
        "base plates, anchors, structure and strength of the spec",
        "1, demand over capacity; load.top of the rule set",
    ),
    Row(
        "cable.tension",
        "fail",
        "A cable pulled beyond its working force",
        "In the tightest season under the load on the infill, or while the cables are pulled one "
        "after the other, a cable carries more than a fifth of what it breaks at in its fitting.",
        "set tension, change with temperature, elastic string under the load; against breaking "
        "force times efficiency over 5",
        "cables, fittings, posts, guard.tension of the spec",
        "1, demand over capacity; load.infill of the rule set",
    ),
    Row(
        "cable.takeup",
        "fail",
        "Not enough thread to tension a cable",
        "What a cable stretches, for good and elastically, and what its posts give, is more than "
        "the pulled end can take up.",
        "T L / E A, lasting stretch and give of both end posts, against thread and room",
        "cables, fittings, posts, guard.tension of the spec",
        "1, demand over capacity, by the fitting's measures",
    ),
)
