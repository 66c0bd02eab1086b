"""The tensioning schedule as those on site take it: what each cable is set to, pass by pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from generator.parts.assembly import Assembly, CableDetail, detail_of
from generator.parts.tensioning import Pulling, pullings
from generator.strength.result import Schedule
from generator.strength.summary import assess


def tensioned(assembly: Assembly) -> Assembly:
    """The assembly with the pulls of its calculation of strength, for every list that tells them.

    Posts and rail give, so that a cable slackens when the next is pulled: it is set higher.
    """
    told = {
        mark: pull
        for schedule in assess(assembly).schedules
        for mark, pull in _pulls(assembly, schedule)
    }
    pulls = tuple(told[one.mark](one) if one.mark in told else one for one in pullings(assembly))
    found = replace(assembly, pulls=pulls)
    found.worked_out.update(assembly.worked_out)  # parts and bars are the same
    return found


class _Pull:
    """What the schedule tells of one cable."""

    def __init__(self, schedule: Schedule, row: int) -> None:
        count = len(schedule.marks)
        turns = [k for k, pull in enumerate(schedule.pulls) if pull.cable == row]
        self.order = turns[0] % count + 1
        self.passes = tuple(schedule.pulls[k].tension_n for k in turns)
        self.final_n = schedule.final_n[row]
        self.takeup_mm = schedule.takeup_mm[row]
        self.threads = schedule.threads_end[row]
        self.turns = schedule.threads_end[row] - schedule.threads_start

    def __call__(self, simple: Pulling) -> Pulling:
        return replace(
            simple,
            order=self.order,
            tension_n=self.final_n,
            takeup_mm=self.takeup_mm,
            turns=self.turns,
            threads=self.threads,
            passes_n=self.passes,
        )


def _pulls(assembly: Assembly, schedule: Schedule) -> Iterator[tuple[str, _Pull]]:
    """Of every panel that the schedule stands for, each cable from the bottom up."""
    alike = set(schedule.panels)
    found: dict[tuple[str, ...], list[tuple[int, str]]] = {}
    for part in assembly.of_kind("cable"):
        detail = detail_of(part, CableDetail)
        if detail.posts in alike:
            found.setdefault(detail.posts, []).append((detail.row, part.mark))
    for rows in found.values():
        for row, (_, mark) in enumerate(sorted(rows)):
            yield mark, _Pull(schedule, row)
