"""Lengths, forces and catalogue measures: every notation, exact conversion, refusals."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.units import (
    DIMENSIONS,
    LENGTH_UNITS,
    UnitError,
    parse_angle,
    parse_force,
    parse_length,
    parse_quantity,
)

# The yard is 0.9144 m exactly by the agreement of 1959 (from memory): an inch is 25.4 mm.
INCH = Fraction(254, 10)


@pytest.mark.parametrize(
    "text, inches",
    [
        ("24'", 288),
        ("24' 3-1/2\"", 291.5),
        ("24'-3 1/2\"", 291.5),
        ("24'3.5\"", 291.5),
        ("24' - 3-1/2\"", 291.5),
        ("24\u2032 3-1/2\u2033", 291.5),
        ("24\u2019 3-1/2\u201d", 291.5),
        ('3-1/2"', 3.5),
        ("3 1/2 in", 3.5),
        ("47 3/8 in", 47.375),
        ('47-3/8"', 47.375),
        ("4 ft 7-1/8 in", 55.125),
        ("4ft 7-1/8in", 55.125),
        ("1/2 in", 0.5),
        ("5/2 in", 2.5),
        (".5 in", 0.5),
        ("5. in", 5),
        ("1/2 ft", 6),
        ("-4 in", -4),
        ("\u22124 in", -4),
        ("+4 in", 4),
        ("-1'-0 1/2\"", -12.5),
        ("  3   1/2   in ", 3.5),
        ("1e2 in", 100),
        ("0 in", 0),
    ],
)
def test_imperial_notations(text: str, inches: float) -> None:
    assert parse_length(text, "mm") == float(Fraction(inches) * INCH)


@pytest.mark.parametrize(
    "text", ["1440 mm", "1440mm", "144 cm", "1.44 m", "1.44e3 mm", "+1440.0 mm"]
)
def test_metric_notations(text: str) -> None:
    assert parse_length(text, "in") == 1440.0


@pytest.mark.parametrize(
    "unit, mm", [("in", 304.8), ("ft", 3657.6), ("mm", 12.0), ("cm", 120.0), ("m", 12000.0)]
)
def test_bare_numbers_take_the_declared_unit(unit: str, mm: float) -> None:
    assert {parse_length(read, unit) for read in (12, 12.0, "12", "1.2e1", " +12 ")} == {mm}


@pytest.mark.parametrize(
    "read",
    [
        "", " ", "-", "+", "in", "nan", "inf", "-inf", "NaN mm", "1e999", "1e400 in", "1e9999 in",
        "1/0 in", "0/0 in", "3 5/2 in", "3-2/2 in", "24' 3", "24 3/8", "3/8", "3 1/2",
        "4 ft -7 in", "4 ft- 7 in", "5' 14\"", "5' 12\"", "4.5' 3\"", "1/2 ft 3 in", "--4 in",
        "4 in 2 in", "3\" 4'", "1,000 mm", "1 000 mm", "1/2 mm", "4 yd", "4 km", "4 inches",
        "4 IN", "0x10", "12:30", "\u0663 in", "1_000", "4'4'", "1..2 in", "1e in", "9" * 200,
        "3 -1/2 in", "3- 1/2 in", "24'' 3", "ft", "1/2/3 in",
    ],
)  # fmt: skip
def test_refused_lengths_say_what_is_accepted(read: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse_length(read, "in")
    assert len(str(refused.value)) > 10


@pytest.mark.parametrize("read", [True, False, math.nan, math.inf, -math.inf, 10**400])
def test_numbers_that_are_no_lengths(read: float) -> None:
    with pytest.raises(UnitError, match="a length such as"):
        parse_length(read, "mm")


def test_the_accepted_unit_is_named() -> None:
    with pytest.raises(UnitError, match="bare number of millimetres"):
        parse_length("wide", "mm")


sixteenths = st.integers(0, 16 * 12 * 5000)


@given(sixteenths, st.booleans())
def test_every_notation_of_one_length_is_the_same_float(count: int, negative: bool) -> None:
    sign = "-" if negative else ""
    whole, part = divmod(count, 16)
    feet, inches = divmod(whole, 12)
    decimal = str(count / 16)  # exact: sixteenths end after four decimals
    texts = [
        f"{decimal} in",
        f'{decimal}"',
        f"{count}/16 in",
        f"{whole} {part}/16 in",
        f'{whole}-{part}/16"',
        f"{feet}' {inches}-{part}/16\"",
        f"{feet}'-{inches} {part}/16\"",
        f"{feet} ft {inches + part / 16} in",
        f"{feet}\u2032{inches} {part}/16\u2033",
        f"{Fraction(count, 16) * INCH * 100_000_000 // 1}e-8 mm",
    ]
    lengths = {parse_length(sign + text, "m") for text in texts}
    lengths.add(parse_length(sign + decimal, "in"))
    lengths.add(parse_length(float(sign + decimal), "in"))
    assert len(lengths) == 1
    assert lengths.pop() == float(Fraction(count, 16) * INCH) * (-1 if negative else 1)


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted(LENGTH_UNITS)))
def test_numbers_and_their_text_agree(value: float, unit: str) -> None:
    assert parse_length(value, unit) == parse_length(repr(value), unit)
    assert parse_length(value, unit) == pytest.approx(value * float(LENGTH_UNITS[unit]), rel=1e-15)


@given(st.text(max_size=30))
def test_no_text_raises_anything_else(text: str) -> None:
    for read in (text, f"{text} in", f"3{text}1/2 in"):
        try:
            value = parse_length(read, "in")
        except UnitError as error:
            value = None
            message = str(error)
        else:
            message = ""
        assert (value is None) == bool(message)
        assert value is None or math.isfinite(value)


@pytest.mark.parametrize(
    "text, newtons",
    [
        # A pound-force is 4.4482216152605 N: NIST SP 811 (2008), appendix B.8; from memory.
        ("200 lbf", 889.6443230521),
        ("890 N", 890.0),
        ("1.2 kN", 1200.0),
        ("1 kip", 4448.2216152605),
    ],
)
def test_forces(text: str, newtons: float) -> None:
    assert parse_force(text) == pytest.approx(newtons, rel=1e-15)


@pytest.mark.parametrize("text", ["200", "200 lb", "200 kg", "", "lbf", "1e999 N", "two N"])
def test_refused_forces(text: str) -> None:
    with pytest.raises(UnitError, match="a force such as"):
        parse_force(text)


@pytest.mark.parametrize("read", [45, 45.0, "45", "45 deg", "45\u00b0", "+45.0", "4.5e1 deg"])
def test_angles(read: str | float) -> None:
    assert parse_angle(read) == 45.0


@pytest.mark.parametrize("read", ["", "left", "45 rad", "1/2", True, math.nan, math.inf])
def test_refused_angles(read: str | float) -> None:
    with pytest.raises(UnitError, match="an angle such as"):
        parse_angle(read)


@pytest.mark.parametrize(
    "text, dimension, value, tolerance",
    [
        # Factors of NIST SP 811 (2008), appendix B.8, seven digits; values from memory.
        ("1 psi", "stress", 6.894757e-3, 5e-7),
        ("1 ksi", "stress", 6.894757, 5e-7),
        ("68.9 GPa", "stress", 68900.0, 1e-15),
        ("1 N/mm2", "stress", 1.0, 1e-15),
        ("1 lb/in3", "density", 2.767990e4, 5e-7),
        ("1 lb/ft3", "density", 16.01846, 5e-7),
        ("2.7 g/cm3", "density", 2700.0, 1e-15),
        ("1 in2", "area", 645.16, 1e-15),
        ("1 in\u00b2", "area", 645.16, 1e-15),
        ("1 cm2", "area", 100.0, 1e-15),
        ("1 lb/ft", "mass_per_length", 1.488164, 5e-7),
        # The IBC prints 50 pounds a foot as 0.73 kN/m (1607.8.1).
        ("50 lbf/ft", "line_load", 0.73, 5e-4),
        ("0.5 kN/m", "line_load", 0.5, 1e-15),
        ("500 N/m", "line_load", 0.5, 1e-15),
        ("23.6e-6 1/K", "expansion", 23.6e-6, 1e-15),
        ("1 1/degF", "expansion", 1.8, 1e-15),
        ("1 1/degC", "expansion", 1.0, 1e-15),
        ("3/16 in", "length", 4.7625, 1e-15),
        ("31.5 deg", "angle", 31.5, 1e-15),
        ("31.5\u00b0", "angle", 31.5, 1e-15),
        # A degree Fahrenheit is five ninths of a kelvin: NIST SP 811 (2008), B.8; from memory.
        ("180 degF", "temperature_difference", 100.0, 1e-15),
        ("100 \u00b0F", "temperature_difference", 55.555555555555, 1e-12),
        ("55.6 K", "temperature_difference", 55.6, 1e-15),
        ("40 degC", "temperature_difference", 40.0, 1e-15),
        ("3/4", "number", 0.75, 1e-15),
        ("0.85", "number", 0.85, 1e-15),
        ("-2 1/2", "number", -2.5, 1e-15),
    ],
)
def test_catalogue_measures(text: str, dimension: str, value: float, tolerance: float) -> None:
    assert parse_quantity(text, dimension) == pytest.approx(value, rel=tolerance)


@pytest.mark.parametrize("dimension", sorted(set(DIMENSIONS) - {"number"}))
def test_a_unit_is_asked_for(dimension: str) -> None:
    for read in (3, "3", "3 apples", "", "3 mm mm"):
        with pytest.raises(UnitError):
            parse_quantity(read, dimension)


def test_numbers_may_be_bare_and_nothing_else() -> None:
    assert parse_quantity(0.85, "number") == 0.85
    assert parse_quantity(4, "number") == 4.0
    for read in (True, math.nan, "4 in", "four", "1/0"):
        with pytest.raises(UnitError):
            parse_quantity(read, "number")


def test_an_unknown_dimension_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(KeyError):
        parse_quantity("3 in", "volume")
