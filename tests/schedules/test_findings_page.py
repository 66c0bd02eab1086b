"""The reference page is the text of `explain`, and as it would be written now."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

from generator.catalog import Catalog
from generator.checks.codes import CODES
from generator.checks.figures import FIGURES
from generator.schedules.explained import code_page, stated

WRITER = Path(__file__).with_name("write_findings_page.py")


@pytest.fixture(scope="module")
def writer():
    spec = importlib.util.spec_from_file_location("write_findings_page", WRITER)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def rule_sets():
    catalog = Catalog.standard()
    return [catalog.rules(name) for name in catalog.names("rules")]


def test_the_page_is_up_to_date(writer):
    # Where this fails: python tests/schedules/write_findings_page.py
    assert writer.PAGE.read_text(encoding="utf-8") == writer.page()


def test_its_links_lead_somewhere(writer):
    page = writer.page()
    links = set(re.findall(r"\]\(([^)]+)\)", page))
    files = {link for link in links if not link.startswith("#")}
    assert files
    assert all((writer.PAGE.parent / link).is_file() for link in files)
    # A heading is linked by its text in small letters, without dots (GitHub's rule, from memory).
    anchors = {"#" + head.replace(".", "") for head in re.findall(r"^## (.+)$", page, re.MULTILINE)}
    assert links - files == anchors


def test_every_code_has_its_figure_in_words():
    # One beside each code of checks/codes.py, in checks/figures.py.
    assert set(CODES) - set(FIGURES) == set()
    assert all(text.endswith(".") and len(text) > 30 for text in FIGURES.values())


@pytest.mark.parametrize("code", sorted(CODES))
def test_explain_and_page_say_the_same_of_a_code(code, writer, rule_sets):
    entry = CODES[code]
    section = writer.page().partition(f"\n## {code}\n")[2].partition("\n## ")[0]
    told = " ".join(code_page(entry, rule_sets).split())
    for words in (entry.title, entry.meaning, entry.formula, entry.inputs, FIGURES[code]):
        assert " ".join(words.split()) in told
        assert words in section
    for rules, limit in stated(entry, rule_sets):
        assert f"| {rules.name} | {limit.key} | {limit.text} | {limit.clause} |" in section


def test_a_key_told_by_its_end_is_found_as_well(rule_sets):
    keys = {limit.key for _, limit in stated(CODES["cable.length"], rule_sets)}
    assert keys == {"practice.cable-length.straight", "practice.cable-length.turned"}
