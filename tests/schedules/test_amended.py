"""A check says which limits the job puts in place of its rule set's, and why."""

from __future__ import annotations

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble
from generator.schedules.summary import job_line, summary


def test_amendments_stand_under_the_rule_set(spec_values, read_values):
    values = spec_values("lake-deck")
    values["amendments"] = [
        {"limit": "guard.height.level", "value": 42, "reason": "ordinance", "clause": "12-3"},
        {"limit": "opening.fascia", "value": "2 in", "reason": "the reviewer"},
    ]
    assembly = assemble(layout(read_values(values)))
    head, *amended = job_line(assembly).splitlines()
    assert head == "Tern Cottage lake deck, job 0412. Rules: irc-2021, IRC 2021, amended."
    assert amended == [
        "Amended: guard.height.level 42 in instead of 36 in (12-3): ordinance",
        "Amended: opening.fascia 2 in (amendment of the job): the reviewer",
    ]
    text = summary(assembly, run(assembly))
    assert "12-3, job spec" in text  # the finding: 36 in is lower than 42 in


def test_a_job_that_amends_nothing_says_nothing_of_it(lake_deck):
    assert job_line(lake_deck.assembly).count("\n") == 1
