"""`opening.loaded`: the force at which the sphere is pushed between two tensioned cables."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from generator.checks.outcome import Bound, Outcome, rule_bound, shop
from generator.checks.view import LegView
from generator.parts.report import Edit
from generator.spec.job import Job

NEWTON_PER_LBF = 4.4482216152605


def push_through_force(
    tension_n: float, span_mm: float, sphere_mm: float, cable_mm: float, spacing_mm: float
) -> float:
    """Force in N that pushes a sphere between two cables at mid-span; 0 where it passes at rest.

    (4 T / L)(D + d)(1 - (s / (D + d))^(2/3))^(3/2): rigid sphere, no friction, tension constant
    (reference.md section 6.2, closed form confirmed there by a numeric one).
    """
    reach = sphere_mm + cable_mm
    if spacing_mm >= reach:
        return 0.0
    give = 1.0 - (spacing_mm / reach) ** (2.0 / 3.0)
    return 4.0 * tension_n / span_mm * reach * give**1.5


def check_loaded(job: Job, view: LegView) -> Iterator[Outcome]:
    """Yields the least force of the leg, at its longest span and widest pair of cables."""
    if len(view.cables) < 2:
        return
    cosine = view.cables[0].axis.cosine
    supports = sorted(
        [(post.s_mm, post.mark) for post in view.posts]
        + [(s, mark) for s, mark in zip(view.spacers, view.leg.spacers, strict=True)]
    )
    span, start, end = max(((b[0] - a[0]) / cosine, a[1], b[1]) for a, b in pairwise(supports))
    spacing, low, high = max(
        ((b.axis.z_mm - a.axis.z_mm) * cosine, a.mark, b.mark)
        for panel in view.panels()
        for a, b in pairwise(panel)
    )
    stair = view.leg.kind == "stair"
    sphere = job.rules.limit("opening.stair" if stair else "opening.level").value
    diameter = 2 * view.cables[0].radius_mm
    force = push_through_force(job.guard.tension_n, span, sphere, diameter, spacing)
    usual = job.rules.limit("practice.loaded-span").value
    wide = span > usual + 1e-6
    rule = rule_bound(job, "practice.loaded-span", "none")
    yield Outcome(
        "opening.loaded",
        (low, high, start, end),
        force,
        Bound(None, "none", "N", rule.clause, rule.edition, rule.verified),
        f"{_force(job, force)} at mid-span between {start} and {end} ({shop(job, span)} centre to "
        f"centre) push a sphere of {shop(job, sphere)} between two cables at a tension of "
        f"{_force(job, job.guard.tension_n)}; the code states no force"
        + (f"; spans over {shop(job, usual)} are not customary" if wide else ""),
        "put spacers or posts closer" if wide else "",
        (Edit("guard.max_cable_span", shop(job, usual)),) if wide else (),
        severity="warn" if wide else "note",
    )


def _force(job: Job, newtons: float) -> str:
    if job.metric:
        return f"{newtons:.1f} N"
    return f"{newtons / NEWTON_PER_LBF:.2f} lbf"
