"""However a spec is damaged, it is read or refused as an input error; nothing else gets out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import InputError
from generator.spec import read_job
from generator.spec.job import Job

EXAMPLE = Path(__file__).parents[2] / "examples" / "lake-deck.yaml"
EVERYTHING = Path(__file__).with_name("everything.yaml")
TEXT = EXAMPLE.read_text(encoding="utf-8")
LINES = TEXT.splitlines()

slow_ok = settings(
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def outcome(path: Path, text: str) -> Job | InputError:
    """What becomes of a spec: the job, or the error that refuses it with at least one problem."""
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    try:
        result = read_job(path)
    except InputError as error:
        result = error
    if isinstance(result, InputError):
        assert result.problems
        assert all(problem.read and problem.accepted for problem in result.problems)
    return result


@slow_ok
@given(
    st.lists(st.tuples(st.integers(0, len(TEXT) - 1), st.text(max_size=3)), min_size=1, max_size=6)
)
def test_letters_replaced(tmp_path: Path, changes: list[tuple[int, str]]) -> None:
    letters = list(TEXT)
    for index, new in changes:
        letters[index] = new
    assert isinstance(outcome(tmp_path / "job.yaml", "".join(letters)), Job | InputError)


@slow_ok
@given(
    st.lists(
        st.tuples(st.integers(0, len(LINES) - 1), st.sampled_from(["drop", "again", "in", "out"])),
        min_size=1,
        max_size=5,
    )
)
def test_lines_dropped_repeated_and_shifted(tmp_path: Path, changes: list[tuple[int, str]]) -> None:
    lines = list(LINES)
    for index, change in changes:
        line = lines[index]
        lines[index] = {
            "drop": "",
            "again": f"{line}\n{line}",
            "in": f"  {line}",
            "out": line.removeprefix("  "),
        }[change]
    assert isinstance(outcome(tmp_path / "job.yaml", "\n".join(lines)), Job | InputError)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Paths of every value below the top."""
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    else:
        return []
    found = []
    for key, child in inner:
        found += [(*path, key), *places(child, (*path, key))]
    return found


def replaced(value: Any, path: tuple[Any, ...], new: Any) -> Any:
    """The value with the one at `path` replaced, where an earlier change left it in place."""
    if not path:
        return new
    step, rest = path[0], path[1:]
    if isinstance(value, dict) and step in value:
        return {**value, step: replaced(value[step], rest, new)}
    if isinstance(value, list) and isinstance(step, int) and step < len(value):
        return [*value[:step], replaced(value[step], rest, new), *value[step + 1 :]]
    return value


PLACES = places(yaml.safe_load(TEXT))
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**70), 10**70)
    | st.floats()
    | st.sampled_from(["36 in", "24'", "free", "pair", "A", "al-square-2.5", "0 mm", "1e9 mm"])
    | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner),
    max_leaves=5,
)


@slow_ok
@given(st.lists(st.tuples(st.sampled_from(PLACES), VALUES), min_size=1, max_size=4))
def test_values_replaced(tmp_path: Path, changes: list[tuple[tuple[Any, ...], Any]]) -> None:
    data = yaml.safe_load(TEXT)
    for path, new in changes:
        data = replaced(data, path, new)
    text = yaml.safe_dump(data, allow_unicode=True)
    assert isinstance(outcome(tmp_path / "job.yaml", text), Job | InputError)


EVERY_KEY = yaml.safe_load(EVERYTHING.read_text(encoding="utf-8").replace("bad/own", "."))


@slow_ok
@given(
    st.lists(
        st.tuples(st.sampled_from(places(EVERY_KEY)), VALUES | st.sampled_from(EVERY_KEY["runs"])),
        min_size=1,
        max_size=4,
    )
)
def test_every_key_with_values_replaced(
    tmp_path: Path, changes: list[tuple[tuple[Any, ...], Any]]
) -> None:
    data = EVERY_KEY
    for path, new in changes:
        data = replaced(data, path, new)
    text = yaml.safe_dump(data, allow_unicode=True)
    assert isinstance(outcome(tmp_path / "job.yaml", text), Job | InputError)


@slow_ok
@given(st.lists(st.sampled_from(places(EVERY_KEY)), min_size=1, max_size=3))
def test_every_key_left_out(tmp_path: Path, gone: list[tuple[Any, ...]]) -> None:
    data = EVERY_KEY
    for path in gone:
        data = without(data, path)
    text = yaml.safe_dump(data, allow_unicode=True)
    assert isinstance(outcome(tmp_path / "job.yaml", text), Job | InputError)


def without(value: Any, path: tuple[Any, ...]) -> Any:
    """The value without the key or item at `path`, where that is still in place."""
    step, rest = path[0], path[1:]
    if isinstance(value, dict) and step in value:
        kept = {key: child for key, child in value.items() if key != step or rest}
        return {**kept, step: without(value[step], rest)} if rest else kept
    if isinstance(value, list) and isinstance(step, int) and step < len(value):
        return [*value[:step], *([without(value[step], rest)] if rest else []), *value[step + 1 :]]
    return value


@pytest.mark.parametrize("escape", [r"\0", r"\e[31m", r"\x7f", r"\u202e"])
def test_no_control_character_reaches_a_message(tmp_path: Path, escape: str) -> None:
    text = TEXT.replace("rows: pitch", f'rows: "a{escape}b"').replace(
        "  edge_inset", f'  "edge{escape}inset"'
    )
    error = outcome(tmp_path / "job.yaml", text)
    assert isinstance(error, InputError)
    assert all(line.isprintable() for line in str(error).splitlines())
