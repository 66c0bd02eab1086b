"""A calculation as a list of steps: what is given, and formulas worked out from their own text.

The text that is printed is the text that is computed, so that a reader can work every line anew.
"""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from keyword import iskeyword
from typing import TYPE_CHECKING, Any, TypeAlias

from generator.frozen import dataclass

if TYPE_CHECKING:
    from generator.strength.factors import Basis, Factor

Number: TypeAlias = float | tuple[float, ...]

MEMORY = "from memory, not read"
"""How the text of a source begins that nobody read."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value or a formula comes from; `verified` where somebody read it there."""

    clause: str
    text: str
    verified: bool


MECHANICS = Source("statics", "closed form of the theory of beams", True)
GEOMETRY = Source("geometry", "closed form", True)
MODEL = Source("", "read from the parts of this job", True)
PROFILE = Source("", "profile of the part", True)


def memory(clause: str, text: str) -> Source:
    """A source that nobody read: it says so."""
    return Source(clause, text if text.startswith(MEMORY) else f"{MEMORY}: {text}", False)


@dataclass(frozen=True, slots=True)
class Term:
    """A number as put into a formula; a tuple where it is a row of numbers."""

    symbol: str
    value: Number
    unit: str


@dataclass(frozen=True, slots=True)
class Step:
    """One line: `symbol` = `formula` with `terms` put in = `value` in `unit`.

    A line that is given has no formula. Units: mm, N, MPa, N mm, K, rad and their powers.
    """

    symbol: str
    meaning: str
    formula: str
    terms: tuple[Term, ...]
    value: Number
    unit: str
    source: Source


class Sheet:
    """The steps of one member, in the order in which they were worked out.

    `basis` has the factors of codes that they take; without one, those that are shipped. Numbers
    are worked out at once, steps written out only for who reads them.
    """

    def __init__(self, basis: Basis | None = None) -> None:
        self._values: dict[str, Any] = {}  # a row of numbers as an array
        self._rows: dict[str, tuple[float, ...]] = {}  # and as it was given
        self._told: dict[str, tuple[str, str, str, Source]] = {}  # meaning, formula, unit, source
        self._basis = basis

    @property
    def basis(self) -> Basis:
        """The factors that the steps take."""
        if self._basis is None:
            from generator.strength.factors import basis_of  # it knows of sheets' sources

            self._basis = basis_of()
        return self._basis

    def __getitem__(self, symbol: str) -> float:
        """The value of a symbol.

        Raises:
            KeyError: it has not been worked out.
            TypeError: it is a row of numbers.
        """
        if symbol in self._rows:
            raise TypeError(f"{symbol} is a row of numbers")
        return self._values[symbol]

    def __contains__(self, symbol: str) -> bool:
        return symbol in self._values

    def source(self, symbol: str) -> Source:
        """Where a symbol's line comes from.

        Raises:
            KeyError: it has not been worked out.
        """
        return self._told[symbol][3]

    def given(
        self, symbol: str, value: Number, unit: str, meaning: str, source: Source = MODEL
    ) -> Number:
        """A value that comes from outside; told again it must be the same."""
        if symbol not in self._values:
            self._told[symbol] = (meaning, "", unit, source)
            if isinstance(value, tuple):
                self._rows[symbol] = value
                self._values[symbol] = _array(value)
            else:
                self._values[symbol] = value
        elif self._rows.get(symbol, self._values[symbol]) != value:
            raise ValueError(f"{symbol} is told as two values")
        return value

    def given_all(self, other: Sheet) -> None:
        """All that another sheet tells, which has no row of numbers."""
        for symbol in self._values.keys() & other._values.keys():
            if self._values[symbol] != other._values[symbol]:
                raise ValueError(f"{symbol} is told as two values")
        self._told.update(other._told)
        self._values.update(other._values)

    def tell(self, factor: Factor, value: float | None = None) -> str:
        """Puts a factor on the sheet, or another value in its place; gives its symbol."""
        told = factor.value if value is None else value
        self.given(factor.symbol, told, factor.unit, factor.meaning, factor.source)
        return factor.symbol

    def work(
        self, symbol: str, formula: str, unit: str, meaning: str, source: Source = MECHANICS
    ) -> float:
        """The value of a formula of symbols that are on the sheet; worked out once.

        Raises:
            KeyError: the formula names a symbol that is not on the sheet.
        """
        if symbol not in self._values:
            symbols, worker = _parsed(formula)
            for name in symbols:
                if name not in self._values:
                    raise KeyError(name)
            value = float(worker(self._values))
            self._values[symbol] = value
            self._told[symbol] = (meaning, formula, unit, source)
            return value
        if self._told[symbol][1] != formula:
            raise ValueError(f"{symbol} is worked out in two ways")
        return self[symbol]

    def trace(self, *symbols: str) -> Trail:
        """The steps that lead to some symbols, in order."""
        return Trail(self, symbols)

    def written(self, symbols: tuple[str, ...]) -> tuple[Step, ...]:
        """The steps that lead to some symbols, written out."""
        wanted, open_ = set(symbols), list(symbols)
        while open_:
            for name in names(self._told[open_.pop()][1]):
                if name not in wanted:
                    wanted.add(name)
                    open_.append(name)
        return tuple(self._step(symbol) for symbol in self._values if symbol in wanted)

    def _step(self, symbol: str) -> Step:
        meaning, formula, unit, source = self._told[symbol]
        terms = tuple(Term(n, self._value(n), self._told[n][2]) for n in names(formula))
        return Step(symbol, meaning, formula, terms, self._value(symbol), unit, source)

    def _value(self, symbol: str) -> Number:
        return self._rows[symbol] if symbol in self._rows else self._values[symbol]


