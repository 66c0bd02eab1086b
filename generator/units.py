"""Text of the trade into millimetres, newtons and degrees, and lengths back into shop text.

Every conversion is exact in rational numbers and rounded to a float once, at the end, so that two
spellings of one length give the same float.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

MAX_LENGTH_MM = 1e7
"""Longest length that a job may hold, 10 km; the spec refuses more."""

INCH_MM = 25.4
"""Millimetres in an inch, exact."""

_INCH = Fraction(254, 10)  # exact since the international yard of 1959
_POUND = Fraction("0.45359237")  # kg, exact
_POUND_FORCE = _POUND * Fraction("9.80665")  # N, exact with standard gravity

LENGTH_UNITS: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": _INCH,
    "ft": 12 * _INCH,
}
"""mm in one of each unit that a bare number may be in."""

_UNIT_WORDS = {
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres",
    "in": "inches",
    "ft": "feet",
}

_UNITS: dict[str, dict[str, Fraction]] = {
    "force": {
        "N": Fraction(1),
        "kN": Fraction(1000),
        "lbf": _POUND_FORCE,
        "kip": 1000 * _POUND_FORCE,
    },
    "line_load": {
        "N/mm": Fraction(1),
        "kN/m": Fraction(1),
        "N/m": Fraction(1, 1000),
        "lbf/ft": _POUND_FORCE / (12 * _INCH),
    },
    "stress": {
        "MPa": Fraction(1),
        "GPa": Fraction(1000),
        "N/mm2": Fraction(1),
        "psi": _POUND_FORCE / _INCH**2,
        "ksi": 1000 * _POUND_FORCE / _INCH**2,
    },
    "density": {
        "kg/m3": Fraction(1),
        "g/cm3": Fraction(1000),
        "lb/in3": _POUND * 10**9 / _INCH**3,
        "lb/ft3": _POUND * 10**9 / (12 * _INCH) ** 3,
    },
    "area": {"mm2": Fraction(1), "cm2": Fraction(100), "in2": _INCH**2},
    "mass_per_length": {"kg/m": Fraction(1), "lb/ft": _POUND * 1000 / (12 * _INCH)},
    "expansion": {"1/K": Fraction(1), "1/degC": Fraction(1), "1/degF": Fraction(9, 5)},
    "angle": {"deg": Fraction(1)},
    "temperature_difference": {"K": Fraction(1), "degC": Fraction(1), "degF": Fraction(5, 9)},
}

_EXAMPLES = {
    "length": "a length such as 24' 3-1/2\", 47 3/8 in, 4 ft 7-1/8 in, 1440 mm or 1.44 m",
    "force": "a force such as 200 lbf, 890 N or 1.2 kN",
    "line_load": "a load along a line such as 50 lbf/ft or 0.75 kN/m",
    "stress": "a stress such as 240 MPa, 68.9 GPa, 35 ksi or 35000 psi",
    "density": "a density such as 2700 kg/m3 or 0.098 lb/in3",
    "area": "an area such as 6.2 mm2 or 0.0096 in2",
    "mass_per_length": "a mass per length such as 0.05 kg/m or 0.035 lb/ft",
    "expansion": "a coefficient of expansion such as 23.6e-6 1/K or 13.1e-6 1/degF",
    "angle": "an angle such as 45 or 45 deg",
    "temperature_difference": "a difference of temperatures such as 100 degF or 55.6 K",
    "number": "a number such as 0.85 or 3/4",
}

DIMENSIONS: tuple[str, ...] = tuple(_EXAMPLES)
"""Dimensions that `parse_quantity` knows."""

_MAX_TEXT = 80  # characters; longer text is no measure, and Fraction would work on it for long
_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_MIXED = r"(?:[0-9]+(?:-|\s+))?[0-9]+/[0-9]+"
_VALUE = rf"(?:{_MIXED}|{_DECIMAL})"
_FOOT = r"\s*(?:'|ft)"
_INCHES = r"\s*(?:\"|in)"

_BARE = re.compile(rf"(?P<value>{_DECIMAL})")
_METRIC = re.compile(rf"(?P<value>{_DECIMAL})\s*(?P<unit>mm|cm|m)")
_ONE_IMPERIAL = re.compile(rf"(?P<value>{_VALUE})(?:(?P<foot>{_FOOT})|{_INCHES})")
# A dash between feet and inches stands free on both sides or on neither: `4 ft -7 in` may be meant
# as a subtraction and is refused.
_FEET_INCHES = re.compile(rf"(?P<feet>[0-9]+){_FOOT}(?:\s+-\s+|-|\s*)(?P<inches>{_VALUE}){_INCHES}")
_NUMBER_UNIT = re.compile(rf"(?P<value>{_DECIMAL})\s*(?P<unit>[^\s0-9.].*|1/.+)")

_PLAIN_MARKS = str.maketrans(
    {
        "\u2032": "'",
        "\u2019": "'",
        "\u2033": '"',
        "\u201d": '"',
        "\u2212": "-",
        "\u00b2": "2",
        "\u00b3": "3",
    }
)


class UnitError(ValueError):
    """Text that is no such measure; the message says what is accepted."""


def parse_length(read: str | float, unit: str) -> float:
    """Length in mm; a bare number is in `unit` (in, ft, mm, cm or m).

    Raises:
        UnitError: not a finite length in one of the accepted notations.
    """
    accepted = f"{_EXAMPLES['length']}, or a bare number of {_UNIT_WORDS[unit]}"
    if not isinstance(read, str):
        return _finite(_plain_number(read, accepted) * LENGTH_UNITS[unit], accepted)
    sign, text = _signed(read, accepted)
    bare = _BARE.fullmatch(text)
    if bare:
        return _finite(sign * Fraction(bare["value"]) * LENGTH_UNITS[unit], accepted)
    return _finite(sign * _length_with_unit(text, accepted), accepted)


def parse_force(read: str) -> float:
    """Force in N from text with a unit.

    Raises:
        UnitError: not a finite force with an accepted unit.
    """
    return parse_quantity(read, "force")


def parse_angle(read: str | float) -> float:
    """Angle in degrees from a number, or from text that may carry `deg` or a degree sign.

    Raises:
        UnitError: not a finite angle.
    """
    accepted = _EXAMPLES["angle"]
    if not isinstance(read, str):
        return _finite(_plain_number(read, accepted), accepted)
    sign, text = _signed(read.replace("\u00b0", " deg"), accepted)
    bare = _BARE.fullmatch(text)
    if bare:
        return _finite(sign * Fraction(bare["value"]), accepted)
    return _finite(sign * _with_unit(text, "angle"), accepted)


def parse_quantity(read: str | float, dimension: str) -> float:
    """Any measure of the catalogue in the base unit of its dimension.

    Base units: mm, N, N/mm, MPa, kg/m3, mm2, kg/m, 1/K, deg, K, and 1 for `number`. A unit must be
    there for every dimension but `number`, which alone may be no text.

    Raises:
        UnitError: not a finite measure of this dimension.
        KeyError: no such dimension.
    """
    accepted = _EXAMPLES[dimension]
    if not isinstance(read, str):
        if dimension != "number":
            raise UnitError(accepted)
        return _finite(_plain_number(read, accepted), accepted)
    if dimension in ("angle", "temperature_difference"):
        read = read.replace("\u00b0", " deg")
    sign, text = _signed(read, accepted)
    if dimension == "number":
        if not re.fullmatch(_VALUE, text):
            raise UnitError(accepted)
        return _finite(sign * _value(text, accepted), accepted)
    if dimension == "length":
        return _finite(sign * _length_with_unit(text, accepted), accepted)
    return _finite(sign * _with_unit(text, dimension), accepted)


def _signed(read: str, accepted: str) -> tuple[int, str]:
    """Sign and the rest of the text, with plain prime marks and single spaces."""
    text = " ".join(read.translate(_PLAIN_MARKS).split())
    if not text or len(text) > _MAX_TEXT:
        raise UnitError(accepted)
    if text[0] in "+-":
        return (-1 if text[0] == "-" else 1), text[1:]
    return 1, text


def _length_with_unit(text: str, accepted: str) -> Fraction:
    """Unsigned length in mm; a unit must be there."""
    metric = _METRIC.fullmatch(text)
    if metric:
        return Fraction(metric["value"]) * LENGTH_UNITS[metric["unit"]]
    one = _ONE_IMPERIAL.fullmatch(text)
    if one:
        return _value(one["value"], accepted) * LENGTH_UNITS["ft" if one["foot"] else "in"]
    both = _FEET_INCHES.fullmatch(text)
    if not both:
        raise UnitError(accepted)
    inches = _value(both["inches"], accepted)
    if inches >= 12:
        raise UnitError("less than 12 in after the feet")
    return (12 * int(both["feet"]) + inches) * _INCH


def _with_unit(text: str, dimension: str) -> Fraction:
    """Unsigned measure in the base unit of a dimension that has simple units."""
    match = _NUMBER_UNIT.fullmatch(text)
    factor = _UNITS[dimension].get(match["unit"]) if match else None
    if match is None or factor is None:
        raise UnitError(_EXAMPLES[dimension])
    return Fraction(match["value"]) * factor


def _value(text: str, accepted: str) -> Fraction:
    """A decimal, a fraction, or a whole number with a proper fraction."""
    if "/" not in text:
        return Fraction(text)
    whole, _, fraction = text.replace("-", " ").rpartition(" ")
    numerator, _, denominator = fraction.partition("/")
    if int(denominator) == 0:
        raise UnitError("a fraction whose denominator is not 0")
    if whole and int(numerator) >= int(denominator):
        raise UnitError(f"a fraction below 1 after the whole number; {accepted}")
    return int(whole or 0) + Fraction(int(numerator), int(denominator))


def _plain_number(read: object, accepted: str) -> Fraction:
    """A number that is none in text: by its shortest decimal, so that 0.1 is a tenth."""
    if isinstance(read, bool) or not isinstance(read, int | float):
        raise UnitError(accepted)
    if isinstance(read, int):
        return Fraction(read)
    if not math.isfinite(read):
        raise UnitError(accepted)
    return Fraction(repr(read))


def _finite(exact: Fraction, accepted: str) -> float:
    try:
        return float(exact)
    except OverflowError:
        raise UnitError(accepted) from None


def format_length(mm: float, metric: bool, denominator: int = 16) -> str:
    """Shop text of a length in mm, such as 3'-0 1/2" or, metric, 1440 or 12.5.

    Imperial text is rounded to 1/`denominator` of an inch, metric text to a tenth of a millimetre.
    """
    if metric:
        tenths = _nearest(mm * 10)
        return f"{tenths / 10:.1f}".removesuffix(".0")
    count = _nearest(mm * denominator / 25.4)
    feet, rest = divmod(abs(count), 12 * denominator)
    inches, parts = divmod(rest, denominator)
    words = []
    if parts:
        divisor = math.gcd(parts, denominator)
        words.append(f"{parts // divisor}/{denominator // divisor}")
    if inches or feet or not parts:
        words.insert(0, str(inches))
    sign = "-" if count < 0 else ""
    return sign + (f"{feet}'-" if feet else "") + " ".join(words) + '"'


def format_length_with_unit(mm: float, metric: bool, denominator: int = 16) -> str:
    """Like `format_length`, but metric text carries mm; it can be read back by `parse_length`."""
    return format_length(mm, metric, denominator) + (" mm" if metric else "")


def format_inches(mm: float, places: int = 3) -> str:
    """Decimal inches for small measures, such as 0.264", without needless noughts."""
    text = f"{mm / 25.4:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return ("0" if text == "-0" else text) + '"'


def round_shop(mm: float, metric: bool, denominator: int = 16) -> float:
    """`mm` rounded to what a tape shows: 1/`denominator` of an inch, or a whole millimetre.

    Round positions with it first and take spacings as their differences: then chains add up.
    """
    if metric:
        return float(_nearest(mm))
    return float(Fraction(_nearest(mm * denominator / 25.4), denominator) * _INCH)


def _nearest(value: float) -> int:
    """Nearest whole number, halves away from zero.

    A millionth is given on top, so that a half which floats hold a little short still goes up.
    """
    return int(math.copysign(math.floor(abs(value) + 0.5 + 1e-6), value))
