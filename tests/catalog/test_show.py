"""The catalogue as people read it: everything there is, and where each value comes from."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generator.catalog import KINDS, Catalog, listing, page
from generator.catalog.kinds import PARTS
from generator.catalog.limits import LIMITS
from generator.catalog.show import guide
from generator.catalog.tables import RuleSet
from generator.catalog.wire_rows import KEYS


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return Catalog.standard()


def test_listing_names_every_profile_with_its_description(catalog: Catalog) -> None:
    text = listing(catalog)
    for kind in KINDS:
        for name in catalog.names(kind):
            description = re.escape(catalog.get(kind, name).description)
            assert re.search(rf"^  {re.escape(name)} +{description}$", text, re.MULTILINE)
    assert [line for line in text.splitlines() if line.endswith(":")][-2:] == [
        "rule sets:",
        "tables:",
    ]


def test_listing_leaves_out_kinds_without_a_profile(tmp_path: Path) -> None:
    assert listing(Catalog((tmp_path,))) == "\n"


def row(text: str, field: str) -> list[str]:
    """Cells of a page's row, told apart by two spaces or more."""
    line = next(line for line in text.splitlines() if line.startswith(f"{field} "))
    return re.split(r" {2,}", line)


def test_page_shows_text_base_value_and_standing(catalog: Catalog) -> None:
    text = page(catalog.get("posts", "al-square-2.5"))
    assert text.startswith("al-square-2.5: Aluminium post 2-1/2 in square")
    assert "post, profiles/posts/al-square-2.5.yaml" in text
    assert row(text, "value") == ["value", "as written", "in base units", "standing", "source"]
    assert row(text, "width") == ["width", "2-1/2 in", "63.5 mm", "invented"]
    assert row(text, "wall") == ["wall", "3/16 in", "4.7625 mm", "invented"]


def test_page_tells_read_values_from_remembered_ones(catalog: Catalog) -> None:
    text = page(catalog.get("materials", "al-6063-t5"))
    assert row(text, "yield")[:4] == ["yield", "16 ksi", "110.316 MPa", "read"]
    assert row(text, "yield")[4].startswith("ASTM B221")
    assert row(text, "welded_yield")[3:] == ["from memory", "Aluminum Design Manual"]
    cable = page(catalog.get("cables", "ss316-1x19-1_8"))
    assert row(cable, "max_diameter")[3] == "not verified"
    assert row(cable, "area")[3] == "closed form"
    assert row(cable, "min_bend")[3] == "common practice"


@pytest.mark.parametrize("kind", PARTS)
def test_page_has_every_value_and_stays_narrow(catalog: Catalog, kind: str) -> None:
    for name in catalog.names(kind):
        profile = catalog.get(kind, name)
        text = page(profile)
        for entry in profile.entries:
            assert entry.text.split(",")[0] in row(text, entry.field)[1]
        assert max(map(len, text.splitlines())) <= 170
        assert all(line == line.rstrip() for line in text.splitlines())


def test_rule_set_shows_clause_edition_source_and_doubt(catalog: Catalog) -> None:
    rules = catalog.rules("irc-2021")
    text = page(rules)
    assert row(text, "guard.height.level")[:5] == [
        "guard.height.level", "36 in", "R312.1.2", "IRC 2021", "read"
    ]  # fmt: skip
    assert row(text, "practice.loaded-span")[1:] == [
        "42 in", "common practice", "no source", "common practice"
    ]  # fmt: skip
    assert "23 of 59 limits were not read at a source." in text
    assert "complian" not in text.lower()
    for limit in rules.limits.values():
        for word in limit.note.split():
            assert word in text


def test_rule_set_shows_angles_and_numbers(catalog: Catalog) -> None:
    text = page(catalog.rules("irc-2021"))
    assert row(text, "practice.saw-bevel")[1] == "47 deg"
    assert row(text, "practice.friction")[1] == "0.2"


def test_page_shows_what_a_post_is_not_made_for(catalog: Catalog) -> None:
    post = catalog.get("posts", "al-square-2.5")
    assert row(page(post), "standoff")[1:4] == ["1-1/2 in", "38.1 mm", "invented"]
    assert row(page(catalog.get("fittings", "swage-stud-1_4")), "field")[1:] == ["true", "invented"]