class Trail(Sequence[Step]):
    """The steps that lead to some symbols of a sheet; written out when they are first read."""

    __slots__ = ("_found", "_sheet", "_symbols")

    def __init__(self, sheet: Sheet, symbols: tuple[str, ...]) -> None:
        self._sheet, self._symbols = sheet, symbols
        self._found: tuple[Step, ...] | None = None

    @property
    def steps(self) -> tuple[Step, ...]:
        """All of them, in the order in which they were worked out."""
        if self._found is None:
            self._found = self._sheet.written(self._symbols)
        return self._found

    def __len__(self) -> int:
        return len(self.steps)

    def __getitem__(self, index):  # type: ignore[no-untyped-def]
        return self.steps[index]

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Trail) and self.steps == other.steps

    def __hash__(self) -> int:
        return hash(self.steps)


def _array(row: tuple[float, ...]) -> Any:
    import numpy as np

    return np.asarray(row, dtype=float)


def evaluate(formula: str, values: Mapping[str, Number]) -> float:
    """The number that a formula comes to: + - * / **, and the functions of `FUNCTIONS`.

    Raises:
        ValueError: it has anything else in it.
        KeyError: a symbol has no value.
    """
    symbols, worker = _parsed(formula)
    told = {name: values[name] for name in symbols}
    arrays = {n: _array(v) if isinstance(v, tuple) else v for n, v in told.items()}
    return float(worker(arrays))


def _total(value: object) -> float:
    """The sum of a row."""
    return float(value.sum()) if hasattr(value, "sum") else float(value)  # type: ignore[union-attr,arg-type]


def _greatest(*values: float) -> float:
    return max(float(v.max()) if hasattr(v, "max") else v for v in values)  # type: ignore[union-attr]


FUNCTIONS: Mapping[str, Callable[..., Any]] = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "floor": math.floor,
    "sin": math.sin,
    "cos": math.cos,
    "min": min,
    "max": _greatest,
    "abs": operator.abs,
    "sum": _total,
}
"""What a formula may call; `sum` adds up a row, angles are in radians."""

_KNOWN: dict[str, Any] = {**FUNCTIONS, "pi": math.pi, "__builtins__": {}}
_TOKEN = re.compile(
    r"(?P<name>[A-Za-z_]\w*)|(?P<number>\d+\.?\d*(?:e[-+]?\d+)?)|(?P<sign>\*\*|[-+*/(),])|\s+"
)
_CALL = re.compile(r"\s*\(")

Worker: TypeAlias = Callable[[Mapping[str, object]], float]


def names(formula: str) -> tuple[str, ...]:
    """The symbols of a formula, in the order in which they stand; none of what is only given."""
    return _parsed(formula)[0] if formula else ()


@cache
def _parsed(formula: str) -> tuple[tuple[str, ...], Worker]:
    """The symbols of a formula, and what works it out.

    Nothing but numbers, symbols, signs and calls of `FUNCTIONS` gets as far as the compiler.
    """
    found: dict[str, None] = {}
    at, operand = 0, False
    while at < len(formula):
        token = _TOKEN.match(formula, at)
        if token is None:
            raise ValueError(f"no formula: {formula}")
        at, kind, text = token.end(), token.lastgroup, token[0]
        if kind in ("name", "number"):
            calls = kind == "name" and _CALL.match(formula, at) is not None
            if operand or calls != (text in FUNCTIONS) or iskeyword(text):
                raise ValueError(f"no formula: {formula}")
            operand = True
            if kind == "name" and not calls and text != "pi":
                found.setdefault(text)
        elif kind == "sign":
            operand = operand and text == ")"
    try:
        code = compile(formula, "<formula>", "eval")
    except SyntaxError:
        raise ValueError(f"no formula: {formula}") from None
    return tuple(found), lambda values: eval(code, _KNOWN, values)  # noqa: S307 (its signs were looked through)
