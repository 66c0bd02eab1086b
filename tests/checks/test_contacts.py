"""The table of contacts: every row is needed by some example, and none goes by a tolerance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from generator.checks import clashes, contacts
from generator.checks.contacts import CLEARANCES, CONTACTS, KINDS, TOLD_ELSEWHERE, Relations
from generator.parts.assembly import REFERENCE_KINDS, CableDetail, detail_of

EXAMPLES = ("lake-deck", "core-terrace", "porch-columns", "fascia-balcony", "carried-corner")


def pairs(assembly, first, second):
    """Indices of all pairs of parts of two kinds."""
    numbers = [
        [n for n, part in enumerate(assembly.parts) if part.kind == kind]
        for kind in (first, second)
    ]
    grid = np.array([(a, b) for a in numbers[0] for b in numbers[1]], dtype=np.intp)
    return grid.reshape(-1, 2).T


@pytest.mark.parametrize("row", range(len(CONTACTS)), ids=lambda n: CONTACTS[n].why)
def test_without_a_row_good_jobs_clash(row, planned, monkeypatch):
    rows = (*CONTACTS[:row], *CONTACTS[row + 1 :])
    monkeypatch.setattr(contacts, "CONTACTS", rows)
    monkeypatch.setattr(clashes, "CONTACTS", rows)
    first, second = set(CONTACTS[row].first), set(CONTACTS[row].second)

    def needs_it(clash):
        a, b = clash.first.kind, clash.second.kind
        met = (a in first and b in second) or (b in first and a in second)
        return met and clash.distance < -1e-6

    assert any(
        needs_it(clash) for name in EXAMPLES for clash in clashes.clashes(planned(name).assembly)
    )


def test_rows_name_kinds_that_there_are():
    for row in (*CONTACTS, *TOLD_ELSEWHERE, *CLEARANCES):
        assert set(row.first) | set(row.second) <= set(KINDS)
    assert all(row.why for row in (*CONTACTS, *TOLD_ELSEWHERE))


def test_cables_pass_the_posts_on_their_way_and_no_others(planned):
    for name in EXAMPLES:
        assembly = planned(name).assembly
        relations = Relations(assembly)
        for kind in ("post", "column"):
            cables, posts = pairs(assembly, "cable", kind)
            told = relations.passes(cables, posts)
            way = [
                assembly.parts[post].mark in detail_of(assembly.parts[cable], CableDetail).posts
                for cable, post in zip(cables, posts, strict=True)
            ]
            assert told.tolist() == way, name


def test_each_fitting_passes_its_own_post(planned):
    for name in EXAMPLES:
        assembly = planned(name).assembly
        relations = Relations(assembly)
        fittings = [n for n, part in enumerate(assembly.parts) if part.kind == "fitting"]
        owners = relations.owner[fittings]
        assert relations.passes(np.array(fittings), owners).all()
        other = np.roll(owners, len(owners) // 2)
        elsewhere = other != owners
        assert not relations.passes(np.array(fittings)[elsewhere], other[elsewhere]).any()


def test_a_spacer_passes_the_cables_of_its_leg(planned):
    assembly = planned("lake-deck").assembly
    relations = Relations(assembly)
    cables, spacers = pairs(assembly, "cable", "spacer")
    same = [
        assembly.parts[c].leg == assembly.parts[s].leg for c, s in zip(cables, spacers, strict=True)
    ]
    assert relations.passes(cables, spacers).tolist() == same


def test_ends_of_one_cable_know_each_other(planned):
    assembly = planned("lake-deck").assembly
    relations = Relations(assembly)
    index = {part.mark: n for n, part in enumerate(assembly.parts)}
    i, j = (
        np.array([index[m] for m in ms]) for ms in (("F12S",) * 4, ("N12S", "N12E", "C12", "P6"))
    )
    assert contacts.of_one_end(relations, i, j).tolist()[:2] == [True, False]
    assert contacts.of_one_cable(relations, i, j).tolist() == [True, True, True, False]


def test_what_stands_there_already_is_not_looked_at():
    checked = contacts.looked_at()
    number = {kind: n for n, kind in enumerate(KINDS)}
    for a in REFERENCE_KINDS:
        for b in REFERENCE_KINDS:
            assert not checked[number[a], number[b]]
        assert a == "column" or checked[number["rail"], number[a]]
    assert (checked == checked.T).all()


def test_a_core_is_a_contact_only_where_the_post_is_cast_in(planned):
    assembly = planned("core-terrace").assembly
    stood = tuple(
        replace(part, detail=replace(part.detail, mount="deck")) if part.kind == "post" else part
        for part in assembly.parts
    )
    told = [
        clash
        for clash in clashes.clashes(replace(assembly, parts=stood))
        if {clash.first.kind, clash.second.kind} & {"deck", "floor", "tread"}
    ]
    assert len(told) >= len(list(assembly.of_kind("post")))
