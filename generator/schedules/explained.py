"""Finding codes in words for the terminal: what is measured, how, and against which clause."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from generator.catalog.tables import Limit, RuleSet
from generator.checks.codes import Code
from generator.checks.figures import FIGURES
from generator.schedules.table import aligned

_WIDTH = 100


def code_list(codes: Iterable[Code]) -> str:
    """Every code with its title."""
    rows = [(code.code, code.title) for code in codes]
    return "\n".join(aligned(rows, (False, False))) + "\n"


def code_page(code: Code, rule_sets: Iterable[RuleSet]) -> str:
    """One code: meaning, formula, inputs, and its limit in each rule set that has one."""
    blocks = [
        f"{code.code}: {code.title} ({code.severity})",
        textwrap.fill(code.meaning, _WIDTH),
        _named("How it is measured", code.formula),
        *([_named("Seen", FIGURES[code.code])] if code.code in FIGURES else ()),
        _named("Read from", code.inputs),
        "\n".join([_named("Limit", code.limit), *_clauses(code, rule_sets)]),
    ]
    return "\n\n".join(blocks) + "\n"


def _named(name: str, text: str) -> str:
    return textwrap.fill(f"{name}: {text}", _WIDTH, subsequent_indent="  ")


def _clauses(code: Code, rule_sets: Iterable[RuleSet]) -> Iterator[str]:
    """The limit's value and clause in every rule set that states it; others take it over."""
    for rules, limit in stated(code, rule_sets):
        yield _named(f"  {rules.name}, {limit.key}", _source(limit))


def stated(code: Code, rule_sets: Iterable[RuleSet]) -> Iterator[tuple[RuleSet, Limit]]:
    """The limits that a code's text names by their keys, with the rule sets that state them."""
    words = [word.strip(",;:()") for word in code.limit.split()]
    # A second key is often told by its last word alone, such as .turned after .straight.
    heads = [word.rpartition(".")[0] for word in words if not word.startswith(".")]
    words += [head + word for word in words if word.startswith(".") for head in heads if head]
    for rules in rule_sets:
        for key, limit in rules.limits.items():
            if key in words and limit.stated_in in ("", rules.name):
                yield rules, limit


def _source(limit: Limit) -> str:
    doubt = "" if limit.verified else " (not read at its source)"
    return ", ".join(text for text in (limit.text, limit.clause, limit.edition) if text) + doubt
