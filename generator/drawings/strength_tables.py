"""The calculation of strength summed up on a sheet: what governs each check, and by how much."""

from __future__ import annotations

import re
from collections.abc import Iterator

from generator.drawings.schedule_tables import amount
from generator.drawings.tables import PaperTable, capitals
from generator.parts.assembly import Assembly
from generator.strength.result import Check, Member, Strength
from generator.strength.rows import summary_rows
from generator.strength.summary import assess

TITLE = "CALCULATION SUMMARY"
_WIDE = 110.0  # plotted mm that a line may run before it is wrapped
_REVIEW = (
    "FOR REVIEW BY A LICENSED ENGINEER. EVERY LINE IS WORKED OUT, WITH ITS SOURCE, IN THE "
    "CALCULATION SHEETS OF THE SAME BUILD. A UTILISATION IS DEMAND OVER CAPACITY: AT MOST 1 "
    "PASSES. FROM MEMORY: THE VALUE OR CLAUSE WAS NOT READ AT ITS SOURCE; CHECK IT THERE."
)
_MM = re.compile(r"(\d+(?:\.\d+)?) mm\b")
_MANY = 6  # marks that are named one by one


def strength_tables(assembly: Assembly) -> list[PaperTable]:
    """The tables of the summary; none where others work the strength out."""
    if assembly.job.strength.elsewhere:
        return []
    found = assess(assembly)
    return [
        PaperTable(TITLE, (), ((_REVIEW,),), _WIDE),
        PaperTable(
            "WORST OF EACH CHECK",
            ("CHECK", "WHAT GOVERNS", "UTILISATION", "RESULT", "HELD TO"),
            tuple(capitals(list(_checks(found, metric=assembly.job.metric)))),
            _WIDE,
        ),
        PaperTable(
            "WORST OF EACH MEMBER",
            ("MEMBER", "PARTS", "CHECK", "DEMAND", "CAPACITY", "UTILISATION"),
            tuple(capitals(list(_members(found, metric=assembly.job.metric)))),
        ),
        PaperTable(
            "STATED ONLY, TO BE MET OR JUDGED BY OTHERS",
            ("MEMBER", "PARTS", "WHAT", "WORST", "SOURCE"),
            tuple(capitals(list(_demands(found, metric=assembly.job.metric)))),
        ),
        PaperTable(
            "TAKEN FOR GRANTED",
            ("INPUT", "TAKEN AS", "", "WHAT IT SAYS"),
            tuple(capitals(list(_assumed(found)))),
            _WIDE,
        ),
        PaperTable(
            "NOT WORKED OUT",
            (),
            tuple(capitals([(one,) for one in found.unproved])),
            _WIDE,
        ),
    ]


def _checks(found: Strength, *, metric: bool) -> Iterator[tuple[str, ...]]:
    for row in summary_rows(found):
        line = row.line if metric else _MM.sub(_inches, row.line)
        read = "" if row.verified else " (from memory)"
        passed = "passed" if row.passed else "see findings"
        yield row.code, line, f"{row.utilisation:.3f}", passed, f"{row.clause}{read}"


def _members(found: Strength, *, metric: bool) -> Iterator[tuple[str, ...]]:
    """The member of each kind, and of each check that governs one of them, that is used most."""
    worst: dict[tuple[str, str], tuple[str, ...]] = {}
    used: dict[tuple[str, str], float] = {}
    for member in found.members:
        check = member.worst
        if check is None or check.utilisation <= used.get((member.kind, check.name), -1.0):
            continue
        key = (member.kind, check.name)
        used[key] = check.utilisation
        worst[key] = (
            member.kind,
            _marks(member.marks),
            check.name,
            _value(check.demand, check, metric=metric),
            _value(check.capacity or 0.0, check, metric=metric),
            f"{check.utilisation:.3f}",
        )
    yield from worst.values()


def _demands(found: Strength, *, metric: bool) -> Iterator[tuple[str, ...]]:
    """Demands without a capacity: of each kind of member the largest, of cables every panel's."""
    worst: dict[tuple[str, ...], tuple[Member, Check]] = {}
    for member in found.members:
        for check in member.checks:
            if check.stated_only:
                panel = member.marks if member.kind == "cables" else ()
                key = (member.kind, check.name, *panel)
                if key not in worst or check.demand > worst[key][1].demand:
                    worst[key] = (member, check)
    for member, check in worst.values():
        demand = _value(check.demand, check, metric=metric)
        source = check.source.clause or check.source.text
        yield member.kind, _marks(member.marks), check.name, demand, source


def _assumed(found: Strength) -> Iterator[tuple[str, ...]]:
    for one in found.assumptions:
        yield (
            one.key.replace("_", " "),
            one.value,
            "adverse default" if one.adverse else "",
            one.meaning,
        )


def _marks(marks: tuple[str, ...]) -> str:
    if len(marks) <= _MANY:
        return ", ".join(marks)
    return f"{marks[0]} and {len(marks) - 1} alike"


def _inches(found: re.Match[str]) -> str:
    return f"{float(found[1]) / 25.4:.1f} in"


def _value(value: float, check: Check, *, metric: bool) -> str:
    """A demand or capacity in the units of the sheets."""
    if not metric:
        if check.unit == "MPa":
            return f"{value / 6.894757293168361:.2f} ksi"
        if check.unit == "N mm":
            return f"{value / (4.4482216152605 * 25.4):.0f} lbf in"
        if check.unit == "mm":
            return f"{value / 25.4:.3f} in"
    return amount(value, check.unit, metric) if check.unit == "N" else f"{value:.4g} {check.unit}"
