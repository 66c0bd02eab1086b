"""Codes of where a guard is required, and of what only some codes ask for."""

from __future__ import annotations

from generator.checks.code import Code

REQUIRED: tuple[Code, ...] = (
    Code(
        "guard.required",
        "note",
        "Where a guard is required",
        (
            "Where one can fall further than the code allows, the open side of a floor or stair "
            "needs a guard, and heights and openings are held to their limits there. Along the "
            "rest of the edge the guard is voluntary, and what breaks a limit is told as a note. "
            "Where the spec does not tell the ground, a guard is taken to be required."
        ),
        (
            "fall at a place of the edge = walking surface (on a stair the tread there) less the "
            "lowest ground from the edge as far out, level and square to it, as the code looks; "
            "the ground runs straight from point to point, so where the fall passes the limit is "
            "solved for. In a picture: a tape hung over the edge, and moved out as far as the "
            "code looks"
        ),
        "grade of each leg, decks and treads",
        "guard.required.fall, guard.required.distance and guard.required.inclusive of the rule set",
    ),
    Code(
        "opening.nosing",
        "fail",
        "A sphere passes between the nosings and the lowest cable",
        (
            "Some codes measure the openings of a stair's guard from the line over the nosings "
            "up: the lowest cable then may not lie further from a nosing than the sphere."
        ),
        "(axis - nosing) cos p - d/2 at each nosing, the greatest: p pitch, d cable",
        "lowest cable, treads and upper floor",
        "opening.nosing of the rule set",
    ),
    Code(
        "opening.riser",
        "fail",
        "A sphere passes through an open riser",
        (
            "Between two treads, where no board closes the riser, the opening is too high. It "
            "counts where its upper side lies further above the floor or ground than the code "
            "says."
        ),
        (
            "hypot(a, h): h from the top of a tread to the underside of the one above, a how far "
            "one tread ends, level, before the other begins; 0 where it reaches under it"
        ),
        "treads, risers, the floor at the foot of the stair, grade",
        "opening.riser of the rule set, beyond opening.riser.fall",
    ),
    Code(
        "opening.fascia",
        "fail",
        "A gap between the edge and a guard outside it",
        (
            "Where posts stand outside the edge, on the fascia, a foot or a small child can get "
            "between the floor's edge and the cables."
        ),
        (
            "level, square to the edge, from the edge of the floor to the near side of a cable; "
            "the greatest"
        ),
        "cables, deck",
        "opening.fascia of the rule set",
    ),
    Code(
        "climb.horizontal",
        "fail",
        "Cables that can be climbed",
        (
            "Where one falls far, some codes bar what a child could step on at certain heights, "
            "or want it looked at: level cables are a ladder. Barred, it is a failure; flagged, a "
            "warning; where the spec does not tell the ground, one step less."
        ),
        (
            "cables of a leg of which any part lies within these heights over its floor or "
            "treads, counted, along those stretches whose fall is more than the code says"
        ),
        "cables, decks and treads, grade",
        (
            "0; climb.horizontal of the rule set says whether, beyond climb.fall, from "
            "climb.zone.low to climb.zone.high"
        ),
    ),
)
"""Rows of `codes.Code`."""
