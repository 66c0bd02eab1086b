"""Lines, blocks and chapters of a calculation, and how many digits each number is shown with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from generator.calculations import words
from generator.frozen import dataclass
from generator.strength.result import Check
from generator.strength.steps import Number, Source, Step, evaluate

_LEAST, _MOST = 5, 15
# How near a line comes to its result when it is worked anew with the numbers as shown.
_NEAR = 2e-4


@dataclass(frozen=True, slots=True)
class Line:
    """One line as it is shown; `value` is what stands there, rounded, and `text` its digits.

    `put_in` is what stands for each symbol of the formula; rows keep their symbol.
    """

    symbol: str
    meaning: str
    formula: str
    put_in: tuple[tuple[str, str], ...]
    value: Number
    text: str
    unit: str
    source: Source


@dataclass(frozen=True, slots=True)
class Block:
    """One check: the lines that are new in its chapter, then demand against capacity.

    `demand` and `capacity` are the texts that stand in the lines; without a capacity the demand is
    stated for others to show.
    """

    title: str
    case: str
    place: str
    code: str
    lines: tuple[Line, ...]
    demand: str
    capacity: str
    unit: str
    utilisation: float
    source: Source

    @property
    def passed(self) -> bool:
        """Whether the demand is within the capacity, rounding aside."""
        return self.utilisation <= 1.0 + 1e-9


def blocks_of(checks: Sequence[tuple[Check, tuple[Step, ...]]]) -> tuple[Block, ...]:
    """Checks of one member with their steps; a line that holds as told before is left out.

    A symbol that means something else in a later check is told anew there. Every number has as
    many digits as the lines that use it need.
    """
    current: dict[str, int] = {}
    told: list[Step] = []
    uses: list[dict[str, int]] = []
    spans: list[tuple[int, int]] = []
    ends: list[tuple[int, int | None]] = []
    for check, steps in checks:
        start = len(told)
        for step in steps:
            at = current.get(step.symbol)
            if at is not None and _same(told[at], step):
                continue
            uses.append({term.symbol: current[term.symbol] for term in step.terms})
            current[step.symbol] = len(told)
            told.append(step)
        spans.append((start, len(told)))
        ends.append(_ends(check, steps, current))
    lines = _lines(told, uses, _digits(told, uses))
    return tuple(
        _block(check, lines, span, end)
        for (check, _), span, end in zip(checks, spans, ends, strict=True)
    )


def _same(a: Step, b: Step) -> bool:
    """Whether a line told before says the same; what is worked out there need not be given."""
    return a.value == b.value and a.unit == b.unit and (a.formula == b.formula or not b.formula)


def _ends(check: Check, steps: Iterable[Step], current: dict[str, int]) -> tuple[int, int | None]:
    """Lines of a check's demand and capacity: the last that have their values."""
    demand, capacity = -1, None
    for step in steps:
        if step.value == check.demand and step.unit == check.unit and (demand < 0 or step.formula):
            demand = current[step.symbol]
        if check.capacity is not None and step.value == check.capacity:
            capacity = current[step.symbol]
    if demand < 0:
        raise ValueError(f"{check.name}: no line gives what is asked for")
    return demand, capacity


def _digits(told: Sequence[Step], uses: Sequence[dict[str, int]]) -> list[int]:
    """For each line as many digits that those which use it come to their results."""
    digits = [_LEAST] * len(told)
    for step, used in zip(told, uses, strict=True):
        if not step.formula:
            continue
        while not _near(step, used, told, digits) and used:
            raised = [at for at in used.values() if digits[at] < _MOST]
            for at in raised:
                digits[at] += 1
            if not raised:
                break
    return digits


def _near(step: Step, used: dict[str, int], told: Sequence[Step], digits: Sequence[int]) -> bool:
    values = {name: rounded(told[at].value, digits[at]) for name, at in used.items()}
    exact = step.value
    if isinstance(exact, tuple):
        return True
    return abs(evaluate(step.formula, values) - exact) <= _NEAR * abs(exact)


def rounded(value: Number, digits: int) -> Number:
    """What a reader reads of a number shown with so many digits."""
    if isinstance(value, tuple):
        return tuple(float(words.number(one, digits)) for one in value)
    return float(words.number(value, digits))


def _lines(
    told: Sequence[Step], uses: Sequence[dict[str, int]], digits: Sequence[int]
) -> list[Line]:
    texts = [words.numbers(step.value, n) for step, n in zip(told, digits, strict=True)]
    made = []
    for k, (step, used) in enumerate(zip(told, uses, strict=True)):
        put_in = tuple(
            (name, texts[at]) for name, at in used.items() if not isinstance(told[at].value, tuple)
        )
        made.append(
            Line(step.symbol, step.meaning, step.formula, put_in, rounded(step.value, digits[k]),
                 texts[k], step.unit, step.source)
        )  # fmt: skip
    return made


def _block(
    check: Check, lines: Sequence[Line], span: tuple[int, int], ends: tuple[int, int | None]
) -> Block:
    demand, capacity = ends
    shown = lines[capacity].text if capacity is not None else ""
    if check.capacity is not None and capacity is None:
        raise ValueError(f"{check.name}: no line gives what it is held against")
    return Block(
        check.name, check.case, check.place, check.code, tuple(lines[slice(*span)]),
        lines[demand].text, shown, check.unit, check.utilisation, check.source,
    )  # fmt: skip
