"""Lengths as shop text: rounding that carries, chains that add up, text that reads back."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.units import (
    format_inches,
    format_length,
    format_length_with_unit,
    parse_length,
    round_shop,
)

INCH = 25.4
lengths = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(
    "inches, text",
    [
        # Worked by hand.
        (36.5, "3'-0 1/2\""),
        (5.75, '5 3/4"'),
        (282, "23'-6\""),
        (0, '0"'),
        (-0.0, '0"'),
        (0.01, '0"'),
        (-0.01, '0"'),
        (0.5, '1/2"'),
        (-0.5, '-1/2"'),
        (12, "1'-0\""),
        (12.0625, "1'-0 1/16\""),
        (11.9999, "1'-0\""),
        (11.96, '11 15/16"'),
        (41.96875, "3'-6\""),  # 41 31/32: half a sixteenth goes up, through the inch
        (-41.96875, "-3'-6\""),
        (35.96875, "3'-0\""),  # and through the foot
        (63.75, "5'-3 3/4\""),
        (68.6875, "5'-8 11/16\""),
        (-36.5, "-3'-0 1/2\""),
    ],
)
def test_feet_and_inches(inches: float, text: str) -> None:
    assert format_length(inches * INCH, metric=False) == text


@pytest.mark.parametrize(
    "mm, text",
    [
        (1440, "1440"),
        (12.5, "12.5"),
        (12.04, "12"),
        (12.05, "12.1"),
        (-12.05, "-12.1"),
        (-0.01, "0"),
        (0, "0"),
        (999.96, "1000"),
    ],
)
def test_millimetres(mm: float, text: str) -> None:
    assert format_length(mm, metric=True) == text
    assert format_length_with_unit(mm, metric=True) == f"{text} mm"


def test_finer_fractions() -> None:
    assert format_length(5.03125 * INCH, metric=False, denominator=32) == '5 1/32"'
    assert format_length(5.015625 * INCH, metric=False, denominator=64) == '5 1/64"'


@pytest.mark.parametrize(
    "mm, text",
    [
        (6.71, '0.264"'),
        (25.4, '1"'),
        (2540, '100"'),
        (0.001, '0"'),
        (-0.001, '0"'),
        (-1.27, '-0.05"'),
    ],
)
def test_decimal_inches(mm: float, text: str) -> None:
    assert format_inches(mm) == text


def test_decimal_inches_without_decimals() -> None:
    assert format_inches(2540, places=0) == '100"'


@given(st.integers(-16 * 12 * 5000, 16 * 12 * 5000))
def test_sixteenths_read_back_exactly(count: int) -> None:
    mm = parse_length(count / 16, "in")
    text = format_length(mm, metric=False)
    assert parse_length(text, "mm") == mm
    assert format_length(parse_length(text, "mm"), metric=False) == text


@given(lengths, st.sampled_from([16, 32, 64]))
def test_text_is_within_half_a_part(mm: float, denominator: int) -> None:
    text = format_length_with_unit(mm, metric=False, denominator=denominator)
    assert abs(parse_length(text, "mm") - mm) <= INCH / denominator / 2 * 1.00001


@given(lengths)
def test_metric_text_is_within_a_twentieth_of_a_millimetre(mm: float) -> None:
    text = format_length_with_unit(mm, metric=True)
    assert abs(parse_length(text, "in") - mm) <= 0.05001


@given(lengths, st.booleans())
def test_rounding_is_stable_odd_and_what_the_text_says(mm: float, metric: bool) -> None:
    rounded = round_shop(mm, metric)
    assert round_shop(rounded, metric) == rounded
    assert round_shop(-mm, metric) == -rounded
    assert parse_length(format_length_with_unit(rounded, metric), "mm") == rounded


@given(st.lists(st.floats(0, 5000), min_size=1, max_size=30), st.booleans())
def test_chains_add_up(spacings: list[float], metric: bool) -> None:
    # Positions are rounded, spacings are differences: the shown bays add up to the shown whole.
    positions = [math.fsum(spacings[:count]) for count in range(len(spacings) + 1)]
    marks = [round_shop(position, metric) for position in positions]
    unit = 1.0 if metric else INCH / 16
    bays = [round((after - before) / unit) for before, after in pairwise(marks)]
    assert sum(bays) == round((marks[-1] - marks[0]) / unit)
    shown = [
        parse_length(format_length_with_unit(after - before, metric), "mm")
        for before, after in pairwise(marks)
    ]
    assert math.fsum(shown) == pytest.approx(marks[-1] - marks[0], abs=1e-6)
