"""A calculation as a list of steps: what is given, and formulas worked out from their own text.

The text that is printed is the text that is computed, so that a reader can work every line anew.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from functools import cache
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

    `basis` has the factors of codes that they take; without one, those that are shipped.
    """

    def __init__(self, basis: Basis | None = None) -> None:
        self._steps: dict[str, Step] = {}
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
        value = self._steps[symbol].value
        if isinstance(value, tuple):
            raise TypeError(f"{symbol} is a row of numbers")
        return value

    def __contains__(self, symbol: str) -> bool:
        return symbol in self._steps

    def source(self, symbol: str) -> Source:
        """Where a symbol's line comes from.

        Raises:
            KeyError: it has not been worked out.
        """
        return self._steps[symbol].source

    def given(
        self, symbol: str, value: Number, unit: str, meaning: str, source: Source = MODEL
    ) -> Number:
        """A value that comes from outside; told again it must be the same."""
        if symbol not in self._steps:
            self._steps[symbol] = Step(symbol, meaning, "", (), value, unit, source)
        elif self._steps[symbol].value != value:
            raise ValueError(f"{symbol} is told as two values")
        return value

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
        if symbol not in self._steps:
            terms = tuple(
                Term(name, self._steps[name].value, self._steps[name].unit)
                for name in names(formula)
            )
            value = evaluate(formula, {term.symbol: term.value for term in terms})
            self._steps[symbol] = Step(symbol, meaning, formula, terms, value, unit, source)
        elif self._steps[symbol].formula != formula:
            raise ValueError(f"{symbol} is worked out in two ways")
        return self[symbol]

    def trace(self, *symbols: str) -> tuple[Step, ...]:
        """The steps that lead to some symbols, in order."""
        wanted, open_ = set(symbols), list(symbols)
        while open_:
            for term in self._steps[open_.pop()].terms:
                if term.symbol not in wanted:
                    wanted.add(term.symbol)
                    open_.append(term.symbol)
        return tuple(step for name, step in self._steps.items() if name in wanted)


def evaluate(formula: str, values: Mapping[str, Number]) -> float:
    """The number that a formula comes to: + - * / **, and the functions of `FUNCTIONS`.

    Raises:
        ValueError: it has anything else in it.
        KeyError: a symbol has no value.
    """
    rows = [value for value in values.values() if isinstance(value, tuple)]
    if not rows:
        return float(_compiled(formula)(values))
    import numpy as np

    arrays = {
        name: np.asarray(value) if isinstance(value, tuple) else value
        for name, value in values.items()
    }
    return float(_compiled(formula)(arrays))


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

_OPERATORS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}

Worker: TypeAlias = Callable[[Mapping[str, object]], float]


def names(formula: str) -> tuple[str, ...]:
    """The symbols of a formula, in the order in which they stand."""
    return _parsed(formula)[0]


def _compiled(formula: str) -> Worker:
    return _parsed(formula)[1]


@cache
def _parsed(formula: str) -> tuple[tuple[str, ...], Worker]:
    found: dict[str, None] = {}
    worker = _worker(ast.parse(formula, mode="eval").body, found)
    return tuple(found), worker


def _worker(node: ast.expr, found: dict[str, None]) -> Worker:
    """What works a formula out; the symbols that it names are added to `found`."""
    match node:
        case ast.Constant(value=int() | float() as value):
            return lambda _: value
        case ast.Name(id="pi"):
            return lambda _: math.pi
        case ast.Name(id=name):
            found.setdefault(name)
            return lambda values: values[name]  # type: ignore[return-value]
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _OPERATORS:
            first, second = _worker(left, found), _worker(right, found)
            run = _OPERATORS[type(op)]
            return lambda values: run(first(values), second(values))
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            inner = _worker(operand, found)
            return lambda values: -inner(values)
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in FUNCTIONS:
            call, inners = FUNCTIONS[name], [_worker(arg, found) for arg in args]
            return lambda values: call(*(one(values) for one in inners))
    raise ValueError(f"no formula: {ast.unparse(node)}")
