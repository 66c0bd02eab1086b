"""The README keeps its word: its job is the demo job, its commands and links exist."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pytest

from generator.cli import main
from generator.spec import read_job


@pytest.fixture(scope="module")
def readme(root) -> str:
    return (root / "README.md").read_text(encoding="utf-8")


def test_the_job_explained_is_the_demo_job(readme, root, tmp_path):
    spec = tmp_path / "lake-deck.yaml"
    spec.write_text("".join(re.findall(r"```yaml\n(.*?)```", readme, re.DOTALL)), encoding="utf-8")
    assert read_job(spec) == read_job(root / "examples" / "lake-deck.yaml")


def test_every_measure_of_the_guard_is_explained(readme, lake_deck):
    keys = {
        field.name.rpartition("_")[0] if field.name != "rows" else "rows"
        for field in dataclasses.fields(lake_deck.job.guard)
    }
    assert len(keys) > 10
    assert [key for key in sorted(keys) if f"`{key}`" not in readme] == []


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "outputs/README.md"])
def test_links_lead_somewhere(root, page):
    text = (root / page).read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+)\)", text)
    assert [link for link in links if not (root / page).parent.joinpath(link).exists()] == []
    named = re.findall(r"`((?:generator|tests|examples|profiles)/[\w./-]+\.(?:py|yaml))`", text)
    assert [name for name in named if not (root / name).exists()] == []


def test_commands_named_are_commands(readme, capsys):
    called = set(re.findall(r"stringline\s+(?=[a-z])([a-z]+)", readme))
    assert called >= {"new", "check", "build", "catalog", "explain", "schema"}
    for command in called:
        with pytest.raises(SystemExit) as stop:
            main([command, "--help"])
        assert stop.value.code == 0, command
        assert capsys.readouterr().out


def test_make_targets_named_are_targets(root):
    targets = set(re.findall(r"^([a-z-]+):", (root / "Makefile").read_text(), re.MULTILINE))
    for page in ("README.md", "DEVELOPERS.md"):
        text = Path(root / page).read_text(encoding="utf-8")
        named = set(re.findall(r"(?:^|`|&& )make ([a-z-]+)", text, re.MULTILINE))
        assert named
        assert named <= targets
