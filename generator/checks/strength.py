"""`post.bending` and its like: what posts, rail, cables and anchors carry over what they hold.

One outcome a code, at its worst place. Remedies are tried out: the job is laid out anew with each.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from generator.checks.outcome import Bound, Outcome
from generator.checks.words import NO_SOURCE
from generator.parts.assembly import Assembly
from generator.parts.report import Edit
from generator.strength.result import WITH_THRUST, Check, Member, Strength
from generator.strength.summary import assess
from generator.units import format_inches

_LBF = 4.4482216152605
_KSI = 6.894757293168361
# A document with its year or number, then the clause in it.
_EDITION = re.compile(r"^([^(;]*?(?:\b20\d\d|\b360-16))[ ,]+(.+)$")


def check_strength(assembly: Assembly) -> Iterator[Outcome]:
    """Yields the worst of each code; where one fails, with a remedy that was found to pass."""
    found = assess(assembly)
    failing = [code for code, (_, check) in found.worst.items() if check.fails]
    remedies = _remedies(assembly, found, failing)
    for code, (member, check) in _shown(found):
        words, edits = remedies.get(code, ("", ()))
        yield Outcome(
            code,
            member.marks,
            check.utilisation,
            _bound(check),
            _message(assembly, found, member, check),
            words,
            edits,
            point=assembly.by_mark[member.mark].place.origin,
            cause=found.causes.get(code, ""),
        )


def _shown(found: Strength) -> Iterator[tuple[str, tuple[Member, Check]]]:
    """The worst of each code; of a rail that fails by itself and buckles too, the first."""
    own_failure = "rail.bending" not in found.causes
    for code, worst in found.worst.items():
        member, check = worst
        if code == "rail.bending" and own_failure and member.buckles and check.name == WITH_THRUST:
            own = [
                (one, each)
                for one, each in found.checks()
                if each.code == code and not (each.name == WITH_THRUST and one.buckles)
            ]
            yield code, max(own, key=lambda pair: pair[1].utilisation)
        else:
            yield code, worst


def _remedies(
    assembly: Assembly, found: Strength, failing: list[str]
) -> dict[str, tuple[str, tuple[Edit, ...]]]:
    """Words and changes of each code that fails."""
    if not failing:
        return {}
    from generator.checks.stronger import Remedies  # a good job needs none

    remedies = Remedies(assembly, found)
    return {code: (one.words, one.edits) for code in failing for one in (remedies.of(code),)}


def _bound(check: Check) -> Bound:
    clause, edition = _split(check.source.clause or check.source.text)
    return Bound(1.0, "at most", "ratio", clause, edition, check.source.verified)


def _split(source: str) -> tuple[str, str]:
    """(clause, edition) of such as `NDS 2018 Table 12.3.1A`."""
    if source == "common practice":
        return source, NO_SOURCE
    found = _EDITION.match(source)
    return (found[2], found[1]) if found else (source, "calculation")


def _message(assembly: Assembly, found: Strength, member: Member, check: Check) -> str:
    """What is used up where, under which loads, and at how many other members too."""
    metric = assembly.job.metric
    demand = _amount(check.demand, check.unit, metric)
    capacity = _amount(check.capacity or 0.0, check.unit, metric)
    others = sum(
        len(one.marks)
        for one in found.members
        if one is not member and any(c.code == check.code and c.fails for c in one.checks)
    )
    alike = len(member.marks) - 1
    more = f"; so at {alike} alike" if alike else ""
    more += f"; {others} other parts fail as well" if others else ""
    return (
        f"{check.name} of {member.mark} ({member.kind}), {check.place}: {demand} of {capacity} "
        f"under {check.case}{more}"
    )


def _amount(value: float, unit: str, metric: bool) -> str:
    """A demand or capacity in the units of the job."""
    if not unit:
        return f"{value:.2f}"
    if unit == "mm":
        return f"{value:.1f} mm" if metric else format_inches(value)
    if metric:
        return f"{value:.0f} N" if unit == "N" else f"{value:.1f} {unit}"
    if unit == "N":
        return f"{value / _LBF:.0f} lbf"
    return f"{value / _KSI:.2f} ksi" if unit == "MPa" else f"{value:.3g} {unit}"
