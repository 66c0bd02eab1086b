"""The commands: what they print where, and their exit statuses."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from generator import __version__
from generator.cli import main

FAULTY = "examples/faulty/setback.stair.yaml"


@pytest.fixture(autouse=True)
def _in_the_repository(root, monkeypatch):
    monkeypatch.chdir(root)
    monkeypatch.delenv("STRINGLINE_DEBUG", raising=False)


def run(*argv: str) -> int:
    """Exit status of a call, whether it comes back or exits."""
    try:
        return main(argv)
    except SystemExit as stop:
        return int(stop.code or 0)


# check


def test_codes_are_picked_by_name_and_pattern(capsys):
    assert run("check", FAULTY, "--code", "opening.*,span.posts") == 0  # the setback is not one
    out, _ = capsys.readouterr()
    assert "Looked at: opening.*, span.posts; other findings are not shown." in out
    assert "opening.loaded" in out
    assert "setback.stair" not in out
    assert run("check", FAULTY, "--code", "opening.*", "--code", "setback.stair") == 1


def test_picked_codes_are_named_in_the_results(capsys):
    assert run("check", FAULTY, "--code", "setback.stair", "--format", "json") == 1
    document = json.loads(capsys.readouterr().out)
    assert document["selected"] == ["setback.stair"]
    assert document["status"] == "fail"
    assert {f["code"] for f in document["findings"]} == {"setback.stair"}
    assert {c["code"] for c in document["checks"]} == {"setback.stair"}


def test_an_unknown_code_is_told_with_the_nearest(capsys):
    assert run("check", FAULTY, "--code", "setback.stares,opening.*,wind.*") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "setback.stares: no finding code of that name; did you mean setback.stair?" in err
    assert len(err.splitlines()) == 2


def test_suggested_changes_can_be_pasted_and_name_the_place(capsys):
    before = Path(FAULTY).read_text(encoding="utf-8")
    assert run("check", FAULTY, "--suggest") == 1
    out, err = capsys.readouterr()
    assert err == ""
    head, *lines = out.partition("Suggested changes: ")[2].partition("\n\n")[0].splitlines()
    assert head == "1 change of the job file clears all 2 failures (1 variant of the job tried)"
    # By hand: 4.32203 in is the greatest free setback; the next sixteenth down is 4-5/16 in.
    assert yaml.safe_load("\n".join(lines)) == {"guard": {"stair_setback": '4 5/16"'}}
    assert f"# {FAULTY}:30, now 5-1/2 in" in lines[-1]
    assert before.splitlines()[29].strip().startswith("stair_setback: 5-1/2 in")
    assert Path(FAULTY).read_text(encoding="utf-8") == before


def test_suggested_changes_are_in_the_results(capsys):
    assert run("check", FAULTY, "--suggest", "--format", "json") == 1
    document = json.loads(capsys.readouterr().out)
    assert document["suggestions"] == {
        "failures": 2,
        "cleared": True,
        "changes": [
            {
                "path": "guard.stair_setback",
                "value": '4 5/16"',
                "present": "5-1/2 in",
                "line": 30,
            }
        ],
        "left": [],
        "new_warnings": [],
        "tried": 1,
    }
    assert run("check", FAULTY, "--format", "json") == 1
    assert json.loads(capsys.readouterr().out)["suggestions"] is None


def test_a_job_with_nothing_to_clear_says_so(capsys):
    assert run("check", "examples/lake-deck.yaml", "--suggest") == 0
    assert "Suggested changes: none needed, nothing fails." in capsys.readouterr().out


def test_failures_that_no_change_is_known_for_are_listed(capsys, tmp_path):
    spec = tmp_path / "job.yaml"
    text = Path(FAULTY).read_text(encoding="utf-8")
    # So low a stair guard that its lowest cable runs through the nosings wherever the posts stand.
    spec.write_text(text.replace("bottom_gap: 3 in", "bottom_gap: 1/4 in"), encoding="utf-8")
    assert run("check", str(spec), "--suggest") == 1
    told = capsys.readouterr().out.partition("Suggested changes: ")[2]
    assert told.startswith("no set was found that clears")
    assert "What still fails, and what is said of it:" in told
    assert "setback.stair  P10, T3: no setback is free" in told


def test_an_accepted_failure_does_not_count(capsys, tmp_path):
    spec = tmp_path / "job.yaml"
    entry = 'accepted: [{code: setback.stair, where: "run A, leg 3", reason: a, role: engineer}]\n'
    text = Path(FAULTY).read_text(encoding="utf-8")
    spec.write_text(text + entry, encoding="utf-8")
    assert run("check", str(spec)) == 0
    assert run("check", str(spec), "--fail-on", "warn") == 0
    assert run("build", str(spec), "--only", "csv", "-o", str(tmp_path / "out")) == 0
    assert "fail (accepted)  setback.stair  P10, T3" in capsys.readouterr().out
    spec.write_text(text + entry.replace("setback.stair", "opening.end"), encoding="utf-8")
    assert run("check", str(spec), "--fail-on", "warn", "--code", "acceptance.unused") == 1


def test_check_prints_the_layout_and_nothing_to_stderr(capsys):
    assert run("check", "examples/lake-deck.yaml") == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.startswith("Tern Cottage lake deck")
    assert "run A, leg 3  stair" in out
    assert "Checks passed:" in out


def test_check_shows_schedules_when_asked(capsys):
    assert run("check", "examples/straight-leg.yaml", "--schedules") == 0
    assert "Cut list" in capsys.readouterr().out


def test_check_with_a_failure_has_status_1_and_says_what_to_do(capsys):
    assert run("check", FAULTY) == 1
    out, err = capsys.readouterr()
    assert err == ""
    assert "fail  setback.stair" in out
    assert "Remedy:" in out


def test_json_is_the_results_document(capsys):
    assert run("check", FAULTY, "--format", "json") == 1
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert err == ""
    assert document["status"] == "fail"
    assert "setback.stair" in [f["code"] for f in document["findings"] if f["severity"] == "fail"]


def test_build_writes_the_document_that_check_prints(capsys, tmp_path):
    assert run("check", "examples/lake-deck.yaml", "--format", "json") == 0
    printed = capsys.readouterr().out
    assert run("build", "examples/lake-deck.yaml", "--only", "json", "-o", str(tmp_path)) == 0
    assert (tmp_path / "results.json").read_text(encoding="utf-8") == printed


@pytest.mark.parametrize("fail_on, status", [("fail", 0), ("warn", 0), ("note", 1)])
def test_fail_on_sets_the_severity_that_counts(fail_on, status, lake_deck, capsys):
    # the demo job has notes (the force that opens the cables) and nothing worse
    assert {finding.severity for finding in lake_deck.report.findings} == {"note"}
    assert run("check", "examples/lake-deck.yaml", "--fail-on", fail_on) == status
    assert capsys.readouterr().out


# build


def test_build_names_every_file_and_writes_it(capsys, tmp_path):
    target = tmp_path / "out"
    assert run("build", "examples/lake-deck.yaml", "--only", "csv,json", "-o", str(target)) == 0
    out, err = capsys.readouterr()
    files = (path for path in target.rglob("*") if path.is_file())
    names = sorted(str(path.relative_to(target)) for path in files)
    assert names == [
        ".stringline",
        "bars.csv",
        "blocking.csv",
        "cables.csv",
        "cut-list.csv",
        "drilling.csv",
        "packing.csv",
        "parts/index.csv",
        "quantities.csv",
        "results.json",
        "setting-out.csv",
        "shop/drilling.csv",
        "tension.csv",
    ]
    assert all(str(target / name) in out for name in names[1:])
    assert "stringline: writing results.json" in err


def test_build_counts_files_that_are_alike_in_a_folder(capsys, tmp_path):
    assert run("build", "examples/straight-leg.yaml", "--only", "dxf", "-o", str(tmp_path)) == 0
    out = capsys.readouterr().out
    count = len(list((tmp_path / "parts").iterdir()))
    assert f"{tmp_path}/parts/*.dxf" in out
    assert f"({count} files)" in out
    assert f"{tmp_path}/drawings.dxf" in out


def test_build_with_a_failure_writes_everything_and_has_status_1(capsys, tmp_path):
    assert run("build", FAULTY, "--only", "csv", "-o", str(tmp_path)) == 1
    assert (tmp_path / "cut-list.csv").stat().st_size > 100
    assert "setback.stair" in capsys.readouterr().out


def test_build_goes_to_a_folder_named_after_the_file(root, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run("build", str(root / "examples" / "straight-leg.yaml"), "--only", "csv") == 0
    assert (tmp_path / "outputs" / "straight-leg" / "cut-list.csv").is_file()
    assert "outputs/straight-leg/cut-list.csv" in capsys.readouterr().out


def test_only_can_be_given_more_than_once(capsys, tmp_path):
    call = ("build", "examples/straight-leg.yaml", "--only", "csv", "--only", "json")
    assert run(*call, "-o", str(tmp_path)) == 0
    assert "results.json" in capsys.readouterr().out


# new


def test_new_writes_a_spec_that_builds(tmp_path, capsys):
    spec = tmp_path / "mine.yaml"
    assert run("new", str(spec)) == 0
    assert run("check", str(spec)) == 0
    assert run("build", str(spec), "--only", "json", "-o", str(tmp_path / "out")) == 0
    assert "mine.yaml" in capsys.readouterr().out


def test_new_refuses_to_write_over_a_file(tmp_path, capsys):
    spec = tmp_path / "mine.yaml"
    spec.write_text("mine")
    assert run("new", str(spec)) == 2
    assert spec.read_text() == "mine"
    assert "is there already" in capsys.readouterr().err
    assert run("new", str(tmp_path / "no" / "mine.yaml")) == 2
    assert "cannot be written" in capsys.readouterr().err


# catalog, explain, schema


def test_catalog_lists_and_shows(capsys):
    assert run("catalog") == 0
    assert "al-square-2.5" in capsys.readouterr().out
    assert run("catalog", "al-square-2.5") == 0
    assert "2-1/2 in" in capsys.readouterr().out
    assert run("catalog", "irc-2021") == 0
    assert "R312.1.3" in capsys.readouterr().out
    assert run("catalog", "posts") == 0
    assert "plate_thickness" in capsys.readouterr().out


def test_catalog_takes_a_folder_of_ones_own(tmp_path, capsys):
    (tmp_path / "posts").mkdir()
    shipped = "profiles/posts/al-square-2.5.yaml"
    with open(shipped, encoding="utf-8") as file:  # noqa: PTH123 - relative to the fixture's folder
        (tmp_path / "posts" / "my-post.yaml").write_text(file.read(), encoding="utf-8")
    assert run("catalog", "my-post") == 2
    assert run("catalog", "my-post", "--profiles", str(tmp_path)) == 0
    assert "my-post" in capsys.readouterr().out
    assert run("check", "examples/straight-leg.yaml", "--profiles", str(tmp_path / "no")) == 2


def test_unknown_names_are_told_with_the_nearest(capsys):
    assert run("catalog", "al-sqare-2.5") == 2
    assert "did you mean al-square-2.5?" in capsys.readouterr().err
    assert run("explain", "setback.stairs") == 2
    assert "did you mean setback.stair?" in capsys.readouterr().err


def test_explain_shows_meaning_formula_and_clause(capsys):
    assert run("explain", "height.level") == 0
    out = capsys.readouterr().out
    assert "How it is measured:" in out
    assert "R312.1.2" in out
    assert run("explain") == 0
    assert "opening.loaded" in capsys.readouterr().out


@pytest.mark.parametrize("document", ["job", "results"])
def test_schema_prints_a_json_schema(document, capsys):
    assert run("schema", document) == 0
    schema = json.loads(capsys.readouterr().out)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["properties"]


# calls and specs that are wrong


@pytest.mark.parametrize(
    "argv",
    [
        (),
        ("biuld",),
        ("check",),
        ("check", "examples/lake-deck.yaml", "--format", "step"),
        ("check", "examples/lake-deck.yaml", "--fail-on", "never"),
        ("schema", "job.yaml"),
        ("check", "no-such-file.yaml"),
        ("check", "examples"),
        ("build", "examples/lake-deck.yaml", "--only", "dwg"),
        ("build", "examples/lake-deck.yaml", "--only", ""),
        ("build", "examples/lake-deck.yaml", "--only", "csv", "-o", "LICENSE"),
    ],
)
def test_a_wrong_call_has_status_2_and_prints_nothing_to_stdout(argv, capsys):
    assert run(*argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err
    assert "Traceback" not in err


def test_a_wrong_spec_tells_every_place_and_writes_nothing(tmp_path, capsys):
    spec = tmp_path / "bad.yaml"
    spec.write_text("job: {title: x, rules: irc-2021}\nsystem: {}\nruns: []\nrun: 1\n")
    assert run("build", str(spec), "-o", str(tmp_path / "out")) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) >= 2
    assert all(line.startswith(f"{spec}:") for line in err.splitlines())
    assert [path.name for path in tmp_path.iterdir()] == ["bad.yaml"]


def test_version_and_help(capsys):
    assert run("--version") == 0
    assert capsys.readouterr().out == f"stringline {__version__}\n"
    assert run("--help") == 0
    text = capsys.readouterr().out
    assert all(name in text for name in ("new", "check", "build", "catalog", "explain", "schema"))
    assert "exit status" in text


# faults, interrupts, closed pipes


def break_planning(monkeypatch, fault: BaseException) -> None:
    def fail(*_args, **_kwargs):
        raise fault

    monkeypatch.setattr("generator.build.plan_job", fail)


def test_a_fault_of_the_program_has_status_3_and_no_traceback(monkeypatch, capsys):
    break_planning(monkeypatch, RuntimeError("a cog is loose"))
    assert run("check", "examples/lake-deck.yaml") == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert "a fault of the program: RuntimeError: a cog is loose" in err
    assert "--debug" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("by_variable", [True, False])
def test_a_fault_can_be_traced(monkeypatch, capsys, by_variable):
    break_planning(monkeypatch, RuntimeError("a cog is loose"))
    if by_variable:
        monkeypatch.setenv("STRINGLINE_DEBUG", "1")
    more = () if by_variable else ("--debug",)
    assert run("check", "examples/lake-deck.yaml", *more) == 3
    assert "Traceback" in capsys.readouterr().err


def test_an_interrupt_has_its_own_status(monkeypatch, capsys):
    break_planning(monkeypatch, KeyboardInterrupt())
    assert run("build", "examples/lake-deck.yaml") == 130
    assert "former outputs are as they were" in capsys.readouterr().err


def test_a_build_that_fails_has_status_3(monkeypatch, capsys, tmp_path):
    from generator.errors import BuildError

    break_planning(monkeypatch, BuildError("step: No space left on device"))
    assert run("build", "examples/lake-deck.yaml", "-o", str(tmp_path / "x")) == 3
    assert "cannot build: step: No space left on device" in capsys.readouterr().err


@pytest.mark.parametrize("more", [(), ("--format", "json")])
def test_a_reader_that_has_left_causes_no_complaint(more):
    reader, writer = os.pipe()
    os.close(reader)
    with subprocess.Popen(
        [sys.executable, "-m", "generator", "check", "examples/lake-deck.yaml", *more],
        stdout=writer,
        stderr=subprocess.PIPE,
    ) as process:
        os.close(writer)
        assert process.stderr is not None
        assert process.stderr.read() == b""
        assert process.wait(timeout=60) == 141


def test_a_terminal_without_unicode_gets_question_marks():
    done = subprocess.run(
        [sys.executable, "-m", "generator", "check", "examples/lake-deck.yaml"],
        capture_output=True,
        env={"PYTHONIOENCODING": "ascii", "PATH": ""},
        check=False,
        timeout=60,
    )
    assert done.returncode == 0
    assert done.stderr == b""
    assert b"-31.9?" in done.stdout


def test_the_help_of_a_build_names_its_outputs(capsys):
    from generator.outputs import OUTPUTS

    with pytest.raises(SystemExit):
        main(["build", "--help"])
    shown = " ".join(capsys.readouterr().out.split())
    assert f"write these outputs only: {', '.join(OUTPUTS)}" in shown
