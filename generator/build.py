"""The straight line from a spec file to its outputs: plan the job, make the files, swap them in."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from generator.errors import BuildError, InputError, StringlineError
from generator.frozen import dataclass
from generator.parts.assembly import Assembly
from generator.parts.report import Report
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.outputs import Files, Output, Product, Progress
    from generator.results.suggest import Suggestion
    from generator.schedules.prices import PriceList


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
        assembly, report = _planned(job, strength)
        if job.drawings.since:  # told beside the spec, wherever the command runs
            assembly = since(assembly, path.parent / job.drawings.since)
        if job.stock is not None:
            from generator.parts.bars import stock_plans

            stock_plans(assembly)  # refused here where the stock does not suffice
        return job, assembly, report
    except InputError as error:
        raise placed(error, path) from None


def prices_of(job: Job, spec: Path, given: Path | None = None) -> PriceList | None:
    """The price list that was given, or the one that the job names; None where there is none.

    Raises:
        InputError: everything that is wrong with it.
    """
    if given is None and job.order.prices is None:
        return None
    from generator.schedules.prices import read_prices

    return read_prices(given or spec.parent / str(job.order.prices))


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
    prices: PriceList | None = None,
    *,
    strength: bool = True,
) -> tuple[Written, ...]:
    """Write these outputs into the folder `target`: all of them, or none.

    Files that are `left_out` (outputs.py) of a job, or without `strength`, are not among them.

    Former files of the same outputs are replaced or removed, everything else in the folder stays.
    `prices` go into the order list.

    Raises:
        InputError: the target cannot be used, or a price is for a measure that its item has not.
        BuildError: an output could not be made; the former ones are whole.
    """
    # A check writes nothing and puts nothing into place.
    from generator.outputs import Product
    from generator.swap import staged, swap_in

    made: dict[str, tuple[str, ...]] = {}
    written: list[Written] = []
    with staged(target) as staging:
        product = Product(assembly, report, staging.files, progress, prices, strength)
        for output in outputs:
            told = [name for name, _ in output.files if name not in product.left_out]
            if told:
                progress(f"writing {', '.join(told)}")
            files = _make(output, product)
            made[output.kind] = tuple(name for name, _ in files)
            written += [Written(target / name, words) for name, words in files]
        swap_in(staging, target, made)
    return tuple(written)


def _make(output: Output, product: Product) -> Files:
    """Makes one output's files and says what they are.

    Raises:
        BuildError: it could not be made, or left out a file that it should have written.
    """
    try:
        more = output.make(product) or ()
    except StringlineError:
        raise
    except OSError as error:
        raise BuildError(f"{output.kind}: {error.strerror or error}") from error
    files = (*((n, words) for n, words in output.files if n not in product.left_out), *more)
    missing = [name for name, _ in files if not (product.folder / name).is_file()]
    if missing:
        raise BuildError(f"{output.kind}: {', '.join(missing)} was not written")
    return files


def by_folder(written: Iterable[Written]) -> list[tuple[str, str]]:
    """Files in folders of the target; of several alike in one folder only how many there are."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for file in written:
        key = str(file.path.parent), file.path.suffix, file.description
        alike.setdefault(key, []).append(str(file.path))
    return [
        (names[0], words)
        if len(names) == 1
        else (f"{folder}{os.sep}*{suffix}", f"{words} ({len(names)} files)")
        for (folder, suffix, words), names in alike.items()
    ]


def since(assembly: Assembly, former: Path) -> Assembly:
    """The assembly of a job whose drawings mark what changed since a former build."""
    job = assembly.job
    drawings = replace(job.drawings, since=str(former.resolve()))
    return replace(assembly, job=replace(job, drawings=drawings))


def with_pulls(assembly: Assembly, *, strength: bool) -> Assembly:
    """The assembly with its cables tensioned as calculated, where strength is worked out here."""
    if not strength or assembly.job.strength.elsewhere:
        return assembly
    from generator.strength.site_pulls import tensioned

    return tensioned(assembly)
