"""What tests of several floors share: the repository's folders and the planned example jobs."""

from __future__ import annotations

import json
from collections.abc import Callable, Generator, Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import settings

from generator.build import plan_job
from generator.checks import run
from generator.layout import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.parts.report import Edit, Report
from generator.results.edits import edited
from generator.spec import read_job
from generator.spec.job import Job
from generator.textfile import Document, Mark

ROOT = Path(__file__).resolve().parent.parent

# Parts that have the geometry of the demo job's, of aluminium.
LIGHT = {"post": "al-square-2.5", "bracket": "al-saddle", "anchor": "through-bolt-3_8"}

# A machine that does other work at once is no fault of an example.
settings.register_profile("stringline", deadline=None, derandomize=True)
settings.load_profile("stringline")


def _none_is_missing(report: pytest.TestReport | pytest.CollectReport) -> None:
    """A library that the lock installs is there: tests that would be left out without it fail."""
    if report.skipped and "could not import" in str(report.longrepr):
        report.outcome, report.longrepr = "failed", f"not to be left out: {report.longrepr}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    _none_is_missing(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    _none_is_missing(report)
    return report


@dataclass(frozen=True)
class Planned:
    """A job read, laid out and checked."""

    job: Job
    assembly: Assembly
    report: Report


@cache
def _planned(name: str) -> Planned:
    return Planned(*plan_job(ROOT / "examples" / f"{name}.yaml"))


@pytest.fixture(scope="session")
def root() -> Path:
    """The repository."""
    return ROOT


@pytest.fixture(scope="session")
def planned() -> Callable[[str], Planned]:
    """An example by the name of its file, planned once for all tests."""
    return _planned


@cache
def _light(name: str) -> Planned:
    own = ROOT / "tests" / "worked" / f"{name}.yaml"
    return Planned(*plan_job(own)) if own.is_file() else _planned(name)


@pytest.fixture(scope="session")
def light() -> Callable[[str], Planned]:
    """An example with the light parts that it had when its numbers were worked by hand.

    Its strength is left out, as those parts do not hold. Others are as they are.
    """
    return _light


@pytest.fixture(scope="session")
def light_values() -> Callable[[str], dict[str, Any]]:
    """The plain values of such a spec, a fresh copy to be changed."""

    def values(name: str) -> dict[str, Any]:
        own = ROOT / "tests" / "worked" / f"{name}.yaml"
        return (
            yaml.safe_load(own.read_text(encoding="utf-8"))
            if own.is_file()
            else deepcopy(_values(name))
        )

    return values


@pytest.fixture(scope="session")
def lake_deck() -> Planned:
    """The demo job."""
    return _planned("lake-deck")


@cache
def _values(name: str) -> dict[str, Any]:
    return yaml.safe_load((ROOT / "examples" / f"{name}.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def spec_values() -> Callable[[str], dict[str, Any]]:
    """The plain values of an example's spec, a fresh copy to be changed."""
    return lambda name: deepcopy(_values(name))


@pytest.fixture(scope="session")
def read_values(tmp_path_factory: pytest.TempPathFactory) -> Callable[[dict[str, Any]], Job]:
    """The job that the plain values of a spec stand for, read like any file."""
    path = tmp_path_factory.mktemp("specs") / "job.yaml"

    def read(values: dict[str, Any]) -> Job:
        path.write_text(json.dumps(values), encoding="utf-8")  # JSON is YAML
        return read_job(path)

    return read


@pytest.fixture(scope="session")
def with_edits() -> Callable[[dict[str, Any], Iterable[Edit]], dict[str, Any]]:
    """A copy of a spec's plain values with the changes of a finding made, as `--suggest` does."""

    def make(values: dict[str, Any], edits: Iterable[Edit]) -> dict[str, Any]:
        document = Document("job.yaml", deepcopy(values), {(): Mark(1, 1)}, {})
        changed: Any = edited(document, {edit.path: edit.value for edit in edits}).data
        return changed

    return make


@pytest.fixture(scope="session")
def light_lake_deck(read_values: Callable[[dict[str, Any]], Job]) -> Planned:
    """The demo job of light parts, its strength left out: what was worked out by hand for it."""
    values = deepcopy(_values("lake-deck"))
    values["system"] |= LIGHT
    values["guard"]["tension"] = "200 lbf"
    values.pop("strength")
    job = read_values(values)
    assembly = assemble(layout(job))
    return Planned(job, assembly, run(assembly))


@pytest.fixture(scope="session")
def job_of(read_values: Callable[[dict[str, Any]], Job]) -> Callable[..., Job]:
    """A job of one run, built of parts with the lake deck's geometry.

    `legs` are written as in a spec; bare lengths are in `units`, millimetres where none are given.
    `closed` makes a loop of them, `more` are runs that follow; `system` changes single profiles and
    `structure` replaces what the posts stand on. Other keywords are measures of `guard`.
    """

    def make(
        legs: list[dict[str, Any]],
        *,
        units: str = "mm",
        deck: str = "left",
        start: dict[str, Any] | None = None,
        end: str = "free",
        stock: list[Any] | None = None,
        closed: str | dict[str, Any] | None = None,
        more: Sequence[dict[str, Any]] = (),
        system: dict[str, Any] | None = None,
        structure: dict[str, Any] | None = None,
        **guard: object,
    ) -> Job:
        values = deepcopy(_values("lake-deck"))
        values["job"]["units"] = units
        begin = {"x": 0, "y": 0, "z": "4 ft", "bearing": 0, "end": "free", **(start or {})}
        run = {"id": "A", "start": begin, "deck": deck, "legs": legs, "end": end}
        if closed:
            # A loop has no ends.
            del begin["end"], run["end"]
            run["closed"] = closed
        values |= {"guard": guard, "runs": [run, *more]}
        # Light parts, with the tension that is the default: the demo job has heavier ones.
        values["system"] |= {**LIGHT, **(system or {})}
        values.pop("strength")
        values["structure"] = structure or values["structure"]
        values.pop("stock")
        if stock:
            values["stock"] = {"rail": [{"length": length} for length in stock]}
        return read_values(values)

    return make
