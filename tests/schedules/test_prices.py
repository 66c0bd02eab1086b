"""Price lists: totals by hand, and every fault told with file, line and column."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from pathlib import Path

import pytest

from generator.errors import InputError
from generator.parts.mass import item_masses
from generator.parts.quantities import Quantity, quantities
from generator.schedules.order import order_list, price_notes
from generator.schedules.prices import costs, money, read_prices
from generator.schedules.table import to_csv

HEAD = "item,price,per\n"


@pytest.fixture
def prices(tmp_path: Path):
    """Reads the text of a price list."""

    def read(text: str | bytes):
        path = tmp_path / "prices.csv"
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return read_prices(path)

    return read


def said(read, text: str | bytes) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(text)
    return [str(problem).split("prices.csv")[1] for problem in caught.value.problems]


def test_total_of_the_lake_deck_by_hand(light_lake_deck, prices):
    # 11 posts at 30.00; 36 bolts and 2 spare at 2.15; cable 445.378 ft and a tenth, in one spool of
    # 500 ft; 88 washers and 5 spare in boxes of 50; rail at 6.50 a foot, paid as the bars that its
    # pieces are cut from, one of 8 ft and two of 20 ft; 4 caps at 1.25.
    listed = prices(
        HEAD + "post al-square-2.5,30,\n"
        '"anchor through-bolt-3_8, 3 1/2"" long",2.15,each\n'
        "cable ss316-1x19-1_8,210,500 ft\n"
        "washer for through-bolt-3_8,12,50\n"
        "rail al-flat-2.5x1.5,6.5,ft\n"
        "end cap for al-flat-2.5x1.5,1.25,each\n"
        "something else,99,each\n"
    )
    order = order_list(light_lake_deck.assembly, prices=listed)
    rows = list(csv.DictReader(io.StringIO(to_csv(order))))
    cost = {row["item"]: row["cost"] for row in rows if row["cost"]}
    by_hand = [11 * 30, 38 * 2.15, 210, 2 * 12, 5.0, 8 * 6.5, 40 * 6.5]
    assert [float(value) for value in cost.values()] == pytest.approx(by_hand)
    total = sum(by_hand)
    (first, paid, second, *rest) = price_notes(light_lake_deck.assembly, listed)
    # 282 + 150 in level, and down the stair six treads of 11 in and risers of 48/7 in: 42.481 ft.
    feet = (282 + 150 + (66**2 + (288 / 7) ** 2) ** 0.5) / 12
    assert f"{total:.2f}, or {total / feet:.2f} a foot" in first
    assert f"({feet:.2f} ft " in first
    assert paid.endswith("to be bought, offcuts included: rail al-flat-2.5x1.5.")
    assert second.startswith("Without a price: base plate for al-square-2.5; bracket al-saddle;")
    assert rest == []


def test_bars_have_a_price_of_their_own_or_that_of_their_length(prices):
    pieces = Quantity("rail x", "", 3, 9000.0, 0)
    bars = [
        Quantity("bar for rail x, 6 m", "", 1, 6000.0, 0, of="rail x"),
        Quantity("bar for rail x, 4 m", "", 1, 4000.0, 0, of="rail x"),
    ]
    lines = [pieces, *bars]

    def paid(text: str) -> dict[str, str]:
        return {
            item: money(one.total) for item, one in costs(lines, {}, prices(HEAD + text)).items()
        }

    by_length = {"bar for rail x, 6 m": "60.00", "bar for rail x, 4 m": "40.00"}
    assert paid("rail x,10,m\n") == by_length
    own = '"bar for rail x, 6 m",55,each\n"bar for rail x, 4 m",44,each\n'
    assert paid(own) == {"bar for rail x, 6 m": "55.00", "bar for rail x, 4 m": "44.00"}
    # One bar has no price, and the pieces are paid by the piece: so these are paid.
    assert paid('rail x,30,each\n"bar for rail x, 6 m",55,each\n') == {"rail x": "90.00"}


def test_a_spool_that_does_not_hold_the_spare_is_not_what_is_paid(prices):
    lines = [
        Quantity("cable x", "", 3, 95_000.0, 0, 9_500.0),
        Quantity("spool of cable x, 100 m", "", 1, 100_000.0, 0, of="cable x"),
    ]
    found = costs(lines, {}, prices(f"{HEAD}cable x,2,m\n"))
    assert {item: money(one.total) for item, one in found.items()} == {"cable x": "209.00"}


def test_rail_in_all_is_the_sum_of_the_long_points(light_lake_deck):
    # geometry.md I: centre lengths 277, 147 and 84.2547 in; the 45 degree miter of the 2-1/2 in
    # wide rail adds 1-1/4 in to one long point of either leg.
    rail = next(q for q in quantities(light_lake_deck.assembly) if q.item.startswith("rail "))
    assert rail.length_mm is not None
    assert rail.length_mm / 25.4 == pytest.approx(277 + 147 + 84.2547 + 2 * 1.25, abs=1e-4)


@pytest.mark.parametrize(
    "item, per, cost",
    [
        ("cap", "each", "110.00"),  # 10 and one spare
        ("cap", "", "110.00"),
        ("cap", "100", "10.00"),  # one box
        ("cap", "4", "30.00"),  # three boxes of 4
        ("bar", "ft", "32.81"),  # 900 mm and 100 mm spare are 3.28084 ft
        ("bar", "m", "10.00"),
        ("bar", "1 m", "10.00"),  # a length that is just enough
        ("bar", "999 mm", "20.00"),
        ("bar", "kg", "20.00"),  # 1.8 kg, and as much more as there is spare length
        ("bar", "lb", "44.09"),  # 2 kg are 4.40925 lb
    ],
)
def test_what_a_price_is_for(prices, item, per, cost):
    lines = [Quantity("cap", "", 10, None, 1), Quantity("bar", "", 10, 900.0, 0, 100.0)]
    found = costs(lines, {"bar": 1.8}, prices(f"{HEAD}{item},10,{per}\n"))
    assert money(found[item].total) == cost


def test_money_is_rounded_half_up_and_exact(prices):
    line = Quantity("screw", "", 3, None, 0)
    assert costs([line], {}, prices(f"{HEAD}screw,0.0050,each\n"))["screw"].total == Fraction(
        2, 100
    )
    assert costs([line], {}, prices(f"{HEAD}screw,0.1,each\n"))["screw"].total == Fraction(3, 10)
    assert money(Fraction(123456789, 100)) == "1234567.89"


def test_faults_are_told_all_at_once_with_line_and_column(prices):
    text = (
        "Item , PRICE,per,note\n"
        ",1,each,\n"
        'bracket,"12,50",each,\n'
        "bracket,$4,each,\n"
        "bracket,-1,each,\n"
        "bracket,1,dozen,\n"
        "bracket,1,0,\n"
        "bracket,1,each,fine\n"
        "bracket,2,each,\n"
        "\n"
        "nut,1,each,x,y\n"
        "washer,nan,12 in,\n"
    )
    found = said(prices, text)
    number = "accepted a number such as 12.50, without a sign of money"
    measures = (
        "accepted each, a number of pieces in a box such as 100, ft, m, a length such as 500 ft, "
        "lb or kg"
    )
    cells = "accepted at most 4, as in the first line; text with a comma in quotes"
    assert found == [
        ":2:1: item: read nothing; accepted the name of an item of the order list",
        f":3:1: price: read 12,50; {number}",
        f":4:1: price: read $4; {number}",
        f":5:1: price: read -1; {number}",
        f":6:1: per: read dozen; {measures}",
        f":7:1: per: read 0; {measures}",
        ":9:1: item: read the same item again; accepted it once; the first is in line 8",
        f":11:1: read 5 cells; {cells}",
        f":12:1: price: read nan; {number}",
    ]


@pytest.mark.parametrize(
    "text, fault",
    [
        ("", ":1:1: item: read no such column"),
        ("name,price\n", ":1:1: item: read no such column"),
        ("item,price,price\n", ":1:1: price: read the same column again"),
        ('item,price\n"a"b,1\n', ":2:1: read a row that is no CSV"),
        (b"item,price\n\xff,1\n", " is no text in UTF-8"),
        ("item,price\n" + "a,1\n" * 11_000, " has too many rows"),
        ("item,price\n" + "a" * 1_100_000, " is too large"),
    ],
)
def test_what_is_no_price_list(prices, text, fault):
    assert fault in f"{said(prices, text)[0].replace(': is', ' is').replace(': has', ' has')}"


def test_a_price_list_that_is_not_there(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read_prices(tmp_path / "none.csv")


def test_a_mark_of_the_byte_order_and_columns_of_ones_own_do_no_harm(prices):
    listed = prices(b"\xef\xbb\xbfshop,item,price\r\nhere,bracket al-saddle,4.00\r\n")
    assert listed.prices["bracket al-saddle"].amount == 4


def test_a_price_by_length_of_what_is_ordered_by_the_piece(light_lake_deck, prices):
    listed = prices(f"{HEAD}bracket al-saddle,1,ft\nend cap for al-flat-2.5x1.5,1,kg\n")
    with pytest.raises(InputError) as caught:
        costs(quantities(light_lake_deck.assembly), item_masses(light_lake_deck.assembly), listed)
    first, second = caught.value.problems
    assert (first.line, first.field, first.read) == (2, "per", "read ft")
    assert "no length of this item" in first.accepted
    assert (second.line, second.read) == (3, "read kg")
    assert "no weight of this item" in second.accepted


def test_an_item_that_is_nearly_spelt_right_is_told(light_lake_deck, prices):
    listed = prices(f"{HEAD}end fiting swage-stud-1_4,8.9,each\nlamp,3,each\n")
    notes = price_notes(light_lake_deck.assembly, listed)
    assert notes[-1].endswith(
        "prices.csv:2: no item is called end fiting swage-stud-1_4; did you mean end fitting "
        "swage-stud-1_4?"
    )
    assert not any("lamp" in note for note in notes)


def test_the_job_names_a_list_and_the_call_wins_over_it(root, tmp_path, capsys):
    from generator.cli import main

    text = (root / "tests" / "worked" / "straight-leg.yaml").read_text(encoding="utf-8")
    (tmp_path / "own.csv").write_text(f"{HEAD}bracket al-saddle,4,each\n", encoding="utf-8")
    (tmp_path / "other.csv").write_text(f"{HEAD}bracket al-saddle,5,each\n", encoding="utf-8")
    (tmp_path / "job.yaml").write_text(f"{text}\norder: {{prices: own.csv}}\n", encoding="utf-8")
    call = ["build", str(tmp_path / "job.yaml"), "--only", "csv", "-o", str(tmp_path / "out")]
    assert main(call) == 0
    assert "spares included: 20.00, or 0.91 a foot of guard (22.00 ft" in capsys.readouterr().out
    assert main([*call, "--prices", str(tmp_path / "other.csv")]) == 0
    assert "25.00, or 1.14 a foot" in capsys.readouterr().out
    (tmp_path / "own.csv").write_text(f"{HEAD}bracket al-saddle,4,kilo\n", encoding="utf-8")
    before = (tmp_path / "out" / "quantities.csv").read_bytes()
    assert main(call) == 2
    assert "own.csv:2:1: per: read kilo" in capsys.readouterr().err
    assert (tmp_path / "out" / "quantities.csv").read_bytes() == before


def test_the_priced_example_has_a_price_for_everything(planned, root):
    from generator.build import prices_of

    job = planned("two-level-deck")
    listed = prices_of(job.job, root / "examples" / "two-level-deck.yaml")
    assert listed is not None
    (total, _paid) = price_notes(job.assembly, listed)
    assert "spares included" in total
    assert set(listed.prices) == {line.item for line in quantities(job.assembly) if not line.nested}
