"""Faulty profiles: every fault of a file is told at once, with its line and what is accepted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.catalog import Catalog
from generator.catalog.tables import Profile
from generator.errors import InputError, Problem

TABLE: dict[str, Any] = yaml.safe_load(
    Path(__file__).with_name("faults.yaml").read_text(encoding="utf-8")
)
WHOLE: dict[str, str] = TABLE["whole"]
FAULTS: list[dict[str, Any]] = TABLE["faults"]


def written(folder: Path, kind: str, text: str, name: str = "test") -> Path:
    """A folder of profiles that holds one file."""
    (folder / kind).mkdir(exist_ok=True)
    (folder / kind / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("kind", WHOLE)
def test_the_profiles_that_are_broken_here_are_whole_to_begin_with(
    tmp_path: Path, kind: str
) -> None:
    profile = Catalog((written(tmp_path, kind, WHOLE[kind]),)).get(kind, "test")
    assert profile.name == "test"


@pytest.mark.parametrize("fault", FAULTS, ids=[fault["what"] for fault in FAULTS])
def test_faulty_file(tmp_path: Path, fault: dict[str, Any]) -> None:
    kind, whole = fault["kind"], WHOLE[fault["kind"]]
    old = fault.get("old", whole)
    assert whole.count(old) == 1
    catalog = Catalog((written(tmp_path, kind, whole.replace(old, fault["new"])),))
    with pytest.raises(InputError) as caught:
        catalog.get(kind, "test")
    place = f"{tmp_path.as_posix()}/{kind}/test.yaml:"
    assert str(caught.value).splitlines() == [place + line for line in fault["told"]]
    assert all(problem.line and problem.column for problem in caught.value.problems)


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = WHOLE["posts"].replace("3/16 in", "3 in").replace("plate: 5 in", "plate: 1 ksi")
    catalog = Catalog((written(tmp_path, "posts", text + "extra: 1\n"),))
    with pytest.raises(InputError) as caught:
        catalog.get("posts", "test")
    found = [(problem.line, problem.field) for problem in caught.value.problems]
    assert found == [(5, "wall"), (6, "plate"), (12, "extra")]


def test_a_file_that_cannot_be_read_is_told_too(tmp_path: Path) -> None:
    catalog = Catalog((written(tmp_path, "posts", "wall: 'open"),))
    with pytest.raises(
        InputError, match=r"test\.yaml:1:7: wall: read a quote that is never closed"
    ):
        catalog.get("posts", "test")


SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(("1/0 in", "1e308 m", "-0 in", "1e-300 mm", "nan", "9" * 90 + " lbf", "5 %")),
)
VALUES = st.one_of(
    SCALARS,
    st.lists(SCALARS, max_size=3),
    st.dictionaries(st.sampled_from(("value", "source", "verified", "invented", "x")), SCALARS),
)


@given(kind=st.sampled_from(sorted(WHOLE)), value=VALUES, place=st.integers(0, 30))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_value_is_read_or_refused_with_its_place(
    tmp_path: Path, kind: str, value: object, place: int
) -> None:
    data: dict[str, object] = yaml.safe_load(WHOLE[kind])
    within: dict[str, object] = data
    limits = data.get("limits")
    if isinstance(limits, dict) and place % 2:
        within = limits
    within[sorted(within)[place % len(within)]] = value
    written(tmp_path, kind, yaml.safe_dump(data))
    profile, problems = tried(Catalog((tmp_path,)), kind)
    assert (profile is None) == bool(problems)
    assert all(problem.accepted.startswith("accepted ") for problem in problems)


def tried(catalog: Catalog, kind: str) -> tuple[Profile | None, tuple[Problem, ...]]:
    """The profile, or what is wrong with it; any other error goes on."""
    try:
        return catalog.get(kind, "test"), ()
    except InputError as error:
        return None, error.problems
