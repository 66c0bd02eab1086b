"""What a set of calculation sheets tells, as plain values: the page and the paper show the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from generator.calculations import words
from generator.calculations.backing import Backing
from generator.calculations.figures import Figure, figure_of
from generator.calculations.lines import Block, blocks_of
from generator.calculations.pulling import Pulling, pullings
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.spec.job import Job
from generator.strength.loads import loads_of
from generator.strength.read import PostCase, Reading
from generator.strength.result import Check, Member, Strength
from generator.strength.steps import Source
from generator.strength.summary import assess

Rows = tuple[tuple[str, ...], ...]

HEADED = "For review by a licensed engineer"
DISCLAIMER = (
    "Worked out by a program from the job's text and its profiles. It shows which check passed "
    "against which clause, and which failed; it is not a design, and nobody has sealed it. Values "
    "marked 'from memory' have to be read at their source before they are relied on. The adopted "
    "code, the building official and a licensed engineer decide."
)
METHOD = (
    "Allowable strength design in N, mm and MPa: loads as the rule set states them, no load "
    "factors, against strength over a safety factor; utilisation is demand over capacity, at most "
    "1. The tension of the cables is always there, in the season that is worse; loads of the rule "
    "set are put on one at a time. A row of numbers keeps its symbol where it is put in; its "
    "numbers stand in the line that tells it, lowest cable first, 11 × 310 for eleven of 310. "
    "Σ adds up a row. In a chapter a line is told once; where a symbol comes to something else it "
    "is told anew. Every line can be worked anew from the numbers that are shown."
)


@dataclass(frozen=True, slots=True)
class Chapter:
    """One member that stands for its kind: its figure and its checks."""

    title: str
    intro: str
    figure: Figure | None
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Book:
    """Everything on the sheets; `inputs`, `loads`, `combinations`, `worst` and `members` are rows
    of text under the heads of the same order in `HEADS`.
    """

    title: str
    facts: Rows
    inputs: Rows
    loads: Rows
    combinations: tuple[str, ...]
    worst: Rows
    members: Rows
    chapters: tuple[Chapter, ...]
    pullings: tuple[Pulling, ...]
    unproved: tuple[str, ...]
    sources: Rows


HEADS = {
    "inputs": ("Input", "Taken as", "", "What it says"),
    "loads": ("Load", "Symbol", "Value", "Clause and edition", "How known"),
    "worst": ("Check", "Worst at", "Demand", "Capacity", "Utilisation", "Against"),
    "members": ("Parts", "Kind", "Governed by", "Utilisation", "Result"),
    "sources": ("Source", "How known"),
}


def book(assembly: Assembly) -> Book:
    """The calculation sheets of a job whose strength is worked out here."""
    job, found, reading = assembly.job, assess(assembly), Reading(assembly)
    chapters = tuple(_chapters(job, found, reading))
    return Book(
        title=f"Calculation sheets: {job.title}",
        facts=_facts(job, found),
        inputs=_inputs(found),
        loads=_loads(job),
        combinations=tuple(
            f"{n}. {case.words[0].upper()}{case.words[1:]}"
            for n, case in enumerate(loads_of(job).cases(), 1)
        ),
        worst=tuple(_worst(job, found)),
        members=tuple(_member(member) for member in found.members),
        chapters=chapters,
        pullings=pullings(job, found, reading),
        unproved=found.unproved,
        sources=_sources(chapters),
    )


def _facts(job: Job, found: Strength) -> Rows:
    over = sorted({code for code, (_, check) in found.worst.items() if check.utilisation > 1})
    system = job.system
    named = [getattr(system, part).name for part in ("post", "rail", "bracket", "cable", "fitting")]
    tension = _amount(job.guard.tension_n, "N", job)
    verdict = f"fails: {', '.join(over)}" if over else "every check that was worked out passes"
    return (
        ("Job", f"{job.title}{f', number {job.number}' if job.number else ''}"),
        ("Rule set", f"{job.rules.name}: {job.rules.edition}"),
        ("Parts", ", ".join((*named, system.anchor.name))),
        ("Guard", f"{_length(job.guard.height_mm, job)} high, cables set to {tension}"),
        ("Result", verdict),
        ("Reviewed by", ""),
    )  # fmt: skip


def _length(value: float, job: Job) -> str:
    return _amount(value, "mm", job)


def _amount(value: float, unit: str, job: Job) -> str:
    """A value in N, mm or MPa, with inch and pound beside it in a job that uses them."""
    text = f"{words.number(value, 5)} {words.unit(unit)}".strip()
    return text if job.metric else text + words.customary(value, unit)


_LABELS = {
    "propping": "Propping", "base": "Base fixity", "base_give_deg": "Give of a base",
    "rail": "Spans of the rail", "duration": "Load duration", "moisture": "Moisture",
    "weld_mm": "Weld round a post", "filler": "Filler of welds", "relaxation": "Relaxation",
    "friction": "Friction",
}  # fmt: skip


def _inputs(found: Strength) -> Rows:
    return tuple(
        (
            _LABELS.get(one.key, one.key),
            one.value,
            "default, adverse" if one.adverse else "stated in the job",
            one.meaning,
        )
        for one in found.assumptions
    )


def _loads(job: Job) -> Rows:
    from generator.strength.steps import Sheet

    loads, rows = loads_of(job), []
    for key in ("load.top", "load.line", "load.vertical", "load.infill"):
        if key not in loads.limits:
            continue
        sheet, source = Sheet(), loads.source(key)
        symbol = loads.tell(sheet, key)
        (step,) = sheet.trace(symbol)
        assert isinstance(step.value, float)
        amount = _amount(step.value, step.unit, job)
        if key == "load.infill":
            amount += f" on a square of {_length(loads.side_mm, job)} a side"
        rows.append((step.meaning, words.symbol(symbol), amount, source.clause, words.tag(source)))
    guard, stated = job.guard, words.STATED
    rows.append(("set tension of every cable", words.symbol("T_0"),
                 _amount(guard.tension_n, "N", job), "guard.tension", stated))  # fmt: skip
    heat = _amount(guard.temperature_k, "K", job)
    rows.append(("range of temperature, coldest to hottest", words.symbol("theta"), heat,
                 "guard.temperature_range", stated))  # fmt: skip
    return tuple(rows)


def _worst(job: Job, found: Strength) -> Iterator[tuple[str, ...]]:
    for code, (member, check) in sorted(found.worst.items()):
        yield (
            f"{code}: {check.name}", f"{_marks(member.marks)}, {check.place}",
            _amount(check.demand, check.unit, job), _amount(check.capacity or 0, check.unit, job),
            _ratio(check), words.cited(check.source),
        )  # fmt: skip


def _ratio(check: Check) -> str:
    return f"{check.utilisation:.3f}{'' if check.utilisation <= 1 + 1e-9 else ' fails'}"


def _member(member: Member) -> tuple[str, ...]:
    worst = member.worst
    if worst is None:
        return _marks(member.marks), member.kind, "", "", "stated only"
    result = "passes" if worst.utilisation <= 1 + 1e-9 else "fails"
    return (
        _marks(member.marks), member.kind, f"{worst.code}: {worst.name}",
        f"{worst.utilisation:.3f}", result,
    )  # fmt: skip


def _marks(marks: Sequence[str]) -> str:
    if len(marks) <= 4:
        return ", ".join(marks)
    return f"{marks[0]} to {marks[-1]} ({len(marks)})"


def _chapters(job: Job, found: Strength, reading: Reading) -> Iterator[Chapter]:
    """The worst post of each kind, the post with the worst anchors, the worst rail and cables."""
    for title, member, checks in picked(found):
        post = reading.posts.get(member.mark)
        backing = Backing(job, post or propped(checks, reading), rail_first=post is None)
        told = [(check, backing.steps(check)) for check in checks]
        alike = f"; alike: {', '.join(member.marks[1:])}" if len(member.marks) > 1 else ""
        if len(member.marks) > 12:
            alike = f"; {len(member.marks) - 1} others are alike"
        yield Chapter(
            f"{title}: {member.mark}",
            f"{member.mark} is used most of its kind{alike}.",
            figure_of(title, checks, post, metric=job.metric),
            blocks_of(told),
        )


def propped(checks: Sequence[Check], reading: Reading) -> PostCase | None:
    """The post whose thrust a rail takes, told by its cables and the length of its rail."""
    told = {step.symbol: step.value for check in checks for step in check.steps}
    for case in dict.fromkeys(reading.posts.values()):
        for k, pulls in enumerate(case.pulls, 1):
            if (told.get(f"h_{k}"), told.get(f"l_{k}")) == (pulls.heights_mm, pulls.rail_mm):
                return case
    return None


def picked(found: Strength) -> Iterator[tuple[str, Member, tuple[Check, ...]]]:
    """(what it is, member, its checks) of those that are written out line by line."""
    posts = [one for one in found.members if one.kind.endswith("post")]
    for kind in dict.fromkeys(one.kind for one in posts):
        alike = [one for one in posts if one.kind == kind]
        yield from _most(f"{kind[0].upper()}{kind[1:]}", alike, "post.")
    yield from _most("Anchors of a post", posts, "anchor.")
    yield from _most("Rail", [one for one in found.members if one.kind == "rail"], "rail.")
    held = [one for one in found.members if one.kind == "handrail"]
    yield from _most("Handrail", held, "rail.")
    yield from _most("Cables", [one for one in found.members if one.kind == "cables"], "cable.")


def _most(
    title: str, members: Iterable[Member], codes: str
) -> Iterator[tuple[str, Member, tuple[Check, ...]]]:
    """The member whose checks of these codes are used most, or ask for most where none is."""
    found = []
    for member in members:
        checks = tuple(check for check in member.checks if check.code.startswith(codes))
        if checks:
            used = max(check.utilisation for check in checks)
            found.append((used, max(check.demand for check in checks), member, checks))
    if found:
        _, _, member, checks = max(found, key=lambda one: one[:2])
        yield title, member, checks


def _sources(chapters: Iterable[Chapter]) -> Rows:
    """Every source that a line or a result of the sheets names, in order of clause."""
    found: dict[tuple[str, str], None] = {}
    for chapter in chapters:
        for block in chapter.blocks:
            for source in (block.source, *(line.source for line in block.lines)):
                if _of_outside(source):
                    found[words.cited(source), words.tag(source)] = None
    return tuple(sorted(found))


def _of_outside(source: Source) -> bool:
    within = ("closed form", "parts of this job", "profile of the part", words.STATED)
    return bool(source.clause) and words.tag(source) not in within
