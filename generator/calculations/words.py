"""How symbols, formulas, numbers and sources of a calculation are written for a reader."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Mapping

from generator.strength.steps import GEOMETRY, MECHANICS, MODEL, PROFILE, Number, Source

_GREEK = {
    "alpha": "α", "beta": "β", "eps": "ε", "eta": "η", "lambda": "λ", "mu": "μ", "Omega": "Ω",
    "phi": "φ", "pi": "π", "theta": "θ", "dT": "ΔT", "zb": "z<sub>b</sub>",
}  # fmt: skip
_UNITS = {"mm2": "mm²", "mm3": "mm³", "mm4": "mm⁴", "N mm": "N·mm", "rad/(N mm)": "rad/(N·mm)",
          "N mm2": "N·mm²"}  # fmt: skip
# Customary units beside those that are worked in: name and how many of ours one of them is.
_CUSTOMARY = {
    "N": ("lbf", 4.4482216152605), "mm": ("in", 25.4), "MPa": ("ksi", 6.894757293168361),
    "N mm": ("lbf·in", 4.4482216152605 * 25.4), "mm2": ("in²", 25.4**2),
    "mm3": ("in³", 25.4**3), "mm4": ("in⁴", 25.4**4),
    "N/mm": ("lbf/ft", 4.4482216152605 / 304.8), "K": ("°F", 5 / 9),
}  # fmt: skip
STATED = "stated in the job or its default"
_TEN = re.compile(r"[\d.]+e-?\d+")
_MEMORY = "from memory, not read: "
_DERIVED = frozenset(
    ("statics", "geometry", "mechanics", "beam tables", "theory of plates", "closed form")
)


def sentence(text: str) -> str:
    """Text with its first letter as a sentence begins."""
    return f"{text[:1].upper()}{text[1:]}"


def symbol(name: str) -> str:
    """A symbol as marked-up text: Greek letters as such, what follows `_` lowered.

    A lowered `pi` stands for what lies inside the post, not for the number.
    """
    head, _, tail = name.partition("_")
    lowered = tail if tail == "pi" else _GREEK.get(tail, tail)
    return _GREEK.get(head, head) + (f"<sub>{lowered}</sub>" if tail else "")


def unit(name: str) -> str:
    """A unit as it is printed."""
    return _UNITS.get(name, name)


def number(value: float, digits: int) -> str:
    """A number of so many significant digits, zeros at its end left out; `float` reads it."""
    if value == 0.0 or abs(value) < 1e-300:
        return "0"
    text = f"{value:.{digits - 1}e}"
    if not 1e-3 <= abs(value) < 1e7:
        mantissa, exponent = text.split("e")
        mantissa = mantissa.rstrip("0").rstrip(".") if "." in mantissa else mantissa
        return f"{mantissa}e{int(exponent)}"
    plain = f"{float(text):.{max(digits, 12)}f}".rstrip("0").rstrip(".")
    return repr(float(plain)).removesuffix(".0")


def numbers(value: Number, digits: int) -> str:
    """A number or a row of them; equal ones in a row are counted: 11 × 1155.6."""
    if not isinstance(value, tuple):
        return number(value, digits)
    shown = [number(one, digits) for one in value]
    parts: list[tuple[str, int]] = []
    for text in shown:
        if parts and parts[-1][0] == text:
            parts[-1] = (text, parts[-1][1] + 1)
        else:
            parts.append((text, 1))
    return "; ".join(text if count == 1 else f"{count} × {text}" for text, count in parts)


def customary(value: Number, name: str) -> str:
    """A value in units of inch and pound in brackets; nothing for rows and plain numbers."""
    if isinstance(value, tuple) or name not in _CUSTOMARY:
        return ""
    word, one = _CUSTOMARY[name]
    return f" ({number(value / one, 4)} {word})"


def formula(text: str, names: Mapping[str, str] | None = None) -> str:
    """A formula as marked-up text; with `names`, what stands there for each symbol."""
    told: Callable[[str], str] = symbol
    if names is not None:
        put_in = names
        told = lambda name: put_in[name] if name in put_in else symbol(name)  # noqa: E731
    return _written(ast.parse(text, mode="eval").body, told)[0]


# How tightly each kind of expression binds.
_SUM, _PRODUCT, _SIGN, _POWER, _ATOM = range(5)


def _written(node: ast.expr, told: Callable[[str], str]) -> tuple[str, int]:  # noqa: PLR0911
    """(text, how tightly it binds)."""
    match node:
        case ast.Constant(value=int() | float() as value):
            return (number(float(value), 6), _ATOM)
        case ast.Name(id=name):
            text = told(name)
            if text.startswith(("-", "−")):
                return text, _SIGN
            return text, (_PRODUCT if _TEN.fullmatch(text) else _ATOM)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return f"−{_bound(operand, told, _PRODUCT)}", _SIGN
        case ast.BinOp(left=left, op=ast.Pow(), right=right):
            return f"{_bound(left, told, _ATOM)}<sup>{_written(right, told)[0]}</sup>", _POWER
        case ast.BinOp(left=left, op=ast.Add() | ast.Sub() as op, right=right):
            sign, least = ("+", _SUM) if isinstance(op, ast.Add) else ("−", _PRODUCT)
            later = _bound(right, told, least)
            if later.startswith(("-", "−")):
                later = f"({later})"
            return f"{_bound(left, told, _SUM)} {sign} {later}", _SUM
        case ast.BinOp(left=left, op=ast.Mult() | ast.Div() as op, right=right):
            times = isinstance(op, ast.Mult)
            later = _bound(right, told, _POWER)
            return f"{_bound(left, told, _PRODUCT)}{' · ' if times else ' / '}{later}", _PRODUCT
        case ast.Call(func=ast.Name(id=name), args=args):
            return _called(name, [_written(arg, told)[0] for arg in args]), _ATOM
    raise ValueError(f"no formula: {ast.unparse(node)}")


def _bound(node: ast.expr, told: Callable[[str], str], least: int) -> str:
    text, binds = _written(node, told)
    return text if binds >= least else f"({text})"


def _called(name: str, args: list[str]) -> str:
    if name == "sqrt":
        return f"√({args[0]})"
    if name == "sum":
        return f"Σ({args[0]})"
    if name == "abs":
        return f"|{args[0]}|"
    return f"{name}({'; '.join(args)})"


def tag(source: Source) -> str:
    """How a value is known: read at source, from memory, closed form, from the job."""
    text = f"{source.clause} {source.text}"
    if "common practice" in text:
        return "common practice, no source"
    if "job spec" in text:
        return STATED
    if source.text.startswith("closed form: "):
        return "closed form"
    if not source.verified:
        return "from memory" if _MEMORY in source.text else "not confirmed"
    if source == MODEL or not source.clause:
        return "parts of this job" if source == MODEL else "profile of the part"
    return "closed form" if source.clause in _DERIVED else "read at source"


def cited(source: Source) -> str:
    """Clause and text of a source as a reader needs them, without its tag."""
    text = source.text
    while text.startswith(_MEMORY):
        text = text.removeprefix(_MEMORY)
    if text in (source.clause, "job spec", MODEL.text, PROFILE.text) or text == MECHANICS.text:
        text = ""
    if source == GEOMETRY:
        return ""
    return ": ".join(part for part in (source.clause, text) if part)
