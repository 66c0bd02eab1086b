"""Formulas are worked out from their own text, and no other text."""

from __future__ import annotations

import math

import pytest

from generator.strength.steps import Sheet, evaluate, names


@pytest.mark.parametrize(
    "formula,value",
    [
        ("1 + 2 * 3 ** 2 - -4 / 2", 21.0),
        ("sqrt(a**2 + b**2)", 5.0),
        ("sum(row * (row - 1))", 8.0),
        ("max(a, b, 1) - min(a, b)", 1.0),
        ("floor(10 / a) * pi", 3 * math.pi),
        ("abs(-a) * exp(0) * cos(0) + sin(0)", 3.0),
    ],
)
def test_formulas(formula, value) -> None:
    assert evaluate(formula, {"a": 3.0, "b": 4.0, "row": (1.0, 2.0, 3.0)}) == pytest.approx(value)


@pytest.mark.parametrize(
    "formula", ["__import__('os')", "a.b", "a if b else 0", "[a]", "f(a)", "'a'"]
)
def test_nothing_else_is_a_formula(formula) -> None:
    with pytest.raises(ValueError, match="no formula"):
        evaluate(formula, {"a": 1.0, "b": 1.0, "f": 1.0})


def test_a_sheet_says_each_thing_once() -> None:
    sheet = Sheet()
    sheet.given("a", 2.0, "mm", "a length")
    sheet.work("b", "a * 3", "mm", "three of it")
    sheet.given("c", 1.0, "mm", "nothing to do with it")
    assert sheet["b"] == 6.0
    assert [step.symbol for step in sheet.trace("b")] == ["a", "b"]
    assert names("b + a * b") == ("b", "a")
    with pytest.raises(ValueError, match="two values"):
        sheet.given("a", 3.0, "mm", "another length")
    with pytest.raises(ValueError, match="two ways"):
        sheet.work("b", "a * 4", "mm", "four of it")
    with pytest.raises(KeyError):
        sheet.work("d", "e * 2", "mm", "of what was not told")
