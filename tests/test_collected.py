"""Every test file is collected: pytest passes over folders named build, dist and the like."""

from __future__ import annotations

from fnmatch import fnmatch
from pathlib import Path

import pytest


def test_no_folder_of_tests_has_a_name_that_pytest_passes_over(
    pytestconfig: pytest.Config,
) -> None:
    tests = Path(__file__).parent
    passed_over = pytestconfig.getini("norecursedirs")
    folders = {p for path in tests.rglob("test_*.py") for p in path.relative_to(tests).parts[:-1]}
    assert "building" in folders
    assert [f for f in sorted(folders) if any(fnmatch(f, name) for name in passed_over)] == []
