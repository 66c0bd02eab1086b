"""The faulty examples of stairs and handrails: each gives its own code and no other failure."""

from __future__ import annotations

import re
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.checks import run
from generator.checks.codes import CODES
from generator.checks.codes_stairs import STAIR_CODES
from generator.layout import layout
from generator.parts.build import assemble

FAULTY = Path(__file__).parents[2] / "examples" / "faulty"
NAMES = sorted(code.code for code in STAIR_CODES)


def troubles(findings) -> set[tuple[str, str]]:
    return {(f.code, f.severity) for f in findings if f.severity != "note"}


def test_every_code_of_stairs_and_handrails_has_one() -> None:
    assert sorted(path.stem for path in FAULTY.glob("stair.*.yaml")) == NAMES[-4:]
    assert sorted(path.stem for path in FAULTY.glob("handrail.*.yaml")) == NAMES[:-4]


@pytest.mark.parametrize("name", NAMES)
def test_it_gives_its_code_and_nothing_else(planned, name: str) -> None:
    report = planned(f"faulty/{name}").report
    assert troubles(report.findings) == {(name, CODES[name].severity)}
    text = (FAULTY / f"{name}.yaml").read_text(encoding="utf-8")
    assert name in text
    assert "An invented job." in text


@pytest.mark.parametrize("name", NAMES)
def test_its_edits_clear_it_and_bring_no_failure(planned, read_values, name: str) -> None:
    edits = [
        finding.edits
        for finding in planned(f"faulty/{name}").report.findings
        if finding.code == name and finding.edits
    ]
    if name in EDITED:
        assert edits
    values = yaml.safe_load((FAULTY / f"{name}.yaml").read_text(encoding="utf-8"))
    for one in edits:
        mended = deepcopy(values)
        for edit in one:
            put(mended, edit.path, edit.value)
        after = run(assemble(layout(read_values(mended)))).findings
        assert name not in {code for code, _ in troubles(after)}
        assert "fail" not in {severity for _, severity in troubles(after)}


# The others are mended by words alone: what stands there already, or what others build.
EDITED = {"stair.riser", "stair.tread", "stair.width", "handrail.required", "handrail.grip"}
EDITED |= {"handrail.clearance", "handrail.projection", "handrail.return"}


def put(values: dict[str, Any], path: str, text: str) -> None:
    """The field at a path such as runs[0].legs[2].stair.tread set; counts as whole numbers."""
    steps = [int(n) if n else key for n, key in re.findall(r"\[(\d+)\]|([^.\[\]]+)", path)]
    holder: Any = values
    for step in steps[:-1]:
        holder = holder[step]
    holder[steps[-1]] = int(text) if text.isdigit() else text
