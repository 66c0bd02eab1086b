"""Puts a set of new files into a folder so that a cut-short run leaves the former set whole.

New files are written into a staging folder beside the target. Once all are on disk a plan is
written; from then on the set is the new one, and a run that dies while it moves the files is
finished by the next. A target that is not there yet appears by one rename.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import os
import shutil
import signal
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath

from generator.errors import BuildError, InputError, Problem
from generator.frozen import dataclass

MANIFEST = ".stringline"
"""File in the target that lists the tool's own files, by output; all others are the user's."""

_MARK = ".stringline-"


@dataclass(frozen=True, slots=True)
class Staging:
    """A staging folder: `files` is filled by the caller, `lock` is held while its run lives."""

    folder: Path
    lock: int

    @property
    def files(self) -> Path:
        return self.folder / "files"

    @property
    def plan(self) -> Path:
        return self.folder / "plan"


@contextlib.contextmanager
def staged(target: Path) -> Iterator[Staging]:
    """A staging folder for `target`, after what dead runs left was finished or cleared.

    On leaving, the staging folder is removed.

    Raises:
        InputError: the target cannot be written to.
    """
    target = _usable(target)
    recover(target)
    staging = _open_staging(target)
    try:
        yield staging
    finally:
        # A plan that is still there names moves yet to be made: the next run makes them.
        if not staging.plan.exists():
            shutil.rmtree(staging.folder, ignore_errors=True)
        os.close(staging.lock)


def owned(target: Path) -> dict[str, tuple[str, ...]]:
    """The tool's own files in the target, by output, after its manifest.

    Raises:
        InputError: the manifest cannot be read.
    """
    path = target / MANIFEST
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
        return {kind: tuple(_inside(name) for name in names) for kind, names in document.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, AttributeError, TypeError):
        accepted = "delete it after a look at the folder: it lists the files of the last build"
        raise InputError([Problem(str(path), 0, 0, "", "cannot be read", accepted)]) from None


def swap_in(staging: Staging, target: Path, made: Mapping[str, Iterable[str]]) -> None:
    """Put the staged files, `made` by output, in place of the former ones of the same outputs.

    Raises:
        InputError: a file of the user's stands where one of these belongs.
        BuildError: the disk refused; the former files are whole, or the next run finishes.
    """
    target = target.resolve()
    new = {kind: tuple(names) for kind, names in made.items()}
    try:
        with _uninterrupted(), _locked(target):
            former = owned(target)
            manifest = json.dumps({**former, **new}, indent=1, sort_keys=True) + "\n"
            (staging.files / MANIFEST).write_text(manifest, encoding="utf-8", newline="\n")
            put = [name for names in new.values() for name in names]
            _refuse_foreign(target, put, {name for names in former.values() for name in names})
            _sync_tree(staging.files)
            if not target.exists():
                staging.files.rename(target)
                _sync(target.parent)
                return
            stale = {name for kind in new for name in former.get(kind, ())} - set(put)
            _write_plan(staging, {"put": [*put, MANIFEST], "drop": sorted(stale)})
            _carry_out(staging.folder, target)
    except OSError as error:
        rest = "; the next build moves the rest of the files" if staging.plan.exists() else ""
        raise BuildError(f"{target}: {error.strerror or error}{rest}") from error


def recover(target: Path) -> None:
    """Finish or clear what dead runs have left for this target; leave running ones alone.

    Raises:
        InputError: a plan of a dead run cannot be carried out.
    """
    pattern = f".{_escaped(target.name)}{_MARK}*"
    for home in (target.parent, target):
        for folder in sorted(home.glob(pattern)):
            lock = _take(folder)
            if lock is None:
                continue
            try:
                _settle(folder, target)
            finally:
                os.close(lock)


def _settle(folder: Path, target: Path) -> None:
    """Carry out the plan of a dead run if it has one, and clear its staging folder."""
    try:
        if (folder / "plan").exists():
            with _uninterrupted(), _locked(target):
                _carry_out(folder, target)
    except (OSError, ValueError, KeyError, TypeError) as error:
        read = f"a build that was cut short cannot be finished ({error})"
        raise InputError(
            [Problem(str(target), 0, 0, "", read, f"delete {folder}, then build again")]
        ) from error
    shutil.rmtree(folder, ignore_errors=True)


def _usable(target: Path) -> Path:
    """The target's real path, its parent made.

    Raises:
        InputError: it is no folder, or nothing can be written there.
    """
    target = target.resolve()
    accepted = "choose a folder that can be written to with -o"
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        read = f"cannot make the folder: {error.strerror}"
        raise InputError([Problem(str(target.parent), 0, 0, "", read, accepted)]) from None
    if target.exists() and not target.is_dir():
        raise InputError([Problem(str(target), 0, 0, "", "is a file", accepted)])
    folder = target if target.exists() else target.parent
    if not os.access(folder, os.W_OK | os.X_OK):
        raise InputError([Problem(str(folder), 0, 0, "", "cannot be written to", accepted)])
    return target


def _home(target: Path) -> Path:
    """Where the staging folder goes: beside the target, or in it where a move would not reach."""
    parent = target.parent
    if target.exists() and (
        target.stat().st_dev != parent.stat().st_dev or not os.access(parent, os.W_OK | os.X_OK)
    ):
        return target
    return parent


def _open_staging(target: Path) -> Staging:
    """A new staging folder, locked; another run may clear it before it is, hence the attempts."""
    for _ in range(10):
        folder = Path(tempfile.mkdtemp(prefix=f".{target.name}{_MARK}", dir=_home(target)))
        lock = _take(folder)
        if lock is not None and folder.exists():
            staging = Staging(folder, lock)
            staging.files.mkdir()
            return staging
    raise BuildError(f"{target}: other builds keep clearing the temporary folder")


def _take(folder: Path) -> int | None:
    """The lock of a staging folder, or None where its run lives or it is gone."""
    try:
        lock = os.open(folder / "lock", os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:
        return None
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(lock)
        return None
    return lock


@contextlib.contextmanager
def _locked(target: Path) -> Iterator[None]:
    """Two runs move their files one after the other, where the file system has locks."""
    lock = os.open(target.parent, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield
    finally:
        os.close(lock)


@contextlib.contextmanager
def _uninterrupted() -> Iterator[None]:
    """Ctrl-C and a request to stop wait until the files are moved: it takes milliseconds."""
    held = {signal.SIGINT, signal.SIGTERM, signal.SIGHUP}
    before = signal.pthread_sigmask(signal.SIG_BLOCK, held)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _refuse_foreign(target: Path, put: Iterable[str], own: set[str]) -> None:
    accepted = "move it away, or choose another folder with -o"
    problems = [
        Problem(str(target / name), 0, 0, "", "is there and not from stringline", accepted)
        for name in put
        if name not in own and os.path.lexists(target / name)
    ]
    problems += [
        Problem(str(target / name), 0, 0, "", "is a folder where a file belongs", accepted)
        for name in own
        if (target / name).is_dir()
    ]
    if problems:
        raise InputError(problems)


def _write_plan(staging: Staging, plan: Mapping[str, list[str]]) -> None:
    """The point of no return: from here on the new set is the one that counts."""
    draft = staging.folder / "plan.draft"
    draft.write_text(json.dumps(plan), encoding="utf-8")
    _sync(draft)
    draft.rename(staging.plan)
    _sync(staging.folder)


def _carry_out(folder: Path, target: Path) -> None:
    """Make every move of a plan that is not made yet, then strike the plan."""
    plan = json.loads((folder / "plan").read_text(encoding="utf-8"))
    for name in plan["put"]:
        source, place = folder / "files" / _inside(name), target / name
        if source.exists():
            place.parent.mkdir(parents=True, exist_ok=True)
            source.replace(place)
    for name in plan["drop"]:
        (target / _inside(name)).unlink(missing_ok=True)
    _sync(target)
    (folder / "plan").unlink()


def _inside(name: str) -> str:
    """A name in a manifest or plan, which must stay inside the folder.

    Raises:
        ValueError: it leads out.
    """
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or not path.parts:
        raise ValueError(name)
    return name


def _escaped(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


def _sync_tree(folder: Path) -> None:
    for path in sorted(folder.rglob("*")):
        _sync(path)
    _sync(folder)


def _sync(path: Path) -> None:
    """Onto the disk, not only into its cache."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
