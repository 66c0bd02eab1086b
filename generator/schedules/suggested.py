"""Suggested changes of a job file as YAML that can be pasted, each with what stands there now."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from generator.parts.report import Finding
from generator.results.suggest import Change, Suggestion
from generator.spec.plain import place_of
from generator.textfile import Place, field_name

_WIDTH = 100


def suggestion_text(found: Suggestion, file: str) -> str:
    """What `stringline check --suggest` says; the job file itself is left as it is."""
    if not found.failures:
        return "Suggested changes: none needed, nothing fails.\n"
    lines = [_head(found)]
    lines += [f"  {line}".rstrip() for line in yaml_lines(found.changes, file)]
    lines += _listed("They bring these warnings:", found.warned, remedy=False)
    lines += _listed("What still fails, and what is said of it:", found.left, remedy=True)
    return "\n".join(lines) + "\n"


def _head(found: Suggestion) -> str:
    many = len(found.changes)
    changes = f"{many} change{'s' if many > 1 else ''} of the job file"
    failures = "the failure" if found.failures == 1 else f"all {found.failures} failures"
    variants = f"{found.tried} variant{'' if found.tried == 1 else 's'} of the job tried"
    if found.cleared:
        return (
            f"Suggested changes: {changes} clear{'s' if many == 1 else ''} {failures} ({variants})"
        )
    none = f"Suggested changes: no set was found that clears {failures} ({variants})"
    if not found.tried:
        return f"{none}: no failure names a change of the job file."
    if not many:
        return f"{none}, nor any that clears some without a new one."
    left = f"{len(found.left)} of them" if len(found.left) > 1 else "one of them"
    return f"{none}. {changes.capitalize()} leave{'s' if many == 1 else ''} {left}:"


def _listed(head: str, findings: Sequence[Finding], *, remedy: bool) -> Iterator[str]:
    if findings:
        yield head
    for finding in findings:
        text = f"{finding.code}  {', '.join(finding.where)}"
        words = finding.remedy if remedy else finding.message
        yield textwrap.fill(
            f"{text}: {words}" if words else text,
            _WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False,
        )  # fmt: skip


def yaml_lines(changes: Sequence[Change], file: str) -> Iterator[str]:
    """The changes as pieces of YAML, one for each mapping or list item that they are in."""
    groups: dict[Place, list[Change]] = {}
    for change in changes:
        place = place_of(change.path)
        if str(place[-1]).startswith("+"):
            yield f"# a new item before {field_name((*place[:-1], int(place[-1])))}:"
            yield f"- {change.value}"
            continue
        last = max((k for k, step in enumerate(place) if isinstance(step, int)), default=-1)
        groups.setdefault(place[: last + 1], []).append(change)
    for place, group in groups.items():
        if place:
            yield f"# in {field_name(place)}:"
        open_: Place = ()
        for change in group:
            keys = place_of(change.path)[len(place) :]
            if not change.value or not keys:
                yield f"# take out {change.path}, {_now(change, file)}"
                continue
            for depth, key in enumerate(keys[:-1]):
                if open_[: depth + 1] != keys[: depth + 1]:
                    yield f"{'  ' * depth}{key}:"
            open_ = keys[:-1]
            yield f"{'  ' * len(open_)}{keys[-1]}: {change.value}    # {_now(change, file)}"


def _now(change: Change, file: str) -> str:
    if change.line:
        return f"{file}:{change.line}, now {change.present}"
    return f"not in {file}, now {change.present}"
