"""Measures in the words of a tape: chains add up, near misses are told in decimals."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.checks.words import bay_words, measured_and_limit
from generator.units import format_length_with_unit, parse_length

lengths = st.lists(st.floats(min_value=50.0, max_value=3000.0), min_size=1, max_size=12)


@given(lengths, st.booleans())
def test_bays_shown_add_up_to_the_overall_shown(bays_mm, metric):
    shown = 0.0
    for group in bay_words(bays_mm, metric=metric).split(", "):
        match = re.fullmatch(r"(?:(\d+) at )?(.+)", group)
        assert match is not None
        count, text = match.groups()
        shown += int(count or 1) * parse_length(text.replace("'-", "' "), "mm")
    overall = parse_length(format_length_with_unit(sum(bays_mm), metric).replace("'-", "' "), "mm")
    grain = 1.0 if metric else 1e-6  # metric bays are whole millimetres, lengths tenths
    assert shown == pytest.approx(overall, abs=grain)


def test_equal_bays_are_counted():
    assert bay_words([1744.6625] * 4, metric=False) == "4 at 5'-8 11/16\""
    assert bay_words([1000.0, 1000.0, 900.0], metric=True) == "2 at 1000 mm, 900 mm"
    assert bay_words([], metric=True) == ""


@pytest.mark.parametrize(
    "measured, limit, unit, metric, text",
    [
        (101.6, 152.4, "mm", False, 'measured 4", limit 6"'),
        (101.5, 101.6, "mm", False, 'measured 3.996", limit 4"'),
        (101.5, 101.6, "mm", True, "measured 101.50 mm, limit 101.60 mm"),
        (1900.0, 1828.8, "mm", False, "measured 6'-2 13/16\", limit 6'-0\""),
        (-3.0, 6.35, "mm", False, 'measured -1/8", limit 1/4"'),
        (50.0, None, "N", True, "measured 50.00 N"),
        (4.4482216152605, None, "N", False, "measured 1.00 lbf"),
        (5.25, 0.0, "deg", True, "measured 5.25°, limit 0.00°"),
        (3.0, 2.0, "", True, "measured 3, limit 2"),
        (None, 2.0, "mm", True, ""),
    ],
)
def test_measured_and_limit(measured, limit, unit, metric, text):
    assert measured_and_limit(measured, limit, unit, metric=metric) == text
