"""The workbench as a fixture: tests are no package, so that it is loaded by its file."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def bench() -> ModuleType:
    """Made-up tasks, plain first-fit-decreasing, brute force, and a plan looked over."""
    path = Path(__file__).with_name("workbench.py")
    spec = importlib.util.spec_from_file_location("workbench", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
