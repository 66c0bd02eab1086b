"""The wheel: what is in it, and that it runs without the repository, its profiles inside."""

from __future__ import annotations

import json
import os
import site
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(root, tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("dist")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, root],
        check=True,
        capture_output=True,
        timeout=300,
    )
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory) -> Path:
    """A new environment with the wheel; its dependencies are those of the tests' environment."""
    folder = tmp_path_factory.mktemp("env")
    venv.create(folder, with_pip=False, symlinks=True)
    python = folder / "bin" / "python"
    (packages,) = folder.glob("lib/python*/site-packages")
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            python,
            "install",
            "--no-deps",
            "--no-index",
            wheel,
        ],
        check=True,
        capture_output=True,
        timeout=300,
    )
    # Only folders of packages: the editable install of the repository hangs on its own .pth file,
    # which is not read from a path that is added this way.
    (packages / "dependencies.pth").write_text("\n".join(site.getsitepackages()) + "\n")
    return folder


def run(installed: Path, cwd: Path, *argv: str) -> str:
    clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    done = subprocess.run(
        [installed / "bin" / "stringline", *argv],
        cwd=cwd,
        env=clean,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_wheel_holds_code_profiles_and_licence_and_nothing_else(wheel, root):
    names = zipfile.ZipFile(wheel).namelist()
    profiles = {
        p.relative_to(root / "profiles").as_posix() for p in (root / "profiles").rglob("*.*")
    }
    inside = {n.removeprefix("generator/profiles_data/") for n in names if "/profiles_data/" in n}
    assert inside == profiles
    assert len(profiles) > 20
    code = {p.relative_to(root).as_posix() for p in (root / "generator").rglob("*.py")}
    assert code <= set(names)
    others = ("viewer/web/page.js", "viewer/web/page.css", "viewer/web/page.html")
    fonts = ("paper/fonts/LiberationSans-Regular.ttf", "paper/fonts/LICENSE.txt")
    assert {f"generator/{name}" for name in (*others, *fonts)} <= set(names)
    assert not any("node_modules" in name for name in names)
    tops = {name.split("/")[0] for name in names}
    assert len(tops) == 2
    assert "generator" in tops
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_wheel_runs_from_its_own_files(installed, tmp_path):
    code = (
        "import generator, generator.catalog; "
        "print(generator.__file__, generator.catalog.shipped())"
    )
    done = subprocess.run(
        [installed / "bin" / "python", "-c", code],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    module, profiles = done.stdout.split()
    assert module.startswith(str(installed))
    assert profiles.startswith(str(installed))
    assert profiles.endswith("profiles_data")


def test_wheel_makes_a_job_and_checks_it(installed, tmp_path):
    run(installed, tmp_path, "new", "job.yaml")
    document = json.loads(run(installed, tmp_path, "check", "job.yaml", "--format", "json"))
    assert document["status"] == "pass"
    assert len(document["posts"]) > 4


def test_wheel_builds_every_output(installed, tmp_path):
    run(installed, tmp_path, "new", "job.yaml")
    run(installed, tmp_path, "build", "job.yaml")
    written = {path.name for path in (tmp_path / "outputs" / "job").iterdir()}
    assert {"model.step", "drawings.dxf", "cut-list.csv", "results.json"} <= written


def test_wheel_shows_catalog_and_codes(installed, tmp_path):
    assert "al-square-2.5" in run(installed, tmp_path, "catalog")
    assert "R312.1.2" in run(installed, tmp_path, "explain", "height.level")
