"""Builds in their ordinary course: what is written, what stays, what is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import pytest

from generator.build import plan_job, write_outputs
from generator.errors import BuildError, InputError
from generator.outputs import OUTPUTS, Output, Product, chosen, left_out
from generator.swap import MANIFEST, owned

NOTHING = cast(Any, None)


def silent(_text: str) -> None:
    """Progress that nobody reads."""


def output(kind: str, *names: str, text: str = "made") -> Output:
    def make(product: Product) -> None:
        for name in names:
            (product.folder / name).write_text(f"{text} {name}")

    return Output(kind, kind, tuple((name, "a file") for name in names), make)


def build(target: Path, *outputs: Output):
    return write_outputs(NOTHING, NOTHING, target, outputs, silent)


def refusal(call, *args) -> str:
    with pytest.raises(InputError) as caught:
        call(*args)
    return str(caught.value)


def test_folder_is_made_with_its_parents(tmp_path):
    written = build(tmp_path / "a" / "b", output("x", "x.txt"))
    assert [file.path for file in written] == [tmp_path / "a" / "b" / "x.txt"]
    assert (tmp_path / "a" / "b" / "x.txt").read_text() == "made x.txt"


def test_files_of_the_user_stay(tmp_path):
    build(tmp_path / "job", output("x", "x.txt"))
    (tmp_path / "job" / "photo.jpg").write_bytes(b"\xff\xd8")
    (tmp_path / "job" / "folder").mkdir()
    (tmp_path / "job" / "folder" / "note.txt").write_text("mine")
    build(tmp_path / "job", output("x", "x.txt", text="again"))
    assert (tmp_path / "job" / "photo.jpg").read_bytes() == b"\xff\xd8"
    assert (tmp_path / "job" / "folder" / "note.txt").read_text() == "mine"
    assert (tmp_path / "job" / "x.txt").read_text() == "again x.txt"


def test_a_folder_of_the_user_with_other_things_can_be_the_target(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    build(tmp_path, output("x", "x.txt"))
    assert (tmp_path / "mine.txt").read_text() == "mine"
    assert (tmp_path / "x.txt").exists()


def test_an_output_that_no_longer_makes_a_file_removes_the_stale_one(tmp_path):
    build(tmp_path / "job", output("x", "one.txt", "two.txt"), output("y", "y.txt"))
    build(tmp_path / "job", output("x", "one.txt"))
    assert sorted(p.name for p in (tmp_path / "job").iterdir()) == [MANIFEST, "one.txt", "y.txt"]
    assert owned(tmp_path / "job") == {"x": ("one.txt",), "y": ("y.txt",)}


def test_a_file_of_the_user_is_never_written_over(tmp_path):
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "x.txt").write_text("mine")
    text = refusal(build, tmp_path / "job", output("x", "x.txt"), output("y", "y.txt"))
    assert "x.txt: is there and not from stringline" in text
    assert (tmp_path / "job" / "x.txt").read_text() == "mine"
    assert sorted(p.name for p in (tmp_path / "job").iterdir()) == ["x.txt"]
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_a_folder_in_the_place_of_a_file_is_refused(tmp_path):
    build(tmp_path / "job", output("x", "x.txt"))
    (tmp_path / "job" / "x.txt").unlink()
    (tmp_path / "job" / "x.txt").mkdir()
    assert "is a folder" in refusal(build, tmp_path / "job", output("x", "x.txt"))


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path):
    (tmp_path / "job").write_text("mine")
    assert "is a file" in refusal(build, tmp_path / "job", output("x", "x.txt"))
    assert "cannot make" in refusal(build, tmp_path / "job" / "inner", output("x", "x.txt"))
    assert (tmp_path / "job").read_text() == "mine"


def test_a_link_to_a_folder_is_followed(tmp_path):
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    build(tmp_path / "link", output("x", "x.txt"))
    assert (tmp_path / "real" / "x.txt").exists()
    assert (tmp_path / "link").is_symlink()


@pytest.mark.parametrize(
    "text", ["{", "[1]", '{"x": ["/etc/passwd"]}', '{"x": ["../y"]}', '{"x": 3}']
)
def test_a_broken_manifest_is_told(tmp_path, text):
    build(tmp_path / "job", output("x", "x.txt"))
    (tmp_path / "job" / MANIFEST).write_text(text)
    assert MANIFEST in refusal(build, tmp_path / "job", output("x", "x.txt"))


@pytest.mark.parametrize("fault", [OSError(28, "No space left on device"), BuildError("no")])
def test_an_output_that_fails_leaves_the_former_ones(tmp_path, fault):
    build(tmp_path / "job", output("x", "x.txt"), output("y", "y.txt"))

    def fail(product: Product) -> None:
        (product.folder / "y.txt").write_text("half")
        raise fault

    bad = Output("y", "y", (("y.txt", "a file"),), fail)
    with pytest.raises(BuildError):
        build(tmp_path / "job", output("x", "x.txt", text="again"), bad)
    assert (tmp_path / "job" / "x.txt").read_text() == "made x.txt"
    assert (tmp_path / "job" / "y.txt").read_text() == "made y.txt"
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_an_output_that_leaves_out_a_file_is_a_fault(tmp_path):
    empty = Output("x", "x", (("x.txt", "a file"),), lambda _product: None)
    with pytest.raises(BuildError, match=r"x: x\.txt was not written"):
        build(tmp_path / "job", empty)
    assert not (tmp_path / "job").exists()


def named_by_the_job(*names: str) -> Output:
    """An output whose files have names that depend on the job."""

    def make(product: Product) -> tuple[tuple[str, str], ...]:
        (product.folder / "parts").mkdir(exist_ok=True)
        for name in names:
            (product.folder / name).write_text("made")
        return tuple((name, "a part") for name in names)

    return Output("x", "x", (), make)


def test_files_named_by_the_job_are_told_and_stale_ones_go(tmp_path):
    written = build(tmp_path / "job", named_by_the_job("parts/P1.txt", "parts/P2.txt"))
    assert [file.description for file in written] == ["a part", "a part"]
    (tmp_path / "job" / "parts" / "mine.txt").write_text("mine")
    build(tmp_path / "job", named_by_the_job("parts/P2.txt", "parts/P3.txt"))
    names = sorted(path.name for path in (tmp_path / "job" / "parts").iterdir())
    assert names == ["P2.txt", "P3.txt", "mine.txt"]
    assert owned(tmp_path / "job") == {"x": ("parts/P2.txt", "parts/P3.txt")}


def test_a_file_named_by_the_job_that_is_not_there_is_a_fault(tmp_path):
    lost = Output("x", "x", (), lambda _product: (("parts/P1.txt", "a part"),))
    with pytest.raises(BuildError, match=r"x: parts/P1\.txt was not written"):
        build(tmp_path / "job", lost)


def test_progress_names_the_files(tmp_path):
    said: list[str] = []
    write_outputs(NOTHING, NOTHING, tmp_path / "j", (output("x", "a.txt", "b.txt"),), said.append)
    assert said == ["writing a.txt, b.txt"]


def test_outputs_are_chosen_by_file_kind():
    assert [o.kind for o in chosen(None)] == list(OUTPUTS)
    assert [o.kind for o in chosen(["json", "step"])] == ["step", "json"]


@pytest.mark.parametrize(
    "names, said",
    [
        (["stp"], f"unknown output 'stp'; accepted {', '.join(OUTPUTS)}"),
        ([], "names no output"),
    ],
)
def test_what_is_no_output_is_told_with_what_is(names, said):
    assert said in refusal(chosen, names)


def test_every_output_describes_its_files():
    names = [name for output in OUTPUTS.values() for name, _ in output.files]
    assert len(set(names)) == len(names)
    assert all(words for output in OUTPUTS.values() for _, words in output.files)


def test_a_job_is_built_from_its_file_to_its_schedules(root, tmp_path):
    _, assembly, report = plan_job(root / "examples" / "straight-leg.yaml")
    written = write_outputs(assembly, report, tmp_path / "j", chosen(["csv", "json"]), silent)
    assert all(file.path.stat().st_size for file in written)
    posts = json.loads((tmp_path / "j" / "results.json").read_text(encoding="utf-8"))["posts"]
    assert len(posts) == 5  # issue: a leg of 22 ft has five posts (common practice, no source)


def test_same_job_gives_the_same_bytes(root, tmp_path):
    for name in ("first", "second"):
        _, assembly, report = plan_job(root / "examples" / "lake-deck.yaml")
        write_outputs(assembly, report, tmp_path / name, chosen(["csv", "json"]), silent)
    first = tmp_path / "first"
    files = sorted(path.relative_to(first) for path in first.rglob("*") if path.is_file())
    assert len(files) == 13  # twelve tables and the list of what a build wrote
    for name in files:
        one, other = ((tmp_path / k / name).read_bytes() for k in ("first", "second"))
        assert one == other


def test_what_the_layout_refuses_is_told_with_its_place_in_the_file(root, tmp_path):
    text = (root / "examples" / "lake-deck.yaml").read_text(encoding="utf-8")
    old = "[{length: 8 ft}, {length: 20 ft}]"
    lines = text.splitlines()
    line = next(number for number, row in enumerate(lines, 1) if old in row)
    spec = tmp_path / "short-stock.yaml"
    spec.write_text(text.replace(old, "[{length: 3 ft}]"), encoding="utf-8")
    said = refusal(plan_job, spec)
    column = lines[line - 1].index("[") + 1
    assert said.startswith(f"{spec}:{line}:{column}: stock.rail: ")


def test_sheets_are_not_written_where_the_strength_is_left_out(root, tmp_path):
    _, assembly, report = plan_job(root / "examples" / "lake-deck.yaml", strength=False)
    build_it = (assembly, report, tmp_path / "j", chosen(["html", "pdf"]), silent)
    written = write_outputs(*build_it, strength=False)
    names = {file.path.name for file in written}
    assert {"page.html", "permit-set.pdf"} <= names
    assert not {"calculations.html", "calculations.pdf"} & names
    assert all("--no-strength" in why for why in left_out(assembly, strength=False).values())
    assert owned(tmp_path / "j")["html"] == ("page.html",)
    elsewhere = replace(assembly.job, strength=replace(assembly.job.strength, elsewhere=True))
    others = left_out(replace(assembly, job=elsewhere))
    assert set(others) == {"calculations.html", "calculations.pdf"}
    assert all("strength: elsewhere" in why for why in others.values())
    assert left_out(assembly) == {}
