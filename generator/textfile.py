"""A YAML file into plain values that remember their line and column, within fixed bounds.

Nothing is executed and nothing is guessed: scalars follow the YAML 1.2 core schema, without its
octal and hexadecimal numbers, so `yes`, `12:30`, `0412` and dates stay text.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Iterator
from pathlib import Path

import yaml

from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.syntax import in_words

# The way to a value from the top of the file: keys and indices.
Place = tuple[str | int, ...]

MAX_DEPTH = 32
MAX_NODES = 200_000
_MAX_NUMBER = 64  # characters; longer digits are text and never reach int()
_MAX_SHOWN = 60

_INTEGER = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_FLOAT = re.compile(r"[-+]?(?:(?:0|[1-9][0-9]*)(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_WORDS: dict[str, float | bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **dict.fromkeys((".inf", ".Inf", ".INF", "+.inf", "+.Inf", "+.INF"), float("inf")),
    **dict.fromkeys(("-.inf", "-.Inf", "-.INF"), float("-inf")),
    **dict.fromkeys((".nan", ".NaN", ".NAN"), float("nan")),
}
# What YAML 1.2 allows in a file (section 5.1), all else is refused before the parser sees it.
_NOT_TEXT = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Mark:
    """A place in a file; line and column count from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Document:
    """A file as plain values, with the place of every value and key by its path from the top."""

    file: str
    data: object
    marks: dict[Place, Mark]
    key_marks: dict[Place, Mark]

    def mark(self, path: Place) -> Mark:
        """Place of the value at `path`, or of the nearest thing around it that is in the file."""
        for length in range(len(path), -1, -1):
            found = self.marks.get(path[:length])
            if found is not None:
                return found
        return Mark(1, 1)

    def key_mark(self, path: Place) -> Mark:
        """Place of the key at `path`; where it has none, of its value."""
        return self.key_marks.get(path) or self.mark(path)

    def problem(self, path: Place, read: str, accepted: str, *, at_key: bool = False) -> Problem:
        """A problem with the value (or the key) at `path`, worded `read X; accepted Y`."""
        mark = self.key_mark(path) if at_key else self.mark(path)
        return Problem(
            self.file,
            mark.line,
            mark.column,
            field_name(path),
            f"read {read}",
            f"accepted {accepted}",
        )


def field_name(path: Place) -> str:
    """A path as people write it: `runs[0].legs[2].stair`."""
    name = ""
    for step in path:
        if isinstance(step, int):
            name += f"[{step}]"
        else:
            name += ("." if name else "") + _clipped(step)
    return name


def shown(value: object) -> str:
    """A value as a message shows it: short, on one line, and told apart from its look-alikes."""
    if isinstance(value, str):
        text = _clipped(value)
        if isinstance(scalar(text), str):
            return text
        return f'the text "{text}"' if text else "empty text"
    if isinstance(value, dict | list):
        kind = "mapping" if isinstance(value, dict) else "list"
        return f"a {kind}" if value else f"an empty {kind}"
    if isinstance(value, bool):
        return "true" if value else "false"
    return "nothing" if value is None else _clipped(repr(value))


def _clipped(text: str) -> str:
    line = "".join(sign if sign.isprintable() else "?" for sign in " ".join(text.split()))
    return line if len(line) <= _MAX_SHOWN else line[: _MAX_SHOWN - 3] + "..."


def read_yaml(path: Path, *, shown_as: str | None = None, max_bytes: int = 1_000_000) -> Document:
    """Read one YAML document; `shown_as` is the file's name in messages.

    Raises:
        InputError: the file cannot be read or is no well-formed, bounded, plain YAML document.
    """
    document, problems = read_yaml_leniently(path, shown_as=shown_as, max_bytes=max_bytes)
    if problems:
        raise InputError(problems)
    return document


def read_yaml_leniently(
    path: Path, *, shown_as: str | None = None, max_bytes: int = 1_000_000
) -> tuple[Document, list[Problem]]:
    """Like `read_yaml`, but faults that leave the rest readable are returned beside it.

    These are repeated keys (the first counts), merge keys and tags (both are passed over).

    Raises:
        InputError: nothing can be read.
    """
    file = shown_as if shown_as is not None else str(path)
    text = _text(path, file, max_bytes)
    composer = _Composer(file, text)
    try:
        root = composer.document()
    except InputError as error:
        raise InputError([*composer.problems, *error.problems]) from None
    marks: dict[Place, Mark] = {}
    key_marks: dict[Place, Mark] = {}
    data = _plain(root, (), marks, key_marks)
    return Document(file, data, marks, key_marks), composer.problems


