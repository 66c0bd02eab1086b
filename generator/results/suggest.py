"""The smallest set of changes of a spec that clears its failures, searched for among their edits.

A variant of the job is laid out and checked whole; the search is bounded by the number of variants.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from itertools import count

from generator.frozen import dataclass
from generator.parts.report import Finding, Report
from generator.results.edits import present
from generator.spec.plain import place_of
from generator.textfile import Document
from generator.units import UnitError, parse_length

MAX_VARIANTS = 100
_QUICK_VARIANTS = 50  # of them, for a first set of changes, however large

Plan = Callable[[Mapping[str, str]], Report | None]
"""What is found in the job with these edits made; None where the spec is then refused."""

_State = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the spec: what to write at `path` (empty: take it out), what holds now.

    `line` is that of the present value, 0 where the key is not in the file.
    """

    path: str
    value: str
    present: str
    line: int


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Changes that clear all failures, or as many as was found possible without a new one.

    `left` are the failures that they leave and `warned` the warnings that they bring, as found in
    the changed job.
    """

    failures: int
    changes: tuple[Change, ...]
    left: tuple[Finding, ...]
    warned: tuple[Finding, ...]
    tried: int

    @property
    def cleared(self) -> bool:
        """Whether nothing fails any more."""
        return not self.left


def suggest(document: Document, report: Report, plan: Plan) -> Suggestion:
    """The smallest set of changes found: the fewest, and of these the least far from what stands.

    The changes are edits of findings. Where no set clears all failures, it is the one that leaves
    the fewest and adds to none of their codes.
    """
    search = _Search(document, report, plan)
    state = search.solution() if report.failures else ()
    cleared = state is not None
    if state is None:
        state = search.best_part()
    after = search.seen[state] or report
    before = {(f.code, f.where) for f in report.findings if f.severity == "warn"}
    warned = (f for f in after.findings if f.severity == "warn" and not f.accepted)
    return Suggestion(
        failures=len(report.failures),
        changes=tuple(_change(document, path, value) for path, value in state),
        left=() if cleared else after.failures,
        warned=tuple(f for f in warned if (f.code, f.where) not in before) if state else (),
        tried=len(search.seen) - 1,
    )


def _change(document: Document, path: str, value: str) -> Change:
    return Change(path, value, *present(document, place_of(path)))


class _Spent(Exception):
    """No more variants may be tried."""


class _Search:
    """Variants of one job, each known by its edits in order of their paths."""

    def __init__(self, document: Document, report: Report, plan: Plan) -> None:
        self.document = document
        self.plan = plan
        self.seen: dict[_State, Report | None] = {(): report}

    def solution(self) -> _State | None:
        """The cheapest set of edits after which nothing fails; None where none was found."""
        best = self._quick()
        try:
            if best is not None:
                best = self._pruned(best)
            return self._cheapest(best)
        except _Spent:
            return best

    def best_part(self) -> _State:
        """Of the variants tried, the one with the fewest failures, with more of no code."""
        before = self._codes(())
        able = [state for state in self.seen if self.seen[state] and self._codes(state) <= before]
        return min(able, key=lambda state: (self._codes(state).total(), self._cost(state)))

    def _codes(self, state: _State) -> Counter[str]:
        report = self.seen[state]
        return Counter(finding.code for finding in report.failures) if report else Counter()

    def _quick(self) -> _State | None:
        """Edits one by one, on from the variant with the fewest failures."""
        order = count()
        queue: list[tuple[int, tuple[int, float], int, _State]] = []
        heapq.heappush(queue, (self._codes(()).total(), self._cost(()), next(order), ()))
        try:
            while queue:
                _, _, _, state = heapq.heappop(queue)
                for new in self._moves(state):
                    if new in self.seen:
                        continue
                    report = self._report(new, _QUICK_VARIANTS)
                    if report is None:
                        continue
                    if not report.failures:
                        return new
                    entry = (len(report.failures), self._cost(new), next(order), new)
                    heapq.heappush(queue, entry)
        except _Spent:
            return None
        return None

    def _pruned(self, state: _State) -> _State:
        """The same edits without those that are not needed."""
        for edit in state:
            fewer = tuple(other for other in state if other != edit)
            report = self._report(fewer, MAX_VARIANTS)
            if report is not None and not report.failures:
                state = fewer
        return state

    def _cheapest(self, best: _State | None) -> _State | None:
        """The first variant without a failure in order of cost, or `best` where none is cheaper."""
        queue: list[tuple[tuple[int, float], _State]] = [(self._cost(()), ())]
        queued: set[_State] = {()}
        while queue:
            cost, state = heapq.heappop(queue)
            if best is not None and cost >= self._cost(best):
                return best
            report = self._report(state, MAX_VARIANTS)
            if report is None:
                continue
            if not report.failures:
                return state
            for new in self._moves(state):
                if new not in queued:
                    queued.add(new)
                    heapq.heappush(queue, (self._cost(new), new))
        return best

    def _moves(self, state: _State) -> Iterator[_State]:
        """The state with the edits of one failure made as well, each once."""
        report = self.seen[state]
        edits = (finding.edits for finding in report.failures) if report else ()
        for group in dict.fromkeys(group for group in edits if group):
            merged = dict(state) | {edit.path: edit.value for edit in group}
            yield tuple(sorted(merged.items()))

    def _report(self, state: _State, most: int) -> Report | None:
        if state not in self.seen:
            if len(self.seen) > most:
                raise _Spent
            self.seen[state] = self.plan(dict(state))
        return self.seen[state]

    def _cost(self, state: _State) -> tuple[int, float]:
        """How many changes, and how far they go together."""
        sizes = (self._size(path, value) for path, value in state)
        return len(state), round(sum(sizes), 9)

    def _size(self, path: str, value: str) -> float:
        """How far a value goes from the present one: its share for lengths, 1 for another word."""
        now, _ = present(self.document, place_of(path))
        try:
            old, new = parse_length(now, "in"), parse_length(value, "in")
        except UnitError:
            return 1.0
        return abs(new - old) / max(abs(new), abs(old), 1e-9)
