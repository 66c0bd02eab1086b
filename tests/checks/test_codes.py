"""Every code that a check can give is explained, and every explained code is given by a check."""

from __future__ import annotations

import ast
import re
from dataclasses import replace

import pytest

from generator.checks import run
from generator.checks.codes import CODES
from generator.layout import layout
from generator.parts.build import assemble
from generator.parts.report import SEVERITIES, Report
from generator.spec.job import Handrail

CODE = re.compile(r"[a-z]+\.[a-z]+(-[a-z]+)*")


def codes_of(report: Report) -> set[str]:
    return {m.code for m in report.measures} | {f.code for f in report.findings}


@pytest.fixture(scope="module")
def given(root, planned, job_of):
    """Codes of every example, of a leg too short for its posts, of a stair with a handrail."""
    examples = root / "examples"
    jobs = sorted([*examples.glob("*.yaml"), *examples.glob("faulty/*.yaml")])
    names = [path.relative_to(examples).with_suffix("") for path in jobs]
    short = assemble(layout(job_of([{"level": "12 in"}], edge_inset="4 in")))
    codes = codes_of(run(short))
    held = replace(planned("lake-deck").job, handrail=Handrail(False, 914.4, 38.1, 38.1, 1219.2))
    codes |= codes_of(run(assemble(layout(held))))
    for name in names:
        codes |= codes_of(planned(str(name)).report)
    return codes


def test_codes_given_are_those_explained(given):
    assert given <= set(CODES)


def written_codes(source: str) -> set[str]:
    """First arguments of outcomes and codes of findings that stand in a module as plain text."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        if node.func.id in ("Outcome", "Finding"):
            codes = [*node.args[:1], *(k.value for k in node.keywords if k.arg == "code")]
            found |= {code.value for code in codes if isinstance(code, ast.Constant)}
    return found


def test_codes_written_in_the_checks_are_explained(root):
    folder = root / "generator" / "checks"
    written = set()
    for path in sorted(folder.glob("*.py")):
        written |= written_codes(path.read_text(encoding="utf-8"))
    assert len(written) > 5
    assert written <= set(CODES)


@pytest.mark.parametrize("code", sorted(CODES))
def test_a_code_is_explained_in_full(code):
    entry = CODES[code]
    assert entry.code == code
    assert CODE.fullmatch(code)
    assert entry.severity in SEVERITIES
    for words in (entry.title, entry.meaning, entry.formula, entry.inputs, entry.limit):
        assert len(words) > 10
    assert entry.meaning.endswith(".")


def test_named_limits_are_in_the_rule_set(lake_deck):
    # A code that names a key of the rule set names one that is there.
    limits = lake_deck.job.rules.limits
    for entry in CODES.values():
        if "rule set" in entry.limit:
            keys = re.findall(r"[a-z]+(?:\.[a-z-]+)+", entry.limit)
            assert keys
            assert set(keys) <= set(limits), entry.code
