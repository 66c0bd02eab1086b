"""A user's price list, a CSV file with the columns item, price and per, and what an order costs."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.parts.quantities import Quantity
from generator.units import UnitError, parse_length

_COLUMNS = ("item", "price", "per")
_MOST_BYTES, _MOST_ROWS = 1_000_000, 10_000
_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,4})?")
_PIECES = re.compile(r"[1-9][0-9]{0,6}")
_BY_LENGTH = {"ft": Fraction("304.8"), "m": Fraction(1000)}
_BY_MASS = {"lb": Fraction("0.45359237"), "kg": Fraction(1)}
_PER = "each, a number of pieces in a box such as 100, ft, m, a length such as 500 ft, lb or kg"


@dataclass(frozen=True, slots=True)
class Price:
    """What `unit` of `dimension` (pieces, mm or kg) costs; `whole`: only whole ones are sold."""

    item: str
    amount: Fraction
    per: str
    dimension: str
    unit: Fraction
    whole: bool
    line: int


@dataclass(frozen=True, slots=True)
class PriceList:
    """Prices by item; `file` is its name in messages."""

    file: str
    prices: Mapping[str, Price]


@dataclass(frozen=True, slots=True)
class Cost:
    """What one line of the order costs: so many `units` at the price, rounded to hundredths."""

    price: Price
    units: Fraction
    total: Fraction


def read_prices(path: Path) -> PriceList:
    """The price list in a CSV file, UTF-8, with a head of item, price and, if wanted, per.

    Raises:
        InputError: everything that is wrong with it, by line and column.
    """
    rows = _rows(path)
    head = [cell.strip().lower() for cell in rows[0][1]] if rows else []
    problems = list(_head_problems(str(path), head))
    found: dict[str, Price] = {}
    for line, cells in rows[1:] if not problems else ():
        if not any(cell.strip() for cell in cells):
            continue
        try:
            price = _price(str(path), head, line, cells)
        except InputError as error:
            problems += error.problems
            continue
        if price.item in found:
            accepted = f"accepted it once; the first is in line {found[price.item].line}"
            problems.append(_wrong(str(path), line, "item", "the same item again", accepted))
        found.setdefault(price.item, price)
    if problems:
        raise InputError(problems)
    return PriceList(str(path), found)


def _rows(path: Path) -> list[tuple[int, list[str]]]:
    """Lines and cells of the file.

    Raises:
        InputError: it cannot be read, or is no such text.
    """

    def refuse(read: str, accepted: str) -> InputError:
        return InputError([Problem(str(path), 0, 0, "", read, accepted)])

    try:
        if path.stat().st_size > _MOST_BYTES:
            raise refuse("is too large", "accepted at most 1 MB")
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise refuse(f"cannot be read: {error.strerror}", "accepted a price list as CSV") from None
    except UnicodeDecodeError:
        raise refuse("is no text in UTF-8", "accepted a price list saved as CSV UTF-8") from None
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            rows.append((reader.line_num, cells))
            if len(rows) > _MOST_ROWS:
                raise refuse("has too many rows", f"accepted at most {_MOST_ROWS}")
    except csv.Error:
        problem = Problem(
            str(path), reader.line_num, 1, "", "read a row that is no CSV",
            'accepted cells with commas between; in a cell in quotes a quote is written twice, ""',
        )  # fmt: skip
        raise InputError([problem]) from None
    return rows


def _head_problems(file: str, head: Sequence[str]) -> Iterator[Problem]:
    accepted = "accepted a first line with the columns item, price and, if wanted, per"
    for name in ("item", "price"):
        if name not in head:
            yield _wrong(file, 1, name, "no such column", accepted)
    for name in dict.fromkeys(head):
        if name in _COLUMNS and head.count(name) > 1:
            yield _wrong(file, 1, name, "the same column again", accepted)


def _price(file: str, head: Sequence[str], line: int, cells: Sequence[str]) -> Price:
    """One row; columns of other names are the user's own.

    Raises:
        InputError: a cell of it is wrong.
    """
    if len(cells) > len(head):
        accepted = (
            f"accepted at most {len(head)}, as in the first line; text with a comma in quotes"
        )
        raise InputError([_wrong(file, line, "", f"{len(cells)} cells", accepted)])
    row = dict(zip(head, (cell.strip() for cell in cells), strict=False))
    item, amount, per = (row.get(name, "") for name in _COLUMNS)
    problems = []
    if not item:
        problems.append(
            _wrong(file, line, "item", "nothing", "accepted the name of an item of the order list")
        )
    if not _NUMBER.fullmatch(amount):
        accepted = "accepted a number such as 12.50, without a sign of money"
        problems.append(_wrong(file, line, "price", _shown(amount), accepted))
    measure = None
    try:
        measure = _unit(per or "each")
    except UnitError:
        problems.append(_wrong(file, line, "per", _shown(per), f"accepted {_PER}"))
    if problems or measure is None:
        raise InputError(problems)
    return Price(item, Fraction(amount), per or "each", *measure, line)


def _unit(per: str) -> tuple[str, Fraction, bool]:
    """(dimension, how much of it a price is for, whether only whole ones are sold).

    Raises:
        UnitError: nothing that a price can be for.
    """
    if per == "each":
        return "pieces", Fraction(1), True
    if per in _BY_LENGTH:
        return "mm", _BY_LENGTH[per], False
    if per in _BY_MASS:
        return "kg", _BY_MASS[per], False
    if _PIECES.fullmatch(per):
        return "pieces", Fraction(int(per)), True
    if per.replace(".", "").isdecimal():
        raise UnitError(_PER)
    length = Fraction(parse_length(per, "mm")).limit_denominator(10**6)
    if length <= 0:
        raise UnitError(_PER)
    return "mm", length, True


def _shown(text: str) -> str:
    line = "".join(sign if sign.isprintable() else "?" for sign in text)
    return line[:60] if line else "nothing"


def _wrong(file: str, line: int, field: str, read: str, accepted: str) -> Problem:
    return Problem(file, line, 1, field, f"read {read}", accepted)


def costs(
    lines: Sequence[Quantity], masses: Mapping[str, float | None], prices: PriceList
) -> dict[str, Cost]:
    """What each line of the order costs with its spares, by item; those without a price left out.

    What is cut from stock that the job names is paid as the bars and spools to be bought, at their
    own price or by the length; where these have no price, or do not hold the spare length, by the
    pieces.

    Raises:
        InputError: a price is for a measure in which its item is not ordered.
    """
    found: dict[str, Cost] = {}
    problems = []
    for line, price in _paid(lines, prices):
        amount = _ordered(line, masses.get(line.item), price.dimension)
        if amount is None:
            measure = {"mm": "length", "kg": "weight"}[price.dimension]
            accepted = (
                f"accepted each or a number of pieces: the order has no {measure} of this item"
            )
            problems.append(_wrong(prices.file, price.line, "per", price.per, accepted))
            continue
        units = amount / price.unit
        if price.whole:
            units = Fraction(math.ceil(units))
        found[line.item] = Cost(price, units, _hundredths(units * price.amount))
    if problems:
        raise InputError(problems)
    return found


def _paid(lines: Sequence[Quantity], prices: PriceList) -> Iterator[tuple[Quantity, Price]]:
    """The lines that are paid for, each with its price: pieces, or the stock they are cut from."""
    stock = bought(lines, prices)
    for line in lines:
        if line.item in stock or (line.nested and line.of not in stock):
            continue
        price = prices.prices.get(line.item)
        if price is None and line.nested:
            price = prices.prices.get(line.of)
        if price is not None:
            yield line, price


def bought(lines: Sequence[Quantity], prices: PriceList) -> set[str]:
    """The items that are paid as the bars or spools they are cut from."""
    found: set[str] = set()
    for line in lines:
        stock = [one for one in lines if one.of == line.item]
        if not stock or line.length_mm is None:
            continue
        own = prices.prices.get(line.item)
        by_length = own is not None and own.dimension == "mm"
        priced = all(by_length or one.item in prices.prices for one in stock)
        held = sum(one.length_mm or 0.0 for one in stock)
        if priced and held >= line.length_mm + line.spare_length_mm - 1e-6:
            found.add(line.item)
    return found


def unpaid(lines: Sequence[Quantity], found: Mapping[str, Cost], prices: PriceList) -> list[str]:
    """Items that nothing is paid for, of pieces and their stock the pieces."""
    stock = bought(lines, prices)
    return [
        line.item
        for line in lines
        if not line.nested and line.item not in stock and line.item not in found
    ]


def _ordered(line: Quantity, mass: float | None, dimension: str) -> Fraction | None:
    """How much of a line is ordered, spares included, in mm, kg or pieces."""
    if dimension == "pieces":
        return Fraction(line.count + line.spare)
    if dimension == "mm":
        if line.length_mm is None:
            return None
        return _micro(line.length_mm + line.spare_length_mm)
    if mass is None or not line.count:
        return None
    each = (line.count + line.spare) / line.count
    if line.length_mm:
        each += line.spare_length_mm / line.length_mm
    return _micro(mass * each)


def _micro(value: float) -> Fraction:
    """Without the noise of floats, so that 500 ft is one spool of 500 ft."""
    return Fraction(round(value * 1_000_000), 1_000_000)


def _hundredths(amount: Fraction) -> Fraction:
    """Rounded half up."""
    return Fraction(math.floor(amount * 100 + Fraction(1, 2)), 100)


def money(amount: Fraction) -> str:
    """Two decimals."""
    cents = math.floor(amount * 100 + Fraction(1, 2))
    return f"{cents // 100}.{cents % 100:02d}"
