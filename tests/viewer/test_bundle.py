"""The committed script of the page is what its sources build, with the locked tools."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

WEB = Path(__file__).parents[2] / "generator" / "viewer" / "web"


@pytest.mark.slow
def test_the_bundle_is_what_the_sources_build(tmp_path: Path) -> None:
    """`npm ci` takes the locked versions; esbuild gives equal bytes for equal input."""
    work = tmp_path / "web"
    work.mkdir()
    for name in ("package.json", "package-lock.json"):
        shutil.copy(WEB / name, work / name)
    shutil.copytree(WEB / "src", work / "src")
    npm = shutil.which("npm")
    assert npm, "npm is part of the machine that tests this"
    for call in (["ci", "--no-audit", "--no-fund", "--silent"], ["run", "--silent", "build"]):
        subprocess.run([npm, *call], cwd=work, check=True, env=os.environ, capture_output=True)
    assert (work / "page.js").read_bytes() == (WEB / "page.js").read_bytes()


def test_the_bundle_carries_the_licence_of_what_it_bundles() -> None:
    text = (WEB / "page.js").read_text(encoding="utf-8")
    assert "SPDX-License-Identifier: MIT" in text
    assert "Three.js" in text
