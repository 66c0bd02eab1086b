"""The time budget of `check`, held by the benchmark that measures it."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.slow
def test_check_takes_at_most_three_times_its_floor(root):
    # The limit is the project's own (design of the commands), the floor is measured beside it.
    done = subprocess.run(
        [sys.executable, "tests/bench/bench_check.py"],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "ratio" in done.stdout
