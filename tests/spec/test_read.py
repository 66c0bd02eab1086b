"""Good specs: what is read, what is left to defaults, and which profiles win."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pytest

from generator.errors import InputError, Problem
from generator.spec import placed, read_job, starter
from generator.spec.job import Job, Level, Stair, Turn

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
JOBS = sorted([*EXAMPLES.glob("*.yaml"), *EXAMPLES.glob("faulty/*.yaml")])
INCH = 25.4

MINIMAL = """
job: {title: Plover Way porch, rules: irc-2021}
system: {}
runs:
  - legs:
      - level: 12 ft
"""


def read(folder: Path, text: str) -> Job:
    path = folder / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return read_job(path)


@pytest.mark.parametrize("name", [path.relative_to(EXAMPLES).as_posix() for path in JOBS])
def test_every_example_loads_with_the_shipped_profiles(name: str) -> None:
    job = read_job(EXAMPLES / name)
    assert job.runs
    assert job.source == Path(name).name
    assert {part.material for part in (job.system.post, job.system.rail, job.system.cable)} <= {
        material.name for material in job.system.materials
    }


def test_lake_deck_in_millimetres() -> None:
    # Inches of the spec in design.md section 4, times 25.4.
    job = read_job(EXAMPLES / "lake-deck.yaml")
    assert (job.title, job.number, job.units, job.metric) == (
        "Tern Cottage lake deck",
        "0412",
        "in",
        False,
    )
    assert job.rules.name == "irc-2021"
    guard = job.guard
    assert guard.height_mm == pytest.approx(36 * INCH, abs=1e-9)
    assert guard.max_post_spacing_mm == pytest.approx(72 * INCH, abs=1e-9)
    assert guard.max_cable_span_mm == pytest.approx(36 * INCH, abs=1e-9)
    assert guard.pair_offset_mm is None
    assert guard.tension_n == pytest.approx(70 * 4.4482216152605, rel=1e-15)
    (run,) = job.runs
    first, corner, second, pair, stair = run.legs
    assert isinstance(first, Level)
    assert first.length_mm == pytest.approx(282 * INCH, abs=1e-9)
    assert corner == Turn("runs[0].legs[1]", 90.0, "single")
    assert isinstance(second, Level)
    assert second.length_mm == pytest.approx(150 * INCH, abs=1e-9)
    assert pair == Turn("runs[0].legs[3]", -90.0, "pair")
    assert isinstance(stair, Stair)
    assert (stair.path, stair.risers, stair.direction) == ("runs[0].legs[4]", 7, "down")
    assert (stair.rise_mm, stair.tread_mm) == pytest.approx((48 * INCH, 11 * INCH), abs=1e-9)
    assert (stair.nosing_mm, stair.tread_thickness_mm) == pytest.approx((0, 1.5 * INCH), abs=1e-9)
    assert (run.start.z_mm, run.start.end, run.end) == (pytest.approx(48 * INCH), "wall", "free")
    assert job.structure is not None
    assert job.structure.joists is not None
    assert job.structure.joists.depth_mm == pytest.approx(9.25 * INCH, abs=1e-9)
    assert job.stock is not None
    assert [bar.length_mm for bar in job.stock.rail] == pytest.approx([96 * INCH, 240 * INCH])


def test_defaults_are_those_of_the_lake_deck(tmp_path: Path) -> None:
    # design.md section 4: everything not required has the default shown there, but structure,
    # stock and max_cable_span. The demo job has since other parts and another tension.
    full = read_job(EXAMPLES / "lake-deck.yaml")
    job = read(tmp_path, MINIMAL)
    tension = pytest.approx(200 * 4.4482216152605, rel=1e-15)
    assert job.guard.tension_n == tension
    assert dataclasses.replace(job.guard, tension_n=full.guard.tension_n) == dataclasses.replace(
        full.guard, max_cable_span_mm=None
    )
    parts = {key: getattr(job.system, key).name for key in ("post", "bracket", "anchor")}
    assert parts == {"post": "al-square-2.5", "bracket": "al-saddle", "anchor": "through-bolt-3_8"}
    for key in ("rail", "cable", "fitting", "spacer"):
        assert getattr(job.system, key) == getattr(full.system, key)
    assert (job.structure, job.stock, job.number, job.units) == (None, None, "", "in")
    (run,) = job.runs
    assert (run.id, run.deck, run.end) == ("A", "left", "free")
    assert run.start == full.runs[0].start


def test_faulty_example_differs_from_the_lake_deck_in_its_setback_only() -> None:
    good = read_job(EXAMPLES / "lake-deck.yaml")
    bad = read_job(EXAMPLES / "faulty" / "setback.stair.yaml")
    assert bad.guard.stair_setback_mm == pytest.approx(5.5 * INCH, abs=1e-9)
    mended = dataclasses.replace(
        bad,
        source=good.source,
        title=good.title,
        guard=dataclasses.replace(bad.guard, stair_setback_mm=good.guard.stair_setback_mm),
    )
    assert mended == good


def test_starter_is_a_valid_job_with_every_line_explained(tmp_path: Path) -> None:
    job = read(tmp_path, starter())
    assert [type(leg).__name__ for leg in job.runs[0].legs] == [
        "Level",
        "Turn",
        "Level",
        "Turn",
        "Stair",
    ]
    assert all(len(line) <= 100 for line in starter().splitlines())
    lake = read_job(EXAMPLES / "lake-deck.yaml")
    assert (job.guard, job.system) == (lake.guard, lake.system)


SHOWN = [
    re.split(r" {3,}", line.removeprefix("#   - "))[0]
    for line in starter().splitlines()
    if line.startswith("#   - ")
]


@pytest.mark.parametrize("item", SHOWN)
def test_what_the_starter_shows_of_legs_can_be_written_so(tmp_path: Path, item: str) -> None:
    job = read(tmp_path, f"{MINIMAL}      - {item}\n      - level: 4 ft\n")
    assert len(job.runs[0].legs) == 3
    assert len(SHOWN) == 7


def test_what_the_starter_leaves_out_can_be_put_in(tmp_path: Path) -> None:
    lines = starter().splitlines()
    first = lines.index("# structure:")
    for index in range(first, next(i for i, line in enumerate(lines) if "# One run" in line)):
        if lines[index].startswith(
            ("#   ", "# structure:", "# handrail: {", "# stock:", "# drawings:")
        ):
            lines[index] = lines[index][2:]
    job = read(tmp_path, "\n".join(lines))
    assert job.structure is not None
    assert job.structure.concrete
    assert job.stock is not None
    assert job.handrail is not None
    assert job.drawings.sheet == "arch-b"
    assert job.drawings.revisions[0].text == "stair moved"


def test_bare_numbers_are_in_the_declared_units(tmp_path: Path) -> None:
    text = MINIMAL.replace("rules:", "units: {unit}, rules:").replace("12 ft", "{number}")
    lengths = {
        read(tmp_path, text.replace("{unit}", unit).replace("{number}", number)).runs[0].legs[0]
        for unit, number in (
            ("in", "144"),
            ("ft", "12"),
            ("mm", "3657.6"),
            ("cm", "365.76"),
            ("m", "3.6576"),
            ("mm", "36576e-1"),
        )
    }
    assert lengths == {Level("runs[0].legs[0]", 3657.6)}


def test_inches_and_millimetres_of_one_job_are_the_same_job(tmp_path: Path) -> None:
    inches = read(tmp_path, MINIMAL + "guard: {height: 3', bottom_gap: 3-1/8\"}")
    metric = read(tmp_path, MINIMAL + "guard: {height: 914.4 mm, bottom_gap: 7.9375 cm}")
    assert inches == metric


def test_none_is_no_span_and_no_offset(tmp_path: Path) -> None:
    words = read(tmp_path, MINIMAL + "guard: {max_cable_span: none, pair_offset: none}").guard
    nulls = read(tmp_path, MINIMAL + "guard: {max_cable_span: null, pair_offset: ~}").guard
    set_ = read(tmp_path, MINIMAL + "guard: {max_cable_span: 30 in, pair_offset: 4 in}").guard
    assert (words.max_cable_span_mm, words.pair_offset_mm) == (None, None)
    assert words == nulls
    assert (set_.max_cable_span_mm, set_.pair_offset_mm) == (762.0, 101.6)


def test_runs_without_a_name_are_lettered(tmp_path: Path) -> None:
    one = "  - legs: [{level: 12 ft}]\n"
    job = read(tmp_path, MINIMAL.split("runs:")[0] + "runs:\n" + one * 27)
    assert [run.id for run in job.runs][:3] == ["A", "B", "C"]
    assert job.runs[26].id == "R27"
    assert job.runs[26].path == "runs[26]"


def test_legs_without_a_turn_and_a_turn_of_nothing(tmp_path: Path) -> None:
    text = MINIMAL + "      - level: 6 ft\n      - turn: 0\n      - level: 45 in\n"
    legs = read(tmp_path, text).runs[0].legs
    assert legs[2] == Turn("runs[0].legs[2]", 0.0, "single")


def test_single_values_of_a_profile_are_overridden(tmp_path: Path) -> None:
    plain = read(tmp_path, MINIMAL).system.post
    text = MINIMAL.replace("system: {}", "system: {post: {name: al-square-2.5, wall: 1/8 in}}")
    post = read(tmp_path, text).system.post
    assert post.wall_mm == 3.175
    assert (post.name, post.width_mm) == (plain.name, plain.width_mm)


POST = """
description: Post of the porch
invented: true
material: al-6061-t6
width: {width}
wall: 3/16 in
plate: 5 in
plate_thickness: 3/8 in
bolt_spacing: 3-3/4 in
bolt_hole: 7/16 in
nosing_margin: 1/4 in
hole_clearance: 1/32 in
"""


def own_folder(folder: Path, width: str) -> Path:
    (folder / "posts").mkdir(parents=True)
    (folder / "posts" / "al-square-2.5.yaml").write_text(POST.replace("{width}", width))
    return folder


def test_folders_of_the_call_win_over_the_specs_and_these_over_the_shipped(tmp_path: Path) -> None:
    own_folder(tmp_path / "own", "2-3/8 in")
    given = own_folder(tmp_path / "given", "2-1/4 in")
    path = tmp_path / "job.yaml"
    path.write_text(MINIMAL)
    assert read_job(path).system.post.width_mm == pytest.approx(2.5 * INCH)
    path.write_text("profiles: own" + MINIMAL)
    assert read_job(path).system.post.width_mm == pytest.approx(2.375 * INCH)
    assert read_job(path, profiles=(given,)).system.post.width_mm == pytest.approx(2.25 * INCH)
    assert read_job(path).system.rail.name == "al-flat-2.5x1.5"


def test_a_profile_that_cannot_be_opened_is_an_input_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from generator.catalog.load import Catalog

    def no_right(self: Catalog, kind: str, name: str) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Catalog, "get", no_right)
    with pytest.raises(InputError, match="Permission denied"):
        read(tmp_path, MINIMAL)


def test_a_folder_name_too_long_for_the_system(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no folder"):
        read(tmp_path, f"profiles: {'x' * 300}" + MINIMAL)


def test_errors_of_later_steps_are_given_their_place(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(MINIMAL)
    other = Problem("profiles/posts/x.yaml", 3, 1, "wall", "read 9 in", "accepted less")
    later = InputError(
        [
            Problem("", 0, 0, "runs[0].legs[0].level", "read too short a leg", "accepted more"),
            Problem("", 0, 0, "stock.rail", "read too short a bar", "accepted a longer one"),
            other,
        ]
    )
    found = placed(later, path)
    assert [(problem.file, problem.line, problem.column) for problem in found.problems] == [
        (str(path), 2, 1),  # there is no stock: the top of the file
        (str(path), 6, 16),
        ("profiles/posts/x.yaml", 3, 1),
    ]
    path.unlink()
    assert placed(later, path) is later
