"""A reader of the formulas on calculation sheets that shares nothing with the program."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable
from typing import Any

CALLS: dict[str, Callable[..., Any]] = {
    "sqrt": math.sqrt, "exp": math.exp, "floor": math.floor, "sin": math.sin, "cos": math.cos,
    "min": min, "max": max, "abs": abs,
    "sum": lambda row: sum(row) if isinstance(row, tuple) else row,  # a row of one is a number
}  # fmt: skip
SIGNS = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul,
         ast.Div: operator.truediv, ast.Pow: operator.pow}  # fmt: skip


def worked(formula: str, values: dict[str, Any]) -> Any:
    """What a formula gives with numbers for its symbols; a row of numbers is a tuple."""
    return _worked(ast.parse(formula, mode="eval").body, values)


def _worked(node: ast.expr, values: dict[str, Any]) -> Any:
    if isinstance(node, ast.Constant):
        return node.value
    if isinstance(node, ast.Name):
        return math.pi if node.id == "pi" else values[node.id]
    if isinstance(node, ast.UnaryOp):
        assert isinstance(node.op, ast.USub)
        return -_worked(node.operand, values)
    if isinstance(node, ast.Call):
        assert isinstance(node.func, ast.Name)
        return CALLS[node.func.id](*(_worked(arg, values) for arg in node.args))
    assert isinstance(node, ast.BinOp)
    a, b, sign = _worked(node.left, values), _worked(node.right, values), SIGNS[type(node.op)]
    if isinstance(a, tuple) or isinstance(b, tuple):
        size = len(a if isinstance(a, tuple) else b)
        rows = [one if isinstance(one, tuple) else (one,) * size for one in (a, b)]
        return tuple(sign(x, y) for x, y in zip(*rows, strict=True))
    return sign(a, b)
