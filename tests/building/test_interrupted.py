"""Builds that are killed, stopped or interrupted: the former outputs stay whole.

A kill is placed at every renaming, removal and folder-making of a build in turn, by the audit
events of Python (PEP 578), so that no moment between two changes of the disk is left out.
"""

from __future__ import annotations

import contextlib
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.errors import InputError
from generator.swap import MANIFEST, recover, staged

CHILD = Path(__file__).with_name("killed.py")
NAMES = ("one.txt", "two.txt", "three.txt")
MINE = "notes of my own\n"


def child(target: Path, words: str, *more: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(CHILD), str(target), words, *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@contextlib.contextmanager
def paused(target: Path, words: str) -> Iterator[subprocess.Popen[str]]:
    """A build that waits in the middle of an output; at the latest killed on leaving."""
    with child(target, words, "pause") as process:
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == "paused\n"
            yield process
        finally:
            process.kill()


def build(target: Path, words: str, *more: str) -> int:
    with child(target, words, *more) as process:
        _, errors = process.communicate(timeout=60)
    assert process.returncode in (0, -signal.SIGKILL), errors
    return process.returncode


def outputs(target: Path) -> dict[str, str]:
    return {name: (target / name).read_text() for name in NAMES if (target / name).exists()}


def whole(words: str) -> dict[str, str]:
    return {f"{n}.txt": f"{n} {words}\n" for n in ("one", "two", "three")}


def hidden(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if ".stringline-" in path.name)


@pytest.fixture
def target(tmp_path: Path) -> Path:
    """A folder with the outputs of a former build and a file of the user's."""
    folder = tmp_path / "job"
    assert build(folder, "old") == 0
    (folder / "mine.txt").write_text(MINE)
    return folder


def kills(event: str, target: Path) -> int:
    """Kill a build at every occurrence of an event; how many there were."""
    for number in range(1, 100):
        assert build(target, "old") == 0
        died = build(target, "new", event, str(number)) != 0
        shown = outputs(target)
        # Each file is an old or a new one, never a part of one, and none is missing.
        assert all(text in (whole("old")[name], whole("new")[name]) for name, text in shown.items())
        assert len(shown) == len(NAMES)
        recover(target)
        assert outputs(target) in (whole("old"), whole("new"))
        assert hidden(target.parent) == []
        assert (target / "mine.txt").read_text() == MINE
        if not died:
            assert outputs(target) == whole("new")
            return number - 1
    raise AssertionError("the build never came to its end")


@pytest.mark.parametrize("event, least", [("os.rename", 5), ("os.mkdir", 2)])
def test_killed_at_every_change_of_the_disk(target, event, least):
    assert kills(event, target) >= least


@pytest.mark.parametrize("event", ["open", "os.remove", "os.rmdir", "os.scandir"])
def test_killed_at_every_other_touch_of_the_disk(target, event):
    assert kills(event, target) >= 1


def test_killed_before_the_first_build_is_done_leaves_no_folder(tmp_path):
    folder = tmp_path / "job"
    number = 1
    while build(folder, "new", "os.rename", str(number)) != 0:
        assert not folder.exists()
        number += 1
    assert number > 1
    assert outputs(folder) == whole("new")
    assert hidden(tmp_path) == []


def test_killed_in_the_middle_of_an_output_changes_nothing(target):
    with paused(target, "new"):
        pass
    assert outputs(target) == whole("old")
    assert len(hidden(target.parent)) == 1
    assert build(target, "next") == 0
    assert outputs(target) == whole("next")
    assert hidden(target.parent) == []
    assert (target / "mine.txt").read_text() == MINE


def test_interrupt_in_the_middle_of_an_output_clears_up(target):
    with paused(target, "new") as process:
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=60) != 0
    assert outputs(target) == whole("old")
    assert hidden(target.parent) == []


def test_another_build_leaves_a_running_one_alone(target):
    with paused(target, "first"):
        assert build(target, "second") == 0
        assert outputs(target) == whole("second")
        assert len(hidden(target.parent)) == 1  # the first one's, still in use
    recover(target)
    assert outputs(target) == whole("second")
    assert hidden(target.parent) == []


def test_two_builds_at_once_end_with_the_whole_set_of_one(target):
    with child(target, "left") as left, child(target, "right") as right:
        assert [process.wait(timeout=60) for process in (left, right)] == [0, 0]
    assert outputs(target) in (whole("left"), whole("right"))
    assert hidden(target.parent) == []


def test_a_plan_that_leads_out_of_the_folder_is_not_carried_out(tmp_path, target):
    staging = tmp_path / ".job.stringline-evil"
    (staging / "files").mkdir(parents=True)
    (staging / "plan").write_text('{"put": [], "drop": ["../outside.txt"]}')
    outside = tmp_path / "outside.txt"
    outside.write_text("not yours")
    with pytest.raises(InputError, match="cannot be finished"):
        recover(target)
    assert outside.read_text() == "not yours"


def test_staging_is_beside_the_target_and_gone_afterwards(target):
    with staged(target) as staging:
        assert staging.folder.parent == target.parent
        assert hidden(target.parent) == [staging.folder.name]
    assert hidden(target.parent) == []
    assert (target / MANIFEST).is_file()


def test_staging_is_inside_a_target_whose_parent_cannot_be_written_to(target, monkeypatch):
    def access(path, _mode):
        return Path(path) != target.parent

    monkeypatch.setattr("generator.swap.os.access", access)
    with staged(target) as staging:
        assert staging.folder.parent == target
        left = staging.folder / "files" / "half.txt"
        left.write_text("half")
    assert hidden(target) == []
    (target / ".job.stringline-dead" / "files").mkdir(parents=True)
    recover(target)
    assert hidden(target) == []
    assert outputs(target) == whole("old")


def test_new_folder_has_the_rights_of_any_new_folder(target, tmp_path):
    plain = tmp_path / "plain"
    plain.mkdir()
    assert target.stat().st_mode == plain.stat().st_mode
