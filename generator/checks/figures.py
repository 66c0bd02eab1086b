"""What a sketch of each finding code would show, in words: the view, what is marked."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

FIGURES: Mapping[str, str] = MappingProxyType(
    {
        "acceptance.unused": "No sketch: a line of the job file set beside the list of findings.",
        "anchor.access": "Plan of the first post beside a wall: the stud of a cable comes out of "
        "the post toward the wall, and the free length from its tip to the wall is marked.",
        "anchor.blocking": "Section across the joists below a base plate: the axis of each bolt is "
        "drawn down through the decking, and whether it goes into a joist, rim or blocking.",
        "anchor.edge": "Plan of a base plate over the framing: from the axis of each bolt to the "
        "nearest edge of the wood under it, and from the plate to the edge of the deck.",
        "anchor.withdrawal": "Side of a post's foot: the moment over the base plate, the two "
        "rows of bolts that make its couple, and pull and shear on the worst of them.",
        "cable.bend": "Plan of a corner: the cable goes round the posts in an arc, whose radius is "
        "marked against the least that the cable takes.",
        "cable.length": "Plan of the legs: one cable from the inner face of its first post to that "
        "of its last, with the length along it marked.",
        "cable.takeup": "End post at the pulled end: the stud through it with its nut, the "
        "thread left beyond the nut, and how far the sleeve may come.",
        "cable.tension": "A cable between two end posts with the force in it marked at either end, "
        "beside the breaking force and what the thread can take up.",
        "cable.turns": "Plan of the legs: one cable from end to end, with the angle of each turn "
        "that it goes round marked, and their sum.",
        "clash.cable-post": "Side of a post: each hole drawn, with the distance from its edge to "
        "the end of the tube, and the axis of the cable against the middle of the hole.",
        "clash.cable-tread": "Stair from the side: the lowest cable as a thick line, and the "
        "shortest line from its underside to the nearest nosing or tread.",
        "clash.fittings": "Section through a corner post: studs of both legs cross in the tube, "
        "with the free distance between the two marked.",
        "clash.parts": "Two parts where they come nearest, with the shortest line between them; "
        "where they overlap, the shortest way that parts them.",
        "clash.post-wall": "Plan of a post beside a wall: post and base plate, with the shortest "
        "distance to the wall's face marked.",
        "climb.horizontal": "Guard from outside: the band of heights over the floor in which "
        "nothing may help to climb, and the cables that lie in it.",
        "guard.required": "Section across an edge: the walking surface, the ground beyond it and "
        "the deepest fall within the distance that counts, measured plumb.",
        "handrail.brackets": "Stair from the side: the handrail and its brackets, with the longest "
        "distance between two of them marked along the pitch.",
        "handrail.clearance": "Handrail seen along its length: the bar beside post and rail, with "
        "the shortest level distance between them marked.",
        "handrail.extension": "Stair from the side: the ends of the handrail beyond the first and "
        "the last riser, each with its level length marked.",
        "handrail.grip": "Section of the handrail: its diameter marked, or for another shape its "
        "perimeter and the greatest measure across.",
        "handrail.projection": "Stair seen along its flight: how far the handrail stands into the "
        "width of the stair, marked level.",
        "handrail.required": "Stair from the side: its risers numbered, and on each side whether "
        "there is a rail that a hand closes round.",
        "handrail.return": "Plan of the end of a handrail: the cut face and the post or wall that "
        "it should meet, with the gap between them.",
        "handrail.short": "Stair from the side: the upper and lower end of the handrail against "
        "plumb lines through the first and the last nosing.",
        "height.level": "Section across the edge: the walking surface, the rail, and the plumb "
        "height from the one to the top of the other.",
        "height.stair": "Stair from the side: the line over the nosings, the rail above it, and "
        "the plumb height between them over the worst nosing.",
        "miter.gap": "The two cut faces at a corner seen from above, with the greatest distance "
        "between corners of the one and of the other.",
        "miter.saw-limit": "A piece of rail flat on the saw's table: the miter turned in plan and "
        "the bevel of the blade, each beside the saw's range.",
        "miter.twist": "Two rails that meet, seen along the plane that halves the corner: the "
        "section of the one mirrored in it, and the angle by which the other is turned.",
        "opening.bottom": "Guard from outside: the walking surface, the underside of the lowest "
        "cable, and a sphere that just lies between them.",
        "opening.end": "Plan of two posts of a corner, or of a post and a wall: the shortest "
        "distance between the two outlines, and a sphere in it.",
        "opening.fascia": "Section across the edge: the guard held outside the fascia, with the "
        "level gap between it and the edge of the deck.",
        "opening.level": "Two cables between posts from outside: a sphere that just lies between "
        "them, touching both.",
        "opening.loaded": "Two cables between two supports from outside: at mid-span a sphere is "
        "pushed through, the cables bow apart, and the force is drawn square to the guard.",
        "opening.nosing": "Stair from the side: the line over the nosings, the lowest cable, and "
        "a sphere that just lies between the two.",
        "opening.riser": "Stair from the side: two treads without a board between, and a sphere "
        "that just passes from the one to the other.",
        "opening.stair": "Two pitched cables from outside: a sphere that just lies between them, "
        "its diameter square to the cables and not plumb.",
        "opening.triangle": "Stair from the side: riser R, tread G and the lowest cable close a "
        "triangle; the largest circle in it touches all three.",
        "post.bending": "Post from the side: the pull of each cable at its height, the load at "
        "the top, the thrust of the rail where it props, and the worst level.",
        "post.deflection": "Post from the side as it stands and as it leans under the load, with "
        "the way of its top marked and the turn of its base.",
        "rail.bending": "Longest bay of the rail from the side: the load at its middle, the bent "
        "line, and the thrust at both ends where it props.",
        "rail.splice": "Rail and bracket from below: the screws of one piece at a joint or an "
        "end, and the force along the rail that they share.",
        "rail.strut": "Rail between two end posts from the side: the thrust at both ends and the "
        "longest bay, over which it may buckle.",
        "setback.stair": "Stair from the side: a post on its tread, with the level distance from "
        "the nosing to the post's axis, and both ends of the free range drawn on the tread.",
        "span.posts": "Guard from outside: two neighbouring posts, with the distance of their "
        "axes marked along the pitch.",
        "span.short": "Plan of a short leg: the base plates of its two posts, with the room "
        "between them marked.",
        "stair.riser": "Stair from the side: each riser marked plumb from the top of one tread to "
        "the top of the next.",
        "stair.tread": "Stair from the side: each tread marked level from nosing to nosing.",
        "stair.variation": "Stair from the side: all risers and treads marked, the greatest and "
        "the least of them heavier.",
        "stair.width": "Stair seen along its flight: the clear width between guards, walls and "
        "handrails, above the handrail and at it.",
        "strength.elsewhere": "No sketch: one line of the job file.",
    }
)
"""Every code that `codes.CODES` explains; a test asks for one beside each new code."""
