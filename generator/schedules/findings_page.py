"""The reference page of all finding codes, in Markdown: the same text that `explain` prints."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from generator.catalog.show import standing
from generator.catalog.tables import Limit, RuleSet
from generator.checks.codes import Code
from generator.checks.figures import FIGURES
from generator.schedules.explained import stated

_HEAD = """\
# What is found

Every finding code of `stringline check`, as `stringline explain CODE` tells it. A **fail** breaks a
limit, a **warn** wants a look, a **note** is for your knowledge. Limits are shown where a rule set
states them; a rule set that extends another takes over the rest. A value that is not verified was
not read at its source. The locally adopted code and the authority that applies it govern.

This page is made by `python tests/schedules/write_findings_page.py`; do not edit it by hand.
"""


def findings_page(
    codes: Iterable[Code], rule_sets: Sequence[RuleSet], examples: Collection[str]
) -> str:
    """The whole page; `examples` are the codes that have a faulty job of their own."""
    entries = sorted(codes, key=lambda code: code.code)
    rows = [
        (f"[{code.code}](#{_anchor(code)})", code.severity, code.title, _example(code, examples))
        for code in entries
    ]
    blocks = [_HEAD, "\n".join(_table(("code", "severity", "means", "example"), rows)) + "\n"]
    blocks += ["\n".join(_section(code, rule_sets, examples)) for code in entries]
    return "\n".join(blocks)


def _anchor(code: Code) -> str:
    """The name that a heading is linked by: dots are left out."""
    return code.code.replace(".", "")


def _example(code: Code, examples: Collection[str]) -> str:
    name = f"{code.code}.yaml"
    return f"[{name}](../faulty/{name})" if code.code in examples else "none"


def _section(code: Code, rule_sets: Sequence[RuleSet], examples: Collection[str]) -> Iterator[str]:
    yield f"## {code.code}"
    yield ""
    yield f"**{code.title}** ({code.severity}). {code.meaning}"
    yield ""
    yield f"* How it is measured: {code.formula}"
    if code.code in FIGURES:
        yield f"* Seen: {FIGURES[code.code]}"
    yield f"* Read from: {code.inputs}"
    yield f"* Limit: {code.limit}"
    yield f"* Example: {_example(code, examples)}"
    yield ""
    rows = [_row(rules, limit) for rules, limit in stated(code, rule_sets)]
    if rows:
        head = ("rule set", "limit", "value", "clause", "edition", "source", "verified")
        yield from _table(head, rows)
        yield ""


def _row(rules: RuleSet, limit: Limit) -> tuple[str, ...]:
    doubt = standing(limit)
    verified = "yes" if limit.verified else "no" if doubt == "not verified" else f"no, {doubt}"
    return (
        rules.name, limit.key, limit.text, limit.clause, limit.edition, limit.source, verified,
    )  # fmt: skip


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A Markdown table; a bar inside a cell does not end it."""
    yield f"| {' | '.join(head)} |"
    yield f"|{'---|' * len(head)}"
    for row in rows:
        yield f"| {' | '.join(cell.replace('|', '&#124;') for cell in row)} |"
