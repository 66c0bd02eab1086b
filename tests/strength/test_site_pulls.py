"""What those on site set cables to is what the calculation says, cable by cable."""

from __future__ import annotations

import pytest

from generator.parts.tensioning import middle_first, pull_order, pullings
from generator.schedules.cables import cable_list
from generator.schedules.site_tables import tension_list
from generator.strength.site_pulls import tensioned
from generator.strength.summary import assess


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace", "switchback-stair"])
def test_every_cable_is_set_as_calculated(planned, name):
    assembly = planned(name).assembly
    pulled = tensioned(assembly)
    told = {one.mark: one for one in pullings(pulled)}
    assert list(told) == [part.mark for part in assembly.of_kind("cable")]
    for schedule in assess(assembly).schedules:
        for pull in schedule.pulls:
            one = told[schedule.marks[pull.cable]]
            assert pull.tension_n in one.passes_n
            assert len(one.passes_n) == schedule.passes
            assert one.threads == pytest.approx(schedule.threads_end[pull.cable])
    # Posts give: what is pulled first is set higher than what it ends at.
    first = [one for one in told.values() if one.order == 1]
    assert first
    for one in first:
        assert one.passes_n[-1] > one.tension_n - 1e-6
        assert one.tension_n == pytest.approx(assembly.job.guard.tension_n, rel=1e-6)


def test_lists_tell_one_order(planned):
    assembly = planned("lake-deck").assembly
    pulled = tensioned(assembly)
    order = {mark: number for number, mark in pull_order(pulled)}
    cables, tension = cable_list(pulled), tension_list(pulled)
    for table, key in ((cables, "pull_order"), (tension, "order")):
        at = {column.key: i for i, column in enumerate(table.columns)}
        assert {row[at["mark"]]: row[at[key]] for row in table.rows} == order
    assert tuple(pull_order(assembly)) == tuple(middle_first(assembly))  # nothing is calculated