def _refused(
    file: str, read: str, accepted: str, mark: Mark | None = None, field: str = ""
) -> InputError:
    line, column = (mark.line, mark.column) if mark else (0, 0)
    return InputError([Problem(file, line, column, field, f"read {read}", f"accepted {accepted}")])


def _text(path: Path, file: str, max_bytes: int) -> str:
    """The file's text; anything but a small regular UTF-8 file is refused."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise _refused(file, "something that is no regular file", "a text file")
        with path.open("rb") as stream:
            raw = stream.read(max_bytes + 1)
    except FileNotFoundError:
        raise _refused(file, "nothing: there is no such file", "an existing text file") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is no file name"
        raise _refused(file, f"nothing: {reason.lower()}", "a readable text file") from None
    if len(raw) > max_bytes:
        raise _refused(file, f"more than {max_bytes:,} bytes", f"at most {max_bytes:,} bytes")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", "replace")
        mark = _place(before, len(before))
        raise _refused(file, "bytes that are no UTF-8", "text saved as UTF-8", mark) from None
    bad = _NOT_TEXT.search(text)
    if bad:
        code = f"a control character (U+{ord(bad[0]):04X})"
        raise _refused(file, code, "plain text", _place(text, bad.start()))
    return text


def _place(text: str, offset: int) -> Mark:
    start = text.rfind("\n", 0, offset) + 1
    return Mark(text.count("\n", 0, offset) + 1, offset - start + 1)


@dataclass(frozen=True, slots=True)
class _Node:
    """A value as composed. `size` and `depth` count what stands in it, aliases written out."""

    value: dict[str, _Member] | list[_Node] | str | int | float | bool | None
    mark: Mark
    size: int
    depth: int


@dataclass(frozen=True, slots=True)
class _Member:
    mark: Mark
    node: _Node


class _Composer:
    """Parser events into nodes; stops as soon as a bound is passed."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.text = text
        self.problems: list[Problem] = []
        self._anchors: dict[str, _Node | None] = {}
        self._nodes = 0
        self._last: yaml.Event | None = None
        self._events = self._parsed()

    def document(self) -> _Node:
        """The single document of the file."""
        next(self._events)  # start of the stream
        first = next(self._events)
        if isinstance(first, yaml.StreamEndEvent):
            raise _refused(self.file, "an empty file", "a YAML mapping", Mark(1, 1))
        node = self._node(next(self._events), (), 1)
        next(self._events)  # end of the document
        after = next(self._events)
        if not isinstance(after, yaml.StreamEndEvent):
            raise self._stop(after, "a second document", "one document in a file")
        if node.value is None:
            raise _refused(self.file, "an empty document", "a YAML mapping", node.mark)
        return node

    def _parsed(self) -> Iterator[yaml.Event]:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)(self.text)
        try:
            while True:
                event = loader.get_event()
                if event is None:
                    return
                self._last = event
                yield event
        except yaml.YAMLError as error:
            raise self._syntax(error) from None
        finally:
            loader.dispose()

    def _syntax(self, error: yaml.YAMLError) -> InputError:
        told = str(getattr(error, "problem", None) or "unreadable text")
        plain = in_words(told)
        place, field = getattr(error, "problem_mark", None), ""
        if "quoted scalar" in str(getattr(error, "context", None)):
            place = getattr(error, "context_mark", None) or place  # where the quote begins
        mark = Mark(place.line + 1, place.column + 1) if place else Mark(1, 1)
        before = self._last
        if isinstance(before, yaml.ScalarEvent):
            first, end = before.start_mark.line + 1, before.end_mark.line + 1
            if before.style in ("'", '"') and first < end == mark.line:
                plain, mark = f"a quoted text that runs on to line {end}", _mark(before)
            elif first == mark.line and "mapping values" not in told:
                rest = self.text[before.end_mark.index :]
                field = before.value if rest.startswith(":") else ""
        lines = self.text.splitlines()
        line = lines[mark.line - 1] if mark.line <= len(lines) else ""
        if "\t" in line[: len(line) - len(line.lstrip())]:
            plain = "a tab in the indent"
        return _refused(self.file, plain, "well-formed YAML, indented with spaces", mark, field)

    def _stop(self, event: yaml.Event, read: str, accepted: str, path: Place = ()) -> InputError:
        return _refused(self.file, read, accepted, _mark(event), field_name(path))

    def _fault(self, mark: Mark, path: Place, read: str, accepted: str) -> None:
        self.problems.append(
            Problem(
                self.file,
                mark.line,
                mark.column,
                field_name(path),
                f"read {read}",
                f"accepted {accepted}",
            )
        )

    def _node(self, event: yaml.Event, path: Place, level: int) -> _Node:
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event, path, level)
        if level > MAX_DEPTH:
            raise self._stop(event, "values nested too deep", f"at most {MAX_DEPTH} levels", path)
        anchor: str | None = getattr(event, "anchor", None)
        if anchor is not None:
            self._anchors[anchor] = None  # known, but not complete: an alias inside would be a loop
        tag = getattr(event, "tag", None)
        if tag is not None:
            self._fault(_mark(event), path, f"the tag {_clipped(tag)}", "values without tags")
        if isinstance(event, yaml.ScalarEvent):
            self._count(1, event, path)
            text = str(event.value)
            node = _Node(text if event.style else scalar(text), _mark(event), 1, 1)
        elif isinstance(event, yaml.SequenceStartEvent):
            node = self._list(event, path, level)
        else:
            node = self._mapping(event, path, level)
        if anchor is not None:
            self._anchors[anchor] = node
        return node

    def _count(self, nodes: int, event: yaml.Event, path: Place) -> None:
        self._nodes += nodes
        if self._nodes > MAX_NODES:
            accepted = f"at most {MAX_NODES:,} values, aliases written out"
            raise self._stop(event, "too many values", accepted, path)

    def _alias(self, event: yaml.AliasEvent, path: Place, level: int) -> _Node:
        name = _clipped(str(event.anchor))
        node = self._anchors.get(str(event.anchor))
        if node is None:
            if event.anchor in self._anchors:
                raise self._stop(event, f"*{name} inside &{name}", "an alias of a past value", path)
            raise self._stop(event, f"the alias *{name}", f"an alias whose &{name} is above", path)
        if level + node.depth - 1 > MAX_DEPTH:
            raise self._stop(event, "values nested too deep", f"at most {MAX_DEPTH} levels", path)
        self._count(node.size, event, path)
        return _Node(node.value, _mark(event), node.size, node.depth)

    def _list(self, event: yaml.Event, path: Place, level: int) -> _Node:
        self._count(1, event, path)
        items: list[_Node] = []
        while not isinstance(step := next(self._events), yaml.SequenceEndEvent):
            items.append(self._node(step, (*path, len(items)), level + 1))
        return _whole(items, items, _mark(event))

    def _mapping(self, event: yaml.Event, path: Place, level: int) -> _Node:
        self._count(1, event, path)
        members: dict[str, _Member] = {}
        while not isinstance(step := next(self._events), yaml.MappingEndEvent):
            key, mark = self._key(step, path)
            inside = (*path, key)
            merge = key == "<<" and not getattr(step, "style", None)
            if merge:
                self._fault(mark, inside, "a merge key", "every key written out")
            first = members.get(key)
            if first:
                place = f"line {first.mark.line}, column {first.mark.column}"
                self._fault(mark, inside, "the same key again", f"it once; the first is at {place}")
            node = self._node(next(self._events), inside, level + 1)
            if not first and not merge:
                members[key] = _Member(mark, node)
        nodes = [member.node for member in members.values()]
        return _whole(members, nodes, _mark(event))

    def _key(self, event: yaml.Event, path: Place) -> tuple[str, Mark]:
        mark = _mark(event)
        if not isinstance(event, yaml.ScalarEvent) or not event.value:
            raise self._stop(event, "a key that is no word", "a word as a key", path)
        if event.tag is not None:
            self._fault(mark, path, f"the tag {_clipped(str(event.tag))}", "keys without tags")
        return str(event.value), mark


