"""What mends a fastening: where wood has to go, or where the post may go instead."""

from __future__ import annotations

from generator.checks.outcome import round_up, shop
from generator.geometry import dot, heading, sub
from generator.parts.assembly import Assembly, LegLine, Part, PostDetail, detail_of
from generator.parts.report import Edit
from generator.parts.timber import Board

_ROUNDING_MM = 1e-3

Remedy = tuple[str, tuple[Edit, ...]]


def put_wood_there(assembly: Assembly, post: Part) -> Remedy:
    """Of a post whose anchors meet no wood: under a tread nothing but blocking helps."""
    detail = detail_of(post, PostDetail)
    edits: tuple[Edit, ...] = ()
    if detail.mount == "fascia" and detail.tread is not None:
        words = (
            "block the notch of the stringer there, move the post along it "
            "(guard.max_post_spacing), or stand the posts on the treads (posts: tread)"
        )
    elif detail.mount == "fascia":
        words = (
            "put rim and blocking behind the fascia, or stand the posts on the deck: mount: deck"
        )
        edits = _onto_the_deck(assembly, post)
    elif detail.tread is not None:
        words = "block the tread from below between the stringers, or change guard.stair_setback"
    else:
        words = (
            "put solid blocking there between the joists, or move the post beside a joist: "
            "guard.snap_to_joists"
        )
    return words, edits


def _onto_the_deck(assembly: Assembly, post: Part) -> tuple[Edit, ...]:
    """Base plates in place of side plates, far enough off the edge; a leg's own words are named.

    Where the job says how far the posts of a corner stand apart, plates there might meet.
    """
    job, leg = assembly.job, _leg_of(assembly, post)
    if leg.kind == "stair" or job.guard.pair_offset_mm is not None:
        return ()
    run = next(run for run in job.runs if run.id == leg.run)
    item = next(item for item in run.legs if item.path == leg.path)
    own = getattr(item, "inset_mm", None)
    mount = "guard.mount" if getattr(item, "mount", None) is None else f"{leg.path}.mount"
    least = job.system.post.plate_mm / 2 + job.rules.limit("practice.post-edge").value
    edits = [Edit(mount, "deck")]
    if (job.guard.edge_inset_mm if own is None else own) < least - 1e-6:
        inset = "guard.edge_inset" if own is None else f"{leg.path}.inset"
        edits.append(Edit(inset, shop(job, round_up(job, least))))
    return tuple(edits)


def off_the_edge(assembly: Assembly, post: Part, wood: Board) -> Remedy:
    """Of a post with a bolt too near to the edge of a board; onto a joist where its bays allow."""
    job = assembly.job
    if wood.kind == "tread":
        return "move the post on its tread: guard.stair_setback", ()
    if wood.kind == "stringer":
        return "move the post along the stringer, clear of its notches: guard.max_post_spacing", ()
    away = _to_joist(assembly, post, wood) if wood.kind == "joist" else None
    if away is None:
        return "move the post along the leg, or across it: guard.edge_inset", ()
    # What snaps must lie within the length told, however it was rounded.
    to = shop(job, round_up(job, away + _ROUNDING_MM))
    words = f"move the post {to} along the leg, onto {wood.mark}: guard.snap_to_joists"
    return words, (Edit("guard.snap_to_joists", to),)


def _to_joist(assembly: Assembly, post: Part, wood: Board) -> float | None:
    """From a post to the middle of a joist square to its leg, mm; None where it may not move there.

    Only posts between the ends move, and only as far as the bays beside them allow; the posts
    next to it may come as much the other way.
    """
    job, leg = assembly.job, _leg_of(assembly, post)
    joist = assembly.by_mark[wood.mark].place
    n, travel = leg.posts.index(post.mark), heading(leg.bearing_deg)
    if not 0 < n < len(leg.posts) - 1 or abs(dot(joist.z, travel)) > 1e-6:
        return None
    places = [
        dot(sub(assembly.by_mark[mark].place.origin, joist.origin), travel)
        for mark in leg.posts[n - 1 : n + 2]
    ]
    away = abs(places[1])
    widest = max(places[1] - places[0], places[2] - places[1])
    return away if widest + 2 * round_up(job, away) <= job.guard.max_post_spacing_mm else None


def _leg_of(assembly: Assembly, post: Part) -> LegLine:
    return next(leg for leg in assembly.legs if post.mark in leg.posts)
