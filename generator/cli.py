"""The `stringline` command: arguments in, text and an exit status out."""

from __future__ import annotations

import argparse
import contextlib
import gc
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from generator import __version__
from generator.errors import BuildError, InputError, Problem, StringlineError

if TYPE_CHECKING:
    from generator.parts.report import Report, Severity

OK, FOUND, WRONG, FAULT = 0, 1, 2, 3
INTERRUPTED, STOPPED, PIPE_CLOSED = 130, 143, 141  # 128 and the signal's number, as shells tell it

_EPILOG = """\
exit status: 0 nothing found at or above --fail-on; 1 something found (a build still writes
everything); 2 the spec or the call is wrong; 3 a fault of the program
"""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and give its exit status (see DEVELOPERS.md).

    Raises:
        SystemExit: the call is wrong (2), or help or the version was asked for (0).
    """
    args = _parser().parse_args(argv)
    _start_light()
    command: Callable[[argparse.Namespace], int] = args.command
    try:
        with _stoppable():
            _replace_unprintable()
            status = command(args)
            sys.stdout.flush()
            return status
    except BrokenPipeError:
        # The reader has gone; what is left in the buffer must not complain when Python ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    except KeyboardInterrupt:
        _tell("interrupted; former outputs are as they were")
        return INTERRUPTED
    except BuildError as error:
        _tell(f"cannot build: {error}")
        return FAULT
    except StringlineError as error:
        print(error, file=sys.stderr)
        return WRONG
    except Exception as fault:  # noqa: BLE001 - the last line of defence: a status, no traceback
        return _fault(fault, debug=args.debug or bool(os.environ.get("STRINGLINE_DEBUG")))


def _fault(fault: Exception, *, debug: bool) -> int:
    if debug:
        import traceback

        traceback.print_exception(fault)
    kind = type(fault).__name__
    _tell(f"a fault of the program: {kind}: {fault}")
    if not debug:
        _tell("run it again with --debug and report what it prints")
    return FAULT


def _tell(text: str) -> None:
    print(f"stringline: {text}", file=sys.stderr, flush=True)


def _start_light() -> None:
    """Leave out what a short run pays for and does not use: a tenth of the time of `check`."""
    gc.set_threshold(200_000, 50, 50)  # little garbage here is cyclic; imports make much that stays
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # none looked for, none obeyed
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # no matrix here is worth a second thread


def _replace_unprintable() -> None:
    """A terminal without Unicode shows a question mark for what it cannot print."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


