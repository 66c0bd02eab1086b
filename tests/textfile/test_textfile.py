"""YAML read within bounds: places, scalars of the core schema, and what is refused."""

from __future__ import annotations

import math
import os
import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import InputError
from generator.textfile import (
    MAX_NODES,
    Document,
    Mark,
    field_name,
    read_yaml,
    read_yaml_leniently,
    shown,
)

WELL_FORMED = "accepted well-formed YAML, indented with spaces"
AGAIN = "read the same key again; accepted it once; the first is at"


@pytest.fixture(params=["libyaml", "pure Python"])
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both parsers that PyYAML has; wheels bring the first, some systems only the second."""
    if request.param == "pure Python":
        monkeypatch.delattr(yaml, "CSafeLoader")
    elif not hasattr(yaml, "CSafeLoader"):
        pytest.skip("PyYAML without libyaml")
    return str(request.param)


def read(folder: Path, content: str | bytes) -> Document:
    path = folder / "file.yaml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return read_yaml(path, shown_as="file.yaml")


def refusal(folder: Path, content: str | bytes) -> str:
    with pytest.raises(InputError) as refused:
        read(folder, content)
    return str(refused.value)


def test_values_and_their_places(tmp_path: Path, parser: str) -> None:
    text = "# heading\njob:\n  title: Porch\n  list: [1, {a: b}]\nempty: {}\nnone: []\n"
    document = read(tmp_path, text)
    assert document.data == {
        "job": {"title": "Porch", "list": [1, {"a": "b"}]},
        "empty": {},
        "none": [],
    }
    assert document.mark(("job", "title")) == Mark(3, 10)
    assert document.key_mark(("job", "title")) == Mark(3, 3)
    assert document.mark(("job", "list", 1, "a")) == Mark(4, 17)
    assert document.mark(("job", "missing", "deeper")) == document.mark(("job",)) == Mark(3, 3)
    assert document.key_mark(("job", "missing")) == Mark(3, 3)
    assert document.mark(("nowhere",)) == Mark(2, 1)


def test_columns_count_letters(tmp_path: Path, parser: str) -> None:
    document = read(tmp_path, "{\u00fcber\u2032: 1, b: 2}\n")
    assert document.mark(("b",)) == Mark(1, 15)


@pytest.mark.parametrize(
    "text, value",
    [
        # YAML 1.2.2, section 10.3.2: the core schema.
        ("null", None), ("~", None), ("", None), ("Null", None),
        ("true", True), ("FALSE", False),
        ("0", 0), ("-19", -19), ("+12", 12),
        ("1.5", 1.5), ("-0.0", -0.0), (".5", 0.5), ("5.", 5.0), ("12e03", 12000.0), ("1e3", 1000.0),
        (".inf", math.inf), ("-.Inf", -math.inf), ("1e999", math.inf),
        # Text by YAML 1.2, of another kind in YAML 1.1.
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("off", "off"), ("y", "y"),
        ("12:30", "12:30"), ("190:20:30", "190:20:30"), ("2024-01-02", "2024-01-02"),
        ("1_000", "1_000"), ("=", "="), ("0b101", "0b101"),
        # Text here on purpose: a number with a leading nought is a name as often as a measure.
        ("0412", "0412"), ("0o17", "0o17"), ("0x1F", "0x1F"), ("00.5", "00.5"),
        ('"12"', "12"), ("'true'", "true"), ('""', ""), ("24' 3-1/2\"", "24' 3-1/2\""),
        ("9" * 65, "9" * 65), ("nan", "nan"), ("tRUE", "tRUE"),
    ],
)  # fmt: skip
def test_scalars(tmp_path: Path, parser: str, text: str, value: object) -> None:
    found = read(tmp_path, f"a: {text}\n").data
    assert found == {"a": value}
    assert type(found["a"]) is type(value)  # pyright: ignore[reportIndexIssue]


def test_not_a_number(tmp_path: Path, parser: str) -> None:
    data: Any = read(tmp_path, "a: .nan\n").data
    assert math.isnan(data["a"])


def test_block_text_anchors_and_a_byte_order_mark(tmp_path: Path, parser: str) -> None:
    text = "\ufeffa: &x [1, {b: 2}]\nc: *x\nd: |\n  two\n  lines\n? e\n: 3\n"
    document = read(tmp_path, text)
    data: Any = document.data
    assert data == {"a": [1, {"b": 2}], "c": [1, {"b": 2}], "d": "two\nlines\n", "e": 3}
    assert data["a"] is not data["c"]
    assert data["a"][1] is not data["c"][1]
    assert document.mark(("c",)).line == 2
    assert document.mark(("c", 1, "b")).line == 1  # where the value is really written


@pytest.mark.parametrize(
    "text, expected",
    [
        ("", "file.yaml:1:1: read an empty file; accepted a YAML mapping"),
        ("# only\n", "file.yaml:1:1: read an empty file; accepted a YAML mapping"),
        ("--- ~\n", "file.yaml:1:5: read an empty document; accepted a YAML mapping"),
        (
            "a: 1\n---\nb: 2\n",
            "file.yaml:2:1: read a second document; accepted one document in a file",
        ),
        (b"a: \xff\n", "file.yaml:1:4: read bytes that are no UTF-8; accepted text saved as UTF-8"),
        (
            "a: 1\nb: \x00\n",
            "file.yaml:2:4: read a control character (U+0000); accepted plain text",
        ),
        (
            "a: *b\n",
            "file.yaml:1:4: a: read the alias *b; accepted an alias whose &b is above",
        ),
        (
            "a: &a [*a]\n",
            "file.yaml:1:8: a[0]: read *a inside &a; accepted an alias of a past value",
        ),
        ("? [a]\n: 1\n", "file.yaml:1:3: read a key that is no word; accepted a word as a key"),
        ("*a : 1\n", "file.yaml:1:1: read a key that is no word; accepted a word as a key"),
        (
            "a: 'b\n",
            "file.yaml:1:4: a: read a quote that is never closed; " + WELL_FORMED,
        ),
        (
            "a: b: c\n",
            "file.yaml:1:5: read a second colon in one line, or a key indented too far; "
            + WELL_FORMED,
        ),
    ],
)  # fmt: skip
def test_refused(tmp_path: Path, parser: str, text: str | bytes, expected: str) -> None:
    assert refusal(tmp_path, text) == expected


def test_repeated_keys_tags_and_merge_keys_are_all_told(tmp_path: Path, parser: str) -> None:
    text = "a: 1\nb: {c: 1, c: 2}\na: !!str 3\nd: {<<: {x: 1}, '<<': 2}\n"
    told = [
        f"file.yaml:2:11: b.c: {AGAIN} line 2, column 5",
        f"file.yaml:3:1: a: {AGAIN} line 1, column 1",
        "file.yaml:3:4: a: read the tag tag:yaml.org,2002:str; accepted values without tags",
        "file.yaml:4:5: d.<<: read a merge key; accepted every key written out",
    ]
    assert refusal(tmp_path, text).splitlines() == told
    document, problems = read_yaml_leniently(tmp_path / "file.yaml", shown_as="file.yaml")
    assert sorted(str(problem) for problem in problems) == told
    assert document.data == {"a": 1, "b": {"c": 1}, "d": {"<<": 2}}


def test_faults_before_the_one_that_stops_are_kept(tmp_path: Path, parser: str) -> None:
    told = refusal(tmp_path, "a: 1\na: 2\nb: *c\n").splitlines()
    assert [line.split(": read ")[0] for line in told] == ["file.yaml:2:1: a", "file.yaml:3:4: b"]


@pytest.mark.parametrize(
    "name, text",
    [
        ("brackets", "[" * 400_000),
        ("braces", "{a: " * 200_000),
        ("dashes", "- " * 400_000),
        ("question marks", "? " * 400_000),
        ("indents", "\n".join(" " * level + "a:" for level in range(1000))),
        (
            "aliases of aliases",
            "a0: &a0 [x, x, x, x, x, x, x, x, x]\n"
            + "".join(
                f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * 9)}]\n"
                for level in range(1, 12)
            ),
        ),
        ("aliases side by side", f"a: &a [{'1,' * 999}1]\nb: [{'*a,' * 400}*a]\n"),
        ("many values", f"a: [{'1,' * MAX_NODES}]\n"),
        ("a large file", "# \n" * 400_000),
    ],
)
def test_bombs_are_refused_quickly(tmp_path: Path, name: str, text: str) -> None:
    began = time.perf_counter()
    message = refusal(tmp_path, text)
    assert time.perf_counter() - began < 5  # they would take minutes, or all memory
    assert "accepted" in message, name


def test_a_long_number_is_not_computed(tmp_path: Path) -> None:
    began = time.perf_counter()
    assert read(tmp_path, f"a: {'9' * 900_000}\n").data == {"a": "9" * 900_000}
    assert time.perf_counter() - began < 5


def test_bounds_are_where_they_are_said_to_be(tmp_path: Path) -> None:
    deepest: Any = read(tmp_path, f"a: {'[' * 30}1{']' * 30}\n").data
    for _ in range(30):
        deepest = deepest["a"] if isinstance(deepest, dict) else deepest[0]
    assert deepest == [1]
    assert "at most 32 levels" in refusal(tmp_path, f"a: {'[' * 31}1{']' * 31}\n")
    assert len(str(read(tmp_path, f"a: {'b' * 999_996}\n").data)) > 999_000
    assert "more than 1,000,000 bytes" in refusal(tmp_path, f"a: {'b' * 999_998}\n")


@pytest.mark.parametrize("kind", ["missing", "folder", "pipe", "name with a nul"])
def test_only_regular_files_are_read(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "file.yaml"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "name with a nul":
        path = tmp_path / "a\0b"
    with pytest.raises(InputError) as refused:
        read_yaml(path)
    (problem,) = refused.value.problems
    assert (problem.file, problem.line) == (str(path), 0)


def test_field_names() -> None:
    assert field_name(()) == ""
    assert field_name(("runs", 0, "legs", 2, "stair", "risers")) == "runs[0].legs[2].stair.risers"
    assert field_name(("a\x1b[31m\nb",)) == "a?[31m b"


@pytest.mark.parametrize(
    "value, text",
    [
        (None, "nothing"), (True, "true"), (False, "false"), (7, "7"), (7.5, "7.5"),
        ("7", 'the text "7"'), ("true", 'the text "true"'), ("", "empty text"),
        ("  ", "empty text"),
        ("24' 3\"", "24' 3\""), ("two\nlines", "two lines"), ("x" * 99, "x" * 57 + "..."),
        ("\x1b[31mred", "?[31mred"), ({}, "an empty mapping"), ({"a": 1}, "a mapping"),
        ([], "an empty list"), ([1], "a list"), (10**70, "1" + "0" * 56 + "..."),
    ],
)  # fmt: skip
def test_values_in_messages(value: object, text: str) -> None:
    assert shown(value) == text


def test_problems_name_field_and_place(tmp_path: Path) -> None:
    document = read(tmp_path, "guard:\n  height: low\n")
    path = ("guard", "height")
    assert str(document.problem(path, "low", "a length")) == (
        "file.yaml:2:11: guard.height: read low; accepted a length"
    )
    assert str(document.problem(path, "an unknown key", "guard", at_key=True)) == (
        "file.yaml:2:3: guard.height: read an unknown key; accepted guard"
    )


plain = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**15), 10**15)
    | st.floats(allow_nan=False)
    | st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc", "Zl", "Zp"])),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text("abc_-", min_size=1, max_size=5), inner, max_size=4)
    ),
    max_leaves=12,
)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.text("xyz", min_size=1, max_size=4), plain, min_size=1, max_size=4))
def test_what_another_writer_wrote_is_read(tmp_path: Path, data: dict[str, Any]) -> None:
    # PyYAML's own writer as the second opinion; it quotes whatever YAML 1.1 takes for no text.
    text = yaml.safe_dump(data, allow_unicode=True)
    assert read(tmp_path, text).data == data


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=60) | st.text("ab:-[]{}&*!|>'\"#?%@, \n\t0", max_size=60).map(str.encode))
def test_no_bytes_raise_anything_else(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "file.yaml"
    path.write_bytes(content)
    try:
        result: object = read_yaml(path)
    except InputError as error:
        result = error
    assert isinstance(result, Document | InputError)
