"""Every finding code: what it means, how it is measured, and where its limit comes from."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from generator.checks.code import Code
from generator.checks.codes_required import REQUIRED
from generator.checks.codes_stairs import STAIR_CODES
from generator.checks.strength_codes import STRENGTH_CODES

_ALL = (
    Code(
        "span.posts",
        "fail",
        "Post spacing over the limit",
        "Two neighbouring posts stand further apart than the job allows. On a stair posts stand on "
        "treads, so a long tread can leave no place for a post between.",
        "distance between post centres in plan, divided by the cosine of the leg's pitch",
        "places of the posts, pitch of the leg",
        "guard.max_post_spacing of the spec",
    ),
    Code(
        "span.short",
        "fail",
        "Leg too short for its posts",
        "Two posts of one leg stand so close that their base plates meet or overlap; at worst the "
        "posts would change places.",
        "distance between post centres along the travel, against the plate's width plus a gap",
        "places of the posts, width of the base plates",
        "practice.plate-gap of the rule set, added to the plate's width",
    ),
    *REQUIRED,
    Code(
        "height.level",
        "fail",
        "Guard too low on a level leg, or a ramp's handrail out of its range",
        "The top of the rail is lower over the walking surface than the code asks. A handrail "
        "beside a ramp stands too low or too high over it. Where a stair's rail comes down over "
        "the floor before the first nosing, this is a note.",
        "top of rail less walking surface, vertical, least over posts and the ends of all pieces "
        "of rail, where a guard is required; top of handrail likewise, at its ends",
        "rail pieces, deck, handrail",
        "guard.height.level of the rule set, and where the fall is more than "
        "guard.height.fall.max what it stands for; handrail.height.min and handrail.height.max",
    ),
    Code(
        "height.stair",
        "fail",
        "Guard too low on a stair, or handrail out of its range",
        "The top of the rail is lower over the nosings than the code asks for the open side of a "
        "stair. A handrail stands too low or too high over them.",
        "top of rail over the line from nosing to nosing, vertical, the least over the nosings and "
        "the ends of all pieces of rail, easings too, where a guard is required; top of handrail "
        "over each nosing, the least and the greatest",
        "rail pieces, handrail, treads and upper floor",
        "guard.height.stair of the rule set, and where the fall is more than "
        "guard.height.fall.max what it stands for; handrail.height.min and handrail.height.max",
    ),
    Code(
        "opening.level",
        "fail",
        "A sphere passes between cables of a level leg",
        "The clear gap between two cables at rest, or between the top cable and the rail, lets the "
        "sphere of the code through. Some codes allow a larger one in a band near the top; an "
        "opening that begins under the band is held to the smaller one. One that begins over the "
        "height that the code asks of a guard is not held to any.",
        "distance of the axes square to the cables, less both radii",
        "cables, rail pieces, deck, grade",
        "opening.level of the rule set; opening.band.value from opening.band.from on; where no "
        "guard is required guard.voluntary.sphere",
    ),
    Code(
        "opening.stair",
        "fail",
        "A sphere passes between cables of a stair",
        "As opening.level, square to the pitched cables, with the sphere that the code sets for "
        "the open side of a stair.",
        "vertical distance of the axes times the cosine of the pitch, less both radii",
        "cables, rail pieces",
        "opening.stair of the rule set",
    ),
    Code(
        "opening.bottom",
        "fail",
        "A sphere passes under the lowest cable",
        "The clear gap between the walking surface and the lowest cable is too large. On a stair "
        "this is checked over the floors: behind the upper nosing the pitched cable rises, so the "
        "gap is largest at the upper end post.",
        "lowest axis over the walking surface at the post, vertical, less the radius",
        "cables, deck or floor, posts",
        "opening.bottom of the rule set",
    ),
    Code(
        "opening.end",
        "fail",
        "A sphere passes beside a post",
        "The clear gap between the two posts of a corner, or between an end post and a wall, is "
        "too large.",
        "shortest distance of the two outlines in plan",
        "posts, walls",
        "opening.end of the rule set",
    ),
    Code(
        "opening.triangle",
        "fail",
        "A sphere passes the triangle of riser, tread and lowest cable",
        "The largest sphere that fits between a riser, the tread below it and the lowest cable is "
        "too large.",
        "D = (R + G - H)(1 + e / h), H the slope length of R and G, h = R G / H, e the height of "
        "the cable's underside square to the nosing line; with an overhang G grows by it",
        "treads and upper floor, lowest cable",
        "opening.triangle of the rule set",
    ),
    Code(
        "opening.loaded",
        "note",
        "Force that pushes the sphere between two cables",
        "Cables give way. At the tension of the job this force, at mid-span where it is least, "
        "pushes the sphere through: between two cables, between the top cable and the rail, or "
        "under the lowest cable. The least of a leg is told, with the tension held and without "
        "friction, and never passed from the spacing alone. It is a failure against a force that "
        "the job or its code asks for: on the sphere, on two neighbours away from each other, or "
        "on a cone where no table for wire answers. Without such a force it is a warning where "
        "cables span more than is customary, else a note.",
        "two cables: F = (4 T / L)(D + d)(1 - (s / (D + d))^(2/3))^(3/2); beside a rail or floor, "
        "which hold the centre at r = D / 2: F = (4 T / L) R (1 - ((h - r) / R)^(2/3))^(3/2), R = "
        "(D + d) / 2. Spreading: P = 4 T u / L opens a pair by 2 u = D + d - s, a cable and a rail "
        "by u = D + d / 2 - h. Cone: F = 2 P sin a, a half its angle. T tension, L span between "
        "supports centre to centre, D sphere, d cable, s spacing and h distance from face to axis, "
        "square to the cables. Bars give way beside a rail: there L = l + (B - l) / n, l from bar "
        "to bar, B the bay, n cables",
        "cables, rail pieces, decks, posts, spacers, guard.tension",
        "practice.loaded-span (for the warning), opening.spread.force and opening.cone.force of "
        "the rule set; sphere_force of the guard in the spec",
    ),
    Code(
        "cable.tension",
        "fail",
        "Less tension than the table for wire barriers asks for",
        "Where the code has tables of tension for wire barriers, found by tests with a cone, the "
        "tension that the cables are set to is less than the table's; or the table allows no such "
        "wire over that distance. The tables are looked up and never fitted: the next larger "
        "spacing and distance count. Bars between posts do not count as posts; pitched cables go "
        "by the rows for level ones. What a cable loses in service has to be put on top.",
        "set tension against the value for diameter, lay, spacing and clear distance of posts; "
        "spacing square to the cables, distance along them",
        "cables, posts, system.cable, guard.tension",
        "the table of the code (`stringline catalog ncc-2022-wire`), where the rule set has "
        "opening.cone.force; for the remedy practice.cable-safety",
    ),
    Code(
        "setback.stair",
        "fail",
        "Post on a tread outside its free range of setbacks",
        "Too far behind the nosing, the lowest cable, set from the post's own tread, comes too "
        "near to the nosings or through them. Too near, the triangle opens, the base plate hangs "
        "over the edge, or its bolts come down on the board that closes the riser below.",
        "b <= (y - (c + d/2) / cos p) / tan p for the cable, and so that the base plate stays on "
        "the tread; b >= half the plate and its margin, >= the back of the riser board and the "
        "front of the foremost bolt, and >= (y - (e + d/2) / cos p) / tan p for the triangle: y "
        "lowest axis over the tread, p pitch, c clear distance to the nosing; on a stair told "
        "tread by tread also b <= the setback and (true clear distance - c) / sin p",
        "posts, base plates, anchors, treads, risers, lowest cable",
        "practice.cable-tread-clearance and opening.triangle of the rule set",
    ),
    *STAIR_CODES,
    Code(
        "miter.twist",
        "warn",
        "A miter that would be twisted",
        "Where a path turns and changes its pitch at one post, the sections of two rectangular "
        "rails do not meet in a miter. The rails are built as plumb butts at the post instead.",
        "angle between one section mirrored in the bisecting plane and the other",
        "directions of the two rails",
        "0 degrees, by geometry",
    ),
    Code(
        "miter.gap",
        "warn",
        "A miter that does not close",
        "The cut faces of two rails do not coincide, or the rails meet at one post at different "
        "heights.",
        "greatest distance of the corners of one cut face from those of the other",
        "rail pieces",
        "0.000001 mm, by geometry",
    ),
    Code(
        "miter.saw-limit",
        "warn",
        "A cut past the saw's range",
        "A miter or bevel is larger than a saw of the trade usually turns or tilts.",
        "miter = atan2(n.b, n.u), bevel = asin(n.w): n normal of the cut, u axis of the rail, w "
        "normal of the face on the table, b = w x u",
        "rail pieces",
        "practice.saw-miter and practice.saw-bevel of the rule set",
    ),
    Code(
        "cable.turns",
        "warn",
        "A cable that turns too often",
        "A cable led on through corners loses tension by friction at every post it bends round.",
        "sum of the turns of the legs that the cable passes",
        "cables, legs that they pass",
        "practice.cable-turn.total of the rule set",
    ),
    Code(
        "cable.length",
        "warn",
        "A cable longer than is usual",
        "Long cables take more stretch out of the thread, and led round corners they cannot be "
        "tensioned evenly.",
        "route between the inner faces of the two end posts",
        "cables, posts that hold their ends",
        "practice.cable-length.straight and .turned of the rule set",
    ),
    Code(
        "cable.bend",
        "warn",
        "A cable that is not made to bend",
        "A stiff strand such as 1x19 is not led round posts.",
        "least bending radius of the cable, 0 for one that is not to be bent",
        "system.cable",
        "the cable's own least radius, or practice.bend-factor of the rule set",
    ),
    Code(
        "clash.parts",
        "fail",
        "Two parts in one place",
        "Two parts overlap that are not made to: posts, base plates, anchors, blocking, rails, "
        "handrails, or any of them with something that stands there already. Nearer than the "
        "clearance to an obstacle, or a rail without room before a wall to grow in heat, is a "
        "warning. Where the leg is too short or the setback wrong, this is a note that names it.",
        "true distance of the solids, tubes taken as filled; where they overlap, minus the least "
        "shift that parts them, by separating axes; posts and bases in plan; from the rail's end "
        "to the wall, against alpha L dT / 2",
        "all parts, the table of what may touch, obstacles of the spec, guard.temperature_range",
        "0, by geometry; practice.parts-clearance of the rule set; the rail's growth, by mechanics",
    ),
    Code(
        "clash.fittings",
        "fail",
        "Ends of cables that meet each other or a part beside them",
        "A stud, nut, washer or seat overlaps one of another cable, or a post, rail or plate that "
        "it does not belong to, or does not pass the hole drilled for it. At a post that serves "
        "two legs the studs of one pass those of the other. Less than the gap is a warning.",
        "true distance of the solids; of studs in one post, that of their axes less both radii; in "
        "a hole, what is left to its edge on either side of the wall",
        "end fittings, nuts, washers, seats, posts, rails, the table of what may touch",
        "0, by geometry; practice.fittings-gap of the rule set",
    ),
    Code(
        "clash.cable-post",
        "fail",
        "A hole that runs out of its post, or a cable beside its hole",
        "A hole for a cable or stud is cut by the end of the tube, a cable does not go through the "
        "middle of the holes drilled for it, or it meets a post, bracket, base plate or anchor "
        "that has no hole for it. Nearer to one than the clearance is a warning.",
        "from a hole's edge to the nearer end of the tube; distance of the cable's axis from the "
        "hole's centre; true distance of cable and solid",
        "posts, spacers, brackets, base plates, anchors, cables",
        "0, by geometry; practice.parts-clearance of the rule set",
    ),
    Code(
        "clash.post-wall",
        "fail",
        "A post or its base in a wall",
        "A post, base plate, side plate or stand-off overlaps a wall, or stands nearer to it than "
        "the clearance (a warning).",
        "true distance of the solids; minus the least shift that parts them where they overlap",
        "posts, base plates, side plates, stand-offs, walls",
        "practice.parts-clearance of the rule set",
    ),
    *(Code(*row) for row in STRENGTH_CODES),
    Code(
        "anchor.blocking",
        "warn",
        "An anchor that meets no framing",
        "Below the decking, or behind the fascia, the axis of an anchor goes into no joist, rim, "
        "stringer or blocking. Where the job does not tell what is below, or a through bolt comes "
        "down on a joist where it takes no nut, this is a note.",
        "anchors of a post that meet no wood, counted",
        "anchors, joists, rims, stringers, blocking",
        "0, by geometry",
    ),
    Code(
        "anchor.edge",
        "warn",
        "An anchor or a base plate too near to an edge",
        "Wood splits where a bolt stands near its edge, and so does concrete beside a cored hole. "
        "A bolt near the joint of two boards that lie tight is a note: it holds in neither.",
        "from a bolt's axis to the nearest edge of the wood that it enters; from a base plate, or "
        "the centre of a cored hole, to the edge of the deck; from the bottom of a cored hole to "
        "the underside of the slab",
        "anchors, joists, rims, stringers, blocking, treads, base plates, posts",
        "practice.bolt-edge (diameters of the bolt), practice.bolt-joint, practice.post-edge and "
        "practice.core-edge of the rule set, core_edge of the post",
    ),
    Code(
        "anchor.access",
        "warn",
        "No room for a wrench",
        "The nut at the end of a cable stands so near to a wall that no wrench turns there. Or "
        "about a nut, bolt head or lag screw no socket goes on, and neither an open wrench nor a "
        "ring in the plane of the nut has its swing. At a dead end this is a note: its nut is run "
        "on by hand.",
        "from the tip of the stud along its axis to the wall; from the axis of nut or head to the "
        "nearest part, against half the socket's diameter; handle, jaws and ring of a wrench tried "
        "every 15 degrees",
        "end fittings, nuts, anchors, walls, all parts beside them",
        "practice.wall-tool-reach, .socket-width, .wrench-head, .wrench-length and .wrench-swing "
        "of the rule set",
    ),
    Code(
        "acceptance.unused",
        "warn",
        "An acceptance that fits no finding",
        "The spec accepts a finding that is not there: it was mended, the marks have moved, or the "
        "code is another. Left in the spec it would cover what nobody has looked at.",
        "findings of the code at the marks or in the leg that the acceptance names, counted",
        "accepted of the spec, all findings",
        "1, from the acceptance itself",
    ),
    Code(
        "clash.cable-tread",
        "fail",
        "Cable through or too near to a tread",
        "A cable passes through a tread or floor edge (a failure) or nearer to it than the "
        "clearance (a warning), or through a riser, stringer, joist or rim. Where the setback of "
        "the posts is the reason, this is a note that names it. A slack cable that hangs down onto "
        "a nosing by its own weight is a warning; the load on the infill is level and brings none "
        "nearer to the nosings.",
        "distance of the cable's axis from the body less the radius; negative where they overlap; "
        "less the sag w cos p x (L - x) / (2 T): w weight per length, x from a support, L span, T "
        "tension",
        "cables, treads, decks, floors, risers, framing, spacers, guard.tension",
        "practice.cable-tread-clearance of the rule set",
    ),
)

CODES: Mapping[str, Code] = MappingProxyType({code.code: code for code in _ALL})
