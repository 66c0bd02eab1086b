"""The permit set of a job with the clouds of a revision where a former build is named."""

from __future__ import annotations

from pathlib import Path

from generator.drawings.sheet_set import sheet_set
from generator.drawings.sheets import SheetSet
from generator.parts.assembly import Assembly
from generator.parts.report import Report


def permit_set(assembly: Assembly, report: Report, *, strength: bool = True) -> SheetSet:
    """The sheets of a job; `drawings.since` of the job names the results of a former build.

    Without `strength` the summary of its calculation is left out.

    Raises:
        InputError: that document cannot be read.
    """
    since = assembly.job.drawings.since
    if not since:
        return sheet_set(assembly, report, strength=strength)
    from generator.drawings.revise import changes_since
    from generator.results import results

    now = results(assembly, report).model_dump(mode="json")
    return sheet_set(assembly, report, changes_since(Path(since), now), strength=strength)
