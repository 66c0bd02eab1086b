"""Every module can be imported alone, and no command loads what it does not need."""

from __future__ import annotations

import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest

import generator

HEAVY = ("cadquery", "OCP", "ezdxf", "trimesh", "scipy", "vtk", "highspy")
ALONE = Path(__file__).with_name("alone.py")


def python(*argv: str, root: Path) -> str:
    done = subprocess.run(
        [sys.executable, *argv], cwd=root, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def modules() -> list[str]:
    return [
        "generator",
        *(m.name for m in pkgutil.walk_packages(generator.__path__, "generator.")),
    ]


def test_every_module_is_imported_alone(root):
    names = modules()
    assert len(names) > 40
    assert python("-W", "error", str(ALONE), *names, root=root) == ""


@pytest.mark.parametrize(
    "call",
    [
        ("check", "examples/lake-deck.yaml"),
        ("check", "examples/lake-deck.yaml", "--schedules"),
        ("check", "examples/lake-deck.yaml", "--format", "json"),
        ("build", "examples/lake-deck.yaml", "--only", "csv,json,pdf", "-o", "{out}"),
        ("catalog",),
        ("explain",),
        ("schema", "job"),
        ("schema", "results"),
    ],
    ids=" ".join,
)
def test_the_kernel_and_the_drawing_library_stay_unloaded(root, tmp_path, call):
    argv = [word.format(out=tmp_path) for word in call]
    loaded = (
        "import sys; from generator.cli import main; status = main(sys.argv[1:]); "
        f"sys.stderr.write(repr([m for m in {HEAVY!r} if m in sys.modules])); "
        "sys.exit(status)"
    )
    done = subprocess.run(
        [sys.executable, "-c", loaded, *argv], cwd=root, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.splitlines()[-1].endswith("[]")


def test_the_command_itself_loads_next_to_nothing(root):
    code = (
        "import sys; import generator.cli; "
        "print([m for m in ('numpy', 'pydantic', 'yaml', 'difflib', 'json') if m in sys.modules])"
    )
    assert python("-c", code, root=root) == "[]\n"