@contextlib.contextmanager
def _stoppable() -> Iterator[None]:
    """A request to stop clears up on its way out, as an interrupt does."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise SystemExit(STOPPED)

    try:
        before = signal.signal(signal.SIGTERM, stop)
    except ValueError:  # not in the main thread: whoever runs it handles signals
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="stringline",
        description="Cable guards for decks, stairs and ramps, from one job file.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"stringline {__version__}")
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--debug", action="store_true", help="show where a fault happened")
    # Its name is given, so that it need not be worked out, which loads what only help wants.
    commands = parser.add_subparsers(
        title="commands", required=True, metavar="COMMAND", prog="stringline"
    )

    def add(name: str, command: Callable[[argparse.Namespace], int], text: str):
        sub = commands.add_parser(name, parents=[common], help=text, description=text)
        sub.set_defaults(command=command)
        return sub

    new = add("new", _new, "write a job file to start from, explained line by line")
    new.add_argument("file", type=Path, help="where to; it must not be there yet")
    check = add("check", _check, "lay out a job and show what was found and has to be ordered")
    _job_arguments(check)
    check.add_argument(
        "--format", choices=("text", "json"), default="text", help="json: the results document"
    )
    check.add_argument(
        "--schedules", action="store_true", help="show the cut list and the cable list as well"
    )
    check.add_argument(
        "--code",
        type=_names,
        action="extend",
        metavar="CODE[,CODE]",
        help="look at findings of these codes only, such as opening.end or opening.*",
    )
    check.add_argument(
        "--suggest",
        action="store_true",
        help="look for the smallest set of changes of the job file that clears all failures",
    )
    build = add("build", _build, "write model, drawings, schedules and results of a job")
    _job_arguments(build)
    _build_arguments(build)
    catalog = add(
        "catalog", _catalog, "list sections, hardware, materials and rule sets, or show one"
    )
    catalog.add_argument("name", nargs="?", help="a profile, or a kind of profile")
    _profiles_argument(catalog)
    explain = add("explain", _explain, "say what a finding code means and how it is measured")
    explain.add_argument("code", nargs="?", help="such as setback.stair; none: list them")
    schema = add("schema", _schema, "print the JSON Schema of the job file or of the results")
    schema.add_argument("document", choices=("job", "results"))
    return parser


def _names(text: str) -> list[str]:
    """Names with commas between."""
    return [name.strip() for name in text.split(",")]


def _job_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, help="the job file")
    parser.add_argument(
        "--fail-on",
        choices=("fail", "warn", "note"),
        default="fail",
        help="least severity that makes the exit status 1 (default: fail)",
    )
    parser.add_argument(
        "--no-strength",
        dest="strength",
        action="store_false",
        help="leave out the strength of posts, rail, cables and anchors",
    )
    _profiles_argument(parser)


def _build_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("-o", "--out", type=Path, metavar="DIR", help="default: outputs/JOB")
    parser.add_argument(
        "--only",
        action="append",
        metavar="NAME[,NAME]",
        help="write these outputs only: step, glb, dxf, pdf, csv, xlsx, json, html",
    )
    parser.add_argument(
        "--prices",
        type=Path,
        metavar="FILE",
        help="price list as CSV with the columns item, price and per, for the order list",
    )
    parser.add_argument(
        "--since",
        type=Path,
        metavar="RESULTS",
        help="results.json of a former build: clouds and a revision row mark what changed",
    )


def _profiles_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--profiles",
        type=Path,
        action="append",
        default=[],
        metavar="DIR",
        help="a folder of your own profiles; it wins over those that come with the program",
    )


def _new(args: argparse.Namespace) -> int:
    from generator.spec import starter

    accepted = "choose another name"
    try:
        with args.file.open("x", encoding="utf-8", newline="\n") as file:
            file.write(starter())
    except FileExistsError:
        raise InputError(
            [Problem(str(args.file), 0, 0, "", "is there already", accepted)]
        ) from None
    except OSError as error:
        read = f"cannot be written: {error.strerror}"
        raise InputError([Problem(str(args.file), 0, 0, "", read, accepted)]) from None
    sys.stdout.write(f"{args.file}: change it, then: stringline check {args.file}\n")
    return OK


def _check(args: argparse.Namespace) -> int:
    from generator.build import plan_job

    codes = _codes(args.code)
    _, assembly, report = plan_job(args.file, args.profiles, strength=args.strength)
    suggestion = None
    if args.suggest:
        from generator.build import suggested

        suggestion = suggested(args.file, args.profiles, report, strength=args.strength)
    if codes:
        report = report.of(codes)
    if args.format == "json":
        from generator.results import results, to_json

        document = results(assembly, report, selected=args.code or (), suggestion=suggestion)
        sys.stdout.write(to_json(document))
    else:
        from generator.schedules.summary import summary

        words = ""
        if suggestion is not None:
            from generator.schedules.suggested import suggestion_text

            words = suggestion_text(suggestion, str(args.file))
        sys.stdout.write(
            summary(
                assembly,
                report,
                schedules=args.schedules,
                selected=args.code or (),
                suggestion=words,
            )
        )
    return _status(report, args.fail_on)


def _codes(asked: Sequence[str] | None) -> frozenset[str]:
    """Finding codes that were asked for, by name or by pattern such as opening.*; none: all.

    Raises:
        InputError: there is no such code.
    """
    if asked is None:
        return frozenset()
    from fnmatch import fnmatchcase

    from generator.checks.codes import CODES

    found: set[str] = set()
    problems = []
    for name in asked:
        fitting = {code for code in CODES if fnmatchcase(code, name)}
        found |= fitting
        if not fitting:
            problems.append(
                _unknown(name or "--code", "finding code", list(CODES), "stringline explain")
            )
    if problems:
        raise InputError(problems)
    return frozenset(found)


def _build(args: argparse.Namespace) -> int:
    from generator.build import by_folder, plan_job, prices_of, since, with_pulls, write_outputs
    from generator.outputs import chosen, left_out
    from generator.schedules.summary import build_summary, price_summary

    names = [name.strip() for text in args.only for name in text.split(",")] if args.only else None
    outputs = chosen(names)
    job, assembly, report = plan_job(args.file, args.profiles, strength=args.strength)
    prices = prices_of(job, args.file, args.prices)
    said = ""
    if prices:
        from generator.schedules.order import price_notes

        said = price_summary(price_notes(assembly, prices))
    if args.since:
        assembly = since(assembly, args.since)
    assembly = with_pulls(assembly, strength=args.strength)
    target = args.out or Path("outputs") / args.file.stem
    written = write_outputs(
        assembly, report, target, outputs, _tell, prices, strength=args.strength
    )
    files = [(str(file.path), file.description) for file in written if file.path.parent == target]
    files += by_folder(file for file in written if file.path.parent != target)
    asked = {name for output in outputs for name, _ in output.files}
    files += [
        (str(target / name), f"not written: {why}")
        for name, why in left_out(assembly, strength=args.strength).items()
        if name in asked
    ]
    sys.stdout.write(build_summary(assembly, report, files, str(args.file)) + said)
    return _status(report, args.fail_on)


def _status(report: Report, fail_on: Severity) -> int:
    from generator.parts.report import SEVERITIES

    enough = SEVERITIES[SEVERITIES.index(fail_on) :]
    found = any(f.severity in enough and not f.accepted for f in report.findings)
    return FOUND if found else OK


def _catalog(args: argparse.Namespace) -> int:
    from generator.catalog import KINDS, Catalog, listing, page
    from generator.catalog.show import guide

    catalog = Catalog.standard(tuple(args.profiles))
    if args.name is None:
        sys.stdout.write(listing(catalog))
    elif args.name in KINDS:
        sys.stdout.write(guide(args.name))
    else:
        found = catalog.find(args.name)
        if not found:
            names = [name for kind in KINDS for name in catalog.names(kind)]
            raise InputError([_unknown(args.name, "profile", names, "stringline catalog")])
        sys.stdout.write("\n".join(page(profile) for profile in found))
    return OK


def _explain(args: argparse.Namespace) -> int:
    from generator.catalog import Catalog
    from generator.checks.codes import CODES
    from generator.schedules.explained import code_list, code_page

    if args.code is None:
        sys.stdout.write(code_list(CODES.values()))
        return OK
    if args.code not in CODES:
        raise InputError([_unknown(args.code, "finding code", list(CODES), "stringline explain")])
    catalog = Catalog.standard()
    rule_sets = [catalog.rules(name) for name in catalog.names("rules")]
    sys.stdout.write(code_page(CODES[args.code], rule_sets))
    return OK


def _unknown(name: str, what: str, known: Sequence[str], lister: str) -> Problem:
    from difflib import get_close_matches

    near = next(iter(get_close_matches(name, known, n=1)), "")
    hint = f"did you mean {near}? " if near else ""
    return Problem(name, 0, 0, "", f"no {what} of that name", f"{hint}`{lister}` lists them")


def _schema(args: argparse.Namespace) -> int:
    import json

    if args.document == "job":
        from generator.spec import job_schema

        schema = job_schema()
    else:
        from generator.results import results_schema

        schema = results_schema()
    sys.stdout.write(json.dumps(schema, indent=2, ensure_ascii=False) + "\n")
    return OK
