"""The straight line from a spec file to its outputs: plan the job, make the files, swap them in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from generator.errors import BuildError, InputError, StringlineError
from generator.frozen import dataclass
from generator.outputs import Output, Product, Progress
from generator.parts.assembly import Assembly
from generator.parts.report import Report
from generator.spec.job import Job
from generator.swap import staged, swap_in

if TYPE_CHECKING:
    from generator.results.suggest import Suggestion


@dataclass(frozen=True, slots=True)
class Written:
    """One file that a build has written."""

    path: Path
    description: str


def plan_job(
    path: Path, profiles: Sequence[Path] = (), *, strength: bool = True
) -> tuple[Job, Assembly, Report]:
    """A spec file read, laid out and checked; `profiles` are folders that win over those shipped.

    Without `strength` it is left out.

    Raises:
        InputError: everything that is wrong with the file.
    """
    from generator.checks.codes import CODES
    from generator.spec import placed, read_job

    job = read_job(path, profiles=tuple(profiles), codes=CODES)
    try:
        return job, *_planned(job, strength)
    except InputError as error:
        raise placed(error, path) from None


def suggested(
    path: Path, profiles: Sequence[Path], report: Report, *, strength: bool = True
) -> Suggestion:
    """The smallest set of changes of a spec file that clears the failures of its report.

    Each variant is planned in memory; the file stays as it is.

    Raises:
        InputError: the file cannot be read any more.
    """
    from generator.checks.codes import CODES
    from generator.results.edits import NoSuchPlace, edited
    from generator.results.suggest import suggest
    from generator.spec import job_of
    from generator.textfile import read_yaml

    document = read_yaml(path)

    def plan(edits: Mapping[str, str]) -> Report | None:
        try:
            job = job_of(edited(document, edits), profiles=tuple(profiles), codes=CODES)
            return _planned(job, strength)[1]
        except (NoSuchPlace, StringlineError):
            return None

    return suggest(document, report, plan)


def _planned(job: Job, strength: bool) -> tuple[Assembly, Report]:
    from generator.checks import run
    from generator.layout.lay_out import layout
    from generator.parts.build import assemble

    assembly = assemble(layout(job))
    return assembly, run(assembly, strength=strength)


def write_outputs(
    assembly: Assembly,
    report: Report,
    target: Path,
    outputs: Iterable[Output],
    progress: Progress,
    *,
    strength: bool = True,
) -> tuple[Written, ...]:
    """Write these outputs into the folder `target`: all of them, or none.

    Files that are `left_out` (outputs.py) of a job, or without `strength`, are not among them.

    Former files of the same outputs are replaced or removed, everything else in the folder stays.

    Raises:
        InputError: the target cannot be used.
        BuildError: an output could not be made; the former ones are whole.
    """
    made: dict[str, tuple[str, ...]] = {}
    written: list[Written] = []
    with staged(target) as staging:
        product = Product(assembly, report, staging.files, progress, strength)
        for output in outputs:
            files = [(n, words) for n, words in output.files if n not in product.left_out]
            if files:
                progress(f"writing {', '.join(name for name, _ in files)}")
            _make(output, product)
            made[output.kind] = tuple(name for name, _ in files)
            written += [Written(target / name, words) for name, words in files]
        swap_in(staging, target, made)
    return tuple(written)


def _make(output: Output, product: Product) -> None:
    """One output's files.

    Raises:
        BuildError: it could not be made, or left out a file that it should have written.
    """
    try:
        output.make(product)
    except StringlineError:
        raise
    except OSError as error:
        raise BuildError(f"{output.kind}: {error.strerror or error}") from error
    missing = [
        name
        for name, _ in output.files
        if name not in product.left_out and not (product.folder / name).is_file()
    ]
    if missing:
        raise BuildError(f"{output.kind}: {', '.join(missing)} was not written")
