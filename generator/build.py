"""The straight line from a spec file to its outputs: plan the job, make the files, swap them in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.errors import BuildError, InputError, StringlineError
from generator.outputs import Output, Product, Progress
from generator.parts.assembly import Assembly
from generator.parts.report import Report
from generator.spec.job import Job
from generator.swap import staged, swap_in


@dataclass(frozen=True, slots=True)
class Written:
    """One file that a build has written."""

    path: Path
    description: str


def plan_job(
    path: Path, profiles: Sequence[Path] = (), *, strength: bool = False
) -> tuple[Job, Assembly, Report]:
    """A spec file read, laid out and checked; `profiles` are folders that win over those shipped.

    With `strength` the checks of strength are among them.

    Raises:
        InputError: everything that is wrong with the file.
    """
    from generator.checks import run
    from generator.layout.lay_out import layout
    from generator.parts.build import assemble
    from generator.spec import placed, read_job

    job = read_job(path, profiles=tuple(profiles))
    try:
        assembly = assemble(layout(job))
        return job, assembly, run(assembly, strength=strength)
    except InputError as error:
        raise placed(error, path) from None


def write_outputs(
    assembly: Assembly,
    report: Report,
    target: Path,
    outputs: Iterable[Output],
    progress: Progress,
) -> tuple[Written, ...]:
    """Write these outputs into the folder `target`: all of them, or none.

    Former files of the same outputs are replaced or removed, everything else in the folder stays.

    Raises:
        InputError: the target cannot be used.
        BuildError: an output could not be made; the former ones are whole.
    """
    made: dict[str, tuple[str, ...]] = {}
    written: list[Written] = []
    with staged(target) as staging:
        product = Product(assembly, report, staging.files, progress)
        for output in outputs:
            progress(f"writing {', '.join(name for name, _ in output.files)}")
            _make(output, product)
            made[output.kind] = tuple(name for name, _ in output.files)
            written += [Written(target / name, words) for name, words in output.files]
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
    missing = [name for name, _ in output.files if not (product.folder / name).is_file()]
    if missing:
        raise BuildError(f"{output.kind}: {', '.join(missing)} was not written")
