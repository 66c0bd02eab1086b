"""What products and their occurrences are called in the model's tree."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from generator.parts.assembly import Kind, Part

_MARK = re.compile(r"(.*?)(\d+)")


def title_of(part: Part) -> str:
    """What a part is, in words: its item, led by its kind where the item does not say it."""
    kind = part.kind.replace("-", " ")
    return part.item if kind in part.item.replace("-", " ") else f"{kind} {part.item}".strip()


def labels(kinds: Sequence[Kind]) -> Iterator[str]:
    """Names for parts of these kinds, counted where there are several: base plate, anchor 1, ..."""
    total, count = Counter(kinds), Counter[str]()
    for kind in kinds:
        count[kind] += 1
        label = kind.replace("-", " ")
        yield f"{label} {count[kind]}" if total[kind] > 1 else label


def marks_in_words(marks: Iterable[str]) -> str:
    """Marks in order, those that are counted on told by the first and the last: T1 to T6, D4."""
    spans: list[list[str]] = []
    expected = None
    for mark in marks:
        if spans and mark == expected:
            spans[-1].append(mark)
        else:
            spans.append([mark])
        expected = _next(mark)
    return ", ".join(f"{one[0]} to {one[-1]}" if len(one) > 1 else one[0] for one in spans)


def _next(mark: str) -> str | None:
    found = _MARK.fullmatch(mark)
    return f"{found[1]}{int(found[2]) + 1}" if found else None


def unique(titles: Iterable[tuple[int, str]]) -> dict[int, str]:
    """A name for each number; titles that several share are counted as they appear."""
    by_title: dict[str, list[int]] = defaultdict(list)
    for number, title in titles:
        by_title[title].append(number)
    return {
        number: f"{title} ({count})" if len(numbers) > 1 else title
        for title, numbers in by_title.items()
        for count, number in enumerate(numbers, start=1)
    }
