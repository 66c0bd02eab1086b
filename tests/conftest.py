"""What tests of several floors share: the repository's folders and the planned example jobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from generator.build import plan_job
from generator.parts.assembly import Assembly
from generator.parts.report import Report
from generator.spec.job import Job

ROOT = Path(__file__).resolve().parent.parent


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


@pytest.fixture(scope="session")
def lake_deck() -> Planned:
    """The demo job."""
    return _planned("lake-deck")
