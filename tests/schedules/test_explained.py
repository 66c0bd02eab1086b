"""The limits of a code's page: each where it is stated, once."""

from __future__ import annotations

from generator.catalog import Catalog
from generator.checks.codes import CODES
from generator.schedules.explained import code_page


def lines(code: str) -> list[str]:
    """Lines of a page that name a limit of a rule set."""
    catalog = Catalog.standard()
    page = code_page(CODES[code], [catalog.rules(name) for name in catalog.names("rules")])
    return [line.strip() for line in page.splitlines() if line.startswith("  ")]


def test_a_limit_stands_where_it_is_stated_and_not_where_it_is_taken_over() -> None:
    found = lines("opening.loaded")
    habits = [line for line in found if "practice.loaded-span" in line]
    assert habits == [
        "practice, practice.loaded-span: 42 in, common practice, no source (not read at its source)"
    ]


def test_one_that_is_put_in_place_stands_beside_that_of_its_base() -> None:
    found = lines("height.level")
    # International Building Code 1015.3 and its exception for dwellings.
    assert "ibc-2021, guard.height.level: 42 in, 1015.3, IBC 2021" in found
    assert "ibc-2021-dwelling, guard.height.level: 36 in, 1015.3 exception, IBC 2021" in found
    assert not [line for line in found if line.startswith("ibc-2021-dwelling, handrail.height.min")]
    assert "ncc-2022, handrail.height.max: none, 11.3.5, NCC 2022" in found