def test_rule_set_without_doubt_says_nothing_of_it(catalog: Catalog) -> None:
    rules = catalog.rules("irc-2021")
    sure = {key: limit for key, limit in rules.limits.items() if limit.verified and not limit.note}
    text = page(RuleSet("x", "y", "z", (), "IRC 2021", sure))
    assert "were not read" not in text
    assert "Notes" not in text


@pytest.mark.parametrize("folder", KINDS)
def test_guide_explains_every_key(folder: str) -> None:
    text = guide(folder)
    if folder == "tables":
        known = [(key, meaning) for key, meaning, _ in KEYS]
    else:
        fields = LIMITS.values() if folder == "rules" else PARTS[folder].fields
        known = [(field.key, field.meaning) for field in fields]
    for key, meaning in known:
        assert row(text, key)[0] == key
        assert meaning.split()[0] in row(text, key)[1]
    assert f"a file in {folder}/" in text


def test_guide_tells_defaults() -> None:
    assert row(guide("posts"), "depth")[-1] == "as width"
    assert row(guide("posts"), "corner")[-1] == "0 in"
    assert row(guide("posts"), "side_bolts")[-1] == "0"
    assert row(guide("fittings"), "field")[-2:] == ["true or false", "true"]
    assert row(guide("rules"), "climb.fall")[-1] == "none"


def parts(text: str) -> dict[str, str]:
    """The blocks of a rule set's page by their titles."""
    blocks = [block.strip("\n").split("\n", 1) for block in text.split("\n\n")]
    return {title: rest for title, *more in blocks for rest in more}


def test_derived_rule_set_shows_what_it_takes_over_and_what_it_puts_in_place(
    catalog: Catalog,
) -> None:
    found = parts(page(catalog.rules("ibc-2018-dwelling")))
    own = found["Stated here instead of what is taken over"]
    assert row(own, "guard.height.level")[1:5] == ["36 in", "1015.3 exception", "IBC 2018", "read"]
    assert row(own, "stair.width.min")[1:5] == [
        "36 in", "1011.2 exception", "IBC 2018", "from memory"
    ]  # fmt: skip
    base = found["Taken over from ibc-2018"]
    assert row(base, "opening.level")[1:5] == ["4 in", "1015.4", "IBC 2018", "read"]
    assert "guard.height.level" not in base
    assert "practice.friction" in found["Taken over from practice"]
    reasons = found["Instead of what is taken over"]
    assert re.search(
        r"  guard\.height\.level +36 in instead of 42 in \(ibc-2018, 1015\.3\): exception for R-3",
        reasons,
    )
    assert "opening.level" not in reasons


def test_page_says_what_a_rule_set_does_not_state(catalog: Catalog) -> None:
    text = " ".join(page(catalog.rules("osha-1910.29")).split())
    assert "Nothing is stated, and nothing checked, for guard.required.distance, " in text
    assert "A base for other rule sets" not in text
    practice = page(catalog.rules("practice"))
    assert "A base for other rule sets: no job goes by it alone." in practice
    assert "Nothing is stated" not in practice
    assert "Taken over" not in practice


def test_none_is_shown_as_such(catalog: Catalog) -> None:
    text = page(catalog.rules("ncc-2022"))
    assert row(text, "opening.triangle")[1:3] == ["none", "11.3.4(4)"]


def test_table_is_shown_as_it_is_printed_with_its_attribution(catalog: Catalog) -> None:
    text = page(catalog.get("tables", "ncc-2022-wire"))
    lines = [" ".join(line.split()) for line in text.splitlines()]
    # ABCB Housing Provisions 2022, Table 11.3.6a and b, one row of each.
    assert "2.5 7x7 80 382 630 730 824 1025 1288 x x x" in lines
    assert "3.0 any 80 8 6 6 5 5 5" in lines
    plain = " ".join(text.split())
    assert "Table 11.3.6a: least tension, N," in plain
    assert "© Commonwealth of Australia and the States and Territories 2022" in plain
    assert "NCC 2022, read: ABCB Housing Provisions Standard 2022" in plain