def _whole(value: dict[str, _Member] | list[_Node], parts: list[_Node], mark: Mark) -> _Node:
    size = 1 + sum(part.size for part in parts)
    return _Node(value, mark, size, 1 + max((part.depth for part in parts), default=0))


def _mark(event: yaml.Event) -> Mark:
    return Mark(event.start_mark.line + 1, event.start_mark.column + 1)


def scalar(text: str) -> str | int | float | bool | None:
    """An unquoted scalar by the YAML 1.2 core schema, but octal and hexadecimal stay text."""
    if text in _WORDS:
        return _WORDS[text]
    if len(text) > _MAX_NUMBER:
        return text
    if _INTEGER.fullmatch(text):
        return int(text)
    if _FLOAT.fullmatch(text):
        return float(text)
    return text


def _plain(
    node: _Node, path: Place, marks: dict[Place, Mark], key_marks: dict[Place, Mark]
) -> object:
    """Nodes into dicts, lists and scalars, writing down where each stands."""
    marks[path] = node.mark
    if isinstance(node.value, dict):
        result: dict[str, object] = {}
        for key, member in node.value.items():
            key_marks[(*path, key)] = member.mark
            result[key] = _plain(member.node, (*path, key), marks, key_marks)
        return result
    if isinstance(node.value, list):
        return [
            _plain(item, (*path, index), marks, key_marks) for index, item in enumerate(node.value)
        ]
    return node.value
