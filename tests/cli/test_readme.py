"""The README keeps its word: its job is the demo job, its commands and links exist."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generator.cli import main
from generator.spec import read_job
from generator.spec.leg_models import FlightSpec, GradeSpec, LevelSpec
from generator.spec.models import GuardSpec, StructureSpec


@pytest.fixture(scope="module")
def readme(root) -> str:
    return (root / "README.md").read_text(encoding="utf-8")


def test_the_job_explained_is_the_demo_job(readme, root, tmp_path):
    spec = tmp_path / "lake-deck.yaml"
    spec.write_text("".join(re.findall(r"```yaml\n(.*?)```", readme, re.DOTALL)), encoding="utf-8")
    assert read_job(spec) == read_job(root / "examples" / "lake-deck.yaml")


@pytest.mark.parametrize("model", [GuardSpec, StructureSpec, LevelSpec, FlightSpec, GradeSpec])
def test_every_measure_is_explained(readme, model):
    keys = sorted(model.model_fields)
    assert keys
    assert [key for key in keys if not re.search(rf"`{key}`|`[^`]*\b{key}:|\b{key}:", readme)] == []


def legs_explained(readme: str) -> list[str]:
    """The legs that the table of what else can be said shows, as they are to be written."""
    table = readme.partition("| to say | write |")[2].partition("\n\n")[0]
    return [leg for leg in re.findall(r"`([^`]+)` \|$", table, re.MULTILINE) if "{" in leg]


def test_what_else_can_be_said_is_read(readme, tmp_path):
    legs = [*legs_explained(readme), "opening: 36 in"]
    assert len(legs) == 10
    spec = tmp_path / "job.yaml"
    for leg in legs:
        items = "".join(f"      - {item}\n" for item in ("level: 9 ft", leg, "level: 9 ft"))
        head = "job: {title: a deck, rules: irc-2021}\nsystem: {}\nruns:\n  - legs:\n"
        spec.write_text(head + items, encoding="utf-8")
        assert len(read_job(spec).runs[0].legs) == 3


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
