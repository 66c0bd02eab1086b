"""A build that is interrupted or told to stop: its status, its words, and nothing left behind."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

CHILD = Path(__file__).with_name("stopped.py")


@pytest.mark.parametrize(
    "number, status, said",
    [
        (signal.SIGINT, 130, b"interrupted; former outputs are as they were\n"),
        (signal.SIGTERM, 143, b""),
    ],
)
def test_a_stopped_build_clears_up(root, tmp_path, number, status, said):
    spec = root / "examples" / "straight-leg.yaml"
    with subprocess.Popen(
        [sys.executable, str(CHILD), str(spec), str(tmp_path / "out")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == b"waiting\n"
        process.send_signal(number)
        errors = process.stderr.read()
        assert process.wait(timeout=60) == status
    assert said in errors
    assert b"Traceback" not in errors
    assert list(tmp_path.iterdir()) == []
