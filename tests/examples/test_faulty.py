"""Every faulty example gives the code that it is named after, and no other failure or warning."""

from __future__ import annotations

from pathlib import Path

import pytest

FAULTY = Path(__file__).parents[2] / "examples" / "faulty"
NAMES = sorted(path.stem for path in FAULTY.glob("*.yaml"))


@pytest.mark.parametrize("name", NAMES)
def test_it_gives_its_code_and_no_other(planned, name: str) -> None:
    findings = planned(f"faulty/{name}").report.findings
    open_ = [finding for finding in findings if finding.severity != "note"]
    assert open_
    assert {finding.code for finding in open_} == {name}
    assert all(finding.measured is not None and finding.limit is not None for finding in open_)


def test_there_are_some() -> None:
    assert len(NAMES) >= 5
