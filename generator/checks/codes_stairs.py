"""Finding codes of stairs and handrails: what they mean, how measured, where their limits are."""

from __future__ import annotations

from generator.checks.code import Code

STAIR_CODES: tuple[Code, ...] = (
    Code(
        "handrail.required",
        "fail",
        "A flight or ramp without a handrail",
        "A flight of this many risers, or a ramp this steep or high, needs a handrail on one side "
        "or on both: one beside the guard, one fitted elsewhere, or a guard whose own rail a hand "
        "closes round at the height of a handrail. Where the spec says nothing of handrails this "
        "is a note, for one may be on the other side, by others; it is a failure where the spec "
        "claims one that is not there, or that does not reach over the flight.",
        "sides with a handrail, counted: pieces beside the guard, beside a second guard of the "
        "same stair, those that the spec says others fit, the guard's rail where its section is of "
        "Type I or II and its top is in the range of a handrail over every nosing",
        "treads, ramp, handrail pieces, rail pieces, handrail of the spec",
        "handrail.sides of the rule set, from handrail.risers, handrail.rise, handrail.ramp.rise "
        "or handrail.ramp.slope on",
    ),
    Code(
        "handrail.grip",
        "fail",
        "A handrail that a hand does not close round",
        "A handrail, or a guard's rail that the spec says is one, has a section that a hand does "
        "not close round. Picture a hand laid over it: on a small section (Type I) thumb and "
        "fingers nearly meet, on a large one (Type II) the fingers find a recess on both sides.",
        "round: its diameter. Else the length around, the greatest measure across, the radius of "
        "the edges. Larger around than that, with a recess on both sides, y down from the top: "
        "where the contour first draws in, the depth within reach under it, how far that depth "
        "goes on and down to where, the width over the recess. Edges of a freely drawn section are "
        "taken as rounded",
        "handrail pieces, rail pieces, their sections",
        "handrail.diameter.min, handrail.diameter.max, handrail.perimeter.min, "
        "handrail.perimeter.max, handrail.section.max, handrail.edge.min, "
        "handrail.recess.begin.max, handrail.recess.within.max, handrail.recess.depth, "
        "handrail.recess.run, handrail.recess.level, handrail.recess.width.min and "
        "handrail.recess.width.max of the rule set",
    ),
    Code(
        "handrail.clearance",
        "fail",
        "No room for a hand behind the handrail",
        "A post, rail or spacer stands too near to the handrail along its way.",
        "level distance square to the leg, least over what stands beside the pitched pieces",
        "handrail pieces, posts, rail pieces, spacers",
        "handrail.clearance.min of the rule set",
    ),
    Code(
        "handrail.projection",
        "fail",
        "A handrail that stands too far into the way",
        "The handrail takes more of the way than a code lets it. Seen along the stair: from the "
        "face of the post or rail that it runs beside to its own inner side.",
        "least level distance to what stands beside the pitched pieces, square to the leg, and the "
        "diameter of the handrail",
        "handrail pieces, posts, rail pieces, spacers",
        "handrail.projection.max of the rule set",
    ),
    Code(
        "handrail.short",
        "fail",
        "A handrail that does not reach over the whole flight",
        "The handrail ends behind the first or before the last riser, or is broken between.",
        "from the first nosing to the upper end of the pitched axis, and from its lower end to the "
        "last nosing, level; from one pitched piece to the next; the greatest, negative where it "
        "reaches beyond",
        "handrail pieces, treads and upper floor",
        "handrail.short.max of the rule set",
    ),
    Code(
        "handrail.extension",
        "fail",
        "A handrail that does not go on past the flight",
        "Where a code asks for it, the handrail goes on past the top riser, level, and past the "
        "bottom riser for one tread. The handrails that are laid out here end over the flight; the "
        "rest is left to others.",
        "from the first nosing to the upper end of the pitched axis, and from the last nosing to "
        "its lower end, level; at the bottom against the last tread, if that is more",
        "handrail pieces, treads and upper floor",
        "handrail.extension.top and handrail.extension.bottom of the rule set",
    ),
    Code(
        "handrail.return",
        "warn",
        "An open end of a handrail",
        "An end of the handrail stands off from the guard or wall that it should return to, so "
        "that a sleeve or strap can catch on it.",
        "least distance of the cut face from a post, rail or wall",
        "handrail pieces, posts, rail pieces, walls",
        "handrail.return-gap of the rule set",
    ),
    Code(
        "handrail.brackets",
        "warn",
        "Handrail brackets too far apart",
        "Brackets stand on posts, so that long bays leave the handrail without support.",
        "along the pitch from one place where the handrail is held to the next: a bracket that "
        "bears under it, a return that ends on a post or rail",
        "handrail pieces and brackets, posts",
        "handrail.bracket_spacing of the spec",
    ),
    Code(
        "stair.riser",
        "fail",
        "A riser, or a flight, out of its limits",
        "A riser is higher or lower than the code lets it be, the first and the last included; or "
        "the whole flight rises too far, or by too many or too few risers, without a landing.",
        "from walking surface to walking surface, plumb at the nosing, along both sides of the "
        "stair: a level laid on the upper tread, a rule from it down to the lower one; the sum of "
        "all; their count",
        "treads, upper and lower floor",
        "stair.riser.max, stair.riser.min, stair.flight.rise.max, stair.flight.risers.min and "
        "stair.flight.risers.max of the rule set",
    ),
    Code(
        "stair.tread",
        "fail",
        "A tread out of its limits",
        "A tread is shallower or deeper than the code lets it be, twice the riser and the tread "
        "make too short or too long a step, or a nosing stands too far, or not far enough, over a "
        "closed riser.",
        "level from nosing to nosing, along both sides of the stair, as between two plumb lines "
        "let down from their edges; 2 R + G of a riser and the "
        "tread under it; from the face of the board under a nosing to the nosing",
        "treads, upper floor, boards that close the risers",
        "stair.tread.min, stair.tread.max, stair.step.min, stair.step.max, stair.nosing.min, "
        "stair.nosing.max and stair.nosing.tread.max of the rule set",
    ),
    Code(
        "stair.variation",
        "fail",
        "Risers or treads that differ",
        "People do not look at their feet: a riser or tread that differs from the others of its "
        "flight is one to stumble over. Counted are all, the first and the last riser as well.",
        "greatest less least riser of the flight, and likewise treads and nosings; between two "
        "that follow each other, where the code says so",
        "treads, upper and lower floor, boards that close the risers",
        "stair.variation and stair.variation.adjacent of the rule set",
    ),
    Code(
        "stair.width",
        "fail",
        "A stair too narrow between its guards",
        "The way is narrower than the code lets it be: above the handrail, at and below it, or "
        "between the guards. Where the spec states no width and no second guard stands on the "
        "stair, nobody knows its other side: then this is a note of what the guard takes.",
        "level, square to the leg, from the foremost post, rail or handrail of one side to that of "
        "the other, or to the edge of the treads; above the handrail only what stands higher than "
        "its greatest height over the nosings. Base plates and brackets are left out",
        "posts, rail pieces, handrail pieces, spacers, walls and obstacles beside the treads, "
        "width of the stair in the spec",
        "stair.width.min, stair.width.clear.one and stair.width.clear.two of the rule set",
    ),
)
