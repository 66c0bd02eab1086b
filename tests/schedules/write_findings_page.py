"""Writes the reference page of the finding codes: `write_findings_page.py`, from the repository."""

from __future__ import annotations

from pathlib import Path

from generator.catalog import Catalog
from generator.checks.codes import CODES
from generator.schedules.findings_page import findings_page

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
PAGE = EXAMPLES / "docs" / "findings.md"


def page() -> str:
    """The page as it has to be: of the codes, rule sets and faulty examples that there are."""
    catalog = Catalog.standard()
    rule_sets = [catalog.rules(name) for name in catalog.names("rules")]
    examples = {path.stem for path in (EXAMPLES / "faulty").glob("*.yaml")}
    return findings_page(CODES.values(), rule_sets, examples)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
    print(PAGE)
